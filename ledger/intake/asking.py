"""Asks about every name of a row at once, so that a person is not asked again for the next one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ledger.facts.problems import Problem
from ledger.intake.actions import ACTIONS
from ledger.intake.headers import MOVEMENTS
from ledger.intake.named import NAMED
from ledger.intake.questions import field_about
from ledger.intake.reading import Reading

if TYPE_CHECKING:
    from ledger.intake.directory import Directory

_OF_A_JOB = ACTIONS["charge"].known | ACTIONS["recover"].known
"""What counts on a row whose amount has to be asked for, which would say what was done."""


def names_asked(directory: Directory, reading: Reading) -> Iterator[tuple[str, Problem]]:
    """The names of a movement row that are not in the book, each with its field."""
    if reading.plan.map.records != MOVEMENTS:
        return
    wanted = ACTIONS[reading.action].known if reading.action in ACTIONS else _OF_A_JOB
    resolver = directory.recorder.resolver()
    for name, value in reading.values.items():
        kind = NAMED.get(name) if name != "site" else ""
        if kind and name in wanted:
            if kind == "person" and directory.known.master("person", value) is None:
                whose = directory.whose(value)
                if isinstance(whose, Problem):
                    yield name, whose
                    continue
                value = whose
            if kind == "place":
                resolver.place(value)
            else:
                resolver.name(kind, value)
    if (circuit := reading.circuit()) and circuit.count("/") < 2:
        resolver.name("circuit", circuit)
    for problem in resolver.problems:
        yield field_about(reading, problem), problem
