"""The command that answers for disposals: pounds recovered by month and refrigerant."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import Refrigerant, cut_of, refrigerant_name, report_workbook
from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsOf,
    AsXlsx,
    BookOption,
    Explain,
    KnownAt,
    now,
    open_book,
)
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.intake.sheets import Row
    from ledger.reports.disposals_table import OpenRow

_MONTH = re.compile(r"[12][0-9]{3}(?:-(?:0[1-9]|1[0-2]))?")
_TOP = 60
"""Rows of an answers file in which its headings are looked for."""
_OURS = "tarebook"
_OPEN = ("question", "rejected")


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(disposals)


def disposals(
    month: Annotated[
        list[str], typer.Option("--month", help="Month as 2025-06, or a year; repeat for more.")
    ] = [],  # noqa: B006
    open_in: Annotated[
        list[Path],
        typer.Option("--open", help="Answers file of an import: its open rows are listed too."),
    ] = [],  # noqa: B006
    refrigerant: Refrigerant = "", as_of: AsOf = "", known_at: KnownAt = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """The disposal log: recovered pounds by month and refrigerant, appliances over 5 and under 50 lb."""
    from ledger.cli.output import Output, put
    from ledger.facts.calendar import local_date
    from ledger.reports.disposals_table import disposal_tables

    output = Output(as_json, as_csv, as_xlsx)
    months = tuple(_month(text) for text in month)
    rows = [row for path in open_in for row in open_rows(path)]
    with open_book(book) as opened, opened.reading() as reader:
        tables, workings = disposal_tables(
            reader, cut_of(reader, as_of, known_at), months, local_date(now(), opened.zone),
            refrigerant_name(reader, refrigerant), rows,
        )  # fmt: skip
        if output.as_xlsx:
            report_workbook("disposal-log", tables, as_xlsx, opened)
            return
        put(tables["months"], output, opened.zone)
        if explain and not (as_json or as_csv):
            for working in workings():
                typer.echo("\n".join(("", *working.to_lines())))


def _month(text: str) -> str:
    if not _MONTH.fullmatch(text.strip()):
        raise refuse(
            "date-unclear", f'"{text}" is no month.', "Write it as 2025-06, or a year as 2025."
        )
    return text.strip()


def open_rows(path: Path) -> Iterator[OpenRow]:
    """The rows of an answers file that are in the book in no form yet."""
    from ledger.intake.sheets import open_sheets

    with open_sheets(path) as file:
        for sheet in file.sheets:
            yield from _open_in(path.name, sheet, file.rows(sheet))


def _open_in(file: str, sheet: str, rows: Iterator[Row]) -> Iterator[OpenRow]:
    from ledger.intake.headers import header_words
    from ledger.intake.sheets import cell_text
    from ledger.reports.disposals_table import OpenRow

    at: dict[str, int] = {}
    for row in rows:
        cells = [cell_text(cell) for cell in row.cells]
        if not at:
            words = [header_words(text) for text in cells]
            if f"{_OURS} outcome" in words:
                at = {word.removeprefix(f"{_OURS} "): index for index, word in enumerate(words)
                      if word.startswith(_OURS)}  # fmt: skip
            elif row.number > _TOP:
                return
            continue
        outcome = _cell(cells, at.get("outcome", -1))
        if any(word in outcome.casefold() for word in _OPEN):
            first = min(at.values())
            said = " | ".join(text for text in cells[:first] if text)
            yield OpenRow(
                file, sheet, row.number, outcome, _cell(cells, at.get("question", -1)), said
            )


def _cell(cells: list[str], index: int) -> str:
    return cells[index] if 0 <= index < len(cells) else ""
