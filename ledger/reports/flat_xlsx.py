"""Writes a flat list as a workbook of one sheet, row by row, however many rows there are.

The library that makes the other workbooks takes ten times as long over a hundred thousand rows;
a list needs no more of a workbook than one sheet of plain cells, so it is written out here.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

from ledger.facts.problems import refuse
from ledger.reports.archive import part_named
from ledger.reports.cells import shown
from ledger.reports.listing import Listing, once
from ledger.reports.safe import columns_of, for_sheet
from ledger.reports.sheet_cells import address_of, decimal_of, plain
from ledger.reports.table import Column
from ledger.reports.workbook import drafted

ROW_LIMIT = 1_048_576
"""Rows a sheet can hold, the headings among them."""

_COMPRESSION = 3
"""Half the time of the usual 6 for a file a tenth larger."""
_ROWS_AT_ONCE = 500
_FIRST_DAY = date(1899, 12, 30).toordinal()
"""The day that a spreadsheet counts as 0."""
_SECONDS_A_DAY = 86_400
_STYLES = {"text": 0, "quoted": 1, "heading": 2, "date": 3, "time": 4, "moment": 5, "mass": 6,
           "money": 7, "whole": 8}  # fmt: skip
_WIDTHS = {"date": 11, "time": 8, "moment": 19, "mass": 11, "money": 10, "whole": 8}
_WIDE = {"as written": 14, "note": 40, "what": 44, "because": 30, "recorded although": 24}

_XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def write_list(listing: Listing, path: Path, name: str = "") -> Path:
    """Write a list to `path`, whole or not at all; `name` is the shop's.

    FileExistsError where the file is there; `file-too-large` where a sheet holds fewer rows.
    """
    with (
        drafted(path) as draft,
        ZipFile(draft, "x", ZIP_DEFLATED, compresslevel=_COMPRESSION) as to,
    ):
        for part, text in _parts(listing).items():
            with to.open(part_named(part), "w") as target:
                target.write((_XML + text).encode())
        sheet = part_named("xl/worksheets/sheet1.xml")
        with to.open(sheet, "w", force_zip64=True) as target:
            for piece in _sheet(listing, name):
                target.write(piece.encode())
    return path


def _parts(listing: Listing) -> dict[str, str]:
    """Every part of the file but the sheet itself."""
    title = escape(listing.title)
    moment = f"{listing.as_of or '2000-01-01'}T00:00:00Z"
    kinds = {"workbook": "sheet.main", "worksheets/sheet1": "worksheet", "styles": "styles"}
    overrides = "".join(
        f'<Override PartName="/xl/{part}.xml" ContentType="{_SPREADSHEET}.{kind}+xml"/>'
        for part, kind in kinds.items()
    )
    core = f"{_PACKAGE}/metadata/core-properties"
    return {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types">'
        '<Default Extension="rels"'
        ' ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Default Extension="xml" ContentType="application/xml"/>{overrides}'
        '<Override PartName="/docProps/core.xml"'
        ' ContentType="application/vnd.openxmlformats-package.core-properties+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1"'
        f' Type="{_RELATIONS}/officeDocument" Target="xl/workbook.xml"/><Relationship Id="rId2"'
        f' Type="{_PACKAGE}/relationships/metadata/core-properties"'
        ' Target="docProps/core.xml"/></Relationships>',
        "docProps/core.xml": f'<cp:coreProperties xmlns:cp="{core}"'
        ' xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/"'
        ' xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">'
        f"<dc:creator>Tarebook</dc:creator><dc:title>{title}</dc:title>"
        f'<dcterms:created xsi:type="dcterms:W3CDTF">{moment}</dcterms:created>'
        "</cp:coreProperties>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
        f'<Relationship Id="rId1" Type="{_RELATIONS}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="rId2" Type="{_RELATIONS}/styles" Target="styles.xml"/>'
        "</Relationships>",
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_RELATIONS}"><sheets>'
        f'<sheet name="{title}" sheetId="1" r:id="rId1"/></sheets><definedNames>'
        f'<definedName name="_xlnm.Print_Titles" localSheetId="0">\'{title}\'!$1:$1</definedName>'
        "</definedNames></workbook>",
        "xl/styles.xml": _styles(),
    }


def _styles() -> str:
    """The looks of the cells, in the order of _STYLES."""
    formats = {164: "yyyy\\-mm\\-dd", 165: "hh:mm", 166: "yyyy\\-mm\\-dd\\ hh:mm:ss",
               167: "#,##0.00##"}  # fmt: skip
    numbers = "".join(
        f'<numFmt numFmtId="{key}" formatCode="{code}"/>' for key, code in formats.items()
    )
    cells = "".join(
        f'<xf numFmtId="{number}" fontId="0" fillId="0" borderId="0" xfId="0"'
        f'{more} applyNumberFormat="1"/>'
        for number, more in ((164, ""), (165, ""), (166, ""), (167, ""), (4, ""), (1, ""))
    )
    plain_cell = 'numFmtId="0" fontId="0" fillId="0" borderId="0"'
    return (
        f'<styleSheet xmlns="{_MAIN}"><numFmts count="{len(formats)}">{numbers}</numFmts>'
        '<fonts count="2"><font><sz val="11"/><name val="Calibri"/></font>'
        '<font><b/><sz val="11"/><name val="Calibri"/></font></fonts>'
        '<fills count="3"><fill><patternFill patternType="none"/></fill>'
        '<fill><patternFill patternType="gray125"/></fill>'
        '<fill><patternFill patternType="solid"><fgColor rgb="FFEDEDED"/></patternFill></fill>'
        '</fills><borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border>'
        f'</borders><cellStyleXfs count="1"><xf {plain_cell}/></cellStyleXfs>'
        f'<cellXfs count="{len(_STYLES)}"><xf {plain_cell} xfId="0"/>'
        f'<xf {plain_cell} xfId="0" quotePrefix="1"/>'
        '<xf numFmtId="0" fontId="1" fillId="2" borderId="0" xfId="0" applyFont="1"'
        ' applyFill="1" applyAlignment="1"><alignment vertical="top" wrapText="1"/></xf>'
        f'{cells}</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0"'
        ' builtinId="0"/></cellStyles></styleSheet>'
    )


def _sheet(listing: Listing, name: str) -> Iterator[str]:
    """The sheet a piece at a time: headings, rows, then filter and page."""
    columns = listing.columns
    letters = [address_of(index) for index in range(len(columns))]
    widths = "".join(
        f'<col min="{index}" max="{index}" width="{_width(column)}" customWidth="1"/>'
        for index, column in enumerate(columns, 1)
    )
    heading = "".join(
        f'<c r="{letter}1" s="{_STYLES["heading"]}" t="inlineStr"><is><t>'
        f"{escape(column.label())}</t></is></c>"
        for letter, column in zip(letters, columns, strict=True)
    )
    yield (
        f'{_XML}<worksheet xmlns="{_MAIN}"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
        '<sheetViews><sheetView workbookViewId="0" tabSelected="1"><pane ySplit="1"'
        ' topLeftCell="A2" activePane="bottomLeft" state="frozen"/><selection pane="bottomLeft"/>'
        f"</sheetView></sheetViews><cols>{widths}</cols><sheetData>"
        f'<row r="1" ht="30" customHeight="1">{heading}</row>'
    )
    last = 1
    for number, piece in _rows(listing, letters):
        last = number
        yield piece
    footer = f"&L{_on_page(listing.provenance())}&RPage &P of &N"
    shop = f"&L{_on_page(name)}" if name else ""
    header = f"{shop}&R{_on_page(listing.title)}"
    yield (
        f'</sheetData><autoFilter ref="A1:{letters[-1]}{last}"/>'
        '<pageMargins left="0.5" right="0.5" top="0.8" bottom="0.75" header="0.35" footer="0.35"/>'
        '<pageSetup orientation="landscape" fitToWidth="1" fitToHeight="0"/><headerFooter>'
        f"<oddHeader>{escape(header)}</oddHeader><oddFooter>{escape(footer)}</oddFooter></headerFooter></worksheet>"
    )


def _rows(listing: Listing, letters: list[str]) -> Iterator[tuple[int, str]]:
    """The rows, some hundreds at once, each time with the number of the last of them."""
    cells = [
        (column.key, letter, once(column, _cell))
        for letter, column in zip(letters, listing.columns, strict=True)
    ]
    held: list[str] = []
    number = 1
    for number, row in enumerate(listing.rows, 2):
        if number > ROW_LIMIT:
            raise refuse(
                "file-too-large", f"A sheet holds {ROW_LIMIT - 1:,} rows; there are more.",
                "Narrow it with --from and --to, or write CSV.",
            )  # fmt: skip
        get = row.get
        held.append(f'<row r="{number}">')
        held += [
            f'<c r="{letter}{number}"{cell(value)}</c>'
            for key, letter, cell in cells
            if (value := get(key)) is not None
        ]
        held.append("</row>")
        if number % _ROWS_AT_ONCE == 0:
            yield number, "".join(held)
            held.clear()
    yield number, "".join(held)


def _cell(column: Column, value: object) -> str:
    """The end of a cell's tag and its content."""
    number = {"date": _day, "time": _time, "moment": _moment}.get(column.kind)
    if number and isinstance(value, str):
        figure = number(value)
    else:
        figure = plain(decimal_of(column, value))
    if figure is None:
        return _text(shown(column, value))
    return f' s="{_STYLES.get(column.kind, 0)}"><v>{figure}</v>'


