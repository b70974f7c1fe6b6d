"""The attendant's page in a real browser of a phone's size: Debian's Chromium, driven by WebDriver (W3C)."""

import os
import shutil
from dataclasses import replace

import pytest
from selenium import webdriver
from selenium.common.exceptions import StaleElementReferenceException
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.support.wait import WebDriverWait

from kiosk.core.attendant.state import TellSession
from kiosk.core.session.events import Released
from tests.support.page_lab import WAITING, counter
from tests.support.pin import PIN

PHONE_PX = (390, 844)
TARGET_PX = 44
"""WCAG 2.2, 2.5.5 (AAA): a target has at least 44 by 44 CSS pixels."""

RELEASE = "button[value=release]"
SIDES_PX = """return [...document.querySelectorAll("button")].map(button => button.getBoundingClientRect())
    .flatMap(box => [box.width, box.height])"""
"""Asked for at once: the page replaces a part of itself every two seconds, and an element found before is stale."""

pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]


@pytest.fixture
def phone(tmp_path):
    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which("chromium") or pytest.fail("install the Debian package chromium")
    for argument in ("--headless=new", "--no-sandbox", "--disable-gpu"):
        options.add_argument(argument)
    options.add_argument(f"--user-data-dir={tmp_path / 'profile'}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    options.add_experimental_option(
        "mobileEmulation", {"deviceMetrics": {"width": PHONE_PX[0], "height": PHONE_PX[1], "pixelRatio": 2.0}}
    )
    # of its own: the screens take the machine's fonts out of this process's environment, and Chromium dies without any
    environment = {"PATH": os.environ["PATH"], "HOME": str(tmp_path), "LC_ALL": "C.UTF-8"}
    driver = webdriver.Chrome(options, Service(shutil.which("chromedriver"), env=environment))
    driver.set_page_load_timeout(60)
    yield driver
    driver.quit()


def test_a_phone_signs_in_sees_the_call_and_releases_the_sheet(tmp_path, phone):
    with counter(tmp_path) as of:
        of.session = WAITING
        wait = WebDriverWait(phone, 60, ignored_exceptions=[StaleElementReferenceException])
        phone.get(f"http://127.0.0.1:{of.port}/")
        phone.find_element(By.NAME, "pin").send_keys("111222")
        phone.find_element(By.TAG_NAME, "button").click()
        assert wait.until(lambda page: page.find_elements(By.CLASS_NAME, "notice"))[0].text == "That is not the PIN."
        phone.save_screenshot(tmp_path / "sign_in.png")
        phone.find_element(By.NAME, "pin").send_keys(PIN)
        phone.find_element(By.TAG_NAME, "button").click()
        wait.until(lambda page: page.find_elements(By.CSS_SELECTOR, RELEASE))
        assert "A sitter asks for you." in phone.find_element(By.ID, "state").text
        phone.save_screenshot(tmp_path / "state.png")
        width = phone.execute_script("return document.documentElement.scrollWidth")
        assert width <= PHONE_PX[0], "nothing has to be scrolled sideways"
        sides_px = phone.execute_script(SIDES_PX)
        assert sides_px
        assert min(sides_px) >= TARGET_PX
        cookie = phone.get_cookie("desk")
        assert (cookie["httpOnly"], cookie["sameSite"]) == (True, "Strict")
        assert phone.execute_script("return document.cookie") == ""
        wait.until(lambda page: page.find_element(By.CSS_SELECTOR, RELEASE).click() is None)
        wait.until(lambda page: TellSession(Released()) in of.done)
        of.session = replace(WAITING, state="printing", called=False)
        wait.until(lambda page: "A sheet is being printed." in page.find_element(By.ID, "state").text)
        assert not phone.find_elements(By.CSS_SELECTOR, RELEASE), "the page follows by itself"
        blocked = [line for line in phone.get_log("browser") if "Content Security Policy" in line["message"]]
        assert blocked == []
