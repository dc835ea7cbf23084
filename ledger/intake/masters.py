"""Turns rows about sites, customers, units, people and cylinders into the drafts that record them.

What the book says already is not said again; a row that contradicts the book is rejected,
because a change is made by a person, with its day and reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from ledger.facts.entry import Draft, canonical
from ledger.facts.facts import BroughtForward, Described, Evidence, Fact
from ledger.facts.limits import LARGEST_TEXT
from ledger.facts.mass import Quantity
from ledger.facts.masters import FIELDS, Field, Master, folded
from ledger.facts.problems import Problem
from ledger.facts.verbs import opening
from ledger.intake.directory import Directory
from ledger.intake.drafts import Drafted, Stop
from ledger.intake.fields import read_day, read_field, read_mass
from ledger.intake.headers import EXTRA_FIELDS
from ledger.intake.plan import Plan
from ledger.intake.reading import EMPTY, NOTHING_SAID, Reading, keep_extras
from ledger.intake.sheets import Row, Unread, cell_text

_BROUGHT = ("last addition", "rate", "open case")
_DECIDED = ("why", "decided by")
"""Who decided what a row says, and why: of the entry, not of the thing."""
_OF_CIRCUIT = tuple(name for name in EXTRA_FIELDS["unit"] if name in FIELDS["circuit"])


class MasterFields:
    """Reads the rows of a sheet of one kind of masters."""

    def __init__(self, plan: Plan, aliases: dict[str, str]) -> None:
        self.plan = plan
        self.kind = plan.map.records
        self.aliases = aliases
        self.order = plan.map.date_order

    def read(self, row: Row, said: Mapping[str, str] = NOTHING_SAID) -> Reading:
        """The values of a row in their canonical form, by field; the book is not asked.

        `said` is what was answered about fields that the sheet has no column for.
        """
        reading = Reading(row, self.plan, self.kind)
        unit = self.plan.map.unit
        for name, text in (dict(self.plan.constants) | dict(said)).items():
            self._value(reading, name, text, unit, name)
        for column in self.plan.columns:
            if column.index < len(row.cells):
                cell = row.cells[column.index]
                self._value(reading, column.field, cell, column.unit, column.header)
        keep_extras(reading)
        if not reading.values.get("name") and not reading.problems:
            problem = Problem(
                "field-missing", f"The row does not name the {self.kind}.", "Fill in the name."
            )
            reading.problems.append(("name", problem))
        if not reading.problems:
            content = canonical([self.kind, _folded(reading.values)])
            reading.content = sha256(content.encode("utf-8", "surrogatepass")).hexdigest()
        return reading

    def forget_names(self) -> None:
        """Names are read anew for each row."""

    def unit_of(self, row: Row) -> str:
        """The unit whose circuit a row of circuits is about, its name folded."""
        at = self.plan.places
        unit, name = (
            cell_text(row.cells[at[one]]) if at.get(one, len(row.cells)) < len(row.cells) else ""
            for one in ("unit", "name")
        )
        return folded(unit or name.partition("/")[0])

    def _value(self, reading: Reading, name: str, cell: object, unit: str, header: str) -> None:
        if isinstance(cell, Unread):
            problem = Problem("value-unclear", f'The cell under "{header}" {cell.why}.',
                              "Type the value.")  # fmt: skip
            reading.problems.append((name, problem))
            return
        text = cell_text(cell)
        if text in EMPTY:
            return
        found = self._read(name, text, cell, unit)
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        elif name == "note" and "note" in reading.values:
            reading.values[name] = f"{reading.values[name]}; {found}"
        else:
            reading.values[name] = found

    def _read(self, name: str, text: str, cell: object, unit: str) -> Any | Problem:
        if len(text) > LARGEST_TEXT or not text.isprintable():
            return Problem("text-unfit", f"The {name} is over-long or not printable.", "Retype it.")
        if name in ("since", "last addition"):
            if name == "last addition" and text.casefold() == "unknown":
                return "unknown"
            return read_day(cell, self.order, self.plan.map.year or None)
        if name == "contents":
            return read_mass(text, unit)
        shape, kind = self._shape(name)
        if shape is None:
            return text
        if shape.shape == "day":
            return read_day(cell, self.order, self.plan.map.year or None)
        return read_field(kind, name, text, self.aliases, unit, self.order)

    def _shape(self, name: str) -> tuple[Field | None, str]:
        for kind in (self.kind, "circuit" if name in EXTRA_FIELDS.get(self.kind, ()) else ""):
            if kind and name in FIELDS[kind]:
                return FIELDS[kind][name], kind
        return None, ""


def _folded(values: dict[str, Any]) -> dict[str, Any]:
    """The values as they make up the content: names in one case, weights as counts, no note."""
    said: dict[str, Any] = {}
    for name, value in values.items():
        if isinstance(value, Quantity):
            said[name] = int(value.mass)
        elif name != "note":
            said[name] = folded(value) if isinstance(value, str) else value
    return said


@dataclass(slots=True)
class _Thing:
    """One thing a row describes: its kind, name and fields."""

    kind: str
    name: str
    fields: dict[str, Any] = field(default_factory=dict)


def draft_master(
    directory: Directory, reading: Reading, key: str, today: str, lettered: frozenset[str]
) -> Drafted:
    """The draft of one row of masters, with the things in it that the book does not have yet.

    `today` is the day of an entry whose row names none; `lettered` the units (names folded)
    whose circuits stand on rows of their own in the same file. Where the book says all of it
    already, `already` is the entry that did.
    """
    values = dict(reading.values)
    name, since = values.pop("name"), values.pop("since", "")
    why, person = (values.pop(one, "") for one in _DECIDED)
    things = list(_things(reading.action, name, values))
    if reading.action == "unit" and not _has_own_circuit(directory, things, lettered):
        things.pop()
    facts: list[Fact] = []
    problems: list[tuple[str, Problem]] = []
    said: list[int] = []
    for thing in things:
        master = directory.known.master(thing.kind, thing.name)
        if master is None or master.provisional:
            facts.append(Described(thing.kind, thing.name, thing.fields, since, "yes", why=why))
            continue
        said.append(master.entries[0])
        missing, contrary = _against(directory, master, thing.fields, since)
        problems += contrary
        if missing:
            facts.append(Described(thing.kind, master.name, missing, since, why=why))
    if problems:
        return Drafted(problems=problems)
    if not facts and said:
        return Drafted(already=said[0])
    try:
        facts += _beside(things, values)
    except Stop as stop:
        return Drafted(problems=[(stop.name, stop.problem)])
    if person and directory.known.master("person", person) is None:
        found = directory.whose(person)
        if isinstance(found, Problem):
            return Drafted(problems=[("decided by", found)])
        person = found
    day = min(since, today) if since else today
    draft = Draft(
        key, f"add {reading.action}", day, tuple(facts), person, note=reading.note,
        source=f"{reading.plan.source}!{reading.row.number}",
    )  # fmt: skip
    return Drafted(draft)


def _things(kind: str, name: str, values: dict[str, Any]) -> Iterator[_Thing]:
    """What a row describes: a unit comes with its circuit, which most shops keep on one row."""
    if kind == "circuit":
        own = {k: v for k, v in values.items() if k not in (*_BROUGHT, *_DECIDED)}
        unit = own.get("unit", "")
        full = name if not unit or name.startswith(f"{unit}/") or name == unit else f"{unit}/{name}"
        yield _Thing(kind, full, {"unit": full.partition("/")[0], **own})
        return
    if kind != "unit":
        yield _Thing(kind, name, {k: v for k, v in values.items() if k != "contents"})
        return
    letter = values.get("circuit", "")
    inside = {k: v for k, v in values.items() if k in _OF_CIRCUIT}
    unit = name
    if not letter and "/" in name:
        unit, _, letter = name.partition("/")
    own = {k: v for k, v in values.items() if k in FIELDS["unit"]}
    yield _Thing("unit", unit, own)
    circuit = letter if letter.startswith(f"{unit}/") or letter == unit else f"{unit}/{letter}"
    yield _Thing("circuit", circuit if letter else unit, {"unit": unit, **inside})


def _has_own_circuit(directory: Directory, things: list[_Thing], lettered: frozenset[str]) -> bool:
    """Whether the last thing, a circuit, is to be recorded with its unit.

    A row that says nothing of a circuit gives its unit one, save where the circuits of that
    unit are named elsewhere.
    """
    unit, circuit = things
    if len(circuit.fields) > 1 or circuit.name != unit.name:
        return True
    return folded(unit.name) not in lettered and not directory.known.circuits_of(unit.name)


def _against(
    directory: Directory, master: Master, fields: dict[str, Any], since: str
) -> tuple[dict[str, Any], list[tuple[str, Problem]]]:
    """The fields the book lacks for a thing it has, and those in which row and book differ.

    What changes over time may differ from the day the row gives on: that is the change.
    """
    missing: dict[str, Any] = {}
    contrary: list[tuple[str, Problem]] = []
    for name, value in fields.items():
        dated = bool(since) and FIELDS[master.kind][name].dated
        held = master.at(name, since) if dated else master.now(name)
        if held in (None, "", "unknown"):
            missing[name] = value
        elif _same(directory, master.kind, name, held, value):
            continue
        elif dated:
            missing[name] = value
        else:
            problem = Problem(
                "id-taken",
                f"{master.kind.capitalize()} {master.name} is in the book (entry"
                f" {master.entries[0]}) with another {name}.",
                f"If the row is right, record the change: tarebook change {master.kind} or"
                f" tarebook mend {master.kind}.",
            )
            contrary.append((name, problem))
    return missing, contrary


def _same(directory: Directory, kind: str, name: str, held: Any, value: Any) -> bool:
    if held == value or name == "note":
        return True
    shape = FIELDS[kind][name]
    if isinstance(held, list) and isinstance(value, list):
        return bool(held[0] == value[0])
    if isinstance(held, str) and isinstance(value, str):
        if folded(held) == folded(value):
            return True
        if shape.shape == "name" and shape.refers:
            ours, theirs = (directory.known.master(shape.refers, one) for one in (held, value))
            return ours is not None and theirs is not None and ours.name == theirs.name
    return False


def _beside(things: list[_Thing], values: dict[str, Any]) -> Iterator[Fact]:
    """What a row says beside descriptions: contents brought forward, the last addition."""
    if "contents" in values and values["contents"].mass:
        if "refrigerant" not in values:
            sentence = "The refrigerant in the cylinder is not given."
            raise Stop("refrigerant", Problem("field-missing", sentence, "Fill it in."))
        stock = "recovered" if values.get("kind") == "recovery" else "unknown"
        yield from opening(
            things[0].name, values["refrigerant"], values["contents"], Evidence("stated"), stock, ""
        )
    if any(name in values for name in _BROUGHT):
        yield BroughtForward(
            things[-1].name, values.get("last addition", "unknown"), values.get("rate", ""),
            values.get("open case", ""),
        )  # fmt: skip


def names_of(reading: Reading) -> Iterator[tuple[str, str]]:
    """The kinds and names that a row of masters speaks of."""
    values = {name: value for name, value in reading.values.items() if name != "name"}
    for thing in _things(reading.action, reading.text("name"), values):
        yield thing.kind, thing.name
        for name, value in thing.fields.items():
            shape = FIELDS[thing.kind].get(name)
            if shape is not None and shape.shape == "name" and isinstance(value, str):
                yield shape.refers, value
