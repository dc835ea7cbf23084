"""Writes an answers file as a workbook: the one it was made from, with our columns at the right.

Formats, widths, formulas and merged cells of the workbook stay as they are. Answers that can
be chosen are a drop-down; anything else may be typed.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from ledger.facts.limits import LARGEST_CELL
from ledger.facts.problems import refuse
from ledger.intake.answers_file import HEADINGS, Beside, Copy, constants_of, held_lines, tables_held
from ledger.intake.headers import sheet_action, sheet_constants
from ledger.intake.plan import Plan
from ledger.intake.sheets import Row, Unread, column_letter

LISTS = "tarebook lists"
"""The hidden sheet that holds choices which a drop-down cannot name itself."""
LARGEST_COPY_BYTES = 40_000_000
"""Bytes of the sheets of a workbook that is copied whole, unpacked."""

_WIDTHS = dict(zip(HEADINGS, (22, 17, 72, 28, 24), strict=True))
_LETTERS, _LINE = 76, 15
"""Letters that a line of the question holds, and its height in points."""
_QUESTION, _ANSWER = HEADINGS.index("tarebook question"), HEADINGS.index("tarebook answer")
_ENTRY = HEADINGS.index("tarebook entry")
_LONGEST_LIST = 255
_HEAD_FILL, _OPEN_FILL = "FFE7E6E6", "FFFFF2CC"


def copy_workbook(part: Path, copy: Copy) -> None:
    """Write the whole workbook once more; refused with `file-unwritable` where that cannot be."""
    book = _loaded(copy.source)
    lists = _Lists(book)
    for title, tables in copy.plans.items():
        sheet, plans = book[title], list(tables.values())
        free = _free_column(sheet, plans)
        for plan in plans:
            constants = _constants(plan, title)
            start = free + len(constants)
            there = _ours(plan) or list(range(start, start + len(HEADINGS)))
            for number in (plan.header_number, *_repeated(sheet, plans, plan)):
                _head(sheet, number, there)
                for at, name in enumerate(constants, start=free):
                    _put(sheet.cell(number, at), name)
            for number, beside in copy.beside.get(title, {}).items():
                if plan.header_number < number < _next_header(plans, plan):
                    _row(sheet, number, there, beside)
                    for at, text in enumerate(constants.values(), start=free):
                        _put(sheet.cell(number, at), text)
            _drop_downs(sheet, plan, plans, there[_ANSWER], copy.beside.get(title, {}), lists)
    _save(book, part)


def write_workbook(part: Path, copy: Copy) -> None:
    """Write a new workbook of the rows that are held out, sheet by sheet."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    book = Workbook(write_only=True)
    for title, plan, rows in tables_held(copy):
        out = book.create_sheet(title or None)
        out.freeze_panes = "A2"
        choices: dict[str, list[int]] = {}
        width = 0
        for number, (cells, beside) in enumerate(held_lines(plan, rows), start=1):
            width = len(cells)
            line = []
            for value in [*cells, *(HEADINGS if beside is None else beside.cells())]:
                shown = f"? {value.why}" if isinstance(value, Unread) else value
                cell = WriteOnlyCell(out)
                _put(cell, shown)
                line.append(cell)
            out.append(line)
            if beside is not None and (said := _inline(beside.choices)):
                choices.setdefault(said, []).append(number)
        for said, numbers in choices.items():
            rule = DataValidation("list", formula1=said, allow_blank=True, showErrorMessage=False)
            for number in numbers:
                rule.add(f"{get_column_letter(width + _ANSWER + 1)}{number}")
            out.data_validations.append(rule)
    _save(book, part)


def _loaded(path: Path) -> Any:
    from openpyxl import load_workbook

    with ZipFile(path) as archive:
        size = sum(
            one.file_size for one in archive.infolist() if one.filename.startswith("xl/worksheets/")
        )
    if size > LARGEST_COPY_BYTES:
        raise _no_copy(path, "is too large to be copied whole")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return load_workbook(path, rich_text=True)
    except Exception as error:
        raise _no_copy(path, "cannot be copied whole") from error


def _no_copy(path: Path, why: str) -> Exception:
    return refuse("file-unwritable", f"{path.name} {why}.", "The rows held out are written alone.")


def _save(book: Any, part: Path) -> None:
    with part.open("wb") as file:
        book.save(file)


def _constants(plan: Plan, sheet: str) -> dict[str, str]:
    """What every row has and the name of the sheet, which the copy keeps, does not say."""
    said = {"action": sheet_action(sheet), **sheet_constants(sheet)}
    return {name: text for name, text in constants_of(plan).items() if said.get(name) != text}


def _ours(plan: Plan) -> list[int]:
    """The columns of an earlier answers file, which are written anew; none where one is missing."""
    found = {title: index + 1 for index, title in enumerate(plan.titles)}
    return [found[heading] for heading in HEADINGS] if found.keys() >= set(HEADINGS) else []


