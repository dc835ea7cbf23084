"""Files the rejected rows of an import: the sheet as it was, with the reason beside each row.

A person mends the rows where they are used to, and imports the file: only the mended rows are
recorded, and the reason columns are passed over.
"""

from __future__ import annotations

import csv
import os
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.facts.problems import Problem, refuse
from ledger.intake.columns import REJECT_COLUMNS, REJECT_MARK
from ledger.intake.plan import Plan
from ledger.intake.sheets import Row, Unread, cell_text

if TYPE_CHECKING:
    from ledger.intake.survey import Survey

Filed = tuple[Row, tuple[Problem, ...], tuple[str, ...]]

REASONS = tuple(f"{REJECT_MARK} {name}" for name in REJECT_COLUMNS)
"""The headings that a reject file adds to those of the sheet."""
COMMANDS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the beginning of a formula."""


def write_rejects(path: Path, found: Survey, filed: Iterable[Filed]) -> None:
    """Write rejected rows to a new file, sheet by sheet, whole or not at all.

    The kind of file is that of `path`. Refused with `file-exists` where it is there.
    """
    if path.exists():
        raise refuse("file-exists", f"{path} is there already.", "Name another with --rejects.")
    part = path.with_name(f".{path.name}.part")
    try:
        if path.suffix.casefold() == ".xlsx":
            _write_workbook(part, found, filed)
        else:
            _write_text(part, found, filed)
        os.link(part, path)
    finally:
        part.unlink(missing_ok=True)


def _write_text(part: Path, found: Survey, filed: Iterable[Filed]) -> None:
    with part.open("x", newline="", encoding="utf-8-sig") as out:
        writer = csv.writer(out)
        for sheet, rows in groupby(filed, key=lambda one: one[0].sheet):
            plan = _plan(found, sheet)
            writer.writerow([*_headings(plan), *REASONS])
            writer.writerows([_guarded(cell) for cell in line] for line in _lines(plan, rows))


def _write_workbook(part: Path, found: Survey, filed: Iterable[Filed]) -> None:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    for sheet, rows in groupby(filed, key=lambda one: one[0].sheet):
        plan = _plan(found, sheet)
        out = book.create_sheet(sheet[:31] or None)
        out.freeze_panes = "A2"
        out.append([*_headings(plan), *REASONS])
        for line in _lines(plan, rows):
            cells = []
            for value in line:
                cell = WriteOnlyCell(out, _storable(value))
                if isinstance(value, str):
                    # What a person typed stays text, also where it looks like a formula.
                    cell.data_type = "s"
                cells.append(cell)
            out.append(cells)
    book.save(part)


def _plan(found: Survey, sheet: str) -> Plan:
    return next(one.plan for one in found.sheets if one.plan and one.sheet == sheet)


def _headings(plan: Plan) -> list[str]:
    """The headings as they were, then the fields that every row of the sheet had by its name."""
    headings = list(plan.header)
    for column in plan.columns:
        headings[column.index] = column.header
    for index, title in plan.extras:
        headings[index] = title
    return [*headings, *_constants(plan)]


def _constants(plan: Plan) -> dict[str, str]:
    return {name: text for name, text in plan.constants.items() if name not in plan.places}


def _lines(plan: Plan, rows: Iterable[Filed]) -> Iterator[list[Any]]:
    """Each row as it was, with where it stood and why it was rejected."""
    constants = list(_constants(plan).values())
    for row, problems, cells in rows:
        line = [*row.cells[: plan.width], *[None] * (plan.width - len(row.cells)), *constants]
        yield [
            *line, row.sheet, row.number, ", ".join(cells),
            ", ".join(dict.fromkeys(problem.code for problem in problems)),
            " ".join(dict.fromkeys(problem.sentence for problem in problems)),
            " ".join(dict.fromkeys(problem.remedy for problem in problems)),
        ]  # fmt: skip


def _guarded(value: Any) -> Any:
    """A cell of separated text: what looks like a formula gets an apostrophe in front."""
    if isinstance(value, Unread):
        return ""
    if isinstance(value, str):
        clean = "".join(sign for sign in value if sign.isprintable() or sign in "\n\t")
        return f"'{clean}" if clean.startswith(COMMANDS) else clean
    return value.isoformat() if isinstance(value, (date, datetime, time)) else value


def _storable(value: Any) -> Any:
    """A cell of a workbook: control characters gone, nothing longer than a cell holds."""
    if isinstance(value, Unread):
        return ""
    if isinstance(value, str):
        return "".join(sign for sign in value if sign.isprintable() or sign in "\n\t")[:32_000]
    if isinstance(value, (int, float, bool, date, datetime, time)) or value is None:
        return value
    return cell_text(value)
