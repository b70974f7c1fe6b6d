"""Every shipped document loads and is true to its file; what is wrong in a file is named with file, key and reason."""

import json
import re
import shutil
import tomllib
from datetime import date

import fastjsonschema
import pytest

from kiosk.catalogue.documents import SHARED, Catalogue, check, read_document, shipped_folder
from kiosk.catalogue.schema import schema_text
from kiosk.core.document.background import ColourRegion
from kiosk.core.document.document import Document
from kiosk.core.document.requirements import Relaxation
from kiosk.core.document.upload import Upload
from kiosk.errors import RulesRefused, UnknownDocument
from tests.support.shipped import CATALOGUE

SPECS = shipped_folder()
FILES = sorted(path for path in SPECS.glob("*.toml") if path.name not in SHARED)
PALETTE = {
    name: ColourRegion(name=name, **region)
    for name, region in tomllib.loads((SPECS / "colours.toml").read_text()).items()
}

VALIDATE = fastjsonschema.compile(json.loads((SPECS / "schema.json").read_text(encoding="utf-8")))

each_file = pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)


def as_written(value):
    """Return a model's dump as its TOML file says it: days as days, colours by name."""
    if isinstance(value, dict) and set(value) == set(ColourRegion.model_fields):
        return value["name"]
    if isinstance(value, dict):
        return {key: as_written(part) for key, part in value.items()}
    return [as_written(part) for part in value] if isinstance(value, (list, tuple)) else value


def as_json(value):
    """Return a TOML table as JSON carries it, days in ISO 8601."""
    return json.loads(json.dumps(value, default=date.isoformat))


class TestShipped:
    def test_four_of_them_are_badges(self):
        badges = [document for document in CATALOGUE.all() if "badge" in document.id]
        assert len(badges) == 4

    @each_file
    def test_round_trip(self, path):
        written = tomllib.loads(path.read_text(encoding="utf-8"))
        document = read_document(path, PALETTE)
        assert as_written(document.model_dump(exclude_unset=True)) == written
        assert Document.model_validate_json(document.model_dump_json()) == document

    @each_file
    def test_the_schema_agrees(self, path):
        """fastjsonschema, an independent validator of JSON Schema."""
        table = as_json(tomllib.loads(path.read_text(encoding="utf-8")))
        VALIDATE(table)
        with pytest.raises(fastjsonschema.JsonSchemaException):
            VALIDATE({**table, "head_hight": table["head_height"]})

    def test_the_schema_is_current(self):
        written = (SPECS / "schema.json").read_text(encoding="utf-8")
        assert written == schema_text(), "write kiosk.catalogue.schema.schema_text() to specs/schema.json"

    def test_every_rule_has_a_known_source_of_its_kind(self):
        for document in CATALOGUE.all():
            for key, rule in document.rules():
                kinds = {CATALOGUE.sources[name].kind for name in rule.source}
                if rule.evidence in ("primary", "memory"):
                    assert rule.evidence in kinds, (document.id, key)

    def test_every_source_is_used(self):
        used = {name for document in CATALOGUE.all() for _, rule in document.rules() for name in rule.source}
        assert set(CATALOGUE.sources) == used

    def test_only_pages_of_the_publisher_have_an_address(self):
        for name, source in CATALOGUE.sources.items():
            assert bool(source.url) == (source.kind == "primary"), name
            assert not re.search(r"\bS\d\d", source.title), name

    def test_capture_limits_are_shared(self):
        shared = set(tomllib.loads((SPECS / "capture.toml").read_text()))
        assert all(set(document.capture) == shared for document in CATALOGUE.all())


class TestGet:
    def test_by_id(self):
        assert CATALOGUE.get("gb-passport-print").title == "UK passport, printed photo"

    @pytest.mark.parametrize(
        ("asked", "meant"),
        [
            ("uk-passport-print", "gb-passport-print"),
            ("GB-PASSPORT-PRINT", "gb-passport-print"),
            ("jp-passport", "jp-passport-print"),
            ("us-pasport-print", "us-passport-print"),
            ("cn-visa", "cn-visa-print"),
        ],
    )
    def test_a_near_miss_is_answered_with_what_was_meant(self, asked, meant):
        with pytest.raises(UnknownDocument) as refusal:
            CATALOGUE.get(asked)
        assert meant in str(refusal.value.params["nearest"])
        assert asked in str(refusal.value)

    def test_nonsense_has_no_nearest(self):
        with pytest.raises(UnknownDocument) as refusal:
            CATALOGUE.get("%%%")
        assert refusal.value.params["nearest"] == "none"


