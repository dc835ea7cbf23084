"""The leak rate of each addition to a circuit, exactly, by both methods of the definition.

40 CFR 82.152 and 84.102 define the rate, 82.157(b) and 84.106(b) when it is to be calculated;
what they leave open is settled by the interpretations named in the working of each rate. Rates
are ratios of whole numbers and are compared with the trigger crosswise: nothing is rounded.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from datetime import date
from functools import partial
from itertools import accumulate
from typing import Any, NamedTuple

from ledger.answers.leak_columns import Columns
from ledger.answers.leak_days import Days, cut, days_of
from ledger.answers.leak_history import CircuitHistory
from ledger.answers.leak_judge import Note
from ledger.answers.leak_law import ANNUALIZING, LawTable
from ledger.answers.leak_result import (
    ADDITION_UNKNOWN,
    AMOUNT_UNKNOWN,
    BINDING_UNDECIDED,
    BINDING_UNKNOWN,
    CARRIED_IN_WINDOW,
    CATEGORY_NOT_RECORDED,
    CHARGE_UNKNOWN,
    FIRST_CALCULATION,
    METHOD_NOT_RECORDED,
    NO_EARLIER,
    UNKNOWN_IN_WINDOW,
    Rate,
)
from ledger.answers.leak_terms import Terms, terms_at

__all__ = ["Rate", "rates"]


def rates(history: CircuitHistory, law: LawTable, as_of: date | None = None) -> list[Rate]:
    """Every leak rate of a circuit, by date and then by subpart.

    There is one for each date with an addition and each subpart that binds (or may bind) then;
    where none does, one that no rule asks for. `as_of` leaves out what happened later.
    """
    if as_of is not None:
        history = cut(history, as_of)
    days = days_of(history, law.net_same_event)
    return _Rating(history, days, law).run()


class _Stretch(NamedTuple):
    """The terms of one subpart over a stretch of days, taken apart for what is plain.

    `first_counts` tells whether the subpart has a first calculation of its own. `limit` is the
    trigger times the full charge in halves, 0 where there is none to compare with.
    """

    terms: Terms
    columns: Columns
    notes: tuple[Note, ...]
    first_counts: bool
    cap: int
    rolling: int
    exempt: frozenset[str]
    resets: list[tuple[int, str]]
    cannot: str
    limit: int
    annual: bool


_rated: Callable[[tuple[Any, ...]], Rate] = partial(tuple.__new__, Rate)


class _Rating:
    """One pass over a circuit's dates."""

    __slots__ = (
        "carried", "columns", "days", "details", "history", "plain", "resets", "table", "unknown",
    )  # fmt: skip

    def __init__(self, history: CircuitHistory, days: Days, table: LawTable) -> None:
        self.history = history
        self.days = days
        self.table = table
        self.columns: dict[str, Columns] = {}
        self.resets = _resets(history)
        self.unknown: list[int] = []
        if history.unknown_additions:
            details = days.details
            marks = (bool(p in details and details[p].unknown) for p in range(len(days.on)))
            self.unknown = [0, *accumulate(marks)]
        carried = history.carried_last_addition
        self.carried = carried.toordinal() if carried else 0
        self.details = days.details
        self.plain = not (history.episodes or self.unknown or self.carried)

    def run(self) -> list[Rate]:
        """All rates, oldest first."""
        out: list[Rate] = []
        until = 0
        current: list[_Stretch] = []
        for position, ordinal in enumerate(self.days.ordinal):
            if ordinal > until:
                found, until = terms_at(self.history, self.table, ordinal)
                current = [self._stretch(terms) for terms in found]
            for stretch in current:
                first = stretch.columns.first
                if (
                    self.plain and position and position not in self.details
                    and not (stretch.first_counts and (first is None or first >= position))
                ):  # fmt: skip
                    out.append(self._plain_rate(position, ordinal, stretch))
                    continue
                rate = self._rate(position, ordinal, *stretch[:3])
                if rate is not None:
                    out.append(rate)
        return out

    def _stretch(self, terms: Terms) -> _Stretch:
        law, halves, trigger = terms.law, terms.halves, terms.trigger
        return _Stretch(
            terms, self._columns(terms.subpart), _plain(terms), law.first_from is not None,
            law.annual_days_cap, law.rolling_window, law.exempt, self.resets[law.rolling_reset],
            CHARGE_UNKNOWN if halves is None and terms.band is None else "",
            trigger * halves if trigger is not None and halves is not None else 0,
            terms.method == ANNUALIZING,
        )  # fmt: skip

    def _plain_rate(self, position: int, ordinal: int, stretch: _Stretch) -> Rate:
        """What `_rate` comes to where nothing is out of the ordinary, for the million."""
        terms, columns, notes, _, cap, rolling, exempt, resets, cannot, limit, annual = stretch
        days, pounds = self.days, columns.counted[position]
        ordinals, prefix = days.ordinal, columns.prefix
        span = ordinal - ordinals[position - 1]
        if span > cap:
            span = cap
        since, extra, alone = ordinal - rolling + 1, 0, False
        if resets and resets[0][0] <= ordinal:
            reset, extra, alone = self._reset(resets, position, ordinal, since, exempt)
            if reset > since:
                since = reset
        if alone:
            window = pounds
        else:
            window = prefix[position + 1] + extra
            window -= prefix[bisect_left(ordinals, since, 0, position + 1)]
        over: bool | None = None
        if limit:
            over = 200 * pounds * cap > limit * span if annual else 200 * window > limit
        elif not cannot and terms.trigger is not None:
            mass, over_days = (pounds * cap, span) if annual else (window, 1)
            over = _over(terms, mass, over_days, floor=False)
        return _rated((
            days.on[position], columns.entries[position], pounds, pounds, span, window, since,
            False, False, over, "", cannot, notes, terms, columns, position,
        ))  # fmt: skip

    def _columns(self, subpart: str) -> Columns:
        found = self.columns.get(subpart)
        if found is None:
            found = self.columns[subpart] = Columns(self.days, self.table, subpart)
        return found

    def _rate(
        self, position: int, ordinal: int, terms: Terms, columns: Columns, notes: tuple[Note, ...]
    ) -> Rate | None:
        days, entries = self.days, columns.entries[position]
        detail = days.details.get(position)
        if detail is not None:
            if not entries and not detail.unknown:
                return self._skipped(position, terms, columns)
            notes = (*notes, *detail.notes)
        law = terms.law
        first = law.first_from is not None and self._is_first(position, terms, columns)
        start, group = position, columns.groups.get(position)
        pounds = columns.counted[position]
        floor = bool(detail and detail.unknown)
        if group is not None and law.same_leak_grouping:
            start = group[0]
            pounds = sum(columns.counted[p] for p in group if p <= position)
            floor = any(self._unknown_on(p) for p in group if p <= position)
        if first:
            span = law.first_days
            notes = (FIRST_CALCULATION, *notes)
        elif start:
            span = days.ordinal[start] - days.ordinal[start - 1]
            if span > law.annual_days_cap:
                span = law.annual_days_cap
        else:
            span = law.annual_days_cap
            notes = (NO_EARLIER, *notes)
        window, since, window_floor, carried = self._window(
            position, ordinal, terms, columns, first
        )
        if (floor or window_floor) and entries:
            notes = (*notes, AMOUNT_UNKNOWN if floor else UNKNOWN_IN_WINDOW)
        if carried:
            notes = (*notes, CARRIED_IN_WINDOW)
            window_floor = True
        cannot = ""
        if not entries:
            cannot = ADDITION_UNKNOWN
        elif terms.halves is None and terms.band is None:
            cannot = CHARGE_UNKNOWN
        over = None
        if not cannot and terms.trigger is not None:
            if terms.method == ANNUALIZING:
                over = _over(terms, pounds * law.annual_days_cap, span, floor)
            else:
                over = _over(terms, window, 1, window_floor)
        return Rate(
            days.on[position], entries, columns.counted[position], pounds, span, window, since,
            floor, window_floor, over, "", cannot, notes, terms, columns, position,
        )  # fmt: skip

    def _skipped(self, position: int, terms: Terms, columns: Columns) -> Rate | None:
        claims = columns.exempts.get(position)
        if not claims:
            return None
        day = self.days.ordinal[position]
        return Rate(
            self.days.on[position], (), 0, 0, 0, 0, day, False, False, None, ", ".join(claims),
            "", (), terms, columns, position,
        )  # fmt: skip

    def _is_first(self, position: int, terms: Terms, columns: Columns) -> bool:
        """Whether this is the first calculation, or a later part of the first one's episode."""
        if columns.first is None:
            begins = terms.law.first_from
            if begins is None or self.days.on[position] < begins:
                return False
            columns.first = position
        if position == columns.first:
            return True
        group = columns.groups.get(position)
        return group is not None and terms.law.same_leak_grouping and columns.first in group

    def _unknown_on(self, position: int) -> bool:
        detail = self.days.details.get(position)
        return bool(detail and detail.unknown)

    def _window(
        self, position: int, ordinal: int, terms: Terms, columns: Columns, first: bool
    ) -> tuple[int, int, bool, bool]:
        """The rolling sum, its first day, whether an unknown or a carried addition is in it."""
        law, ordinals = terms.law, self.days.ordinal
        since, extra = ordinal - law.rolling_window + 1, 0
        if first and law.first_from is not None:
            since = law.first_from.toordinal()
        elif resets := self.resets[law.rolling_reset]:
            reset, extra, alone = self._reset(resets, position, ordinal, since, law.exempt)
            if alone:
                return columns.counted[position], ordinal, False, False
            since = max(since, reset)
        low = bisect_left(ordinals, since, 0, position + 1)
        floor = bool(self.unknown) and self.unknown[position + 1] > self.unknown[low]
        mass = columns.prefix[position + 1] - columns.prefix[low] + extra
        return mass, since, floor, bool(self.carried) and since <= self.carried < ordinal

    def _reset(
        self, resets: list[tuple[int, str]], position: int, ordinal: int, since: int,
        exempt: frozenset[str],
    ) -> tuple[int, int, bool]:  # fmt: skip
        """The day after the reset in force, pounds of the reset's own day that come after it,
        and whether all additions of this date come after a reset of this date.
        """
        place = bisect_left(resets, (ordinal, ""))
        today = place < len(resets) and resets[place][0] == ordinal
        if today and self.days.after_time(position, resets[place][1], exempt)[1]:
            return ordinal, 0, True
        if not place or resets[place - 1][0] < since:
            return 0, 0, False
        day, time = resets[place - 1]
        low = bisect_right(self.days.ordinal, day) - 1
        after = 0
        if low >= 0 and self.days.ordinal[low] == day:
            after = self.days.after_time(low, time, exempt)[0]
        return day + 1, after, False


