"""Where it is open whether a rule binds a circuit: what each answer leads to, what settles it.

Pure: the findings of `ledger.law.scope.scope_of` come in as plain values. A gap is no duty and no
fault; it says what a person has to find out or decide, and the command that records it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple, Protocol

UNDECIDED, UNKNOWN = "undecided", "unknown"
OPEN = (UNDECIDED, UNKNOWN)
DECISION = "decision "
"""What begins a missing decision; its name follows."""

BY_SUBSECTOR = "rlc"
"""The decision that is recorded as the subsector of the circuit."""

_NOT = "not bound ("
_BOUND = "bound ("


class ScopeFinding(Protocol):
    """Whether one pack binds a circuit, as `ledger.law.scope.Finding` says it."""

    @property
    def pack(self) -> str:
        """The name of the pack."""
        ...

    @property
    def binds(self) -> str:
        """Yes, no, undecided (a person must decide) or unknown (a fact is missing)."""
        ...

    @property
    def limb(self) -> str:
        """The row that decided, or the first that may."""
        ...

    @property
    def sentence(self) -> str:
        """What is open, in a sentence."""
        ...

    @property
    def cite(self) -> str:
        """The paragraph."""
        ...

    @property
    def evidence(self) -> str:
        """How firmly the rule stands."""
        ...

    @property
    def missing(self) -> tuple[str, ...]:
        """What would settle it."""
        ...

    @property
    def either(self) -> tuple[str, ...]:
        """What each answer would lead to: "bound (A6): ...", "not bound (A7): ..."."""
        ...


class CircuitScope(NamedTuple):
    """The findings of one circuit on one day, one for each pack, and the site it stands on."""

    circuit: str
    site: str
    on: date
    findings: tuple[ScopeFinding, ...]


class Settled(NamedTuple):
    """What settles a gap, in words, and the command that records it."""

    by: str
    command: str


class ScopeGap(NamedTuple):
    """One circuit of which it is open, on a day, whether one pack binds it.

    `open` says what is not known or not decided; `if_bound` and `if_not` are what either answer
    leads to, a sentence each; `settled_by` what decides it, each with its command. `undecided`
    is a matter for a person's judgement, otherwise a fact is missing.
    """

    circuit: str
    site: str
    pack: str
    on: date
    undecided: bool
    open: str
    if_bound: str
    if_not: str
    settled_by: tuple[Settled, ...]
    cite: str
    evidence: str

    def lines(self) -> list[str]:
        """The gap as lines of plain text."""
        out = [f"{self.circuit}, {self.cite}: {self.open}", f"  {self.if_bound}"]
        out.append(f"  {self.if_not}")
        return [*out, *(f"  Settled by {one.by}: {one.command}" for one in self.settled_by)]


def scope_gaps(
    circuits: Iterable[CircuitScope], laws: Mapping[str, str] | None = None
) -> list[ScopeGap]:
    """Every gap of every circuit, in the order of the circuits and their findings.

    `laws` names each pack in words ("40 CFR part 84 subpart C"); without it the paragraph of the
    finding stands for it.
    """
    return [
        _gap(circuit, found, (laws or {}).get(found.pack, found.cite))
        for circuit in circuits
        for found in circuit.findings
        if found.binds in OPEN
    ]


def _gap(circuit: CircuitScope, found: ScopeFinding, law: str) -> ScopeGap:
    return ScopeGap(
        circuit=circuit.circuit,
        site=circuit.site,
        pack=found.pack,
        on=circuit.on,
        undecided=found.binds == UNDECIDED,
        open=found.sentence,
        if_bound=f"If it binds, {_limbs(found.either, _BOUND)}: what {law} asks is owed.",
        if_not=f"If not, {_limbs(found.either, _NOT)}: nothing is owed under {law}.",
        settled_by=tuple(_settled(part, circuit) for part in _asked(found.missing)),
        cite=found.cite,
        evidence=found.evidence,
    )


def _limbs(either: Iterable[str], begin: str) -> str:
    """The limbs on one side with what each says: "by A6 (The refrigerant ...) or A8 (...)"."""
    parts = []
    for one in either:
        if one.startswith(begin):
            limb, _, says = one.removeprefix(begin).partition("): ")
            parts.append(f"{limb} ({says.rstrip('.')})")
    return f"by {' or '.join(parts)}"


def _asked(missing: Iterable[str]) -> list[str]:
    """What to ask for, facts first: a decision may fall away once a fact is known."""
    return sorted(dict.fromkeys(missing), key=lambda part: part.startswith(DECISION))


_FACTS = {
    "refrigerant": ("the refrigerant on the data plate or the service record",
                    "circuit", "--refrigerant R-NUMBER"),
    "full charge": ("the full charge and how it was determined",
                    "circuit", '--full-charge "POUNDS lb METHOD"'),
    "full charge band": ("a full charge in one figure and how it was determined",
                         "circuit", '--full-charge "POUNDS lb METHOD"'),
    "category": ("the equipment category", "circuit", '--category "CATEGORY"'),
    "indoors": ("whether it stands in a building", "circuit", "--indoors YES_OR_NO"),
    "state of the site": ("the state the site is in", "site", "--state STATE"),
    "state": ("the state the site is in", "site", "--state STATE"),
    "country": ("the country the site is in", "site", "--country COUNTRY"),
    "district": ("the district the site is in", "site", "--district DISTRICT"),
    "owner": ("which kind of owner it has", "party", "--owner-kind KIND"),
}  # fmt: skip
"""A missing fact: what settles it, whose field it is, and the option that records it."""


def _settled(missing: str, circuit: CircuitScope) -> Settled:
    """What settles one missing thing."""
    if missing in _FACTS:
        by, kind, option = _FACTS[missing]
        names = {"circuit": circuit.circuit, "site": circuit.site, "party": "OWNER"}
        return Settled(by, f"tarebook mend {kind} {_quoted(names[kind])} {option}")
    question = missing.removeprefix(DECISION)
    if question == BY_SUBSECTOR:
        by = "a person's decision on the subsector, with a reason"
        return Settled(by, f"tarebook mend circuit {_quoted(circuit.circuit)}"
                           ' --subsector "SUBSECTOR" --because "REASON"')  # fmt: skip
    by = "a person's decision, with its basis" if question != missing else f"{missing}, recorded"
    subject = _quoted(f"circuit:{circuit.circuit}")
    return Settled(
        by, f'tarebook decide {subject} --question {_quoted(question)} --answer YES_OR_NO'
            ' --basis "REASON"'
    )  # fmt: skip


def _quoted(name: str) -> str:
    """A name as it is typed on the command line."""
    plain = all(char.isalnum() or char in "-_./:" for char in name)
    return name if plain and name else '"' + name.replace('"', '\\"') + '"'