class TestOwnFolder:
    """A shop's own folder: one file is enough, and what it adds stands beside what is shipped."""

    def test_one_file_is_enough(self, tmp_path):
        shutil.copy(SPECS / "gb-passport-print.toml", tmp_path)
        own = Catalogue.load(tmp_path)
        assert own.all() == (CATALOGUE.get("gb-passport-print"),)

    def test_its_own_sources_and_colours_and_limits(self, tmp_path):
        text = (SPECS / "gb-passport-print.toml").read_text()
        text = text.replace('"uk-border-copy"', '"leaflet"').replace('"cream"', '"eggshell"')
        (tmp_path / "gb-passport-print.toml").write_text(text)
        (tmp_path / "sources.toml").write_text('[leaflet]\ntitle = "Leaflet of the office"\nkind = "quoted"\n')
        (tmp_path / "colours.toml").write_text("[eggshell]\nlightness = [80, 95]\na = [0, 5]\nb = [5, 15]\n")
        (tmp_path / "capture.toml").write_text(
            '[yaw]\nmin = -3\nmax = 3\nunit = "deg"\nsource = ["leaflet"]\nevidence = "quoted"\nread_on = 2026-11-25\n'
        )
        own = Catalogue.load(tmp_path)
        document = own.get("gb-passport-print")
        assert document.background.colours[0].name == "eggshell"
        assert document.capture["yaw"].range.high == 3
        assert document.capture["roll"] == CATALOGUE.get("gb-passport-print").capture["roll"]
        assert own.sources["leaflet"].title == "Leaflet of the office"

    def test_an_empty_folder_is_refused(self, tmp_path):
        with pytest.raises(RulesRefused, match="the folder has no document"):
            Catalogue.load(tmp_path)

    def test_a_missing_folder_is_refused(self, tmp_path):
        with pytest.raises(RulesRefused):
            Catalogue.load(tmp_path / "nowhere")


US, CN, DE, GB = "us-passport-print", "cn-visa-print", "de-passport-id", "gb-passport-print"
JP = "jp-passport-print"


