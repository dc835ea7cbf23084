"""Reads spreadsheets row by row within bounds: .csv text and .xlsx workbooks, or one plain refusal.

The kind of a file is told by what is in it, held against its name: a workbook named .csv, or
a text named .xlsx, is refused rather than guessed at.
"""

from __future__ import annotations

import codecs
import csv
import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime, time
from itertools import islice
from pathlib import Path
from typing import NamedTuple, Protocol

from ledger.facts.limits import LARGEST_SHEET_BYTES, LARGEST_SHEET_COLUMNS, LARGEST_SHEET_ROWS
from ledger.facts.problems import Refused, refuse

TEXT_NAMES = (".csv", ".tsv", ".txt")
WORKBOOK_NAMES = (".xlsx", ".xlsm")

_ZIP, _OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_BLOCK = 1 << 20
_SAVE_AGAIN = "Save it again as .xlsx or .csv from the program it came from."
_DELIMITERS = ",;\t"
_LOOKED_AT = 30


class Row(NamedTuple):
    """One row as it stands in the file; `number` counts from 1 like the spreadsheet program.

    A cell is None, text, a number, a day, a time, a yes or no, or an `Unread`. `marks` says
    what makes the row itself doubtful (a key of `doubts.DOUBTS`), `table` which table of the
    sheet it is from, counted from 0.
    """

    sheet: str
    number: int
    cells: list[object]
    marks: tuple[str, ...] = ()
    table: int = 0


HIDDEN, STRUCK, SUM, MERGED = "hidden", "struck", "sum", "merged"
"""Marks of a row as the file has it: not shown, struck through, with a formula that adds rows
up, with a cell that is `Merged` or `Struck`. The last two are gone once a row is known to be a
record."""


@dataclass(frozen=True, slots=True)
class Unread:
    """A cell that shows no value of its own: an error, or a formula without a stored result.

    `asks` says that the cell holds something which a person can settle in a word, such as an
    amount in a cell merged over several rows.
    """

    why: str
    asks: bool = False


