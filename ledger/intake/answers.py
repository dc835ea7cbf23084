"""What people answered about rows in question, and the rows read with it.

An answer belongs to a mark, which stands for what a row says, so that it is found again
wherever the row stands and whatever its file is called. It is a fact of the book.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.facts.masters import FIELDS, folded
from ledger.facts.problems import Problem
from ledger.facts.resolve import NEW, PLACES
from ledger.intake.headers import (
    ANSWER_COLUMNS,
    MOVEMENTS,
    REJECT_MARK,
    fields_of,
    header_words,
)
from ledger.intake.named import NAMED
from ledger.intake.plan import Plan
from ledger.intake.questions import JOB, ROW, doubts
from ledger.intake.reading import Reading
from ledger.intake.row_marks import Marks, is_mark, said_by, unnumbered
from ledger.intake.sheets import Row, cell_text
from ledger.refrigerants.spelling import alias_key

if TYPE_CHECKING:
    from ledger.intake.survey import Survey

SETTING = "import answer"
"""The setting under which a book keeps what was answered about a row, by the mark of the row."""
_SEVERAL = {
    "unit": ("unit", "circuit"), "circuit": ("circuit",), "site": ("site", "unit", "circuit"),
    "place": PLACES,
}  # fmt: skip
"""Fields that can name things of several kinds, the likeliest first."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the columns of an answers file say of one row."""

    outcome: str = ""
    entry: int = 0
    question: str = ""
    answer: str = ""
    mark: str = ""


def told_columns(plan: Plan) -> dict[str, int]:
    """Where the columns of an answers file stand in a sheet; empty where it has none."""
    found = {header_words(title): index for index, title in enumerate(plan.titles)}
    there = {name: found.get(f"{REJECT_MARK} {name}", -1) for name in ANSWER_COLUMNS}
    return there if there["answer"] >= 0 else {}


def told_of(columns: dict[str, int], row: Row) -> Told:
    """What a row of an answers file says beside its own cells."""
    cells, count = row.cells, len(row.cells)
    text = {
        name: _lines(cells[index]) if 0 <= index < count else ""
        for name, index in columns.items()
    }  # fmt: skip
    entry, mark = text["entry"], text["row"]
    return Told(
        text["outcome"], int(entry) if entry.isascii() and entry.isdigit() else 0,
        text["question"], text["answer"], mark if is_mark(mark) else "",
    )  # fmt: skip


def _lines(cell: object) -> str:
    """The text of a cell with its lines kept apart."""
    if isinstance(cell, str):
        return "\n".join(filter(None, map(cell_text, cell.split("\n"))))
    return cell_text(cell)


def kinds_named(records: str, field: str) -> tuple[str, ...]:
    """The kinds of the book that a field of these records can name; empty where it names none."""
    if records == MOVEMENTS:
        return _SEVERAL.get(field) or ((NAMED[field],) if field in NAMED else ())
    shape = FIELDS[records].get(field)
    if shape is None or shape.shape != "name":
        return ()
    return PLACES if field == "place" else (shape.refers,)


