"""Hears what people typed into an answers file: which field it answers, and whether it settles it.

What settles something is recorded before the rows are, so that an answer given once serves
every row it is about; what does not is asked again, with what was wrong about it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from hashlib import sha256
from typing import TYPE_CHECKING

from ledger.facts.entry import Draft, canonical
from ledger.facts.facts import Setting, fact_body
from ledger.facts.mass import Quantity
from ledger.facts.masters import folded
from ledger.facts.nearby import squeezed
from ledger.facts.problems import Problem
from ledger.facts.resolve import NEW
from ledger.intake.answers import ABOUT_ROW, SETTING, Answers, Told, kinds_named
from ledger.intake.asking import names_asked
from ledger.intake.directory import Directory
from ledger.intake.fields import read_mass
from ledger.intake.headers import MASS_FIELDS, fields_of
from ledger.intake.meant import unknown_field, words_for_fields
from ledger.intake.plan import Plan
from ledger.intake.questions import (
    JOB,
    JOB_CHOICES,
    LEAVE,
    ROW,
    TAKE,
    asked_fields,
    chosen,
    parts_of,
    unclear_answer,
)
from ledger.intake.reading import Reading
from ledger.intake.report import ALREADY, FLAGGED, RECORDED
from ledger.intake.row_marks import still_says
from ledger.intake.sheets import Row, Unread, cell_text
from ledger.refrigerants.spelling import alias_key

if TYPE_CHECKING:
    from ledger.book.record import Recorder

_WENT_IN = (RECORDED, FLAGGED, ALREADY)
_FACTS_AT_ONCE = 500
"""Answers of one entry."""
_BARE_NUMBER = re.compile(r"(?:[a-z]{1,4}|refrigerant)?[\W_]*[0-9]{2,4}[\W_]*[a-z]?", re.IGNORECASE)
"""A refrigerant that lacks its letter means another one on another row."""


def hear(answers: Answers, recorder: Recorder, zone: str) -> int:
    """Take in what is answered in the file, and record it; returns the number of new answers."""
    facts: list[Setting] = []
    heard = _Hearing(answers, recorder)
    for index, row in answers.rows_told():
        facts += heard.row(index, row)
    if not facts:
        return 0
    for reader in answers.survey.readers.values():
        reader.forget_names()
    today = recorder.known.today(zone)
    for start in range(0, len(facts), _FACTS_AT_ONCE):
        some = tuple(facts[start : start + _FACTS_AT_ONCE])
        said = canonical([recorder.writer.head(), [fact_body(fact) for fact in some]])
        key = f"answers:{sha256(said.encode('utf-8', 'surrogatepass')).hexdigest()}"
        recorder.must_record(Draft(key, "answer", today, some))
        recorder.append_held()
    return sum(fact.setting == SETTING for fact in facts)


class _Hearing:
    """Reads the answers of one file, row by row."""

    def __init__(self, answers: Answers, recorder: Recorder) -> None:
        self.answers = answers
        self.directory = Directory(recorder)
        self.known = recorder.known

    def row(self, index: int, row: Row) -> Iterator[Setting]:
        """The facts that the answer on one row, or its mending, comes to."""
        told = self.answers.told[index]
        if not (told.mark or told.answer):
            return
        reader = self.answers.survey.reader_of(row)
        plan = reader.plan
        mark = self.answers.mark(index, plan, row)
        base = dict(self.answers.kept.get(mark, {}))
        mended = bool(told.mark) and _mended(told.mark, plan, row)
        if mended:
            base = self.answers.cells_said(plan, row)
        # What stands beside a row that is in the book and asks nothing changes nothing.
        heard = told.answer and (mended or told.question or not told.outcome.startswith(_WENT_IN))
        asked, given, wrong = self._given(plan, row, base, told) if heard else ({}, {}, {})
        if wrong:
            self.answers.wrong[mark] = wrong
        now = base | given
        if mended and not given and reader.read(row).problems:
            return
        if not now or now == self.answers.kept.get(mark):
            return
        self.answers.kept[mark] = now
        self.answers.read(row, now)
        why = f"answered in {self.answers.survey.file} row {row.number}"
        yield Setting(SETTING, mark, now, why)
        for field, text in given.items():
            yield from self._alias(plan, row, field, text, asked.get(field), why)

    def _given(
        self, plan: Plan, row: Row, base: Mapping[str, str], told: Told
    ) -> tuple[dict[str, Problem], dict[str, str], dict[str, Problem]]:
        """What is asked about a row now, the answers that settle it, and those that do not."""
        reading = self.answers.read(row, base)
        asked = dict(names_asked(self.directory, reading))
        asked |= {field: problem for field, problem in reversed(reading.problems) if field}
        records = (*fields_of(plan.map.records), *ABOUT_ROW)
        named, loose = parts_of(told.answer, words_for_fields(plan, row, told.answer, asked))
        open_fields = asked_fields(told.question, records) or list(asked)
        open_fields = [field for field in open_fields if field not in named]
        given: dict[str, str] = {}
        wrong: dict[str, Problem] = {}
        for field, text in named.items():
            self._weigh(plan, row, base, field, text, asked.get(field), given, wrong)
        for text in loose:
            field = self._meant(plan, row, base, open_fields, text, asked)
            if field:
                self._weigh(plan, row, base, field, text, asked.get(field), given, wrong)
                open_fields = [one for one in open_fields if one != field]
            else:
                wrong[ROW] = unknown_field(text) or _for_which(text, open_fields)
        if any(field not in asked for field in wrong):
            # The rest would let the row in, and nobody would be told of this part.
            given.clear()
        return asked, given, wrong

    def _weigh(
        self, plan: Plan, row: Row, base: Mapping[str, str], field: str, text: str,
        problem: Problem | None, given: dict[str, str], wrong: dict[str, Problem],
    ) -> None:  # fmt: skip
        found = self._settles(plan, row, {**base, **given}, field, text, problem)
        if isinstance(found, Problem):
            wrong[field] = unclear_answer(text, found)
        else:
            given[field] = found

    def _meant(
        self, plan: Plan, row: Row, base: Mapping[str, str], fields: list[str], text: str,
        asked: Mapping[str, Problem],
    ) -> str:  # fmt: skip
        """The one open question that an answer without a field can be meant for."""
        if len(fields) == 1 and unknown_field(text) is None:
            return fields[0]
        fitting = [
            field for field in fields
            if not isinstance(
                self._settles(plan, row, base, field, text, asked.get(field)), Problem
            )
        ]  # fmt: skip
        return fitting[0] if len(fitting) == 1 else ""

    def _settles(
        self, plan: Plan, row: Row, base: Mapping[str, str], field: str, text: str,
        problem: Problem | None,
    ) -> str | Problem:  # fmt: skip
        """The answer as it is kept, or why it settles nothing."""
        if not text:
            return Problem("value-unclear", f"it names no {field}.", "Write the value behind it.")
        value = chosen(field, text, problem)
        if field in ABOUT_ROW:
            choices = JOB_CHOICES if field == JOB else (TAKE, LEAVE)
            code = "same-job" if field == JOB else "row-doubtful"
            return value or Problem(
                code, "it is none of the answers.", f"Answer {' or '.join(choices)}.",
                choices=choices,
            )  # fmt: skip
        kinds = kinds_named(plan.map.records, field)
        if value == NEW:
            return NEW if kinds else _nothing_new(problem, field)
        if field == "circuit" and self._is_circuit(row, base, value):
            return value
        if kinds:
            return self._named(kinds, value, problem)
        reading = self.answers.read(row, {**base, field: value})
        others = ("amount", "") if field in MASS_FIELDS else ()
        left = (one for name, one in reading.problems if name == field or name in others)
        return next(left, None) or _spelled(plan, reading, field, value)

    def _is_circuit(self, row: Row, base: Mapping[str, str], value: str) -> bool:
        """Whether an answer is the letter of a circuit of the unit that the row names."""
        reading = self.answers.read(row, {**base, "circuit": value})
        whole = reading.circuit()
        return whole != value and self.known.master("circuit", whole) is not None

    def _named(self, kinds: tuple[str, ...], text: str, problem: Problem | None) -> str | Problem:
        """What an answer names in the book."""
        for kind in kinds:
            master = self.known.master(kind, text)
            if master is not None:
                return master.name
        if "person" in kinds and len(people := self.directory.people_by_initials(text)) == 1:
            return people[0]
        near = [one for kind in reversed(kinds) for one in self.known.near(kind, text)]
        near = list(dict.fromkeys(near))[:3]
        alike = [one for one in near if squeezed(one) == squeezed(text)]
        if len(alike) == 1:
            return alike[0]
        offer = problem.choices if problem and problem.choices else (*near, NEW)
        listed = ", ".join(offer)
        return Problem(
            "unknown-id", "it is not in the book either.", f"Answer one of: {listed}.",
            choices=tuple(offer),
        )  # fmt: skip

    def _alias(
        self, plan: Plan, row: Row, field: str, means: str, problem: Problem | None, why: str
    ) -> Iterator[Setting]:
        """The alias that an answer about a name comes to, which serves every later row."""
        at = plan.places.get(field, -1)
        written = cell_text(row.cells[at]) if 0 <= at < len(row.cells) else ""
        if problem is None or not written or means == NEW:
            return
        if field == "refrigerant" and problem.code == "refrigerant-unknown":
            key = alias_key(written)
            aliases = self.answers.survey.aliases
            if key not in aliases and not _BARE_NUMBER.fullmatch(written):
                aliases[key] = means
                yield Setting("refrigerant name", key, means, why)
        elif problem.code == "unknown-id" and "is in the book" in problem.sentence:
            fold = folded(written)
            for kind in kinds_named(plan.map.records, field):
                master = self.known.master(kind, means)
                if master is None or master.name != means or fold == folded(means):
                    continue
                if self.known.master(kind, written) is None and (
                    f"{kind}:{fold}" not in self.answers.aliases
                ):
                    self.answers.aliases[f"{kind}:{fold}"] = means
                    yield Setting("alias", f"{kind}:{fold}", means, why)
                return


def _mended(mark: str, plan: Plan, row: Row) -> bool:
    """Whether somebody changed the cells of a row since it was marked.

    A formula that has no stored result says nothing of what was there.
    """
    return not any(isinstance(cell, Unread) for cell in row.cells) and not still_says(
        mark, plan, row
    )


def _spelled(plan: Plan, reading: Reading, field: str, text: str) -> str:
    """An answer that was read, in the spelling that can be read in one way only."""
    if field == "date" and reading.day:
        return reading.day
    if field == "time" and reading.time:
        return reading.time
    if field == "refrigerant" and not reading.doubt:
        return reading.text(field) or text
    if field in MASS_FIELDS and field != "readings":
        unit = next((one.unit for one in plan.columns if one.field == field), plan.map.unit)
        found = read_mass(text, reading.values.get("amount unit", unit))
        return found.written if isinstance(found, Quantity) else text
    return text


def _for_which(text: str, fields: list[str]) -> Problem:
    shown = text[:80]
    if not fields:
        return Problem("value-unclear", f'The answer "{shown}" is for no question of this row.',
                       "Write the field before it, such as unit: RTU-3.")  # fmt: skip
    example = "; ".join(f"{field}: ..." for field in fields)
    return Problem(
        "value-unclear", f'The answer "{shown}" does not say which question it is for.',
        f"Write {example}",
    )  # fmt: skip


def _nothing_new(problem: Problem | None, field: str) -> Problem:
    if problem is not None:
        return problem
    return Problem("value-unclear", f"a new {field} needs its value.", "Write the value itself.")
