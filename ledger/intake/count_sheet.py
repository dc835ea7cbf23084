"""Reads filled count sheets: ours, or a shop's own with a row a cylinder.

What stands beside Place, Cut-off, Counted by and Scale above the headings holds for every row of
the sheet. A row with neither a weight nor a word is one nobody looked at yet.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

from ledger.facts.counts import NOT_THERE, SEALED, WEIGHED, CutOff
from ledger.facts.mass import COUNTS_PER_UNIT, Quantity
from ledger.facts.masters import folded
from ledger.facts.problems import Problem, refuse
from ledger.intake.dates import parse_time
from ledger.intake.fields import read_day, read_mass
from ledger.intake.sheets import (
    HIDDEN,
    STRUCK,
    Merged,
    Row,
    Struck,
    Unread,
    cell_text,
    column_letter,
    open_sheets,
)
from ledger.intake.unclear import Unclear

WORDS: dict[str, str] = {
    "cylinder": "cylinder", "cylinder id": "cylinder", "refrigerant": "refrigerant",
    "kind": "kind", "cylinder kind": "kind", "gross": "gross", "gross weight": "gross",
    "found": "found", "state": "found", "scale": "scale", "weighed on": "day", "date": "day",
    "counted on": "day", "at": "time", "time": "time", "counted by": "person", "by": "person",
    "weighed by": "person", "note": "note", "place": "place", "found at": "place",
    "cut-off": "cut_off", "cutoff": "cut_off", "cut off": "cut_off",
}  # fmt: skip
"""Headings, and labels above them, that a count sheet is read by."""
_TOP = ("place", "cut_off", "person", "scale")
_FOUND = {
    "": "", "weighed": "", "ok": "", "sealed": SEALED, "full": SEALED, "unopened": SEALED,
    "not there": NOT_THERE, "not found": NOT_THERE, "missing": NOT_THERE, "absent": NOT_THERE,
}  # fmt: skip
_UNIT = re.compile(r"\s*[(,]\s*(lb|lbs|oz|kg|g)\.?\s*\)?\s*$", re.I)
_TIMED = re.compile(r"^(.*\S)[\sT]+(\d{1,2}:\d\d(?:\s*[ap]\.?m\.?)?|\d{1,2}\s*[ap]\.?m\.?)$", re.I)
_LIKE = 'Write it as "2026-01-30 17:00", or a day for its end.'


@dataclass(frozen=True, slots=True)
class CountRow:
    """One cylinder as a row tells it; `problems` are what keeps it from being recorded."""

    where: str
    cylinder: str
    place: str = ""
    cut_off: str = ""
    refrigerant: str = ""
    kind: str = ""
    found: str = ""
    gross: Quantity | None = None
    scale: str = ""
    day: str = ""
    time: str = ""
    person: str = ""
    note: str = ""
    problems: tuple[Problem, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nobody looked at it yet."""
        return not (self.found or self.gross or self.problems)


@dataclass(slots=True)
class CountFile:
    """The rows of a file, and what was passed over."""

    rows: list[CountRow] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Told:
    """What holds for every row that does not say otherwise; `order` is how days are written."""

    place: str = ""
    cut_off: str = ""
    person: str = ""
    scale: str = ""
    order: str = "mdy"
    year: int | None = None


def read_cut_off(value: object, order: str = "mdy", year: int | None = None) -> CutOff | Problem:
    """A cut-off as people write it: a day, with a time of day after it or none."""
    if isinstance(value, datetime):
        time = f"{value.hour:02d}:{value.minute:02d}" if value.hour or value.minute else ""
        return CutOff(value.date().isoformat(), time)
    words, time = " ".join(cell_text(value).split()), ""
    if match := _TIMED.match(words):
        found = parse_time(match[2])
        if isinstance(found, Unclear):
            return Problem("date-unclear", f"cut-off: {found.sentence()}", _LIKE)
        words, time = match[1].rstrip(","), found
    day = read_day(words if isinstance(value, str) else value, order, year)
    if isinstance(day, Problem):
        return replace(day, sentence=f"cut-off: {day.sentence}", remedy=_LIKE)
    return CutOff(day, time)


def read_counts(path: Path, told: Told) -> CountFile:
    """The rows of every sheet of a file; refused with `column-map-needed` where none is a count."""
    found = CountFile()
    with open_sheets(path) as file:
        headed = 0
        for sheet in file.sheets:
            if not sheet.casefold().startswith("tarebook") and sheet not in file.hidden:
                name = f"{path.name}!{sheet}" if sheet else path.name
                headed += _read_sheet(file.rows(sheet), name, told, found)
    if not headed:
        raise refuse(
            "column-map-needed", f"{path.name} has no row of headings with Cylinder and Gross.",
            "Fill in a sheet that tarebook count-sheet writes, or head the columns Cylinder, Gross,"
            " Found (sealed, not there).",
        )  # fmt: skip
    return found


def _read_sheet(rows: Iterator[Row], name: str, told: Told, found: CountFile) -> int:
    """Read one sheet; 1 where it has headings, else 0."""
    columns: dict[str, int] = {}
    unit = "lb"
    for row in rows:
        cells = [_plain(cell) for cell in row.cells]
        if not columns:
            columns = _headings(cells)
            if columns:
                unit = _unit_of(cells[columns["gross"]])
                found.notes += _passed_over(cells, columns, name)
            else:
                told = _above(cells, told, f"{name}!{row.number}", found)
            continue
        one = _Reading(row, cells, columns, f"{name}!", told, unit).row()
        if one is not None:
            found.rows.append(one)
    return int(bool(columns))


