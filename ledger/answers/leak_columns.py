"""A circuit's dates as one subpart counts them: what it exempts may differ from another's."""

from __future__ import annotations

from itertools import accumulate

from ledger.answers.leak_days import Days, Exempt
from ledger.answers.leak_law import LawTable


class Columns:
    """The pounds and entries of each date under one subpart, side by side with `days`.

    `prefix` holds running sums of `counted`; `exempts` the claims that hold, by position;
    `groups` the positions of a leak episode's dates for each of its positions; `first` the
    position of the first calculation, once it has been met.
    """

    __slots__ = ("counted", "days", "entries", "exempts", "first", "groups", "prefix")

    def __init__(self, days: Days, table: LawTable, subpart: str) -> None:
        self.days = days
        self.counted, self.entries = days.counted, days.entries
        self.exempts: dict[int, tuple[str, ...]] = {}
        self.first: int | None = None
        for position, detail in days.details.items():
            if detail.exempt:
                law = table.at(subpart, days.ordinal[position])
                self._exempt(position, detail.exempt, law.exempt)
        self.prefix = [0, *accumulate(self.counted)]
        self.groups = self._groups() if days.history.episodes else {}

    def _exempt(self, position: int, parts: list[Exempt], allowed: frozenset[str]) -> None:
        rated = [part for part in parts if part.claim not in allowed]
        if rated:
            self.counted, self.entries = self.counted[:], self.entries[:]
            self.counted[position] += sum(part.mass for part in rated)
            own = {*self.entries[position], *(part.entry for part in rated)}
            self.entries[position] = tuple(sorted(own))
        self.exempts[position] = tuple(sorted({p.claim for p in parts if p.claim in allowed}))

    def _groups(self) -> dict[int, tuple[int, ...]]:
        """The dates of each declared episode; episodes that share a date are one.

        A date is one sum, so a date with a part of an episode belongs to it whole.
        """
        place: dict[int, set[int]] = {}
        for position, entries in enumerate(self.entries):
            detail = self.days.details.get(position)
            for entry in (*entries, *(detail.unknown if detail else ())):
                place.setdefault(entry, set()).add(position)
        groups: dict[int, set[int]] = {}
        for episode in self.days.history.episodes:
            joined: set[int] = set().union(*(place.get(entry, ()) for entry in episode))
            for position in tuple(joined):
                joined |= groups.get(position, set())
            for position in joined:
                groups[position] = joined
        return {position: tuple(sorted(members)) for position, members in groups.items()}
