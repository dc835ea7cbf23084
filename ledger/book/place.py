"""Where a book is: a SQLite file, or a schema of a PostgreSQL database."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError

from ledger.facts.problems import Refused, refuse

DEFAULT_SCHEMA = "tarebook"
"""The PostgreSQL schema of a book whose URL names none."""
_SCHEMA_NAME = re.compile(r"[a-z_][a-z0-9_]{0,62}")


@dataclass(frozen=True, slots=True)
class BookPlace:
    """Where a book is: a file for SQLite, or a URL and a schema for PostgreSQL."""

    file: Path | None = None
    url: str = ""
    schema: str = ""

    @classmethod
    def parse(cls, text: str | Path) -> BookPlace:
        """Read a place: a file path, or `postgresql://user@host/database?schema=name`.

        One PostgreSQL database can hold several books, each in a schema of its own. Refused
        with `option-unfit` for any other kind of URL.
        """
        words = str(text)
        if not re.match(r"[A-Za-z][A-Za-z0-9+]+:", words):
            return cls(file=Path(words))
        try:
            url = make_url(words)
        except ArgumentError:
            raise _not_a_place(words) from None
        if url.get_backend_name() == "sqlite" and url.database:
            return cls(file=Path(url.database))
        if url.get_backend_name() not in ("postgresql", "postgres"):
            raise _not_a_place(words)
        schema = url.query.get("schema", DEFAULT_SCHEMA)
        if not isinstance(schema, str) or not _SCHEMA_NAME.fullmatch(schema):
            raise refuse(
                "option-unfit",
                "The schema in the book's URL is not a plain lower-case name.",
                "Write it as ?schema=name with letters, digits and underscores.",
            )
        bare = url.difference_update_query(["schema"]).set(drivername="postgresql+psycopg")
        return cls(url=bare.render_as_string(hide_password=False), schema=schema)

    @property
    def shown(self) -> str:
        """The place for print, a password hidden."""
        if self.file is not None:
            return str(self.file)
        url = make_url(self.url).set(drivername="postgresql")
        return str(url.update_query_dict({"schema": self.schema}))

    @property
    def is_file(self) -> bool:
        """True for a SQLite book."""
        return self.file is not None


def _not_a_place(words: str) -> Refused:
    scheme = words.partition(":")[0]
    return refuse(
        "option-unfit",
        f"A book cannot be kept at a place that starts with {scheme}:.",
        "Name a file, or postgresql://user@host/database?schema=name.",
    )
