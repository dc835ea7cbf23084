"""Makes the cells of a sheet: numbers as numbers, dates as dates, and text that stays text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Context, Decimal
from typing import Any

from ledger.reports.cells import counts, day, exact_number, exact_text, is_text, shown
from ledger.reports.definitions import Sheet
from ledger.reports.formulas import filled, references
from ledger.reports.safe import for_sheet
from ledger.reports.table import Column, Row

DIGITS = 15
"""Digits a spreadsheet keeps of a number; a longer whole number is written as text."""

_DIVIDE = Context(prec=DIGITS)


def address_of(index: int) -> str:
    """The letters of a column, 0 for A."""
    letters = ""
    index += 1
    while index:
        index, place = divmod(index - 1, 26)
        letters = chr(ord("A") + place) + letters
    return letters


@dataclass(frozen=True, slots=True)
class Place:
    """Where a sheet's rows stand: its title, its first and last row, the letters of its columns."""

    title: str
    first: int
    last: int
    letters: dict[str, str]

    def range_of(self, key: str) -> str:
        """The whole column `key`, addressed from any sheet."""
        letter, title = self.letters[key], self.title.replace("'", "''")
        return f"'{title}'!${letter}${self.first}:${letter}${self.last}"


@dataclass(slots=True)
class Styles:
    """The looks of a workbook's cells, each made once and shared."""

    made: dict[tuple[str | bool, ...], Any] = field(default_factory=dict)

    def apply(
        self,
        cell: Any,
        role: str,
        column: Column | None = None,
        *,
        number: bool = False,
        quote: bool = False,
    ) -> Any:
        """Give a cell the look of its role: title, answer, small, heading, body or total."""
        form = number_format(column) if column and number else "General"
        right = bool(column and column.is_number)
        wrap = not number and role != "total"  # The word Total may run over its neighbours.
        key = (role, form, right, wrap, quote)
        if key not in self.made:
            _dress(cell, role, right, wrap)
            cell.number_format = form
            if quote:
                cell.quotePrefix = True
            self.made[key] = cell._style
        cell._style = self.made[key]
        return cell


def _dress(cell: Any, role: str, right: bool, wrap: bool) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

    size = {"title": 14, "small": 9}.get(role, 11)
    bold = role in ("title", "answer", "heading", "total")
    cell.font = Font(name="Calibri", size=size, bold=bold)
    cell.alignment = Alignment(
        horizontal="right" if right else "left",
        vertical="top",
        wrap_text=wrap,
        indent=0 if right or role in ("title", "answer", "small") else 1,
    )
    thin, hair = Side(style="thin", color="808080"), Side(style="hair", color="A6A6A6")
    if role == "heading":
        cell.fill = PatternFill("solid", start_color="EDEDED")
        cell.border = Border(top=thin, bottom=thin)
    elif role == "body":
        cell.border = Border(bottom=hair)
    elif role == "total":
        cell.border = Border(top=thin, bottom=thin)


def number_format(column: Column) -> str:
    """How a spreadsheet prints the numbers of a column."""
    part = "." + "0" * column.places if column.places else ""
    return {
        "mass": f"#,##0{part}",
        "number": f"#,##0{part}",
        "percent": f"0{part}%",
        "money": "#,##0.00",
        "whole": "0",
        "date": "yyyy-mm-dd",
    }.get(column.kind, "General")


def heading_of(column: Column) -> str:
    """The heading with its unit; percentages carry their sign in the cell."""
    return column.heading if column.kind == "percent" and not column.unit else column.label()


def decimal_of(column: Column, value: object) -> Decimal | None:
    """The number of a cell as a spreadsheet keeps it, to 15 digits; None where it has none."""
    number = exact_number(column, value)
    if number is None:
        return None
    if column.kind == "mass" and (exact := exact_text(counts(value), column.mass_unit, 0)):
        return _DIVIDE.create_decimal(exact)
    return _DIVIDE.divide(Decimal(number.numerator), Decimal(number.denominator))


