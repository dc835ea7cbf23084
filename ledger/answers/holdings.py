"""One pass over all movements in the order they occurred: every holder's account in each period.

Cylinders are folded as `ledger.facts.contents` folds one of them, so that what is put together
becomes recovered, shared or mixed for all of it. What that changes is an amount of its own,
"put together", and every account closes exactly on what the cylinder holds.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter, mul
from typing import NamedTuple

from ledger.answers.periods import FOREVER, Period, following, starting
from ledger.answers.routes import (
    CIRCUITS,
    CYLINDERS,
    FAMILIES,
    MOVED_IN,
    MOVED_OUT,
    PARTIES,
    PUT_TOGETHER,
    SOURCE_NAME,
    Route,
    route_of,
)
from ledger.facts.contents import MIXED, SHARED

Row = tuple[str, str, int, int, str, str, str, str, str, int, str, str, str]
"""A movement as balances take it, in the order of the members of `MovementRow`."""
Key = tuple[str, ...]

CYLINDER = "cylinder"
_ENTRY_SHIFT = 5
"""Bits below the entry number that hold a column in a log."""
_COLUMN_BITS = (1 << _ENTRY_SHIFT) - 1


class MovementRow(NamedTuple):
    """One movement: the ISO day it occurred, the holders, counts of 1.25 ng, and its class."""

    day: str
    time: str
    entry: int
    line: int
    source_kind: str
    source: str
    target_kind: str
    target: str
    refrigerant: str
    mass: int
    stock: str
    owner: str
    purpose: str


class Home(NamedTuple):
    """Where a circuit's unit stands from an ISO day on (empty: from the beginning), and whose."""

    since: str
    site: str
    owner: str


class Placed(NamedTuple):
    """A cylinder put at a place from an ISO day on (empty: from the beginning), by an entry."""

    since: str
    cylinder: str
    place: str
    entry: int = 0


Account = list[int]
"""Counts of one holder and class in one period by column; a cylinder's ends with its number."""


class Log:
    """Which entries stand behind the columns of the cylinders' accounts of one period.

    Kept as two long rows of numbers, because a million postings must cost little; sorted only
    when somebody asks.
    """

    __slots__ = ("accounts", "marks", "order")

    def __init__(self) -> None:
        self.accounts = array("Q")
        self.marks = array("Q")
        self.order: list[int] = []

    def entries(self, number: int, column: int) -> Iterator[int]:
        """The entries behind a column of an account, in the order they were posted."""
        if len(self.order) != len(self.accounts):
            self.order = sorted(range(len(self.accounts)), key=self.accounts.__getitem__)
        start = bisect_left(self.order, number, key=self.accounts.__getitem__)
        for place in range(start, len(self.order)):
            at = self.order[place]
            if self.accounts[at] != number:
                return
            if self.marks[at] & _COLUMN_BITS == column:
                yield self.marks[at] >> _ENTRY_SHIFT


class Table:
    """One column of the holders of one class that are no cylinders, by name, with the entries.

    One mapping for all names, because the movements of a day touch names far apart.
    """

    __slots__ = ("entries", "index", "names", "sums")

    def __init__(self) -> None:
        self.sums: dict[str, int] = {}
        self.names: list[str] = []
        self.entries = array("Q")
        self.index: dict[str, list[int]] = {}

    def post(self, name: str, mass: int, entry: int) -> None:
        """Add an amount to a holder."""
        self.sums[name] = self.sums.get(name, 0) + mass
        self.names.append(name)
        self.entries.append(entry)

    def entries_of(self, name: str) -> list[int]:
        """The entries behind a holder's amount, in the order they were posted."""
        if not self.index:
            for one, entry in zip(self.names, self.entries, strict=True):
                self.index.setdefault(one, []).append(entry)
        return self.index.get(name, [])


class _State:
    """One cylinder as the fold goes along."""

    __slots__ = ("account", "name", "owner", "place", "refrigerant", "stock", "total")

    def __init__(self, name: str, place: str) -> None:
        self.name = name
        self.place = place
        self.total = 0
        self.refrigerant = self.stock = self.owner = ""
        self.account: Account | None = None

    def key(self) -> Key:
        return (self.name, self.place, self.refrigerant, self.stock, self.owner)


