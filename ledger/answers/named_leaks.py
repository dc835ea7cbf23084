"""Which repairs and tests were of all identified leaks, where leaks go by name.

A shop that names the places of leaks repairs and tests them one by one; the repair is whole with
the last of them. Where none is named, what a person said of the whole stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from ledger.answers.case_events import Event

FOUND = frozenset({"detection", "leak-inspection"})
STAGES = {"repair": 0, "initial-test": 1, "follow-up-test": 2}


class Named(NamedTuple):
    """An event with the places of the leaks it names."""

    event: Event
    places: tuple[str, ...]


def whole(told: Iterable[Named]) -> Iterator[Event]:
    """The events, in order, each repair and test with whether it completes all leaks found."""
    found: set[str] = set()
    stages: tuple[set[str], set[str], set[str]] = (set(), set(), set())
    for event, places in told:
        stage = STAGES.get(event.kind)
        if stage is None:
            if event.kind in FOUND:
                found.update(places)
            yield event
            continue
        if not places:
            if event.all_leaks and (event.passed or event.kind == "repair"):
                stages[stage].update(found)
            yield event
            if event.kind == "follow-up-test" and event.passed and event.all_leaks:
                _over(found, stages)
            continue
        found.update(places)
        if event.kind == "repair" or event.passed:
            stages[stage].update(places)
            done = found <= stages[stage]
            yield event._replace(all_leaks=done)
            if done and event.kind == "follow-up-test":
                _over(found, stages)
        else:
            for names in stages[: stage + 1]:
                names.difference_update(places)
            yield event._replace(all_leaks=False)


def left(told: Iterable[Named]) -> list[tuple[str, str]]:
    """The leaks that are not through both tests, each with what it waits for."""
    found: dict[str, None] = {}
    done: dict[str, set[str]] = {kind: set() for kind in STAGES}
    for event, places in told:
        if event.kind in FOUND:
            found.update(dict.fromkeys(places))
        elif event.kind in STAGES:
            named = set(places) if places else set(found) if event.all_leaks else set()
            if event.kind == "repair" or event.passed:
                done[event.kind] |= named
            else:
                for kind in STAGES:
                    done[kind] -= named
    out = []
    for place in found:
        waits = next((kind for kind in STAGES if place not in done[kind]), None)
        if waits is not None:
            out.append((place, waits))
    return out


def _over(found: set[str], stages: tuple[set[str], ...]) -> None:
    """All leaks are through: what is found from now on is another matter."""
    found.clear()
    for names in stages:
        names.clear()
