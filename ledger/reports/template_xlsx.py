"""Writes a template as a workbook: the sheet to fill in, its help, and the lists it chooses from.

Only what the open standard of workbooks has is used: data validation, defined names, a hidden
sheet. The cells below the headings stay empty, so that nobody's rows are taken for records.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from ledger.reports.archive import write_parts
from ledger.reports.safe import columns_of, for_sheet
from ledger.reports.sheet_cells import address_of
from ledger.reports.template_checks import checks_of
from ledger.reports.templates import Template, TemplateColumn
from ledger.reports.workbook import drafted
from ledger.reports.xlsx_page import lines_of

LISTS = "tarebook lists"
"""The name of the hidden sheet; the importer passes over sheets that begin with `tarebook`."""
HELP = "Help"
"""The name of the sheet that explains the columns; passed over beside the one named LISTS."""

_FORMATS = {
    "text": "@", "day": "yyyy-mm-dd", "past": "yyyy-mm-dd", "past or unknown": "yyyy-mm-dd",
    "time": "hh:mm", "mass": "0.00##", "amount": "0.00##", "money": "0.00", "whole": "0",
}  # fmt: skip
_HELP_WIDTHS = (24, 80, 26, 36)
_LINE = 15


def write_template(
    template: Template, lists: Mapping[str, list[str]], path: Path, said: Mapping[str, str]
) -> Path:
    """Write a template to `path`, whole or not at all; FileExistsError where it is there.

    `lists` are the choices by name; `said` the shop's `name`, the ISO `day` the lists are of,
    and the `head` of the book they were taken from.
    """
    from openpyxl import Workbook

    book = Workbook()
    moment = datetime.fromisoformat(f"{said['day']}T00:00:00")
    book.properties.created = book.properties.modified = moment
    book.properties.creator = for_sheet(said["name"]) or "Tarebook"
    book.properties.title = f"Template: {template.sheet}"
    sheet: Any = book.active
    sheet.title = template.sheet
    there = {name: words for name, words in lists.items() if words}
    _fill_in(sheet, template, there)
    _page(sheet, template, said)
    helping = book.create_sheet(HELP)
    _help(helping, template)
    _page(helping, template, said)
    used = [one.choices for one in template.columns if one.choices in there]
    choice_lists(book, {name: there[name] for name in dict.fromkeys(used)})
    with drafted(path) as draft:
        write_parts(book, draft, {})
    return path


def _fill_in(sheet: Any, template: Template, lists: Mapping[str, list[str]]) -> None:
    """The headings, and the looks and checks of the empty cells below them."""
    from openpyxl.styles import Alignment

    for index, column in enumerate(template.columns):
        letter = address_of(index)
        heading_cell(sheet, f"{letter}1", column.heading, bold=column.always)
        dimension = sheet.column_dimensions[letter]
        dimension.width = max(column.width, *(columns_of(w) + 3 for w in column.heading.split()))
        # The look is the column's own: a cell that is styled one by one counts as a row.
        dimension.number_format = _FORMATS[column.shape]
        left = column.shape in ("text", "day", "past", "past or unknown", "time")
        dimension.alignment = Alignment(
            horizontal="left" if left else None, indent=int(left), vertical="top"
        )
        for check in checks_of(column, letter, _action_letter(template), lists):
            sheet.add_data_validation(check)
    sheet.row_dimensions[1].height = 2 * _LINE + 4
    sheet.freeze_panes = "B2" if template.columns[0].always else "A2"
    sheet.print_options.gridLines = True


def _action_letter(template: Template) -> str:
    """The letter of the column that says what was done, or empty."""
    return next(
        (address_of(i) for i, one in enumerate(template.columns) if one.heading == "Action"), ""
    )


def heading_cell(sheet: Any, at: str, text: str, bold: bool) -> None:
    """A heading above what is filled in."""
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

    cell = sheet[at]
    cell.value = text
    cell.font = Font(name="Calibri", size=11, bold=bold)
    cell.fill = PatternFill("solid", start_color="EDEDED")
    cell.border = Border(bottom=Side(style="thin", color="808080"))
    cell.alignment = Alignment(vertical="center", wrap_text=True)


def _page(sheet: Any, template: Template, said: Mapping[str, str]) -> None:
    """Paper, repeated headings, head and foot."""
    from openpyxl.worksheet.properties import PageSetupProperties

    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.print_title_rows = "1:1"
    sheet.oddHeader.left.text = on_page(said["name"])
    sheet.oddHeader.right.text = on_page(template.sheet)
    sheet.oddFooter.left.text = on_page(f"Choices as of {said['day']}; {said['head']}")
    sheet.oddFooter.right.text = "Page &P of &N"


def on_page(text: str) -> str:
    """Words for the head or foot of a page."""
    return " ".join(for_sheet(text).split())[:70].replace("&", "&&")


def _help(sheet: Any, template: Template) -> None:
    """The second sheet: a row for each column, then how to go on, then the cautions."""
    for index, heading in enumerate(("Heading", "What to write", "Example", "Who needs it")):
        letter = address_of(index)
        heading_cell(sheet, f"{letter}1", heading, bold=True)
        sheet.column_dimensions[letter].width = _HELP_WIDTHS[index]
    rows = [(one.heading, _explained(one), one.example, one.needed) for one in template.columns]
    rows += [
        ("", "", "", ""),
        ("To fill it in", f"A row is {template.row}.", "", ""),
        ("", "Bold headings are needed on every row.", "", ""),
        ("", "Leave empty what nobody knows; gaps are flagged, nothing is made up.", "", ""),
        ("", "Leave the headings as they are; columns may be moved or taken out.", "", ""),
        ("", "Save it, then: tarebook import FILE.xlsx. Taken in twice, a row counts once.", "",
         ""),
        *(("Caution", caution, "", basis) for caution, basis in template.cautions),
    ]  # fmt: skip
    for number, row in enumerate(rows, 2):
        for index, text in enumerate(row):
            put_words(sheet.cell(number, index + 1), text)
        lines = max(lines_of(text, width) for text, width in zip(row, _HELP_WIDTHS, strict=True))
        sheet.row_dimensions[number].height = _LINE * lines
    sheet.freeze_panes = "A2"


def _explained(column: TemplateColumn) -> str:
    """What to write in a column, with its caution."""
    return " ".join(filter(None, (column.what, column.caution)))


def put_words(cell: Any, text: str) -> None:
    """Put words into a cell as words, whatever they look like."""
    from openpyxl.styles import Alignment

    words = for_sheet(text)
    if not words:
        return
    cell.alignment = Alignment(vertical="top", wrap_text=True)
    cell.quotePrefix = words[:1] in ("=", "+", "-", "@")
    cell._value, cell.data_type = words, "s"


def choice_lists(book: Any, lists: Mapping[str, list[str]]) -> None:
    """The hidden sheet with a column for each list, and the name of each."""
    from openpyxl.workbook.defined_name import DefinedName

    sheet = book.create_sheet(LISTS)
    sheet.sheet_state = "hidden"
    for index, (name, words) in enumerate(lists.items()):
        letter = address_of(index)
        put_words(sheet[f"{letter}1"], name)
        for number, word in enumerate(words, 2):
            put_words(sheet.cell(number, index + 1), word)
        target = f"'{LISTS}'!${letter}$2:${letter}${len(words) + 1}"
        book.defined_names[f"list_{name}"] = DefinedName(f"list_{name}", attr_text=target)
