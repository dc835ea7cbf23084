"""Reads the sheets of an .xlsx workbook as rows of plain cells, a bounded piece at a time."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any, TypeVar

from ledger.intake.sheets import Row, Unread, unfit
from ledger.intake.unpacking import check_archive

T = TypeVar("T")

_ROWS_AT_ONCE = 200
_NO_RESULT = Unread("is a formula whose result is not stored in the file")
_DIGITS = 15
"""Digits that spreadsheet programs show of a number; what a sum leaves beyond them is noise."""


class Workbook:
    """An open workbook: the names of its sheets in tab order, and their rows."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._book: Any = self._careful(lambda: _load(path))
        cells = [sheet for sheet in self._book.worksheets if hasattr(sheet, "_get_source")]
        self.sheets: list[str] = [sheet.title for sheet in cells]
        self.hidden: list[str] = [
            sheet.title for sheet in cells if sheet.sheet_state not in (None, "visible")
        ]
        self.notes: list[str] = []
        if not cells:
            self._book.close()
            raise unfit(path, "holds no sheets")
        if len(cells) < len(self._book.sheetnames):
            self.notes.append("Chart sheets were left out.")

    def rows(self, sheet: str) -> Iterator[Row]:
        """The stored rows of one sheet, from the top."""
        parsed = self._careful(lambda: _parsed(self._book[sheet]))
        while rows := self._careful(lambda: list(islice(parsed, _ROWS_AT_ONCE))):
            for number, cells in rows:
                yield Row(sheet, number, cells)

    def close(self) -> None:
        """Let go of the file."""
        self._book.close()

    def _careful(self, read: Callable[[], T]) -> T:
        """What `read` gives; whatever the library stumbles over is a refusal, not a traceback."""
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                return read()
        except Exception as error:
            raise unfit(self.path, "is damaged or is not a workbook") from error


def open_workbook(path: Path) -> Workbook:
    """A workbook, looked over first; refused with `file-unfit` or `file-too-large`."""
    check_archive(path)
    return Workbook(path)


def _load(path: Path) -> Any:
    import openpyxl

    return openpyxl.load_workbook(path, read_only=True, data_only=True, keep_links=False)


def _parsed(sheet: Any) -> Iterator[tuple[int, list[object]]]:
    """Row numbers and cells of a sheet, past the library's own loop.

    That loop fills up rows to the width a sheet claims to have, which can be any, and shows a
    formula without a stored result as an empty cell.
    """
    from openpyxl.worksheet._reader import FORMULA_TAG, WorkSheetParser

    class Parser(WorkSheetParser):  # type: ignore[misc, unused-ignore]
        def parse_cell(self, element: Any) -> dict[str, Any]:
            cell: dict[str, Any] = super().parse_cell(element)
            if cell["value"] is None and element.find(FORMULA_TAG) is not None:
                cell["value"] = _NO_RESULT
            return cell

    book = sheet.parent
    with sheet._get_source() as source:
        parser = Parser(
            source, sheet._shared_strings, data_only=True, epoch=book.epoch,
            date_formats=book._date_formats, timedelta_formats=book._timedelta_formats,
        )  # fmt: skip
        for number, cells in parser.parse():
            yield number, _cells(cells)


def _cells(parsed: list[dict[str, Any]]) -> list[object]:
    cells: list[object] = []
    for cell in parsed:
        index, value = cell["column"] - 1, cell["value"]
        if index >= len(cells):
            cells.extend([None] * (index + 1 - len(cells)))
        if cell["data_type"] == "e" and value is not None:
            value = Unread(f"shows the error {value}")
        elif type(value) is float:
            value = float(f"{value:.{_DIGITS}g}")
        cells[index] = value
    return cells