def _plain(cell: object) -> object:
    return cell.value if isinstance(cell, (Merged, Struck)) else cell


def _word(cell: object) -> str:
    return WORDS.get(folded(_UNIT.sub("", cell_text(cell))), "")


def _headings(cells: list[object]) -> dict[str, int]:
    """The place of each column in a row of headings; empty where it is none."""
    found: dict[str, int] = {}
    for index, cell in enumerate(cells):
        if name := _word(cell):
            found.setdefault(name, index)
    return found if {"cylinder", "gross"} <= found.keys() else {}


def _unit_of(heading: object) -> str:
    match = _UNIT.search(cell_text(heading))
    unit = match[1].casefold().rstrip("s") if match else "lb"
    return unit if unit in COUNTS_PER_UNIT else "lb"


def _passed_over(cells: list[object], columns: Mapping[str, int], name: str) -> Iterator[str]:
    unread = [cell_text(cell) for index, cell in enumerate(cells)
              if cell_text(cell) and index not in columns.values()]  # fmt: skip
    if unread:
        yield f"{name}: the columns {', '.join(unread)} are no part of a count and were not read."


def _above(cells: list[object], told: Told, where: str, found: CountFile) -> Told:
    """What a row above the headings says for the whole sheet."""
    for label, value in pairwise(cells):
        name = _word(label)
        if name not in _TOP or not cell_text(value).strip():
            continue
        if name == "cut_off":
            cut_off = read_cut_off(value, told.order, told.year)
            if isinstance(cut_off, Problem):
                found.rows.append(CountRow(where, "", problems=(cut_off.at(where),)))
                continue
            value = cut_off.text
        told = replace(told, **{name: " ".join(cell_text(value).split())})  # type: ignore[arg-type]
    return told


class _Reading:
    """One row below the headings."""

    def __init__(
        self, row: Row, cells: list[object], columns: Mapping[str, int], name: str, told: Told,
        unit: str,
    ) -> None:  # fmt: skip
        self.marks, self.number = row.marks, row.number
        self.cells, self.columns, self.name, self.told, self.unit = cells, columns, name, told, unit
        self.problems: list[Problem] = []

    def row(self) -> CountRow | None:
        """The row; None where it is empty or adds others up."""
        cylinder = self._text("cylinder")
        if self._is_sum():
            return None
        gross = self._read("gross", lambda cell: read_mass(cell, self.unit))
        said = self._text("found")
        found = _FOUND.get(folded(said))
        if found is None:
            self._say("found", Problem(
                "value-unclear", f'"{said}" is nothing a count can find.',
                "Write sealed or not there; leave it empty where it was weighed.",
            ))  # fmt: skip
        if not (cylinder or gross or said):
            return None  # A line of words.
        if not cylinder:
            self._say("cylinder", Problem("field-missing", "The row names no cylinder.",
                                          "Give the name painted on it."))  # fmt: skip
        if gross is None and not said and not self._of_book(cylinder):
            return None
        day = self._read("day", lambda cell: read_day(cell, self.told.order, self.told.year))
        time = self._read("time", _time_of)
        cut_off = self._read("cut_off", self._cut_off)
        if {HIDDEN, STRUCK} & set(self.marks):
            self._say("cylinder", Problem("row-doubtful", "The row is hidden or struck through.",
                                          "Show it again, or take it out."))  # fmt: skip
        return CountRow(
            f"{self.name}{self._letter('cylinder')}{self.number}", cylinder,
            self._text("place") or self.told.place, cut_off or self.told.cut_off,
            self._text("refrigerant"), self._text("kind"), found or (WEIGHED if gross else ""),
            gross, self._text("scale") or self.told.scale, day or "", time or "",
            self._text("person") or self.told.person, self._text("note"), tuple(self.problems),
        )  # fmt: skip

    def _of_book(self, cylinder: str) -> bool:
        """A name alone is a cylinder nobody looked at, where the row is one of a list."""
        return bool(cylinder) and not any(sign in cylinder for sign in ":;,")

    def _is_sum(self) -> bool:
        """Whether the row is empty or adds others up."""
        first = next((text for cell in self.cells if (text := cell_text(cell))), "")
        return not first or folded(first).startswith(("total", "sum "))

    def _cut_off(self, cell: object) -> str | Problem:
        found = read_cut_off(cell, self.told.order, self.told.year)
        return found if isinstance(found, Problem) else found.text

    def _cell(self, name: str) -> Any:
        at = self.columns.get(name, -1)
        return self.cells[at] if 0 <= at < len(self.cells) else None

    def _text(self, name: str) -> str:
        cell = self._cell(name)
        return "" if isinstance(cell, Unread) else " ".join(cell_text(cell).split())

    def _read(self, name: str, read: Callable[[Any], Any]) -> Any:
        """The value of a cell; None where it is empty or cannot be read, which is kept."""
        cell = self._cell(name)
        if isinstance(cell, Unread):
            self._say(name, Problem("value-unclear", f"The cell {cell.why}.", "Type its value."))
            return None
        if not cell_text(cell).strip():
            return None
        found = read(cell)
        if isinstance(found, Problem):
            self._say(name, found)
            return None
        return found

    def _letter(self, name: str) -> str:
        return column_letter(self.columns[name]) if name in self.columns else ""

    def _say(self, name: str, problem: Problem) -> None:
        self.problems.append(problem.at(f"{self.name}{self._letter(name)}{self.number}"))


def _time_of(cell: object) -> str | Problem:
    found = parse_time(cell)
    if isinstance(found, Unclear):
        return Problem("date-unclear", found.sentence(), "Write the time as 14:05.")
    return found