def plain(number: Decimal | None) -> str | None:
    """A number as the text of a formula's result."""
    return None if number is None else format(number, "f")


class RowWriter:
    """Turns rows of one sheet into cells, and keeps the results of the formulas it wrote."""

    def __init__(self, target: Any, sheet: Sheet, places: dict[str, Place], styles: Styles) -> None:
        from openpyxl.cell import WriteOnlyCell

        self.new: Any = WriteOnlyCell
        self.target, self.sheet, self.places, self.styles = target, sheet, places, styles
        self.place = places[sheet.key]
        self.results: list[str | None] = []

    def text(self, text: str, role: str, column: Column | None = None) -> Any:
        """A cell of words, whatever they look like."""
        cell = self.new(self.target)
        words = for_sheet(text)
        quote = words[:1] in ("=", "+", "-", "@")
        self.styles.apply(cell, role, column, quote=quote)
        # Set past the library's setter, which would take "=..." for a formula.
        cell._value, cell.data_type = (words, "s") if words else (None, "n")
        return cell

    def formula(self, formula: str, result: str | None, role: str, column: Column) -> Any:
        """A live formula, with the result the program computed where it has one."""
        cell = self.new(self.target)
        self.styles.apply(cell, role, column, number=True)
        cell._value, cell.data_type = formula, "f"
        self.results.append(result)
        return cell

    def row(self, row: Row, number: int) -> list[Any]:
        """The cells of one row standing at row `number` of the sheet."""
        return [self._cell(column, row, number) for column in self.sheet.columns]

    def _cell(self, column: Column, row: Row, number: int) -> Any:
        value = row.get(column.key)
        if column.formula and is_live(self.sheet, column, row):
            formula = filled(
                column.formula,
                lambda key: f"{self.place.letters[key]}{number}",
                lambda sheet, key: self.places[sheet].range_of(key),
            )
            return self.formula(formula, plain(decimal_of(column, value)), "body", column)
        return self._written(column, value, "body")

    def _written(self, column: Column, value: object, role: str) -> Any:
        if column.kind == "date" and (date := day(value)):
            cell = self.new(self.target, value=date)
            return self.styles.apply(cell, role, column, number=True)
        number = decimal_of(column, value)
        if number is None or (column.kind == "whole" and abs(number) >= 10**DIGITS):
            return self.text(shown(column, value), role, column)
        cell = self.styles.apply(self.new(self.target), role, column, number=True)
        # Written digit for digit: the library would take it through a float and its noise.
        cell._value, cell.data_type = plain(number), "n"
        return cell

    def totals(self, sums: Row, rows: Sequence[Row]) -> list[Any]:
        """The totals row: SUM formulas, with the exact sums of the rows as their results.

        A column some rows leave to its formula is summed by the spreadsheet alone.
        """
        cells = []
        for column in self.sheet.columns:
            if not column.total:
                cells.append(self.text(shown(column, sums.get(column.key)), "total", column))
                continue
            letter = self.place.letters[column.key]
            known = not column.formula or all(column.key in row for row in rows)
            result = plain(decimal_of(column, sums[column.key])) if known else None
            formula = f"=SUM({letter}{self.place.first}:{letter}{self.place.last})"
            cells.append(self.formula(formula, result, "total", column))
        return cells


def is_live(sheet: Sheet, column: Column, row: Row) -> bool:
    """Whether a row's cell is the formula of its column.

    It is not where the row says in words, or with None, that there is no figure, nor where
    a number the formula needs is itself missing from the row.
    """
    if column.key in row and (row[column.key] is None or is_text(row[column.key])):
        return False
    for other, key in references(column.formula):
        needed = sheet.column(key) if not other else None
        if needed is not None and not _has_value(sheet, needed, row):
            return False
    return True


def _has_value(sheet: Sheet, column: Column, row: Row) -> bool:
    value = row.get(column.key)
    if column.is_number:
        if column.formula and column.key not in row:
            return is_live(sheet, column, row)
        return value is not None and not is_text(value)
    return value is not None and (column.kind != "date" or day(value) is not None)
