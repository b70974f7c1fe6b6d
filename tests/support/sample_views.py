"""Views of every state, with the longest texts, the largest numbers and every verdict that a sitter can meet."""

from dataclasses import replace
from decimal import Decimal
from typing import get_args

import cv2
import numpy as np

from kiosk.core.base.geometry import Point, Rect, Size
from kiosk.core.base.measurement import HeadPoints
from kiosk.core.session.instructions import CHECKS, Instruction
from kiosk.core.view.align import Check
from kiosk.core.view.choice import DocumentOffer, Guest, PaperOffer, Price, Search
from kiosk.core.view.handover import FileFault
from kiosk.core.view.kept_sheet import MOST_MINUTES
from kiosk.core.view.review import PhotoChoice, VerdictRow
from kiosk.core.view.sheet import SheetPhoto
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import available
from kiosk.screens.toolkit.scene import PanelPlace, ScenePicture
from tests.support.views import altered

OFFERS = tuple(
    DocumentOffer(f"document-{index}", title, country, size, channel, kinds)
    for index, (title, country, size, channel, kinds) in enumerate(
        [
            ("Passport, printed", "GB", "35 × 45 mm", "self_service", ("passport",)),
            ("Passport and identity card", "DE", "35 × 45 mm", "unconfirmed", ("passport", "identity_card")),
            ("Passport (and printed visa photo)", "US", "2 × 2 in", "self_service", ("passport", "visa")),
            ("Displayed portrait, any country", None, "35 × 45 mm", "self_service", ()),
            ("Passport, printed", "CA", "50 × 70 mm", "self_service", ("passport",)),
            ("Staff badge", "PL", "54 × 86 mm", "self_service", ("staff_badge",)),
            ("Residence card", "ES", "26 × 32 mm", "self_service", ("residence_permit",)),
        ]
    )
)
LINK = "HTTP://192.168.178.254:8444/FKHJYLNO3VE5IVWQ2DM2JZYVP4"
WIFI = "Photo shop at the market, guests"
KEPT = tuple(Check(key, "pass") for key in CHECKS)
MIXED = tuple(
    Check(key, word) for key, word in zip(CHECKS, ("pass", "fail", "unmeasured", "refer", "pass", "pass"), strict=True)
)
RIGHT = (
    VerdictRow("head_size", "32.4 mm", "29.0 … 34.0 mm", "pass"),
    VerdictRow("eye_line", "27.9 mm", "≥ 20.0 mm", "pass"),
    VerdictRow("background_uniformity", "12.4 ΔE", "≤ 14.0 ΔE", "pass"),
    VerdictRow("yaw", "-1.2°", "-5.0 … 5.0°", "pass"),
    VerdictRow("resolution", "420 dpi", "≥ 300 dpi", "pass"),
)
WRONG = (
    VerdictRow("yaw", "-8.1°", "-5.0 … 5.0°", "fail"),
    VerdictRow("eyes_open", "0.21", "≥ 0.20", "refer"),
    *RIGHT[:3],
)
DOUBTFUL = (
    *(
        VerdictRow(key, "0.21", "≥ 0.20", "refer")
        for key in ("eyes_open", "eyes_visible", "lens_glare", "expression_neutrality", "no_compression_artifacts")
    ),
    VerdictRow("natural_colour", "–", "≤ 6.0 ΔE", "unmeasured"),
    *RIGHT,
)
LOOK = (VerdictRow("visibility", "", "", "advise"), VerdictRow("noise", "2.4 code", "≤ 2.2 code", "advise"))


