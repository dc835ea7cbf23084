"""The readings of silent text that the duty answers follow, by the words a pack offers.

A book may put another reading in place. One that is offered but not followed here would be shown
and change nothing, so `NOT_FOLLOWED` names each with its reason, and a test holds both lists to
what the packs offer.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol


class HasReadings(Protocol):
    """The law of one pack on a day, as far as its readings go."""

    @property
    def readings(self) -> Mapping[str, str]:
        """The chosen answer of each interpretation by name."""
        ...


FOLLOWED: dict[str, str] = {
    "ald-audit-year": "by 31 December of the next year",
    "ald-lapse": "yes",
    "ca-addition-inspection-day": "the next calendar date",
    "ca-ald-start": "the first 1 January after",
    "ca-grid": "from the last inspection",
    "ca-weekend": "next working day",
    "detection-inspection": "yes",
    "equal-at-confirm": "confirmed",
    "ext-late": "extends",
    "ext-unsigned": "extends",
    "facility-year-class": "the one on 31 December",
    "inspect-mothballed": "suspended",
    "late-found-plan": "from the day it came to light",
    "late-inspection": "also the period it was made in",
    "mothball-carry": "a new clock",
    "old-cases": "the law of 2019",
    "plan-cap-82": "the day the plan was due",
    "plan-cap-84": "the plan date",
    "quarter-chain": "from the last inspection",
    "quarter-no-addition": "does not count",
    "reanchor": "the first successful follow-up test",
    "reanchor-82": "grid and run start anew",
    "retire-18-anchor": "the plan date",
    "stop-82-calendar": "owed to the end of the calendar year",
    "window-closed": "plan due",
}
"""Each reading with the other choice that is followed when a book makes it."""

NOT_FOLLOWED: dict[str, str] = {
    "net-same-event": "followed by the leak rates, which come before",
}
"""Readings a pack offers another choice for that is followed elsewhere, with where."""


def chosen(law: HasReadings, name: str) -> bool:
    """Whether a book put the other choice of a reading in place."""
    return law.readings.get(name) == FOLLOWED[name]