@dataclass(frozen=True, slots=True)
class Closing:
    """Every account at the end of one period, by family and full key.

    `openings` and `closings` hold what is not zero; the closings of cylinders are what the fold
    found in them, not sums of columns.
    """

    period: Period
    accounts: Mapping[str, Mapping[Key, Account]]
    openings: Mapping[str, Mapping[Key, int]]
    closings: Mapping[str, Mapping[Key, int]]
    log: Log
    tables: Mapping[str, Mapping[Key, Table]]

    def entries(self, family: str, key: Key, column: int) -> Iterator[int]:
        """The entries behind a column of an account, in the order they were posted."""
        if family == CYLINDERS:
            return self.log.entries(self.accounts[family][key][-1], column)
        table = self.tables[family].get((str(column), *key[1:]))
        return iter(table.entries_of(key[0]) if table else ())


def fold(
    rows: Iterable[Row],
    placed: Iterable[Placed] = (),
    homes: Mapping[str, Sequence[Home]] | None = None,
    unit: str = "",
    first: str = "",
    last: str = "",
) -> Iterator[Closing]:
    """The closing of each period, oldest first.

    `rows` come in order of day, entry and line. `placed` and `homes` give places of cylinders
    and sites of circuits where those are asked for. `unit` is one of UNITS; `first` and `last`
    are the ends of the whole in ISO days, empty where open.
    """
    return _Fold(placed, homes or {}, unit, first, last).run(rows)


