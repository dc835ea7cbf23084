"""Turns what a movement row says into the draft of an entry, with the book at hand.

In history mode a row that lacks a cylinder, a unit or a technician is recorded and flagged;
in strict mode it is refused as a command would be.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from ledger.facts.contents import MIXED
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Evidence, Fact, Receipt, holder, split_holder
from ledger.facts.mass import Mass, Quantity, quantity
from ledger.facts.masters import UNKNOWN, folded
from ledger.facts.problems import Problem
from ledger.facts.resolve import NEW, Resolved, Resolver
from ledger.facts.verbs import (
    added_by_others,
    charge,
    leave,
    opening,
    place_cylinder,
    receive,
    recover,
    release,
    transfer,
    weigh,
    write_off_heel,
)
from ledger.facts.weights import IN, OUT, net_of
from ledger.intake.actions import ACTIONS, EVENTS, FOLLOW_UP, INITIAL, VISIT
from ledger.intake.directory import Directory
from ledger.intake.occasion_rows import event_facts
from ledger.intake.reading import UNKNOWN_AMOUNT, Reading
from ledger.intake.service_rows import repair_facts, test_facts

NO_UNIT = "no unit named"
"""The difference that stands for a circuit nobody named."""
SOMEBODY = "another contractor"
"""The party that stands for a contractor nobody named."""


class Stop(Exception):
    """A row cannot become a draft; carries the field and the problem."""

    def __init__(self, name: str, problem: Problem) -> None:
        self.name, self.problem = name, problem
        super().__init__(problem.sentence)


@dataclass(slots=True)
class Drafted:
    """The draft of a row, or the problems that forbid it, each with its field; flags beside.

    `already` is the entry that says all of it; `resolved` the draft where its names are those
    of the book already.
    """

    draft: Draft | None = None
    already: int = 0
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    flags: list[Problem] = field(default_factory=list)
    resolved: Resolved | None = None


class Drafter:
    """Makes drafts of rows; `strict` refuses what history mode flags."""

    def __init__(self, directory: Directory, strict: bool, provisional: bool) -> None:
        self.directory = directory
        self.known = directory.known
        self.strict = strict
        self.provisional = provisional
        self.flags: list[Problem] = []

    def draft(self, reading: Reading, key: str, resolver: Resolver | None = None) -> Drafted:
        """The draft of one row without problems of reading.

        With a `resolver` its names are resolved at once, which spares making it twice; where
        one is not found, that is left to the recording.
        """
        self.flags = []
        action, said = ACTIONS[reading.action], reading.values.get
        try:
            facts = _FACTS[reading.action](self, reading)
            person = self._person(reading, "technician")
            supervisor = self._person(reading, "supervised by")
        except Stop as stop:
            return Drafted(problems=[(stop.name, stop.problem)])
        if not person and reading.action in ("charge", "recover", VISIT):
            self.flag("No technician is named.", "Find out who did the work.")
        made, zone = tuple(facts), ""
        if resolver is not None:
            names = resolver.parts(made, person, supervisor, reading.day)
            if not resolver.problems:
                made, person, supervisor, zone = names
        draft = Draft(
            key, action.verb, reading.day, made, person, reading.time, zone, said("ticket", ""),
            reading.note, f"{reading.plan.source}!{reading.row.number}", supervisor,
        )  # fmt: skip
        resolved = Resolved(draft) if zone else None
        return Drafted(draft, flags=self.flags, resolved=resolved)

    def flag(self, sentence: str, remedy: str) -> None:
        """Note a gap that does not keep the row out."""
        self.flags.append(Problem("field-missing", sentence, remedy))

    def lacking(self, name: str, sentence: str, remedy: str) -> None:
        """A field that a command would ask for: refused when strict, else a flag."""
        if self.strict:
            raise Stop(name, Problem("field-missing", sentence, remedy))
        self.flag(sentence, remedy)

    def _person(self, reading: Reading, field: str) -> str:
        """A person as the book names them; recorded initials stand for their one owner."""
        name = reading.text(field)
        if not name or self.known.master("person", name) is not None:
            return name
        found = self.directory.whose(name)
        if isinstance(found, Problem):
            raise Stop(field, found)
        return found

    # -- what moved ----------------------------------------------------------------------

    def weights(self, reading: Reading, direction: int) -> tuple[Quantity, Evidence]:
        """The net of a row and how it is known."""
        values = reading.values
        amount = values.get("amount")
        scale = values.get("scale", "")
        before, after = values.get("gross before"), values.get("gross after")
        between = values.get("readings", ())
        if before is None and after is None and not between and amount is not None:
            return amount, Evidence("net", scale)
        readings = tuple(one for one in (before, *between, after) if one is not None)
        if len(readings) == 1 and amount is not None and not self.strict:
            reading.add_note(f"one gross weight only: {readings[0].written}")
            readings = ()
        found = net_of(amount, readings, direction, scale)
        if isinstance(found, Problem):
            raise Stop("amount" if amount is not None else "gross before", found)
        return found

    def label_or_weighed(self, reading: Reading) -> tuple[Quantity, Evidence]:
        """The net in a cylinder that comes in: by its label, or gross less tare."""
        values = reading.values
        gross, tare, amount = values.get("gross"), values.get("tare"), values.get("amount")
        scale = reading.text("scale")
        if gross is not None and tare is not None:
            found = net_of(amount, (tare, gross), IN, scale)
            if isinstance(found, Problem):
                raise Stop("gross", found)
            return found
        if amount is not None:
            return amount, Evidence("nominal" if reading.action == "receive" else "stated", scale)
        raise _not_given("amount", "The net, or gross and tare,")

    def all_of(self, reading: Reading, cylinder: str) -> tuple[Quantity, Evidence]:
        """What the row says left the cylinder, else all that it held by the book that day."""
        if {"amount", "gross before", "readings"} & reading.values.keys():
            return self.weights(reading, OUT)
        master = self.known.master("cylinder", cylinder)
        held = self.known.contents(master.name).at(reading.day).total if master else 0
        return quantity(Mass(max(0, held))), Evidence("stated")

    def refrigerant(self, reading: Reading, *holders: str) -> str:
        """The refrigerant as written, else of the first of these holders that has one.

        One that its writer was not sure of goes in as unknown, and is flagged.
        """
        if written := reading.text("refrigerant"):
            if reading.doubt:
                self._in_doubt(reading.doubt)
            return written
        for text in holders:
            kind, name = split_holder(text)
            found = self._in_cylinder(name, reading.day) if kind == "cylinder" else (
                self._in_circuit(name, reading.day) if kind == "circuit" else ""
            )  # fmt: skip
            if found and found not in (UNKNOWN, MIXED):
                return found
        if any(map(self._refused, holders)):
            # The name is what has to be mended; the book refuses it before anything else.
            return UNKNOWN
        remedy = "Write it on the row, or record it for the unit or the cylinder first."
        raise Stop("refrigerant", Problem("field-missing", "The refrigerant is not known.", remedy))

    def _in_doubt(self, written: str) -> None:
        sentence = f"The refrigerant is in doubt: {written.rstrip('.')}."
        remedy = "Find out which it was; identify what is in the cylinder."
        problem = Problem("refrigerant-unknown", sentence, remedy)
        if self.strict:
            raise Stop("refrigerant", problem)
        self.flags.append(problem)

    def _unknown(self, text: str) -> bool:
        """Whether a holder is named that the book does not have."""
        kind, name = split_holder(text)
        if kind == "circuit" and self.known.circuits_of(name):
            return False
        return (
            bool(name)
            and kind in ("circuit", "cylinder")
            and (self.known.master(kind, name) is None)
        )

    def _refused(self, text: str) -> bool:
        """Whether a holder is named that the book does not have and that is not begun."""
        return self._unknown(text) and not self.may_begin(split_holder(text)[1])

    def _in_cylinder(self, name: str, day: str) -> str:
        master = self.known.master("cylinder", name) if name else None
        if master is None:
            return ""
        held = self.known.contents(master.name).at(day).refrigerant
        return held or str(master.at("refrigerant", day) or master.now("refrigerant") or "")

    def _in_circuit(self, name: str, day: str) -> str:
        names = self.known.circuits_of(name) or [name]
        master = self.known.master("circuit", names[0])
        return master.text("refrigerant", day) if master else ""

    # -- where ---------------------------------------------------------------------------

    def cylinder(self, reading: Reading, *names: str) -> str:
        """The cylinder in the first of these fields; where none is named, the gap is flagged."""
        for name in names:
            if found := reading.text(name):
                return found
        self.lacking(names[0], "No cylinder is named.", "Find out which cylinder it was.")
        return ""

    def circuit(self, reading: Reading) -> str:
        """The circuit a row means, as a holder; one without any is flagged.

        Where only a site is named, its one unit is meant, or a unit that bears its name.
        """
        name, site = reading.circuit(), reading.text("site")
        if name.count("/") > 1:
            sentence = f'"{reading.text("unit")}" and circuit "{reading.text("circuit")}" differ.'
            raise Stop("circuit", Problem("value-unclear", sentence, "Name one circuit."))
        if name:
            if site:
                self._same_site(reading, name, site)
            return holder("circuit", name)
        if not site:
            self.lacking("unit", "No unit is named.", "Find out which unit it was, and where.")
            return holder("difference", NO_UNIT)
        if self.known.master("circuit", site) is not None:
            return holder("circuit", site)
        units = self.directory.units_at(site)
        if len(units) > 1:
            several = f"{site} has {len(units)} units: {', '.join(units[:5])}."
            problem = Problem("circuit-needed", several, "Name the unit.", choices=tuple(units))
            raise Stop("unit", problem)
        return holder("circuit", units[0] if units else site)

    def _same_site(self, reading: Reading, circuit: str, site: str) -> None:
        """Unit names repeat from site to site: a unit of another site is not the one meant."""
        here = self.known.master("site", site)
        unit = self.known.master("unit", circuit.partition("/")[0])
        there = unit.text("site", reading.day) or unit.text("site") if unit else ""
        if here is None or not there or folded(here.name) == folded(there):
            return
        at = self.known.master("site", there)
        if at is None or at.name != here.name:
            sentence = f"{circuit} is recorded at {there}, the row says {site}."
            problem = Problem("unknown-id", sentence, "Check the unit and the site.",
                              choices=tuple(self.directory.units_at(site)))  # fmt: skip
            raise Stop("unit", problem)

    def begun_at_site(self, reading: Reading, circuit: str) -> list[Fact]:
        """A unit that is begun provisionally stands at the site its row names."""
        site, name = reading.text("site"), split_holder(circuit)[1]
        unit = name.partition("/")[0]
        if not site or not (self.provisional or self.directory.recorder.begin):
            return []
        if not circuit.startswith("circuit:") or not self.may_begin(name):
            return []
        if self.known.master("unit", unit) is not None or self.known.circuits_of(unit):
            return []
        if not self.may_begin(site) and (near := self._near_site(site)):
            problem = Problem("unknown-id", f'No site "{site}" is in the book.',
                              f"Near: {', '.join(near)}.", choices=(*near, NEW))  # fmt: skip
            raise Stop("site", problem)
        facts: list[Fact] = []
        if self.known.master("site", site) is None:
            facts.append(_begun("site", site, {}))
        facts.append(_begun("unit", unit, {"site": site}))
        return [*facts, _begun("circuit", name, {"unit": unit})]

    def may_begin(self, name: str) -> bool:
        """Whether what is not in the book may be begun by a row that names it."""
        return self.provisional or folded(name) in self.directory.recorder.begin

    def _near_site(self, site: str) -> list[str]:
        return [] if self.known.master("site", site) else self.known.near("site", site)

    def arriving(self, reading: Reading, cylinder: str, refrigerant: str) -> list[Fact]:
        """A cylinder described as it arrives, where its kind is named; else put in its place."""
        place, kind = reading.text("place"), reading.text("cylinder kind")
        if kind and self.known.master("cylinder", cylinder) is None:
            fields = {"kind": kind, "refrigerant": refrigerant}
            fields |= {"place": place} if place else {}
            return [Described("cylinder", cylinder, fields, new="yes")]
        return place_cylinder(cylinder, place, reading.day) if place else []


def _begun(kind: str, name: str, fields: dict[str, str]) -> Described:
    return Described(kind, name, fields, new="yes", provisional="yes")


def _not_given(name: str, what: str) -> Stop:
    return Stop(name, Problem("field-missing", f"{what} is not given.", f"Fill in the {name}."))


def _named(reading: Reading, *names: str) -> str:
    for name in names:
        if found := reading.text(name):
            return found
    raise _not_given(names[0], f"The {names[0]}")


def _charge(drafter: Drafter, reading: Reading) -> list[Fact]:
    circuit = drafter.circuit(reading)
    cylinder = drafter.cylinder(reading, "cylinder")
    net, evidence = drafter.weights(reading, OUT)
    name = drafter.refrigerant(reading, holder("cylinder", cylinder), circuit)
    facts = charge(circuit[8:], cylinder, name, net, evidence, reading.text("claim"))
    return drafter.begun_at_site(reading, circuit) + _at(facts, target=circuit)


def _recover(drafter: Drafter, reading: Reading) -> list[Fact]:
    circuit = drafter.circuit(reading)
    net, evidence = drafter.weights(reading, IN)
    cylinder = reading.text("to cylinder") or reading.text("cylinder")
    if net.mass:
        cylinder = drafter.cylinder(reading, "to cylinder", "cylinder")
        name = drafter.refrigerant(reading, circuit, holder("cylinder", cylinder))
    else:
        name = reading.text("refrigerant")
    before = drafter.begun_at_site(reading, circuit)
    if not net.mass:
        _named(reading, "unit", "circuit", "site")
        return [*before, *recover(split_holder(circuit)[1], cylinder, name, net, evidence)]
    facts = recover(circuit[8:], cylinder, name, net, evidence, reading.text("claim"))
    return [*before, *_at(facts, source=circuit)]


def _at(facts: list[Fact], source: str = "", target: str = "") -> list[Fact]:
    """Movements as they are where that side is a circuit, else with it put to what it is."""
    if (source or target).startswith("circuit:"):
        return facts
    changes = {"source": source} if source else {"target": target}
    return [replace(fact, **changes) for fact in facts]  # type: ignore[arg-type]


def _visit(drafter: Drafter, reading: Reading) -> list[Fact]:
    """Both movements of one visit; a single cylinder column cannot stand for both."""
    circuit = drafter.circuit(reading)
    values, scale = reading.values, reading.text("scale")
    supply, recovery = reading.text("cylinder"), reading.text("to cylinder")
    if not (supply and recovery):
        if supply or recovery:
            sentence = "Refrigerant was recovered and added, and only one cylinder is named."
            remedy = "Name the cylinder it came from and the one it went into."
            raise Stop("cylinder", Problem("field-missing", sentence, remedy))
        drafter.cylinder(reading, "cylinder")
    name = drafter.refrigerant(
        reading, circuit, holder("cylinder", supply), holder("cylinder", recovery)
    )
    before = drafter.begun_at_site(reading, circuit)
    evidence = Evidence("net", scale)
    out = _at(recover(circuit[8:], recovery, name, values["recovered"], evidence), source=circuit)
    into = _at(charge(circuit[8:], supply, name, values["added"], evidence), target=circuit)
    return [*before, *out, *into]


def _receive(drafter: Drafter, reading: Reading) -> list[Fact]:
    supplier, cylinder = _named(reading, "supplier", "party"), _named(reading, "cylinder")
    net, evidence = drafter.label_or_weighed(reading)
    name = drafter.refrigerant(reading, holder("cylinder", cylinder))
    values, text = reading.values, reading.text
    receipt = Receipt(
        cylinder, supplier, text("invoice"), values.get("price", 0), values.get("deposit", 0),
        text("batch"), text("reclaimer"),
    )  # fmt: skip
    stock = text("stock") or "virgin"
    before = drafter.arriving(reading, cylinder, name)
    return [*before, *receive(cylinder, supplier, name, net, evidence, stock, receipt)]


def _opening(drafter: Drafter, reading: Reading) -> list[Fact]:
    cylinder = _named(reading, "cylinder")
    net, evidence = drafter.label_or_weighed(reading)
    name = drafter.refrigerant(reading, holder("cylinder", cylinder))
    stock, owner = reading.text("stock") or "unknown", reading.text("owner")
    whose = drafter.known.master("party", owner) if owner else None
    before = drafter.arriving(reading, cylinder, name)
    facts = opening(cylinder, name, net, evidence, stock, whose.name if whose else owner)
    return [*before, *facts]


def _transfer(drafter: Drafter, reading: Reading) -> list[Fact]:
    source, target = _named(reading, "cylinder"), _named(reading, "to cylinder")
    net, evidence = drafter.weights(reading, OUT)
    name = drafter.refrigerant(reading, holder("cylinder", source), holder("cylinder", target))
    return transfer(source, target, name, net, evidence)


def _place(drafter: Drafter, reading: Reading) -> list[Fact]:
    return place_cylinder(_named(reading, "cylinder"), _named(reading, "place"), reading.day)


def _weigh(drafter: Drafter, reading: Reading) -> list[Fact]:
    gross = reading.values.get("gross")
    if gross is None:
        raise _not_given("gross", "The gross weight")
    state = reading.text("state").casefold()
    if state not in ("", "sealed", "evacuated"):
        problem = Problem("value-unclear", f'"{state[:80]}" is no state of a cylinder on a scale.',
                          "Write sealed or evacuated, or leave it empty.")  # fmt: skip
        raise Stop("state", problem)
    return weigh(_named(reading, "cylinder"), gross, reading.text("scale"), state)


def _leave(drafter: Drafter, reading: Reading) -> list[Fact]:
    """Contents that leave with their cylinder, to a reclaimer or back to the supplier."""
    cylinder = _named(reading, "cylinder")
    returned = reading.action == "return"
    party = _named(reading, "party", "supplier") if returned else _named(reading, "party")
    net, evidence = drafter.all_of(reading, cylinder)
    facts: list[Fact] = []
    if net.mass:
        name = drafter.refrigerant(reading, holder("cylinder", cylinder))
        purpose = "return" if returned else "shipment"
        facts += leave(cylinder, party, name, net, evidence, purpose)
    fields = {"place": party} | ({"state": "returned"} if returned else {})
    return [*facts, Described("cylinder", cylinder, fields, since=reading.day)]


def _heel(drafter: Drafter, reading: Reading) -> list[Fact]:
    cylinder = _named(reading, "cylinder")
    net, evidence = drafter.all_of(reading, cylinder)
    if not net.mass:
        sentence = f"Cylinder {cylinder} holds nothing by the book on {reading.day}."
        problem = Problem("field-missing", sentence, "Give the heel that was left in it.")
        raise Stop("cylinder", problem)
    name = drafter.refrigerant(reading, holder("cylinder", cylinder))
    return write_off_heel(cylinder, name, net, evidence)


def _release(drafter: Drafter, reading: Reading) -> list[Fact]:
    cylinder = reading.text("cylinder")
    source = holder("cylinder", cylinder) if cylinder else drafter.circuit(reading)
    cause = _named(reading, "cause")
    net, evidence = drafter.weights(reading, OUT)
    name = drafter.refrigerant(reading, source)
    return release(source, name, net, evidence, cause)


def _by_others(drafter: Drafter, reading: Reading) -> list[Fact]:
    circuit = drafter.circuit(reading)
    if not circuit.startswith("circuit:"):
        _named(reading, "unit", "circuit")
    amount = reading.values.get("amount")
    if amount is None:
        raise _not_given("amount", 'The amount (or "unknown")')
    net = None if amount is UNKNOWN_AMOUNT else amount
    name = drafter.refrigerant(reading, circuit)
    party = reading.text("party")
    before = drafter.begun_at_site(reading, circuit)
    if not party:
        drafter.lacking("party", "The other contractor is not named.", "Find out who it was.")
        party = SOMEBODY
        if drafter.known.master("party", party) is None:
            before.append(_begun("party", party, {"role": "contractor"}))
    facts = added_by_others(split_holder(circuit)[1], party, name, net, bool(reading.estimated))
    return [*before, *facts]


_FACTS: dict[str, Callable[[Drafter, Reading], list[Fact]]] = {
    "charge": _charge, "recover": _recover, VISIT: _visit, "receive": _receive,
    "opening": _opening, "transfer": _transfer, "issue": _place, "move": _place,
    "weigh": _weigh, "ship": _leave, "return": _leave, "heel": _heel, "release": _release,
    "added by others": _by_others, "repair": repair_facts, INITIAL: test_facts,
    FOLLOW_UP: test_facts, **dict.fromkeys(EVENTS, event_facts),
}  # fmt: skip
