"""Commands that print the paper of a job: service-record, statement."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import cut_of, name_of
from ledger.cli.answers import day as iso_day
from ledger.cli.common import AsJson, AsXlsx, BookOption, KnownAt, open_book
from ledger.cli.movements import Circuit, On, Ticket
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.journal import Book
    from ledger.book.reader import Reader
    from ledger.reports.service_record import Line
    from ledger.reports.table import Table


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command("service-record")(service_record)
    app.command()(statement)


def _found(
    book: Book, reader: Reader, circuit: str, on: str, ticket: str, known_at: str
) -> tuple[str, str, list[Line], dict[str, Table]]:
    """Circuit, day, lines and tables of the job that is meant."""
    from ledger.reports.service_record import last_day, lines_of, service_tables

    name = name_of(reader, "circuit", circuit)
    cut = cut_of(reader, "", known_at)
    day = iso_day(on) if on else last_day(reader, cut, name)
    lines = lines_of(reader, cut, name, day, ticket) if day else []
    if not lines:
        when = f" on {day}" if on else ""
        raise refuse("no-such-entry", f"Nothing is recorded of {name}{when}.",
                     f"See what there is with tarebook history {name}.")  # fmt: skip
    return name, day, lines, service_tables(reader, cut, name, day, lines, book.name)


def service_record(
    circuit: Circuit, on: On = "", ticket: Ticket = "", known_at: KnownAt = "",
    as_json: AsJson = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """The record an owner is given when the work is done; the last day's where none is named."""
    from ledger.cli.answers import report_workbook
    from ledger.cli.output import Output, put
    from ledger.reports.service_record import REPORT

    with open_book(book) as opened, opened.reading() as reader:
        _, _, _, tables = _found(opened, reader, circuit, on, ticket, known_at)
        if as_xlsx:
            report_workbook(REPORT, tables, as_xlsx, opened)
            return
        if as_json:
            from ledger.reports.json_out import render

            parts = ",".join(f'"{key}":{render(table)}' for key, table in tables.items())
            typer.echo(f"{{{parts}}}")
            return
        for table in tables.values():
            if table.rows:
                put(table, Output(), opened.zone)


def statement(
    circuit: Circuit, on: On = "", ticket: Ticket = "", known_at: KnownAt = "",
    to: Annotated[str, typer.Option("--text", help="Write it to a text file.")] = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """A one-page refrigerant statement for a homeowner: weights, pounds, readings, who, what."""
    from pathlib import Path

    from ledger.reports.service_record import statement_lines
    from ledger.reports.workbook import drafted

    with open_book(book) as opened, opened.reading() as reader:
        name, day, lines, tables = _found(opened, reader, circuit, on, ticket, known_at)
        text = "\n".join(statement_lines(name, day, lines, tables))
    if not to:
        typer.echo(text)
        return
    with drafted(Path(to)) as draft:
        draft.write_text(text + "\n", encoding="utf-8")
    typer.echo(f"Wrote {to}.")
