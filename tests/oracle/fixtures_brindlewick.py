"""Types a demo shop's sheets from its `.toml` into the files under `fixtures`.

Run it to write them again: `python -m tests.oracle.fixtures_brindlewick`. The same text gives the
same bytes with the same version of the workbook writer: its clock readings are taken out.
"""

from __future__ import annotations

import csv
import io
import re
import sys
import tomllib
import zipfile
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
SHOP = "brindlewick"
FIXTURES = HERE.parent.parent / "fixtures" / SHOP
SHOPS = {"brindlewick": "Brindlewick Mechanical", "saltgrass": "Saltgrass Home Comfort"}
MERGED, HIDDEN = "^", "(hidden)"
"""A cell merged with the one above it; a row that is hidden in its sheet."""

Cell = str | float | datetime | None
Cells = list[Cell]

DAYS = frozenset((
    "Date", "Since", "Installed", "Last addition", "Requalified", "Requalification due",
))  # fmt: skip
"""Headings under which a spreadsheet program keeps days."""
NUMBERS = frozenset((
    "Lb", "Gross", "Gross before", "Gross after", "Stamped tare", "Measured tare", "WC", "Nominal",
    "Deposit",
))  # fmt: skip
"""Headings under which it keeps plain numbers as numbers; "4 lb 8 oz" stays text."""
_DAY = re.compile(r"\d{1,2}/\d{1,2}/\d{4}")
_MADE = datetime(2026, 11, 20, 17, 0)
_ZIPPED = (2026, 11, 20, 17, 0, 0)


def files(shop: str = SHOP) -> list[dict[str, Any]]:
    """The files as the data has them: name, and sheets with name, title and rows."""
    data = (HERE / f"{shop}.toml").read_text(encoding="utf-8")
    found: list[dict[str, Any]] = tomllib.loads(data)["file"]
    return found


def rows_of(sheet: dict[str, Any]) -> tuple[list[str], list[list[str]]]:
    """The headings and the rows of one sheet, as text."""
    lines = [[cell.strip() for cell in line.split("|")] for line in sheet["rows"].splitlines()]
    header, *rows = lines
    width = len(header)
    return header, [(row + [""] * width)[:width] for row in rows]


def typed(heading: str, text: str) -> Cell:
    """A cell as a spreadsheet program keeps what was typed."""
    if not text:
        return None
    if heading in DAYS and _DAY.fullmatch(text):
        return datetime.strptime(text, "%m/%d/%Y")
    if heading in NUMBERS and text.replace(".", "", 1).isdigit():
        return float(text) if "." in text else int(text)
    return text


def csv_bytes(sheet: dict[str, Any]) -> bytes:
    """One sheet as separated text with the line ends of an office program."""
    header, rows = rows_of(sheet)
    out = io.StringIO()
    csv.writer(out).writerows([header, *rows])
    return out.getvalue().encode("utf-8")


def xlsx_bytes(sheets: list[dict[str, Any]], shop: str = SHOP) -> bytes:
    """The sheets as one workbook, without the moment it was written."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for sheet in sheets:
        page = book.create_sheet(sheet["name"])
        for cells in _page(sheet, shop):
            page.append(cells)
        _hide(page)
        _merge(page)
        _dress(page, 1 + sum(name in sheet for name in _TITLES))
        if sheet.get("hidden"):
            page.sheet_state = "hidden"
    book.properties.creator = SHOPS[shop]
    book.properties.created = book.properties.modified = _MADE
    out = io.BytesIO()
    book.save(out)
    return _without_clock(out.getvalue())


_TITLES = ("title", "under_title")


def _page(sheet: dict[str, Any], shop: str) -> Iterator[Cells]:
    header, rows = rows_of(sheet)
    if title := sheet.get("title"):
        yield [f"{SHOPS[shop]} - {title}"]
    if under := sheet.get("under_title"):
        yield [under]
    yield list(header)
    for row in rows:
        yield [typed(heading, text) for heading, text in zip(header, row, strict=True)]


def _hide(page: Any) -> None:
    """Hide the rows that are marked, and take the mark away."""
    for (cell,) in page.iter_rows(max_col=1):
        if isinstance(cell.value, str) and cell.value.startswith(HIDDEN):
            cell.value = typed("Date", cell.value.removeprefix(HIDDEN))
            page.row_dimensions[cell.row].hidden = True


def _merge(page: Any) -> None:
    """Merge each run of cells that are marked as merged with the one above them."""
    ends: dict[str, tuple[int, int]] = {}
    for row in page.iter_rows():
        for cell in row:
            if cell.value == MERGED:
                cell.value = None
                first, _ = ends.get(cell.column_letter, (cell.row - 1, 0))
                ends[cell.column_letter] = (first, cell.row)
            elif cell.column_letter in ends:
                _join(page, cell.column_letter, ends.pop(cell.column_letter))
    for letter, end in ends.items():
        _join(page, letter, end)


def _join(page: Any, letter: str, rows: tuple[int, int]) -> None:
    page.merge_cells(f"{letter}{rows[0]}:{letter}{rows[1]}")


def _dress(page: Any, header: int) -> None:
    """The dates, widths and pinned headings such a sheet has."""
    for column in page.columns:
        for cell in column:
            if isinstance(cell.value, datetime):
                cell.number_format = "m/d/yyyy"
        longest = max(len(_shown(cell.value)) for cell in column[header - 1 :])
        letter = next(cell.column_letter for cell in column if hasattr(cell, "column_letter"))
        page.column_dimensions[letter].width = min(longest + 2, 44)
    page.freeze_panes = f"A{header + 1}"


def _shown(value: object) -> str:
    return value.strftime("%m/%d/%Y") if isinstance(value, datetime) else str(value or "")


def _without_clock(workbook: bytes) -> bytes:
    """The same archive with one fixed time on every part, and the day it was saved put back."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook)) as old, zipfile.ZipFile(out, "w") as new:
        for part in old.infolist():
            content = old.read(part)
            if part.filename == "docProps/core.xml":
                content = _fixed_core(content)
            entry = zipfile.ZipInfo(part.filename, _ZIPPED)
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, content)
    return out.getvalue()


def _fixed_core(content: bytes) -> bytes:
    """Core properties with both moments fixed: saving stamps one of them anew."""
    moment = _MADE.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    return re.sub(rb">\d{4}-\d\d-\d\dT[\d:]+Z<", b">" + moment + b"<", content)


def contents(shop: str = SHOP) -> dict[str, bytes]:
    """Every file by its name."""
    return {
        one["name"]: csv_bytes(one["sheet"][0])
        if one["name"].endswith(".csv")
        else xlsx_bytes(one["sheet"], shop)
        for one in files(shop)
    }


def main() -> None:
    """Write every file of both shops."""
    for shop in SHOPS:
        folder = FIXTURES.parent / shop
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in contents(shop).items():
            (folder / name).write_bytes(content)
            sys.stdout.write(f"{shop}/{name}: {len(content):,} bytes\n")


if __name__ == "__main__":
    main()
