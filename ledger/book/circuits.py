"""The histories of circuits, drawn from a book as the leak-rate answers take them."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from heapq import merge
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from ledger.answers.leak_history import (
    Addition,
    CircuitHistory,
    FollowUp,
    Removal,
    Repair,
    UnknownAddition,
)
from ledger.answers.leak_law import SEASONAL
from ledger.book.circuit_terms import DAYS as _DAYS
from ledger.book.circuit_terms import Terms, TermsOf
from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.facts.facts import BroughtForward, SameLeak, Test
from ledger.facts.facts import Repair as Mended
from ledger.facts.facts import UnknownAddition as Unweighed
from ledger.facts.masters import UNKNOWN, Master

BY_OTHERS = "addition by others"
ADDED = ("addition", BY_OTHERS)
"""The purposes of movements that put refrigerant into a circuit."""
RECOVERED = "recovery"
MOTHBALLING = "mothballing"
"""The claim of a movement that empties a circuit for mothballing, or puts back what was taken."""

_MOVED = (
    "m.entry, m.line, m.occurred_on, m.occurred_time, m.mass, m.purpose, m.claim, m.amount,"
    " m.ticket"
)
_addition: Callable[[tuple[Any, ...]], Addition] = partial(tuple.__new__, Addition)
_SERVICES = (Unweighed.TYPE, SameLeak.TYPE, Mended.TYPE, Test.TYPE, BroughtForward.TYPE)
_TOLD = "s.subject, s.entry, s.occurred_on, s.occurred_time, s.type, s.body"
_SUBJECT = len("circuit:")

Rows = Iterable[tuple[Any, ...]]
_NONE: list[Any] = []


class Parts(NamedTuple):
    """What one circuit's history is made of: its record, and rows of `_MOVED` and `_TOLD`."""

    name: str
    master: Master | None
    terms: Terms
    moved: list[tuple[Any, ...]]
    told: list[tuple[Any, ...]]

    def history(self) -> CircuitHistory:
        """The history as the leak rates take it."""
        return _history(self.name, self.terms, self.moved, self.told)


def circuit_histories(
    reader: Reader, cut: Cut, circuits: Sequence[str] | None = None
) -> Iterator[CircuitHistory]:
    """The history of every circuit, or of those named, in order of their names.

    Joined circuits are one, under the name of the record that was kept. A circuit that has
    movements and no master is among them, with nothing to measure by. All of them are read in
    two sorted streams; a few named ones are looked up each by itself.
    """
    masters = Masters(reader, cut, Names(reader, cut))
    return (found.history() for found in circuit_parts(reader, cut, masters, circuits))


def circuit_parts(
    reader: Reader, cut: Cut, masters: Masters, circuits: Sequence[str] | None = None,
    types: Sequence[str] = _SERVICES,
) -> Iterator[Parts]:  # fmt: skip
    """What the histories of circuits are made of, with the service facts of these types."""
    if circuits is None:
        masters.all("unit")
        masters.all("site")
        return _All(reader, cut, masters, types).run()
    kept = sorted({masters.names.kept("circuit", name) for name in circuits})
    single = _Single(reader, cut, masters, types)
    return (found for name in kept if (found := single.parts(name)) is not None)


def circuit_history_for(reader: Reader, cut: Cut, circuit: str) -> CircuitHistory | None:
    """The history of one circuit, or None where the book knows nothing of it."""
    masters = Masters(reader, cut, Names(reader, cut))
    found = _Single(reader, cut, masters, _SERVICES).parts(circuit)
    return found.history() if found is not None else None


