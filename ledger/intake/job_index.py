"""Keeps records of charges and recoveries where those that may be of one job are found at once.

A clean row of an import pays for a few look-ups; what tells jobs apart is read of a record only
when another lies near it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

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

if TYPE_CHECKING:
    from ledger.facts.entry import Draft

_WEEK = 7
_STEP = 6
"""Slots of one week: three ways, each without and with a ticket."""
_MOST = 200
"""Records compared with one: so many of one mass in a week at one unit are no shop's work."""


class Row(NamedTuple):
    """A record of a running import that is read when it has to be compared."""

    draft: Draft
    line: int
    way: int
    place: Place
    entry: int


Kept = tuple[int, int, "Record | Row", Any]
"""What the index holds: mass and day of a record, itself, and the one before it in its list.

A plain tuple, because every row of an import makes one.
"""
Weeks = dict[Any, Kept]
"""The last record of each slot of time at a place; each leads to the one before it."""


class Index:
    """Records by where they are, week by week, and by ticket.

    Two records with tickets are of one job only where it is one ticket, so that a record with
    a ticket is compared with that ticket's and with those that have none. Places that share a
    circuit, a site or an address lie together; which of them are one, `likeness` tells.
    """

    def __init__(self) -> None:
        self._weeks: dict[str, Weeks] = {}
        self._nowhere: Weeks = {}
        self._of_place: dict[Place, Weeks] = {NOWHERE: self._nowhere}
        self._tickets: dict[str, Kept] = {}
        self.joined = 0

    def add(self, record: Record) -> None:
        """Put a record where it is found."""
        weeks = self.weeks(record.place)
        self.put(weeks, record.way, record.day, record.mass, record.ticket, record)

    def put(
        self, weeks: Weeks, way: int, day: int, mass: int, ticket: str, what: Record | Row
    ) -> None:
        """Put a record among the weeks of its place."""
        slot: Any = (day // _WEEK * 3 + way) * 2
        if ticket:
            slot += 1
            tickets = self._tickets
            tickets[ticket] = (mass, day, what, tickets.get(ticket))
        if weeks is self._nowhere:
            slot = way, day, mass
        weeks[slot] = (mass, day, what, weeks.get(slot))

    def near(
        self, weeks: Weeks, way: int, day: int, mass: int, ticket: str
    ) -> list[Record | Row] | None:
        """What lies near enough to be compared: by days, way and mass, or by the ticket."""
        found = None
        if weeks is self._nowhere:
            if (head := weeks.get((way, day, mass))) is not None:
                found = _of_mass(head, mass, found)
        else:
            week, rest = divmod(day, _WEEK)
            slot = (week * 3 + way) * 2
            beside = slot - _STEP if rest < NEAR_DAYS else slot + _STEP
            if (head := weeks.get(slot)) is not None:
                found = _of_mass(head, mass, found)
            if (head := weeks.get(beside)) is not None:
                found = _of_mass(head, mass, found)
            if not ticket:
                if (head := weeks.get(slot + 1)) is not None:
                    found = _of_mass(head, mass, found)
                if (head := weeks.get(beside + 1)) is not None:
                    found = _of_mass(head, mass, found)
        if ticket and (head := self._tickets.get(ticket)) is not None:
            found = _of_mass(head, mass, found)
        return found

    def like(self, record: Record) -> list[tuple[Record, Likeness]]:
        """The records of other entries that may be of one job with this one, likeliest first.

        For an index of read records only.
        """
        weeks = self.weeks(record.place)
        near = self.near(weeks, record.way, record.day, record.mass, record.ticket)
        return alike_of(record, (one for one in near or () if isinstance(one, Record)))

    def weeks(self, place: Place) -> Weeks:
        """The weeks of a place, together with all that shares a name or an address with it.

        They stay the ones of the place until `joined` changes.
        """
        found = self._of_place.get(place)
        if found is not None:
            return found
        names = [f"circuit {place.circuit}"] if place.circuit else []
        names += [f"site {place.site}"] if place.site else []
        names += [f"at {address.key}" for address in place.addresses]
        held = [self._weeks[name] for name in names if name in self._weeks]
        weeks: Weeks = held[0] if held else {}
        for other in held[1:]:
            if other is not weeks:
                self._join(weeks, other)
        for name in names:
            self._weeks[name] = weeks
        self._of_place[place] = weeks
        return weeks

    def _join(self, weeks: Weeks, other: Weeks) -> None:
        for slot, one in other.items():
            for kept in _chain(one):
                weeks[slot] = (*kept[:3], weeks.get(slot))
        for name, held in self._weeks.items():
            if held is other:
                self._weeks[name] = weeks
        for place, held in self._of_place.items():
            if held is other:
                self._of_place[place] = weeks
        self.joined += 1

    def forget_before(self, day: int) -> None:
        """Drop what no record of that day or later can be like."""
        first = day - TICKET_DAYS
        self._keep(lambda one: one[1] >= first, lambda head: head[1] < first)

    def remove(self, entry: int, ways: set[int]) -> None:
        """Drop the records of an entry that were reversed."""
        self._keep(lambda one: one[2].entry != entry or one[2].way not in ways)

    def _keep(
        self, stays: Callable[[Kept], bool], looked_at: Callable[[Kept], bool] | None = None
    ) -> None:
        """Keep what stays, in the lists that are looked at for what comes last in them."""
        lists = {id(one): one for one in self._of_place.values()}
        for heads in (*lists.values(), self._tickets):
            for slot, head in list(heads.items()):
                if (looked_at and not looked_at(head)) or all(map(stays, _chain(head))):
                    continue
                last: Kept | None = None
                for kept in reversed([one for one in _chain(head) if stays(one)]):
                    last = (*kept[:3], last)
                if last is None:
                    del heads[slot]
                else:
                    heads[slot] = last


def _chain(head: Kept) -> Iterator[Kept]:
    one: Kept | None = head
    while one is not None:
        yield one
        one = one[3]


def _of_mass(head: Kept, mass: int, found: list[Record | Row] | None) -> list[Record | Row] | None:
    """What of a list is of about this mass, put to what was found."""
    one: Kept | None = head
    least, most = mass - FARTHEST, mass + FARTHEST
    while one is not None:
        if least <= one[0] <= most:
            if found is None:
                found = []
            elif len(found) >= _MOST:
                return found
            found.append(one[2])
        one = one[3]
    return found


def alike_of(record: Record, others: Iterable[Record]) -> list[tuple[Record, Likeness]]:
    """The records of other entries that may be of one job with this one, likeliest first."""
    found: dict[tuple[int, int], tuple[Record, Likeness]] = {}
    for other in others:
        if other.entry == record.entry and other.entry:
            continue
        if (like := likeness(record, other)) is not None:
            found[other.entry, other.line] = (other, like)
    return sorted(found.values(), key=lambda pair: (pair[1].order, pair[0].entry))


def pairs_of(records: Iterable[Record]) -> list[tuple[Record, Record, Likeness]]:
    """Every two records that may be of one job, each pair once, in the order of their days."""
    index, found = Index(), []
    for record in sorted(records, key=lambda one: (one.day, one.entry, one.line)):
        found += [(other, record, alike) for other, alike in index.like(record)]
        index.add(record)
    return found