def _over(terms: Terms, mass: int, span: int, floor: bool) -> bool | None:
    """The crosswise comparison: mass / (charge x span) against trigger / 100, in whole numbers."""
    trigger, scaled = terms.trigger or 0, 200 * mass
    if terms.halves is not None:
        if scaled > trigger * terms.halves * span:
            return True
        return None if floor else False
    low, high = terms.band or (1, 1)
    if scaled > trigger * high * span:
        return True
    return None if floor or scaled > trigger * low * span else False


def _plain(terms: Terms) -> tuple[Note, ...]:
    """The notes that hold for a whole stretch of days."""
    notes = []
    if terms.binding is not None:
        if terms.binding.binds == "undecided":
            notes.append(BINDING_UNDECIDED)
        elif terms.binding.binds == "unknown":
            notes.append(BINDING_UNKNOWN)
        if terms.trigger is None:
            notes.append(CATEGORY_NOT_RECORDED)
    if not terms.method_recorded:
        notes.append(METHOD_NOT_RECORDED)
    return tuple(notes)


def _resets(history: CircuitHistory) -> dict[str, list[tuple[int, str]]]:
    """The days that reset the rolling window, by the rule in force, each with its latest time."""
    tests: dict[int, str] = {}
    for test in history.follow_ups:
        if test.passed and test.all_leaks:
            day = test.on.toordinal()
            tests[day] = max(tests.get(day, ""), test.time)
    repairs = {repair.on.toordinal(): "" for repair in history.repairs}
    return {"follow-up": sorted(tests.items()), "repair": sorted(repairs.items())}