@dataclass(frozen=True, slots=True)
class Merged:
    """A cell merged over several rows: its value, and the first and last of the rows."""

    value: object
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Struck:
    """A cell that is struck through in a row whose other cells are not."""

    value: object


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known of a sheet beside its cells, before its rows are read."""

    merged: int = 0
    hidden_columns: tuple[int, ...] = ()
    filtered: bool = False
    comments: int = 0


class Source(Protocol):
    """What reads one kind of file."""

    def rows(self, sheet: str) -> Iterator[Row]:
        """The rows of one sheet, from the top."""

    def seen(self, sheet: str) -> Seen:
        """What the file says of one sheet beside its cells."""

    def close(self) -> None:
        """Let go of the file."""


@dataclass(slots=True)
class SheetFile:
    """An open file: its sheets in tab order, and what a person should know about the reading.

    `kind` is csv or xlsx. A text file is one sheet whose name is empty. `hidden` names the
    sheets that a spreadsheet program does not show.
    """

    path: Path
    kind: str
    sheets: list[str]
    hidden: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    source: Source | None = None

    def rows(self, sheet: str) -> Iterator[Row]:
        """The rows of one sheet from the top, empty ones included where they are stored.

        Refused with `file-unfit` where the file turns out broken, `file-too-large` beyond the
        limits on rows and columns.
        """
        assert self.source is not None
        for count, row in enumerate(self.source.rows(sheet), start=1):
            if count > LARGEST_SHEET_ROWS:
                raise _too_large(self.path, f"more than {LARGEST_SHEET_ROWS:,} rows")
            if len(row.cells) > LARGEST_SHEET_COLUMNS:
                _cut(self.path, row)
            yield row

    def seen(self, sheet: str) -> Seen:
        """Merged cells, hidden columns and comments of one sheet; nothing for a text file."""
        return Seen() if self.source is None else self.source.seen(sheet)

    def close(self) -> None:
        """Let go of the file."""
        if self.source is not None:
            self.source.close()

    def __enter__(self) -> SheetFile:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()


def open_sheets(path: Path) -> SheetFile:
    """Open a spreadsheet, refused in one sentence where it cannot be read as one.

    Codes: `file-missing`, `file-unfit` (wrong kind, truncated, protected, not text),
    `file-too-large`.
    """
    suffix = path.suffix.casefold()
    if suffix not in TEXT_NAMES + WORKBOOK_NAMES:
        raise unfit(path, "is not a .csv or .xlsx file")
    start = _first_bytes(path)
    if start.startswith(_OLD):
        raise unfit(path, "is protected by a password or in the old .xls form")
    if suffix in WORKBOOK_NAMES:
        if not start.startswith(_ZIP):
            raise unfit(path, "is not a workbook, although it is named like one")
        from ledger.intake.workbook import open_workbook

        book = open_workbook(path)
        return SheetFile(path, "xlsx", book.sheets, book.hidden, book.notes, book)
    if start.startswith(_ZIP):
        raise unfit(path, "is a workbook or an archive named like a text file")
    text = _Text(path, start)
    notes = [text.note] if text.note else []
    return SheetFile(path, "csv", [""], notes=notes, source=text)


def unfit(path: Path, why: str, remedy: str = _SAVE_AGAIN) -> Refused:
    """The refusal of a file that cannot be read as a sheet."""
    return refuse("file-unfit", f"{path.name} {why}.", remedy)


def _too_large(path: Path, what: str) -> Refused:
    return refuse("file-too-large", f"{path.name} holds {what}.", "Split it into smaller files.")


def _first_bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise unfit(path, "is a folder", "Name the file.")
        if size > LARGEST_SHEET_BYTES:
            raise _too_large(path, f"more than {LARGEST_SHEET_BYTES // 1_000_000} MB")
        with path.open("rb") as file:
            start = file.read(4096)
    except FileNotFoundError:
        raise refuse("file-missing", f"There is no file {path}.", "Check the name.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise unfit(path, f"cannot be opened ({reason})", "Check the file.") from None
    if not start:
        raise unfit(path, "is empty", "Check that it was saved.")
    return start


def _cut(path: Path, row: Row) -> None:
    """Empty cells far to the right are dropped; filled ones are not silently lost."""
    if any(cell not in (None, "") for cell in row.cells[LARGEST_SHEET_COLUMNS:]):
        raise _too_large(path, f"more than {LARGEST_SHEET_COLUMNS} columns in row {row.number}")
    del row.cells[LARGEST_SHEET_COLUMNS:]


class _Text:
    """A text file of separated values: encoding and separator found out, then read row by row."""

    def __init__(self, path: Path, start: bytes) -> None:
        self.path = path
        self.note = ""
        self.encoding = self._encoding(start)
        self.delimiter = self._delimiter()

    def _encoding(self, start: bytes) -> str:
        if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return self._decoded("utf-16") or self._fail()
        if b"\0" in start:
            raise unfit(self.path, "is not text")
        if encoding := self._decoded("utf-8-sig"):
            return encoding
        self.note = "The text is not UTF-8; it was read as Windows-1252. Check names with accents."
        return self._decoded("cp1252") or self._fail()

    def _decoded(self, encoding: str) -> str:
        """The encoding, if the whole file is text in it."""
        decoder = codecs.getincrementaldecoder(encoding)()
        try:
            with self.path.open("rb") as file:
                while block := file.read(_BLOCK):
                    decoder.decode(block)
                decoder.decode(b"", True)
        except UnicodeError:
            return ""
        return encoding

    def _fail(self) -> str:
        raise unfit(self.path, "is not text in UTF-8, UTF-16 or Windows-1252")

    def _delimiter(self) -> str:
        """The separator that gives the most columns in the same number, row after row."""
        best, found = 0, ","
        for delimiter in _DELIMITERS:
            widths: dict[int, int] = {}
            with suppress(csv.Error):
                for row in islice(self._read(delimiter), _LOOKED_AT):
                    if len(row) > 1:
                        widths[len(row)] = widths.get(len(row), 0) + 1
            score = max((many * (width - 1) for width, many in widths.items()), default=0)
            if score > best:
                best, found = score, delimiter
        return found

    def _read(self, delimiter: str) -> Iterator[list[str]]:
        with self.path.open(encoding=self.encoding, newline="") as file:
            yield from csv.reader(file, delimiter=delimiter, strict=True)

    def rows(self, sheet: str) -> Iterator[Row]:
        number = 0
        try:
            for number, cells in enumerate(self._read(self.delimiter), start=1):
                yield Row(sheet, number, cells)  # type: ignore[arg-type]
        except csv.Error:
            raise unfit(
                self.path,
                f"has a quotation mark out of place in or after row {number + 1}",
                "Close or remove it, or save the sheet as .xlsx.",
            ) from None

    def seen(self, sheet: str) -> Seen:
        """A text file holds cells and nothing else."""
        return Seen()

    def close(self) -> None:
        """Each reading closes the file itself."""


def cell_text(cell: object) -> str:
    """A cell as a person reads it: trimmed, single spaces, days as 2025-06-03, 5.0 as 5."""
    if type(cell) is str:
        text = cell
    elif cell is None:
        return ""
    elif isinstance(cell, bool):
        return "yes" if cell else "no"
    elif isinstance(cell, float):
        whole = math.isfinite(cell) and cell == int(cell) and abs(cell) < 1e15
        text = str(int(cell)) if whole else f"{cell:.15g}"
    elif isinstance(cell, datetime):
        midnight = cell.time() == time()
        text = cell.date().isoformat() if midnight else cell.isoformat(" ", "minutes")
    elif isinstance(cell, date):
        text = cell.isoformat()
    elif isinstance(cell, time):
        text = cell.isoformat("minutes")
    elif isinstance(cell, Unread):
        return ""
    elif isinstance(cell, Merged | Struck):
        return cell_text(cell.value)
    else:
        text = str(cell)
    if not text.isascii():
        text = text.translate(_INVISIBLE)
    elif text.startswith("'") and text[1:2] in GUARDED:
        text = text[1:]
    return " ".join(text.split())


GUARDED = ("=", "+", "-", "@")
"""What a cell of a text file must not begin with, or a spreadsheet program takes it for a
formula; such text is written behind an apostrophe, which does not count in reading."""

_INVISIBLE = dict.fromkeys(map(ord, "\u00ad\u200b\u200c\u200d\u2060\ufeff"), None)


def column_letter(index: int) -> str:
    """The letter over a column, counted from 0: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
