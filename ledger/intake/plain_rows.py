"""Tells the rows of a table apart: records, totals, notes; and fills in what they leave out.

What is certain at a glance, a row with a day and something it was done to, costs a glance.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Iterator

from ledger.facts.mass import pounds
from ledger.intake.ditto import DITTO, is_ditto, repeated
from ledger.intake.doubts import ALONE, POUNDS
from ledger.intake.headers import MASS_FIELDS, MOVEMENTS
from ledger.intake.remarks import begins_as_day, is_day_alone, is_figure, is_note_word, is_remark
from ledger.intake.sheets import HIDDEN, MERGED, STRUCK, SUM, Merged, Row, Struck, Unread, cell_text
from ledger.intake.tables import Left, Looked, bare, is_filled
from ledger.intake.titles import is_unit
from ledger.intake.totals import Sums, is_total, may_be_total, names_pounds

EMPTY_ROW, TOTALS, NOTES, HEADED = "empty", "totals", "notes", "headings repeated"
KEPT_LEFT = 10_000
"""Rows left out of one table that are kept one by one; all are counted."""
_NAMED = ("unit", "circuit", "site", "cylinder", "to cylinder", "place")
_BESIDE_AMOUNTS = ("price", "deposit")
_PEOPLE = ("technician", "supervised by", "initials", "name")
_NO_WORDS = ("refrigerant", "amount unit")
_FIGURES = frozenset("0123456789")

Fetch = Callable[[Iterable[int]], Iterator[Row]]
"""Gives rows back that were kept, by their index."""


class Rows:
    """The rows of one table, taken from the top."""

    def __init__(self, looked: Looked, fetch: Fetch) -> None:
        plan = looked.plan
        assert plan is not None
        self.looked, self.plan, self._fetch = looked, plan, fetch
        self.moves = plan.map.records == MOVEMENTS
        self._day = plan.places.get("date", -1) if self.moves else -1
        names = _NAMED if self.moves else ("name",)
        self._named = tuple(plan.places[one] for one in names if one in plan.places)
        self._own = sorted({*(one.index for one in plan.columns), *(at for at, _ in plan.extras)})
        self._width = plan.width if looked.last < 0 else looked.last + 1
        self._masses = frozenset(one.index for one in plan.columns if one.field in MASS_FIELDS)
        beside = {plan.places[one] for one in _BESIDE_AMOUNTS if one in plan.places}
        self._beside = {at for at, _ in plan.extras}
        self._numbers = self._masses | beside | self._beside
        self._people = {plan.places[one] for one in _PEOPLE if one in plan.places}
        self._no_words = {plan.places[one] for one in _NO_WORDS if one in plan.places}
        self._above: list[object] | None = None
        self._clear: list[object] | None = None
        self._sums = Sums(plan, tuple(self._masses))
        self._kept = array("Q")
        self._events: list[tuple[int, str]] = []

    # --- what goes in -----------------------------------------------------------------------
    def quick(self, row: Row) -> Row | None:
        """The row itself where it is a record at a glance; None where it needs a second look."""
        cells = row.cells
        if row.marks or not DITTO.isdisjoint(cells):
            return None
        at, count = self._day, len(cells)
        if not 0 <= at < count:
            return None
        day = cells[at]
        if day is None or (type(day) is str and day[:1] not in _FIGURES):
            return None
        for index in self._named:
            if index < count and (cell := cells[index]) is not None and cell != "":
                if type(cell) is str and is_total(cell):
                    return None
                self._above = self._clear = cells
                table = self.looked.table
                return row if not table else Row(row.sheet, row.number, cells, (), table)
        return None

    def slow(self, row: Row) -> Row | None:
        """The record a row is, filled in; None where it is none, which is then noted down."""
        cells, from_above = self._unmerged(row)
        own = [*self._own, *range(self._width, len(cells) if self.looked.last < 0 else 0)]
        filled = [
            at for at in own if at < len(cells) and at not in from_above and is_filled(cells[at])
        ]
        if not filled:
            self.leave(row, EMPTY_ROW)
            return None
        mark = self._lone(filled[0], cells) if len(filled) == 1 else ""
        if mark == POUNDS:
            return self._record(row, cells, mark)
        if not mark and (dittos := [at for at in filled if self._is_ditto(at, cells[at])]):
            cells = repeated(cells, dittos, self._above, self._clear)
        filled = [at for at in own if at < len(cells) and is_filled(cells[at])]
        mark = mark or self._kind(row, cells, filled)
        if mark in (TOTALS, NOTES):
            said = [cell_text(cells[at]) for at in filled]
            self.leave(row, mark, "; ".join(one for one in said if one))
            return None
        return self._record(row, cells, mark)

    def kept(self, index: int) -> None:
        """Note under which index a record was kept."""
        self._kept.append(index)

    def headed(self) -> None:
        """The headings stand once more."""
        self._events.append((len(self._kept), HEADED))

    def leave(self, row: Row, why: str, text: str = "") -> None:
        """Count a row that is none, and keep it for the report."""
        looked = self.looked
        looked.skipped[why] += 1
        if why == EMPTY_ROW:
            return
        if why == TOTALS:
            text = self._difference(row) or text
            self._events.append((len(self._kept), TOTALS))
        if len(looked.left) < KEPT_LEFT:
            looked.left.append(Left(row.number, why, text[:200]))

    # --- the second look --------------------------------------------------------------------
    def _is_ditto(self, at: int, cell: object) -> bool:
        """Whether a cell repeats the one above; "Do" in a column of people is a person."""
        return is_ditto(cell) and not (at in self._people and cell_text(cell).isalpha()
                                       and len(cell_text(cell)) == 2)  # fmt: skip

    def _unmerged(self, row: Row) -> tuple[list[object], set[int]]:
        """The cells with what is merged into them, and which of them come from rows above.

        An amount that is merged over rows, or struck through, is a question.
        """
        if MERGED not in row.marks:
            return row.cells, set()
        cells, from_above = list(row.cells), set()
        for index, cell in enumerate(cells):
            if isinstance(cell, Merged):
                if cell.first < row.number:
                    from_above.add(index)
                why = (
                    f"for rows {cell.first} to {cell.last}, in one merged cell; say how much"
                    " belongs to each row"
                )
            elif isinstance(cell, Struck):
                why = "struck through; say what it was, or 0"
            else:
                continue
            value = cells[index] = bare(cell)
            if index in self._masses and _is_number(value):
                cells[index] = Unread(f"holds {self._amount(index, value)} {why}", asks=True)
        return cells, from_above

    def _amount(self, index: int, value: object) -> str:
        text = cell_text(value)
        unit = next(one.unit for one in self.plan.columns if one.index == index)
        return f"{text} {unit}" if text.replace(".", "", 1).isdecimal() else text

    def _lone(self, at: int, cells: list[object]) -> str:
        """What a row with one filled cell is; empty where it has to be looked at like others."""
        cell = cells[at]
        text = cell_text(cell)
        if isinstance(cell, Unread) or (at in self._masses and _is_number(cell)):
            return ""
        if is_total(text):
            return TOTALS
        if at == self._day and is_day_alone(cell):
            return ""
        if not self.moves and at in self._named and not is_remark(text):
            return ""
        return POUNDS if names_pounds(text) else NOTES

    def _kind(self, row: Row, cells: list[object], filled: list[int]) -> str:
        """TOTALS, NOTES, ALONE or, for a record, nothing."""
        there = set(filled)
        day = self._day in there and self._says_day(cells[self._day])
        named = any(at in there and not is_total(cell_text(cells[at])) for at in self._named)
        words = [
            cell_text(cells[at]) for at in filled
            if isinstance(cells[at], str) and not (at in self._masses and _is_number(cells[at]))
            and not (at == self._day and day)
            and not (at in self._beside and is_figure(cell_text(cells[at])))
            and not (at in self._no_words and not may_be_total(cell_text(cells[at])))
        ]  # fmt: skip
        others = [text for text in words if not is_total(text) and not is_unit(text)]
        labelled = any(is_total(text) for text in words)
        if labelled and not others:
            return TOTALS
        if not words and there <= self._numbers | {self._day} and there & self._masses:
            return self._bare(row, cells, day)
        if day or not any(may_be_total(text) for text in words):
            remark = words and is_note_word(words[0])
            return NOTES if remark and not day and len(words) == len(filled) else ""
        if SUM in row.marks or self._equal(row, cells):
            return TOTALS
        return ALONE if len(words) == 1 and there & self._masses and not named else ""

    def _bare(self, row: Row, cells: list[object], day: bool) -> str:
        """What a row is that holds amounts and nothing else."""
        if SUM in row.marks:
            return TOTALS
        if day:
            return ""
        return TOTALS if self._equal(row, cells, least=2) else ALONE

    def _says_day(self, cell: object) -> bool:
        """Whether a cell in the column of days may be one: "June 3", but not "June total"."""
        return not isinstance(cell, str) or (begins_as_day(cell) and not is_total(cell_text(cell)))

    def _record(self, row: Row, cells: list[object], mark: str) -> Row:
        marks = tuple(one for one in row.marks if one in (HIDDEN, STRUCK))
        if mark:
            marks = (*marks, mark)
        else:
            self._above = cells
            if not marks:
                self._clear = cells
        return Row(row.sheet, row.number, cells, marks, self.looked.table)

    # --- arithmetic -------------------------------------------------------------------------
    def _equal(self, row: Row, cells: list[object], least: int = 1) -> bool:
        self._fold()
        return self._sums.equal(Row(row.sheet, row.number, cells), least)

    def _fold(self) -> None:
        """Add up what was kept since the last look; nobody pays for it where there is no total."""
        start = 0
        for upto, event in [*self._events, (len(self._kept), "")]:
            for kept in self._fetch(self._kept[start:upto]):
                if not any(mark in (ALONE, POUNDS) for mark in kept.marks):
                    self._sums.add(kept)
            start = upto
            if event == HEADED:
                self._sums.headed()
            elif event == TOTALS:
                self._sums.summed()
        self._events.clear()
        del self._kept[:]

    def _difference(self, row: Row) -> str:
        """What a total says where the rows above it say something else; empty where all agree."""
        self._fold()
        found = self._sums.differs(row)
        if found is None:
            return ""
        said, summed = found
        return f"it says {pounds(said)} lb, the rows above it come to {pounds(summed)} lb"


def _is_number(cell: object) -> bool:
    """Whether a cell of an amount is one, as far as a glance tells."""
    return not isinstance(cell, str) or cell_text(cell).lstrip("$~.-+ ")[:1] in _FIGURES