@pytest.mark.parametrize(
    ("document_id", "written", "changed", "where", "detail"),
    [
        (US, 'height = 2\nunit = "in"', 'height = 2\nunit = "cm"', "size.unit", "'mm' or 'in'"),
        (US, 'unit = "dpi"', 'unit = "ppi"', "resolution.unit", "'dpi'"),
        (US, "min = 1\nmax = 1.375", "minimum = 1\nmax = 1.375", "head_height.minimum", "unknown key"),
        (US, "min = 1\nmax = 1.375", "min = 1.4\nmax = 1.375", "head_height", "min 1.4 > max 1.375"),
        (US, "min = 1\nmax = 1.375", "min = 2.1\nmax = 2.2", "head_height", "no head of 53.34 to 55.88 mm"),
        (US, "min = 1\nmax = 1.375", "min = nan", "head_height.min", "finite"),
        (US, "min = 1\nmax = 1.375", "min = -1", "head_height.min", "greater than or equal to 0"),
        (US, "min = 1\nmax = 1.375\n", "", "head_height", "give min, max or both"),
        (US, "min = 1.125\nmax = 1.375", "min = 0.2\nmax = 0.3", "eye_line", "photo 50.8 mm high"),
        (US, "min = 1.125\nmax = 1.375", "min = 1.9\nmax = 2.0", "eye_line", "photo 50.8 mm high"),
        (US, '"white"', '"wight"', "background.accepted.1", "no colour is called 'wight'"),
        (US, "us-embassy-sofia", "us-embassy-soda", "size.source", "'us-embassy-soda' is not in sources.toml"),
        (US, 'id = "us-passport-print"', 'id = "us-passport"', "id", "not the file's name"),
        (US, 'id = "us-passport-print"', 'id = "US passport"', "id", "pattern"),
        (US, "[statements.expression]", "[statements.expresion]", "statements.expresion", "'expression'"),
        (US, "read_on = 2026-11-25", 'read_on = "last week"', "channel.read_on", "date"),
        (US, "[size]", "[size", "TOML", "line"),
        (GB, '"expression_neutrality"', '"expression_neutral"', "relaxations.2.lifts", "'expression_neutrality'"),
        (GB, "below_age_years = 6", "from_age_years = 7\nbelow_age_years = 6", "relaxations.2", "7 to below 6"),
        (CN, "[capture.pitch]", "[capture.pich]", "capture.pich", "'pitch' is the nearest"),
        (CN, 'unit = "deg"', 'unit = "rad"', "capture.pitch.unit", "measured in 'deg'"),
        (CN, "min = 20\nmax = 33", "min = 34\nmax = 35", "head_height.contradicted_by", "nothing satisfies both"),
        (CN, "min = 3\nmax = 5", "min = 17\nmax = 18", "margin_below", "photo 48 mm high"),
        (DE, "max = 3\nunit = \"months\"", "max = 12\nunit = \"weeks\"", "recency.contradicted_by", "'weeks'"),
        ("nl-passport-id", "min = 19\nmax = 30", "min = 47\nmax = 48", "relaxations.1.head_height", "47 to 48 mm"),
        (DE, "refused_below = 27", "refused_below = 33", "head_height.refused_below", "33.0 lies inside min 32.0"),
        (DE, "refused_above = 40", "refused_above = 35", "head_height.refused_above", "35.0 lies inside"),
        (DE, '"face_centre"]', '"face_center"]', "relaxations.2.lifts", "no measurement is called 'face_center'"),
        (DE, "effective_from = 2025-05-01", "superseded = true", "delivery.superseded", "in contradicted_by"),
        (JP, "allowed = true\nbetter_off", "allowed = false\nbetter_off", "spectacles.better_off", "not merely"),
        ("in-oci", '"light-grey", "light-blue", "cream"]', '"any"]', "upload.background", "suits the print and"),
        ("au-passport", "max_width = 40", "max_width = 30", "size.max_width", "30.0 is less than the print's own 35.0"),
        (CN, 'parts = ["ears"]', 'parts = ["nose"]', "visible.parts.1", "'ears'"),
        (CN, 'worn_for = ["religion"]', 'worn_for = ["fashion"]', "covering.worn_for.1", "'religion'"),
        ("schengen-visa", '["white"]', '["cream"]', "background.contradicted_by", "nothing satisfies both"),
        ("au-passport", 'value = "unconfirmed"', 'value = "self_service"', "channel.value", "asks the office"),
        (
            "gb-passport-digital",
            'value = "unconfirmed"',
            'value = "self_service"',
            "channel.value",
            "borrowed from practice: head_height",
        ),
        ("us-visa-digital", "max_width = 1200", "max_width = 500", "upload.pixels", "min_width 600 > max_width 500"),
        ("us-visa-digital", 'unit = "ratio"', 'unit = "percent"', "upload.compression.unit", "'ratio'"),
        ("us-visa-digital", "aspect = [1, 1]", "aspect = [1, 0]", "upload.pixels", "above zero"),
        ("cn-visa-digital", "min_bytes = 40_000", "min_bytes = 400_000", "upload.file", "400000 > max_bytes 120000"),
    ],
)  # fmt: skip
def test_a_wrong_file_is_refused_with_file_key_and_reason(tmp_path, document_id, written, changed, where, detail):
    text = (SPECS / f"{document_id}.toml").read_text(encoding="utf-8")
    assert written in text
    path = tmp_path / f"{document_id}.toml"
    path.write_text(text.replace(written, changed, 1), encoding="utf-8")
    with pytest.raises(RulesRefused) as refusal:
        Catalogue.load(tmp_path)
    assert refusal.value.params["path"] == path
    assert str(refusal.value.params["where"]).startswith(where)
    assert detail in str(refusal.value.params["detail"])


