"""Lays reports out as workbooks that print well, read well, and compute in the open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

from ledger.facts.problems import refuse
from ledger.reports.archive import write_parts
from ledger.reports.cells import is_text, ratio, totals_row
from ledger.reports.definitions import Definition, Sheet
from ledger.reports.safe import for_sheet
from ledger.reports.sheet_cells import Place, RowWriter, Styles, address_of, heading_of
from ledger.reports.table import Table
from ledger.reports.xlsx_page import (
    HEADING_ROW,
    LINE,
    banner,
    heading_height,
    height_of,
    run_over,
    set_up,
    width_of,
)

ROW_LIMIT = 1_048_576 - 100
"""Rows a sheet can hold, with room for its title and notes."""


def write(
    definition: Definition, tables: Mapping[str, Table], path: Path, settings: Mapping[str, str]
) -> None:
    """Write the report to `path`, which must not exist; one table per sheet, by sheet key.

    `settings` are the shop's: `name` and `address` for the page header, `paper` letter
    (unless said) or a4.
    """
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    first = tables[definition.sheets[0].key]
    _describe(book, definition, first, settings)
    laid = {sheet.key: _ordered(sheet, tables[sheet.key]) for sheet in definition.sheets}
    places = {sheet.key: _place(sheet, len(laid[sheet.key].rows)) for sheet in definition.sheets}
    styles, results = Styles(), {}
    for number, sheet in enumerate(definition.sheets, 1):
        target: Any = book.create_sheet(sheet.title)
        widths = [width_of(column, laid[sheet.key].rows) for column in sheet.columns]
        writer = RowWriter(target, sheet, places, styles)
        notes = _notes(definition if number == 1 else None, sheet, laid[sheet.key])
        set_up(target, definition, places[sheet.key], widths, laid[sheet.key], settings)
        _fill(target, writer, laid[sheet.key], notes, widths)
        results[f"xl/worksheets/sheet{number}.xml"] = writer.results
    write_parts(book, path, results)


def _describe(book: Any, definition: Definition, first: Table, settings: Mapping[str, str]) -> None:
    """The properties of the file: no time of day, so that the same report is the same file."""
    moment = datetime.fromisoformat(f"{first.as_of or '2000-01-01'}T00:00:00")
    book.properties.created = book.properties.modified = moment
    book.properties.creator = for_sheet(settings.get("name") or "Tarebook")
    book.properties.title = for_sheet(definition.title)
    book.calculation.fullCalcOnLoad = True


def _ordered(sheet: Sheet, table: Table) -> Table:
    """The table with the columns of the sheet and its rows in the sheet's order."""
    if len(table.rows) > ROW_LIMIT:
        raise refuse(
            "file-too-large",
            f"The sheet {sheet.title} would have {len(table.rows):,} rows; a sheet holds fewer.",
            "Narrow the period, or write CSV.",
        )
    rows = list(table.rows)
    for name in reversed(sheet.order):
        key = name.removeprefix("-")
        rows.sort(key=lambda row: _within(row.get(key)), reverse=name.startswith("-"))
        rows.sort(key=lambda row: _class(row.get(key)))
    return replace(table, columns=sheet.columns, rows=rows)


def _class(value: object) -> int:
    """Numbers before words before nothing, whichever way a column is ordered."""
    return 2 if value is None else 1 if is_text(value) else 0


def _within(value: object) -> tuple[Fraction, str]:
    if value is None or isinstance(value, str):
        return (Fraction(0), value or "")
    return (ratio(value), "")


def _place(sheet: Sheet, rows: int) -> Place:
    letters = {column.key: address_of(index) for index, column in enumerate(sheet.columns)}
    first = HEADING_ROW + 1
    return Place(sheet.title, first, first + max(rows, 1) - 1, letters)


def _notes(definition: Definition | None, sheet: Sheet, table: Table) -> list[str]:
    """What stands under the rows; the first sheet tells the citations of the whole report."""
    notes = [f"Caution: {caution}" for caution in table.cautions]
    notes += [*table.notes, *sheet.notes]
    if definition is not None and definition.citations:
        notes.append("Rests on: " + "; ".join(definition.citations) + ".")
    return notes


def _fill(
    target: Any, writer: RowWriter, table: Table, notes: Sequence[str], widths: Sequence[int]
) -> None:
    """All of a sheet from the top: title, answer, provenance, headings, rows, totals, notes."""
    span = banner(widths)
    top = [
        (table.title, "title", 19, 14),
        (table.answer, "answer", LINE, 11),
        (table.provenance(), "small", 13, 9),
        ("", "small", 8, 9),
    ]
    for number, (text, role, height, size) in enumerate(top, 1):
        run_over(target, number, span.columns, text, span.room * 11 // size, height)
        target.append([writer.text(text, role)])
    columns = writer.sheet.columns
    target.row_dimensions[HEADING_ROW].height = heading_height(columns, widths)
    target.append([writer.text(heading_of(column), "heading", column) for column in columns])
    last = _fill_rows(target, writer, table, widths)
    for number, text in enumerate(["", *notes], last + 1):
        run_over(target, number, span.columns, text, span.room * 11 // 9, 13)
        target.append([writer.text(text, "small")])
    target.print_area = f"A1:{address_of(span.columns - 1)}{last + 1 + len(notes)}"


def _fill_rows(target: Any, writer: RowWriter, table: Table, widths: Sequence[int]) -> int:
    """The rows and their totals; the number of the last row written."""
    number = HEADING_ROW
    for number, row in enumerate(table.rows, HEADING_ROW + 1):
        if height := height_of(table.columns, widths, row):
            target.row_dimensions[number].height = height
        target.append(writer.row(row, number))
        target.row_dimensions.pop(number, None)  # Written; kept, they would fill the memory.
    if not table.rows:
        target.append([writer.text("No rows.", "body")])
        return HEADING_ROW + 1
    sums = totals_row(table)
    if not sums:
        return number
    target.append(writer.totals(sums, table.rows))
    return number + 1
