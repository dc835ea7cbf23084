"""Takes a spreadsheet into the book: every row recorded, flagged, known already, or rejected.

A row is known again by its content, so the same file can be taken in again after it was
sorted, added to or corrected, and only what is new is recorded.
"""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from itertools import chain, islice
from pathlib import Path
from typing import TypeVar

from ledger.book.journal import Book, Writer
from ledger.book.known import BookKnown
from ledger.book.record import Outcome, Recorder
from ledger.facts.entry import Draft
from ledger.facts.problems import Problem, Refused, in_order
from ledger.facts.resolve import Resolved
from ledger.intake.columns import SETTING, ColumnMap
from ledger.intake.directory import Directory
from ledger.intake.drafts import Drafted, Drafter, names_in, stands_alone
from ledger.intake.headers import MOVEMENTS
from ledger.intake.masters import draft_master, names_of
from ledger.intake.places import fields_for
from ledger.intake.reading import Reading
from ledger.intake.rejects import check_place, write_rejects
from ledger.intake.report import KEPT, REJECTED, ImportReport, RowOutcome
from ledger.intake.sheets import Row
from ledger.intake.spool import Spool
from ledger.intake.survey import KINDS, Looked, Survey, look, survey

BATCH_ROWS = 20_000
"""Rows recorded in one unit of work: the more, the fewer pages of an index are written twice."""
SHORT = "cylinder-short"

Progress = Callable[[int, int], None]
T = TypeVar("T")


def run_import(
    book: Book, path: Path, *, moment: datetime, column_map: ColumnMap | None = None,
    strict: bool = False, provisional: bool = False, dry_run: bool = False,
    progress: Progress | None = None, sheets: Sequence[str] = (), rejects: Path | None = None,
) -> ImportReport:  # fmt: skip
    """Take in a file and report every row.

    `moment` is now, aware. `column_map` is used on each sheet that has its headings; others
    are read by the maps the book keeps, or by their headings. Without `strict`, what happened
    is recorded although a check says no, and flagged; with it, every refusal of the command
    line stands. `provisional` begins unknown units, cylinders and people. `dry_run` reports
    the same and writes nothing. `progress` is told the rows done and their total. `rejects`
    is where rejected rows are filed, in the kind of the input; nothing is written where none
    is. Refused, before anything is recorded, with the codes of `survey`.
    """
    if rejects is not None:
        check_place(rejects)
    with Spool() as spool, Spool() as rejected, _uncollected():
        maps, aliases = _kept(book, moment)
        found = survey(path, spool, maps, column_map, sheets, aliases)
        run = _Run(book, found, moment, strict, provisional, dry_run, progress, rejected)
        run.take_in()
        report = run.report
        if rejects is not None and report.counts[REJECTED]:
            try:
                write_rejects(rejects, found, run.filed())
                report.reject_file = str(rejects)
            except Refused as refused:
                # The rows that are recorded stay recorded, so the report is not given up.
                report.notes += [problem.line() for problem in refused.problems]
        return report


def look_at(
    book: Book, path: Path, *, moment: datetime, column_map: ColumnMap | None = None,
    sheets: Sequence[str] = (),
) -> list[Looked]:  # fmt: skip
    """How each sheet of a file would be read; nothing is recorded."""
    return look(path, _kept(book, moment)[0], column_map, sheets)


def _kept(book: Book, moment: datetime) -> tuple[list[ColumnMap], dict[str, str]]:
    """The column maps and the refrigerant names that the book keeps."""
    with book.reading() as reader:
        known = BookKnown(reader.connection, moment, book.zone)
        maps = known.settings(SETTING)
        found = [ColumnMap.from_body(name, maps[name]) for name in sorted(maps)]
        return found, dict(known.settings("refrigerant name"))


@dataclass(slots=True)
class _Pending:
    """A row that waits for the rest of the file, and why it could not be recorded yet."""

    index: int
    key: str
    problems: list[tuple[str, Problem]] = field(default_factory=list)


