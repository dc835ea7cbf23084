"""Refrigerant evacuated for a mothballing and put back is one service event (MOTHBALL_RECHARGE).

The two stand months apart under two tickets, so nothing else would set them off against each
other. What is put back beyond what was evacuated counts as added.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from ledger.answers.case_events import Event
from ledger.answers.leak_history import CircuitHistory

MOTHBALL = "mothball"


def recharged(history: CircuitHistory, events: Iterable[Event]) -> CircuitHistory:
    """The history with each recharge after a mothballing in one event with its evacuation.

    The evacuation is what was taken out on the date of the mothballing, a seasonal removal left
    out; the recharge is what was added on the first later date with an addition. An addition
    that already belongs to an event with a removal stays there. A caller that prints leak rates
    beside these duties gives both the same history.
    """
    stops = [event for event in events if event.kind == MOTHBALL]
    if not stops or not history.removals:
        return history
    removals, additions = list(history.removals), list(history.additions)
    set_off = {part.event for part in removals if part.event}
    for stop in stops:
        out = [
            place for place, part in enumerate(removals)
            if part.on == stop.on and not part.seasonal
        ]  # fmt: skip
        later = [part.on for part in additions if part.on > stop.on]
        if not out or not later:
            continue
        key = removals[out[0]].event or f"{MOTHBALL} {stop.entry}"
        for place in out:
            removals[place] = removals[place]._replace(event=key)
        for place, part in enumerate(additions):
            if part.on == min(later) and not part.exempt and part.event not in set_off:
                additions[place] = part._replace(event=key)
    return replace(history, removals=tuple(removals), additions=tuple(additions))


def put_back_at_once(history: CircuitHistory, day: date) -> bool:
    """Whether a date has both in one service event: evacuated and charged again on one visit."""
    out = {part.event for part in history.removals if part.on == day and part.event}
    return any(part.on == day and part.event in out for part in history.additions)