class Answers:
    """The answers that are known while one file is taken in.

    `kept` are those by mark, `aliases` the book's names for things by "kind:name", `begin`
    the names (folded) that were answered to be new, `wrong` what was typed and settles
    nothing, by mark and field.
    """

    def __init__(
        self, found: Survey, kept: Mapping[str, dict[str, str]], aliases: Mapping[str, str]
    ) -> None:
        self.survey = found
        self.kept = dict(kept)
        self.aliases = dict(aliases)
        self.begin: set[str] = set()
        self.wrong: dict[str, dict[str, Problem]] = {}
        self.told: dict[int, Told] = {}
        self._marks = Marks()
        self._mark_of: dict[int, str] = {}
        self._said: set[str] | None = None

    def mark(self, index: int, plan: Plan, row: Row) -> str:
        """The mark of a row in question: the one that its answers file gave it, else its own."""
        found = self._mark_of.get(index)
        if found is None:
            told = self.told.get(index)
            found = (told.mark if told else "") or self._marks.of(plan, row)
            self._mark_of[index] = found
        return found

    def about(self, index: int, reading: Reading) -> Reading | None:
        """A row in question read with what was answered; None where that is no help."""
        if reading.answers is not None:
            return None
        answers = self.kept.get(self.mark(index, reading.plan, reading.row))
        return self.read(reading.row, answers) if answers else None

    def before(self, index: int, reading: Reading) -> Reading | None:
        """A row that asks nothing now, read with what was answered when it did; None for others.

        A name that was answered on another row, or entered since, does not undo what was
        decided about this one.
        """
        if not self.kept or reading.answers is not None:
            return None
        if self._said is None:
            self._said = set(map(unnumbered, self.kept))
        told = self.told.get(index)
        mark = self._mark_of.get(index) or (told.mark if told else "")
        if not mark:
            said = said_by(reading.plan, reading.row)
            if said not in self._said:
                return None
            mark = self._marks.next(said)
        answers = self.kept.get(mark)
        if not answers or (answers.keys() <= {JOB} and not (told and told.mark)):
            return None
        self.mark(index, reading.plan, reading.row)
        return self.read(reading.row, answers)

    def read(self, row: Row, answers: Mapping[str, str]) -> Reading:
        """A row read with these answers in place of what stands in its cells."""
        reader = self.survey.reader_of(row)
        plan, cells, said = reader.plan, list(row.cells), dict[str, str]()
        known = fields_of(plan.map.records)
        # A row that was mended as a whole is read as it was mended, and known again by that.
        mended = all(column.field in answers for column in plan.columns)
        for field, text in answers.items():
            at = plan.places.get(field, -1)
            if field not in known:
                continue
            written = cell_text(cells[at]) if 0 <= at < len(cells) else ""
            if text == NEW:
                self._let_begin(plan, row, field, written)
            elif not mended and self.is_alias(plan, field, written, text):
                continue
            elif at < 0:
                said |= {field: text} if text else {}
            else:
                cells.extend([None] * (at + 1 - len(cells)))
                for column in plan.columns:
                    if column.field == field and column.index < len(cells):
                        cells[column.index] = None
                cells[at] = text or None
        reading = reader.read(row._replace(cells=cells), said)
        reading.row, reading.answers = row, answers
        reading.problems += doubts(reading)
        return reading

    def is_alias(self, plan: Plan, field: str, written: str, means: str) -> bool:
        """Whether what is written stands for the answer anyway, by an alias of the book.

        Such a row is read as it is written, for it is known again by that, with or without
        its answer.
        """
        if not written:
            return False
        if field == "refrigerant":
            return self.survey.aliases.get(alias_key(written)) == means
        fold = folded(written)
        return any(
            self.aliases.get(f"{kind}:{fold}") == means
            for kind in kinds_named(plan.map.records, field)
        )

    def _let_begin(self, plan: Plan, row: Row, field: str, written: str) -> None:
        """What the row names in a field may be begun, in this row and in others."""
        self.begin.add(folded(written))
        if field in ("unit", "circuit"):
            texts = {
                name: cell_text(row.cells[at])
                for name in ("unit", "circuit")
                if 0 <= (at := plan.places.get(name, -1)) < len(row.cells)
            }
            probe = Reading(row, plan, values=texts)
            self.begin.add(folded(probe.circuit()))

    def has_columns(self) -> bool:
        """Whether a sheet of the file came with columns of answers."""
        return any(told_columns(one.plan) for one in self.survey.sheets if one.plan is not None)

    def rows_told(self) -> Iterator[tuple[int, Row]]:
        """The rows of the file that came with columns of answers, noted as they are met."""
        columns: dict[int, dict[str, int]] = {}
        for index, kept in self.survey.spool.read(range(len(self.survey.spool))):
            row = Row(*kept)
            plan = self.survey.reader_of(row).plan
            there = columns.get(id(plan))
            if there is None:
                there = columns[id(plan)] = told_columns(plan)
            if there:
                told = told_of(there, row)
                if told != _NOTHING:
                    self.told[index] = told
                    yield index, row

    def cells_said(self, plan: Plan, row: Row) -> dict[str, str]:
        """Every field of a row as its cells say it: the answer that a mended row is."""
        said: dict[str, str] = {}
        for column in plan.columns:
            cell = row.cells[column.index] if column.index < len(row.cells) else None
            text = cell_text(cell)
            before = said.get(column.field, "")
            said[column.field] = f"{before}; {text}" if before and text else before or text
        return said


_NOTHING = Told()
ABOUT_ROW = (ROW, JOB)
"""Fields of answers that are none of the sheet's."""