def test_the_example_of_the_readme_is_a_document(tmp_path):
    document, sources = re.findall(r"```toml\n(.*?)```", (SPECS / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    (tmp_path / "club-card.toml").write_text(document, encoding="utf-8")
    (tmp_path / "sources.toml").write_text(sources, encoding="utf-8")
    assert check(tmp_path) == ()
    card = Catalogue.load(tmp_path).get("club-card")
    assert (card.size_mm.width, card.size_mm.height) == (30, 40)
    assert (card.eye_line_mm.low, card.eye_line_mm.high) == (20, 26)


def test_the_readme_names_every_key():
    text = (SPECS / "README.md").read_text(encoding="utf-8")
    keys = set(Document.model_fields) | set(Upload.model_fields) | set(Relaxation.model_fields)
    assert {key for key in keys if key not in text} == {"from_age_years", "below_age_years", "note"}


def test_a_check_names_every_bad_file_and_no_good_one(tmp_path):
    for name, written, changed in ((US, 'unit = "dpi"', 'unit = "ppi"'), (GB, "[size]", "[sise]"), (DE, "", "")):
        text = (SPECS / f"{name}.toml").read_text(encoding="utf-8")
        (tmp_path / f"{name}.toml").write_text(text.replace(written, changed, 1), encoding="utf-8")
    assert [str(refusal.params["where"]) for refusal in check(tmp_path)] == ["sise", "resolution.unit"]


def test_a_check_of_what_is_shipped_finds_nothing():
    assert check(SPECS) == ()


def test_a_check_of_an_empty_folder_says_so(tmp_path):
    assert [refusal.params["path"] for refusal in check(tmp_path)] == [tmp_path]


def test_a_shared_limit_needs_a_known_source(tmp_path):
    shutil.copy(SPECS / f"{GB}.toml", tmp_path)
    (tmp_path / "capture.toml").write_text(
        '[yaw]\nmin = -3\nmax = 3\nunit = "deg"\nsource = ["hearsay"]\nevidence = "quoted"\nread_on = 2026-11-25\n'
    )
    with pytest.raises(RulesRefused, match=r"capture.toml: yaw.source: 'hearsay' is not in sources.toml"):
        Catalogue.load(tmp_path)


@pytest.mark.parametrize(
    ("name", "content", "where"),
    [
        ("colours.toml", "white = 3", "white"),
        ("colours.toml", "[white]\nlightness = [90, 80]\na = [0, 1]\nb = [0, 1]", "white"),
        ("sources.toml", '[leaflet]\ntitle = "Leaflet"\nkind = "rumour"', "leaflet.kind"),
        ("capture.toml", '[yaw]\nunit = "deg"\nsource = ["bench"]\nevidence = "measured"\nread_on = 2026-11-25', "yaw"),
    ],
)
def test_a_wrong_shared_file_is_refused(tmp_path, name, content, where):
    shutil.copy(SPECS / f"{GB}.toml", tmp_path)
    (tmp_path / name).write_text(content, encoding="utf-8")
    (refusal,) = check(tmp_path)
    assert (refusal.params["path"], refusal.params["where"]) == (tmp_path / name, where)


def test_a_document_without_print_and_upload_is_refused(tmp_path):
    text = (SPECS / "gb-passport-print.toml").read_text()
    (tmp_path / "gb-passport-print.toml").write_text(re.sub(r"\[size\]\n(?:\w.*\n)+", "", text))
    with pytest.raises(RulesRefused, match="size: give the size of a print, an upload, or both"):
        Catalogue.load(tmp_path)


def test_a_file_that_is_not_text_is_refused(tmp_path):
    (tmp_path / "gb-passport-print.toml").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(RulesRefused, match="TOML"):
        Catalogue.load(tmp_path)


def test_a_shops_own_documents_stand_beside_the_shipped_ones_and_take_no_id_of_theirs(tmp_path):
    text = (SPECS / f"{GB}.toml").read_text(encoding="utf-8")
    (tmp_path / "rowing-card.toml").write_text(text.replace(f'"{GB}"', '"rowing-card"', 1), encoding="utf-8")
    known = Catalogue.beside(tmp_path)
    assert set(known.documents) == {*CATALOGUE.documents, "rowing-card"}
    shutil.copy(SPECS / f"{GB}.toml", tmp_path)
    with pytest.raises(RulesRefused, match=f"{GB}.toml: id: '{GB}' comes with the program"):
        Catalogue.beside(tmp_path)
