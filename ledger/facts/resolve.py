"""Names as people type them, turned into the names of the book.

Case and doubled spaces do not matter; a unit with one circuit stands for that circuit; the
user's aliases and joined records are followed. What is not found is answered with near
matches.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from ledger.facts.checks import circuit_of
from ledger.facts.contents import SHARED
from ledger.facts.entry import Draft, recast
from ledger.facts.facts import (
    Closed,
    Counted,
    Decision,
    Described,
    Explained,
    Fact,
    Joined,
    Movement,
    ServiceEvent,
    changed,
    holder,
    split_holder,
)
from ledger.facts.known import Known
from ledger.facts.masters import FIELDS, KIND_NAMES, folded
from ledger.facts.papers import Handover
from ledger.facts.problems import Problem
from ledger.facts.visit import Visit

PLACES = ("place", "site", "party")
"""Where a cylinder can be: a place of ours, a customer's site, or with another party."""
IN_BOOK = {"circuit", "cylinder", "party"}
NEW = "new"
"""The answer that an unknown name is that of something new, which is begun by it."""
NAMING = {
    "circuit": "circuit", "cylinder": "cylinder", "scale": "scale", "party": "party",
    "supplier": "party", "reclaimer": "party", "processor": "party", "site": "site",
    "owner_signed": "person",
}  # fmt: skip
"""Members of a fact that name something in the book, each with the kind it names."""


@dataclass(slots=True)
class Resolved:
    """A draft with every name as the book has it, what is new, and what was not found."""

    draft: Draft
    problems: list[Problem] = field(default_factory=list)
    provisional: list[Described] = field(default_factory=list)


class Resolver:
    """Resolves the names of one draft; with `provisional` unknown things are begun.

    With `looking`, what is not found is to be looked up, for nothing new is recorded by it.
    `begin` are names, folded, that may be begun even where others may not.
    """

    def __init__(
        self, known: Known, provisional: bool, looking: bool = False,
        begin: Collection[str] = (),
    ) -> None:  # fmt: skip
        self.known = known
        self.allow = provisional
        self.looking = looking
        self.may_begin = begin
        self.problems: list[Problem] = []
        self.begun: dict[tuple[str, str], Described] = {}
        self.made: dict[tuple[str, str], str] = {}

    def draft(self, draft: Draft) -> Resolved:
        """The draft with its names resolved."""
        parts = self.parts(
            draft.facts, draft.person, draft.supervisor, draft.occurred_on, draft.zone
        )
        return Resolved(recast(draft, *parts), self.problems, list(self.begun.values()))

    def parts(
        self, facts: Iterable[Fact], person: str, supervisor: str, day: str, zone: str = ""
    ) -> tuple[tuple[Fact, ...], str, str, str]:
        """What a draft is made of, with names resolved: facts, person, supervisor and zone."""
        resolved: list[Fact] = []
        for fact in facts:
            if isinstance(fact, Described) and fact.new:
                self.made[fact.kind, folded(fact.name)] = fact.name
            resolved.append(self._fact(fact))
        person = self.name("person", person) if person else ""
        supervisor = self.name("person", supervisor) if supervisor else ""
        zone = zone or zone_of(self.known, resolved, day)
        return tuple(resolved), person, supervisor, zone

    def name(self, kind: str, name: str, record: bool = False) -> str:
        """The book's name for one thing, or the name as typed with a problem noted.

        The name of a unit stands for its one circuit and is asked about where it has several;
        with `record` it is the circuit's own record that is meant.
        """
        settled = self.known.settled_names()
        if not record and (found := settled.get((kind, name))):
            return found
        key = (kind, folded(name))
        if key in self.made:
            return self.made[key]
        if key in self.begun:
            return self.begun[key].name
        if kind == "circuit" and not record and "/" not in name:
            circuits = self.known.circuits_of(name)
            if len(circuits) == 1:
                settled[kind, name] = circuits[0]
                return circuits[0]
            if circuits:
                self.problems.append(_which_circuit(name, circuits))
                return name
        master = self.known.master(kind, name)
        if master is None and kind == "circuit":
            name = self._of_known_unit(name)
            master = self.known.master(kind, name)
        if master is None:
            return self._unknown(kind, name)
        if not record:
            settled[kind, name] = master.name
        return master.name

    def _of_known_unit(self, circuit: str) -> str:
        """UNIT/LETTER with the unit as the book has it, where it goes by another name too."""
        head, slash, letter = circuit.partition("/")
        unit = self.known.master("unit", head) if slash else None
        return circuit if unit is None else f"{unit.name}/{letter}"

    def _unknown(self, kind: str, name: str) -> str:
        if self.allow or (self.may_begin and folded(name) in self.may_begin):
            self._begin(kind, name)
            return name
        near = self.known.near(kind, name)
        adding, called = kind, KIND_NAMES.get(kind, kind)
        if kind == "circuit" and "/" not in name:
            near = list(dict.fromkeys([*near, *self.known.near("unit", name)]))[:3]
            adding, called = "unit", "unit or circuit"
        offer = f"Near: {', '.join(near)}. " if near else ""
        remedy = (
            f"Check the name; tarebook list {adding} shows them all."
            if self.looking
            else f'Check the name, add it (tarebook add {adding} "{name}"), or record with'
            " --provisional."
        )
        problem = Problem(
            "unknown-id", f'No {called} "{name}" is in the book.', f"{offer}{remedy}",
            choices=tuple(near) if self.looking else (*near, NEW),
        )  # fmt: skip
        self.problems.append(problem)
        return name

    def _begin(self, kind: str, name: str) -> None:
        if kind == "circuit":
            unit = name.split("/")[0]
            if self.known.master("unit", unit) is None:
                self._begin("unit", unit)
            fields: dict[str, Any] = {"unit": unit}
        else:
            fields = {}
        self.begun[kind, folded(name)] = Described(kind, name, fields, new="yes", provisional="yes")

    def place(self, name: str) -> str:
        """The name of a warehouse, truck, site or party a cylinder is put at."""
        for kind in PLACES:
            master = self.known.master(kind, name)
            if master is not None:
                return master.name
        return self.name("place", name)

    def _fact(self, fact: Fact) -> Fact:
        if isinstance(fact, Movement):
            return self._movement(fact)
        if isinstance(fact, Described):
            return self._described(fact)
        if isinstance(fact, (Handover, Counted, Explained, Closed)) and fact.place:
            fact = replace(fact, place=self.place(fact.place))
        if isinstance(fact, Joined):
            name, kept = (self.name(fact.kind, one, True) for one in (fact.name, fact.kept))
            return replace(fact, name=name, kept=kept)
        if isinstance(fact, Decision):
            kind, name = split_holder(fact.subject)
            return replace(fact, subject=holder(kind, self.name(kind, name)))
        if isinstance(fact, Visit):
            fact = replace(fact, also=tuple(self.name("person", name) for name in fact.also))
        changes = {
            member: self.name(kind, value)
            for member, kind in NAMING.items()
            if (value := getattr(fact, member, ""))
        }
        return replace(fact, **changes) if changes else fact  # type: ignore[arg-type]

    def _movement(self, fact: Movement) -> Movement:
        source, target, evidence = self.holder(fact.source), self.holder(fact.target), fact.evidence
        if evidence is not None and evidence.scale:
            evidence = replace(evidence, scale=self.name("scale", evidence.scale))
        owner = fact.owner
        if owner and owner != SHARED:
            owner = self.name("party", owner)
        return changed(fact, source=source, target=target, owner=owner, evidence=evidence)

    def holder(self, text: str) -> str:
        """A holder with its name resolved."""
        settled = self.known.settled_names()
        if known := settled.get(("", text)):
            return known
        kind, name = split_holder(text)
        if kind not in IN_BOOK or not name:
            return text
        found = self.name(kind, name)
        resolved = text if found == name else holder(kind, found)
        if (kind, name) in settled:
            settled["", text] = resolved
        return resolved

    def _described(self, fact: Described) -> Described:
        name = fact.name if fact.new else self.name(fact.kind, fact.name, True)
        fields = dict(fact.fields)
        shapes = FIELDS.get(fact.kind, {})
        for key, value in fact.fields.items():
            shape = shapes.get(key)
            if shape is None or shape.shape != "name" or not isinstance(value, str):
                continue
            if value and value != "unknown":
                fields[key] = (
                    self.place(value) if key == "place" else self.name(shape.refers, value, True)
                )
        return replace(fact, name=name, fields=fields)


