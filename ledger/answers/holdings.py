"""One pass over all movements in the order they occurred: every holder's account in each period.

Cylinders are folded as `ledger.facts.contents` folds one of them, so that what is put together
becomes recovered, shared or mixed for all of it. What that changes is an amount of its own,
"put together", and every account closes exactly on what the cylinder holds.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, groupby
from operator import itemgetter, mul
from typing import Any, NamedTuple

from ledger.answers.periods import FOREVER, Period, following, starting
from ledger.answers.routes import (
    CIRCUITS,
    CYLINDERS,
    DIFFERENCES,
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
Account = list[int]
"""Counts of one holder and class in one period, by column of its family."""
Log = dict[tuple[str, Key, int], list[int]]
"""The entries behind each column of each account (family, key, column), as they were posted."""

CYLINDER = "cylinder"


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


class _State:
    """One cylinder as the fold goes along; `account` is that of what it holds now."""

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
    logs: Logs
    _keys: dict[str, tuple[Key, ...]] = field(default_factory=dict, repr=False, compare=False)

    def keys(self, family: str) -> tuple[Key, ...]:
        """Every full key of a family that has an opening, a closing or an account."""
        found = self._keys.get(family)
        if found is None:
            parts = (self.openings[family], self.closings[family], self.accounts[family])
            found = self._keys[family] = tuple(dict.fromkeys(chain(*parts)))
        return found

    def entries(self, family: str, key: Key, column: int) -> Sequence[int]:
        """The entries behind a column of an account, in the order they were posted.

        The first question folds the movements once more, so their source must still be open.
        """
        return self.logs.of(self.period).get((family, key, column), ())


class Logs:
    """The entries behind the accounts of a fold, looked for when somebody asks."""

    def __init__(self, rows: Iterable[Row], ask: Asking) -> None:
        self.rows = rows
        self.ask = ask
        self.by_period: dict[Period, Log] = {}

    def of(self, period: Period) -> Log:
        """The log of one period."""
        if not self.by_period:
            for _ in _Fold(self, logged=True).run():
                pass
        return self.by_period[period]


class Asking(NamedTuple):
    """How a fold is cut: see `fold`."""

    placed: tuple[Placed, ...]
    homes: Mapping[str, Sequence[Home]]
    unit: str
    first: str
    last: str


def fold(
    rows: Iterable[Row],
    placed: Iterable[Placed] = (),
    homes: Mapping[str, Sequence[Home]] | None = None,
    unit: str = "",
    first: str = "",
    last: str = "",
    noting: bool = True,
) -> Iterator[Closing]:
    """The closing of each period, oldest first.

    `rows` come in order of day, entry and line. `placed` and `homes` give places of cylinders
    and sites of circuits where those are asked for. `unit` is one of UNITS; `first` and `last`
    are the ends of the whole in ISO days, empty where open. Where `rows` can be gone through
    only once, the entries behind every account are noted on the way, unless `noting` is False.
    """
    logs = Logs(rows, Asking(tuple(placed), homes or {}, unit, first, last))
    return _Fold(logs, logged=noting and iter(rows) is rows).run()


class _Fold:
    """The running state of one pass."""

    def __init__(self, logs: Logs, logged: bool) -> None:
        self.logs = logs
        self.logged = logged
        ask = logs.ask
        self.unit, self.first, self.last, self.homes = ask.unit, ask.first, ask.last, ask.homes
        latest = {(one.since, one.cylinder): one for one in ask.placed}
        self.placed = sorted(latest.values(), reverse=True)
        self.place: dict[str, str] = {}
        self.states: dict[str, _State] = {}
        self.routes: dict[tuple[str, str, str], Route] = {}
        self.words: dict[str, str] = {}
        self.openings: dict[str, dict[Key, int]] = {name: {} for name in FAMILIES}
        self._begin()

    def _begin(self) -> None:
        """Open the accounts of a period."""
        self.accounts: dict[str, dict[Key, Account]] = {name: {} for name in FAMILIES}
        self.circuits: dict[tuple[int, str], dict[str, list[Any]]] = {}
        self.sums: dict[int, dict[str, list[Any]]] = {}
        self.log: Log = {}
        for state in self.states.values():
            state.account = None

    def run(self) -> Iterator[Closing]:
        """Fold all rows; see `fold`."""
        period: Period | None = None
        for day, group in groupby(self.logs.rows, itemgetter(0)):
            if self.last and day > self.last:
                break
            period = period or starting(day, self.unit, self.first, self.last)
            while day > period.last:
                yield from self._close(period)
                period = following(period, self.unit, self.last)
            self._place_until(day)
            self._take_day(list(group))
        if period is None:
            if self.unit and not (self.first or self.last):
                return
            period = starting(self.last or FOREVER, self.unit, self.first, self.last)
        while period.last < self.last or period.label == "before":
            yield from self._close(period)
            period = following(period, self.unit, self.last)
        yield from self._close(period)

    # -- one day ---------------------------------------------------------------------------

    def _take_day(self, day: list[Row]) -> None:
        """Post one day's movements, those of one kind together.

        Only a cylinder that took something in that day needs the order of the day; what the
        others gave is posted at once, and so are the holders that are no cylinders.
        """
        by_kind: dict[tuple[str, str, str], list[Row]] = defaultdict(list)
        for row in day:
            by_kind[row[4], row[6], row[12]].append(row)
        taking = [row for kinds, rows in by_kind.items() if kinds[1] == CYLINDER for row in rows]
        busy = {row[7] for row in taking}
        giving: list[Row] = []
        for kinds, rows in by_kind.items():
            route = self.routes.get(kinds)
            if route is None:
                route = self.routes[kinds] = route_of(*kinds)
            if route.leaves >= 0:
                giving += self._give_at_once(rows, route.leaves, busy)
            for family, column, end in route.ends:
                if family == CIRCUITS and not self.homes and not self.logged:
                    self._post_circuits(rows, column, end)
                else:
                    self._post_ends(rows, family, column, end)
            for column, sign in route.unnamed:
                for row in rows:
                    key = ("", "", row[8], row[10], row[11])
                    self._post(CYLINDERS, key, column, sign * row[9], row[2])
        if taking:
            self._take_in_order(taking, giving)

    def _give_at_once(self, rows: list[Row], leaves: int, busy: set[str]) -> list[Row]:
        """Post what cylinders gave that took nothing in that day; the other movements."""
        states, waiting = self.states, []
        plainly = not self.logged and leaves != DIFFERENCES
        for row in rows:
            name = row[5]
            if name in busy:
                waiting.append(row)
                continue
            state = states.get(name)
            if (
                plainly and state is not None and (account := state.account) is not None
                and state.refrigerant == row[8] and state.stock == row[10]
                and state.owner == row[11]
            ):  # fmt: skip
                mass = row[9]
                account[leaves] += mass
                state.total -= mass
            else:
                self._give_out(row)
        return waiting

    def _take_in_order(self, taking: Iterable[Row], giving: Iterable[Row]) -> None:
        """Post what cylinders took in and gave on one day, by time, in before out.

        Where the time is unknown, what came in is taken first and what went out last.
        """
        lines = [(row[1] or "00:00", 0, row[2], row[3], row) for row in taking]
        lines += [(row[1] or "24:00", 1, row[2], row[3], row) for row in giving]
        for _, out, _, _, row in sorted(lines):
            if out:
                self._give_out(row)
            else:
                self._take_in(row)

    def _give_out(self, row: Row) -> None:
        _, _, entry, _, kind, name, to, _, refrigerant, mass, stock, owner, purpose = row
        state = self.states.get(name) or self._state(name)
        if not state.total:
            self._hold(state, refrigerant, stock, owner)
        key, own = (name, state.place, refrigerant, stock, owner), state.key()
        leaves = self.routes[kind, to, purpose].leaves
        self._post(CYLINDERS, key, leaves, -mass if leaves == DIFFERENCES else mass, entry)
        self._put_together(own, key, -mass, entry)
        state.total -= mass
        state.account = self._account(CYLINDERS, own)

    def _take_in(self, row: Row) -> None:
        _, _, entry, _, kind, _, to, name, refrigerant, mass, stock, owner, purpose = row
        state = self.states.get(name) or self._state(name)
        total, before = state.total, state.key()
        key = (name, state.place, refrigerant, stock, owner)
        self._post(CYLINDERS, key, self.routes[kind, to, purpose].enters, mass, entry)
        if total <= 0:
            self._hold(state, refrigerant, stock, owner)
        else:
            self._hold(
                state,
                state.refrigerant if state.refrigerant == refrigerant else MIXED,
                state.stock if state.stock == stock else "recovered",
                state.owner if state.owner == owner else SHARED,
            )
        own = state.key()
        self._put_together(own, before, total, entry)
        self._put_together(own, key, mass, entry)
        state.total = total + mass
        state.account = self._account(CYLINDERS, own)

    def _hold(self, state: _State, refrigerant: str, stock: str, owner: str) -> None:
        """Give a cylinder its class, in words that all cylinders share."""
        word = self.words.setdefault
        state.refrigerant = word(refrigerant, refrigerant)
        state.stock, state.owner = word(stock, stock), word(owner, owner)

    def _put_together(self, own: Key, other: Key, mass: int, entry: int) -> None:
        """Count an amount of another class as what the cylinder holds from now on."""
        if own != other and mass:
            self._post(CYLINDERS, other, PUT_TOGETHER, -mass, entry)
            self._post(CYLINDERS, own, PUT_TOGETHER, mass, entry)

    def _state(self, name: str) -> _State:
        state = self.states[name] = _State(name, self.place.get(name, ""))
        return state

    # -- accounts --------------------------------------------------------------------------

    def _account(self, family: str, key: Key) -> Account:
        accounts = self.accounts[family]
        account = accounts.get(key)
        if account is None:
            account = accounts[key] = [0] * len(FAMILIES[family].columns)
        return account

    def _post(self, family: str, key: Key, column: int, mass: int, entry: int) -> None:
        self._account(family, key)[column] += mass
        if self.logged:
            self.log.setdefault((family, key, column), []).append(entry)

    def _post_circuits(self, rows: Iterable[Row], column: int, end: int) -> None:
        """Post to circuits, by the million: each has one sum that is found by its name alone."""
        sums, given = self.sums.setdefault(column, {}), end == SOURCE_NAME
        for row in rows:
            name, refrigerant = row[5] if given else row[7], row[8]
            found = sums.get(name)
            if found is None or found[0] != refrigerant:
                of_kind = self.circuits.setdefault((column, refrigerant), {})
                found = sums[name] = of_kind.setdefault(name, [refrigerant, 0])
            found[1] += row[9]

    def _post_ends(self, rows: Iterable[Row], family: str, column: int, end: int) -> None:
        """Post to holders that are no cylinders."""
        for row in rows:
            kind, name = (row[4], row[5]) if end == SOURCE_NAME else (row[6], row[7])
            if family == CIRCUITS:
                home = self._home(name, row[0])
                key: Key = (name, home.site, home.owner, row[8])
            elif family == PARTIES:
                key = (name, row[8], row[10], row[11])
            else:
                key = (f"{kind}:{name}", row[8])
            self._post(family, key, column, row[9], row[2])

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
            left = state.key()
            state.place, state.account = place, None
            if state.total:
                self._post(CYLINDERS, left, MOVED_OUT, state.total, entry)
                self._post(CYLINDERS, state.key(), MOVED_IN, state.total, entry)

    def _close(self, period: Period) -> Iterator[Closing]:
        self._place_until(min(period.last, self.last or FOREVER))
        for (column, refrigerant), sums in self.circuits.items():
            for name, (_, mass) in sums.items():
                self._account(CIRCUITS, (name, "", "", refrigerant))[column] += mass
        closings = {name: self._nets(name) for name in FAMILIES if name != CYLINDERS}
        held = (state for state in self.states.values() if state.total)
        closings[CYLINDERS] = {state.key(): state.total for state in held}
        if self.logged:
            self.logs.by_period[period] = self.log
        if period.label != "before":
            yield Closing(period, self.accounts, self.openings, closings, self.logs)
        self.openings = closings
        self._begin()

    def _nets(self, family: str) -> dict[Key, int]:
        nets = dict(self.openings[family])
        signs = FAMILIES[family].signs
        for key, account in self.accounts[family].items():
            nets[key] = nets.get(key, 0) + sum(map(mul, signs, account))
        return {key: net for key, net in nets.items() if net}


_NOWHERE = Home("", "", "")
