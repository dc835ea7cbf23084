"""Keeps the rows that wait for a person, in the order of the file, with what is asked of each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ledger.facts.problems import Problem, in_order
from ledger.intake.places import fields_for
from ledger.intake.questions import asks
from ledger.intake.reading import Reading
from ledger.intake.report import KEPT, QUESTION, REJECTED, ImportReport, RowOutcome
from ledger.intake.sheets import Row
from ledger.intake.spool import Spool


@dataclass(frozen=True, slots=True)
class Held:
    """A row in question or rejected: as it stood, its mark, what was typed, and what is asked.

    `asked` holds each problem with its field, `cells` the cell that each is about.
    """

    row: Row
    outcome: str
    mark: str
    answer: str
    asked: tuple[tuple[str, Problem], ...]
    cells: tuple[str, ...]


class HeldOut:
    """The rows of one import that wait for a person; many of them are kept on disk."""

    def __init__(self, spool: Spool, report: ImportReport) -> None:
        self._spool = spool
        self._report = report
        self._at: list[tuple[int, int]] = []

    def add(
        self, index: int, reading: Reading, problems: Iterable[tuple[str, Problem]],
        wrong: Iterable[tuple[str, Problem]], mark: str, answer: str,
    ) -> str:  # fmt: skip
        """Count a row out and keep it; returns its outcome.

        `wrong` is what was typed as an answer and settles nothing: it takes the place of the
        question it was for.
        """
        row, plan, report = reading.row, reading.plan, self._report
        unique = dict.fromkeys(problems)
        asked = in_order(problem for _, problem in unique)
        outcome = QUESTION if all(map(asks, asked)) else REJECTED
        report.counts[outcome] += 1
        report.codes[asked[0].code] += 1
        mended = dict(wrong)
        fields = {problem: name for name, problem in reversed(unique)}
        told: list[tuple[str, Problem]] = []
        cells: list[str] = []
        for problem in asked:
            name = fields[problem]
            about = fields_for(name, problem)
            place = plan.where(row, *about)
            told.append((name, mended.pop(name, problem).at(place)))
            cells.append(plan.cell(row, *about))
        for name, problem in mended.items():
            told.append((name, problem.at(plan.where(row, name))))
            cells.append(plan.cell(row, name))
        at = self._spool.add((tuple(row), outcome, mark, answer, tuple(told), tuple(cells)))
        self._at.append((index, at))
        return outcome

    def __iter__(self) -> Iterator[Held]:
        """Every row held out, in the order of the file."""
        self._at.sort()
        for _, (row, *rest) in self._spool.read(at for _, at in self._at):
            yield Held(Row(*row), *rest)

    def tell(self) -> None:
        """Put the first of them into the report."""
        for one in self:
            kept = self._report.questions if one.outcome == QUESTION else self._report.rejected
            if len(kept) < KEPT:
                problems = tuple(problem for _, problem in one.asked)
                kept.append(RowOutcome(one.row.sheet, one.row.number, one.outcome, 0, problems))
            elif len(self._report.questions) == len(self._report.rejected) == KEPT:
                return
