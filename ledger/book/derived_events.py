"""Events of a circuit that follow from other facts: its last day, a new refrigerant, its disposal.

A shop that sets the last day of a unit, or changes its refrigerant from a day on, has said that it
was retired or retrofitted; nobody types that twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import Any

from ledger.answers.case_events import Event
from ledger.book.circuit_terms import DAYS
from ledger.facts.facts import Attempt
from ledger.facts.masters import UNKNOWN, Master

NEAR = timedelta(days=60)
"""A recovery so long before or after the last day counts as that of the disposal; our choice."""
DISPOSAL = ("disposal-record", "disposal-log")
"""The records that a recorded recovery, with its day, person and amount, stands for."""

Row = tuple[Any, ...]


def derived_events(
    master: Master | None, moved: Sequence[Row], told: Sequence[Row], events: Sequence[Event]
) -> Iterator[Event]:  # fmt: skip
    """The events that follow; what a person recorded as such is not made a second time.

    `moved` are rows of movements as `circuits` reads them, `told` rows of service facts.
    """
    if master is None:
        return
    explicit = {event.kind for event in events}
    ends = [event for event in events if event.kind == "retire"]
    retired = master.history.get("retired", ())
    if retired and isinstance(retired[-1].value, str) and "retire" not in explicit:
        day = retired[-1].value
        if day != UNKNOWN:
            ends.append(Event(retired[-1].entry, "retire", DAYS[day]))
            yield ends[-1]
    yield from _retrofits(master, {e.on for e in events if e.kind == "retrofit"})
    for end in ends:
        yield from _disposals(end, moved, told)


def _retrofits(master: Master, known: set[Any]) -> Iterator[Event]:
    """A change of the refrigerant from a day on, from one that is known to another."""
    before = ""
    for value in master.history.get("refrigerant", ()):
        what = value.value if isinstance(value.value, str) and value.value != UNKNOWN else ""
        if value.since and before and what and what != before:
            day = DAYS[value.since]
            if day not in known:
                yield Event(value.entry, "retrofit", day)
        before = what or before


def _disposals(end: Event, moved: Sequence[Row], told: Sequence[Row]) -> Iterator[Event]:
    """The recovery, or the attempt at one, that goes with the end of a circuit."""
    recovered = [(DAYS[row[3]], row[1]) for row in moved if row[6] == "recovery"]
    recovered += [(DAYS[row[2]], row[1]) for row in told if row[4] == Attempt.TYPE]
    near = [(day, entry) for day, entry in recovered if abs(day - end.on) <= NEAR]
    if near:
        day, entry = max(near)
        for ground in DISPOSAL:
            yield Event(entry, "record", max(day, end.on), ground=ground)
