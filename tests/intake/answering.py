"""Reads and fills answers files as a person does in a spreadsheet program."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any


def lines_of(path: Path, sheet: str = "") -> list[list[Any]]:
    """Every row of a file as it would be shown, empty cells as empty text."""
    if path.suffix == ".csv":
        with path.open(newline="", encoding="utf-8-sig") as file:
            return [list(row) for row in csv.reader(file)]
    from openpyxl import load_workbook

    book = load_workbook(path)
    found = book[sheet] if sheet else book.worksheets[0]
    return [["" if cell is None else cell for cell in row] for row in found.values]


def headings(path: Path, sheet: str = "") -> tuple[int, list[str]]:
    """The number of the heading row and its headings."""
    for number, line in enumerate(lines_of(path, sheet), 1):
        if "tarebook answer" in line:
            return number, [str(cell) for cell in line]
    raise AssertionError(f"{path} has no column for answers")


def beside(path: Path, row: int, sheet: str = "") -> dict[str, Any]:
    """What stands beside a row: outcome, entry, question, answer and row."""
    _, titles = headings(path, sheet)
    line = lines_of(path, sheet)[row - 1]
    return {
        title.removeprefix("tarebook "): line[at] if at < len(line) else ""
        for at, title in enumerate(titles)
        if title.startswith("tarebook ")
    }


def fill(
    path: Path, row: int, text: Any, heading: str = "tarebook answer", sheet: str = ""
) -> None:
    """Type into one cell of a row, by the heading of its column."""
    _, titles = headings(path, sheet)
    at = titles.index(heading)
    if path.suffix == ".csv":
        lines = lines_of(path)
        lines[row - 1][at] = text
        with path.open("w", newline="", encoding="utf-8-sig") as file:
            csv.writer(file).writerows(lines)
        return
    from openpyxl import load_workbook

    book = load_workbook(path)
    found = book[sheet] if sheet else book.worksheets[0]
    found.cell(row, at + 1).value = text
    book.save(path)
