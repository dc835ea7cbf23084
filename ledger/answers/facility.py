"""What the duties of a site rest on: its circuits through time, and what was sent or paid.

An adapter fills these records from the book; nothing here knows how they are stored. The class
of a facility is that of the largest circuit that stands on it and is bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from ledger.answers.facility_law import FacilityLaw, FacilityTable
from ledger.answers.leak_history import ScopeFrom
from ledger.answers.leak_law import Binding

KINDS = ("registration", "annual-report", "fee", "fee-waiver")
"""The kinds of events of a site the answers look at; another kind changes nothing."""


class SiteEvent(NamedTuple):
    """One dated event of a site: what was sent, paid or claimed for it.

    A stored fact has to hold: its entry; the site; the kind (of KINDS); the date it was sent,
    paid or claimed (`on`); for a report, a fee or a waiver the calendar year it is for (`year`;
    where it is not recorded, the year before the date is taken); for a registration the
    circuits it lists (`systems`; empty: all that stood on the site by then). "fee-waiver" is a
    person's statement that what waives the fee of the year was so; the answers do not look into
    it.
    """

    entry: int
    kind: str
    on: date
    site: str = ""
    year: int | None = None
    systems: tuple[str, ...] = ()

    @property
    def period(self) -> int:
        """The calendar year it is for."""
        return self.on.year - 1 if self.year is None else self.year


class System(NamedTuple):
    """One circuit on a site.

    `started` is the day of its first charge or installation on this site, or the day it was
    moved there; `ended` the first day it is no longer there; None where that is not known or has
    not come. `standings` say through time, by
    pack, whether it is bound and which class its size would give the facility
    (`ledger.law.for_facilities.standings`).
    """

    circuit: str
    started: date | None
    standings: tuple[ScopeFrom, ...]
    ended: date | None = None
    entry: int = 0

    def there(self, day: date) -> bool:
        """Whether it stands on the site on a day; from the beginning where no start is known."""
        began = self.started is None or self.started <= day
        return began and (self.ended is None or day < self.ended)

    def standing(self, subpart: str, day: date) -> Binding | None:
        """What it does to the class of the facility under a pack on a day."""
        found: Binding | None = None
        for one in self.standings:
            if one.since is None or one.since <= day:
                found = next((b for b in one.bindings if b.subpart == subpart), None)
        return found if found is not None and self.there(day) else None

    def days(self) -> set[date]:
        """Every day on which its standing may change."""
        changes = {one.since for one in self.standings} | {self.started, self.ended}
        return {day for day in changes if day is not None}


@dataclass(frozen=True, slots=True)
class Facility:
    """All that the duties of one site rest on.

    `kept_from` is the first day for which the book is kept: what fell due before it and stands
    in no event is not looked at, because nobody can say from this book whether it was done.
    None: everything is looked at.
    """

    site: str
    owner: str
    systems: tuple[System, ...]
    events: tuple[SiteEvent, ...] = ()
    kept_from: date | None = None


class Class(NamedTuple):
    """The class of a facility on a day or over a year under one pack.

    `limb` is the class by the circuits that are plainly bound, empty where there is none, and
    `by` those that set it. `may` is the class it has if every open circuit is bound at its
    largest, `open` those that then set it; the same as the first two where nothing is open.
    """

    limb: str
    by: tuple[str, ...]
    may: str
    open: tuple[str, ...]
    undecided: bool = False


NO_CLASS = Class("", (), "", ())


def class_on(facility: Facility, law: FacilityLaw, day: date) -> Class:
    """The class of a facility on one day."""
    return _class_of(facility, law, (day,))


def class_over(facility: Facility, law: FacilityLaw, first: date, last: date) -> Class:
    """The largest class a facility had from one date through another."""
    days = {day for system in facility.systems for day in system.days() if first < day <= last}
    return _class_of(facility, law, sorted({first, *days}))


def _class_of(facility: Facility, law: FacilityLaw, days: Iterable[date]) -> Class:
    sure: dict[str, set[str]] = {}
    open_: dict[str, set[str]] = {}
    undecided = set()
    for day in days:
        for system in facility.systems:
            found = system.standing(law.subpart, day)
            if found is None or found.binds == "no" or found.row not in law.classes:
                continue
            (sure if found.binds == "yes" else open_).setdefault(found.row, set()).add(
                system.circuit
            )
            if found.binds == "undecided":
                undecided.add(system.circuit)
    limb = min(sure, key=law.rank, default="")
    may = min((*sure, *open_), key=law.rank, default="")
    by = _names(facility, sure.get(limb, set()))
    if may == limb:
        return Class(limb, by, may, by)
    raised = _names(facility, open_[may])
    return Class(limb, by, may, raised, all(name in undecided for name in raised))


def _names(facility: Facility, found: set[str]) -> tuple[str, ...]:
    return tuple(one.circuit for one in facility.systems if one.circuit in found)


def joined(system: System, law: FacilityTable, as_of: date) -> tuple[bool, date | None]:
    """Whether a circuit is, or may be, bound on its site by a date, and since when.

    The date is None where it was bound from the beginning and nobody knows when it started.
    """
    days = sorted({day for day in system.days() if day <= as_of})
    if system.started is None:
        before = system.standing(law.subpart, date.min)
        if before is not None and before.binds != "no":
            return True, None
    for day in days:
        found = system.standing(law.subpart, day)
        if found is not None and found.binds != "no":
            return True, day
    return False, None


def as_known(
    facility: Facility, recorded: Mapping[int, date], known_at: date | None,
    gone: Iterable[int] = (),
) -> Facility:  # fmt: skip
    """The facility from the events recorded by the end of a date, without those taken back."""
    out = frozenset(gone)
    events = tuple(
        event for event in facility.events
        if event.entry not in out
        and (known_at is None or recorded.get(event.entry, date.min) <= known_at)
    )  # fmt: skip
    return replace(facility, events=events)
