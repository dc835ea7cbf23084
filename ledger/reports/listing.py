"""Records as one flat list, read as it is written out, for people who filter and pivot themselves.

A list has one heading row, a row for each record and nothing else: no titles, no totals, no
merged cells. Its rows are handed on one by one, so that a large book needs no more memory.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TextIO

from ledger.reports.csv_out import field
from ledger.reports.json_out import value_of
from ledger.reports.safe import for_csv, for_json
from ledger.reports.table import Column, Row, Table
from ledger.reports.words import counted

BYTE_ORDER_MARK = "\ufeff"
"""What tells a spreadsheet program that a text file is UTF-8."""

_KEPT = 50_000


@dataclass(frozen=True, slots=True)
class Listing:
    """One list: its columns, its rows (to be gone through once), and where it came from.

    `noun` names one row; `brief` are the keys of the columns that a terminal shows.
    """

    title: str
    noun: str
    columns: tuple[Column, ...]
    rows: Iterable[Row]
    brief: tuple[str, ...]
    as_of: str = ""
    known_at: str = ""
    head: tuple[int, str] | None = None
    notes: tuple[str, ...] = ()

    def table(self) -> Table:
        """The list for a terminal: all rows at once, the columns of `brief` that hold anything."""
        rows = [{key: row.get(key) for key in self.brief} for row in self.rows]
        columns = [
            column for column in self.columns
            if column.key in self.brief and any(row[column.key] is not None for row in rows)
        ]  # fmt: skip
        more = f"All {len(self.columns)} columns: --csv, --xlsx or --json."
        return Table(
            self.title, columns, rows, f"{counted(len(rows), self.noun)}.", (*self.notes, more),
            self.as_of, self.known_at, self.head,
        )  # fmt: skip

    def dated(self, day: str) -> Listing:
        """The list as of a day, where it names none."""
        return self if self.as_of else replace(self, as_of=day)

    def provenance(self) -> str:
        """As-of day and head, for the foot of a page."""
        table = Table(self.title, (), (), "", (), self.as_of, self.known_at, self.head)
        return table.provenance(short=True)


def once(column: Column, make: Callable[[Column, object], str]) -> Callable[[object], str]:
    """What makes the text of a column's cells, equal ones made once: names and days repeat."""
    made: dict[object, str] = {}

    def cell(value: object) -> str:
        text = made.get(value)
        if text is None:
            if len(made) > _KEPT:
                made.clear()
            text = made[value] = make(column, value)
        return text

    return cell


def write_csv(listing: Listing, out: TextIO) -> None:
    """Write a list as CSV (RFC 4180) with the mark that makes it UTF-8 to a spreadsheet."""
    out.write(BYTE_ORDER_MARK)
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([for_csv(column.label()) for column in listing.columns])
    cells = [(column.key, once(column, field)) for column in listing.columns]
    writer.writerows(
        ["" if (value := row.get(key)) is None else cell(value) for key, cell in cells]
        for row in listing.rows
    )


def write_json(listing: Listing, out: TextIO) -> None:
    """Write a list as one JSON object with the members of any other answer, rows one a line."""
    for piece in _json(listing):
        out.write(for_json(piece))


def _json(listing: Listing) -> Iterator[str]:
    head = listing.head
    top = {
        "title": listing.title,
        "as_of": listing.as_of,
        "known_at": listing.known_at,
        "head": None if head is None else {"number": head[0], "digest": head[1]},
        "columns": [
            {"key": one.key, "heading": one.heading, "kind": one.kind, "unit": one.unit_shown}
            for one in listing.columns
        ],
    }
    for name, value in top.items():
        yield f'{"{" if name == "title" else ","}\n  "{name}": {_text(value)}'
    yield ',\n  "rows": ['
    count = 0
    cells = [(one.key, once(one, lambda *cell: _text(value_of(*cell)))) for one in listing.columns]
    for count, row in enumerate(listing.rows, 1):
        members = ", ".join(f'"{key}": {cell(row.get(key))}' for key, cell in cells)
        yield f"{',' if count > 1 else ''}\n    {{{members}}}"
    yield f'\n  ],\n  "answer": {_text(f"{counted(count, listing.noun)}.")}'
    yield f',\n  "totals": {{}},\n  "cautions": [],\n  "notes": {_text(list(listing.notes))}\n}}\n'


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
