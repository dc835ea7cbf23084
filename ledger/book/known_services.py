"""The repairs, tests and other events of a circuit as the checks ask for them, read lazily."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import Connection, select

from ledger.book.schema import service
from ledger.facts.case_checks import Earlier
from ledger.facts.entry import Draft
from ledger.facts.facts import Fact, Repair, ServiceEvent, Test, fact_of

_TYPES = (Repair.TYPE, Test.TYPE, ServiceEvent.TYPE)
SERVICES = (Repair, Test, ServiceEvent)
"""The facts that are kept here."""

Line = tuple[int, int]


class Services:
    """What is on record of each circuit that was asked for, with what was taken in since."""

    def __init__(self) -> None:
        self._of: dict[str, dict[Line, Earlier]] = {}
        self._new: dict[str, dict[Line, Earlier]] = {}

    def of(
        self, connection: Connection, standing: Any, names: Iterable[str], gone: set[Line]
    ) -> list[Earlier]:
        """The events of a circuit by all its names, in order of day, time and entry."""
        found: dict[Line, Earlier] = {}
        for name in names:
            if name not in self._of:
                self._of[name] = dict(_read(connection, standing, name))
            found |= self._of[name]
            found |= self._new.get(name, {})
        lines = [(one.day, one.time, line) for line, one in found.items() if line not in gone]
        return [found[line] for _, _, line in sorted(lines)]

    def take(self, draft: Draft, entry: int, line: int, fact: Fact) -> None:
        """Let a fact count that is not written yet."""
        assert isinstance(fact, SERVICES)
        earlier = Earlier(draft.occurred_on, draft.occurred_time, fact)
        self._new.setdefault(fact.circuit, {})[entry, line] = earlier

    def give_back(self, circuit: str, entry: int, line: int) -> None:
        """Take back what `take` let count."""
        self._new.get(circuit, {}).pop((entry, line), None)

    def forget(self) -> None:
        """Drop what was read; what was taken in and written is read again."""
        self._of.clear()
        self._new.clear()


def _read(connection: Connection, standing: Any, name: str) -> Iterator[tuple[Line, Earlier]]:
    rows = connection.execute(
        select(
            service.c.entry, service.c.line, service.c.occurred_on, service.c.occurred_time,
            service.c.body,
        ).where(
            service.c.subject == f"circuit:{name}", service.c.type.in_(_TYPES), standing
        )
    )  # fmt: skip
    for entry, line, day, time, body in rows:
        yield (entry, line), Earlier(day, time, fact_of(json.loads(body)))
