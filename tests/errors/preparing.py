"""What has to be done to a book or the program, outside the command line, to meet some refusals."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from unittest.mock import patch

BOOK = "shop.db"


@contextmanager
def _revision(folder: Path, revision: str) -> Iterator[None]:
    with sqlite3.connect(folder / BOOK) as book:
        book.execute("UPDATE alembic_version SET version_num = ?", (revision,))
    book.close()
    yield


@contextmanager
def _altered(folder: Path) -> Iterator[None]:
    """Somebody with a database tool takes the guards away and makes a 25 into a 15."""
    book = sqlite3.connect(folder / BOOK)
    guards = book.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        book.execute(f'DROP TRIGGER "{name}"')
    book.execute("UPDATE journal SET body = replace(body, '25 lb', '15 lb') WHERE number = 16")
    for _, text in guards:
        book.execute(text)
    book.commit()
    book.close()
    yield


@contextmanager
def _held(folder: Path) -> Iterator[None]:
    """Another program holds the book, and this one's patience is short."""
    other = sqlite3.connect(folder / BOOK, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        with (
            patch("ledger.book.journal.BUSY_SECONDS", 0.05),
            patch.object(_open_defaults(), "__kwdefaults__", {"busy_seconds": 0.05}),
        ):
            yield
    finally:
        other.rollback()
        other.close()


def _open_defaults() -> Callable[..., object]:
    from ledger.book.journal import Book

    return Book.open.__func__  # type: ignore[attr-defined, no-any-return]


@contextmanager
def _read_only(folder: Path) -> Iterator[None]:
    """The account may read the folder and not write it (rights do not bind a superuser)."""
    with patch("os.access", lambda path, mode: mode == 4):
        yield


@contextmanager
def _small_limits(folder: Path) -> Iterator[None]:
    """The limit on the size of a file, made small so that a small file is over it."""
    with patch("ledger.intake.sheets.LARGEST_SHEET_BYTES", 10):
        yield


@contextmanager
def _hidden_row(folder: Path) -> Iterator[None]:
    """A workbook with one row of a job, which somebody has hidden."""
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Charges"
    sheet.append(["Date", "Unit", "lb", "Tank", "Tech"])
    sheet.append(["6/1/26", "RTU-1", 2, "410-1", "Dana Field"])
    sheet.row_dimensions[2].hidden = True
    book.save(folder / "jobs.xlsx")
    yield


PREPARE: dict[str, Callable[[Path], AbstractContextManager[None]]] = {
    "": lambda folder: nullcontext(),
    "older": lambda folder: _revision(folder, "0001"),
    "newer": lambda folder: _revision(folder, "0099"),
    "altered": _altered,
    "held": _held,
    "read only": _read_only,
    "small limits": _small_limits,
    "hidden row": _hidden_row,
}
"""How each kind of trouble is made, by the word a catalogue file uses for it."""