def _text(text: str) -> str:
    words = for_sheet(text)
    style = f' s="{_STYLES["quoted"]}"' if words[:1] in ("=", "+", "-", "@") else ""
    return f'{style} t="inlineStr"><is><t xml:space="preserve">{escape(words)}</t></is>'


def _day(text: str) -> str | None:
    """A day as the number a spreadsheet keeps; None where the words are no day."""
    try:
        return str(date.fromisoformat(text).toordinal() - _FIRST_DAY)
    except ValueError:
        return None


def _time(text: str) -> str | None:
    """A time of day, "14:05", as the part of a day."""
    hour, _, minute = text.partition(":")
    return _part_of_day(3600 * int(hour) + 60 * int(minute))


def _moment(text: str) -> str | None:
    """A moment in UTC to the second, as days and part of a day."""
    day, clock = _day(text[:10]), text[11:19].split(":")
    seconds = 3600 * int(clock[0]) + 60 * int(clock[1]) + int(clock[2])
    return f"{day}{_part_of_day(seconds)[1:]}"


def _part_of_day(seconds: int) -> str:
    """Seconds as a decimal part of a day, rounded up so that they are not shown as one less."""
    return f"0.{-(-seconds * 10**10 // _SECONDS_A_DAY):010d}"


def _width(column: Column) -> int:
    words = max(columns_of(word) for word in column.label().split()) + 3
    return max(words, _WIDE.get(column.heading.casefold(), _WIDTHS.get(column.kind, 14)))


def _on_page(text: str) -> str:
    """Words for a page's head or foot, where & begins a command."""
    return " ".join(for_sheet(text).split())[:70].replace("&", "&&")
