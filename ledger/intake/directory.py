"""Finds in the book what only sheets ask for: the units of a site, and people by their initials."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ledger.facts.facts import Described, Fact
from ledger.facts.masters import folded
from ledger.facts.problems import Problem

if TYPE_CHECKING:
    from ledger.book.record import Recorder


class Directory:
    """The book as an import sees it; the indexes are made when first asked for.

    `recorded` keeps them true while entries are added.
    """

    def __init__(self, recorder: Recorder) -> None:
        self.known = recorder.known
        self.recorder = recorder
        self._units: dict[str, list[str]] | None = None
        self._initials: dict[str, list[str]] | None = None

    def units_at(self, site: str) -> list[str]:
        """The units that stand at a site now."""
        master = self.known.master("site", site)
        if master is None:
            return []
        if self._units is None:
            self._units = defaultdict(list)
            for name in self._names("unit"):
                unit = self.known.master("unit", name)
                at = self.known.master("site", unit.text("site")) if unit else None
                if unit is not None and at is not None:
                    self._units[folded(at.name)].append(unit.name)
        return sorted(set(self._units.get(folded(master.name), ())))

    def people_by_initials(self, initials: str) -> list[str]:
        """The people whose recorded initials these are."""
        if self._initials is None:
            self._initials = defaultdict(list)
            for name in self._names("person"):
                person = self.known.master("person", name)
                if person is not None and person.text("initials"):
                    self._initials[_letters(person.text("initials"))].append(person.name)
        return sorted(set(self._initials.get(_letters(initials), ())))

    def whose(self, initials: str) -> str | Problem:
        """The one person with these initials; as they are where nobody has them, else who has."""
        found = self.people_by_initials(initials)
        if len(found) < 2:
            return found[0] if found else initials
        many = "Two" if len(found) == 2 else f"{len(found)}"
        named = f"{', '.join(found[:-1])} and {found[-1]}"
        return Problem(
            "unknown-id", f'{many} people have the initials "{initials}": {named}.',
            "Write the name of the one who did it.", choices=tuple(found),
        )  # fmt: skip

    def recorded(self, facts: Iterable[Fact]) -> None:
        """Forget an index that new facts may have changed."""
        for fact in facts:
            if isinstance(fact, Described):
                if fact.kind in ("unit", "site"):
                    self._units = None
                elif fact.kind == "person":
                    self._initials = None

    def _names(self, kind: str) -> list[str]:
        self.recorder.append_held()
        names = [
            name for (name,) in self.recorder.writer.rows(
                "SELECT DISTINCT name FROM described WHERE kind = ? ORDER BY name", (kind,)
            )
        ]  # fmt: skip
        self.known.read_ahead(kind, names)
        return names


def _letters(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())