def _free_column(sheet: Any, plans: Sequence[Plan]) -> int:
    """The first column right of everything that stands in a sheet, merged cells included."""
    last = max(plan.width for plan in plans)
    top = min(plan.header_number for plan in plans)
    for (row, column), cell in sheet._cells.items():
        if row >= top and column > last and cell.value is not None:
            last = column
    for merged in sheet.merged_cells.ranges:
        if merged.max_row >= top:
            last = max(last, merged.max_col)
    return int(last) + 1


def _next_header(plans: Sequence[Plan], plan: Plan) -> int:
    below = (one.header_number for one in plans if one.header_number > plan.header_number)
    return min(below, default=1 << 31)


def _repeated(sheet: Any, plans: Sequence[Plan], plan: Plan) -> list[int]:
    """The rows below the headings of a table in which they stand once more."""
    found = []
    last = min(_next_header(plans, plan) - 1, sheet.max_row)
    for number in range(plan.header_number + 1, last + 1):
        cells = [
            None if (cell := sheet._cells.get((number, at))) is None else cell.value
            for at in range(1, plan.width + 1)
        ]
        if plan.repeats_header(Row(sheet.title, number, cells)):
            found.append(number)
    return found


def _head(sheet: Any, number: int, columns: Sequence[int]) -> None:
    from openpyxl.styles import Font, PatternFill

    for heading, column in zip(HEADINGS, columns, strict=True):
        cell = sheet.cell(number, column)
        _put(cell, heading)
        cell.font = Font(bold=True)
        cell.fill = PatternFill("solid", fgColor=_HEAD_FILL)
        letter = column_letter(column - 1)
        if letter not in sheet.column_dimensions:
            sheet.column_dimensions[letter].width = _WIDTHS[heading]


def _row(sheet: Any, number: int, columns: Sequence[int], beside: Beside) -> None:
    from openpyxl.styles import Alignment, PatternFill

    for at, (column, value) in enumerate(zip(columns, beside.cells(), strict=True)):
        cell = sheet.cell(number, column)
        _put(cell, value)
        if beside.question and at in (_QUESTION, _ANSWER):
            cell.alignment = Alignment(vertical="top", wrap_text=True)
        if at == _ANSWER:
            open_fill = PatternFill("solid", fgColor=_OPEN_FILL)
            cell.fill = open_fill if beside.question else PatternFill()
            cell.number_format = "@"
    if beside.question:
        # Given outright, because not every program makes room for wrapped words by itself.
        lines = sum(-(-len(line) // _LETTERS) for line in beside.question.split("\n"))
        shape = sheet.row_dimensions[number]
        shape.height = max(shape.height or 0, _LINE * lines)


def _put(cell: Any, value: object) -> None:
    """A value as it is; what a person typed stays text, also where it looks like a formula."""
    if not isinstance(value, str):
        cell.value = value
        return
    text = "".join(sign for sign in value if sign.isprintable() or sign in "\n\t\u00a0")
    cell.value = text[:LARGEST_CELL] or None
    if text:
        cell.data_type = "s"


def _drop_downs(
    sheet: Any, plan: Plan, plans: Sequence[Plan], column: int, rows: dict[int, Beside],
    lists: _Lists,
) -> None:  # fmt: skip
    """Choices for the answers; anything else may be typed as well."""
    from openpyxl.worksheet.datavalidation import DataValidation

    letter = column_letter(column - 1)
    rules: dict[tuple[str, ...], Any] = {}
    for number, beside in rows.items():
        if not beside.choices or not plan.header_number < number < _next_header(plans, plan):
            continue
        rule = rules.get(beside.choices)
        if rule is None:
            said = _inline(beside.choices) or lists.keep(beside.choices)
            rule = DataValidation("list", formula1=said, allow_blank=True, showErrorMessage=False)
            rules[beside.choices] = rule
            sheet.add_data_validation(rule)
        rule.add(f"{letter}{number}")


def _inline(choices: Iterable[str]) -> str:
    """Choices as a drop-down names them itself; empty where a comma or the length forbids it."""
    some = list(choices)
    said = ",".join(some)
    fit = some and len(said) <= _LONGEST_LIST and not any("," in one or '"' in one for one in some)
    return f'"{said}"' if fit else ""


class _Lists:
    """The hidden sheet of choices, made when first needed, one column for each list."""

    def __init__(self, book: Any) -> None:
        self.book = book
        if LISTS in book.sheetnames:
            del book[LISTS]
        self.count = 0

    def keep(self, choices: Sequence[str]) -> str:
        """Keep a list; returns the reference that a drop-down names it by."""
        if LISTS not in self.book.sheetnames:
            self.book.create_sheet(LISTS).sheet_state = "hidden"
        sheet = self.book[LISTS]
        self.count += 1
        for number, one in enumerate(choices, start=1):
            _put(sheet.cell(number, self.count), one)
        letter = column_letter(self.count - 1)
        return f"'{LISTS}'!${letter}$1:${letter}${len(choices)}"
