"""Reads the sheets of an .xlsx workbook as rows of plain cells, a bounded piece at a time."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO, TypeVar

from ledger.facts.problems import Refused, refuse
from ledger.intake.sheet_scan import (
    LARGEST_MERGES,
    Scan,
    TooManyMerged,
    adds_rows_up,
    count_comments,
    scan_sheet,
)
from ledger.intake.sheets import HIDDEN, MERGED, STRUCK, SUM, Row, Seen, Struck, Unread, unfit
from ledger.intake.unpacking import check_archive

T = TypeVar("T")

_ROWS_AT_ONCE = 200
_NO_RESULT = Unread("is a formula whose result is not stored in the file")
_TRUE = ("1", "true")
_DIGITS = 15
"""Digits that spreadsheet programs show of a number; what a sum leaves beyond them is noise."""


class Workbook:
    """An open workbook: the names of its sheets in tab order, and their rows."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = path.open("rb")
        try:
            self._book: Any = self._careful(lambda: _load(self._file))
            self._look_over()
        except BaseException:
            # What the library stumbles over it leaves open.
            self._file.close()
            raise

    def _look_over(self) -> None:
        """What the workbook has: its sheets, and its styles that are struck through."""
        cells = [sheet for sheet in self._book.worksheets if hasattr(sheet, "_get_source")]
        self.sheets: list[str] = [sheet.title for sheet in cells]
        self.hidden: list[str] = [
            sheet.title for sheet in cells if sheet.sheet_state not in (None, "visible")
        ]
        self.notes: list[str] = []
        self._struck = self._careful(lambda: _struck_styles(self._book))
        self._comments = -1
        if not cells:
            raise unfit(self.path, "holds no sheets")
        if len(cells) < len(self._book.sheetnames):
            self.notes.append("Chart sheets were left out.")

    def rows(self, sheet: str) -> Iterator[Row]:
        """The stored rows of one sheet, from the top, each with its marks."""
        merges = self._scan(sheet).merges
        parsed = self._careful(lambda: _parsed(self._book[sheet], self._struck))
        while rows := self._careful(lambda: list(islice(parsed, _ROWS_AT_ONCE))):
            for number, cells, marks in rows:
                if merges.fill(number, cells):
                    marks = (MERGED, *marks)
                yield Row(sheet, number, cells, marks)

    def seen(self, sheet: str) -> Seen:
        """What stands around the cells of one sheet, and the comments of the whole workbook."""
        found = self._scan(sheet)
        if self._comments < 0:
            self._comments = self._careful(lambda: count_comments(self._book._archive))
        hidden = tuple(sorted(set(found.hidden_columns)))
        return Seen(len(found.merges), hidden, found.filtered, self._comments)

    def _scan(self, sheet: str) -> Scan:
        def scan() -> Scan:
            with self._book[sheet]._get_source() as source:
                return scan_sheet(source)

        try:
            return self._careful(scan)
        except Refused as refused:
            if isinstance(refused.__cause__, TooManyMerged):
                raise refuse(
                    "file-too-large",
                    f"{self.path.name} holds more than {LARGEST_MERGES:,} merged cells.",
                    "Unmerge them, or save the sheet as .csv.",
                ) from None
            raise

    def close(self) -> None:
        """Let go of the file."""
        self._book.close()
        self._file.close()

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


def _load(file: BinaryIO) -> Any:
    import openpyxl

    return openpyxl.load_workbook(file, read_only=True, data_only=True, keep_links=False)


def _struck_styles(book: Any) -> frozenset[int]:
    """The styles of a workbook whose font is struck through."""
    struck = {index for index, font in enumerate(book._fonts) if font.strike}
    return frozenset(
        index for index, style in enumerate(book._cell_styles) if style.fontId in struck
    )


def _parsed(
    sheet: Any, struck: frozenset[int]
) -> Iterator[tuple[int, list[object], tuple[str, ...]]]:
    """Row numbers, cells and marks of a sheet, past the library's own loop.

    That loop fills up rows to the width a sheet claims to have, which can be any, and shows a
    formula without a stored result as an empty cell.
    """
    from openpyxl.worksheet._reader import FORMULA_TAG, WorkSheetParser

    class Parser(WorkSheetParser):  # type: ignore[misc, unused-ignore]
        sums = False
        shared: frozenset[str] = frozenset()

        def parse_cell(self, element: Any) -> dict[str, Any]:
            cell: dict[str, Any] = super().parse_cell(element)
            if (len(element) > 1 or cell["value"] is None) and (
                formula := element.find(FORMULA_TAG)
            ) is not None:
                if cell["value"] is None:
                    cell["value"] = _NO_RESULT
                self.sums = self.sums or self.adds_up(formula, cell["row"])
            return cell

        def adds_up(self, formula: Any, row: int) -> bool:
            """Whether a formula adds up rows above; one that is shared is written out once."""
            shared = formula.get("si", "") if formula.get("t") == "shared" else ""
            if not formula.text:
                return shared in self.shared
            found = adds_rows_up(formula.text[:1000], row)
            if found and shared:
                self.shared |= {shared}
            return found

        def parse_row(  # type: ignore[override, unused-ignore]
            self, row: Any
        ) -> tuple[int, list[object], tuple[str, ...]]:
            self.sums = False
            number, parsed = super().parse_row(row)
            marks: tuple[str, ...] = (SUM,) if self.sums else ()
            if struck and (found := _struck(parsed, struck)):
                marks = (found, *marks)
            if row.get("hidden") in _TRUE:
                marks = (HIDDEN, *marks)
            return number, _cells(parsed), marks

    book = sheet.parent
    with sheet._get_source() as source:
        parser = Parser(
            source, sheet._shared_strings, data_only=True, epoch=book.epoch,
            date_formats=book._date_formats, timedelta_formats=book._timedelta_formats,
        )  # fmt: skip
        yield from parser.parse()


def _struck(parsed: list[dict[str, Any]], struck: frozenset[int]) -> str:
    """The mark of a row struck through, or with cells that are, which are then `Struck`."""
    filled = [cell for cell in parsed if cell["value"] is not None]
    through = [cell for cell in filled if cell["style_id"] in struck]
    if not through:
        return ""
    if len(through) == len(filled):
        return STRUCK
    for cell in through:
        cell["value"] = Struck(cell["value"])
    return MERGED


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