def _which_circuit(unit: str, circuits: list[str]) -> Problem:
    remedy = "Name the circuit; each is an appliance of its own."
    if bare := [name for name in circuits if "/" not in name]:
        remedy = (
            f"Name the circuit; to name {bare[0]} itself, give it a letter: tarebook add circuit"
            f' "{bare[0]}/A" with its full charge, then tarebook join circuit "{bare[0]}"'
            f' "{bare[0]}/A".'
        )
    return Problem(
        "circuit-needed", f"{unit} has {len(circuits)} circuits: {', '.join(circuits)}.", remedy,
        choices=tuple(circuits),
    )  # fmt: skip


def zone_of(known: Known, facts: Iterable[Fact], day: str) -> str:
    """The time zone of the site where facts happened on a day, else the shop's."""
    for fact in facts:
        circuit = circuit_of(fact) if isinstance(fact, Movement) else getattr(fact, "circuit", "")
        if circuit and (zone := _zone_at(known, circuit, day)):
            return zone
        site = known.master("site", fact.site) if isinstance(fact, ServiceEvent) else None
        if site is not None and (zone := site.text("zone")):
            return zone
    return known.shop_zone()


def _zone_at(known: Known, circuit: str, day: str) -> str:
    """The zone of the site of a circuit on a day; kept where the unit never moved."""
    settled = known.settled_names()
    if (kept := settled.get(("zone of", circuit))) is not None:
        return kept
    master = known.master("circuit", circuit)
    unit = known.master("unit", master.text("unit")) if master else None
    site = known.master("site", unit.text("site", day)) if unit else None
    zone = site.text("zone") if site else ""
    if unit is not None and not any(value.since for value in unit.history.get("site", ())):
        settled["zone of", circuit] = zone
    return zone
