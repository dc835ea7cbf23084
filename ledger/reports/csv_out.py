"""A table as CSV (RFC 4180): headings with units, plain numbers, text that stays text."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import TextIO

from ledger.reports.cells import plain_number, shown
from ledger.reports.safe import for_csv
from ledger.reports.table import Column, Table


def write(table: Table, out: TextIO) -> None:
    """Write the table to a text stream opened with UTF-8 and newline="".

    One header line, then the rows: no title, totals or notes, which a program reading the
    file would take for rows.
    """
    csv.writer(out, lineterminator="\r\n").writerows(_lines(table))


def render(table: Table) -> str:
    """The whole file as text, line ends CR LF."""
    out = io.StringIO(newline="")
    write(table, out)
    return out.getvalue()


def _lines(table: Table) -> Iterator[list[str]]:
    yield [for_csv(column.label()) for column in table.columns]
    for row in table.rows:
        yield [field(column, row.get(column.key)) for column in table.columns]


def field(column: Column, value: object) -> str:
    """One cell: a plain decimal, or guarded text; members of a list joined by "; "."""
    number = plain_number(column, value)
    return for_csv(shown(column, value, "; ")) if number is None else number
