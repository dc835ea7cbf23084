"""Goes through one sheet from its top: its tables, and the rows of each that are records."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, islice

from ledger.intake.headers import header_unit
from ledger.intake.plain_rows import EMPTY_ROW, HEADED, NOTES, Rows
from ledger.intake.plan import same_headings
from ledger.intake.sheets import MERGED, Row, cell_text
from ledger.intake.spool import Spool
from ledger.intake.tables import (
    Headings,
    Looked,
    are_units,
    is_filled,
    plain_cells,
    with_units,
)
from ledger.intake.titles import Title, action_of_titles, year_of

_TOP = 30
"""Rows at the top of a sheet in which its headings are looked for."""
ABOVE, NOT_READ, TITLES = "above the headings", "in a table that is not understood", "titles"


class SheetRows:
    """The tables of a sheet, found while its records are gone through.

    Iterating gives each record with the table it belongs to, whose index in `tables` it has.
    """

    def __init__(self, headings: Headings, spool: Spool, rows: Iterator[Row]) -> None:
        self.sheet = headings.sheet
        self.tables: list[Looked] = []
        self._headings, self._spool, self._rows = headings, spool, rows
        self._strips: list[Rows] = []
        self._header: list[object] = []
        self._fresh = False
        self._gap = False
        self._last = 0
        self._lone: list[tuple[int, str]] = []

    def __iter__(self) -> Iterator[tuple[Rows, Row]]:
        top = list(islice(self._rows, _TOP))
        at = self._headings.top(top)
        if at < 0:
            return
        above = [row for row in top[:at] if any(map(is_filled, row.cells))]
        titles = tuple(
            Title(cell_text(cells[0]), f"the title in row {row.number}")
            for row in above
            if len(cells := [one for one in plain_cells(row.cells) if is_filled(one)]) == 1
        )
        if at and (number := top[at - 1].number) == top[at].number - 1:
            # Over the headings may stand the unit of several columns.
            titles += tuple(
                Title(cell_text(one), f"row {number}")
                for one in plain_cells(top[at - 1].cells)
                if isinstance(one, str) and header_unit(one)
            )
        self._begin(plain_cells(top[at].cells), top[at].number, titles)
        self.tables[0].skipped[ABOVE] += len(above)
        for row in chain(top[at + 1 :], self._rows):
            if len(self._strips) == 1 and self._strips[0].looked.last < 0:
                rows = self._strips[0]
                if (found := rows.quick(row)) is not None:
                    self._fresh = False
                    if self._lone:
                        self._lone = []
                    yield rows, found
                    continue
            yield from self._next(row)

    def _begin(self, cells: list[object], number: int, titles: tuple[Title, ...]) -> None:
        """Begin the table or tables under a row of headings."""
        found = self._headings.read(cells, number, titles, len(self.tables))
        self.tables += found
        self._strips = [Rows(one, self._fetch) for one in found if one.plan is not None]
        self._header, self._fresh = cells, True

    def _fetch(self, indexes: object) -> Iterator[Row]:
        for _, kept in self._spool.read(indexes):  # type: ignore[arg-type]
            yield Row(*kept)

    def _next(self, row: Row) -> Iterator[tuple[Rows, Row]]:
        """What a row is that is no record at a glance."""
        cells = plain_cells(row.cells) if MERGED in row.marks else row.cells
        gap = self._gap or row.number > self._last + 1
        self._last, self._gap = row.number, True
        if self._begins(cells, self._strips, gap) or any(
            one.plan.repeats_header(row) for one in self._strips if one.looked.last < 0
        ):
            self._headed(row, cells)
            return
        if self._fresh and are_units(cells):
            self._with_units(row, cells)
            return
        if not any(map(is_filled, cells)):
            self.tables[-1].skipped[EMPTY_ROW] += 1
            return
        if not self._strips:
            self.tables[-1].skipped[NOT_READ] += 1
            return
        self._fresh = False
        for at, rows in enumerate(self._strips):
            if (found := self._of(at, rows, row, gap)) is not None:
                self._lone, self._gap = [], False
                yield self._strips[at], found
        self._note(row, cells)
        self._gap = self._gap or bool(self._lone)

    def _begins(self, cells: list[object], strips: list[Rows], gap: bool) -> bool:
        """Whether a row holds the headings of a table, or those above once more."""
        if not self._headings.are_headings(cells):
            return False
        return same_headings(cells, self._header) or self._headings.begin_below(
            cells, [one.plan for one in strips], gap
        )

    def _of(self, at: int, rows: Rows, row: Row, gap: bool) -> Row | None:
        """The record that a row is in one of the tables side by side, or in the only one."""
        looked = rows.looked
        if looked.last < 0:
            return rows.slow(row)
        first, last = looked.first, looked.last
        cut = row._replace(cells=[*[None] * first, *row.cells[first : last + 1]])
        if not any(map(is_filled, cut.cells)):
            return None
        cells = plain_cells(cut.cells)
        are = self._headings.are_headings(cells)
        if are and same_headings(cells, self._header[: last + 1]):
            rows.leave(row, HEADED)
            return None
        if are and self._headings.begin_below(cells, [rows.plan], gap):
            (new,) = self._headings.read(cells, row.number, (), len(self.tables))[:1]
            new.first, new.last = first, last
            if new.plan is not None:
                self.tables.append(new)
                self._strips[at] = Rows(new, self._fetch)
            return None
        return rows.quick(cut) or rows.slow(cut)

    def _note(self, row: Row, cells: list[object]) -> None:
        """Remember a row of one text, which may be the title of the next table."""
        filled = [cell for cell in cells if is_filled(cell)]
        if len(filled) == 1 and isinstance(filled[0], str):
            self._lone.append((row.number, cell_text(filled[0])))
        elif filled:
            self._lone = []

    def _headed(self, row: Row, cells: list[object]) -> None:
        """Headings below the first: the same once more, or those of another table."""
        titles = self._titles()
        again = same_headings(cells, self._header)
        action, _ = action_of_titles(titles)
        year = year_of(titles)
        before = self.tables[-1].titles
        if again and not (self._strips and (action or year)):
            self.tables[-1].skipped[HEADED] += 1
            for rows in self._strips:
                rows.headed()
            return
        # What the titles further up say holds on, as far as these say nothing else.
        kept = [one for one in before if (again and not action and action_of_titles([one])[0])
                or (year is None and year_of([one]))]  # fmt: skip
        self._begin(list(cells), row.number, (*titles, *kept))

    def _titles(self) -> tuple[Title, ...]:
        """The lone texts right above, which are titles and no notes."""
        lone, self._lone = self._lone, []
        numbers = {number for number, _ in lone}
        for looked in self.tables:
            kept = [one for one in looked.left if one.row not in numbers or one.why != NOTES]
            titles = len(looked.left) - len(kept)
            if titles:
                looked.left[:] = kept
                looked.skipped[NOTES] -= titles
                looked.skipped[TITLES] += titles
        return tuple(Title(text, f"the title in row {number}") for number, text in lone)

    def _with_units(self, row: Row, cells: list[object]) -> None:
        """Read the headings anew with the units that stand below them."""
        begun = [one.table for one in self.tables if one.header_row]
        before = self.tables[-1]
        number, titles, skipped = before.header_row, before.titles, before.skipped
        same = [one for one in self.tables if one.header_row == number]
        del self.tables[len(begun) - len(same) :]
        self._begin(with_units(self._header, cells), number, titles)
        self.tables[-1].skipped.update(skipped)
        self.tables[-1].skipped[HEADED] += 1
