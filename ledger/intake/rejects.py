"""Files the rejected rows of an import: the sheet as it was, with the reason beside each row.

A person mends the rows where they are used to, and imports the file: only the mended rows are
recorded, and the reason columns are passed over.
"""

from __future__ import annotations

import csv
import os
from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.facts.limits import LARGEST_CELL
from ledger.facts.problems import Problem, refuse
from ledger.intake.headers import REJECT_COLUMNS, REJECT_MARK, is_reject_heading
from ledger.intake.plan import Plan
from ledger.intake.sheets import GUARDED, TEXT_NAMES, Row, Unread, cell_text

if TYPE_CHECKING:
    from ledger.intake.survey import Survey

Filed = tuple[Row, tuple[Problem, ...], tuple[str, ...]]
"""A rejected row, its problems in order, and the cells they are about."""

REASONS = tuple(f"{REJECT_MARK} {name}" for name in REJECT_COLUMNS)
"""The headings that a reject file adds to those of the sheet."""


def check_place(path: Path) -> None:
    """Refuse, with `file-exists` or `file-unwritable`, a place where no reject file can go."""
    if path.exists():
        raise refuse("file-exists", f"{path} is there already.", "Name another with --rejects.")
    if not path.parent.is_dir():
        raise refuse("file-unwritable", f"There is no folder {path.parent}.", "Make it first.")


def write_rejects(path: Path, found: Survey, filed: Iterable[Filed]) -> None:
    """Write rejected rows to a new file, sheet by sheet, whole or not at all.

    The kind of file is that of `path`: text for a text name, else a workbook. Refused with
    `file-exists` or `file-unwritable`.
    """
    check_place(path)
    part = path.with_name(f".{path.name}.part")
    plans = {one.sheet: one.plan for one in found.sheets if one.plan is not None}
    try:
        if path.suffix.casefold() in TEXT_NAMES:
            _write_text(part, plans, filed)
        else:
            _write_workbook(part, plans, filed)
        os.link(part, path)
    except FileExistsError:
        check_place(path)
        raise
    except OSError as error:
        raise refuse(
            "file-unwritable", f"{path}: {error.strerror or 'it cannot be written'}.",
            "Name another place with --rejects; the rows are in the report as well.",
        ) from None  # fmt: skip
    finally:
        part.unlink(missing_ok=True)


def _write_text(part: Path, plans: dict[str, Plan], filed: Iterable[Filed]) -> None:
    with part.open("w", newline="", encoding="utf-8-sig") as out:
        writer = csv.writer(out)
        for sheet, rows in groupby(filed, key=lambda one: one[0].sheet):
            for line in _lines(plans[sheet], rows):
                writer.writerow([_guarded(cell) for cell in line])


def _write_workbook(part: Path, plans: dict[str, Plan], filed: Iterable[Filed]) -> None:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    for sheet, rows in groupby(filed, key=lambda one: one[0].sheet):
        out = book.create_sheet(sheet or None)
        out.freeze_panes = "A2"
        for line in _lines(plans[sheet], rows):
            cells = []
            for value in line:
                text = isinstance(value, str)
                cell = WriteOnlyCell(out, _storable(value) if text else value)
                if text:
                    # What a person typed stays text, also where it looks like a formula.
                    cell.data_type = "s"
                cells.append(cell)
            out.append(cells)
    with part.open("wb") as file:
        book.save(file)


def _lines(plan: Plan, rows: Iterable[Filed]) -> Iterator[list[Any]]:
    """The headings, then each row as it was, with where it stood and why it was rejected.

    What every row had by the name or the map of its sheet stands in columns of its own, for
    the reject file has another name.
    """
    constants = {name: text for name, text in plan.constants.items() if name not in plan.places}
    own = [index for index, title in enumerate(plan.titles) if not is_reject_heading(title)]
    yield [*(plan.titles[index] for index in own), *constants, *REASONS]
    for row, problems, cells in rows:
        there = [_kept(row.cells[index]) if index < len(row.cells) else None for index in own]
        said = [problem.sentence for problem in problems]
        if beyond := [text for cell in row.cells[plan.width :] if (text := cell_text(cell))]:
            said.append(f"Beyond the headings stood: {', '.join(beyond)}.")
        yield [
            *there, *constants.values(), row.sheet, row.number, ", ".join(cells),
            ", ".join(dict.fromkeys(problem.code for problem in problems)),
            " ".join(dict.fromkeys(said)),
            " ".join(dict.fromkeys(problem.remedy for problem in problems)),
        ]  # fmt: skip


def _kept(cell: object) -> Any:
    """A cell as it was; one without a value of its own says why, so that it is mended."""
    return f"? {cell.why}" if isinstance(cell, Unread) else cell


def _guarded(cell: object) -> object:
    """A cell of separated text: what looks like a formula gets an apostrophe in front."""
    text = cell if isinstance(cell, str) else cell_text(cell)
    if not text.lstrip("'").startswith(GUARDED) or _is_plain(text):
        return text
    return f"'{text}"


def _is_plain(text: str) -> bool:
    """A dash, or a number with its sign, is no formula."""
    return not text.strip("-") or text[1:].replace(".", "", 1).isdecimal()


def _storable(text: str) -> str:
    """A text a workbook can hold: control characters gone, nothing longer than a cell holds."""
    clean = "".join(sign for sign in text if sign.isprintable() or sign in "\n\t\u00a0")
    return clean[:LARGEST_CELL]
