"""Commands for the book itself: init, head, verify, rebuild, upgrade, backup, restore, export."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import DEFAULT_BOOK, BookOption, actor, now, open_book
from ledger.facts.problems import Refused, refuse

if TYPE_CHECKING:
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book
    from ledger.facts.problems import Problem


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (init, head, verify, rebuild, upgrade, backup, restore):
        app.command()(command)
    app.command("export")(export_book)


def _place(book: str) -> BookPlace:
    from ledger.book.engine import BookPlace

    return BookPlace.parse(book or DEFAULT_BOOK)


def init(
    name: Annotated[str, typer.Option("--name", help="Name of the shop.")] = "",
    zone: Annotated[
        str, typer.Option("--zone", help="Time zone of the shop, such as America/Chicago.")
    ] = "",
    book: BookOption = "",
) -> None:
    """Start a new book."""
    from ledger.book.journal import Book

    place = _place(book)
    with Book.create(place, zone or _local_zone(), name or "our shop", actor(), now()) as made:
        typer.echo(f"Started the book of {made.name} at {place.shown} (time zone {made.zone}).")
    typer.echo("Next: tarebook add site, add unit, add person, receive; or tarebook import FILE.")


def _local_zone() -> str:
    """The machine's IANA time zone where it can be told, else a refusal that asks for it."""
    import os

    named = os.environ.get("TZ", "").lstrip(":")
    link = Path("/etc/localtime")
    if not named and link.is_symlink():
        named = str(link.resolve()).partition("zoneinfo/")[2]
    if "/" in named and not named.startswith("Etc/"):
        return named
    raise refuse(
        "field-missing", "The time zone of the shop is not known.",
        "Add --zone, such as --zone America/Chicago.",
    )  # fmt: skip


def head(book: BookOption = "") -> None:
    """Print the number and digest of the last entry; keep it outside the book."""
    with open_book(book) as opened, opened.reading() as reader:
        number, digest = reader.head()
    typer.echo(f"{number} {digest}")


def verify(
    against: Annotated[
        str, typer.Option("--head", help='A head kept earlier: "NUMBER DIGEST" or NUMBER:DIGEST.')
    ] = "",
    book: BookOption = "",
) -> None:
    """Check the chain, the guards, the query tables and attached files against the journal."""
    from ledger.book.verify import verify as verify_book

    earlier = _head_of(against) if against else None
    with open_book(book) as opened:
        problems = verify_book(opened, earlier) + _attached(opened)
        with opened.reading() as reader:
            number, digest = reader.head()
    if problems:
        raise Refused(problems)
    typer.echo(f"Verified: {number} entries, chain whole, head {digest}.")


def _attached(book: Book) -> list[Problem]:
    """Attached files that are absent or altered; none are looked for where none are recorded."""
    from ledger.book.attachments import attachments_folder, check_attachments

    with book.reading() as reader:
        any_recorded = next(
            iter(reader.rows("select 1 from service where type = ? limit 1", ("attachment",))), None
        )
    return check_attachments(book, attachments_folder(book.place)) if any_recorded else []


def _head_of(text: str) -> tuple[int, str]:
    number, _, digest = text.replace(":", " ").strip().partition(" ")
    if not (number.isascii() and number.isdigit() and len(digest.strip()) >= 12):
        raise refuse(
            "option-unfit", f'"{text}" is not a head.',
            "Give the number and the digest as tarebook head printed them.",
        )  # fmt: skip
    return int(number), digest.strip()


def rebuild(book: BookOption = "") -> None:
    """Make the query tables again from the journal."""
    from ledger.book.verify import rebuild as rebuild_book

    with open_book(book) as opened:
        rebuild_book(opened)
        with opened.reading() as reader:
            typer.echo(f"Rebuilt the query tables from {reader.head()[0]} entries.")


def upgrade(
    copy_to: Annotated[
        str,
        typer.Option("--copy-to", help="Where the backup copy goes; beside the book if left out."),
    ] = "",
    book: BookOption = "",
) -> None:
    """Bring an older book up to this version, after a verified backup copy."""
    from ledger.book.migrate import upgrade as upgrade_book

    place = _place(book)
    done = upgrade_book(place, actor(), Path(copy_to) if copy_to else None)
    if done.copy is None:
        typer.echo(f"{place.shown} is up to date; nothing was done.")
    else:
        typer.echo(f"Upgraded {place.shown}; the copy from before is {done.copy.path}.")


def backup(
    target: Annotated[Path, typer.Argument(help="File to write; never overwritten.")],
    book: BookOption = "",
) -> None:
    """Write a consistent, verified copy of the book while others go on working."""
    from ledger.book.backup import backup as backup_book

    with open_book(book) as opened:
        copy = backup_book(opened, target)
    typer.echo(f"Backed up to {copy.path}: {copy.head[0]} entries, head {copy.head[1]}.")


def export_book(
    target: Annotated[Path, typer.Argument(help="JSON-lines file to write; never overwritten.")],
    book: BookOption = "",
) -> None:
    """Write the whole journal as open text, one entry a line: the export is the book."""
    from ledger.book.export import export_journal

    with open_book(book) as opened:
        number, digest = export_journal(opened, target)
    typer.echo(f"Exported {number} entries to {target}, head {digest}.")


def restore(
    source: Annotated[Path, typer.Argument(help="JSON-lines export to make the book from.")],
    against: Annotated[
        str, typer.Option("--head", help="A head kept earlier, which the export must hold.")
    ] = "",
    book: BookOption = "",
) -> None:
    """Make a new book from an export, digest for digest; never over an existing book."""
    from ledger.book.export import restore_from_export

    place = _place(book)
    kept = _head_of(against) if against else None
    made = restore_from_export(source, place, actor(), kept)
    with made as restored, restored.reading() as reader:
        number, digest = reader.head()
    typer.echo(f"Restored {number} entries to {place.shown}, head {digest}.")
    if kept is None:
        typer.echo("Compare the head with one kept elsewhere (--head): a cut end cannot be seen"
                   " from inside.")  # fmt: skip
