"""The page of a file in a real browser of a phone's size: its button saves the file, once."""

import pytest
from selenium.webdriver.common.by import By

from tests.page.test_browser import TARGET_PX, phone
from tests.support.handover_lab import NAME, eventually, handed, picture

__all__ = ["phone"]

pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]


@pytest.mark.parametrize("language", ["en", "ar"])
def test_a_phone_saves_the_file_by_the_button(tmp_path, phone, language):
    saved = tmp_path / "saved"
    saved.mkdir()
    phone.execute_cdp_cmd("Browser.setDownloadBehavior", {"behavior": "allow", "downloadPath": str(saved)})
    with handed(picture()) as file:
        phone.get(file.opened(language).link)
        button = phone.find_element(By.TAG_NAME, "a")
        box = button.rect
        assert min(box["width"], box["height"]) >= TARGET_PX
        width = phone.execute_script("return document.documentElement.scrollWidth - window.innerWidth")
        assert width <= 0, "nothing has to be scrolled sideways"
        assert phone.execute_script("return getComputedStyle(document.querySelector('a')).display") == "block"
        button.click()
        file.until("taken")
        assert eventually((saved / f"{NAME}.jpg").exists)
        assert (saved / f"{NAME}.jpg").read_bytes() == picture()
        refused = [entry for entry in phone.get_log("browser") if "Content Security Policy" in entry["message"]]
        assert refused == []
