"""The guide's address of an office, against a server whose certificate the booth must be able to check."""

import re
import shutil
from pathlib import Path

import pytest

from kiosk.errors import OfficeUnreachable
from kiosk.store.fleet.office import Office
from tests.support.fleet_lab import PASSWORD, office_of
from tests.support.page_lab import certify
from tests.support.ports import reserved_port
from tests.support.postgres_lab import postgres

GUIDE = Path(__file__).parents[3] / "hardware" / "fleet" / "README.md"
DEBIANS_ROOTS = "/etc/ssl/certs/ca-certificates.crt"
"""Where Debian's package ca-certificates has the authorities that it trusts (its update-ca-certificates(8))."""


def test_the_guides_address_is_taken_with_the_right_authority_alone(tmp_path):
    """The driver brings an OpenSSL of its own, which does not know where Debian keeps its authorities."""
    (address,) = re.findall(r'^database = "(.*)"$', GUIDE.read_text("utf-8"), re.MULTILINE)
    certify(tmp_path)
    held, port = reserved_port()
    with held, postgres() as server:
        office = office_of(server)
        office.add_booth("north 1")
        server.stop()
        for name in ("certificate.pem", "key.pem"):
            shutil.copy(tmp_path / name, server.folder)
            shutil.chown(server.folder / name, (server.folder / "data").owner())
            (server.folder / name).chmod(0o600)
        files = [f"ssl_cert_file={server.folder}/certificate.pem", f"ssl_key_file={server.folder}/key.pem"]
        server.start("listen_addresses=127.0.0.1", f"port={port}", "ssl=on", *files)
        here = address.replace("…", PASSWORD).replace("office.example/office", f"127.0.0.1:{port}/{office.name}")
        Office(here.replace(DEBIANS_ROOTS, str(tmp_path / "certificate.pem"))).check("north 1")
        (tmp_path / "other").mkdir()
        certify(tmp_path / "other")
        with pytest.raises(OfficeUnreachable, match="certificate"):
            Office(here.replace(DEBIANS_ROOTS, str(tmp_path / "other" / "certificate.pem"))).check("north 1")
