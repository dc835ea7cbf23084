"""Takes a spreadsheet into the book: every row recorded, known already, in question, or rejected.

A row is known again by its content, so the same file can be taken in again after it was
sorted, added to or corrected, and only what is new is recorded. What was answered about a row
is known again by the mark of the row.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from ledger.book.journal import Book
from ledger.book.known import BookKnown
from ledger.facts.problems import Refused
from ledger.intake import answers as remembered
from ledger.intake.answers import Answers
from ledger.intake.answers_file import check_place, write_answers
from ledger.intake.columns import SETTING, ColumnMap
from ledger.intake.report import ALREADY, ImportReport, RowOutcome
from ledger.intake.running import Progress, Run
from ledger.intake.sheets import Row
from ledger.intake.spool import Spool
from ledger.intake.survey import Looked, look, survey


def run_import(
    book: Book, path: Path, *, moment: datetime, column_map: ColumnMap | None = None,
    strict: bool = False, provisional: bool = False, dry_run: bool = False,
    progress: Progress | None = None, sheets: Sequence[str] = (), answers: Path | None = None,
    every_row: bool = False,
) -> ImportReport:  # fmt: skip
    """Take in a file and report every row.

    `moment` is now, aware. `column_map` is used on each sheet that has its headings; others
    are read by the maps the book keeps, or by their headings. Without `strict`, what happened
    is recorded although a check says no, and flagged; with it, every refusal of the command
    line stands. `provisional` begins unknown units, cylinders and people. `dry_run` reports
    the same and writes nothing. `progress` is told the rows done and their total. `answers`
    is where a copy of the file goes in which a person answers and mends, in the kind of the
    input; nothing is written where nothing is left to answer. With `every_row` the report
    holds the outcome of each row. Refused, before anything is recorded, with the codes of
    `survey`.
    """
    if answers is not None:
        check_place(answers)
    with Spool() as spool, Spool() as held, _uncollected():
        kept = _kept(book, moment)
        found = survey(path, spool, kept.maps, column_map, sheets, kept.refrigerants)
        found.aliases = kept.refrigerants
        heard = Answers(found, kept.answers, kept.names)
        run = Run(book, found, moment, strict, provisional, dry_run, progress, held, heard)
        run.take_in(path)
        report = run.report
        report.notes += _not_used(run, heard)
        report.notes += _no_limit(run.unmeasured)
        if every_row:
            report.every = _every(run)
        if answers is not None and report.left and not dry_run:
            try:
                write_answers(answers, path, found, run.held, run.outcomes)
                report.answers_file = str(answers)
            except Refused as refused:
                # The rows that are recorded stay recorded, so the report is not given up.
                report.notes += [problem.line() for problem in refused.problems]
        return report


def look_at(
    book: Book, path: Path, *, moment: datetime, column_map: ColumnMap | None = None,
    sheets: Sequence[str] = (),
) -> list[Looked]:  # fmt: skip
    """How each sheet of a file would be read; nothing is recorded."""
    kept = _kept(book, moment)
    return look(path, kept.maps, column_map, sheets, kept.refrigerants)


class _Kept(NamedTuple):
    """What the book keeps for imports: maps, names of refrigerants and things, answers."""

    maps: list[ColumnMap]
    refrigerants: dict[str, str]
    names: dict[str, str]
    answers: dict[str, dict[str, str]]


def _kept(book: Book, moment: datetime) -> _Kept:
    with book.reading() as reader:
        known = BookKnown(reader.connection, moment, book.zone)
        maps = known.settings(SETTING)
        return _Kept(
            [ColumnMap.from_body(name, maps[name]) for name in sorted(maps)],
            dict(known.settings("refrigerant name")), dict(known.settings("alias")),
            dict(known.settings(remembered.SETTING)),
        )  # fmt: skip


@contextmanager
def _uncollected() -> Iterator[None]:
    """Leave out the search for cycles, of which an import makes none and which grows with it."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()


def _not_used(run: Run, heard: Answers) -> Iterator[str]:
    """What was typed as an answer beside rows that ask nothing and are in the book."""
    for index, told in heard.told.items():
        if told.answer and not told.question and told.mark not in heard.kept:
            outcome, entry = run.outcomes.of(index)
            if outcome == ALREADY:
                yield (
                    f'The answer "{told.answer[:80]}" was not used: its row is recorded as entry'
                    f" {entry} and asks nothing. Use tarebook reverse where that is wrong."
                )


def _no_limit(unmeasured: Sequence[str]) -> Iterator[str]:
    """The cylinders that were filled and whose limit could not be looked at, told once."""
    if unmeasured:
        shown = ", ".join(unmeasured[:10])
        more = f" and {len(unmeasured) - 10} more" if len(unmeasured) > 10 else ""
        yield (
            f"No fill limit was looked at for {shown}{more}: the water capacity is not in the book"
            " (tarebook mend cylinder NAME --water-capacity WEIGHT)."
        )


def _every(run: Run) -> list[RowOutcome]:
    """What became of each row, in the order of the file."""
    problems = {
        (one.row.sheet, one.row.number): tuple(problem for _, problem in one.asked)
        for one in run.held
    }
    found = []
    for index, kept in run.survey.spool.read(range(len(run.survey.spool))):
        row, (outcome, entry) = Row(*kept), run.outcomes.of(index)
        asked = problems.get((row.sheet, row.number), ())
        found.append(RowOutcome(row.sheet, row.number, outcome, entry, asked))
    return found