class _Run:
    """One import while it is running."""

    def __init__(
        self, book: Book, found: Survey, moment: datetime, strict: bool, provisional: bool,
        dry_run: bool, progress: Progress | None, rejected: Spool,
    ) -> None:  # fmt: skip
        self.book, self.survey, self.moment = book, found, moment
        self.strict, self.provisional, self.dry_run = strict, provisional, dry_run
        self.because = "" if strict else f"as found in {found.file}"
        self.progress = progress
        self.report = ImportReport(found.file, dry_run, strict, notes=list(found.notes))
        self.report.skipped = found.skipped()
        self.report.sheets = [
            (one.sheet, one.plan.map.records, one.rows) for one in found.sheets if one.plan
        ]
        self._seen: set[str] = set()
        self._again: Counter[str] = Counter()
        self._deferred: list[_Pending] = []
        self._rejected = rejected
        self._rejected_at: list[tuple[int, int]] = []
        self._known: BookKnown | None = None
        self._head: tuple[int, str] = (0, "")
        self._dry: Writer | None = None
        self._done = 0
        self._ahead: set[tuple[str, str]] = set()

    def take_in(self) -> None:
        """Record the whole file, batch by batch; a dry run in one unit of work that is undone."""
        if not self.dry_run:
            with self.book.kept_open():
                self._take_all()
        else:
            with self.book.writing() as writer:
                self._dry = writer
                self._take_all()
                writer.rollback()
        self._keep_rejected()

    def _take_all(self) -> None:
        survey = self.survey
        masters = chain.from_iterable(survey.masters.get(kind, ()) for kind in KINDS)
        for indexes in _batches(chain(masters, survey.movements)):
            with self._unit_of_work() as recorder:
                self._batch(recorder, self._fresh(indexes))
            self._done += len(indexes)
            if self.progress is not None:
                self.progress(self._done, survey.total)
        self._retry()
        self.report.head = self._head

    def _retry(self) -> None:
        """Try again what lacked refrigerant in a cylinder, until the rest of the file is no help.

        What then still lacks it goes in as a difference, or is out when strict.
        """
        while self._deferred:
            waiting, self._deferred = self._deferred, []
            for some in _batches(waiting):
                with self._unit_of_work() as recorder:
                    self._batch(recorder, self._read_again(some))
            if len(self._deferred) == len(waiting):
                break
        last, self._deferred = self._deferred, []
        for some in _batches(last):
            if self.strict:
                for one in some:
                    self._reject(one.index, one.problems)
                continue
            with self._unit_of_work() as recorder:
                self._batch(recorder, self._read_again(some), final=True)

    @contextmanager
    def _unit_of_work(self) -> Iterator[Recorder]:
        """A recorder whose knowledge is kept from the last batch, if nobody wrote since."""
        if self._dry is not None:
            self._known = self._known or BookKnown(
                self._dry.connection, self.moment, self.book.zone
            )
            yield Recorder(
                self._dry, self._known, self.moment, provisional=self.provisional, hold=True
            )
            self._head = self._dry.head()
            return
        with self.book.writing() as writer:
            if self._known is None:
                self._known = BookKnown(writer.connection, self.moment, self.book.zone)
            else:
                self._known.connection = writer.connection
                if writer.head() != self._head:
                    self._known.forget()
                    self._ahead.clear()
            yield Recorder(
                writer, self._known, self.moment, provisional=self.provisional, hold=True
            )
            writer.flush()
            self._head = writer.head()

    def _fresh(self, indexes: list[int]) -> list[tuple[_Pending, Reading]]:
        """Rows read for the first time, each with its key; those that cannot be read are out."""
        ready = []
        for index, reading in self._readings(indexes):
            if reading.problems:
                self._reject(index, reading.problems, reading)
                continue
            content = reading.content
            ordinal = 1
            if content in self._seen:
                self._again[content] += 1
                ordinal += self._again[content]
            else:
                self._seen.add(content)
            # The day comes first, so that keys of one time lie together in the book's index.
            when = reading.day or reading.action
            ready.append((_Pending(index, f"import:{when}:{content}:{ordinal}"), reading))
        return ready

    def _read_again(self, waiting: list[_Pending]) -> list[tuple[_Pending, Reading]]:
        readings = self._readings([one.index for one in waiting])
        return [(one, reading) for one, (_, reading) in zip(waiting, readings, strict=True)]

    def _readings(self, indexes: Iterable[int]) -> Iterator[tuple[int, Reading]]:
        readers = self.survey.readers
        for index, kept in self.survey.spool.read(indexes):
            row = Row(*kept)
            yield index, readers[row.sheet].read(row)

    def _batch(
        self, recorder: Recorder, ready: list[tuple[_Pending, Reading]], final: bool = False
    ) -> None:
        """Record the rows that are not in the book yet."""
        present = recorder.writer.keys_present([one.key for one, _ in ready])
        fresh = []
        for one, reading in ready:
            if one.key in present:
                self.report.repeated(reading.row.sheet, reading.row.number, present[one.key])
            else:
                fresh.append((one, reading))
        self._read_ahead(recorder.known, [reading for _, reading in fresh])
        directory = Directory(recorder)
        drafter = Drafter(directory, self.strict, self.provisional)
        today = recorder.known.today(self.book.zone)
        # What needs nothing of the rows before it is drafted first, then all is settled, then
        # all appended: each step over many rows runs faster than all of them row by row.
        moved = all(reading.plan.map.records == MOVEMENTS for _, reading in fresh)
        early = [
            drafter.draft(reading, one.key, None if self.provisional else recorder.resolver())
            if moved and stands_alone(reading)
            else None
            for one, reading in fresh
        ]
        for (one, reading), drafted in zip(fresh, early, strict=True):
            if drafted is None and reading.plan.map.records == MOVEMENTS:
                drafted = drafter.draft(reading, one.key)
            elif drafted is None:
                drafted = draft_master(directory, reading, one.key, today, self.survey.lettered)
            self._one(recorder, directory, one, reading, drafted, final)
        recorder.append_held()

    def _read_ahead(self, known: BookKnown, readings: list[Reading]) -> None:
        """Read what the rows of a batch name from the book in a few queries instead of many."""
        names: dict[str, set[str]] = {}
        ahead = self._ahead
        for reading in readings:
            said = names_in if reading.plan.map.records == MOVEMENTS else names_of
            for named in said(reading):
                if named not in ahead:
                    ahead.add(named)
                    names.setdefault(named[0], set()).add(named[1])
        known.read_ahead_all(names)

    def _one(
        self, recorder: Recorder, directory: Directory, one: _Pending, reading: Reading,
        drafted: Drafted, final: bool,
    ) -> None:  # fmt: skip
        """Record one draft, put it off, or reject it."""
        row, report = reading.row, self.report
        if drafted.already:
            report.repeated(row.sheet, row.number, drafted.already)
        elif drafted.draft is None:
            self._reject(one.index, drafted.problems, reading)
        else:
            outcome = self._record(recorder, drafted.draft, drafted.resolved, final)
            if outcome.number:
                directory.recorded(outcome.draft.facts)
                flags = [*drafted.flags, *outcome.flags]
                report.entered(row.sheet, row.number, outcome.number, flags)
                report.begun += [(thing.kind, thing.name) for thing in outcome.begun]
                return
            found = [(_first(reading, problem), problem) for problem in outcome.problems]
            if not final and self._may_wait(outcome.problems):
                self._deferred.append(_Pending(one.index, one.key, found))
            else:
                self._reject(one.index, found, reading)

    def _record(
        self, recorder: Recorder, draft: Draft, resolved: Resolved | None, final: bool
    ) -> Outcome:
        """Record a draft; history goes in over refusals that can really have happened."""
        recorder.because = self.because if final else ""
        outcome = recorder.record(draft, False, resolved)
        if self.because and not final and outcome.problems and all(
            problem.kind.because and problem.code != SHORT for problem in outcome.problems
        ):  # fmt: skip
            recorder.because = self.because
            outcome = recorder.record(draft, False, resolved)
        return outcome

    def _may_wait(self, problems: list[Problem]) -> bool:
        """Whether the rest of the file may bring what the cylinder lacked."""
        return any(problem.code == SHORT for problem in problems) and all(
            problem.kind.because for problem in problems
        )

    def _reject(
        self, index: int, problems: list[tuple[str, Problem]], reading: Reading | None = None
    ) -> None:
        """Count a row out and file it with the cell of each problem."""
        if reading is None:
            _, reading = next(self._readings([index]))
        row, plan = reading.row, reading.plan
        where = {problem: plan.where(row, *fields_for(name, problem)) for name, problem in problems}
        ordered = in_order(where)
        self.report.counts[REJECTED] += 1
        self.report.codes[ordered[0].code] += 1
        placed = tuple(problem.at(where[problem]) for problem in ordered)
        cells = tuple(plan.cell(row, *fields_for(name, problem)) for name, problem in problems)
        at = self._rejected.add((tuple(row), placed, tuple(dict.fromkeys(cells))))
        self._rejected_at.append((index, at))

    def filed(self) -> Iterator[tuple[Row, tuple[Problem, ...], tuple[str, ...]]]:
        """Every rejected row in the order of the file, with its problems and their cells."""
        places = (at for _, at in sorted(self._rejected_at))
        for _, (row, problems, cells) in self._rejected.read(places):
            yield Row(*row), problems, cells

    def _keep_rejected(self) -> None:
        for row, problems, _ in islice(self.filed(), KEPT):
            self.report.rejected.append(
                RowOutcome(row.sheet, row.number, REJECTED, problems=problems)
            )


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


def _batches(items: Iterable[T]) -> Iterator[list[T]]:
    left = iter(items)
    while batch := list(islice(left, BATCH_ROWS)):
        yield batch


def _first(reading: Reading, problem: Problem) -> str:
    """The field of a row that a refusal of the book is about, as far as it has one."""
    there = reading.values
    return next((name for name in fields_for("", problem) if name in there), "")
