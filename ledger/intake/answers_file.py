"""Writes the copy of a sheet in which a person answers: every row as it stood, what became of it.

The outcome, the entry, the question and a place for the answer stand beside each row, where
the person works anyway; the copy is then imported like any sheet.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.facts.problems import Refused, refuse
from ledger.intake.headers import ANSWER_COLUMNS, REJECT_MARK, is_reject_heading
from ledger.intake.held_out import Held
from ledger.intake.plan import Plan
from ledger.intake.questions import asked_line, asks, offers
from ledger.intake.report import ALREADY, DUPLICATE, SKIPPED, Outcomes
from ledger.intake.sheets import TEXT_NAMES, Row

if TYPE_CHECKING:
    from ledger.intake.survey import Survey

LARGEST_COPY_ROWS = 20_000
"""Rows of a file that is copied whole; of a larger one only the rows held out are written."""
HEADINGS = tuple(f"{REJECT_MARK} {name}" for name in ANSWER_COLUMNS)
"""The headings that an answers file adds to those of the sheet, in this order."""


@dataclass(frozen=True, slots=True)
class Beside:
    """What stands beside one row in the copy; `choices` are offered for its answer."""

    outcome: str
    entry: int = 0
    question: str = ""
    answer: str = ""
    mark: str = ""
    choices: tuple[str, ...] = ()

    def cells(self) -> list[object]:
        """The cells under HEADINGS."""
        return [self.outcome, self.entry or None, self.question, self.answer, self.mark]


@dataclass(slots=True)
class Copy:
    """What goes into the copy of a file: the plans of its sheets, and what stands beside rows.

    `plans` are those of each sheet's tables by their number, `held` gives the rows held out,
    once more each time; `beside` that of all rows by sheet and number, empty where the file
    cannot be copied whole: it is too large, or has tables side by side.
    """

    source: Path
    plans: dict[str, dict[int, Plan]]
    held: Iterable[Held]
    beside: dict[str, dict[int, Beside]] = field(default_factory=dict)


def check_place(path: Path) -> None:
    """Refuse, with `file-exists` or `file-unwritable`, a place where no answers file can go."""
    if path.exists():
        raise refuse("file-exists", f"{path} is there already.", "Name another with --answers.")
    if not path.parent.is_dir():
        raise refuse("file-unwritable", f"There is no folder {path.parent}.", "Make it first.")


def write_answers(
    path: Path, source: Path, found: Survey, held: Iterable[Held], outcomes: Outcomes
) -> None:
    """Write the copy of a file to a new place, whole or not at all.

    The kind of file is that of `path`: text for a text name, else a workbook. Refused with
    `file-exists` or `file-unwritable`.
    """
    check_place(path)
    part = path.with_name(f".{path.name}.part{path.suffix}")
    try:
        _write(part, _copy_of(source, found, held, outcomes))
        os.link(part, path)
    except FileExistsError:
        check_place(path)
        raise
    except OSError as error:
        raise refuse(
            "file-unwritable", f"{path}: {error.strerror or 'it cannot be written'}.",
            "Name another place with --answers; the questions are in the report as well.",
        ) from None  # fmt: skip
    finally:
        part.unlink(missing_ok=True)


def _write(part: Path, copy: Copy) -> None:
    from ledger.intake.answers_text import write_text
    from ledger.intake.answers_workbook import copy_workbook, write_workbook

    text = part.suffix.casefold() in TEXT_NAMES
    if text:
        write_text(part, copy)
    elif copy.beside and copy.source.suffix.casefold() not in TEXT_NAMES:
        try:
            copy_workbook(part, copy)
        except Refused:
            # A workbook that the library cannot take whole is answered by its rows alone.
            copy.beside = {}
            write_workbook(part, copy)
    else:
        write_workbook(part, copy)


def _copy_of(source: Path, found: Survey, held: Iterable[Held], outcomes: Outcomes) -> Copy:
    plans: dict[str, dict[int, Plan]] = {}
    for one in found.sheets:
        if one.plan is not None:
            plans.setdefault(one.sheet, {})[one.table] = one.plan
    copy = Copy(source, plans, held)
    if len(found.spool) > LARGEST_COPY_ROWS:
        return copy
    for index, kept in found.spool.read(range(len(found.spool))):
        row, (outcome, entry) = Row(*kept), outcomes.of(index)
        there = copy.beside.setdefault(row.sheet, {})
        if row.number in there:
            copy.beside = {}
            return copy
        there[row.number] = Beside(_said(outcome, entry), entry)
    for out in held:
        copy.beside[out.row.sheet][out.row.number] = beside_of(out)
    return copy


def _said(outcome: str, entry: int) -> str:
    if outcome in (ALREADY, DUPLICATE):
        return f"{outcome} (entry {entry})" if outcome == ALREADY else f"duplicate of entry {entry}"
    return "left out" if outcome == SKIPPED else outcome


def beside_of(one: Held) -> Beside:
    """What stands beside a row that is held out."""
    lines = (
        asked_line(name, cell, problem)
        for (name, problem), cell in zip(one.asked, one.cells, strict=True)
    )
    asked = [(name, problem) for name, problem in one.asked if asks(problem)]
    choices = offers(asked) if len(asked) == len(one.asked) else ()
    entry = next((problem.entry for _, problem in one.asked if problem.entry), 0)
    return Beside(
        one.outcome, entry, "\n".join(dict.fromkeys(lines)), one.answer, one.mark, choices
    )


def own_columns(plan: Plan) -> list[int]:
    """The columns of a sheet that are the shop's, and not those of an earlier answers file."""
    return [index for index, title in enumerate(plan.titles) if not is_reject_heading(title)]


def constants_of(plan: Plan) -> dict[str, str]:
    """What every row has by the name or the map of its sheet: columns of the copy.

    The copy has another name, and may be read without the map.
    """
    return {name: text for name, text in plan.constants.items() if name not in plan.places}


def tables_held(copy: Copy) -> Iterator[tuple[str, Plan, Iterator[Held]]]:
    """The rows that are held out, table by table, with the plan they were read by."""
    for (sheet, table), rows in groupby(copy.held, key=lambda one: (one.row.sheet, one.row.table)):
        yield sheet, copy.plans[sheet][table], rows


def held_lines(plan: Plan, rows: Iterable[Held]) -> Iterator[tuple[list[object], Beside | None]]:
    """The headings, then each row that is held out, with what stands beside it."""
    own, constants = own_columns(plan), constants_of(plan)
    yield [*(plan.titles[index] for index in own), *constants], None
    for one in rows:
        cells = one.row.cells
        there = [cells[index] if index < len(cells) else None for index in own]
        yield [*there, *constants.values()], beside_of(one)
