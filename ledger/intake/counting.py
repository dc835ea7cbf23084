"""Takes the rows of a count into the book: each recorded, recorded already, left empty, or asked.

A row is known again by what it says, so a sheet that was half filled is completed and taken in
again; a row that says otherwise than before is a new look, and the last one counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from ledger.facts.counts import CutOff
from ledger.facts.entry import Draft, canonical
from ledger.facts.facts import Counted, Described, Fact
from ledger.facts.masters import UNKNOWN, Master, folded
from ledger.facts.problems import Problem
from ledger.intake.count_sheet import CountRow
from ledger.intake.directory import Directory
from ledger.intake.fields import read_field, read_refrigerant

if TYPE_CHECKING:
    from ledger.book.record import Outcome, Recorder

RECORDED, ALREADY, EMPTY, ASKED = "recorded", "already", "left empty", "question"


@dataclass(slots=True)
class CountReport:
    """What became of each row, in order: (row, outcome, entry, problems)."""

    rows: list[tuple[CountRow, str, int, list[Problem]]] = field(default_factory=list)
    begun: list[tuple[str, str]] = field(default_factory=list)

    def number(self, outcome: str) -> int:
        """How many rows came to an outcome."""
        return sum(1 for row in self.rows if row[1] == outcome)

    @property
    def entries(self) -> list[int]:
        """The entries that were made."""
        return [entry for _, outcome, entry, _ in self.rows if outcome == RECORDED]

    @property
    def counts(self) -> list[tuple[str, str]]:
        """Place and cut-off of every count that has rows in it."""
        told = [(row.place, row.cut_off) for row, outcome, *_ in self.rows if outcome != ASKED]
        return list(dict.fromkeys(told))


def take_counts(recorder: Recorder, rows: Iterable[CountRow]) -> CountReport:
    """Record the rows of a count one by one; a row with a problem stops none of the others."""
    report, directory = CountReport(), Directory(recorder)
    for row in rows:
        if row.problems:
            report.rows.append((row, ASKED, 0, list(row.problems)))
        elif row.empty:
            report.rows.append((row, EMPTY, 0, []))
        else:
            _take(recorder, directory, row, report)
    return report


def _take(recorder: Recorder, directory: Directory, row: CountRow, report: CountReport) -> None:
    draft = _draft(recorder, directory, row)
    if not isinstance(draft, Draft):
        report.rows.append((row, ASKED, 0, [one.at(one.where or row.where) for one in draft]))
        return
    outcome: Outcome = recorder.record(draft)
    if outcome.problems:
        problems = [problem.at(problem.where or row.where) for problem in outcome.problems]
        report.rows.append((row, ASKED, 0, problems))
        return
    report.begun += [(begun.kind, begun.name) for begun in outcome.begun]
    if not outcome.already:
        report.begun += [(fact.kind, fact.name) for fact in draft.facts
                         if isinstance(fact, Described) and fact.new]  # fmt: skip
    word = ALREADY if outcome.already else RECORDED
    report.rows.append((row, word, outcome.already or outcome.number, []))


def _draft(recorder: Recorder, directory: Directory, row: CountRow) -> Draft | list[Problem]:
    """The draft of a row, or why there is none."""
    missing = [
        Problem("field-missing", f"The row has no {name}.", f"Give it above the headings or {how}.")
        for name, value, how in (
            ("place", row.place, "with --place"), ("cut-off", row.cut_off, "with --cut-off"),
            ("person who counted", row.person, "with --by"),
        ) if not value
    ]  # fmt: skip
    person = directory.whose(row.person) if row.person else ""
    if isinstance(person, Problem):
        missing.append(person)
        person = ""
    new = _new(recorder, row)
    if isinstance(new, Problem):
        missing.append(new)
    if missing or isinstance(new, Problem):
        return missing
    cut_off = CutOff.parse(row.cut_off)
    fact = Counted(row.cylinder, row.place, row.cut_off, row.found, row.gross, row.scale)
    day = row.day or cut_off.day
    time = row.time or (cut_off.time if day == cut_off.day else "")
    return Draft(
        _key(row, person), "count", day, (*new, fact), person, time, note=row.note,
        source=row.where,
    )  # fmt: skip


def _key(row: CountRow, person: str) -> str:
    """The key of a row: what it says, whatever sheet it stands in."""
    said = [row.cut_off, folded(row.place), folded(row.cylinder), row.found,
            row.gross.body() if row.gross else "", folded(row.scale), row.day, row.time,
            folded(person), row.note]  # fmt: skip
    return f"count:{sha256(canonical(said).encode()).hexdigest()[:40]}"


def _new(recorder: Recorder, row: CountRow) -> list[Fact] | Problem:
    """The description of a cylinder that is not in the book; refused where the two differ."""
    known = recorder.known
    master = known.master("cylinder", row.cylinder)
    what = ""
    if row.refrigerant:
        read = read_refrigerant(row.refrigerant, known.settings("refrigerant name"))
        if isinstance(read, Problem):
            return read
        what = read
    if master is not None:
        return _same(master, what) or []
    if not recorder.provisional:
        return []  # The name is asked about.
    fields: dict[str, Any] = {"refrigerant": what} if what else {}
    if row.kind:
        kind = read_field("cylinder", "kind", row.kind, {})
        if isinstance(kind, Problem):
            return kind
        fields["kind"] = kind
    return [Described("cylinder", row.cylinder, fields, new="yes", provisional="yes")]


def _same(master: Master, what: str) -> Problem | None:
    assigned = master.now("refrigerant")
    if what and isinstance(assigned, str) and assigned not in (UNKNOWN, what):
        return Problem(
            "wrong-refrigerant",
            f"Cylinder {master.name} is {assigned} by the book, the sheet says {what}.",
            "Look at its marking; mend the cylinder or the sheet.",
        )
    return None
