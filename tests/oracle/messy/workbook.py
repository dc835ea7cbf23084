"""Writes papers as files: workbooks with merged and hidden parts, kept results, and csv."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from datetime import date, datetime
from pathlib import Path
from typing import Any

from tests.oracle.messy.paper import Cell, Formula, Paper, Tab

_STAMP = (2026, 3, 30, 12, 0, 0)
_FORMULA = re.compile(rb'<c r="([A-Z]+[0-9]+)"([^>]*)><f>([^<]*)</f><v ?/>(?=</c>)|'
                      rb'<c r="([A-Z]+[0-9]+)"([^>]*)><f>([^<]*)</f><v></v>(?=</c>)')  # fmt: skip


def write_paper(paper: Paper, folder: Path) -> Path:
    """The file of a paper; the same paper gives the same bytes."""
    path = folder / paper.name
    if paper.name.endswith(".csv"):
        path.write_bytes(_csv(paper.tabs[0]))
    else:
        path.write_bytes(_xlsx(paper))
    return path


def archive_of(rows: list[list[Cell]]) -> bytes:
    """A workbook with one tab of these rows; texts that begin with = are formulas there."""
    from openpyxl import Workbook

    book = Workbook()
    for row in rows:
        book.worksheets[0].append(row)
    out = io.BytesIO()
    book.save(out)
    return _finished(out.getvalue(), [{}])


def _csv(tab: Tab) -> bytes:
    width = max((len(line.cells) for line in tab.lines), default=0)
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    for line in tab.lines:
        row = [_as_text(cell) for cell in line.cells]
        writer.writerow(row + [""] * (width - len(row)))
    return out.getvalue().encode("utf-8")


def _as_text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, Formula):
        return "" if cell.result is None else f"{cell.result:g}"
    if isinstance(cell, float):
        return f"{cell:g}"
    if isinstance(cell, date):
        return f"{cell.month}/{cell.day}/{cell.year}"
    return str(cell)


def _xlsx(paper: Paper) -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    results: list[dict[str, float | int]] = []
    for tab in paper.tabs:
        sheet = book.create_sheet(tab.name)
        results.append(_fill(sheet, tab))
        if tab.hidden:
            sheet.sheet_state = "hidden"
    out = io.BytesIO()
    book.save(out)
    return _finished(out.getvalue(), results)


def _fill(sheet: Any, tab: Tab) -> dict[str, float | int]:
    """Put the lines into a sheet; the results of its formulas by cell."""
    from openpyxl.comments import Comment
    from openpyxl.styles import Font

    kept: dict[str, float | int] = {}
    for number, line in enumerate(tab.lines, start=1):
        for index, cell in enumerate(line.cells, start=1):
            if cell is None:
                continue
            place = sheet.cell(number, index)
            place.value = cell.text if isinstance(cell, Formula) else cell
            if isinstance(cell, str):
                # A text stays a text, even one that begins with an equals sign.
                place.data_type = "s"
            if isinstance(cell, datetime):
                place.number_format = "m/d/yyyy h:mm"
            elif isinstance(cell, date):
                place.number_format = "m/d/yy"
            if isinstance(cell, Formula) and cell.result is not None:
                kept[place.coordinate] = cell.result
            if line.struck:
                place.font = Font(strike=True)
        if line.comment:
            sheet.cell(number, 1).comment = Comment(line.comment, "office")
        if line.hidden:
            sheet.row_dimensions[number].hidden = True
    for area in tab.merged:
        sheet.merge_cells(area)
    return kept


def _finished(data: bytes, results: list[dict[str, float | int]]) -> bytes:
    """The archive with the kept results of formulas put in, and no time of writing."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if match := re.fullmatch(r"xl/worksheets/sheet([0-9]+)\.xml", name):
                part = _with_results(part, results[int(match[1]) - 1])
            if name == "docProps/core.xml":
                part = re.sub(rb">[0-9]{4}-[0-9-]+T[0-9:.]+Z<", b">2026-03-30T12:00:00Z<", part)
            entry = zipfile.ZipInfo(name, _STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, part)
    return out.getvalue()


def _with_results(part: bytes, results: dict[str, float | int]) -> bytes:
    def put(match: re.Match[bytes]) -> bytes:
        place, rest, formula = (match[1], match[2], match[3]) if match[1] else (
            match[4], match[5], match[6]
        )  # fmt: skip
        result = results.get(place.decode())
        value = b"" if result is None else b"<v>%s</v>" % repr(result).encode()
        return b'<c r="%s"%s><f>%s</f>%s' % (place, rest, formula, value)

    return _FORMULA.sub(put, part)
