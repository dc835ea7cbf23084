"""Keeps records of charges and recoveries where those that may be of one job are found at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ledger.intake.same_job import (
    FARTHEST,
    NEAR_DAYS,
    NOWHERE,
    TICKET_DAYS,
    Likeness,
    Place,
    Record,
    likeness,
)

_WEEK = 7
_WAYS = 3

_Weeks = dict[int, list[Record]]


class Index:
    """Records by where they are, week by week, and by ticket.

    Looking for what is like a record is a look into two lists at the most, and one more
    where it has a ticket. Places that share a circuit, a site or an address lie together;
    which of them are one, `likeness` tells.
    """

    def __init__(self) -> None:
        self._weeks: dict[str, _Weeks] = {}
        self._of_place: dict[Place, _Weeks] = {}
        self._tickets: dict[str, list[Record]] = {}
        self._nowhere: dict[tuple[int, int, int], list[Record]] = {}

    def add(self, record: Record) -> None:
        """Put a record where it is found."""
        if record.ticket:
            self._tickets.setdefault(record.ticket, []).append(record)
        if record.place == NOWHERE:
            self._nowhere.setdefault(record[:3], []).append(record)
            return
        weeks = self._of_place.get(record.place)
        if weeks is None:
            weeks = self._weeks_of(record.place)
        weeks.setdefault(record.day // _WEEK * _WAYS + record.way, []).append(record)

    def like(self, record: Record) -> list[tuple[Record, Likeness]]:
        """The records of other entries that may be of one job with this one, likeliest first."""
        found: dict[tuple[int, int], tuple[Record, Likeness]] | None = None
        least, most = record.mass - FARTHEST, record.mass + FARTHEST
        for some in self._near(record):
            for other in some:
                if not least <= other.mass <= most:
                    continue
                if other.entry == record.entry and other.entry:
                    continue
                if (alike := likeness(record, other)) is not None:
                    found = found or {}
                    found[other.entry, other.line] = (other, alike)
        if found is None:
            return []
        return sorted(found.values(), key=lambda pair: (pair[1].order, pair[0].entry))

    def _near(self, record: Record) -> list[list[Record]]:
        """Records of about the same days at the same place, and those of the same ticket."""
        near = []
        if record.place == NOWHERE:
            if (same := self._nowhere.get(record[:3])) is not None:
                near.append(same)
        else:
            weeks = self._of_place.get(record.place)
            if weeks is None:
                weeks = self._weeks_of(record.place)
            if weeks:
                week, day = divmod(record.day, _WEEK)
                step = -1 if day < NEAR_DAYS else 1 if day >= _WEEK - NEAR_DAYS else 0
                for one in (week, week + step) if step else (week,):
                    if (here := weeks.get(one * _WAYS + record.way)) is not None:
                        near.append(here)
        if record.ticket and (same := self._tickets.get(record.ticket)) is not None:
            near.append(same)
        return near

    def _weeks_of(self, place: Place) -> _Weeks:
        """The weeks of a place, together with all that shares a name or an address with it."""
        names = [f"circuit {place.circuit}"] if place.circuit else []
        names += [f"site {place.site}"] if place.site else []
        names += [f"at {address.key}" for address in place.addresses]
        held = [self._weeks[name] for name in names if name in self._weeks]
        weeks: _Weeks = held[0] if held else {}
        for other in held[1:]:
            if other is not weeks:
                self._join(weeks, other)
        for name in names:
            self._weeks[name] = weeks
        self._of_place[place] = weeks
        return weeks

    def _join(self, weeks: _Weeks, other: _Weeks) -> None:
        for week, records in other.items():
            weeks.setdefault(week, []).extend(records)
        other.clear()
        for name, held in self._weeks.items():
            if held is other:
                self._weeks[name] = weeks
        for place, held in self._of_place.items():
            if held is other:
                self._of_place[place] = weeks

    def forget_before(self, day: int) -> None:
        """Drop what no record of that day or later can be like."""
        week = (day - TICKET_DAYS) // _WEEK * _WAYS
        kept = {id(weeks): weeks for weeks in self._weeks.values()}
        for weeks in kept.values():
            for old in [one for one in weeks if one < week]:
                del weeks[old]
        first = day - TICKET_DAYS
        for ticket in [t for t, some in self._tickets.items() if some[-1].day < first]:
            del self._tickets[ticket]
        for key in [key for key in self._nowhere if key[1] < first]:
            del self._nowhere[key]

    def remove(self, entry: int) -> None:
        """Drop the records of an entry that was reversed."""
        for some in (*self._all_lists(), *self._tickets.values(), *self._nowhere.values()):
            some[:] = [record for record in some if record.entry != entry]

    def _all_lists(self) -> Iterator[list[Record]]:
        for weeks in {id(one): one for one in self._weeks.values()}.values():
            yield from weeks.values()


def pairs_of(records: Iterable[Record]) -> list[tuple[Record, Record, Likeness]]:
    """Every two records that may be of one job, each pair once, in the order of their days."""
    index, found = Index(), []
    for record in sorted(records, key=lambda one: (one.day, one.entry, one.line)):
        found += [(other, record, alike) for other, alike in index.like(record)]
        index.add(record)
    return found
