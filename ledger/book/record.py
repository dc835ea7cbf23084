"""Recording a draft: names resolved, retried safely, checked, and appended as one entry."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from ledger.book.journal import Writer, utc_text
from ledger.book.known import BookKnown
from ledger.book.reversals import reversal_problems, same_leak_problems
from ledger.facts.entry import Draft, Entry, with_facts
from ledger.facts.facts import (
    Described,
    Fact,
    Joined,
    Reversal,
    SameLeak,
    fact_body,
)
from ledger.facts.problems import Problem, Refused
from ledger.facts.resolve import Resolved, Resolver
from ledger.facts.settle import settle

_ASKING = frozenset((Reversal, Joined, SameLeak)).__contains__
"""Whether facts of a type are held against entries of the journal, which are written first."""
_DERIVED = frozenset(("stock", "owner", "because", "although", "provisional", "why"))
"""Members that the book may add to a fact; they count in a retry only where they were given."""


@dataclass(slots=True)
class Outcome:
    """What became of a draft: the entry, or the entry it repeats, or the problems.

    `flags` are the refusals it was recorded over; `begun` the things begun provisionally.
    `number` is that of its entry, 0 where none was made; a held draft has it before its entry.
    """

    draft: Draft
    entry: Entry | None = None
    number: int = 0
    already: int = 0
    problems: list[Problem] = field(default_factory=list)
    flags: list[Problem] = field(default_factory=list)
    begun: list[Described] = field(default_factory=list)


@dataclass(slots=True)
class Recorder:
    """Records drafts one after another inside one unit of work.

    `moment` is now (aware). `because` is the reason to record what a check refuses but can
    have happened; `provisional` begins unknown units, cylinders and people. With `hold`, what
    passed its checks counts at once and is appended by `append_held`: many rows in one go are
    appended faster than one by one.
    """

    writer: Writer
    known: BookKnown
    moment: datetime
    because: str = ""
    provisional: bool = False
    hold: bool = False
    begin: Collection[str] = ()
    recorded_at: str = field(init=False, default="")
    held: list[Outcome] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        self.recorded_at = utc_text(self.moment)

    def resolver(self) -> Resolver:
        """What gives one draft the names of the book; `record` does so where it was not done."""
        return Resolver(self.known, self.provisional, begin=self.begin)

    def record(
        self, draft: Draft, check_key: bool = True, resolved: Resolved | None = None
    ) -> Outcome:
        """Record one draft; a refused one writes nothing and leaves what is known as it was."""
        resolved = resolved or self.resolver().draft(draft)
        ready = resolved.draft
        if check_key:
            self.append_held()
            if earlier := self.writer.entry_by_key(draft.key):
                return _repeat(ready, earlier)
        outcome = Outcome(ready, begun=resolved.provisional)
        if resolved.problems:
            outcome.problems = list(resolved.problems)
            return outcome
        asking = any(map(_ASKING, map(type, ready.facts)))
        if asking:
            self.append_held()
            self.writer.flush()
        begun = tuple(resolved.provisional)
        if begun:
            ready = replace(ready, facts=begun + ready.facts)
        number = self.writer.head()[0] + len(self.held) + 1
        settled, undo = settle(self.known, ready, number, self.because)
        if asking:
            settled.problems += self._reversals(settled.facts)
        outcome.problems, outcome.flags = settled.problems, settled.flags
        if not outcome.problems:
            outcome.draft, outcome.number = with_facts(ready, settled.facts), number
            if self.hold and not asking:
                self.held.append(outcome)
                return outcome
            self._append(outcome)
        if outcome.problems:
            for step in reversed(undo):
                step()
        elif asking and any(isinstance(fact, Reversal) for fact in settled.facts):
            self.writer.flush()
            self.known.forget()
        return outcome

    def must_record(self, draft: Draft) -> Outcome:
        """Record one draft, or raise Refused with every problem."""
        outcome = self.record(draft)
        if outcome.problems:
            raise Refused(outcome.problems)
        return outcome

    def append_held(self) -> None:
        """Append what is held, in order; refused where the journal cannot keep one of them.

        After a refusal the unit of work has to be given up, for what followed rested on it.
        """
        held, self.held = self.held, []
        self.writer.append_all((outcome.draft for outcome in held), self.recorded_at)

    def _append(self, outcome: Outcome) -> None:
        """Append the entry; what the journal itself cannot keep is a problem like any other."""
        self.append_held()
        try:
            outcome.entry = self.writer.append(outcome.draft, self.recorded_at)
        except Refused as refused:
            outcome.problems, outcome.number = refused.problems, 0

    def _reversals(self, facts: list[Fact]) -> list[Problem]:
        found: list[Problem] = []
        for fact in facts:
            if isinstance(fact, Reversal):
                found += reversal_problems(self.writer, self.known, fact)
            elif isinstance(fact, SameLeak):
                found += same_leak_problems(self.writer, self.known, fact)
        return found


def _repeat(draft: Draft, earlier: Entry) -> Outcome:
    """The answer to a key that is in the book: the same content, or a refusal naming a field."""
    difference = first_difference(draft, earlier)
    if not difference:
        return Outcome(draft, already=earlier.number)
    return Outcome(
        draft,
        problems=[
            Problem(
                "key-reused",
                f'Key "{draft.key}" stands for entry {earlier.number}, which differs in'
                f" {difference}.",
                "Use a new key, or reverse the entry first.",
            )
        ],
    )


def first_difference(draft: Draft, earlier: Entry) -> str:
    """The first field in which a draft and a recorded entry differ; empty where they agree.

    What the book derived while recording (stock, owner, differences, provisional records)
    and where a row came from do not count.
    """
    body = earlier.content()
    pairs: list[tuple[str, Any, Any]] = [
        ("verb", draft.verb, body["verb"]),
        ("date", draft.occurred_on, earlier.occurred_on),
        ("time", draft.occurred_time, earlier.occurred_time),
        ("person", draft.person, earlier.person),
        ("supervisor", draft.supervisor, body.get("supervisor", "")),
        ("ticket", draft.ticket, body.get("ticket", "")),
        ("note", draft.note, body.get("note", "")),
    ]
    asked = [fact_body(fact) for fact in draft.facts]
    stands = [one for one in body["facts"] if not _added_by_book(one, asked)]
    pairs.append(("the number of facts", len(asked), len(stands)))
    for one, other in zip(asked, stands, strict=False):
        derived = _DERIVED | {"refrigerant"} if one["type"] == "attempt" else _DERIVED
        for name in sorted(one.keys() | (other.keys() - derived)):
            pairs.append((name, one.get(name), other.get(name)))
    return next((name for name, ours, theirs in pairs if ours != theirs), "")


def _added_by_book(body: dict[str, Any], asked: list[dict[str, Any]]) -> bool:
    if body in asked:
        return False
    if body["type"] == "described":
        mixed = body.get("although") == ["second-refrigerant"] and "state" in body["fields"]
        return mixed or "provisional" in body
    return body["type"] == "movement" and "cylinder-short" in body.get("although", ()) and (
        body["purpose"] == "difference"
    )  # fmt: skip
