"""Gives days without a year the year that a title names, where nothing speaks against it."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import date

from ledger.facts.calendar import EARLIEST
from ledger.intake.plan import Plan
from ledger.intake.rows import Fields
from ledger.intake.sheets import Row
from ledger.intake.tables import Looked

_MINUTES = 1441 * 3
"""What a day counts in `Fields.moment`."""


class YearOfTitle:
    """The days of one table held against the year that its titles name."""

    def __init__(self, looked: Looked) -> None:
        assert looked.year is not None
        self._looked = looked
        self._year = looked.year
        self._low, self._high = (
            (date(year, 1, 1) - EARLIEST).days * _MINUTES
            for year in (self._year.year, self._year.year + 1)
        )
        self._other = 0
        self._waiting = array("Q")

    def met(self, moment: int, row: Row, index: int) -> None:
        """Take note of a row: of another year, or without a day that can be read."""
        if not moment:
            self._waiting.append(index)
        elif not self._low <= moment < self._high:
            self._other = self._other or row.number

    def settle(
        self, plan: Plan, aliases: dict[str, str],
        fetch: Callable[[Iterable[int]], Iterator[tuple[int, Row]]],
    ) -> tuple[Fields | None, dict[int, int]]:  # fmt: skip
        """A reader with the year, and the moments of the rows that it is for.

        None where no day needs it, or where a day of another year or month speaks against it,
        which is then said.
        """
        at = plan.places.get("date", -1)
        if not self._waiting or at < 0:
            return None, {}
        dated = Fields(replace_year(plan, self._year.year), aliases)
        moments: dict[int, int] = {}
        months: set[int] = set()
        for index, row in fetch(self._waiting):
            found = dated.day(row.cells[at]) if at < len(row.cells) else ""
            if isinstance(found, str) and found:
                moments[index] = dated.moment(row)
                months.add(int(found[5:7]))
        if not moments:
            return None, {}
        said, days = self._looked.said, "1 day" if len(moments) == 1 else f"{len(moments)} days"
        if against := self._against(months):
            said.append(
                f"{days} without a year: {self._year.where} says {self._year.year}, but"
                f" {against}. Say it with --set year={self._year.year}, or write it in the rows."
            )
            return None, {}
        said.append(f"year = {self._year.year} (from {self._year.where}) for {days} without one.")
        return dated, moments

    def _against(self, months: set[int]) -> str:
        """What speaks against the year for days in these months; empty where nothing does."""
        if self._other:
            return f"row {self._other} is of another year"
        if self._year.month and months != {self._year.month}:
            return "they lie in other months than it names"
        return "a name alone may be older than its rows" if self._year.bare_name else ""


def replace_year(plan: Plan, year: int) -> Plan:
    """The plan with a year for days without one."""
    return replace(plan, map=replace(plan.map, year=year))
