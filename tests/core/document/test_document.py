"""A document's rules: sizes, children, contradicting sources, trust and age."""

from datetime import date

import pytest

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.geometry import Range, Size
from kiosk.core.document.confirmation import (
    Confirmation,
    is_stale,
    is_trusted,
    questions_for_office,
    settled,
    unverified_geometry,
    with_confirmation,
)
from kiosk.errors import NoPrintSize

CATALOGUE = Catalogue.load()
HIDDEN = {
    "ae-visa": ("size",),
    "bd-passport": ("size",),
    "ca-passport-online": ("upload.pixels",),
    "eg-passport": ("size",),
    "es-tie": ("size",),
    "it-passport": ("size",),
    "ke-passport": ("size",),
    "qa-passport": ("size",),
    "us-green-card": ("size", "head_height"),
    "us-naturalization": ("size", "head_height"),
    "my-passport": ("size",),
    "us-passport-online-renewal": ("upload.pixels",),
    "us-piv": ("size", "upload.pixels"),
    "us-real-id-dl": ("head_height", "upload.pixels"),
}


def confirmed(document_id: str, on: date = date(2026, 12, 1)) -> tuple[Confirmation, ...]:
    return (Confirmation(document=document_id, by="the shop", on=on, source="the authority's leaflet"),)


class TestSizes:
    def test_the_published_unit_is_kept_and_converted(self):
        document = CATALOGUE.get("us-passport-print")
        assert (document.size.width, document.size.unit) == (2, "in")
        assert document.size_mm == Size(50.8, 50.8)
        assert document.head_height_mm == Range(25.4, 34.925)
        assert document.eye_line_mm == Range(28.575, 34.925)

    def test_a_card_is_iso_7810_and_a_holder_iso_216(self):
        """ISO/IEC 7810 ID-1: 85.60 x 53.98 mm. ISO 216 A6: 105 x 148 mm."""
        for badge in ("event-badge-id1", "staff-badge-id1"):
            assert CATALOGUE.get(badge).card.size_mm == Size(85.60, 53.98)
        assert CATALOGUE.get("event-badge-a6").card.size_mm == Size(105, 148)
        holder = CATALOGUE.get("event-badge-4x3in").card.size_mm
        assert (holder.width, holder.height) == pytest.approx((101.6, 76.2))

    def test_a_photo_fits_its_card(self):
        for document in CATALOGUE.all():
            if document.card is not None:
                across, down = document.card.size_mm, document.size_mm
                assert down.height < max(across.width, across.height)
                assert down.width < min(across.width, across.height)

    def test_an_upload_has_no_print_but_a_frame(self):
        document = CATALOGUE.get("us-visa-digital")
        with pytest.raises(NoPrintSize, match="us-visa-digital is a file to upload"):
            _ = document.size_mm
        assert document.frame_mm.width == pytest.approx(50.8)
        assert document.frame_mm.height == pytest.approx(50.8)

    def test_the_frame_of_a_shaped_upload_keeps_the_shape(self):
        frame = CATALOGUE.get("nz-passport-digital").frame_mm
        assert frame.width / frame.height == pytest.approx(3 / 4)

    def test_the_frame_of_a_shaped_upload_meets_both_least_sides(self):
        rule = CATALOGUE.get("nz-passport-digital").upload.pixels
        wide = rule.model_copy(update={"min_width": 1200, "min_height": 1200})
        tall = rule.model_copy(update={"min_width": 900, "min_height": 1600})
        assert (wide.smallest, tall.smallest) == (Size(1200, 1600), Size(1200, 1600))

    def test_shares_of_the_width(self):
        """ANSI/NIST-ITL E.4.3: the head 0.5 to 0.7 of the picture's width, here 480 px at 300 px per inch."""
        document = CATALOGUE.get("us-le-mugshot")
        width_mm = document.head_width.range_mm(document.frame_mm)
        assert (width_mm.low, width_mm.high) == pytest.approx((20.32, 28.448))


class TestChildren:
    def test_british_infants_may_close_their_eyes(self):
        document = CATALOGUE.get("gb-passport-print")
        assert "eyes_open" in document.for_age(1).capture
        assert "eyes_open" not in document.for_age(0).capture

    def test_british_children_under_six_need_no_plain_expression(self):
        document = CATALOGUE.get("gb-passport-print")
        for age_years, asked in ((0, False), (5, False), (6, True), (40, True)):
            assert ("expression_neutrality" in document.for_age(age_years).capture) is asked

    def test_dutch_heads_are_smaller_up_to_ten(self):
        document = CATALOGUE.get("nl-passport-id")
        assert document.for_age(10).head_height_mm == Range(19, 30)
        assert document.for_age(11).head_height_mm == Range(26, 30)

    def test_german_template_up_to_the_tenth_birthday(self):
        document = CATALOGUE.get("de-passport-id")
        assert document.for_age(6).head_height_mm == Range(22, 36)
        assert document.for_age(6).head_height.kept_mm(document.frame_mm) == Range(17, 40)
        assert document.for_age(9).eye_line_mm == Range(18, 32)
        assert document.for_age(10) == document


