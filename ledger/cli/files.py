"""Commands for files: import spreadsheets, attach a scan or photo."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import (
    AsJson,
    BookOption,
    DryRun,
    Key,
    Provisional,
    Writing,
    entry_of,
    headline,
    new_key,
    now,
    open_book,
    write,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command("import")(import_file)
    app.command()(attach)


def attach(
    file: Annotated[Path, typer.Argument(help="Scan or photo.")],
    entry: Annotated[int, typer.Option("--entry", help="Entry it belongs to.")] = 0,
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Keep a scan or photo beside the book, recorded by its digest."""
    from ledger.book.attachments import attachments_folder, store
    from ledger.facts.entry import Draft
    from ledger.reports.words import in_words

    with open_book(book) as opened, opened.reading() as reader:
        folder = attachments_folder(opened.place)
        if entry:
            entry_of(reader, entry)

    def draft(known: BookKnown) -> Draft:
        # The copy is made first: a file nobody recorded harms nothing, a record without its
        # file would. A dry run copies to where nothing is kept.
        with TemporaryDirectory() as passing:
            fact = store(Path(passing) if dry_run else folder, file, entry)
        return Draft(new_key(key), "attach", known.today(known.shop_zone()), (fact,))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, in_words(outcome.draft.facts[0]))

    write(Writing(book, key, dry_run), draft, tell)


def import_file(
    file: Annotated[Path, typer.Argument(help="Spreadsheet: .xlsx or .csv.")],
    map_name: Annotated[str, typer.Option("--map", help="A saved column map.")] = "",
    look: Annotated[bool, typer.Option("--look", help="Say how the columns are read; record nothing.")] = False,
    save_map: Annotated[str, typer.Option("--save-map", help="Keep the columns as read under this name.")] = "",
    columns: Annotated[
        list[str], typer.Option("--column", help='One column: "Header=field" or "Header=" to ignore it.')
    ] = [],  # noqa: B006
    sets: Annotated[
        list[str], typer.Option("--set", help='A field for every row: "action=charge".')
    ] = [],  # noqa: B006
    sheets: Annotated[list[str], typer.Option("--sheet", help="Only this sheet.")] = [],  # noqa: B006
    strict: Annotated[
        bool, typer.Option("--strict", help="Refuse what a command would refuse, instead of flagging.")
    ] = False,
    answers: Annotated[
        Path | None,
        typer.Option("--answers", help="Where the copy to answer in goes; beside the file if left out."),
    ] = None,
    dry_run: DryRun = False, provisional: Provisional = False, as_json: AsJson = False,
    book: BookOption = "",
) -> None:  # fmt: skip
    """Take in a spreadsheet: each row recorded, flagged, known already, in question, or rejected.

    Where rows are in question or rejected, a copy of the sheet is written beside it in which they
    are answered or mended and which is imported next. Exit code 0: every row is settled; 4: some
    wait for a person.
    """
    from ledger.cli.importing import ROWS_LEFT, Choices, importing

    choices = Choices(map_name, save_map, tuple(columns), tuple(sets), tuple(sheets), strict,
                      provisional, dry_run, look, answers)  # fmt: skip
    left: list[int] = []
    with open_book(book) as opened:
        for line in importing(
            opened, file, choices, now(), as_json, _progress(as_json), left.append
        ):
            typer.echo(line)
    if any(left):
        raise typer.Exit(ROWS_LEFT)


def _progress(quiet: bool) -> Callable[[int, int], None] | None:
    """A progress bar on a terminal; nothing in a pipe."""
    if quiet or not sys.stderr.isatty():
        return None
    from rich.progress import Progress

    bar = Progress(transient=True)
    task = bar.add_task("Rows", total=None)
    bar.start()

    def step(done: int, total: int) -> None:
        bar.update(task, completed=done, total=total or None)
        if total and done >= total:
            bar.stop()

    return step
