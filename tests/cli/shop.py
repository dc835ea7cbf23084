"""Runs `tarebook` command lines in this process, as a person at a prompt or a pipe would."""

from __future__ import annotations

import csv
import io
import os
import shlex
import sqlite3
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path
from unittest.mock import patch

CLOCK = "2026-06-30T16:00:00+00:00"
"""The moment of every test: 30 June 2026, 11:00 in Chicago."""

START = (
    'tarebook init --name "Example Refrigeration" --zone America/Chicago',
    "tarebook add party Depot --role supplier",
    'tarebook add party "Harbor Foods" --role customer',
    'tarebook add party "Mill Lane Hotel" --role customer',
    'tarebook add party "Second Life Reclaim" --role reclaimer',
    'tarebook add site "Store 14" --zone America/Chicago --owner "Harbor Foods"'
    " --method annualizing",
    'tarebook add site Hotel --zone America/Chicago --owner "Mill Lane Hotel" --method annualizing',
    "tarebook add place Warehouse --kind warehouse",
    'tarebook add place "Truck 2" --kind truck',
    'tarebook add scale B1 --resolution "0.1 lb"',
    'tarebook add person "Dana Field" --certification "Universal 4711"',
    'tarebook add unit RTU-1 --site "Store 14" --refrigerant R-410A --full-charge "24 lb"'
    ' --category "comfort cooling" --installed 2020-05-01',
    'tarebook add unit RACK-A --site "Store 14" --refrigerant R-448A'
    ' --full-charge "1350 lb measured" --category "commercial refrigeration"'
    " --installed 2019-03-01",
    'tarebook add unit CHILLER --site Hotel --refrigerant R-134a --full-charge "480 lb"'
    ' --category "comfort cooling" --installed 2015-01-01',
    'tarebook add unit RTU-2 --site Hotel --circuits A,B --refrigerant R-410A --full-charge "22 lb"'
    ' --category "comfort cooling" --installed 2018-01-01',
    "tarebook receive 410-1 410-2 --net 25 --from Depot -r R-410A --kind disposable"
    " --place Warehouse --on 2026-01-05",
    "tarebook receive 448-1 --net 100 --from Depot -r R-448A --kind refillable"
    " --place Warehouse --on 2026-01-05",
    'tarebook add cylinder RC-01 --kind recovery --refrigerant R-410A --stamped-tare "27.5 lb"'
    ' --water-capacity "47.6 lb" --place Warehouse',
)  # fmt: skip
"""The commands that make the shop most tests start from."""


@dataclass(frozen=True, slots=True)
class Said:
    """What a command printed and how it ended."""

    line: str
    code: int
    out: str
    err: str

    def lines(self) -> list[str]:
        """The lines of standard output."""
        return self.out.splitlines()


@dataclass(slots=True)
class Shop:
    """A folder with a book in it, and a way to run commands there."""

    folder: Path
    environment: dict[str, str] = field(default_factory=dict)

    def run(self, line: str) -> Said:
        """Run one command line; anything but a proper end is the test's failure."""
        words = shlex.split(line)
        assert words[0] == "tarebook", line
        out, err = io.StringIO(), io.StringIO()
        with in_folder(self.folder, self.environment), redirect_stdout(out), redirect_stderr(err):
            code = _run(words)
        return Said(line, code, out.getvalue(), err.getvalue())

    def ok(self, line: str) -> list[str]:
        """Run a command that has to succeed, and give the lines it printed."""
        said = self.run(line)
        assert said.code == 0, f"{line}\n{said.out}{said.err}"
        assert said.err == "", f"{line}\n{said.err}"
        return said.lines()

    def rows(self, line: str) -> list[dict[str, str]]:
        """Run a command that answers with a table, and give its rows by heading."""
        return list(csv.DictReader(self.ok(f"{line} --csv")))

    def no(self, line: str, code: int = 2) -> str:
        """Run a command that has to be refused, and give what it said; it wrote nothing."""
        before = self.head()
        said = self.run(line)
        assert said.code == code, f"{line}\n{said.out}{said.err}"
        assert said.out == "", f"{line}\n{said.out}"
        assert self.head() == before, f"{line} wrote an entry"
        return said.err.rstrip("\n")

    def head(self) -> str:
        """Number and digest of the last entry, read past the program; empty without a book."""
        file = self.folder / self.environment.get("TAREBOOK_BOOK", "shop.db")
        if not file.is_file():
            return ""
        with closing(sqlite3.connect(file)) as book:
            row = book.execute("SELECT number, digest FROM journal ORDER BY number DESC").fetchone()
        return f"{row[0]} {row[1]}"

    def number(self) -> int:
        """The number of the last entry."""
        return int(self.head().split()[0])

    def all(self, lines: Iterable[str]) -> None:
        """Run commands that have to succeed."""
        for line in lines:
            self.ok(line)


def _run(words: list[str]) -> int:
    from ledger.cli.main import run

    with patch.object(sys, "argv", words):
        try:
            run()
        except SystemExit as end:
            return end.code if isinstance(end.code, int) else int(end.code is not None)
    return 0


@contextmanager
def in_folder(folder: Path, environment: Mapping[str, str]) -> Iterator[None]:
    """Be in a folder with the clock standing still and the book there."""
    before = Path.cwd()
    settings = {
        "TAREBOOK_CLOCK": CLOCK, "TAREBOOK_BOOK": "shop.db", "COLUMNS": "120", "USER": "office",
        "LOGNAME": "office", "TAREBOOK_TRACE": "1", **environment,
    }  # fmt: skip
    with patch.dict(os.environ, settings):
        if "TAREBOOK_PERSON" not in environment:
            os.environ.pop("TAREBOOK_PERSON", None)
        os.chdir(folder)
        try:
            yield
        finally:
            os.chdir(before)