class _Fold:
    """The running state of one pass."""

    def __init__(
        self, placed: Iterable[Placed], homes: Mapping[str, Sequence[Home]], unit: str,
        first: str, last: str,
    ) -> None:  # fmt: skip
        self.unit, self.first, self.last = unit, first, last
        self.homes = homes
        latest = {(one.since, one.cylinder): one for one in placed}
        self.numbers = 0
        self.log = Log()
        self.placed = sorted(latest.values(), reverse=True)
        self.place: dict[str, str] = {}
        self.states: dict[str, _State] = {}
        self.routes: dict[tuple[str, str, str], Route] = {}
        self.accounts: dict[str, dict[Key, Account]] = {}
        self.tables: dict[str, dict[Key, Table]] = {}
        self.circuits: dict[tuple[int, str], Table] = {}
        self.words: dict[str, str] = {}
        self.openings: dict[str, dict[Key, int]] = {name: {} for name in FAMILIES}
        self._begin()

    def run(self, rows: Iterable[Row]) -> Iterator[Closing]:
        """Fold all rows; see `fold`."""
        period: Period | None = None
        for day, group in groupby(rows, itemgetter(0)):
            if self.last and day > self.last:
                break
            period = period or starting(day, self.unit, self.first, self.last)
            while day > period.last:
                yield from self._close(period)
                period = following(period, self.unit, self.first, self.last)
            self._place_until(day)
            self._take_day(group)
        if period is None:
            if self.unit and not (self.first or self.last):
                return
            period = starting(self.last or FOREVER, self.unit, self.first, self.last)
        while period.last < self.last or period.label == "before":
            yield from self._close(period)
            period = following(period, self.unit, self.first, self.last)
        yield from self._close(period)

    # -- one day ---------------------------------------------------------------------------

    def _take_day(self, rows: Iterable[Row]) -> None:
        """Post one day's movements.

        Only a cylinder that took something in that day needs the order of the day; what the
        others gave is posted as it comes, and so are the holders that are no cylinders.
        """
        day = list(rows)
        taking = [row for row in day if row[6] == CYLINDER]
        busy = {row[7] for row in taking}
        giving: list[Row] = []
        routes, states, circuits = self.routes, self.states, self.circuits
        log_account, log_mark = self.log.accounts.append, self.log.marks.append
        for row in day:
            _, _, entry, _, kind, name, to, _, refrigerant, mass, stock, owner, purpose = row
            route = routes.get((kind, to, purpose)) or self._route(kind, to, purpose)
            leaves, _, unnamed, ends = route
            if leaves >= 0:
                state = states.get(name)
                if name in busy:
                    giving.append(row)
                elif (
                    state is None or state.account is None or state.refrigerant != refrigerant
                    or state.stock != stock or state.owner != owner
                ):  # fmt: skip
                    self._give_out(row)
                else:
                    account = state.account
                    account[leaves] += mass
                    state.total -= mass
                    log_account(account[-1])
                    log_mark(entry << _ENTRY_SHIFT | leaves)
            for family, column, end in ends:
                table = circuits.get((column, refrigerant)) if family == CIRCUITS else None
                if table is None:
                    self._post_end(family, column, row, end)
                else:
                    table.post(row[end], mass, entry)  # type: ignore[arg-type]
            for column, sign in unnamed:
                account = self._account(CYLINDERS, ("", "", refrigerant, stock, owner))
                self._post(account, column, sign * mass, entry)
        if taking:
            self._take_in_order(taking, giving)

    def _take_in_order(self, taking: Iterable[Row], giving: Iterable[Row]) -> None:
        """Post what cylinders took in and gave on one day, by time, in before out.

        Where the time is unknown, what came in is taken first and what went out last.
        """
        by_time: defaultdict[tuple[str, int], list[Row]] = defaultdict(list)
        for row in taking:
            by_time[row[1] or "00:00", 0].append(row)
        for row in giving:
            by_time[row[1] or "24:00", 1].append(row)
        for (_, out), rows in sorted(by_time.items(), key=itemgetter(0)):
            for row in rows:
                if out:
                    self._give_out(row)
                else:
                    self._take_in(row)

    def _route(self, source: str, target: str, purpose: str) -> Route:
        route = self.routes[source, target, purpose] = route_of(source, target, purpose)
        return route

    def _post(self, account: Account, column: int, mass: int, entry: int) -> None:
        account[column] += mass
        self.log.accounts.append(account[-1])
        self.log.marks.append(entry << _ENTRY_SHIFT | column)

    def _give_out(self, row: Row) -> None:
        _, _, entry, _, kind, name, to, _, refrigerant, mass, stock, owner, purpose = row
        state = self.states.get(name) or self._state(name)
        account = state.account
        if (
            account is None or state.refrigerant != refrigerant or state.stock != stock
            or state.owner != owner
        ):  # fmt: skip
            if not state.total:
                self._class(state, refrigerant, stock, owner)
            own = self._own(state)
            account = self._account(CYLINDERS, (name, state.place, refrigerant, stock, owner))
            if account is not own:
                self._post(account, PUT_TOGETHER, mass, entry)
                self._post(own, PUT_TOGETHER, -mass, entry)
        self._post(account, self.routes[kind, to, purpose].leaves, mass, entry)
        state.total -= mass

    def _take_in(self, row: Row) -> None:
        _, _, entry, _, kind, _, to, name, refrigerant, mass, stock, owner, purpose = row
        state = self.states.get(name) or self._state(name)
        total = state.total
        before = self._own(state) if total else None
        account = self._account(CYLINDERS, (name, state.place, refrigerant, stock, owner))
        self._post(account, self.routes[kind, to, purpose].enters, mass, entry)
        if total <= 0:
            self._class(state, refrigerant, stock, owner)
        else:
            self._class(
                state,
                state.refrigerant if state.refrigerant == refrigerant else MIXED,
                state.stock if state.stock == stock else "recovered",
                state.owner if state.owner == owner else SHARED,
            )
        own = self._own(state)
        if before is not None and before is not own:
            self._post(before, PUT_TOGETHER, -total, entry)
            self._post(own, PUT_TOGETHER, total, entry)
        if account is not own:
            self._post(account, PUT_TOGETHER, -mass, entry)
            self._post(own, PUT_TOGETHER, mass, entry)
        state.total = total + mass

    def _class(self, state: _State, refrigerant: str, stock: str, owner: str) -> None:
        """Give a cylinder its class, in words that all cylinders share."""
        if (state.refrigerant, state.stock, state.owner) != (refrigerant, stock, owner):
            word = self.words.setdefault
            state.refrigerant = word(refrigerant, refrigerant)
            state.stock, state.owner = word(stock, stock), word(owner, owner)
            state.account = None

    def _own(self, state: _State) -> Account:
        """The account of what the cylinder holds now."""
        if state.account is None:
            state.account = self._account(CYLINDERS, state.key())
        return state.account

    def _state(self, name: str) -> _State:
        state = self.states[name] = _State(name, self.place.get(name, ""))
        return state

    def _account(self, family: str, key: Key) -> Account:
        accounts = self.accounts[family]
        account = accounts.get(key)
        if account is None:
            account = [0] * (len(FAMILIES[family].columns) + 1)
            account[-1] = self.numbers = self.numbers + 1
            accounts[key] = account
        return account

    def _post_end(self, family: str, column: int, row: Row, end: int) -> None:
        """Post to a holder that is no cylinder; circuits' tables are kept at hand."""
        kind, name = (row[4], row[5]) if end == SOURCE_NAME else (row[6], row[7])
        rest: Key = (row[8],)
        if family == CIRCUITS:
            home = self._home(name, row[0]) if self.homes else _NOWHERE
            rest = (home.site, home.owner, row[8])
        elif family == PARTIES:
            rest = (row[8], row[10], row[11])
        else:
            name = f"{kind}:{name}"
        key = (str(column), *rest)
        table = self.tables[family].get(key)
        if table is None:
            table = self.tables[family][key] = Table()
        if family == CIRCUITS and not self.homes:
            self.circuits[column, row[8]] = table
        table.post(name, row[9], row[2])

    def _home(self, circuit: str, day: str) -> Home:
        series = self.homes.get(circuit, ())
        place = bisect_right(series, day, key=itemgetter(0)) - 1
        return series[place] if place >= 0 else _NOWHERE

    # -- places and periods ----------------------------------------------------------------

    def _place_until(self, day: str) -> None:
        """Let every change of place up to a day take its cylinder's contents along."""
        while self.placed and self.placed[-1].since <= day:
            _, cylinder, place, entry = self.placed.pop()
            before, self.place[cylinder] = self.place.get(cylinder, ""), place
            state = self.states.get(cylinder)
            if state is None or before == place:
                continue
            if state.total:
                self._post(self._own(state), MOVED_OUT, state.total, entry)
            state.place, state.account = place, None
            if state.total:
                self._post(self._own(state), MOVED_IN, state.total, entry)

    def _begin(self) -> None:
        self.accounts = {name: {} for name in FAMILIES}
        self.tables = {name: {} for name in FAMILIES}
        self.log, self.numbers = Log(), 0
        self.circuits.clear()
        for state in self.states.values():
            state.account = None

    def _close(self, period: Period) -> Iterator[Closing]:
        self._place_until(min(period.last, self.last or FOREVER))
        closings: dict[str, dict[Key, int]] = {}
        for family in FAMILIES:
            if family != CYLINDERS:
                self._sum_up(family)
                closings[family] = self._nets(family)
        closings[CYLINDERS] = {
            state.key(): state.total for state in self.states.values() if state.total
        }
        if period.label != "before":
            yield Closing(period, self.accounts, self.openings, closings, self.log, self.tables)
        self.openings = closings
        self._begin()

    def _sum_up(self, family: str) -> None:
        """Make accounts of the tables of a family."""
        accounts, columns = self.accounts[family], len(FAMILIES[family].columns)
        for (column, *rest), table in self.tables[family].items():
            for name, mass in table.sums.items():
                account = accounts.setdefault((name, *rest), [0] * columns)
                account[int(column)] += mass

    def _nets(self, family: str) -> dict[Key, int]:
        nets = dict(self.openings[family])
        signs = FAMILIES[family].signs
        for key, account in self.accounts[family].items():
            nets[key] = nets.get(key, 0) + sum(map(mul, signs, account))
        return {key: net for key, net in nets.items() if net}


_NOWHERE = Home("", "", "")
