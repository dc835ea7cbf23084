"""The bindings of every pack on a circuit through time, for the duty answers.

The leak rates look at the two federal subparts alone (`scope.scope_over`); here any number of
packs is asked, a book's own readings in place. Circuits that lie on the same side of every size
line are one class, looked at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from ledger.answers.leak_history import ScopeFrom
from ledger.answers.leak_law import Binding
from ledger.facts.mass import KILOGRAM, POUND
from ledger.law.blocks import Block
from ledger.law.loader import Pack
from ledger.law.scope import Finding, scope_of
from ledger.law.subject import Subject

Series = Sequence[tuple[date | None, Subject]]
"""Subjects in order of date, each in force from its date on (None: from the beginning)."""

PLACES = frozenset({"state of the site", "country", "state", "district"})
"""What a finding may lack that says whether a jurisdiction is meant at all."""
_UNITS = (("t CO2e", None), ("lb", POUND), ("kg", KILOGRAM))


class Scopes:
    """Finds the bindings under some packs; what is alike is worked out once."""

    def __init__(self, packs: Sequence[Pack], known_at: date | None = None) -> None:
        self.packs = tuple(packs)
        self.known_at = known_at
        self.days = tuple(sorted({day for pack in packs for day in _days(pack)}))
        lines = [line for pack in packs for line in _size_lines(pack)]
        self.by_gwp = None in lines
        self.limits = tuple(sorted({line for line in lines if line is not None}))
        self._over: dict[tuple[tuple[date | None, Subject], ...], tuple[ScopeFrom, ...]] = {}
        self._on: dict[tuple[Subject, date], tuple[Binding, ...]] = {}

    def over(self, series: Series) -> tuple[ScopeFrom, ...]:
        """The bindings through time; a new member begins wherever a finding changes."""
        key = tuple((since, self._class(subject)) for since, subject in series)
        found = self._over.get(key)
        if found is None:
            found = self._over[key] = tuple(self._walk(key))
        return found

    def on(self, subject: Subject, day: date) -> tuple[Binding, ...]:
        """What each pack says on a day."""
        key = (subject, day)
        found = self._on.get(key)
        if found is None:
            findings = scope_of(subject, day, self.packs, known_at=self.known_at)
            found = self._on[key] = tuple(
                _binding(pack, one) for pack, one in zip(self.packs, findings, strict=True)
            )
        return found

    def _walk(self, series: Series) -> Iterator[ScopeFrom]:
        last: tuple[Binding, ...] | None = None
        for place, (since, subject) in enumerate(series):
            until = series[place + 1][0] if place + 1 < len(series) else None
            days = [day for day in self.days if since is None or day > since]
            for day in (since, *days):
                if until is not None and day is not None and day >= until:
                    break
                found = self.on(subject, day or date.min)
                if found != last:
                    yield ScopeFrom(day, found)
                    last = found

    def _class(self, subject: Subject) -> Subject:
        """The subject with its charge moved to a stand-in on the same side of every line."""
        if self.by_gwp:
            return subject
        return subject._replace(
            charge=self._stand_in(subject.charge), charge_high=self._stand_in(subject.charge_high)
        )

    def _stand_in(self, charge: int | Fraction | None) -> int | None:
        if charge is None:
            return None
        below = 0
        for limit in self.limits:
            if charge < limit:
                return below
            if charge == limit:
                return limit
            below = limit + 1
        return below


def _binding(pack: Pack, found: Finding) -> Binding:
    """What a pack says, in short; one that asks where the site is does not bind until known.

    Else every circuit whose site has no state on record would stand under the rules of each.
    """
    nowhere = PLACES.isdisjoint(found.missing)
    return Binding(
        pack.subpart, pack.name, found.binds if nowhere else "no", found.limb if nowhere else "",
        found.sentence if nowhere else "The state of the site is not on record.", found.cite,
        found.evidence,
    )  # fmt: skip


def _rows(pack: Pack) -> Sequence[Block]:
    """The rows of the first scope of a pack."""
    scope: Block = next(iter(pack.blocks.scopes.values()), {})
    rows: Sequence[Block] = scope.get("rows", ())
    return rows


def _rules_of(pack: Pack) -> set[str]:
    """The rules the first scope of a pack leans on."""
    found: set[str] = set()
    for row in _rows(pack):
        asked = {**row.get("when", {}), "rule": row.get("rule", "")}
        found.update(value for value in asked.values() if isinstance(value, str))
    return found & set(pack.rules)


def _days(pack: Pack) -> Iterator[date]:
    """Every day on which a finding of a pack may change."""
    yield from pack.starts(_rules_of(pack))
    for row in _rows(pack):
        if "from" in row:
            yield row["from"]
        if "to" in row:
            yield date.fromordinal(row["to"].toordinal() + 1)


def _size_lines(pack: Pack) -> Iterator[int | None]:
    """The size lines of a pack in counts of mass; None for one in tonnes of CO2 equivalent."""
    for name in _rules_of(pack):
        for value in pack.rules[name].values:
            unit = next((size for word, size in _UNITS if value.unit.startswith(word)), 0)
            if unit is None:
                yield None
            elif unit and isinstance(value.value, int):
                yield value.value * unit
