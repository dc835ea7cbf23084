"""A count of cylinders held against the book at its cut-off: counted minus book, one by one.

A cylinder weighed later than the cut-off is brought back to it: what moved in between by the book
is taken off again, so that a count may take days while work goes on. What was not counted is no
difference; a cylinder that was looked for and not there is one of all it holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from ledger.answers.balances import lb
from ledger.answers.holdings import Closing, Row
from ledger.answers.inventory import Tare
from ledger.answers.routes import CYLINDERS
from ledger.answers.working import Input, Working
from ledger.facts.counts import NOT_THERE, SEALED, CutOff
from ledger.facts.mass import Quantity


class Tally(NamedTuple):
    """What one person found of one cylinder at the count of a place: a fact and its entry."""

    entry: int
    line: int
    day: str
    time: str
    person: str
    cylinder: str
    place: str
    cut_off: str
    found: str
    gross: Quantity | None = None
    scale: str = ""


class Label(NamedTuple):
    """The net of a sealed cylinder by its label or its receipt, and the entry that says so."""

    mass: int
    entry: int


@dataclass(frozen=True, slots=True)
class Vessel:
    """What is recorded about a cylinder at a cut-off; `place` and `state` are of that moment.

    `placed` is the entry that put it there, 0 where none did, `placed_on` the day; `moves` are its
    later changes of place (day, place).
    """

    name: str
    kind: str = ""
    assigned: str = ""
    place: str = ""
    placed: int = 0
    placed_on: str = ""
    state: str = ""
    tare: Tare | None = None
    label: Label | None = None
    moves: tuple[tuple[str, str], ...] = ()

    def place_on(self, day: str) -> str:
        """Where the book has it at the end of a later day."""
        return next((place for since, place in reversed(self.moves) if since <= day), self.place)


GONE = ("scrapped", "returned")
"""States in which a cylinder is no longer here: what the book still has in it was not counted."""
NOT_COUNTED = "not counted"
NO_TARE, NO_LABEL = "tare not recorded", "net of the label not recorded"


@dataclass(frozen=True, slots=True)
class CountLine:
    """One cylinder at a cut-off; masses in counts of 1.25 ng.

    `refrigerant`, `stock` and `owner` are of what the book has in it at the cut-off. `place` is
    where the book has it, `found_at` where it was counted (empty: not found). `moved` is what
    the book moved between the cut-off and the weighing. `counted` is None where nothing can be
    said; `status` then tells why.
    """

    vessel: Vessel
    refrigerant: str
    stock: str
    owner: str
    book: int
    tally: Tally | None
    status: str
    net: int | None = None
    moved: int = 0
    others: tuple[Tally, ...] = field(default=(), repr=False)

    @property
    def name(self) -> str:
        """The cylinder's name."""
        return self.vessel.name

    @property
    def place(self) -> str:
        """Where the book has it at the cut-off."""
        return self.vessel.place

    @property
    def found_at(self) -> str:
        """Where it was counted, as of the cut-off; empty where it was not found."""
        tally = self.tally
        if tally is None or tally.found == NOT_THERE:
            return ""
        # Moved by the book between the cut-off and the count: it is counted for where it was.
        if tally.day > CutOff.parse(tally.cut_off).day and (
            self.vessel.place_on(tally.day) == tally.place
        ):
            return self.place
        return tally.place

    @property
    def counted(self) -> int | None:
        """What was in it at the cut-off by the count."""
        return None if self.net is None else self.net - self.moved

    @property
    def difference(self) -> int | None:
        """Counted minus book, both at the cut-off."""
        return None if self.counted is None else self.counted - self.book

    @property
    def unexpected(self) -> bool:
        """Whether it was found where the book does not have it."""
        return bool(self.found_at) and self.found_at != self.place

    def working(self) -> Working:
        """How the difference comes about."""
        title = f"Cylinder {self.name}, counted minus book"
        tally, inputs = self.tally, [Input("book at the cut-off", lb(self.book))]
        if tally is None:
            return Working(title, "no count", tuple(inputs), "cannot be computed: not counted")
        formula = "counted - book"
        moment = " ".join(filter(None, (tally.day, tally.time)))
        if tally.found == NOT_THERE:
            inputs.append(Input("counted", f"not there, {tally.place}, {moment}", (tally.entry,)))
        elif tally.gross is None or self.vessel.tare is None:
            label = self.vessel.label
            seen = f"{_said(tally)}, {tally.place}, {moment}"
            inputs.append(Input("counted", seen, (tally.entry,)))
            if label is not None and tally.found == SEALED:
                inputs.append(Input("net by its label", lb(label.mass), (label.entry,)))
        else:
            scale = f", scale {tally.scale}" if tally.scale else ""
            told = f"{tally.gross.written}, {tally.place}, {moment}{scale}"
            tare = self.vessel.tare
            inputs.append(Input("gross", told, (tally.entry,)))
            inputs.append(Input("tare", f"{tare.weight.written}, {tare.basis}", (tare.entry,)))
            formula = "gross - tare - book"
        if self.moved:
            inputs.append(Input("moved between cut-off and weighing", lb(self.moved)))
            formula = formula.replace(" - book", " - moved since - book")
        found = self.difference
        result = f"cannot be computed: {self.status}" if found is None else lb(found)
        return Working(title, formula, tuple(inputs), result, notes=self.notes())

    def notes(self) -> tuple[str, ...]:
        """What to know beside the figure."""
        told = []
        if self.unexpected:
            told.append(f"Found at {self.found_at}; the book has it at {self.place or 'no place'}.")
        for other in self.others:
            told.append(
                f"Also counted at {other.place}: {_said(other)} (entry {other.entry}); the last"
                " one counts."
            )
        return tuple(told)


