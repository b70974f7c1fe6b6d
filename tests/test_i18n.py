"""The catalogues are complete, their placeholders agree, and what fills them keeps its order."""

import re
import string
from decimal import Decimal
from gettext import c2py
from pathlib import Path

import pytest
from babel import Locale

from kiosk.core.document.requirements import BY_EYE
from kiosk.core.session.instructions import CHECKS, Instruction
from kiosk.core.session.questions import LOOK_FOR
from kiosk.core.view.choice import Price
from kiosk.errors import MissingPart
from kiosk.i18n import SOURCE_TAG, Words, available, isolated, native_name, read_catalogue

SCREENS = Path(__file__).parents[1] / "kiosk" / "screens"
NAMES = {
    "en": "English",
    "ar": "العربية",
    "bn": "বাংলা",
    "cy": "Cymraeg",
    "de": "Deutsch",
    "es": "Español",
    "fr": "Français",
    "hi": "हिन्दी",
    "pa": "ਪੰਜਾਬੀ",
    "pl": "Polski",
    "pt": "Português",
    "tr": "Türkçe",
    "uk": "Українська",
    "ur": "اردو",
    "vi": "Tiếng Việt",
    "zh-Hans": "中文 (简体)",
}


@pytest.fixture(params=available())
def tag(request):
    return request.param


def messages(tag):
    return {message.id: message for message in read_catalogue(tag) if message.id}


def locale(tag):
    return Locale.parse(tag, sep="-")


def forms(message):
    return message.string if isinstance(message.string, tuple) else (message.string,)


def placeholders(text):
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


def test_the_booth_speaks_these_languages():
    assert available() == tuple(NAMES)
    assert available()[0] == SOURCE_TAG


def test_every_message_is_there_and_none_is_left_over(tag):
    assert messages(tag).keys() == messages(SOURCE_TAG).keys()


def test_no_message_is_empty_or_doubtful(tag):
    for key, message in messages(tag).items():
        assert all(form.strip() for form in forms(message)), key
        assert not message.fuzzy, key


def test_placeholders_are_those_of_the_source(tag):
    source = messages(SOURCE_TAG)
    for key, message in messages(tag).items():
        wanted = placeholders(forms(source[key])[-1])
        for form in forms(message):
            assert placeholders(form) == wanted, (key, form)


def test_counted_messages_have_the_forms_of_their_language(tag):
    """One form for each category of Unicode CLDR that whole numbers fall into."""
    categories = {locale(tag).plural_form(number) for number in range(300)}
    for key, message in messages(tag).items():
        if message.pluralizable:
            assert len(forms(message)) == len(categories), key


def test_plural_forms_part_numbers_as_cldr_does(tag):
    """Two numbers share a form if and only if Unicode CLDR puts them into one category (Babel's copy of its data)."""
    form, category = c2py(read_catalogue(tag).plural_expr), locale(tag).plural_form
    pairs = {(form(number), category(number)) for number in range(300)}
    assert len(pairs) == len({index for index, _ in pairs}) == len({name for _, name in pairs})


def test_each_header_says_whether_a_native_speaker_has_read_it(tag):
    headers = dict(read_catalogue(tag).mime_headers)
    assert headers["Content-Type"] == "text/plain; charset=utf-8"
    source = (SCREENS.parent / "locale" / f"{tag}.po").read_text(encoding="utf-8")
    review = re.search(r'^"X-Native-Review: (.+)\\n"$', source, re.MULTILINE)
    assert review is not None
    assert tag == SOURCE_TAG or review[1] == "none: machine-made, not reviewed by a native speaker"


def test_a_number_is_never_parted_from_its_unit_nor_a_word_at_its_hyphen(tag):
    for key, message in messages(tag).items():
        for form in forms(message):
            assert "{cm} " not in form, key
            assert not (str(key).startswith("file.wifi") and "Wi-Fi" in form), key


