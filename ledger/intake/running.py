"""One import while it is running: rows read, answered, recorded or held out, batch by batch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from itertools import chain, islice
from pathlib import Path
from typing import TypeVar

from ledger.book.journal import Book, Writer
from ledger.book.known import BookKnown
from ledger.book.record import Outcome, Recorder
from ledger.facts.entry import Draft
from ledger.facts.problems import Problem
from ledger.facts.resolve import Resolved
from ledger.intake.answers import Answers
from ledger.intake.asking import names_asked
from ledger.intake.awaiting import SHORT, Awaited
from ledger.intake.directory import Directory
from ledger.intake.drafts import Drafted, Drafter
from ledger.intake.headers import MOVEMENTS
from ledger.intake.hearing import hear
from ledger.intake.held_out import HeldOut
from ledger.intake.jobs import Jobs, Verdict
from ledger.intake.masters import draft_master, names_of
from ledger.intake.named import names_in, stands_alone
from ledger.intake.pending import Pending, Work
from ledger.intake.questions import BOTH, INSTEAD, JOB, LEAVE, ROW, SAME, TAKE, doubts, field_about
from ledger.intake.reading import Reading
from ledger.intake.report import (
    ALREADY,
    DUPLICATE,
    FLAGGED,
    RECORDED,
    SKIPPED,
    ImportReport,
    Outcomes,
)
from ledger.intake.revised import Revised, origin, revised
from ledger.intake.sheets import Row
from ledger.intake.spool import Spool
from ledger.intake.summary import summary_of
from ledger.intake.survey import KINDS, Survey
from ledger.intake.twice import instead_of, question_told, recorded_before
from ledger.intake.undo import again_under, import_runs

BATCH_ROWS = 20_000
"""Rows recorded in one unit of work: the more, the fewer pages of an index are written twice."""

Progress = Callable[[int, int], None]
T = TypeVar("T")


class Run:
    """One import while it is running."""

    def __init__(
        self, book: Book, found: Survey, moment: datetime, strict: bool, provisional: bool,
        dry_run: bool, progress: Progress | None, held: Spool, answers: Answers,
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
        self.answers = answers
        self.held = HeldOut(held, self.report)
        self.outcomes = Outcomes(len(found.spool))
        self.jobs = Jobs()
        self.awaited = Awaited()
        self.revised = Revised()
        self._seen: set[str] = set()
        self._again: Counter[str] = Counter()
        self._deferred: list[Pending] = []
        self._unread: list[tuple[int, Reading]] = []
        self._known: BookKnown | None = None
        self._head: tuple[int, str] = (0, "")
        self._dry: Writer | None = None
        self._done = 0
        self._ahead: set[tuple[str, str]] = set()

    def take_in(self, path: Path) -> None:
        """Record the whole file, batch by batch; a dry run in one unit of work that is undone."""
        if not self.dry_run:
            with self.book.kept_open():
                self._take_all(path)
        else:
            with self.book.writing() as writer:
                self._dry = writer
                self._take_all(path)
                writer.rollback()
        self.held.tell()

    @property
    def unmeasured(self) -> list[str]:
        """Cylinders that were filled without a water capacity on record."""
        return list(self._known.unmeasured) if self._known else []

    def _take_all(self, path: Path) -> None:
        survey = self.survey
        if self.answers.has_columns():
            with self._unit_of_work() as recorder:
                self.report.answered = hear(self.answers, recorder, self.book.zone)
        self._look_back()
        masters = chain.from_iterable(survey.masters.get(kind, ()) for kind in KINDS)
        for indexes in _batches(chain(masters, survey.movements)):
            with self._unit_of_work() as recorder:
                self._batch(recorder, self._fresh(indexes))
            self._done += len(indexes)
            if self.progress is not None:
                self.progress(self._done, survey.total)
        self._retry()
        if self.report.first or self._unread:
            with self._unit_of_work() as recorder:
                self._ask_the_rest(recorder)
                if self.report.first:
                    today = recorder.known.today(self.book.zone)
                    recorder.must_record(summary_of(self.report, path, today))
                    recorder.append_held()
        self.report.head = self._head
        if note := self.revised.note(self.report.file):
            self.report.notes.append(note)

    def _look_back(self) -> None:
        """Find what earlier imports of this file recorded and no row of it says any more."""
        with self.book.reading() as reader:
            known = BookKnown(reader.connection, self.moment, self.book.zone)
            runs = import_runs(known)
            if all(origin(one.file) != origin(self.report.file) for one in runs):
                return
            seen, again = self._seen, self._again
            self._seen, self._again = set(), Counter()
            keys = set()
            for index, reading in self._readings(self.survey.movements):
                found = self._answered_now(index, reading)
                if not found.problems:
                    keys.add(self._key(found))
            self._seen, self._again = seen, again
            sheets = {sheet for sheet, _, _ in self.report.sheets}
            self.revised = revised(reader, runs, self.report.file, sheets, keys)

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
                for one, reading in self._read_again(some):
                    self._out(one.index, one.problems, reading)
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
            yield self._recorder(self._dry, self._known)
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
                    self.jobs.forget()
            yield self._recorder(writer, self._known)
            writer.flush()
            self._head = writer.head()

    def _recorder(self, writer: Writer, known: BookKnown) -> Recorder:
        return Recorder(
            writer, known, self.moment, provisional=self.provisional, hold=True,
            begin=self.answers.begin,
        )  # fmt: skip

    def _fresh(self, indexes: list[int]) -> list[tuple[Pending, Reading]]:
        """Rows read for the first time, each with its key; those that cannot be read are out."""
        ready = []
        for index, reading in self._readings(indexes):
            reading = self._answered_now(index, reading)
            if reading.answers is not None and self._leaves(index, reading):
                continue
            if reading.problems:
                self._unread.append((index, reading))
                continue
            ready.append((Pending(index, self._key(reading)), reading))
        return ready

    def _answered_now(self, index: int, reading: Reading) -> Reading:
        """A row as it is read with what was answered about it, where anything was."""
        answers = self.answers
        if reading.problems:
            return answers.about(index, reading) or reading
        return answers.before(index, reading) or reading

    def _key(self, reading: Reading) -> str:
        """The key of a row that is met for the first time: its content, and which of them it is."""
        content = reading.content
        ordinal = 1
        if content in self._seen:
            self._again[content] += 1
            ordinal += self._again[content]
        else:
            self._seen.add(content)
        # The day comes first, so that keys of one time lie together in the book's index.
        return f"import:{reading.day or reading.action}:{content}:{ordinal}"

    def _leaves(self, index: int, reading: Reading) -> bool:
        """Whether an answer says to leave the row out; it is counted then."""
        if not reading.answers or reading.answers.get(ROW) != LEAVE:
            return False
        self.outcomes.note(index, SKIPPED)
        self.report.left_out()
        return True

    def _read_again(self, waiting: list[Pending]) -> list[tuple[Pending, Reading]]:
        readings = self._readings([one.index for one in waiting])
        return [
            (one, (self.answers.about(one.index, reading) or reading) if one.answered else reading)
            for one, (_, reading) in zip(waiting, readings, strict=True)
        ]

    def _readings(self, indexes: Iterable[int]) -> Iterator[tuple[int, Reading]]:
        reader_of = self.survey.reader_of
        for index, kept in self.survey.spool.read(indexes):
            row = Row(*kept)
            reading = reader_of(row).read(row)
            if row.marks:
                reading.problems += doubts(reading)
            yield index, reading

    def _batch(
        self, recorder: Recorder, ready: list[tuple[Pending, Reading]], final: bool = False
    ) -> None:
        """Record the rows that are not in the book yet."""
        fresh = self._not_present(recorder, ready)
        self._read_ahead(recorder.known, [reading for _, reading in fresh])
        self.jobs.begin(
            recorder, (one.day for _, one in fresh), (one.circuit() for _, one in fresh)
        )
        work = self._work(recorder)
        # What needs nothing of the rows before it is drafted first, then all is settled, then
        # all appended: each step over many rows runs faster than all of them row by row.
        begins = self.provisional or bool(self.answers.begin)
        moved = all(reading.plan.map.records == MOVEMENTS for _, reading in fresh)
        early = [
            work.drafter.draft(reading, one.key, None if begins else recorder.resolver())
            if moved and stands_alone(reading)
            else None
            for one, reading in fresh
        ]
        for (one, reading), drafted in zip(fresh, early, strict=True):
            self._one(work, one, reading, drafted or self._draft(work, one, reading), final)
        recorder.append_held()

    def _work(self, recorder: Recorder) -> Work:
        directory = Directory(recorder)
        drafter = Drafter(directory, self.strict, self.provisional)
        return Work(recorder, directory, drafter, recorder.known.today(self.book.zone))

    def _not_present(
        self, recorder: Recorder, ready: list[tuple[Pending, Reading]]
    ) -> list[tuple[Pending, Reading]]:
        """The rows that are not in the book under their keys; the others are counted."""
        present = recorder.writer.keys_present([one.key for one, _ in ready])
        if not present:
            return ready
        fresh = []
        for one, reading in ready:
            entry = present.get(one.key, 0)
            if entry:
                one.key, entry = again_under(recorder.writer, one.key, entry)
            if entry:
                self._already(one.index, reading.row, entry)
            else:
                fresh.append((one, reading))
        return fresh

    def _already(self, index: int, row: Row, entry: int) -> None:
        self.revised.settled(entry)
        self.outcomes.note(index, ALREADY, entry)
        self.report.repeated(row.sheet, row.number, entry)

    def _draft(self, work: Work, one: Pending, reading: Reading) -> Drafted:
        if reading.plan.map.records == MOVEMENTS:
            return work.drafter.draft(reading, one.key)
        return draft_master(work.directory, reading, one.key, work.today, self.survey.lettered)

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
        self, work: Work, one: Pending, reading: Reading, drafted: Drafted, final: bool
    ) -> None:
        """Record one draft, put it off, or hold it out."""
        row = reading.row
        if drafted.already:
            self._already(one.index, row, drafted.already)
            return
        if drafted.draft is None:
            self._hold(work, one, reading, drafted.problems, final)
            return
        draft = drafted.draft
        twin = (
            self._twin(work, one, reading, draft)
            or self._mended(work, reading, drafted)
            or self._alike(work, reading, drafted)
            or self._asked_about(work, one, reading, draft)
        )
        if twin is not None:
            if twin.problem is not None:
                self._hold(work, one, reading, [(JOB, twin.problem)], final)
                return
            if twin.draft is None:
                self.outcomes.note(one.index, DUPLICATE, twin.entry)
                self.report.doubled(row.sheet, row.number, twin.entry)
                return
            draft = twin.draft
            drafted = replace(drafted, draft=draft, resolved=None)
        said = (reading.answers or {}).get(ROW, "")
        outcome = self._record(work.recorder, draft, drafted.resolved, final, said == TAKE)
        if outcome.number:
            self._recorded(work, one.index, row, outcome, drafted.flags)
            return
        found = [(_about(reading, problem), problem) for problem in outcome.problems]
        if not final and self._may_wait(outcome.problems):
            answered = reading.answers is not None
            self._deferred.append(Pending(one.index, one.key, found, answered))
        else:
            self._hold(work, one, reading, found, final)

    def _recorded(
        self, work: Work, index: int, row: Row, outcome: Outcome, flags: list[Problem]
    ) -> None:
        work.directory.recorded(outcome.draft.facts)
        self.jobs.recorded(outcome.draft.key, outcome.number)
        flags = [*flags, *outcome.flags] if flags or outcome.flags else flags
        self.outcomes.note(index, FLAGGED if flags else RECORDED, outcome.number)
        self.report.entered(row.sheet, row.number, outcome.number, flags)
        self.report.begun += [(thing.kind, thing.name) for thing in outcome.begun]

    def _twin(self, work: Work, one: Pending, reading: Reading, draft: Draft) -> Verdict | None:
        """What is to become of a row that was recorded and changed in its answers file since."""
        told = self.answers.told.get(one.index)
        asked = recorded_before(work.recorder, told) if told is not None else None
        return self._answered(work, reading, draft, asked) if asked is not None else None

    def _mended(self, work: Work, reading: Reading, drafted: Drafted) -> Verdict | None:
        """What is to become of a row that may be one recorded before and mended in its sheet."""
        if not self.revised or drafted.draft is None:
            return None
        named = work.recorder.resolver().draft(drafted.draft)
        asked = self.revised.like(named.draft)
        if asked is None:
            return None
        verdict = self._answered(work, reading, drafted.draft, asked)
        if verdict.problem is None:
            self.revised.settled(asked.entry)
        return verdict

    def _asked_about(
        self, work: Work, one: Pending, reading: Reading, draft: Draft
    ) -> Verdict | None:
        """What is to become of a row whose answer is about an entry that only its question names.

        So it is where the copy with the answers was given another name.
        """
        if not reading.answers or reading.answers.get(JOB) not in (SAME, INSTEAD):
            return None
        told = self.answers.told.get(one.index)
        asked = question_told(work.recorder, told) if told is not None else None
        return self._answered(work, reading, draft, asked) if asked is not None else None

    def _answered(self, work: Work, reading: Reading, draft: Draft, asked: Problem) -> Verdict:
        answer = (reading.answers or {}).get(JOB, "")
        if answer == INSTEAD:
            return Verdict(asked.entry, draft=instead_of(work.recorder, asked.entry, draft))
        if answer == BOTH:
            return Verdict(asked.entry, draft=draft)
        return Verdict(asked.entry, None if answer == SAME else asked)

    def _alike(self, work: Work, reading: Reading, drafted: Drafted) -> Verdict | None:
        """What is to become of a row that may be a second record of a job that the book has."""
        if reading.plan.map.records != MOVEMENTS or drafted.draft is None:
            return None
        if drafted.resolved is None:
            drafted.resolved = work.recorder.resolver().draft(drafted.draft)
        if drafted.resolved.problems:
            return None
        answer = ""
        if reading.answers is not None:
            answer = reading.answers.get(JOB, "")
            self.jobs.reach(work.recorder, reading.day)
        site = reading.text("site")
        return self.jobs.look(work.recorder, drafted.resolved.draft, site, answer)

    def _hold(
        self, work: Work, one: Pending, reading: Reading, problems: list[tuple[str, Problem]],
        final: bool,
    ) -> None:  # fmt: skip
        """Settle a row by what was answered about it, or hold it out."""
        answered = self.answers.about(one.index, reading)
        if answered is None:
            self._out(one.index, problems, reading)
        elif self._leaves(one.index, answered):
            return
        elif answered.problems:
            self._out(one.index, answered.problems, answered)
        else:
            if answered.content != reading.content:
                one.key = self._key(answered)
                work.recorder.append_held()
                if entry := work.recorder.writer.entry_by_key(one.key):
                    self._already(one.index, reading.row, entry.number)
                    return
            self._one(work, one, answered, self._draft(work, one, answered), final)

    def _record(
        self, recorder: Recorder, draft: Draft, resolved: Resolved | None, final: bool, take: bool
    ) -> Outcome:
        """Record a draft; history goes in over refusals that can really have happened."""
        recorder.because = ""
        outcome = recorder.record(draft, False, resolved)
        found = outcome.problems
        if not found or not self.because:
            return outcome
        asked = [] if take else self.awaited.asked(found, draft, final)
        if asked:
            outcome.problems = asked
        elif all(one.kind.because and (final or one.code != SHORT) for one in found):
            recorder.because = self.because
            outcome = recorder.record(draft, False, resolved)
        return outcome

    def _may_wait(self, problems: list[Problem]) -> bool:
        """Whether the rest of the file may bring what the cylinder lacked."""
        return any(problem.code == SHORT for problem in problems) and all(
            problem.kind.because for problem in problems
        )

    def _ask_the_rest(self, recorder: Recorder) -> None:
        """Hold out what could not be read, and ask about its names in the same breath."""
        directory = Directory(recorder)
        for index, reading in self._unread:
            self._out(index, [*reading.problems, *names_asked(directory, reading)], reading)
        self._unread = []

    def _out(self, index: int, problems: list[tuple[str, Problem]], reading: Reading) -> None:
        """Count a row out and keep it for the answers file."""
        mark = self.answers.mark(index, reading.plan, reading.row)
        told = self.answers.told.get(index)
        wrong = self.answers.wrong.get(mark, {}).items()
        answer = told.answer if told else ""
        self.awaited.add(self._known, reading)
        outcome = self.held.add(index, reading, problems, wrong, mark, answer)
        self.outcomes.note(index, outcome)


def _about(reading: Reading, problem: Problem) -> str:
    return ROW if TAKE in problem.choices else field_about(reading, problem)


def _batches(items: Iterable[T]) -> Iterator[list[T]]:
    left = iter(items)
    while batch := list(islice(left, BATCH_ROWS)):
        yield batch
