"""An office's database as `hardware/fleet/ledger.sql` makes it, with a role for each booth and one for who reads."""

import uuid
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

import sqlalchemy as sa

from tests.support.postgres_lab import Server

TABLES = Path(__file__).parents[2] / "hardware" / "fleet" / "ledger.sql"
PASSWORD = "correct horse"


@dataclass(frozen=True)
class OfficeLab:
    """A database of an office; `url` is its owner's address."""

    server: Server
    name: str

    @property
    def url(self) -> str:
        """The address of the database's owner, who may do everything."""
        return self.server.url.replace("/postgres?", f"/{self.name}?")

    def add_booth(self, booth: str) -> str:
        """Add a booth's role, as the guide says, and return its address."""
        return self._add(booth, "booths")

    def add_reader(self, reader: str) -> str:
        """Add the role of somebody who reads, and return the address."""
        return self._add(reader, "office")

    def rows(self, query: str) -> list[tuple[object, ...]]:
        """Return what the owner reads."""
        engine = sa.create_engine(self.url, poolclass=sa.NullPool)
        with engine.begin() as connection:
            return [tuple(row) for row in connection.execute(sa.text(query))]

    def _add(self, role: str, group: str) -> str:
        self.server.run_sql(
            self.name,
            f"""DO $$ BEGIN CREATE ROLE "{role}" LOGIN PASSWORD '{PASSWORD}' IN ROLE {group};
            EXCEPTION WHEN duplicate_object THEN NULL; END $$""",
        )
        return self.url.replace("roster@", f"{quote(role)}:{quote(PASSWORD)}@")


def office_of(server: Server) -> OfficeLab:
    """Make an office's database of its own on a server."""
    name = f"office_{uuid.uuid4().hex[:12]}"
    server.run_sql("postgres", f"CREATE DATABASE {name}")
    server.run_sql(name, TABLES.read_text(encoding="utf-8"))
    return OfficeLab(server, name)