def portrait_pixels(width_px: int, height_px: int) -> ScenePicture:
    """Return a drawn head that differs left from right, so that a mirrored picture shows."""
    pixels = np.full((height_px, width_px, 3), 225, np.uint8)
    pixels[:, : width_px // 5] = (70, 90, 110)
    centre = width_px // 2, round(height_px * 0.45)
    cv2.ellipse(pixels, (centre[0], height_px), (width_px // 3, height_px // 4), 0, 0, 360, (70, 90, 110), -1)
    cv2.ellipse(pixels, centre, (width_px // 6, round(height_px * 0.22)), 0, 0, 360, (200, 160, 130), -1)
    cv2.circle(pixels, (centre[0] + width_px // 14, round(height_px * 0.42)), width_px // 50, (20, 20, 20), -1)
    return pixels


FRAME = portrait_pixels(640, 800)
PHOTO = cv2.imencode(".png", portrait_pixels(350, 450)[..., ::-1])[1].tobytes()
COMMON = altered(
    SessionView(),
    languages=available(),
    has_voice=True,
    volume=2,
    offers=OFFERS,
    document=replace(OFFERS[1], kinds=()),
    rules_read_on="2026-09-30",
    copies=8,
    paper="10x15cm",
    photo_mm=(35.0, 45.0),
    guide=Rect(0.3226, 0.2275, 0.3548, 0.434),
    inner=Rect(0.3494, 0.2589, 0.3011, 0.3732),
    outer=Rect(0.2378, 0.1362, 0.5245, 0.6148),
    crop=Rect(0.2, 0.15, 0.6, 0.617),
    shots=4,
    simulated=True,
)
GUESTS = (
    Guest("G1", "Anahita Featherstone-Lindqvist", "Harbour Works and Maritime Research Institute"),
    Guest("G2", "Անահիտ Հակոբյան", "", has_badge=True),
    Guest("G3", "Ana Öz", "Open Sea"),
)
EVENT = altered(COMMON, state="find", document=None, is_event=True)
POINTS = HeadPoints(Point(17, 6.0), Point(17, 5.0), Point(17, 38.0), Point(13, 21), Point(22, 21))
REVIEW = altered(COMMON, state="review", photo_jpeg=PHOTO, photo_points_mm=POINTS, shot=1)
SHEET = tuple(SheetPhoto(Rect(3.0 + 47.0 * x, 3.0 + 37.0 * y, 45.0, 35.0), True) for y in range(4) for x in (0, 1))
POUNDS = Price(Decimal("1209.50"), "GBP")
VIEWS = {
    "welcome": altered(COMMON, state="welcome", document=None),
    "choose": altered(COMMON, state="choose", document=None),
    "choose_nothing": altered(COMMON, state="choose", offers=()),
    "find": altered(EVENT, search=Search("", (), tuple("abcdefghijklmnopqrstuvwxyzабвгд"))),
    "find_typed": altered(EVENT, search=Search("an", GUESTS, (" ", "a", "d", "n", "t"))),
    "find_nobody": altered(EVENT, search=Search("xq")),
    "find_unknown_code": altered(EVENT, search=Search("", (), tuple("abc"), unknown_code=True)),
    "find_refused": altered(EVENT, fault=("Not now.", "Ask."), search=Search("", (), tuple("abc"))),
    "privacy_badge": altered(EVENT, state="privacy", guest=GUESTS[0], shared_until="2026-12-31", shares=True),
    "review_badge": altered(REVIEW, verdict="fail", rows=WRONG, reasons=("yaw",), is_event=True, guest=GUESTS[0]),
    "collect_badge": altered(EVENT, state="collect", guest=GUESTS[0]),
    "prepare": altered(COMMON, state="prepare", document=replace(OFFERS[1], glasses=True, ages=(0, 1, 6))),
    "privacy": altered(COMMON, state="privacy"),
    "privacy_child": altered(
        COMMON, state="privacy", care="child", document=replace(OFFERS[1], glasses=True, asks_of_face="eyes")
    ),
    "privacy_baby": altered(
        COMMON, state="privacy", care="lying", document=replace(OFFERS[1], glasses=False, asks_of_face="nothing")
    ),
    "privacy_plain": altered(COMMON, state="privacy", document=OFFERS[0], rules_read_on=""),
    "align": altered(COMMON, state="align", instruction="turn_left", checks=MIXED),
    "align_waiting": altered(COMMON, state="align", checks=tuple(Check(key, "unmeasured") for key in CHECKS)),
    "align_again": altered(COMMON, state="align", instruction="open_eyes", checks=MIXED, shot=1, reasons=("pitch",)),
    "align_remedy": altered(
        COMMON, state="align", instruction="tip_glasses", checks=KEPT, shot=1, reasons=("lens_glare",)
    ),
    "align_retake": altered(
        REVIEW,
        state="align",
        verdict="fail",
        instruction="tip_glasses",
        checks=KEPT,
        reasons=("lens_glare",),
        shows_retake=True,
    ),
    "align_person": altered(
        COMMON,
        state="align",
        instruction="sit_lower",
        checks=MIXED,
        has_other_words=True,
        height_off_cm=-12,
        wants_person=True,
        attended=True,
    ),
    "align_holding": altered(
        COMMON, state="align", instruction="hold_still", checks=KEPT, hold_fraction=0.6, praise=True
    ),
    "shooting": altered(COMMON, state="shooting", checks=KEPT, shot=1),
    "measuring": altered(COMMON, state="measuring", checks=KEPT, shot=1, now_s=1.2),
    "review_pass": altered(REVIEW, verdict="pass", rows=RIGHT),
    "review_two": altered(
        REVIEW,
        verdict="pass",
        rows=RIGHT,
        photos=(
            PhotoChoice(1, PHOTO, is_chosen=False, is_best=True),
            PhotoChoice(2, PHOTO, is_chosen=True, is_best=False),
        ),
    ),
    "review_advised": altered(REVIEW, verdict="pass", rows=(*RIGHT, *LOOK)),
    "review_fail": altered(REVIEW, verdict="fail", rows=WRONG, reasons=("yaw", "eyes_open"), remedy="look_at_lens"),
    "review_stuck": altered(
        REVIEW, verdict="fail", rows=WRONG, reasons=("lens_glare",), remedy="tip_glasses", is_stuck=True, attended=True
    ),
    "review_refer": altered(REVIEW, verdict="refer", rows=WRONG[1:], reasons=("eyes_open",)),
    "review_doubt": altered(REVIEW, verdict="refer", rows=WRONG[1:], reasons=("eyes_open",), sitter_decides=True),
    "review_doubts": altered(
        REVIEW, verdict="refer", rows=DOUBTFUL, reasons=tuple(row.key for row in DOUBTFUL[:6]), sitter_decides=True
    ),
    "review_unmeasured": altered(REVIEW, verdict="unmeasured", photo_jpeg=b"", photo_points_mm=None),
    "review_attended": altered(REVIEW, verdict="fail", rows=WRONG, reasons=("yaw",), attended=True),
    "review_called": altered(
        REVIEW, verdict="refer", rows=WRONG[1:], reasons=("eyes_open",), attended=True, called=True
    ),
    "review_passed": altered(REVIEW, verdict="fail", rows=WRONG, reasons=("yaw",), passed_by_attendant=True),
    "copies": altered(
        REVIEW, state="copies", sheets_offered=(1, 2, 3), total=POUNDS, placements=SHEET, paper_mm=Size(101.6, 152.4)
    ),
    "copies_papers": altered(
        COMMON,
        state="copies",
        papers=(PaperOffer("10x15cm", 8, POUNDS), PaperOffer("13x18cm", 15, POUNDS), PaperOffer("a4", 30, POUNDS)),
        sheets_offered=(1, 2, 4, 8),
        sheets=4,
        total=POUNDS,
    ),
    "copies_coins": altered(
        REVIEW, state="copies", total=POUNDS, way="coins", due=POUNDS, placements=SHEET, paper_mm=Size(101.6, 152.4)
    ),
    "copies_declined": altered(
        REVIEW,
        state="copies",
        total=POUNDS,
        way="terminal",
        due=POUNDS,
        note="unknown",
        placements=SHEET,
        paper_mm=Size(101.6, 152.4),
    ),
    "copies_credit": altered(
        COMMON,
        state="copies",
        papers=(PaperOffer("10x15cm", 8, POUNDS), PaperOffer("a4", 30, POUNDS)),
        sheets_offered=(1, 2, 4, 8),
        total=POUNDS,
        way="coins",
        due=POUNDS,
        paid=POUNDS,
        note="failed",
    ),
    "copies_stopped": altered(
        REVIEW,
        state="copies",
        papers=(PaperOffer("10x15cm", 8, POUNDS), PaperOffer("a4", 30, POUNDS)),
        total=POUNDS,
        way="terminal",
        due=POUNDS,
        print_state="failed",
    ),
    "release": altered(COMMON, state="release"),
    "paying_coins": altered(
        COMMON, state="paying", way="coins", due=POUNDS, paid=POUNDS, seconds_left=119, sheets=2, now_s=1.0
    ),
    "paying_terminal": altered(COMMON, state="paying", way="terminal", due=POUNDS, seconds_left=9, now_s=1.0),
    "paying_ending": altered(COMMON, state="paying", way="terminal", due=POUNDS, is_ending=True, now_s=1.0),
    "printing_waiting": altered(COMMON, state="printing"),
    "printing_badge": altered(EVENT, state="printing", guest=GUESTS[0]),
    "printing": altered(COMMON, state="printing", print_state="printing", now_s=1.0),
    "printing_timed": altered(
        COMMON,
        state="printing",
        print_state="printing",
        takes_s=40,
        tray="below",
        document=replace(OFFERS[1], glasses=False),
    ),
    "printing_held": altered(COMMON, state="printing", print_state="held", now_s=1.0),
    "printing_held_attended": altered(COMMON, state="printing", print_state="held", attended=True, now_s=1.0),
    "unprinted": altered(REVIEW, state="unprinted", print_state="failed", photo_minutes=5, attended=True),
    "unprinted_called": altered(
        REVIEW, state="unprinted", print_state="failed", photo_minutes=1, attended=True, called=True
    ),
    "unprinted_unknown": altered(REVIEW, state="unprinted", print_state="unknown", photo_minutes=5),
    "unprinted_paid": altered(
        REVIEW, state="unprinted", print_state="failed", photo_minutes=5, attended=True, way="coins", paid=POUNDS
    ),
    "unprinted_ready": altered(REVIEW, state="unprinted", print_state="ready", photo_minutes=3),
    "collect": altered(COMMON, state="collect"),
    "collect_file": altered(COMMON, state="collect", ways=("phone", "stick"), stage="kept"),
    "file_ways": altered(COMMON, state="take_file", ways=("phone", "stick"), stage="kept"),
    "file_opening": altered(COMMON, state="take_file", ways=("phone",), stage="opening", by="phone", wiped_in_s=300),
    "file_link": altered(
        COMMON, state="take_file", ways=("phone", "stick"), stage="link", by="phone", link=LINK, wiped_in_s=299
    ),
    "file_link_wifi": altered(
        COMMON, state="take_file", ways=("phone",), stage="link", by="phone", link=LINK, wifi=WIFI, wiped_in_s=61
    ),
    "file_insert": altered(COMMON, state="take_file", ways=("stick",), stage="insert", by="stick", wiped_in_s=899),
    "file_writing": altered(COMMON, state="take_file", ways=("stick",), stage="writing", by="stick", wiped_in_s=9),
    "file_on_phone": altered(COMMON, state="take_file", ways=("phone",), stage="taken", by="phone"),
    "file_on_stick": altered(COMMON, state="take_file", ways=("stick",), stage="taken", by="stick"),
    **{
        f"file_{failure}": altered(
            COMMON, state="take_file", ways=("phone", "stick"), stage="failed", by="stick", failure=failure
        )
        for failure in get_args(FileFault)
    },
    "money_back": altered(COMMON, state="money_back", document=None, way="terminal", paid=POUNDS, repaid=True),
    "money_owed": altered(
        COMMON, state="money_back", document=None, way="coins", paid=POUNDS, repaid=False, code="7C0DE"
    ),
    "money_checked": altered(COMMON, state="money_back", document=None, way="terminal", paid=POUNDS, code="7C0DE"),
    "collect_tray": altered(COMMON, state="collect", tray="outside", kept_minutes=MOST_MINUTES),
    "thanks": altered(COMMON, state="thanks"),
    "privacy_kept": altered(COMMON, state="privacy", kept_minutes=MOST_MINUTES),
    "collect_kept": altered(COMMON, state="collect", kept_minutes=MOST_MINUTES),
    "thanks_kept": altered(COMMON, state="thanks", kept_minutes=MOST_MINUTES),
    "out_of_order": altered(
        COMMON,
        state="out_of_order",
        fault=(
            "The camera does not answer: the USB device went away while a still was being fetched.",
            "Check its cable, battery and switch; the booth connects again by itself.",
        ),
    ),
    "out_of_order_printer": altered(COMMON, state="out_of_order", trouble="printer"),
    "out_of_order_sheet": altered(
        COMMON,
        state="out_of_order",
        trouble="sheet_unknown",
        fault=(
            "It is not known whether photo has printed the sheet: the printer was switched off with the sheet in it.",
            "Ask the attendant to look in the tray and to destroy a sheet that nobody takes.",
        ),
    ),
    "printing_glasses": altered(
        COMMON, state="printing", print_state="printing", sheets=2, document=replace(OFFERS[1], glasses=False)
    ),
    "align_lying": altered(COMMON, state="align", checks=MIXED, care="lying", mirror=False),
    "align_child": altered(COMMON, state="align", checks=MIXED[:4], care="child", instruction="turn_left"),
    "privacy_refused": altered(COMMON, state="privacy", document=replace(OFFERS[1], channel="not_accepted")),
    "privacy_conditions": altered(COMMON, state="privacy", document=replace(OFFERS[1], channel="with_conditions")),
    "warning": altered(COMMON, state="privacy", time_left_s=14.2),
}
EVERY_INSTRUCTION = {key.value: altered(COMMON, state="align", instruction=key, checks=KEPT) for key in Instruction}
OTHER_WORDS = {
    f"{key} again": altered(view, has_other_words=True, height_off_cm=12)
    for key, view in EVERY_INSTRUCTION.items()
    if not key.endswith("_right")
}
PLACES = (
    ("welcome", PanelPlace("help")),
    ("review_attended", PanelPlace("help")),
    ("review_called", PanelPlace("help")),
    ("review_called", PanelPlace("called")),
    ("align", PanelPlace("language")),
    ("align", PanelPlace("ease")),
    ("unprinted", PanelPlace("delete")),
    ("review_fail", PanelPlace("details")),
    ("review_doubts", PanelPlace("details", page=1)),
    ("choose", PanelPlace("countries")),
    ("choose", PanelPlace("kinds")),
    ("choose", PanelPlace("search")),
    ("choose", PanelPlace("search", query="p")),
    ("choose", PanelPlace("search", query="ж€")),
    ("choose", PanelPlace(query="p")),
    ("choose", PanelPlace(kind="passport")),
    ("choose", PanelPlace(country="DE")),
    ("choose", PanelPlace(page=1)),
)
