"""A resolved draft settled against the book: derived, checked, and with its consequences.

What can have happened although it should not have is recorded with a reason: the line keeps
what it was recorded over, a shortage posts a named difference first, a mixed cylinder is
quarantined.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from ledger.facts.case_checks import event_problems, repair_problems, test_problems
from ledger.facts.checks import (
    Side,
    attempt_problems,
    check_weight_problems,
    circuit_of,
    cylinder_line,
    cylinders_of,
    day_problems,
    join_problems,
    movement_problems,
    owner_of,
    sides_of,
    weighing_problems,
)
from ledger.facts.contents import MIXED
from ledger.facts.counts import closed_problems, counted_problems, explained_problems
from ledger.facts.descriptions import description_problems
from ledger.facts.entry import Draft
from ledger.facts.facts import (
    Attempt,
    BroughtForward,
    CheckWeight,
    Closed,
    Counted,
    Described,
    Evidence,
    Explained,
    Fact,
    Joined,
    Movement,
    Repair,
    ServiceEvent,
    Test,
    Weighing,
    holder,
)
from ledger.facts.known import Known
from ledger.facts.limits import LARGEST_TEXT
from ledger.facts.mass import Mass, quantity
from ledger.facts.masters import UNKNOWN
from ledger.facts.problems import Problem, in_order

Undo = Callable[[], None]
_MARKED = (Movement, Attempt, Described, Repair, Test, ServiceEvent)
"""Facts that keep what they were recorded over."""


@dataclass(slots=True)
class Settled:
    """The facts to record, the problems that forbid it, and those recorded over."""

    facts: list[Fact] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    flags: list[Problem] = field(default_factory=list)


class Ledger(Known, Protocol):
    """What is known, able to take in facts that are not yet written."""

    def take(self, draft: Draft, entry: int, line: int, fact: Fact) -> list[Undo]:
        """Let a fact count; the returned steps take it back."""


def settle(known: Ledger, draft: Draft, entry: int, because: str) -> tuple[Settled, list[Undo]]:
    """Settle every fact of a draft in turn, each seeing those before it.

    `because` is the reason to record what can really have happened although a check says
    no; empty where there is none. The undo steps restore `known` where the draft is not
    recorded in the end.
    """
    settled, undo = Settled(), list[Undo]()
    settled.problems += _texts(draft, because)
    for fact in draft.facts:
        ready, found = _settle_one(known, draft, len(settled.facts), fact)
        if not found:
            undo += known.take(draft, entry, len(settled.facts), ready)
            settled.facts.append(ready)
            continue
        marked = because and isinstance(ready, _MARKED)
        flags = [problem for problem in found if marked and problem.kind.because]
        settled.problems += [problem for problem in found if problem not in flags]
        settled.flags += flags
        for part in _consequences(known, draft, len(settled.facts), ready, flags, because):
            undo += known.take(draft, entry, len(settled.facts), part)
            settled.facts.append(part)
    settled.problems = in_order(settled.problems)
    settled.flags = in_order(settled.flags)
    return settled, undo


def _texts(draft: Draft, because: str) -> Iterator[Problem]:
    texts = [("ticket", draft.ticket), ("note", draft.note), ("person", draft.person),
             ("reason", because)]  # fmt: skip
    for fact in draft.facts:
        if not isinstance(fact, (Movement, Weighing, Described)):
            texts += [(f"{name} of the {fact.TYPE}", value) for name in fact.__slots__
                      if isinstance(value := getattr(fact, name), str)]  # fmt: skip
        elif isinstance(fact, Described):
            texts.append(("reason", fact.why))
    for what, text in texts:
        if text and (len(text) > LARGEST_TEXT or not text.replace("\n", " ").isprintable()):
            yield Problem(
                "text-unfit",
                f"The {what} is longer than {LARGEST_TEXT:,} characters or not printable.",
                "Shorten or retype it.",
            )


def _settle_one(known: Ledger, draft: Draft, line: int, fact: Fact) -> tuple[Fact, list[Problem]]:
    if isinstance(fact, Movement):
        sides = sides_of(known, draft, line, fact)
        fact = _derived(known, draft, fact, sides)
        return fact, movement_problems(known, draft, fact, sides)
    if isinstance(fact, Attempt):
        if not fact.refrigerant:
            circuit = known.master("circuit", fact.circuit)
            held = circuit.at("refrigerant", draft.occurred_on) if circuit else None
            fact = replace(fact, refrigerant=held if isinstance(held, str) else "")
        return fact, attempt_problems(known, draft, fact)
    if isinstance(fact, (Repair, Test, ServiceEvent)):
        return fact, list(_service(known, draft, fact))
    found = list(day_problems(known, draft, []))
    if isinstance(fact, Described):
        found += description_problems(known, fact)
    elif isinstance(fact, Weighing):
        found += weighing_problems(known, fact)
    elif isinstance(fact, Counted):
        found += counted_problems(known, draft, fact)
    elif isinstance(fact, Explained):
        found += explained_problems(known, draft, fact)
    elif isinstance(fact, Closed):
        found += closed_problems(known, draft, fact)
    elif isinstance(fact, CheckWeight):
        found += check_weight_problems(fact)
    elif isinstance(fact, Joined):
        found += join_problems(known, fact)
    elif isinstance(fact, BroughtForward) and UNKNOWN != fact.last_addition > draft.occurred_on:
        found.append(
            Problem(
                "date-future",
                f"The last addition, {fact.last_addition}, is after the day of the entry,"
                f" {draft.occurred_on}.",
                'Give the day of the older record, or "unknown".',
            )
        )
    return fact, found


def _service(
    known: Ledger, draft: Draft, fact: Repair | Test | ServiceEvent
) -> Iterator[Problem]:  # fmt: skip
    """Every problem of a repair, a test or another event."""
    circuit = known.master("circuit", fact.circuit) if fact.circuit else None
    yield from day_problems(known, draft, [circuit])
    if isinstance(fact, Repair):
        yield from repair_problems(known, draft, fact)
    elif isinstance(fact, Test):
        yield from test_problems(known, draft, fact)
    else:
        yield from event_problems(known, draft, fact)


def _derived(known: Ledger, draft: Draft, move: Movement, sides: list[Side]) -> Movement:
    """Stock kind and owner of what moves: by the cylinder it leaves, or the circuit's owner."""
    if move.source.startswith("cylinder:"):
        holding = sides[0].before if sides and sides[0].sign < 0 else None
        if holding is not None and holding.total > 0:
            return move.held_as(holding.stock or "unknown", holding.owner)
        return move.held_as(move.stock or "unknown", move.owner)
    if move.purpose == "recovery":
        owner = owner_of(known, circuit_of(move), draft.occurred_on)
        return move.held_as("recovered", move.owner or owner)
    return move.held_as(move.stock or "unknown", move.owner)