def _said(tally: Tally) -> str:
    return tally.gross.written if tally.gross is not None else tally.found


Spans = Mapping[tuple[int, int], tuple[int, int]]
"""First and last gross weight (counts) read at a movement, by its entry and line."""


def count_lines(
    tallies: Iterable[Tally], vessels: Mapping[str, Vessel], rows: Iterable[Row],
    closing: Closing, cut_off: CutOff, spans: Spans,
) -> list[CountLine]:  # fmt: skip
    """A line for every cylinder that was counted, or that holds anything at the cut-off.

    `rows` are all movements, also those after the cut-off; `closing` the accounts at it.
    """
    chosen, others = chosen_tallies(tallies)
    held = {
        name: (what, stock, owner, mass)
        for (name, _, what, stock, owner), mass in closing.closings[CYLINDERS].items()
    }
    moved = moved_between(chosen, rows, cut_off, spans)
    lines = []
    for name in sorted({*held, *chosen}):
        vessel = vessels.get(name) or Vessel(name)
        what, stock, owner, book = held.get(name, (vessel.assigned, "", "", 0))
        tally = chosen.get(name)
        net, status = _net(vessel, tally)
        if tally is None and book and vessel.state in GONE:
            net, status = 0, vessel.state
        lines.append(CountLine(
            vessel, what, stock, owner, book, tally, status, net,
            0 if net is None or tally is None or tally.found == NOT_THERE else moved.get(name, 0),
            tuple(others.get(name, ())),
        ))  # fmt: skip
    return lines


def chosen_tallies(
    tallies: Iterable[Tally],
) -> tuple[dict[str, Tally], dict[str, list[Tally]]]:
    """The tally that counts for each cylinder, and the others that were of another place.

    One that was found somewhere goes before one that says it is not there; of several, the one
    recorded last counts.
    """
    found: dict[str, list[Tally]] = {}
    for tally in sorted(tallies, key=lambda one: (one.entry, one.line)):
        found.setdefault(tally.cylinder, []).append(tally)
    chosen, others = {}, {}
    for name, seen in found.items():
        last = {one.place: one for one in seen}
        there = [one for one in last.values() if one.found != NOT_THERE]
        chosen[name] = max(there or last.values(), key=lambda one: (one.entry, one.line))
        others[name] = [one for one in there if one is not chosen[name]]
    return chosen, others


def _net(vessel: Vessel, tally: Tally | None) -> tuple[int | None, str]:
    """The net by the count, and the state of the count of a cylinder."""
    if tally is None:
        return None, NOT_COUNTED
    if tally.found == NOT_THERE:
        if tally.place != vessel.place:
            # Looked for where the book does not have it: that says nothing.
            return None, NOT_COUNTED
        return 0, NOT_THERE
    if tally.gross is not None and vessel.tare is not None:
        return tally.gross.mass - vessel.tare.weight.mass, tally.found
    if tally.found == SEALED:
        return (None, NO_LABEL) if vessel.label is None else (vessel.label.mass, SEALED)
    return None, NO_TARE


def moved_between(
    chosen: Mapping[str, Tally], rows: Iterable[Row], cut_off: CutOff, spans: Spans
) -> dict[str, int]:
    """What the book moved into each counted cylinder between the cut-off and its weighing.

    Below nothing where more was taken out, or where it was weighed before the cut-off.
    """
    moved: dict[str, int] = {}
    for row in rows:
        for kind, name, sign in ((row[4], row[5], -1), (row[6], row[7], 1)):
            tally = chosen.get(name) if kind == "cylinder" else None
            if tally is None:
                continue
            covered, by_then = cut_off.covers(row[0], row[1]), _by_then(row, tally, cut_off, spans)
            if covered != by_then:
                moved[name] = moved.get(name, 0) + sign * row[9] * (1 if by_then else -1)
    return moved


def _by_then(row: Row, tally: Tally, cut_off: CutOff, spans: Spans) -> bool:
    """Whether a movement had happened when a cylinder was counted.

    A count on the day of the cut-off without a time is one at the cut-off. On one day times
    decide where both are known; then the weights: the movement came first where it left the
    cylinder at what was counted; then the order of recording.
    """
    if row[0] != tally.day:
        return row[0] < tally.day
    if row[0] == cut_off.day and not (row[1] and tally.time):
        return cut_off.covers(row[0], row[1])
    if row[1] and tally.time and row[1] != tally.time:
        return row[1] < tally.time
    span = spans.get((row[2], row[3]))
    if span is not None and tally.gross is not None:
        before, after = (abs(weight - tally.gross.mass) for weight in span)
        if before != after:
            return after < before
    return row[2] < tally.entry


def expected_at(vessels: Iterable[Vessel], place: str, gone: Sequence[str]) -> list[Vessel]:
    """The cylinders the book has at a place at the cut-off; states in `gone` are left out."""
    found = [one for one in vessels if one.place == place and one.state not in gone]
    return sorted(found, key=lambda one: (one.assigned, one.name))
