"""Lays tables out on tabs the way people do: titles, page breaks, merged cells, totals, notes."""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace

from tests.oracle.messy.paper import (
    ASK,
    CERTAIN,
    NOTHING,
    Cell,
    Formula,
    Heading,
    Line,
    Tab,
    Table,
    Truth,
)

_DITTO = ('"', "''", "do.", "”", "ditto", '" "', "〃")
_TITLES = (
    "REFRIGERANT LOG", "Refrigerant used 2025-26", "keep 3 years!!", "Sheet 2 of 4",
    "All weights in lb unless noted", "Updated by office Fri", "TRUCK STOCK + CHARGES",
)  # fmt: skip
_NOTES = (
    "truck 2 in the shop this week", "NOTE: see ticket 1123, might be 4.8 lb not 4.3",
    "*** inventory done, 25 lb short ***", "below here: summer", "called about 6 lb, no job",
    "scale battery changed",
)  # fmt: skip
_TOTALS = ("Total", "TOTAL", "Subtotal", "Sub-total", "Total lbs", "Page total", "Sum:")
_MERGES = ("date", "ticket", "technician", "site")


@dataclass(slots=True)
class Block:
    """Rows of one visit that stay together; `loose` blocks were put in from elsewhere."""

    lines: list[Line]
    visit: int = 0


@dataclass(slots=True)
class Sketch:
    """A table before it is laid out: its style, columns and blocks of rows in order."""

    style: str
    columns: list[Heading]
    blocks: list[Block] = field(default_factory=list)

    def at(self, meaning: str) -> int:
        """The index of the column with this meaning, -1 where there is none."""
        return next((i for i, one in enumerate(self.columns) if one.meaning == meaning), -1)


def layout(kind: str) -> Truth:
    """The truth of a row that is part of the layout."""
    return Truth(kind, NOTHING)


def lay_out(rng: random.Random, name: str, sketches: list[Sketch], plain: bool) -> Tab:
    """A tab with these tables one below the other; `plain` is for files of separated text."""
    tab = Tab(name)
    for number, sketch in enumerate(sketches):
        if number:
            for _ in range(rng.randint(1, 3)):
                tab.lines.append(Line([], layout("blank row")))
        _title(rng, tab)
        _table(rng, tab, sketch, plain, second=number > 0)
    return tab


def _title(rng: random.Random, tab: Tab) -> None:
    for _ in range(rng.choice((0, 1, 1, 2, 3))):
        text: list[Cell] = [None] * rng.choice((0, 0, 1)) + [rng.choice(_TITLES)]
        tab.lines.append(Line(text, layout("title row")))
    if rng.random() < 0.3:
        tab.lines.append(Line([], layout("blank row")))


def _table(rng: random.Random, tab: Tab, sketch: Sketch, plain: bool, second: bool) -> None:
    header: list[Cell] = [one.text for one in sketch.columns]
    tab.lines.append(Line(list(header), layout("headings of a second table" if second else
                                               "headings")))  # fmt: skip
    tab.tables.append(Table(sketch.columns, len(tab.lines)))
    habits = _Habits(rng, plain)
    since: list[int] = []
    for block in sketch.blocks:
        lines = [replace(one, cells=list(one.cells)) for one in block.lines]
        first = len(tab.lines) + 1
        habits.shorten(tab, sketch, lines, first)
        since += range(first, first + len(lines))
        tab.lines += lines
        if habits.page and len(since) >= habits.page:
            if habits.totals:
                tab.lines.append(_total(rng, tab, sketch, since, plain))
            tab.lines.append(Line(list(header), layout("headings repeated")))
            since = []
        elif habits.totals and len(since) > habits.totals:
            tab.lines.append(_total(rng, tab, sketch, since, plain))
            since = []
        _between(rng, tab, sketch)
    if since and rng.random() < 0.7:
        tab.lines.append(_total(rng, tab, sketch, since, plain, rng.random() < 0.2))


