"""Short ways to read a sheet past the book: its records, and what was left out of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ledger.intake.columns import ColumnMap
from ledger.intake.sheets import Row, Unread, cell_text
from ledger.intake.spool import Spool
from ledger.intake.survey import Survey, survey

HEAD = ("Date", "Unit", "Refrigerant", "Added", "Tank", "Tech")


@dataclass(slots=True)
class Taken:
    """What a file came to: its records as texts by row, their marks, and the survey."""

    found: Survey
    rows: list[Row] = field(default_factory=list)

    def cells(self, *places: int) -> dict[int, list[str]]:
        """The cells of each record at these places, by row; a question shows as "?"."""
        return {
            row.number: [
                "?" if isinstance(cell, Unread) else cell_text(cell)
                for cell in (row.cells[at] if at < len(row.cells) else None for at in places)
            ]
            for row in self.rows
        }

    def marks(self) -> dict[int, tuple[str, ...]]:
        """The marks of the records that have any."""
        return {row.number: row.marks for row in self.rows if row.marks}

    def left(self) -> list[tuple[int, str]]:
        """The rows left out, with why, in order."""
        return sorted((one.row, one.why) for looked in self.found.sheets for one in looked.left)

    def read(self) -> dict[int, Any]:
        """Each record as it would be read, by row."""
        return {row.number: self.found.reader_of(row).read(row) for row in self.rows}


def taken(path: Path, chosen: ColumnMap | None = None, sheets: Sequence[str] = ()) -> Taken:
    """Read a file as an import would, up to what needs a book."""
    with Spool() as spool:
        made = Taken(survey(path, spool, (), chosen, sheets, {}))
        made.rows = [Row(*kept) for _, kept in spool.read(range(len(spool)))]
        return made


def csv_of(folder: Path, *rows: Sequence[str], name: str = "jobs.csv") -> Path:
    """A text file with these rows."""
    import csv

    path = folder / name
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
    return path


def xlsx_of(
    folder: Path, *rows: Sequence[object], change: Callable[[Any], None] = lambda _: None,
    title: str = "Sheet", name: str = "jobs.xlsx",
) -> Path:  # fmt: skip
    """A workbook of one sheet with these rows; `change` gets the sheet before it is saved."""
    from openpyxl import Workbook

    sheet: Any = Workbook().active
    sheet.title = title
    for row in rows:
        sheet.append(list(row))
    change(sheet)
    sheet.parent.save(folder / name)
    return folder / name