class _Single:
    """Looks up circuits one by one, by the indexes of the query tables."""

    def __init__(
        self, reader: Reader, cut: Cut, masters: Masters, types: Sequence[str]
    ) -> None:  # fmt: skip
        self.reader = reader
        self.cut = cut
        self.masters = masters
        self.types = _listed(types)
        self.terms = TermsOf(masters)

    def parts(self, circuit: str) -> Parts | None:
        """What one circuit's history is made of, joined records with it."""
        master = self.masters.one("circuit", circuit)
        written = self.masters.written("circuit", master.name if master else circuit)
        moved = [row for name in written for row in self.moved(name)]
        told = [row for name in written for row in self.told(name)]
        if master is None and not moved and not told:
            return None
        name = master.name if master else self.masters.names.kept("circuit", circuit)
        return Parts(name, master, self.terms.circuit(master) if master else Terms(), moved, told)

    def moved(self, name: str) -> Iterator[tuple[Any, ...]]:
        """Additions to and recoveries from a circuit by one of its names."""
        for side, purposes in (("target", ADDED), ("source", (RECOVERED,))):
            yield from self.reader.rows(
                f"SELECT m.{side}_name, {_MOVED} FROM movement m WHERE m.{side}_kind = 'circuit'"
                f" AND m.{side}_name = :name AND m.purpose IN ({_listed(purposes)})"
                f" AND {self.cut.counts('m')}",
                self.cut.params(name=name),
            )

    def told(self, name: str) -> Iterator[tuple[Any, ...]]:
        """Service facts about a circuit by one of its names."""
        sql = f"SELECT {_TOLD} FROM service s WHERE s.subject = :subject"
        sql += f" AND s.type IN ({self.types}) AND {self.cut.counts('s')}"
        yield from self.reader.rows(sql, self.cut.params(subject=f"circuit:{name}"))


class _All:
    """Reads all circuits in two streams that are sorted by circuit."""

    def __init__(
        self, reader: Reader, cut: Cut, masters: Masters, types: Sequence[str]
    ) -> None:  # fmt: skip
        self.reader = reader
        self.cut = cut
        self.masters = masters
        self.types = tuple(types)
        self.terms = TermsOf(masters)

    def run(self) -> Iterator[Parts]:
        """The parts of every history, in order of the circuits' names."""
        circuits = {one.name: one for one in self.masters.all("circuit").values()}
        away = self._joined_away()
        known = {*circuits, *away}
        streams = merge(
            ((name, 0, _NONE) for name in sorted(known)),
            _by_circuit(self._moved(), 1),
            _by_circuit(self._told(), 2),
            key=itemgetter(0),
        )
        for name, parts in groupby(streams, itemgetter(0)):
            if self.masters.names.kept("circuit", name) != name:
                continue
            rows: list[list[Any]] = [[], [], []]
            for _, place, found in parts:
                rows[place] = found
            _, moved, told = rows
            if name in away:
                moved, told = (rows[place + 1] + away[name][place] for place in (0, 1))
            master = circuits.get(name)
            terms = self.terms.circuit(master) if master else Terms()
            yield Parts(name, master, terms, moved, told)

    def _joined_away(self) -> dict[str, tuple[list[Any], list[Any]]]:
        """What is recorded under the names of joined records, by the record that was kept."""
        names, found = self.masters.names, {}
        single = _Single(self.reader, self.cut, self.masters, self.types)
        for kept in {names.kept("circuit", one) for one in names.away("circuit").values()}:
            others = [name for name in self.masters.written("circuit", kept) if name != kept]
            moved = [row for name in others for row in single.moved(name)]
            told = [row for name in others for row in single.told(name)]
            found[kept] = (moved, told)
        return found

    def _moved(self) -> Rows:
        # The kind is not compared plainly, or SQLite would walk its index and look every row
        # up by itself; reading the table through and sorting takes half the time.
        end = "CASE WHEN m.purpose = 'recovery' THEN m.source_{0} ELSE m.target_{0} END"
        return self.reader.rows(
            f"SELECT {end.format('name')} AS circuit, {_MOVED} FROM movement m"
            f" WHERE m.purpose IN ({_listed((*ADDED, RECOVERED))})"
            f" AND {end.format('kind')} = 'circuit' AND {self.cut.counts('m')} ORDER BY circuit",
            self.cut.params(),
        )

    def _told(self) -> Rows:
        rows = self.reader.rows(
            f"SELECT {_TOLD} FROM service s WHERE s.type IN ({_listed(self.types)})"
            f" AND s.subject >= 'circuit:' AND s.subject < 'circuit;'"
            f" AND {self.cut.counts('s')} ORDER BY s.subject",
            self.cut.params(),
        )
        return ((row[0][_SUBJECT:], *row[1:]) for row in rows)