class TestContradictions:
    """Both sources stay in the file; the stricter ruling binds until a person confirms the file's own."""

    @pytest.mark.parametrize(
        ("document_id", "binds", "own"),
        [
            ("cn-visa-print", Range(28, 33), Range(28, 33)),
        ],
    )
    def test_head_height(self, document_id, binds, own):
        document = CATALOGUE.get(document_id)
        assert document.head_height_mm == binds
        assert settled(document, confirmed(document_id)).head_height_mm == own
        assert settled(document, confirmed("gb-passport-print")) == document

    def test_recency(self):
        document = CATALOGUE.get("de-passport-id")
        assert document.recency.range.high == 3
        assert settled(document, confirmed("de-passport-id")).recency.range.high == 6

    def test_background(self):
        document = CATALOGUE.get("schengen-visa")
        assert {colour.name for colour in document.background.colours} == {"white"}
        freed = settled(document, confirmed("schengen-visa"))
        assert {colour.name for colour in freed.background.colours} == {"white", "light-grey"}

    def test_france_forbids_what_china_requires(self):
        french, chinese = (CATALOGUE.get(name).background.colours for name in ("fr-passport-id", "cn-visa-print"))
        assert not any(one.intersection(other) for one in french for other in chinese)


class TestTrust:
    def test_geometry_from_memory_is_hidden_until_confirmed(self):
        assert {d.id: unverified_geometry(d) for d in CATALOGUE.all() if not is_trusted(d, ())} == HIDDEN
        for document_id in HIDDEN:
            assert is_trusted(CATALOGUE.get(document_id), confirmed(document_id))

    def test_a_confirmation_holds_for_its_document_only(self):
        assert not is_trusted(CATALOGUE.get("my-passport"), confirmed("us-piv"))

    def test_a_confirmation_older_than_the_rules_is_void(self):
        assert not is_trusted(CATALOGUE.get("my-passport"), confirmed("my-passport", date(2026, 11, 24)))

    def test_a_confirmation_does_not_cover_what_was_read_after_it(self):
        """A new bundle changes one value; the earliest reading of the others lies before the confirmation."""
        document, read_again = CATALOGUE.get("my-passport"), date(2027, 1, 10)
        size = document.size.model_copy(update={"height": 45.0, "read_on": read_again})
        changed = document.model_copy(update={"size": size})
        assert is_trusted(document, confirmed("my-passport"))
        assert changed.read_on < date(2026, 12, 1)
        assert not is_trusted(changed, confirmed("my-passport"))
        assert is_trusted(changed, confirmed("my-passport", read_again))

    def test_a_new_limit_of_the_program_voids_no_confirmation(self):
        document = CATALOGUE.get("my-passport")
        yaw = document.capture["yaw"].model_copy(update={"read_on": date(2027, 1, 10)})
        changed = document.model_copy(update={"capture": {**document.capture, "yaw": yaw}})
        assert is_trusted(changed, confirmed("my-passport"))

    def test_a_remembered_extra_limit_does_not_hide(self):
        document = CATALOGUE.get("us-dv-lottery")
        assert document.spectacles.evidence == "memory"
        assert is_trusted(document, ())

    def test_rules_grow_stale_after_the_shops_limit(self):
        document = CATALOGUE.get("gb-passport-print")
        assert document.read_on == date(2026, 11, 25)
        assert not is_stale(document, (), date(2027, 11, 25), 365)
        assert is_stale(document, (), date(2027, 11, 26), 365)
        assert is_stale(document, (), date(2026, 12, 6), 10)

    def test_a_confirmation_makes_rules_current_again(self):
        document, read_again = CATALOGUE.get("gb-passport-print"), confirmed("gb-passport-print", date(2027, 11, 20))
        assert not is_stale(document, read_again, date(2028, 11, 19), 365)
        assert is_stale(document, read_again, date(2028, 11, 20), 365)
        assert is_stale(document, confirmed("my-passport", date(2027, 11, 20)), date(2027, 11, 26), 365)

    def test_confirmations_do_not_pile_up(self):
        (first,) = confirmed("hk-passport", date(2026, 12, 1))
        asked = first.model_copy(update={"channel": "self_service", "on": date(2026, 12, 2)})
        silent = first.model_copy(update={"on": date(2026, 12, 3), "by": "B. Sample"})
        other = first.model_copy(update={"document": "gb-passport-print"})
        assert with_confirmation((first, other), asked) == (other, asked)
        assert with_confirmation((asked,), silent) == (asked, silent), "what the office said of booths is kept"
        assert len(with_confirmation((asked, silent), silent.model_copy(update={"channel": "not_accepted"}))) == 1
        assert with_confirmation((asked,), first) == (asked,), "an older one that says no more is left out"