class _Habits:
    """What the one who keeps this table does all the way down."""

    def __init__(self, rng: random.Random, plain: bool) -> None:
        self.rng = rng
        self.page = rng.choice((0, 0, 12, 18))
        self.totals = rng.choice((0, 0, 8, 15))
        self.ditto = rng.choice((*_DITTO, "", "", "")) if rng.random() < 0.7 else ""
        self.merges = not plain and rng.random() < 0.5

    def shorten(self, tab: Tab, sketch: Sketch, lines: list[Line], first: int) -> None:
        """Leave out what is the same on all rows of a visit: merged over them, or ditto marks."""
        if len(lines) < 2 or any(one.truth.sure != CERTAIN or one.hidden for one in lines):
            return
        columns = [at for one in _MERGES if (at := sketch.at(one)) >= 0]
        if len({one.truth.says[0].circuits for one in lines}) == 1 and sketch.at("unit") >= 0:
            columns.append(sketch.at("unit"))
        chosen = [
            at for at in columns if lines[0].cells[at] is not None and self.rng.random() < 0.6
        ]
        for at in chosen:
            if len({one.truth.says[0].days for one in lines}) > 1:
                return
            if self.merges:
                self._merge(tab, sketch, lines, first, at)
            elif self.ditto:
                _mark(sketch, lines, at, self.ditto)

    def _merge(self, tab: Tab, sketch: Sketch, lines: list[Line], first: int, at: int) -> None:
        letter = chr(65 + at)
        tab.merged.append(f"{letter}{first}:{letter}{first + len(lines) - 1}")
        for line in lines[1:]:
            line.cells[at] = None
            line.truth = _named(line.truth, f"merged {sketch.columns[at].meaning}")


def _mark(sketch: Sketch, lines: list[Line], at: int, sign: str) -> None:
    for line in lines[1:]:
        line.cells[at] = sign
        line.truth = _named(line.truth, f"ditto mark for the {sketch.columns[at].meaning}")


def _named(truth: Truth, kind: str) -> Truth:
    """The truth under this kind of mess, but for a row of a later state, which is counted there."""
    return truth if truth.kind.startswith("again") else replace(truth, kind=kind)


def _between(rng: random.Random, tab: Tab, sketch: Sketch) -> None:
    """What stands between two visits now and then: nothing, or words."""
    draw = rng.random()
    if draw < 0.05:
        tab.lines.append(Line([], layout("blank row")))
    elif draw < 0.07:
        tab.lines.append(Line([" ", None, "\u00a0"], layout("blank row")))
    elif draw < 0.10:
        at = rng.randrange(min(3, len(sketch.columns)))
        cells: list[Cell] = [None] * at + [rng.choice(_NOTES)]
        tab.lines.append(Line(cells, layout("note row")))


def _total(
    rng: random.Random, tab: Tab, sketch: Sketch, rows: list[int], plain: bool,
    without_word: bool = False,
) -> Line:  # fmt: skip
    """A row with the sum of the rows above, as a number or a formula with its result."""
    cells: list[Cell] = [None] * len(sketch.columns)
    for meaning in ("added", "recovered", "amount"):
        at = sketch.at(meaning)
        if at < 0:
            continue
        total = round(sum(_number(tab.lines[row - 1].cells, at) for row in rows), 2)
        letter = chr(65 + at)
        text = f"=SUM({letter}{rows[0]}:{letter}{rows[-1]})"
        cells[at] = total if plain or rng.random() < 0.4 else Formula(text, total)
    if without_word:
        return Line(cells, layout("total without a word"))
    word = rng.choice(_TOTALS)
    where = rng.choice((0, 1, sketch.at("unit"), sketch.at("date")))
    cells[where] = word
    day = sketch.at("date")
    if where != day and rng.random() < 0.25:
        said = tab.lines[rows[-1] - 1].cells[day]
        cells[day] = said
        return Line(cells, layout("total with a day"))
    return Line(cells, layout("total"))


def _number(cells: list[Cell], at: int) -> float:
    """What a spreadsheet's SUM would take from a cell: numbers, not text."""
    cell = cells[at] if at < len(cells) else None
    if isinstance(cell, Formula):
        cell = cell.result
    return float(cell) if isinstance(cell, int | float) else 0.0


def hide(line: Line) -> Line:
    """The row, hidden: real work, which nobody can know without asking."""
    truth = replace(line.truth, kind="hidden row", sure=ASK, doubt="row", flag_ok=True)
    return replace(line, hidden=True, truth=truth)


def strike_out(line: Line, hidden: bool) -> Line:
    """A copy of a row that was struck out: no record any more."""
    kind = "hidden struck-out copy" if hidden else "struck-out copy"
    return replace(line, cells=list(line.cells), hidden=hidden, struck=True, truth=layout(kind))