def _listed(words: Iterable[str]) -> str:
    return ", ".join(f"'{word}'" for word in words)


def _by_circuit(rows: Rows, place: int) -> Iterator[tuple[str, int, list[Any]]]:
    """The rows of each circuit, in the order they come."""
    for name, group in groupby(rows, itemgetter(0)):
        yield name, place, list(group)


def _history(name: str, terms: Terms, moved: list[tuple[Any, ...]], told: Rows) -> CircuitHistory:
    """The history from rows of the columns _MOVED and _TOLD."""
    put_in = [row for row in moved if row[6] != RECOVERED]
    removals = [row for row in moved if row[6] == RECOVERED] if len(put_in) < len(moved) else []
    days = _DAYS
    additions = [
        _addition((
            entry, line, days[on], time, mass, "" if claim == MOTHBALLING else claim, "",
            amount == "estimated", purpose == BY_OTHERS,
        ))
        for _, entry, line, on, time, mass, purpose, claim, amount, _ in put_in
    ]  # fmt: skip
    events = _events(put_in, removals) if removals else {}
    for place, event in events.items():
        if place >= 0:
            additions[place] = additions[place]._replace(event=event)
    taken = tuple(
        Removal(entry, line, _DAYS[on], time, mass, claim == SEASONAL, events[-1 - place])
        for place, (_, entry, line, on, time, mass, _, claim, _, _) in enumerate(removals)
    )
    return CircuitHistory(name, additions, *terms, taken, **_services(told))


def _events(put_in: Rows, recovered: list[tuple[Any, ...]]) -> dict[int, str]:
    """The service events of recoveries, and of additions that may share one with them.

    By position in `put_in`, and by -1 less position in `recovered`. An event is a ticket, over
    several days too; what has no ticket belongs to the only ticket of its day, else it is one
    event with what else has none on that day. Work by others is no part of ours.
    """
    tickets = {row[9] for row in recovered if row[9]}
    days = {row[3] for row in recovered}
    days |= {row[3] for row in put_in if row[9] in tickets}
    near = {-1 - place: row for place, row in enumerate(recovered)}
    for place, row in enumerate(put_in):
        if row[3] in days and row[6] != BY_OTHERS:
            near[place] = row
    stops = [row for row in recovered if row[7] == MOTHBALLING]
    if stops:
        near |= {place: row for place, row in enumerate(put_in) if row[7] == MOTHBALLING}
    of_day: dict[str, set[str]] = defaultdict(set)
    for row in near.values():
        if row[9]:
            of_day[row[3]].add(row[9])
    events = {}
    for place, row in near.items():
        day, ticket = row[3], row[9]
        if row[7] == MOTHBALLING and (before := [one[3] for one in stops if one[3] <= day]):
            events[place] = f"mothballed {max(before)}"
            continue
        if not ticket and len(of_day[day]) == 1:
            ticket = next(iter(of_day[day]))
        events[place] = f"ticket {ticket}" if ticket else f"day {day}"
    return events


def _services(told: Iterable[tuple[Any, ...]]) -> dict[str, Any]:
    """The members of a history that come from service facts."""
    found: dict[str, list[Any]] = defaultdict(list)
    for entry, on, time, kind, text in sorted(row[1:] for row in told):
        day = _DAYS[on]
        if kind == Mended.TYPE:
            found["repairs"].append(Repair(entry, day))
        elif kind == Unweighed.TYPE:
            found["unknown_additions"].append(UnknownAddition(entry, day))
        else:
            body = json.loads(text)
            if kind == Test.TYPE and body["which"] == "follow-up":
                all_leaks = body.get("leaks", "all") == "all"
                test = FollowUp(entry, day, time, all_leaks, body["result"] == "pass")
                found["follow_ups"].append(test)
            elif kind == SameLeak.TYPE:
                found["episodes"].append(frozenset((*body["entries"], entry)))
            elif kind == BroughtForward.TYPE and body["last_addition"] != UNKNOWN:
                found["carried"].append(_DAYS[body["last_addition"]])
    members: dict[str, Any] = {name: tuple(parts) for name, parts in found.items()}
    if carried := members.pop("carried", None):
        members["carried_last_addition"] = max(carried)
    return members
