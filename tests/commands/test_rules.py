"""Rules are replaced without a new program: signed by a real key, refused where anything is wrong, and rolled back."""

import shutil
import subprocess
import tomllib
from datetime import date, timedelta

import pytest

from kiosk.booth.config import booth_config
from kiosk.catalogue.bundle import SIGNATURE, SUMS, RulesVersion, read_bundle, version_of
from kiosk.catalogue.documents import shipped_folder
from kiosk.catalogue.installed import in_force, install, versions
from kiosk.cli import main
from kiosk.errors import BundleRefused
from kiosk.settings import read_settings
from tests.support.shipped import CATALOGUE
from tests.support.signed_rules import Signer

GB = "gb-passport-print.toml"
WIDER = (GB, "max = 34", "max = 35")
SETTINGS = """[booth]
documents = ["gb-passport-print"]
state_folder = "state"
rules_signers = "key/signers"

[camera]
backend = "uvc"

[printer]
backend = "folder"
folder = "prints"
"""


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


@pytest.fixture
def signer(tmp_path):
    return Signer(tmp_path / "key")


@pytest.fixture
def settings(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text(SETTINGS, encoding="utf-8")
    return path


def later(days: int) -> str:
    """Return a version newer than the program's own rules."""
    return str(version_of(shipped_folder()).day + timedelta(days=days))


def head_of(settings) -> float:
    """Return the largest head that a booth started now accepts."""
    (document,) = booth_config(read_settings(settings), date(2026, 12, 2)).documents
    return document.head_height_mm.high


def test_the_shipped_rules_have_the_version_of_their_newest_reading():
    newest = max(rule.read_on for document in CATALOGUE.all() for _, rule in document.rules())
    assert version_of(shipped_folder()).day >= newest


@pytest.mark.parametrize(
    ("text", "version"),
    [
        ("2026-12-01", RulesVersion(date(2026, 12, 1))),
        ("2026-12-01.12", RulesVersion(date(2026, 12, 1), 12)),
        ("2026-13-01", None),
        ("2026-12-01.0", None),
        ("../../etc", None),
        ("2026-12-01/x", None),
    ],
)
def test_versions(text, version):
    assert RulesVersion.parse(text) == version
    assert version is None or str(version) == text


def test_versions_are_in_order_of_time():
    texts = ("2026-12-01", "2026-12-01.2", "2026-12-01.10", "2026-12-02")
    assert sorted(map(RulesVersion.parse, reversed(texts))) == list(map(RulesVersion.parse, texts))


class TestInstalled:
    def test_the_booth_and_every_command_use_it_and_one_command_goes_back(self, tmp_path, signer, settings, capsys):
        first = signer.bundle(tmp_path / "first", later(1), WIDER)
        second = signer.bundle(tmp_path / "second", later(2), (GB, "max = 34", "max = 33"))
        assert head_of(settings) == 34
        assert run("rules", "install", first, "--settings", settings) == 0
        assert "Signed by rules@shop.example" in capsys.readouterr().err
        assert head_of(settings) == 35
        assert run("documents", "gb-passport-print", "--settings", settings) == 0
        assert "Head height: 29 to 35 mm" in capsys.readouterr().out
        assert run("rules", "install", second, "--settings", settings) == 0
        assert head_of(settings) == 33
        assert run("rules", "rollback", "--settings", settings) == 0
        assert head_of(settings) == 35
        assert run("rules", "install", second, "--settings", settings) == 0, "what was rolled back can come again"
        assert head_of(settings) == 33
        for head_mm in (35, 34):
            assert run("rules", "rollback", "--settings", settings) == 0
            assert head_of(settings) == head_mm
        assert run("rules", "rollback", "--settings", settings) == 7
        assert "program's own" in capsys.readouterr().err

    def test_it_is_shown(self, tmp_path, signer, settings, capsys):
        assert run("rules", "show", "--settings", settings) == 0
        assert "the program's own" in capsys.readouterr().out
        run("rules", "install", signer.bundle(tmp_path / "new", later(1)), "--settings", settings)
        capsys.readouterr()
        assert run("rules", "show", "--settings", settings) == 0
        assert f"In force: version {later(1)}, an installed bundle" in capsys.readouterr().out

    def test_twice_is_once(self, tmp_path, signer, settings):
        bundle = signer.bundle(tmp_path / "new", later(1))
        for _ in range(2):
            assert run("rules", "install", bundle, "--settings", settings) == 0
        assert len(versions(read_settings(settings).rules)) == 1

    def test_old_versions_do_not_pile_up(self, tmp_path, signer, settings):
        for days in range(1, 6):
            assert (
                run("rules", "install", signer.bundle(tmp_path / str(days), later(days)), "--settings", settings) == 0
            )
        folder = read_settings(settings).rules
        assert [str(version) for version in versions(folder)] == [later(3), later(4), later(5)]
        assert sorted(path.name for path in folder.iterdir()) == [later(3), later(4), later(5), "current"]

    def test_newer_rules_of_the_program_win(self, tmp_path, signer, settings, monkeypatch):
        assert run("rules", "install", signer.bundle(tmp_path / "new", later(1), WIDER), "--settings", settings) == 0
        program = signer.bundle(tmp_path / "program", later(2))
        monkeypatch.setattr("kiosk.catalogue.installed.shipped_folder", lambda: program)
        assert in_force(read_settings(settings).rules) == program

    def test_a_shop_of_its_own_documents_names_sources_of_the_bundle(self, tmp_path, signer, settings):
        text = (shipped_folder() / GB).read_text(encoding="utf-8").replace('"gb-passport-print"', '"club-card"', 1)
        own = tmp_path / "own"
        own.mkdir()
        (own / "club-card.toml").write_text(text.replace('"uk-border-copy"', '"leaflet"'), encoding="utf-8")
        written = settings.read_text(encoding="utf-8").replace("[camera]", 'documents_folder = "own"\n\n[camera]')
        settings.write_text(written, encoding="utf-8")
        leaflet = '[leaflet]\ntitle = "Leaflet"\nkind = "quoted"\n\n['
        bundle = signer.bundle(tmp_path / "new", later(1), ("sources.toml", "[", leaflet))
        assert run("rules", "install", bundle, "--settings", settings) == 0
        assert run("documents", "club-card", "--settings", settings) == 0


class TestRefused:
    """Each leaves the rules in force as they are, and nothing behind."""

    def refused(self, settings, bundle, capsys) -> str:
        code = run("rules", "install", bundle, "--settings", settings)
        assert code == 7, code
        rules = read_settings(settings).rules
        assert in_force(rules) == shipped_folder()
        assert not rules.exists() or list(rules.iterdir()) == []
        return capsys.readouterr().err

    def test_an_altered_file(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        text = (bundle / GB).read_text(encoding="utf-8")
        (bundle / GB).write_text(text.replace("max = 34", "max = 40"), encoding="utf-8")
        assert f"{GB} is not the file that rules@shop.example has signed" in self.refused(settings, bundle, capsys)

    def test_an_altered_list(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        lines = (bundle / SUMS).read_text(encoding="ascii").splitlines(keepends=True)
        (bundle / SUMS).write_text("".join(lines[1:]), encoding="ascii")
        assert "does not belong to it" in self.refused(settings, bundle, capsys)

    def test_a_stranger(self, tmp_path, signer, settings, capsys):
        stranger = Signer(tmp_path / "other", "rules@shop.example")
        bundle = stranger.bundle(tmp_path / "new", later(1))
        assert "nobody in" in self.refused(settings, bundle, capsys)

    def test_a_signature_for_another_purpose(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        signer.sign(bundle, namespace="file")
        assert "not one for holdstill-rules" in self.refused(settings, bundle, capsys)

    def test_a_key_that_has_run_out(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        line = signer.signers.read_text(encoding="ascii")
        signer.signers.write_text(line.replace("namespaces", 'valid-before="20250101",namespaces'), encoding="ascii")
        self.refused(settings, bundle, capsys)

    @pytest.mark.parametrize("content", [b"", b"no signature", b"\x00" * 2_000_000])
    def test_no_signature(self, tmp_path, signer, settings, capsys, content):
        bundle = signer.bundle(tmp_path / "new", later(1))
        (bundle / SIGNATURE).write_bytes(content)
        self.refused(settings, bundle, capsys)
        (bundle / SIGNATURE).unlink()
        self.refused(settings, bundle, capsys)

    def test_a_file_that_nobody_signed(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        shutil.copyfile(bundle / GB, bundle / "xx-passport.toml")
        assert "xx-passport.toml is not among" in self.refused(settings, bundle, capsys)

    def test_a_name_that_leads_elsewhere(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        listed = (bundle / SUMS).read_text(encoding="ascii").replace(f"  {GB}", f"  ../{GB}")
        (bundle / SUMS).write_text(listed, encoding="ascii")
        (bundle / SIGNATURE).unlink()
        command = ["ssh-keygen", "-q", "-Y", "sign", "-n", "holdstill-rules", "-f", signer.key, bundle / SUMS]
        subprocess.run(command, check=True, capture_output=True)
        assert "is not the list" in self.refused(settings, bundle, capsys)

    @pytest.mark.parametrize(
        ("name", "old", "new", "reason"),
        [
            (GB, "[head_height]", "[head_hight]", "gb-passport-print.toml: head_height: field required"),
            ("capture.toml", "[yaw]", "[yawn]", "no measurement is called 'yawn'"),
            ("capture.toml", 'unit = "deg"', 'unit = "rad"', "yaw is measured in 'deg'"),
            ("schengen-visa-de.toml", 'variant_of = "schengen-visa"', 'variant_of = "de-visa"', "variants"),
            ("bundle.toml", "version", "release", "needs one line"),
            ("bundle.toml", "20", "x", "needs one line"),
        ],
    )
    def test_a_wrong_schema(self, tmp_path, signer, settings, capsys, name, old, new, reason):
        bundle = signer.bundle(tmp_path / "new", later(1), (name, old, new))
        assert reason in self.refused(settings, bundle, capsys)

    def test_one_without_a_document_on_offer(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        (bundle / GB).unlink()
        signer.sign(bundle)
        assert run("rules", "install", bundle, "--settings", settings) == 6
        assert head_of(settings) == 34

    def test_an_older_one(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "old", later(-1))
        assert "is older than" in self.refused(settings, bundle, capsys)

    def test_the_same_version_with_other_rules(self, tmp_path, signer, settings, capsys):
        run("rules", "install", signer.bundle(tmp_path / "one", later(1)), "--settings", settings)
        assert run("rules", "install", signer.bundle(tmp_path / "two", later(1), WIDER), "--settings", settings) == 7
        assert "other content" in capsys.readouterr().err
        assert head_of(settings) == 34

    def test_without_allowed_signers(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        lines = settings.read_text(encoding="utf-8").replace('rules_signers = "key/signers"\n', "")
        settings.write_text(lines, encoding="utf-8")
        assert run("rules", "install", bundle, "--settings", settings) == 2

    def test_a_link_that_leads_nowhere_is_named_and_rolled_back(self, tmp_path, signer, settings):
        run("rules", "install", signer.bundle(tmp_path / "new", later(1)), "--settings", settings)
        rules = read_settings(settings).rules
        shutil.rmtree(rules / later(1))
        with pytest.raises(BundleRefused, match="which is gone"):
            in_force(rules)
        assert run("rules", "rollback", "--settings", settings) == 0
        assert in_force(rules) == shipped_folder()


class TestDiff:
    def test_in_words(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(
            tmp_path / "new",
            later(1),
            WIDER,
            ("capture.toml", "min = -5.0", "min = -6.0"),
            ("us-passport-print.toml", "read_on = 2026-11-25", "read_on = 2026-11-29"),
        )
        (bundle / "hr-passport.toml").unlink()
        text = (bundle / GB).read_text(encoding="utf-8").replace('"gb-passport-print"', '"gb-club-card"', 1)
        (bundle / "gb-club-card.toml").write_text(text, encoding="utf-8")
        assert run("rules", "diff", bundle, "--settings", settings) == 0
        said = capsys.readouterr().out
        assert "Head height: 29 to 35 mm (read in a quotation, 2026-11-25); before: 29 to 34 mm" in said
        assert "All documents\n    Yaw: -6 to 5 °" in said
        assert said.count("Yaw") == 1, "a shared limit is named once, not with every document"
        assert "Asked as before, with another source, day or note: From a booth" in said
        assert "gb-club-card: UK passport, printed photo: new" in said
        assert "hr-passport: Croatian passport: no longer there" in said

    def test_the_same(self, tmp_path, signer, settings, capsys):
        bundle = signer.bundle(tmp_path / "new", later(1))
        assert run("rules", "diff", bundle, bundle) == 0
        assert capsys.readouterr().out == "The rules are the same.\n"


def test_the_readme_makes_a_bundle_as_the_shell_does(tmp_path, signer):
    """The checksums of coreutils, not this test's own."""
    bundle = signer.bundle(tmp_path / "new", later(1))
    (bundle / SIGNATURE).unlink()
    shell = f"sha256sum *.toml > SHA256SUMS && ssh-keygen -q -Y sign -n holdstill-rules -f {signer.key} SHA256SUMS"
    subprocess.run(shell, shell=True, cwd=bundle, check=True, capture_output=True)
    assert set(read_bundle(bundle, signer.signers).files) == {path.name for path in bundle.glob("*.toml")}
    readme = (shipped_folder() / "README.md").read_text(encoding="utf-8")
    assert "sha256sum *.toml > SHA256SUMS" in readme
    assert "ssh-keygen -Y sign -n holdstill-rules -f KEY SHA256SUMS" in readme
    assert tomllib.loads((bundle / "bundle.toml").read_text(encoding="utf-8"))["version"] == later(1)


def test_two_installations_at_once(tmp_path, signer):
    """The second one is turned away while the first has not ended."""
    bundle = read_bundle(signer.bundle(tmp_path / "new", later(1)), signer.signers)

    def meanwhile(_):
        with pytest.raises(BundleRefused, match="another command"):
            install(tmp_path / "rules", bundle, lambda _: None)

    install(tmp_path / "rules", bundle, meanwhile)
    assert in_force(tmp_path / "rules").name == later(1)
