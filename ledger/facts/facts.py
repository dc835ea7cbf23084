"""The facts an entry can carry, each a small frozen record with one canonical form.

A fact says what happened or what is so; nothing computed is a fact. The canonical form
(`body`) holds strings, whole numbers, lists and objects only, and leaves out what is empty,
so that a fact written today and one read in ten years have the same digest.
"""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields, replace
from typing import Any, ClassVar, TypeVar, Union

from ledger.facts.mass import Quantity
from ledger.facts.papers import (
    DepositCredit,
    DepositLine,
    EmptyStatement,
    Handover,
    ReclaimerPaper,
    Shipped,
)
from ledger.facts.service_facts import BroughtForward as BroughtForward
from ledger.facts.service_facts import Repair as Repair
from ledger.facts.service_facts import SameLeak as SameLeak
from ledger.facts.service_facts import ServiceEvent as ServiceEvent
from ledger.facts.service_facts import Test as Test
from ledger.facts.visit import Visit

Body = dict[str, Any]

AIR = "air:"
"""The holder that takes what was released."""


def holder(kind: str, name: str = "") -> str:
    """The text naming a holder: `cylinder:410-17`, `circuit:RTU-3/B`, `party:Acme`, `air:`.

    Kinds: cylinder, circuit, party, air, difference (named), brought-forward.
    """
    return f"{kind}:{name}"


def split_holder(text: str) -> tuple[str, str]:
    """The kind and the name of a holder."""
    kind, _, name = text.partition(":")
    return kind, name


@dataclass(frozen=True, slots=True)
class Evidence:
    """How the pounds of a movement are known.

    `how`: gross (weighed before and after), stages (a list of readings), net (only the net
    was read; weaker), nominal (label on a sealed cylinder), stated (invoice or another's
    word). `before`, `after` and `readings` are gross weights; `scale` the scale's name.
    """

    how: str
    scale: str = ""
    before: Quantity | None = None
    after: Quantity | None = None
    readings: tuple[Quantity, ...] = ()


