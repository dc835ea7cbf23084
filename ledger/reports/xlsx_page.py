"""Sets up the pages of a workbook: widths, frozen headings, filters, paper, head and foot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

from ledger.facts.problems import refuse
from ledger.reports.cells import is_text, shown
from ledger.reports.definitions import Definition
from ledger.reports.layout import wrapped
from ledger.reports.safe import columns_of, for_sheet
from ledger.reports.sheet_cells import Place, address_of, heading_of
from ledger.reports.table import UNKNOWN, Column, Row, Table

HEADING_ROW = 5
"""The row of the headings; above it stand title, answer, provenance and an empty row."""

NARROWEST, WIDEST = 8, 42
"""The width of a column in characters where the definition does not say."""

BANNER = 90
"""The least width, in characters, the lines above and below the rows are given."""

LINE = 15
"""The height of a line of cells, in points."""

HIGHEST = 409
"""The greatest height of a row, in points."""

_SPARE = 9
_PAPERS = {"letter": "1", "a4": "9"}


def width_of(column: Column, rows: Sequence[Row]) -> int:
    """The width of a column in characters: as its content asks, within reason.

    Words in a column of numbers ("cannot be computed") do not widen it; they wrap.
    """
    if column.width:
        return column.width
    heading = heading_of(column)
    words = max((columns_of(word) for word in heading.split()), default=1)
    cells = [row.get(column.key) for row in rows]
    if column.is_number:
        cells = [cell for cell in cells if not is_text(cell) or cell == UNKNOWN]
    content = max((columns_of(shown(column, cell)) for cell in cells), default=0)
    if column.total:
        content += 2  # A sum may be a digit longer than what it sums.
    least = max(NARROWEST, words + 2, ceil(columns_of(heading) / 2) + 2)
    width = max(least, content + 2 if column.is_number else min(content + 2, WIDEST))
    spread = columns_of(heading) + 1
    # A heading that all but fills its column would run into the next one.
    return spread if width - 2 < spread <= width + 3 else width


def height_of(
    columns: Sequence[Column], widths: Sequence[int], row: Row, height: int = LINE
) -> int | None:
    """The height of a row whose words need several lines, or None where one line will do.

    Given outright, because not every program makes room for wrapped words by itself.
    """
    lines = max(
        lines_of(value, width)
        for value, width in zip(
            (shown(column, row.get(column.key)) for column in columns), widths, strict=True
        )
    )
    return None if lines == 1 else min(height * lines, HIGHEST)


def lines_of(text: str, width: int) -> int:
    """How many lines a text takes in a column of `width` characters."""
    width += 1  # A column is set two wider, and letters are mostly narrower than figures.
    if len(text) <= width and text.isascii() and "\n" not in text:
        return 1
    return sum(len(wrapped(line, width)) for line in text.split("\n"))


@dataclass(frozen=True, slots=True)
class Banner:
    """The room of the lines above and below the rows: columns they run over, and characters."""

    columns: int
    room: int


def banner(widths: Sequence[int]) -> Banner:
    """All columns, and as many empty ones beside them as BANNER asks for."""
    spare = max(0, ceil((BANNER - sum(widths)) / _SPARE))
    return Banner(len(widths) + spare, sum(widths) + _SPARE * spare)


def run_over(target: Any, row: int, columns: int, text: str, room: int, height: int) -> None:
    """Let the line of words in a row run over several columns, as high as it needs."""
    target.row_dimensions[row].height = min(height * lines_of(text, room), HIGHEST)
    if columns > 1:
        target.merged_cells.append(f"A{row}:{address_of(columns - 1)}{row}")


_ONE_PAGE = {"portrait": 58, "landscape": 42}
"""Lines up to which a sheet is put on one page: a few over it would stand alone on a second."""


def heading_height(columns: Sequence[Column], widths: Sequence[int]) -> int:
    """The height of the heading row: its longest heading, and a line for the filter arrows."""
    lines = (
        lines_of(heading_of(column), width + 1)
        for column, width in zip(columns, widths, strict=True)
    )
    return LINE * (1 + max(lines))


def set_up(
    target: Any,
    definition: Definition,
    place: Place,
    widths: Sequence[int],
    table: Table,
    settings: Mapping[str, str],
) -> None:
    """Page, panes, filter and widths; all before the first row, as rows are written once."""
    from openpyxl.worksheet.properties import PageSetupProperties

    last_letter = address_of(len(widths) - 1)
    for index, width in enumerate(widths):
        target.column_dimensions[address_of(index)].width = width + 2
    target.freeze_panes = f"A{HEADING_ROW + 1}"
    target.auto_filter.ref = f"A{HEADING_ROW}:{last_letter}{place.last}"
    target.print_title_rows = f"{HEADING_ROW}:{HEADING_ROW}"
    target.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    target.sheet_view.showGridLines = False
    target.merged_cells = []  # The library keeps a set, whose order is not the same each time.
    setup = target.page_setup
    setup.orientation, setup.paperSize = definition.orientation, _paper(settings)
    lines = place.last + len(table.notes) + len(table.cautions)
    if lines <= _ONE_PAGE[definition.orientation]:
        heights = (height_of(table.columns, widths, row) or LINE for row in table.rows)
        lines += sum(height // LINE - 1 for height in heights)
    setup.fitToWidth, setup.fitToHeight = 1, int(lines <= _ONE_PAGE[definition.orientation])
    margins = target.page_margins
    margins.left = margins.right = "0.5"  # In inches.
    margins.top, margins.bottom, margins.header, margins.footer = "0.8", "0.75", "0.35", "0.35"
    _head_and_foot(target, definition, table, settings)


def _paper(settings: Mapping[str, str]) -> str:
    paper = settings.get("paper", "letter")
    if paper not in _PAPERS:
        raise refuse("value-unclear", f"The paper {paper!r} is not known.", "Use letter or a4.")
    return _PAPERS[paper]


def _head_and_foot(
    target: Any, definition: Definition, table: Table, settings: Mapping[str, str]
) -> None:
    shop = ", ".join(filter(None, (settings.get("name"), settings.get("address"))))
    target.oddHeader.left.text = _on_page(shop)
    target.oddHeader.right.text = _on_page(definition.title)
    target.oddFooter.left.text = _on_page(table.provenance(short=True))
    footer = f"{_on_page(definition.footer)}    " if definition.footer else ""
    target.oddFooter.right.text = f"{footer}Page &P of &N"
    for part in (
        target.oddHeader.left,
        target.oddHeader.right,
        target.oddFooter.left,
        target.oddFooter.right,
    ):
        part.size = 9


def _on_page(text: str) -> str:
    """Words for a page's head or foot, where & begins a command and a side holds 70 or so."""
    words = " ".join(for_sheet(text).split())
    return (words if len(words) <= 70 else words[:67] + "...").replace("&", "&&")