@pytest.mark.parametrize(("tag", "plural"), [("fr", "ans"), ("es", "años"), ("pt", "anos"), ("pl", "lat")])
def test_nobody_is_younger_than_one_years(tag, plural):
    assert plural not in Words.load(tag).tr("asks.younger", age=1).split()


@pytest.mark.parametrize("hard", ["relax.", "begins so", "be seen behind", "such a name", "takes the photo."])
def test_no_words_are_left_that_sitters_found_hard(hard):
    assert [key for key, message in messages(SOURCE_TAG).items() if any(hard in form for form in forms(message))] == []


def test_translators_see_the_source_as_it_is_now(tag):
    source = {key: forms(message) for key, message in messages(SOURCE_TAG).items()}
    for key, message in messages(tag).items() if tag != SOURCE_TAG else ():
        shown = [note.removeprefix("English: ") for note in message.auto_comments if note.startswith("English: ")]
        assert shown, key
        assert shown[0] in source[key] or shown[0] == " / ".join(source[key]), key


def test_every_key_the_screens_name_is_in_the_catalogue():
    known = {key[0] if isinstance(key, tuple) else key for key in messages(SOURCE_TAG)}
    source = "".join(path.read_text(encoding="utf-8") for path in SCREENS.rglob("*.py"))
    named = set(re.findall(r'"([a-z_]+(?:\.[a-z_]+)+)"', source))
    assert named - known == set()
    assert {f"instruction.{key}" for key in (*Instruction, "wait", "stay", "measuring")} <= known
    assert {f"check.{key}" for key in CHECKS} <= known


def test_every_key_in_the_catalogue_is_used():
    others = [SCREENS.parent / name for name in ("handover/site.py", "render/receipt/words.py", "i18n.py")]
    source = "".join(path.read_text(encoding="utf-8") for path in (*SCREENS.rglob("*.py"), *others))
    named = set(re.findall(r'"([a-z_]+(?:\.[a-z_]+)*)"', source))
    built = [
        re.sub(r"\\{.*?\\}", "[A-Za-z_]+", re.escape(text)) for text in re.findall(r'f"([a-z_]+\.[^" ]+)"', source)
    ]
    for key in messages(SOURCE_TAG):
        name = key[0] if isinstance(key, tuple) else key
        assert name in named or any(re.fullmatch(pattern, name) for pattern in built), name


def test_every_requirement_has_a_name_and_a_reason():
    keys = messages(SOURCE_TAG).keys()
    names = {key.split(".")[1] for key in keys if str(key).startswith("requirement.")}
    never_fail = set(BY_EYE)
    assert names - never_fail == {key.split(".")[1] for key in keys if str(key).startswith("reason.")}
    assert never_fail < names
    assert len(names) > 20
    assert names >= LOOK_FOR.keys()
    assert {f"look.{question}" for question in LOOK_FOR.values()} == {
        key for key in keys if str(key).startswith("look.")
    }


@pytest.mark.parametrize(
    ("tag", "count", "text"),
    [
        ("en", 1, "1 photo on A6"),
        ("en", 8, "8 photos on A6"),
        ("de", 1, "1 Foto auf A6"),
        ("fr", 0, "0 photo sur A6"),
        ("pl", 2, "2 zdjęcia na A6"),
        ("pl", 12, "12 zdjęć na A6"),
        ("pl", 22, "22 zdjęcia na A6"),
        ("ar", 3, "3 صور على A6"),
        ("ar", 11, "11 صورة على A6"),
        ("pt", 1, "1 foto em A6"),
        ("cy", 2, "2 lun ar A6"),
        ("cy", 4, "4 llun ar A6"),
        ("pa", 1, "A6 ਉੱਤੇ 1 ਫ਼ੋਟੋ"),
        ("pa", 8, "A6 ਉੱਤੇ 8 ਫ਼ੋਟੋਆਂ"),
        ("ur", 1, "A6 پر 1 تصویر"),
        ("ur", 8, "A6 پر 8 تصاویر"),
        ("vi", 1, "1 ảnh trên A6"),
        ("zh-Hans", 8, "A6 上 8 张照片"),
    ],
)
def test_counts(tag, count, text):
    shown = Words.load(tag).tr("printing.sheet", count=count, paper="A6")
    assert re.sub("[\u2066-\u2069]", "", shown) == text


