"""Where and by whom each cylinder was last seen: moved, weighed, drawn from, filled, lent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple


class Sighting(NamedTuple):
    """One moment at which somebody had a cylinder in hand.

    Ordered by ISO day, time (empty: the day's end), entry and line. `person` is who did it, or who
    took the cylinder over; `place` where it was then; `how` in a word or two.
    """

    day: str
    time: str
    entry: int
    line: int
    cylinder: str
    person: str = ""
    place: str = ""
    how: str = ""

    def order(self) -> tuple[str, str, int, int]:
        """The place of a sighting in the order of the day; without a time it is the day's end."""
        return (self.day, self.time or "24:00", self.entry, self.line)


class Seen(NamedTuple):
    """The last sighting of a cylinder, and the days from it to the day of the answer."""

    sighting: Sighting
    days: int


def last_seen(sightings: Iterable[Sighting], as_of: str) -> dict[str, Seen]:
    """The last sighting of each cylinder up to an ISO day."""
    last: dict[str, Sighting] = {}
    for one in sightings:
        known = last.get(one.cylinder)
        if one.day <= as_of and (known is None or one.order() > known.order()):
            last[one.cylinder] = one
    today = date.fromisoformat(as_of)
    return {
        name: Seen(one, (today - date.fromisoformat(one.day)).days) for name, one in last.items()
    }


def with_drivers(seen: Seen, drivers: Mapping[str, str]) -> str:
    """Who answers for it: the person of the sighting, and who drives the truck it is on."""
    driver = drivers.get(seen.sighting.place, "")
    person = seen.sighting.person
    if driver and driver != person:
        return f"{person}, on the truck of {driver}" if person else f"on the truck of {driver}"
    return person
