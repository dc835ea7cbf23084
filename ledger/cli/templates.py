"""The command that writes a workbook to fill in, with choices from the book: template."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ledger.cli.common import BookOption, now, open_book
from ledger.facts.problems import refuse


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(template)


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


def _list() -> None:
    """Print the kinds of templates."""
    from ledger.cli.output import Output, put
    from ledger.reports.table import Column, Table
    from ledger.reports.templates import templates

    rows = [{"kind": one.kind, "row": one.row} for one in templates().values()]
    columns = (Column("kind", "Kind"), Column("row", "A row is"))
    put(Table("Templates", columns, rows, f"{len(rows)} templates: tarebook template KIND."),
        Output(), "UTC")  # fmt: skip
