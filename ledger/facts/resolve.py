"""Names as people type them, turned into the names of the book.

Case and doubled spaces do not matter; a unit with one circuit stands for that circuit; the
user's aliases and joined records are followed. What is not found is answered with near
matches.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from ledger.facts.entry import Draft
from ledger.facts.facts import (
    Described,
    Fact,
    Joined,
    Movement,
    holder,
    split_holder,
)
from ledger.facts.known import Known
from ledger.facts.masters import FIELDS
from ledger.facts.problems import Problem

PLACES = ("place", "site", "party")
"""Where a cylinder can be: a place of ours, a customer's site, or with another party."""
IN_BOOK = {"circuit", "cylinder", "party"}


class Named(Protocol):
    """A fact that names a circuit or a cylinder in a member of its own."""


@dataclass(slots=True)
class Resolved:
    """A draft with every name as the book has it, what is new, and what was not found."""

    draft: Draft
    problems: list[Problem] = field(default_factory=list)
    provisional: list[Described] = field(default_factory=list)


class Resolver:
    """Resolves the names of one draft; with `provisional` unknown things are begun."""

    def __init__(self, known: Known, provisional: bool) -> None:
        self.known = known
        self.allow = provisional
        self.problems: list[Problem] = []
        self.begun: dict[tuple[str, str], Described] = {}
        self.made: set[tuple[str, str]] = set()

    def draft(self, draft: Draft) -> Resolved:
        """The draft with its names resolved."""
        facts: list[Fact] = []
        for fact in draft.facts:
            if isinstance(fact, Described) and fact.new:
                self.made.add((fact.kind, fact.name.casefold()))
            facts.append(self._fact(fact))
        person = self.name("person", draft.person) if draft.person else ""
        resolved = replace(draft, person=person, facts=tuple(facts))
        return Resolved(resolved, self.problems, list(self.begun.values()))

    def name(self, kind: str, name: str) -> str:
        """The book's name for one thing, or the name as typed with a problem noted."""
        if (kind, name.casefold()) in self.made or (kind, name) in self.begun:
            return name
        master = self.known.master(kind, name)
        if master is not None:
            return master.name
        if kind == "circuit":
            circuits = self.known.circuits_of(name)
            if len(circuits) == 1:
                return circuits[0]
            if circuits:
                self.problems.append(_which_circuit(name, circuits))
                return name
        return self._unknown(kind, name)

    def _unknown(self, kind: str, name: str) -> str:
        if self.allow:
            self._begin(kind, name)
            return name
        near = self.known.near(kind, name)
        offer = f"Near: {', '.join(near)}. " if near else ""
        self.problems.append(
            Problem(
                "unknown-id",
                f'No {kind} "{name}" is in the book.',
                f'{offer}Check the name, add it (tarebook add {kind} "{name}"), or record with'
                " --provisional.",
            )
        )
        return name

    def _begin(self, kind: str, name: str) -> None:
        if kind == "circuit":
            unit = name.split("/")[0]
            if self.known.master("unit", unit) is None:
                self._begin("unit", unit)
            fields: dict[str, Any] = {"unit": unit}
        else:
            fields = {}
        self.begun[kind, name] = Described(kind, name, fields, new="yes", provisional="yes")

    def place(self, name: str) -> str:
        """The name of a warehouse, truck, site or party a cylinder is put at."""
        for kind in PLACES:
            master = self.known.master(kind, name)
            if master is not None:
                return master.name
        return self.name("place", name)

    def _fact(self, fact: Fact) -> Fact:
        if isinstance(fact, Movement):
            return replace(fact, source=self.holder(fact.source), target=self.holder(fact.target))
        if isinstance(fact, Described):
            return self._described(fact)
        if isinstance(fact, Joined):
            return replace(
                fact, name=self.name(fact.kind, fact.name), kept=self.name(fact.kind, fact.kept)
            )
        changes: dict[str, str] = {}
        look: tuple[tuple[str, str, Callable[[str], str]], ...] = (
            ("circuit", "circuit", lambda n: self.name("circuit", n)),
            ("cylinder", "cylinder", lambda n: self.name("cylinder", n)),
            ("scale", "scale", lambda n: self.name("scale", n)),
        )
        for member, _, find in look:
            value = getattr(fact, member, "")
            if isinstance(value, str) and value:
                changes[member] = find(value)
        return replace(fact, **changes) if changes else fact  # type: ignore[arg-type]

    def holder(self, text: str) -> str:
        """A holder with its name resolved."""
        kind, name = split_holder(text)
        if kind not in IN_BOOK or not name:
            return text
        found = self.name(kind, name)
        return text if found == name else holder(kind, found)

    def _described(self, fact: Described) -> Described:
        name = fact.name if fact.new else self.name(fact.kind, fact.name)
        fields = dict(fact.fields)
        shapes = FIELDS.get(fact.kind, {})
        for key, value in fact.fields.items():
            shape = shapes.get(key)
            if shape is None or shape.shape != "name" or not isinstance(value, str):
                continue
            if value and value != "unknown":
                fields[key] = (
                    self.place(value) if key == "place" else self.name(shape.refers, value)
                )
        return replace(fact, name=name, fields=fields)


def _which_circuit(unit: str, circuits: list[str]) -> Problem:
    return Problem(
        "circuit-needed",
        f"{unit} has {len(circuits)} circuits: {', '.join(circuits)}.",
        "Name the circuit; each is an appliance of its own.",
    )
