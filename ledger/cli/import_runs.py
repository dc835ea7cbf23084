"""Commands about whole imports: list them, and take one back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import AsCsv, AsJson, AsXlsx, BookOption, DryRun, now, open_book, recording

if TYPE_CHECKING:
    from ledger.intake.undo import ImportRun


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command()(imports)
    app.command("reverse-import")(reverse_import)


def imports(
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = ""
) -> None:
    """List the imports: file, entries, rows recorded, and whether one was taken back."""
    from ledger.book.known import BookKnown
    from ledger.cli.output import Output, put
    from ledger.intake.undo import import_runs
    from ledger.reports.table import Column, Table
    from ledger.reports.words import counted

    with open_book(book) as opened, opened.reading() as reader:
        runs = import_runs(BookKnown(reader.connection, now(), opened.zone))
        table = Table(
            "Imports",
            (
                Column("number", "First entry", "whole"), Column("last", "Last entry", "whole"),
                Column("file", "File"), Column("rows", "Rows recorded", "whole"),
                Column("undone", "Taken back by entry", "whole"),
                Column("sha256", "SHA-256 of the file"),
            ),
            [_row(run) for run in runs],
            answer=f"{counted(len(runs), 'import')} recorded something.",
            head=reader.head(),
        )  # fmt: skip
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)


def _row(run: ImportRun) -> dict[str, object]:
    return {
        "number": run.number, "last": run.last, "file": run.file, "rows": run.recorded,
        "undone": run.undone or None, "sha256": run.sha256,
    }  # fmt: skip


def reverse_import(
    entry: Annotated[int, typer.Argument(help="Any entry of the import.")],
    because: Annotated[str, typer.Option("--because", help="Why; needed.")] = "",
    dry_run: DryRun = False, book: BookOption = "",
) -> None:  # fmt: skip
    """Take a whole import back: each of its rows is reversed, or none; it can be imported again."""
    from ledger.intake.undo import run_numbered, undo
    from ledger.reports.words import counted

    with recording(book) as (recorder, known):
        run = run_numbered(known, entry)
        done = undo(recorder, run, because)
        recorder.writer.flush()
        if dry_run:
            recorder.writer.rollback()
    lead = "Would be taken back" if dry_run else "Taken back"
    span = f"entry {done.first}" if done.first == done.last else (
        f"entries {done.first} to {done.last}"
    )  # fmt: skip
    typer.echo(
        f"{lead}: {counted(done.reversed, 'row')} of {run.file} (entries {run.number} to"
        f" {run.last}), by {span}."
    )
    if done.kept:
        typer.echo(f"{counted(done.kept, 'row')} had been reversed before.")
    typer.echo("What was answered about its rows stays known; the file can be imported again.")
