"""Writes an answers file as separated text, in UTF-8 with the mark that spreadsheets know it by."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from ledger.intake.answers_file import (
    HEADINGS,
    Beside,
    Copy,
    constants_of,
    held_lines,
    own_columns,
    tables_held,
)
from ledger.intake.plan import Plan
from ledger.intake.sheets import GUARDED, TEXT_NAMES, Unread, cell_text, open_sheets

_EMPTY: list[object] = [""] * len(HEADINGS)


def write_text(part: Path, copy: Copy) -> None:
    """Write the copy of a sheet: all its rows where it is text and not too large, else some."""
    whole = bool(copy.beside) and copy.source.suffix.casefold() in TEXT_NAMES
    delimiter = _delimiter(copy) if copy.source.suffix.casefold() in TEXT_NAMES else ","
    with part.open("w", newline="", encoding="utf-8-sig") as out:
        writer = csv.writer(out, delimiter=delimiter)
        for line in _whole(copy) if whole else _held(copy):
            writer.writerow([_guarded(cell) for cell in line])


def _delimiter(copy: Copy) -> str:
    with open_sheets(copy.source) as file:
        return str(getattr(file.source, "delimiter", ","))


def _whole(copy: Copy) -> Iterator[list[object]]:
    """Every line of the file; our columns stand right behind its headings.

    Cells beyond the headings stay beyond them, because a comma out of place is told by them.
    """
    plans = list(copy.plans[""].values())
    beside = copy.beside.get("", {})
    with open_sheets(copy.source) as file:
        for row in file.rows(""):
            plan = _plan_of(plans, row.number)
            own, constants, width = own_columns(plan), constants_of(plan), plan.width
            cells = row.cells
            there = [cells[index] if index < len(cells) else "" for index in own]
            if row.number == plan.header_number:
                yield [*there, *constants, *HEADINGS, *cells[width:]]
            elif (found := beside.get(row.number)) is not None:
                yield [*there, *constants.values(), *found.cells(), *cells[width:]]
            elif plan.repeats_header(row):
                yield [*there, *constants, *HEADINGS]
            elif any(cells):
                yield [*there, *([""] * len(constants)), *_EMPTY, *cells[width:]]
            else:
                yield []


def _plan_of(plans: list[Plan], number: int) -> Plan:
    """The plan of the table that a row of the sheet belongs to."""
    above = [plan for plan in plans if plan.header_number <= number]
    return max(above, key=lambda plan: plan.header_number) if above else plans[0]


def _held(copy: Copy) -> Iterator[list[object]]:
    for _, plan, rows in tables_held(copy):
        for cells, beside in held_lines(plan, rows):
            yield [*map(_shown, cells), *(_beside(beside))]


def _beside(beside: Beside | None) -> list[object]:
    return list(HEADINGS) if beside is None else beside.cells()


def _shown(cell: object) -> object:
    """A cell without a value of its own says why, so that it is mended."""
    return f"? {cell.why}" if isinstance(cell, Unread) else cell


def _guarded(cell: object) -> object:
    """A cell of separated text: what looks like a formula gets an apostrophe in front."""
    text = cell if isinstance(cell, str) else cell_text(cell)
    if text[:1] in ("\t", "\r", "\n"):
        text = text.lstrip()
    if not text.startswith(GUARDED) or _is_plain(text):
        return text
    return f"'{text}"


def _is_plain(text: str) -> bool:
    """A dash, or a number with its sign, is no formula."""
    signed = text[0] in "+-" and text[1:].replace(".", "", 1).isdecimal()
    return signed or not text.strip("-")
