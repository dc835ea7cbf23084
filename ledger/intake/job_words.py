"""Puts two records of what may be one job side by side, in words."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from ledger.facts.entry import Draft, Entry
from ledger.facts.facts import Attempt, Fact, Movement
from ledger.facts.problems import Problem
from ledger.intake.same_job import WAYS, Likeness, Record

_DONE = {"addition": "added", "recovery": "recovered", "addition by others": "added by others"}


@dataclass(frozen=True, slots=True)
class Side:
    """What one record of a job says, as a person compares it with another.

    `amount` is as it was written, `where` the circuit, `source` the file and row, or who
    typed it.
    """

    entry: int
    day: str
    where: str
    refrigerant: str
    done: str
    amount: str
    person: str
    ticket: str
    source: str

    def words(self) -> str:
        """The side in one line."""
        return ", ".join((
            self.day, self.where or "no unit named", self.refrigerant or "refrigerant not known",
            f"{self.amount} {self.done}", self.person or "nobody named",
            f"ticket {self.ticket}" if self.ticket else "no ticket", self.source,
        ))  # fmt: skip


def side_of_draft(draft: Draft, ways: Collection[int] = ()) -> Side:
    """What a row says."""
    return _side(
        0, f"{draft.occurred_on} {draft.occurred_time}".strip(), draft.facts, draft.person,
        draft.ticket, draft.source or "typed", ways,
    )  # fmt: skip


def side_of_entry(entry: Entry, ways: Collection[int] = ()) -> Side:
    """What an entry says."""
    content = entry.content()
    source = content.get("source") or f"typed by {entry.actor} on {entry.recorded_at[:10]}"
    return _side(
        entry.number, f"{entry.occurred_on} {entry.occurred_time}".strip(), entry.facts(),
        entry.person, content.get("ticket", ""), source, ways,
    )  # fmt: skip


def _side(
    entry: int, when: str, facts: Iterable[Fact], person: str, ticket: str, source: str,
    ways: Collection[int],
) -> Side:  # fmt: skip
    moved = [fact for fact in facts if isinstance(fact, Movement)]
    jobs = [fact for fact in moved if fact.purpose in WAYS]
    jobs = [fact for fact in jobs if WAYS[fact.purpose] in ways] or jobs or moved[:1]
    done = " and ".join(dict.fromkeys(_DONE.get(fact.purpose, fact.purpose) for fact in jobs))
    amounts = " and ".join(fact.mass.written for fact in jobs)
    where = dict.fromkeys(
        side.partition(":")[2] for fact in jobs for side in (fact.source, fact.target)
        if side.startswith("circuit:") or fact.purpose not in WAYS
    )  # fmt: skip
    tried = next((fact for fact in facts if isinstance(fact, Attempt)), None)
    if not jobs and tried is not None:
        where, done, amounts = {tried.circuit: None}, "recovered", "0 lb"
    what = jobs[0].refrigerant if jobs else tried.refrigerant if tried else ""
    return Side(entry, when, " to ".join(where), what, done, amounts, person, ticket, source)


def question(
    draft: Draft, entry: Entry, like: Likeness, ways: set[int], others: list[int], part: bool
) -> Problem:
    """The question whether a row is the job of an entry, with both side by side.

    `ways` are those in which they are alike, `others` entries that are like it too; `part`
    tells that the row has more than what the entry has.
    """
    ours, theirs = side_of_draft(draft, ways), side_of_entry(entry, ways)
    also = f" Entry {', '.join(map(str, others))} is like it too." if others else ""
    if part:
        also += " Only a part of the row is in that entry."
    remedy = (
        "Answer same (one job, this row is left out), both (two jobs) or instead (this row"
        f" counts, entry {entry.number} is reversed)."
    )
    if part:
        # The same job would leave out the part of the row that no other record has.
        remedy = (
            f"Answer instead (this row counts, entry {entry.number} is reversed) or both (two"
            " jobs); or empty the cell of the part that is there already."
        )
    return Problem(
        "same-job",
        f"This may be the job of entry {entry.number} ({like.words()}). This row:"
        f" {ours.words()}. Entry {entry.number}: {theirs.words()}.{also}",
        remedy, choices=("both", "instead") if part else ("same", "both", "instead"),
        entry=entry.number,
    )  # fmt: skip


def settled_away(draft: Draft, entry: int, by: list[int]) -> Problem:
    """The question about a row that was said to be the job of an entry that no longer stands."""
    taken = f", which was reversed by entry {', '.join(map(str, by))}" if by else ""
    which = f"entry {entry}{taken}" if entry else "an entry, and none that stands is like it"
    return Problem(
        "same-job", f"This row was said to be the job of {which}.",
        'Answer both to record it, or "row: leave" to leave it out.', choices=("both",),
        entry=entry,
    )  # fmt: skip


def repeated(entry: Entry, record: Record, like: Likeness, number: int) -> str:
    """The line told after an entry was typed that looks like one in the book."""
    shown = replace(side_of_entry(entry, {record.way}), source="").words().removesuffix(", ")
    said = f"Looks like entry {entry.number}: {shown} ({like.words()})"
    if not number:
        return f"{said}."
    return (
        f"{said}; if it is the same job: tarebook same-job {entry.number} {number}"
        f" --keep {entry.number}"
    )