def _consequences(
    known: Ledger, draft: Draft, line: int, fact: Fact, flags: list[Problem], because: str
) -> Iterator[Fact]:
    """The fact as it is recorded, with what its flags lead to before and after it."""
    if not flags:
        yield fact
        return
    codes = tuple(dict.fromkeys(problem.code for problem in flags))
    reasons: dict[str, Any] = {"because": because, "although": codes}
    if isinstance(fact, Movement):
        if "cylinder-short" in codes:
            yield _shortage(known, draft, line, fact, because)
        yield replace(fact, **reasons)
        if "second-refrigerant" in codes:
            yield _quarantine(draft, fact)
    elif isinstance(fact, (Attempt, Repair, Test, ServiceEvent)):
        yield replace(fact, **reasons)
    elif isinstance(fact, Described):
        yield replace(fact, although=codes, why=fact.why or because)
    else:
        yield fact


def _shortage(known: Ledger, draft: Draft, line: int, move: Movement, because: str) -> Movement:
    name = next(name for name, sign in cylinders_of(move) if sign < 0)
    seen = cylinder_line(draft, 1 << 62, line, move, -1)
    short = quantity(Mass(-known.contents(name).lowest_with(seen)))
    return Movement(
        holder("difference", "book below what left the cylinder"), holder("cylinder", name),
        move.refrigerant, short, "difference", stock=move.stock, owner=move.owner,
        cause="unexplained", evidence=Evidence("stated"), because=because,
        although=("cylinder-short",),
    )  # fmt: skip


def _quarantine(draft: Draft, move: Movement) -> Described:
    name = next(name for name, sign in cylinders_of(move) if sign > 0)
    return Described(
        "cylinder", name,
        {"state": "quarantined", "state because": f"{MIXED}: {move.refrigerant} put into it"},
        since=draft.occurred_on, why="a second refrigerant was put into the cylinder",
        although=("second-refrigerant",),
    )  # fmt: skip
