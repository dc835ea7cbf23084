"""Where an answer goes: the terminal, JSON, CSV or a workbook."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from ledger.reports.table import Table


@dataclass(frozen=True, slots=True)
class Output:
    """The form asked for; the terminal where nothing was."""

    as_json: bool = False
    as_csv: bool = False
    as_xlsx: str = ""

    def __post_init__(self) -> None:
        if sum((self.as_json, self.as_csv, bool(self.as_xlsx))) > 1:
            raise refuse("option-unfit", "An answer takes one form.",
                         "Give one of --json, --csv and --xlsx.")  # fmt: skip


def dated(table: Table, zone: str, moment: datetime | None = None) -> Table:
    """The table with today in the shop's zone as its day, where no other was asked for."""
    from dataclasses import replace

    from ledger.cli.common import now
    from ledger.facts.calendar import local_date

    return (
        table
        if table.as_of
        else replace(table, as_of=local_date(moment or now(), zone).isoformat())
    )


def put(
    table: Table, output: Output, zone: str, *, dated_as_of: bool = True, name: str = ""
) -> None:  # fmt: skip
    """Print a table, or write it to a workbook and say where.

    What does not depend on the day, such as a property of a refrigerant, is not dated. `name` is
    the shop's, for the head of a printed page.
    """
    table = dated(table, zone) if dated_as_of else table
    if output.as_json:
        from ledger.reports.json_out import render

        typer.echo(render(table))
    elif output.as_csv:
        from ledger.reports.csv_out import write

        write(table, sys.stdout)
    elif output.as_xlsx:
        from ledger.reports.workbook import write_table

        write_table(table, Path(output.as_xlsx), {"name": name})
        typer.echo(f"Wrote {output.as_xlsx}.")
    else:
        from ledger.reports.terminal import show

        show(table, sys.stdout, os.environ)


def tell(lines: Iterable[str]) -> None:
    """Print lines; on a terminal wrapped to its width, with what hangs under its beginning."""
    if not sys.stdout.isatty():
        typer.echo("\n".join(lines))
        return
    from ledger.reports.layout import wrapped
    from ledger.reports.terminal import terminal_width

    width = terminal_width(sys.stdout)
    for line in lines:
        text = line.lstrip(" ")
        indent = len(line) - len(text)
        first, *rest = wrapped(text, max(20, width - indent - 2)) or [""]
        typer.echo(" " * indent + first)
        for more in rest:
            typer.echo(" " * (indent + 2) + more)
