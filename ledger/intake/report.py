"""What became of the rows of a file: counts of all, and the rows a person has to look at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from ledger.facts.problems import Problem

KEPT = 10_000
"""Rows of one outcome that a report keeps one by one; all are counted, all rejects are filed."""

RECORDED, FLAGGED, ALREADY, REJECTED = "recorded", "flagged", "already", "rejected"
OUTCOMES = (RECORDED, FLAGGED, ALREADY, REJECTED)


@dataclass(frozen=True, slots=True)
class RowOutcome:
    """What became of one row: where it stands, its entry, and why it was flagged or rejected.

    `entry` is the one recorded, or the one that the row repeats; 0 for a rejected row. Each
    problem says in `where` which cell it is about.
    """

    sheet: str
    row: int
    outcome: str
    entry: int = 0
    problems: tuple[Problem, ...] = ()


@dataclass(slots=True)
class ImportReport:
    """The outcome of an import. Every row is counted once: `counts` by outcome, `skipped` by why.

    `rejected`, `flagged` and `already` hold the first `KEPT` rows of each, in the order of the
    file for rejected ones. `codes` counts rejected rows by the code of their first problem,
    `flags` flagged rows by what was flagged. `first` and `last` are the entries recorded.
    """

    file: str
    dry_run: bool = False
    strict: bool = False
    counts: Counter[str] = field(default_factory=Counter)
    skipped: Counter[str] = field(default_factory=Counter)
    rejected: list[RowOutcome] = field(default_factory=list)
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
    reject_file: str = ""

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
            "rejected": [_row(one) for one in self.rejected],
            "flagged": [_row(one) for one in self.flagged],
            "already": [_row(one) for one in self.already],
            "begun": [{"kind": kind, "name": name} for kind, name in self.begun],
            "notes": self.notes, "entries": [self.first, self.last], "head": list(self.head),
            "reject_file": self.reject_file,
        }  # fmt: skip


def _short(problem: Problem) -> str:
    """What a flag is counted under: its own words where it is a gap, else its code."""
    return problem.sentence if problem.code == "field-missing" else problem.code


def _row(one: RowOutcome) -> dict[str, Any]:
    row: dict[str, Any] = {"sheet": one.sheet, "row": one.row}
    if one.entry:
        row["entry"] = one.entry
    if one.problems:
        row["problems"] = [
            {"code": problem.code, "where": problem.where, "sentence": problem.sentence,
             "remedy": problem.remedy}
            for problem in one.problems
        ]  # fmt: skip
    return row
