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
    "detection-inspection": "yes",
    "equal-at-confirm": "confirmed",
    "ext-late": "extends",
    "ext-unsigned": "extends",
    "facility-year-class": "the one on 31 December",
    "inspect-mothballed": "suspended",
    "mothball-carry": "a new clock",
    "plan-cap-82": "the day the plan was due",
    "plan-cap-84": "the plan date",
    "quarter-chain": "from the last inspection",
    "reanchor": "the first successful follow-up test",
    "reanchor-82": "grid and run start anew",
    "retire-18-anchor": "the plan date",
    "stop-82-calendar": "owed to the end of the calendar year",
    "window-closed": "plan due",
}
"""Each reading with the other choice that is followed when a book makes it."""

NOT_FOLLOWED: dict[str, str] = {
    "ca-weekend": "working days need a calendar of holidays",
    "late-found-plan": "the answers are not told when an entry came to light",
    "late-inspection": "which period a late inspection serves besides is not worked out",
    "net-same-event": "followed by the leak rates, which come before",
    "old-cases": "no case is carried over from one law to the next",
    "quarter-no-addition": "a run that counts only quarters with additions is not worked out",
}
"""Readings a pack offers another choice for that changes no duty yet, with the reason."""


def chosen(law: HasReadings, name: str) -> bool:
    """Whether a book put the other choice of a reading in place."""
    return law.readings.get(name) == FOLLOWED[name]