class TestChannels:
    def test_what_a_booth_cannot_supply(self):
        channels = {document.id: document.channel.value for document in CATALOGUE.all()}
        assert channels["de-passport-id"] == channels["fr-passport-id"] == "not_accepted"
        assert channels["ca-passport"] == "with_conditions"
        assert CATALOGUE.get("ca-passport").back.lines == ("studio", "date")

    def test_what_nobody_read_is_asked_of_the_office(self):
        """A channel from memory never reads as accepted, nor does that of a size borrowed from practice."""
        for document in CATALOGUE.all():
            borrowed = [key for key, rule in document.geometry() if rule.evidence == "practice"]
            if document.channel.value == "self_service" and document.channel.evidence != "practice":
                assert document.channel.evidence in ("primary", "quoted"), document.id
                assert not borrowed, document.id

    def test_sizes_borrowed_from_practice(self):
        for document_id in ("es-dni", "gb-passport-digital", "ie-passport-online", "it-cie", "nz-passport-digital"):
            assert questions_for_office(CATALOGUE.get(document_id)) == ("channel", "head_height"), document_id
        assert questions_for_office(CATALOGUE.get("in-evisa")) == ("channel", "head_height", "upload.pixels")
        assert questions_for_office(CATALOGUE.get("cn-visa-digital")) == ("channel",)
        assert questions_for_office(CATALOGUE.get("gb-passport-print")) == ()
        assert questions_for_office(CATALOGUE.get("event-badge-a6")) == ()

    def test_an_upload_beside_a_print_is_counted(self):
        """The pixels of the file were once taken on trust where a document is also a print."""
        document = CATALOGUE.get("hk-passport")
        remembered = document.upload.pixels.model_copy(update={"evidence": "memory"})
        upload = document.upload.model_copy(update={"pixels": remembered})
        assert unverified_geometry(document.model_copy(update={"upload": upload})) == ("upload.pixels",)

    def test_what_the_office_answered_is_what_the_sitter_reads(self):
        document = CATALOGUE.get("hk-passport")
        (silent,) = confirmed("hk-passport")
        asked = silent.model_copy(update={"channel": "self_service"})
        later = silent.model_copy(update={"channel": "with_conditions", "on": date(2026, 12, 5)})
        assert settled(document, (silent,)).channel.value == "unconfirmed"
        assert settled(document, (asked,)).channel.value == "self_service"
        assert settled(document, (later, asked)).channel.value == "with_conditions"

    def test_british_booths_are_read_not_remembered(self):
        """Primary: passport.service.gov.uk/help/photo-codes, "Photo booths and shops"."""
        assert CATALOGUE.get("gb-passport-print").channel.evidence == "primary"

    def test_german_notice_names_the_day(self):
        assert "1 May 2025" in CATALOGUE.get("de-passport-id").channel.text


class TestUploads:
    def test_bytes_are_bounded_by_window_and_compression(self):
        upload = CATALOGUE.get("us-visa-digital").upload
        assert upload.bytes_window(600, 600) == Range(54_000, 240_000)
        assert upload.bytes_window(1400, 1400).is_empty

    def test_a_file_without_byte_limits_is_open(self):
        assert CATALOGUE.get("us-real-id-dl").upload.bytes_window(480, 600) == Range(None, None)

    def test_a_least_size(self):
        assert CATALOGUE.get("cn-visa-digital").upload.bytes_window(354, 472) == Range(40_000, 120_000)


def test_poses_of_a_chinese_visa_are_its_own():
    capture = CATALOGUE.get("cn-visa-print").capture
    assert (capture["roll"].range, capture["pitch"].range) == (Range(-20, 20), Range(-25, 25))
    assert capture["yaw"] == CATALOGUE.get("gb-passport-print").capture["yaw"]
