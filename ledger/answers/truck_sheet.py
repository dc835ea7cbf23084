"""The truck sheet: what went out on a truck with its gross weight, what came back, what was used.

What was used by the weights stands beside what the tickets say; the difference is told in plain
words and not judged here. A cylinder is aboard from the day it was put there to the day it was put
somewhere else; on both days what was drawn from it counts as drawn aboard.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from ledger.answers.balances import lb
from ledger.answers.working import Input, Working

FOREVER = "9999-12-31"


class Put(NamedTuple):
    """A cylinder put at a place from an ISO day on, with the gross weighed in that entry if any."""

    since: str
    entry: int
    cylinder: str
    place: str
    gross: int | None = None


class Drawn(NamedTuple):
    """A movement as one cylinder sees it: ISO day, entry and line, counts (out is negative)."""

    day: str
    entry: int
    line: int
    cylinder: str
    change: int


@dataclass(frozen=True, slots=True)
class Stint:
    """One cylinder's time on a truck; masses in counts of 1.25 ng.

    `out` and `back` are ISO days, `back` empty while it is aboard. `by_tickets` is what the
    movements took out of it in that time (negative where it was filled).
    """

    truck: str
    cylinder: str
    out: str
    back: str
    gross_out: int | None
    gross_in: int | None
    by_tickets: int
    entries: tuple[int, ...]
    moved: tuple[int, ...]

    @property
    def used(self) -> int | None:
        """Gross out less gross in; None where one of them was not weighed."""
        if self.gross_out is None or self.gross_in is None:
            return None
        return self.gross_out - self.gross_in

    @property
    def difference(self) -> int | None:
        """Used by the weights less used by the tickets."""
        return None if self.used is None else self.used - self.by_tickets

    def working(self) -> Working:
        """How what was used comes about."""
        inputs = [
            Input("gross out", _told(self.gross_out), self.entries[:1]),
            Input("gross in", _told(self.gross_in), self.entries[1:]),
            Input("by the tickets", lb(self.by_tickets), self.moved),
        ]
        found = self.difference
        return Working(
            f"Cylinder {self.cylinder} on {self.truck}, {self.out} to {self.back or 'now'}",
            "gross out - gross in - used by the tickets", tuple(inputs),
            "cannot be computed: a weight is lacking" if found is None else lb(found),
        )  # fmt: skip


def _told(gross: int | None) -> str:
    return "not weighed" if gross is None else lb(gross)


def stints(
    puts: Iterable[Put], drawn: Iterable[Drawn], truck: str, first: str = "", last: str = FOREVER
) -> list[Stint]:
    """Every stint on a truck that touches a stretch of ISO days, by day out and cylinder.

    `puts` and `drawn` of all cylinders, in any order.
    """
    moved: dict[str, list[Drawn]] = {}
    for one in drawn:
        moved.setdefault(one.cylinder, []).append(one)
    places: dict[str, list[Put]] = {}
    for put in puts:
        places.setdefault(put.cylinder, []).append(put)
    found = []
    for name, history in places.items():
        taken: set[tuple[int, int]] = set()
        for out, back in _aboard(sorted(history, key=lambda one: one[:2]), truck):
            until = back.since if back else FOREVER
            if until < first or out.since > last:
                continue
            found.append(_stint(truck, out, back, moved.get(name, []), taken, last))
    return sorted(found, key=lambda one: (one.out, one.cylinder))


def _aboard(history: list[Put], truck: str) -> Iterator[tuple[Put, Put | None]]:
    """Each time a cylinder went on the truck, with the putting that ended it."""
    out: Put | None = None
    for put in history:
        if put.place == truck:
            # Weighed once more while aboard: the sheet counts from the later weight.
            if out is not None and out.gross is not None and put.gross is not None:
                yield out, put
            if out is None or put.gross is not None:
                out = put
        elif out is not None:
            yield out, put
            out = None
    if out is not None:
        yield out, None


def _stint(
    truck: str, out: Put, back: Put | None, moved: list[Drawn], taken: set[tuple[int, int]],
    last: str,
) -> Stint:  # fmt: skip
    until = min(back.since if back else FOREVER, last)
    mine = [
        one for one in moved
        if out.since <= one.day <= until and (one.entry, one.line) not in taken
    ]  # fmt: skip
    taken |= {(one.entry, one.line) for one in mine}
    entries = (out.entry, back.entry) if back else (out.entry,)
    return Stint(
        truck, out.cylinder, out.since, back.since if back else "", out.gross,
        back.gross if back else None, -sum(one.change for one in mine), entries,
        tuple(sorted({one.entry for one in mine})),
    )  # fmt: skip
