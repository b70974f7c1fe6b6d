"""Media as drivers describe them (PPD 4.3): CUPS's own for driverless printers, and lines as Gutenprint writes them."""

from kiosk.core.base.geometry import Size
from kiosk.devices.cups.hints import message_of, readable
from kiosk.devices.cups.media import choose_medium, read_driver
from kiosk.devices.cups.options import sheet_options

PPD = """*PPD-Adobe: "4.3"
*cupsFilter2: "image/urf image/pwg-raster 0 -"
*cupsFilter2: "application/vnd.cups-raster image/urf 50 -"
*DefaultResolution: 300dpi
*cupsPrintQuality High/High: "<</HWResolution[600 1200]>>setpagedevice"
*PaperDimension 4x6/4 x 6": "288 432"
*ImageableArea 4x6/4 x 6": "9 36 279 423"
*PaperDimension 4x6.Borderless/4 x 6" borderless: "288 432"
*ImageableArea 4x6.Borderless/4 x 6" borderless: "0 0 288 432"
*PaperDimension w283h425/100 x 150 mm: "283 425"
*ImageableArea w283h425/100 x 150 mm: "0 0 283 425"
*PaperDimension 6x4.Transverse/6 x 4": "432 288"
*ImageableArea 6x4.Transverse/6 x 4": "0 0 432 288"
"""
INDEX = Size(101.6, 152.4)


def test_media_margins_resolution_and_formats_are_read():
    driver = read_driver(PPD)
    assert [medium.keyword for medium in driver.media] == ["4x6", "4x6.Borderless", "w283h425"]
    margins = driver.media[0].margins
    assert [round(side, 3) for side in (margins.left_mm, margins.top_mm, margins.right_mm, margins.bottom_mm)] == [
        3.175,
        3.175,
        3.175,
        12.7,
    ]
    assert driver.dpi == (600, 1200)
    assert driver.formats == ("image/pwg-raster", "image/urf")
    assert read_driver("not a driver").media == ()


def test_the_medium_is_chosen_by_its_size_and_by_its_borders():
    media = read_driver(PPD).media
    assert choose_medium(media, INDEX, borderless=False).keyword == "4x6"
    assert choose_medium(media, INDEX, borderless=True).keyword == "4x6.Borderless"
    assert choose_medium(media, Size(100, 150), borderless=False).keyword == "w283h425"
    assert choose_medium(media, Size(100, 148), borderless=True) is None


def test_no_option_of_a_profile_overrides_what_keeps_the_sheet_true():
    driver = read_driver(PPD)
    profile = {"print-scaling": "fill", "media": "a4", "StpGamma": "1000"}
    options = sheet_options(driver, driver.media[0], 2, 300.0, profile)
    assert options["print-scaling"] == "none"
    assert options["media"] == options["PageSize"] == "4x6"
    assert options["Resolution"] == "600x1200dpi"
    assert options["print-quality"] == "5"
    assert options["StpGamma"] == "1000"
    assert options["copies"] == "2"


def test_a_change_of_the_driver_changes_its_fingerprint_and_an_address_does_not():
    assert read_driver(PPD).digest != read_driver(PPD.replace("9 36", "9 37")).digest
    one, other = (read_driver(f'{PPD}*APSupplies: "http://localhost:{port}/"\n') for port in (1, 2))
    assert one.digest == other.digest


def test_messages_of_the_server_are_told_in_words_or_not_at_all():
    assert message_of("The printer may not exist or is unavailable at this time.") == "it is switched off or unplugged"
    assert message_of("Printing page 1, 40% complete.") == ""
    assert readable("Ribbon type mismatch.") == "Ribbon type mismatch"
    assert readable("\x1b[2J" + "x" * 200) == "it gave no reason"
