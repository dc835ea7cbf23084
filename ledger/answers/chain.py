"""The chain of gross weights of a cylinder: where its difference to the book came about.

Between the last weight of one reading and the first of the next nothing should have changed but
what was recorded without weights in between. What did change beside that is a gap. All gaps of
a cylinder add up to its difference, so each part of it gets a first and a last moment, and a place.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby, permutations
from typing import NamedTuple

from ledger.answers.holdings import Row

MOST_ORDERED = 6
"""Records of one day without a time whose order is found by their weights; more are too many."""


class Reading(NamedTuple):
    """A gross weight (counts) that was read at an entry; time and scale are empty where unknown."""

    entry: int
    line: int
    day: str
    time: str
    gross: int
    scale: str = ""


class Step(NamedTuple):
    """One record of a cylinder: a weighing, or a movement of it with or without weights.

    `change` is what the record moved in (out is below nothing); `read` the weights read at it,
    in order, empty where it has none. `row` is the movement, None for a weighing.
    """

    day: str
    time: str
    entry: int
    line: int
    change: int
    read: tuple[Reading, ...] = ()
    row: Row | None = None


class Gap(NamedTuple):
    """What changed between two readings beside what was recorded in between (counts).

    `since` is None before the first weight that is known, `until` None where the end is a count
    without a weight. `unread` are the movements in between that have no weights, `before` and
    `after` the records the two weights are from.
    """

    mass: int
    since: Reading | None
    until: Reading | None
    unread: tuple[Step, ...] = ()
    before: Step | None = None
    after: Step | None = None

    @property
    def days(self) -> tuple[str, str]:
        """First and last day of it, empty where open."""
        return (self.since.day if self.since else "", self.until.day if self.until else "")


def steps_of(
    rows: Iterable[Row], weighings: Mapping[tuple[int, int, str], Sequence[Reading]],
    wanted: Iterable[str],
) -> dict[str, list[Step]]:  # fmt: skip
    """The steps of each cylinder wanted, in the order they happened.

    `weighings` are the weights by entry, line and cylinder, those of movements included.
    """
    found: dict[str, list[Step]] = {name: [] for name in wanted}
    used: set[tuple[int, int, str]] = set()
    seen: Sequence[Reading]
    for row in rows:
        for kind, name, sign in ((row[4], row[5], -1), (row[6], row[7], 1)):
            if kind == "cylinder" and name in found:
                mark = (row[2], row[3], name)
                used.add(mark)
                read = tuple(weighings.get(mark, ()))
                found[name].append(Step(row[0], row[1], row[2], row[3], sign * row[9], read, row))
    for mark, seen in weighings.items():
        if mark not in used and mark[2] in found:
            one = seen[0]
            found[mark[2]].append(Step(one.day, one.time, one.entry, one.line, 0, tuple(seen)))
    return {name: list(in_order(steps)) for name, steps in found.items()}


def in_order(steps: Iterable[Step]) -> Iterator[Step]:
    """Steps in the order they happened: by day, by time where known, else as the weights lead."""
    known: int | None = None
    for _, group in groupby(sorted(steps, key=lambda one: one[:4]), lambda one: one.day):
        day = list(group)
        if 1 < len(day) <= MOST_ORDERED:
            day = _led_by_weights(day, known)
        for step in day:
            known = _after(step, known)
            yield step


def _led_by_weights(day: list[Step], known: int | None) -> list[Step]:
    """The order of one day in which the weights lead from one to the next; times are kept.

    Of orders that are as good, what came in goes first, then the order of recording.
    """
    filled = {one.entry for one in day if _came(one)}
    day.sort(key=lambda one: _within_day(one, one.entry in filled))
    best, least = day, _jumps(day, known)
    if least:
        for order in permutations(day):
            times = [one.time for one in order if one.time]
            if times == sorted(times) and (jumps := _jumps(order, known)) < least:
                best, least = list(order), jumps
    return best


def _came(step: Step) -> bool:
    return step.change > 0 and not step.read


def _within_day(step: Step, filled: bool) -> tuple[str, int, bool, int]:
    """By time; in before out, and weighed on arrival right after what came in with the entry."""
    first = step.change > 0 or (filled and not step.change)
    return step.time or ("00:00" if first else "24:00"), step.entry, not _came(step), step.line


def _jumps(order: Iterable[Step], known: int | None) -> int:
    total = 0
    for step in order:
        if step.read and known is not None:
            total += abs(step.read[0].gross - known)
        known = _after(step, known)
    return total


def _after(step: Step, known: int | None) -> int | None:
    if step.read:
        return step.read[-1].gross + (0 if _weighed_out(step) else step.change)
    return None if known is None else known + step.change


def _weighed_out(step: Step) -> bool:
    """Whether the weights of a step tell its change: two or more of them, or no movement."""
    return len(step.read) > 1 or not step.change


def gaps(steps: Sequence[Step], tare: int | None = None) -> list[Gap]:
    """The gaps between the readings of some steps, oldest first; those of nothing are left out.

    With a tare the first one tells how the first weight stood to the book before it.
    """
    found: list[Gap] = []
    book = 0
    last: tuple[Reading, Step] | None = None
    unread: list[Step] = []
    for step in steps:
        if step.read:
            first = step.read[0]
            if last is not None:
                mass = first.gross - last[0].gross - sum(one.change for one in unread)
                if mass:
                    found.append(Gap(mass, last[0], first, tuple(unread), last[1], step))
            elif tare is not None and (mass := first.gross - tare - book):
                found.append(Gap(mass, None, first, tuple(unread), None, step))
            unread = []
            last = (step.read[-1], step)
            if len(step.read) > 1:
                mass = step.read[-1].gross - first.gross - step.change
                if mass and step.change:
                    # The amount recorded is not what its own weights tell.
                    found.append(Gap(mass, first, step.read[-1], (), step, step))
        if not step.read or not _weighed_out(step):
            unread.append(step)
        book += step.change
    return found
