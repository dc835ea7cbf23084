"""Writes blind count sheets: what is to be looked for at each place, and no figure of the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from ledger.facts.counts import NOT_THERE, SEALED
from ledger.reports.archive import write_parts
from ledger.reports.safe import for_sheet
from ledger.reports.sheet_cells import address_of
from ledger.reports.template_xlsx import choice_lists, heading_cell, on_page, put_words
from ledger.reports.workbook import drafted
from ledger.reports.xlsx_page import lines_of

if TYPE_CHECKING:
    from ledger.answers.counting import Vessel

PLACE, CUT_OFF, BY, SCALE = "Place", "Cut-off", "Counted by", "Scale"
"""The labels at the top of a sheet; what stands beside them holds for every row."""
HEADING_ROW = 7
SPARE_ROWS = 15
"""Empty rows below the list, for what is there and not listed."""


class SheetColumn(NamedTuple):
    """A column of the sheet: heading, width, number format, list to choose from, help."""

    heading: str
    width: int
    form: str = "@"
    choices: str = ""
    help: str = ""


COLUMNS = (
    SheetColumn("Cylinder", 16, choices="cylinders",
                help="One that is here and not listed: its name, below the list."),
    SheetColumn("Refrigerant", 12, choices="refrigerants",
                help="As marked on the cylinder, for one that is not listed."),
    SheetColumn("Kind", 12, choices="cylinder_kinds"),
    SheetColumn("Gross (lb)", 12, "0.00##",
                help='What the scale shows: 17.50, or with its unit "17 lb 8 oz". Opened cylinders'
                " and recovery cylinders are weighed."),
    SheetColumn("Found", 11, choices="found",
                help="sealed: unopened, counted and not weighed. not there: looked for and not"
                " found. Empty where it was weighed."),
    SheetColumn("Scale", 10, choices="scales", help="Where it is another than the one above."),
    SheetColumn("Weighed on", 12, "yyyy-mm-dd", help="Where it was after the cut-off."),
    SheetColumn("At", 8, "hh:mm", help="Time of day, where work went on during the count."),
    SheetColumn("Counted by", 18, choices="people", help="Where it is another than above."),
    SheetColumn("Note", 24),
)  # fmt: skip
"""The columns, in order; the words in them are those that the import of a count knows."""

FOUND_WORDS = [SEALED, NOT_THERE]
_TELL = (
    "Weigh opened and recovery cylinders before looking at any list; write sealed for unopened ones"
    " (weigh one in five), not there for one looked for and not found. Leave empty what was not"
    " looked at yet: a half-filled sheet can be taken in and completed later. The book's"
    " figures are left out on purpose. Gloves and eye protection: liquid causes frostbite (29 CFR"
    " 1910.132)."
)
_LINE = 15


class PlaceSheet(NamedTuple):
    """One place to count, and the cylinders the book has there at the cut-off."""

    place: str
    cut_off: str
    vessels: Sequence[Vessel]


def write_count_sheets(
    sheets: Sequence[PlaceSheet], lists: Mapping[str, list[str]], path: Path,
    said: Mapping[str, str],
) -> Path:  # fmt: skip
    """Write a workbook with a sheet a place; FileExistsError where it is there.

    `lists` are the choices by name; `said` the shop's `name`, and the `head` of the book.
    """
    from openpyxl import Workbook

    book: Any = Workbook()
    book.remove(book.active)
    moment = datetime.fromisoformat(f"{sheets[0].cut_off[:10]}T00:00:00")
    book.properties.created = book.properties.modified = moment
    book.properties.creator = for_sheet(said["name"]) or "Tarebook"
    book.properties.title = "Count sheet"
    there = {name: words for name, words in lists.items() if words} | {"found": FOUND_WORDS}
    taken: set[str] = set()
    for one in sheets:
        page = book.create_sheet(_title(one.place, taken))
        _fill(page, one, there)
        _set_up(page, one, said)
    used = [column.choices for column in COLUMNS if column.choices in there]
    choice_lists(book, {name: there[name] for name in dict.fromkeys(used)})
    with drafted(path) as draft:
        write_parts(book, draft, {})
    return path


def _title(place: str, taken: set[str]) -> str:
    """A name for a tab: 31 characters, none of those a tab cannot have, each once."""
    plain = "".join(" " if sign in "[]:*?/\\'" else sign for sign in for_sheet(place))
    plain = plain.strip()[:28] or "Place"
    title, number = plain, 2
    while title.casefold() in taken or title.casefold().startswith("tarebook"):
        title, number = f"{plain[:25]} {number}", number + 1
    taken.add(title.casefold())
    return title


def _fill(page: Any, sheet: PlaceSheet, lists: Mapping[str, list[str]]) -> None:
    from openpyxl.styles import Alignment, Font

    put_words(page["A1"], f"Count sheet: {sheet.place}")
    page["A1"].font = Font(name="Calibri", size=14, bold=True)
    page["A1"].alignment = Alignment(wrap_text=False)
    page.row_dimensions[1].height = 20
    top = ((PLACE, sheet.place), (CUT_OFF, sheet.cut_off), (BY, ""), (SCALE, ""))
    for number, (label, value) in enumerate(top, 2):
        put_words(page[f"A{number}"], label)
        put_words(page[f"B{number}"], value)
        page.merge_cells(f"B{number}:D{number}")
        _boxed(page, number, 2, 4)
    for number, name in ((4, "people"), (5, "scales")):
        if name in lists:
            page.add_data_validation(_choice(name, f"B{number}", ""))
    _tell(page)
    last = HEADING_ROW + len(sheet.vessels) + SPARE_ROWS
    for index, column in enumerate(COLUMNS):
        letter = address_of(index)
        heading_cell(
            page, f"{letter}{HEADING_ROW}", column.heading, bold=column.heading == "Cylinder"
        )
        page.column_dimensions[letter].width = column.width
        where = f"{letter}{HEADING_ROW + 1}:{letter}{last}"
        if column.choices in lists or column.help:
            page.add_data_validation(_choice(column.choices if column.choices in lists else "",
                                             where, column.help))  # fmt: skip
    for number in range(HEADING_ROW + 1, last + 1):
        at = number - HEADING_ROW - 1
        vessel = sheet.vessels[at] if at < len(sheet.vessels) else None
        _row(page, number, vessel)
    page.row_dimensions[HEADING_ROW].height = 2 * _LINE
    page.freeze_panes = f"B{HEADING_ROW + 1}"
    page.print_area = f"A1:{address_of(len(COLUMNS) - 1)}{last}"


def _tell(page: Any) -> None:
    """What to do, over the whole width."""
    from openpyxl.styles import Alignment, Font

    row = HEADING_ROW - 1
    put_words(page[f"A{row}"], _TELL)
    page[f"A{row}"].font = Font(name="Calibri", size=9)
    page[f"A{row}"].alignment = Alignment(wrap_text=True, vertical="top")
    page.merge_cells(f"A{row}:{address_of(len(COLUMNS) - 1)}{row}")
    width = sum(column.width for column in COLUMNS) * 11 // 9
    page.row_dimensions[row].height = 13 * lines_of(_TELL, width)


def _row(page: Any, number: int, vessel: Vessel | None) -> None:
    """One cylinder to look for, or an empty row."""
    words = (vessel.name, vessel.assigned, vessel.kind) if vessel is not None else ("", "", "")
    for index, column in enumerate(COLUMNS):
        cell = page.cell(number, index + 1)
        cell.number_format = column.form
        if index < len(words) and words[index]:
            put_words(cell, words[index])
    needed = max(lines_of(word, COLUMNS[i].width - 2) for i, word in enumerate(words))
    page.row_dimensions[number].height = _LINE * max(needed, 1) + 3
    _boxed(page, number, 1, len(COLUMNS))


def _boxed(page: Any, row: int, first: int, last: int) -> None:
    from openpyxl.styles import Border, Side

    line = Side(style="hair", color="808080")
    for index in range(first, last + 1):
        page.cell(row, index).border = Border(bottom=line, left=line, right=line, top=line)


def _choice(name: str, where: str, words: str) -> Any:
    """The list of some cells, or their help alone; other words may be kept after a question."""
    from openpyxl.worksheet.datavalidation import DataValidation

    rule: dict[str, Any] = {}
    if name:
        rule = {"type": "list", "formula1": f"list_{name}", "showErrorMessage": True,
                "errorStyle": "stop" if name == "found" else "warning",
                "error": "Choose sealed or not there, or leave it empty." if name == "found" else
                "This is not in the book under that name. Keep it where it is new."}  # fmt: skip
    if words:
        rule |= {"showInputMessage": True, "prompt": words[:255]}
    return DataValidation(sqref=where, allowBlank=True, **rule)


def _set_up(page: Any, sheet: PlaceSheet, said: Mapping[str, str]) -> None:
    """Paper, repeated headings, head and foot, and a line to sign."""
    from openpyxl.worksheet.properties import PageSetupProperties

    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, 0
    page.print_title_rows = f"{HEADING_ROW}:{HEADING_ROW}"
    page.oddHeader.left.text = on_page(said["name"])
    page.oddHeader.right.text = on_page(f"Count of {sheet.cut_off}: {sheet.place}"[:70])
    page.oddFooter.left.text = on_page(f"List of {said['head']}")
    page.oddFooter.center.text = "Signed: ____________________"
    page.oddFooter.right.text = "Page &P of &N"
