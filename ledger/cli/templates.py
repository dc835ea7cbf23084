"""The command that writes a workbook to fill in, with choices from the book: template."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ledger.cli.common import BookOption, ask, now, open_book
from ledger.facts.problems import refuse


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(template)
    app.command("day-sheet")(day_sheet)


def template(
    kind: Annotated[str, typer.Argument(help="What the rows will be: jobs, receipts, cylinders ...; all are listed if left out.")] = "",
    out: Annotated[str, typer.Option("--out", help="The workbook to write; KIND.xlsx if left out.")] = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Write a workbook to fill in and import, with the choices of the book; alone, list the kinds."""
    from ledger.facts.calendar import local_date
    from ledger.reports.template_lists import lists_of
    from ledger.reports.template_xlsx import write_template
    from ledger.reports.templates import kind_of, templates

    if not kind:
        _list()
        return
    found = kind_of(kind)
    if not found:
        raise refuse("value-unclear", f'"{kind}" is no kind of template.',
                     f"Choose {', '.join(templates())}.")  # fmt: skip
    path = Path(out or f"{found}.xlsx")
    if path.suffix.casefold() != ".xlsx":
        raise refuse("option-unfit", f"{path} does not end in .xlsx.",
                     "A template is a workbook; give it that ending.")  # fmt: skip
    with open_book(book) as opened, opened.reading() as reader:
        today = local_date(now(), opened.zone).isoformat()
        number, digest = reader.head()
        said = {"name": opened.name, "day": today, "head": f"entry {number}, digest {digest[:12]}"}
        write_template(templates()[found], lists_of(reader, today, opened.zone), path, said)
    typer.echo(f"Wrote {path}: a row for {templates()[found].row}.")
    typer.echo(f"Fill it in, save it, then: tarebook import {path}")


def day_sheet(
    truck: Annotated[str, typer.Argument(help="The truck, as the book names it.")] = "",
    sites: Annotated[
        list[str], typer.Option("--site", help="A site of the day; repeat. All if none.")
    ] = [],  # noqa: B006
    on: Annotated[str, typer.Option("--on", help="The day; today where left out.")] = "",
    out: Annotated[str, typer.Option("--out", help="The workbook to write.")] = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Write a truck's sheet for a day: its cylinders and the day's circuits to choose from."""
    from ledger.cli.answers import day as iso_day
    from ledger.cli.answers import name_of
    from ledger.facts.calendar import local_date
    from ledger.reports.template_lists import lists_of, narrowed
    from ledger.reports.template_xlsx import write_template
    from ledger.reports.templates import templates

    truck = ask(truck, "Truck", "TRUCK")
    with open_book(book) as opened, opened.reading() as reader:
        name = name_of(reader, "place", truck)
        named = [name_of(reader, "site", one) for one in sites]
        day = iso_day(on) if on else local_date(now(), opened.zone).isoformat()
        path = Path(out or f"{name.replace('/', '-')} {day}.xlsx")
        if path.suffix.casefold() != ".xlsx":
            raise refuse("option-unfit", f"{path} does not end in .xlsx.",
                         "A day sheet is a workbook; give it that ending.")  # fmt: skip
        lists = narrowed(reader, lists_of(reader, day, opened.zone), name, named)
        number, digest = reader.head()
        said = {"name": f"{opened.name}, {name}", "day": day,
                "head": f"entry {number}, digest {digest[:12]}"}  # fmt: skip
        write_template(templates()["jobs"], lists, path, said)
    aboard = len(set(lists["cylinders"]))
    typer.echo(f"Wrote {path}: {aboard} cylinders of {name}, {len(lists['circuits'])} circuits.")
    typer.echo(f'Fill it in, half or whole, save it, then: tarebook import "{path}"')


def _list() -> None:
    """Print the kinds of templates."""
    from ledger.cli.output import Output, put
    from ledger.reports.table import Column, Table
    from ledger.reports.templates import templates

    rows = [{"kind": one.kind, "row": one.row} for one in templates().values()]
    columns = (Column("kind", "Kind"), Column("row", "A row is"))
    put(Table("Templates", columns, rows, f"{len(rows)} templates: tarebook template KIND."),
        Output(), "UTC")  # fmt: skip