@dataclass(frozen=True, slots=True)
class Movement:
    """Pounds from one holder to another; `mass` is more than nothing.

    `stock` is virgin, reclaimed, recovered or unknown; `owner` the party whose recovered
    refrigerant it is, `shared` where several put it together. `purpose` is the trade's
    reason (receipt, addition, recovery, transfer, shipment, return, heel, release,
    difference, opening). `claim` says why an addition needs no leak-rate calculation, or
    that a removal is seasonal: new charge, post-retrofit, seasonal; mothballing where a circuit
    was emptied for it, or is given back what was taken. `amount` is empty or `estimated`.
    `cause` names a loss (workflow 3.10). `although` lists the refusals that
    were recorded over, `because` the reason given.
    """

    TYPE: ClassVar[str] = "movement"
    source: str
    target: str
    refrigerant: str
    mass: Quantity
    purpose: str
    stock: str = ""
    owner: str = ""
    claim: str = ""
    amount: str = ""
    cause: str = ""
    evidence: Evidence | None = None
    because: str = ""
    although: tuple[str, ...] = ()

    def held_as(self, stock: str, owner: str) -> Movement:
        """The movement with its stock kind and owner, as the holder it leaves gives them."""
        if stock == self.stock and owner == self.owner:
            return self
        # Spelled out, because every recorded movement passes here.
        return Movement(
            self.source, self.target, self.refrigerant, self.mass, self.purpose, stock, owner,
            self.claim, self.amount, self.cause, self.evidence, self.because, self.although,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Attempt:
    """A recovery that was tried and brought nothing: a record, and not the same as none."""

    TYPE: ClassVar[str] = "attempt"
    circuit: str
    refrigerant: str = ""
    cylinder: str = ""
    because: str = ""
    although: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class UnknownAddition:
    """An addition by another contractor whose amount nobody knows."""

    TYPE: ClassVar[str] = "unknown addition"
    circuit: str
    refrigerant: str = ""
    party: str = ""


@dataclass(frozen=True, slots=True)
class Weighing:
    """A cylinder put on a scale: gross weight as observed, never an overwrite.

    `state` is empty, or what the weigher saw: sealed, evacuated (empty and under vacuum).
    """

    TYPE: ClassVar[str] = "weighing"
    cylinder: str
    gross: Quantity
    scale: str = ""
    state: str = ""


@dataclass(frozen=True, slots=True)
class CheckWeight:
    """A scale held against a weight of known mass: what it read. No weighing is changed by it."""

    TYPE: ClassVar[str] = "check weight"
    scale: str
    weight: Quantity
    reading: Quantity


@dataclass(frozen=True, slots=True)
class Described:
    """What is so about one site, party, unit, circuit, person, cylinder, place, scale or machine.

    The first one makes it; later ones add, change or mend. `since` is the day the values hold
    from; empty means from the beginning (a mend of what was mistyped, or a first description).
    `fields` maps a field of `masters.FIELDS` to its canonical value; the value `unknown`
    is a value. `new` is `yes` on a first description. `provisional` is `yes` where somebody
    logged a job before the office entered the thing.
    """

    TYPE: ClassVar[str] = "described"
    kind: str
    name: str
    fields: Body
    since: str = ""
    new: str = ""
    provisional: str = ""
    why: str = ""
    although: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Joined:
    """Two records of one unit, circuit, cylinder, party, person or site: `name` is `kept`."""

    TYPE: ClassVar[str] = "joined"
    kind: str
    name: str
    kept: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Receipt:
    """The paper behind received refrigerant: invoice, price, deposit, batch.

    Money is in cents; `price_cents` is for one pound. `virgin_percent` is the share of virgin
    refrigerant in what was reclaimed, percent by weight as on its label (40 CFR 84.112).
    """

    TYPE: ClassVar[str] = "receipt"
    cylinder: str
    supplier: str
    invoice: str = ""
    price_cents: int = 0
    deposit_cents: int = 0
    batch: str = ""
    reclaimer: str = ""
    virgin_percent: str = ""


@dataclass(frozen=True, slots=True)
class Decision:
    """A person's recorded decision about a subject (`site:...`, `circuit:...`) and its basis."""

    TYPE: ClassVar[str] = "decision"
    subject: str
    question: str
    answer: str
    basis: str


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting that changes answers or reading: alias, column map, tolerance, interpretation."""

    TYPE: ClassVar[str] = "setting"
    setting: str
    key: str
    value: Any
    why: str = ""


@dataclass(frozen=True, slots=True)
class Attachment:
    """A scan or photo stored beside the book, named by the SHA-256 of its bytes."""

    TYPE: ClassVar[str] = "attachment"
    sha256: str
    file: str
    size: int
    about: int = 0


@dataclass(frozen=True, slots=True)
class Counted:
    """One cylinder at the count of one place: what the person who counted found.

    `cut_off` is the moment the count is for ("2026-01-30 17:00", or a day: its end); the entry's
    own day and time are those of the look or the weighing. `found` is weighed (with `gross`),
    sealed (unopened; mostly not weighed) or not there.
    """

    TYPE: ClassVar[str] = "counted"
    cylinder: str
    place: str
    cut_off: str
    found: str
    gross: Quantity | None = None
    scale: str = ""


@dataclass(frozen=True, slots=True)
class Explained:
    """Pounds of a difference that a person gives a cause (`counts.CAUSES`).

    `mass` has the sign of the difference, counted minus book: below nothing where less was
    counted. `cylinder` and `place` say where, empty for the refrigerant as a whole. `document`
    is a report or document number, which a theft needs.
    """

    TYPE: ClassVar[str] = "explained"
    cut_off: str
    refrigerant: str
    mass: Quantity
    cause: str
    cylinder: str = ""
    place: str = ""
    document: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Closed:
    """A period signed and locked at a cut-off by the person of the entry.

    `since` is the moment the period before ended, empty from the beginning; `place` is empty for
    the whole shop. `owner_signed` is the owner who signed what is over the limit, `because` the
    reason for what stays open; `statement` the SHA-256 of the figures as they were signed.
    """

    TYPE: ClassVar[str] = "closed"
    period: str
    cut_off: str
    since: str = ""
    place: str = ""
    owner_signed: str = ""
    because: str = ""
    statement: str = ""


@dataclass(frozen=True, slots=True)
class Reversal:
    """Named lines of an earlier entry that are taken back; the reason is mandatory."""

    TYPE: ClassVar[str] = "reversal"
    entry: int
    lines: tuple[int, ...]
    reason: str


Fact = Union[
    Movement, Attempt, UnknownAddition, Weighing, Described, Joined, SameLeak, Repair, Test,
    ServiceEvent, Receipt, BroughtForward, Decision, Setting, Attachment, Reversal, Handover,
    Shipped, ReclaimerPaper, EmptyStatement, DepositLine, DepositCredit,
    Counted, Explained, Closed, CheckWeight, Visit,
]  # fmt: skip

TYPES: dict[str, type[Fact]] = {
    cls.TYPE: cls
    for cls in (
        Movement, Attempt, UnknownAddition, Weighing, Described, Joined, SameLeak, Repair, Test,
        ServiceEvent, Receipt, BroughtForward, Decision, Setting, Attachment, Reversal, Handover,
        Shipped, ReclaimerPaper, EmptyStatement, DepositLine, DepositCredit,
        Counted, Explained, Closed, CheckWeight, Visit,
    )
}  # fmt: skip

_FIELDS: dict[type[Any], tuple[tuple[str, Any], ...]] = {
    cls: tuple((f.name, None if f.default is MISSING else f.default) for f in fields(cls))
    for cls in (*TYPES.values(), Evidence)
}


def _value(value: Any) -> Any:
    if isinstance(value, Quantity):
        return value.body()
    if isinstance(value, Evidence):
        return _members(value)
    if isinstance(value, tuple):
        return [_value(part) for part in value]
    return value


def _members(record: Any) -> Body:
    body: Body = {}
    for name, default in _FIELDS[type(record)]:
        value = getattr(record, name)
        if value != default:
            body[name] = value if type(value) is str else _value(value)
    return body


Record = TypeVar("Record")


def changed(record: Record, **changes: Any) -> Record:
    """A frozen record with some members changed; the record itself where nothing changes."""
    for name, value in changes.items():
        if getattr(record, name) != value:
            break
    else:
        return record
    return replace(record, **changes)  # type: ignore[type-var]


def fact_body(fact: Fact) -> Body:
    """The canonical form of a fact: its type and every member that is not empty."""
    body = _members(fact)
    body["type"] = fact.TYPE
    return body


_ALTHOUGH = ("although",)
_LISTS: dict[Any, tuple[str, ...]] = {
    Reversal: ("lines",),
    SameLeak: ("entries",),
    Repair: ("places", "although"),
    Test: ("places", "although"),
    ServiceEvent: ("places", "contents", "although"),
    Visit: ("also", "readings", "waits", "work"),
}
"""Members that are lists in the canonical form; any other type can have `although` alone."""


def fact_of(body: Body) -> Fact:
    """Read a fact back from its canonical form; KeyError or TypeError on an unknown shape."""
    members = dict(body)
    cls: Any = TYPES[members.pop("type")]
    for name in _LISTS.get(cls, _ALTHOUGH):
        if name in members:
            parts = members[name]
            members[name] = tuple(tuple(p) if type(p) is list else p for p in parts)
    if cls is Movement:
        members["mass"] = Quantity.from_body(members["mass"])
        if "evidence" in members:
            members["evidence"] = _evidence_of(members["evidence"])
    elif cls is Explained:
        members["mass"] = Quantity.from_body(members["mass"])
    elif cls in (Weighing, ReclaimerPaper, Counted, CheckWeight, Visit):
        for name in ("gross", "tare", "net", "weight", "reading", "low", "high"):
            if name in members:
                members[name] = Quantity.from_body(members[name])
    fact: Fact = cls(**members)
    return fact


def _evidence_of(body: Body) -> Evidence:
    members = dict(body)
    for name in ("before", "after"):
        if name in members:
            members[name] = Quantity.from_body(members[name])
    if "readings" in members:
        members["readings"] = tuple(Quantity.from_body(part) for part in members["readings"])
    return Evidence(**members)