def test_a_count_is_a_whole_number():
    with pytest.raises(TypeError, match="whole"):
        Words.load("en").tr("printing.sheet", count=1.5, paper="A6")


def test_what_fills_a_placeholder_is_isolated_and_keeps_with_its_unit():
    shown = Words.load("de").tr("collect.size", size="35 × 45 mm")
    assert "\u206835\u00a0×\u00a045\u00a0mm\u2069" in shown


def test_arabic_is_isolated_as_a_whole_and_latin_is_not():
    arabic, german = Words.load("ar"), Words.load("de")
    assert arabic.is_right_to_left
    assert not german.is_right_to_left
    assert arabic.tr("button.help").startswith("\u2067")
    assert arabic.tr("button.help").endswith("\u2069")
    assert german.tr("button.help") == "Hilfe"


def test_isolates_are_balanced_in_every_message(tag):
    words = Words.load(tag)
    for key, message in messages(tag).items():
        filled = dict.fromkeys(placeholders(forms(message)[0]), "35 mm")
        if message.pluralizable:
            filled["count"] = 3
        shown = words.tr(key[0] if isinstance(key, tuple) else key, **filled)
        assert len(re.findall("[\u2066-\u2068]", shown)) == shown.count("\u2069"), key
        assert "{" not in shown, key


def test_a_value_that_looks_like_a_placeholder_stays_text():
    assert isolated("{x}") in Words.load("en").tr("collect.size", size="{x}")


def test_dates_and_countries_are_in_the_language():
    assert Words.load("de").date("2026-11-03") == "3. November 2026"
    assert Words.load("pl").date("2026-11-03") == "3 listopada 2026"
    assert Words.load("fr").country("DE") == "Allemagne"
    assert Words.load("de").country("HK") == "Hongkong"
    assert Words.load("uk").country("ZA") == "ПАР"
    assert Words.load("en").country("ZZ") in ("ZZ", "Unknown Region")


def test_languages_are_named_by_those_who_speak_them():
    assert {tag: native_name(tag) for tag in available()} == NAMES


def test_a_regional_tag_falls_back_on_its_language():
    assert Words.load("de-AT").tr("button.help") == "Hilfe"
    assert Words.load("de-AT").tag == "de-AT"
    assert Words.load("zh-SG").tr("button.help") == "帮助"


@pytest.mark.parametrize("tag", ["tlh", "zh-TW", "xx-invalid-tag", "../en"])
def test_a_language_without_a_catalogue_is_refused(tag):
    with pytest.raises(MissingPart):
        Words.load(tag)


def test_a_measurement_newer_than_the_catalogue_still_reads():
    assert Words.load("en").tr("reason.ear_symmetry") == "Ear symmetry"


@pytest.mark.parametrize(
    ("tag", "written"),
    [("en", "£9.50"), ("de", "9,50\u00a0£"), ("ar", "9.50\u00a0£"), ("fr", "9,50\u00a0£"), ("uk", "9,50\u00a0£")],
)
def test_a_price_is_written_as_the_language_writes_it(tag, written):
    """CLDR's standard currency patterns: ¤#,##0.00, #,##0.00 ¤ and one with a mark before it (from memory).

    The sign is the one on the coins, not CLDR's "UK£" and "£GB".
    """
    assert Words.load(tag).money(Price(Decimal("9.5"), "GBP")) == written


def test_texts_side_by_side_keep_the_reading_order():
    """The whole is isolated in the direction of the language (UAX #9, X5a: RLI begins an embedding of its own)."""
    arabic, german = Words.load("ar"), Words.load("de")
    assert arabic.joined("a", "b") == "\u2067a · b\u2069"
    assert german.joined("a", "b") == "a · b"
