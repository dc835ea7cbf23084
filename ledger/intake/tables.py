"""Finds the tables on a sheet: below each other, side by side, each with its own headings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from ledger.facts.masters import FIELDS
from ledger.intake.columns import (
    ColumnMap,
    Proposal,
    as_mapped,
    fields_named,
    find_header,
    known_headings,
    propose,
    with_constant,
)
from ledger.intake.headers import (
    MASS_FIELDS,
    MOVEMENTS,
    fields_of,
    header_unit,
    is_reject_heading,
)
from ledger.intake.plan import Plan, plan_of
from ledger.intake.sheets import Merged, Row, Struck, cell_text, column_letter
from ledger.intake.titles import (
    Title,
    Year,
    action_of_titles,
    is_unit,
    unit_of_titles,
    year_of,
)
from ledger.refrigerants.spelling import recognise


class Left(NamedTuple):
    """A row that was left out: its number, why, and the text of a note."""

    row: int
    why: str
    text: str = ""


@dataclass(slots=True)
class Looked:
    """One table as it was found: its proposal or the map that fits it, and what was skipped.

    `table` counts the tables of a sheet from 0; `first` and `last` are its columns, `last` -1
    for one that reaches to the right end. `left` are rows left out, the first ones of many;
    `said` what a person should know of the reading. `year` is what the titles say of days.
    """

    sheet: str
    proposal: Proposal | None = None
    plan: Plan | None = None
    skipped: Counter[str] = field(default_factory=Counter)
    rows: int = 0
    table: int = 0
    first: int = 0
    last: int = -1
    titles: tuple[Title, ...] = ()
    year: Year | None = None
    left: list[Left] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    @property
    def header_row(self) -> int:
        """The row of the headings, 0 where there are none."""
        return self.proposal.map.header_row if self.proposal else 0

    def lines(self) -> list[str]:
        """What was seen of the table and what would be done, in plain sentences."""
        if self.proposal is not None:
            lines = self.proposal.lines()
        elif self.said:
            lines = [f"Sheet {self.sheet}:" if self.sheet else "The file:"]
        else:
            lines = [f"Sheet {self.sheet}: no headings were found; it would be left out."]
        return lines + [f"  {one}" for one in self.said]


def plain_cells(cells: Sequence[object]) -> list[object]:
    """The cells with the value of each merged or struck one."""
    return [bare(cell) for cell in cells]


def bare(cell: object) -> object:
    """The value of a cell, merged, struck through, or both."""
    while isinstance(cell, Merged | Struck):
        cell = cell.value
    return cell


def is_filled(cell: object) -> bool:
    """Whether anything stands in a cell."""
    if cell is None or cell == "":
        return False
    return not (isinstance(cell, str) and not cell.strip())


class Headings:
    """How the headings of one sheet are found and read: by the maps there are, or by words."""

    def __init__(
        self, file: str, stem: str, sheet: str, text: bool, maps: Sequence[ColumnMap],
        chosen: ColumnMap | None,
    ) -> None:  # fmt: skip
        self.file, self.sheet, self.text = file, sheet, text
        self.name = sheet or stem
        self.maps = maps
        self.chosen = chosen if chosen is not None and chosen.columns else None
        self.settings = chosen if chosen is not None and not chosen.columns else None
        self.fitted = False

    def top(self, rows: Sequence[Row]) -> int:
        """The index of the row of headings among the first rows of a sheet; -1 for none."""
        cells = [plain_cells(row.cells) for row in rows]
        maps = self._maps()
        mapped = next((at for at, one in enumerate(cells) if any(m.fits(one) for m in maps)), -1)
        best = mapped if mapped >= 0 else find_header(cells, self.name)
        for at in range(best):
            # Headings further up are a table of their own where rows of it stand between.
            between = cells[at + 1 : best]
            if self.are_headings(cells[at]) and any(_count(one) > 1 for one in between):
                return at
        return best

    def are_headings(self, cells: Sequence[object]) -> bool:
        """Whether a row holds headings and nothing else, most of them known."""
        texts = []
        for cell in cells:
            if isinstance(cell, str) and cell[:1].isdecimal() and not cell.startswith("608"):
                return False
            if is_filled(cell):
                if not isinstance(cell, str):
                    return False
                if not is_reject_heading(cell):
                    texts.append(cell_text(cell))
        if len(texts) < 2:
            return False
        if fields_named(texts) >= 2 and known_headings(texts) * 5 >= len(texts) * 3:
            return True
        return any(one.fits(cells) for one in self._maps())

    def begin_below(self, cells: Sequence[object], above: Sequence[Plan], gap: bool) -> bool:
        """Whether a row of headings begins a table below others, read by the plans `above`.

        The names and the words in a list of places or cylinders may all be headings. There it
        takes an empty row or a title above (`gap`), or three headings, and no value of the list.
        """
        lists = [plan for plan in above if plan.map.records != MOVEMENTS]
        if not lists or any(one.fits(cells) for one in self._maps()):
            return True
        if any(_has_value(plan, cells) for plan in lists):
            return False
        return gap or fields_named([cell_text(cell) for cell in cells]) >= 3

    def read(
        self, cells: Sequence[object], number: int, titles: tuple[Title, ...], count: int
    ) -> list[Looked]:
        """The table, or the tables side by side, that a row of headings begins."""
        whole = self._table(cells, number, titles, 0, -1)
        if whole.plan is None and (parts := _parts(cells)):
            strips = [
                self._table(
                    [*[None] * first, *cells[first : last + 1]], number, titles, first, last
                )
                for first, last in parts
            ]
            ready = [one for one in strips if one.plan is not None]
            if len(ready) > 1:
                for one in ready:
                    one.titles = (*titles,)
                return [replace(one, table=count + at) for at, one in enumerate(ready)]
        whole.table = count
        return [whole]

    def _maps(self) -> list[ColumnMap]:
        return [*([self.chosen] if self.chosen else []), *self.maps]

    def _table(
        self, cells: Sequence[object], number: int, titles: tuple[Title, ...], first: int,
        last: int,
    ) -> Looked:  # fmt: skip
        looked = Looked(self.sheet, first=first, last=last, titles=titles)
        fitting = next((one for one in self._maps() if one.fits(cells)), None)
        if fitting is not None:
            self.fitted = self.fitted or fitting is self.chosen
            looked.proposal = as_mapped(fitting, cells, self.name, number)
            looked.plan = self._plan(fitting, cells, number)
        else:
            found = propose(cells, self.name, number)
            if self.settings is not None:
                found = _with_settings(found, self.settings)
            looked.proposal = found = _by_titles(found, titles)
            if found.ready:
                looked.plan = self._plan(found.map, cells, number)
        if not looked.proposal.map.year:
            where = "the name of the sheet" if self.sheet else "the name of the file"
            looked.year = year_of([*titles, Title(self.name, where, True)])
        return looked

    def _plan(self, column_map: ColumnMap, cells: Sequence[object], number: int) -> Plan:
        plan = plan_of(column_map, cells, self.file, self.sheet, self.text)
        plan.header_number = number
        return plan


def _has_value(plan: Plan, cells: Sequence[object]) -> bool:
    """Whether a cell holds one of the choices of its field, or a refrigerant."""
    shapes = FIELDS[plan.map.records]
    for column in plan.columns:
        text = cell_text(cells[column.index]) if column.index < len(cells) else ""
        shape = shapes.get(column.field)
        if not text or (shape is None and column.field != "refrigerant"):
            continue
        if shape is not None and text.casefold() in {one.casefold() for one in shape.choices}:
            return True
        if column.field == "refrigerant" and isinstance(recognise(text), str):
            return True
    return False


def _with_settings(found: Proposal, said: ColumnMap) -> Proposal:
    """The proposal with what a person set for all tables alike."""
    for name, text in said.constants.items():
        if name not in fields_of(found.map.records):
            continue
        found = with_constant(found, name, text, "--set")
    return replace(found, map=replace(
        found.map, year=said.year or found.map.year, date_order=said.date_order, unit=said.unit,
    ))  # fmt: skip


def _by_titles(found: Proposal, titles: tuple[Title, ...]) -> Proposal:
    """The proposal with what the titles above the table say of all its rows."""
    columns = found.map
    if columns.records != MOVEMENTS:
        return found
    fields = {*columns.columns.values()}
    unit = unit_of_titles(titles)
    questions = [*found.questions]
    masses = [head for head, name in columns.columns.items() if name in MASS_FIELDS]
    if unit is not None and "amount unit" not in fields and columns.unit == "lb" and any(
        not header_unit(head) for head in masses
    ):  # fmt: skip
        questions.append(
            f'"{unit.text}" ({unit.where}) names {header_unit(unit.text)}: which columns are in it?'
            f' Say --set "unit of weight={header_unit(unit.text)}" for all.'
        )
    found = replace(found, questions=tuple(questions))
    action, where = action_of_titles(titles)
    if not action or fields & {"action", "added", "recovered"}:
        return found
    named = columns.constants.get("action", "")
    if not named:
        return with_constant(found, "action", action, where)
    if named == action:
        return found
    question = (
        f"The name of the sheet says {named}, {where} says {action}: which is it?"
        " Set the action for the sheet."
    )
    return replace(found, questions=(*found.questions, question))


def _parts(cells: Sequence[object]) -> list[tuple[int, int]]:
    """The stretches of headings between empty columns, each from its first to its last column."""
    parts: list[tuple[int, int]] = []
    start = -1
    for index in range(len(cells) + 1):
        filled = index < len(cells) and is_filled(cells[index])
        if filled and start < 0:
            start = index
        elif not filled and start >= 0:
            parts.append((start, index - 1))
            start = -1
    return parts if len(parts) > 1 else []


def are_units(cells: Sequence[object]) -> bool:
    """Whether a row below headings says the units of their columns and nothing else."""
    texts = [cell_text(cell) for cell in cells if is_filled(cell)]
    return bool(texts) and all(is_unit(text) for text in texts)


def with_units(headings: Sequence[object], units: Sequence[object]) -> list[object]:
    """The headings, each with the unit that stands below it where it names none."""
    made = list(headings)
    for index, cell in enumerate(units):
        if index < len(made) and is_filled(cell) and is_filled(made[index]):
            text = cell_text(made[index])
            made[index] = text if header_unit(text) else f"{text} {cell_text(cell)}"
    return made


def columns_said(looked: Looked) -> str:
    """The columns of a table beside others: "columns A to D"."""
    if looked.last < 0:
        return ""
    return f"columns {column_letter(looked.first)} to {column_letter(looked.last)}"


def is_summary(looked: Looked) -> bool:
    """Whether headings are those of sums, not of work: no day, and nothing it was done to."""
    if looked.proposal is None or looked.plan is not None:
        return False
    found = looked.proposal.map
    fields = {*found.columns.values()}
    return found.records not in FIELDS and not fields & {
        "date", "unit", "circuit", "site", "cylinder", "to cylinder",
    }  # fmt: skip


def _count(cells: Sequence[object]) -> int:
    return sum(1 for cell in cells if is_filled(cell))
