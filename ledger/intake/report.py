"""What became of the rows of a file: counts of all, and the rows a person has to look at."""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from ledger.facts.problems import Problem

KEPT = 10_000
"""Rows of one outcome that a report keeps one by one; all are counted, all held out are filed."""

RECORDED, FLAGGED, QUESTION, DUPLICATE = "recorded", "flagged", "question", "duplicate"
ALREADY, REJECTED, SKIPPED = "already", "rejected", "skipped"
OUTCOMES = (RECORDED, FLAGGED, QUESTION, DUPLICATE, ALREADY, REJECTED, SKIPPED)
"""What can become of a row; skipped ones were left out by an answer, beside those that are none."""
LEFT_OUT = "left out by answer"


@dataclass(frozen=True, slots=True)
class RowOutcome:
    """What became of one row: where it stands, its entry, and why it was flagged or held out.

    `entry` is the one recorded, or the one that the row repeats; 0 for a row that is held
    out. Each problem says in `where` which cell it is about.
    """

    sheet: str
    row: int
    outcome: str
    entry: int = 0
    problems: tuple[Problem, ...] = ()


class Outcomes:
    """What became of every row of a file, by its index, in a few bytes each."""

    def __init__(self, rows: int) -> None:
        self._what = bytearray(rows)
        self._entries = array("q", bytes(8 * rows))

    def note(self, index: int, outcome: str, entry: int = 0) -> None:
        """Keep the outcome of a row; a later one takes its place."""
        self._what[index] = _NUMBER[outcome]
        self._entries[index] = entry

    def of(self, index: int) -> tuple[str, int]:
        """The outcome of a row and its entry; empty where nothing became of it yet."""
        what = self._what[index]
        return (OUTCOMES[what - 1] if what else "", self._entries[index])


_NUMBER = {outcome: number for number, outcome in enumerate(OUTCOMES, 1)}


@dataclass(slots=True)
class ImportReport:
    """The outcome of an import. Every row is counted once: `counts` by outcome, `skipped` by why.

    `questions`, `rejected`, `flagged`, `duplicates` and `already` hold the first `KEPT` rows
    of each, in the order of the file for those that are held out. `codes` counts these by the
    code of their first problem, `flags` flagged rows by what was flagged. `first` and `last`
    are the entries recorded, `answered` the new answers that the file held, `every` the
    outcome of each row where that was wanted.
    """

    file: str
    dry_run: bool = False
    strict: bool = False
    counts: Counter[str] = field(default_factory=Counter)
    skipped: Counter[str] = field(default_factory=Counter)
    questions: list[RowOutcome] = field(default_factory=list)
    rejected: list[RowOutcome] = field(default_factory=list)
    duplicates: list[RowOutcome] = field(default_factory=list)
    flagged: list[RowOutcome] = field(default_factory=list)
    already: list[RowOutcome] = field(default_factory=list)
    codes: Counter[str] = field(default_factory=Counter)
    flags: Counter[str] = field(default_factory=Counter)
    begun: list[tuple[str, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    sheets: list[tuple[str, str, int]] = field(default_factory=list)
    first: int = 0
    last: int = 0
    head: tuple[int, str] = (0, "")
    answered: int = 0
    every: list[RowOutcome] = field(default_factory=list)
    answers_file: str = ""

    @property
    def left(self) -> int:
        """Rows that wait for a person: questions and rejected ones."""
        return self.counts[QUESTION] + self.counts[REJECTED]

    @property
    def recorded(self) -> int:
        """Rows that became entries, flagged ones included."""
        return self.counts[RECORDED] + self.counts[FLAGGED]

    def entered(self, sheet: str, row: int, entry: int, flags: Sequence[Problem]) -> None:
        """Count a row that became an entry."""
        self.counts[FLAGGED if flags else RECORDED] += 1
        self.first = self.first or entry
        self.last = entry
        if flags:
            said = tuple(flags)
            self.flags.update({_short(problem) for problem in said})
            if len(self.flagged) < KEPT:
                self.flagged.append(RowOutcome(sheet, row, FLAGGED, entry, said))

    def repeated(self, sheet: str, row: int, entry: int) -> None:
        """Count a row that is in the book already."""
        self.counts[ALREADY] += 1
        if len(self.already) < KEPT:
            self.already.append(RowOutcome(sheet, row, ALREADY, entry))

    def doubled(self, sheet: str, row: int, entry: int) -> None:
        """Count a row that a person said is the same job as an entry."""
        self.counts[DUPLICATE] += 1
        if len(self.duplicates) < KEPT:
            self.duplicates.append(RowOutcome(sheet, row, DUPLICATE, entry))

    def left_out(self) -> None:
        """Count a row that a person said to leave."""
        self.counts[SKIPPED] += 1
        self.skipped[LEFT_OUT] += 1

    def body(self) -> dict[str, Any]:
        """The report as plain values, for JSON."""
        return {
            "file": self.file, "dry_run": self.dry_run, "strict": self.strict,
            "rows": {name: self.counts[name] for name in OUTCOMES},
            "skipped": {name: count for name, count in sorted(self.skipped.items()) if count},
            "sheets": [
                {"sheet": sheet, "records": records, "rows": rows}
                for sheet, records, rows in self.sheets
            ],
            "questions": [_row(one) for one in self.questions],
            "rejected": [_row(one) for one in self.rejected],
            "flagged": [_row(one) for one in self.flagged],
            "duplicates": [_row(one) for one in self.duplicates],
            "already": [_row(one) for one in self.already],
            "every_row": [{"outcome": one.outcome, **_row(one)} for one in self.every],
            "begun": [{"kind": kind, "name": name} for kind, name in self.begun],
            "notes": self.notes, "entries": [self.first, self.last], "head": list(self.head),
            "answered": self.answered, "answers_file": self.answers_file,
        }  # fmt: skip


def _short(problem: Problem) -> str:
    """What a flag is counted under: its own words where it is a gap, else its code."""
    return problem.sentence if problem.code == "field-missing" else problem.code


def _row(one: RowOutcome) -> dict[str, Any]:
    row: dict[str, Any] = {"sheet": one.sheet, "row": one.row}
    if one.entry:
        row["entry"] = one.entry
    if one.problems:
        row["problems"] = [_problem(problem) for problem in one.problems]
    return row


def _problem(problem: Problem) -> dict[str, Any]:
    told: dict[str, Any] = {
        "code": problem.code, "where": problem.where, "sentence": problem.sentence,
        "remedy": problem.remedy,
    }  # fmt: skip
    if problem.choices:
        told["choices"] = list(problem.choices)
    return told
