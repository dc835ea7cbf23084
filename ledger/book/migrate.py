"""Upgrades an older book: a checked copy first, then every step in one transaction or none."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ledger.book.backup import Copy, backup
from ledger.book.engine import BookPlace
from ledger.book.inside import revision_of
from ledger.book.journal import Book
from ledger.book.revisions import migrate_to
from ledger.book.schema import HEAD_REVISION
from ledger.facts.problems import refuse


@dataclass(frozen=True, slots=True)
class Upgrade:
    """What an upgrade did: the revisions before and after, and the copy made before it.

    `copy` is None where the book was up to date and nothing was done.
    """

    before: str
    after: str
    copy: Copy | None = None


def upgrade(place: BookPlace, actor: str = "", copy_to: Path | None = None) -> Upgrade:
    """Bring a book to the revision of this program.

    The book is held so that nobody writes between the copy and the change. A SQLite book is
    copied beside itself unless `copy_to` names a file; for PostgreSQL `copy_to` is needed and
    takes the exported journal. Refused with `option-unfit` without it, with what `backup`
    refuses, or `book-damaged` where the guards are not as declared; the book is then as before.
    """
    with Book.open(place, actor) as book:
        if not book.older:
            return Upgrade(book.revision, HEAD_REVISION)
        target = copy_to or _copy_beside(place)
        with book.locked() as connection:
            before = revision_of(connection)
            if before == HEAD_REVISION:
                return Upgrade(before, HEAD_REVISION)
            copy = backup(book, target)
            migrate_to(connection)
    return Upgrade(before, HEAD_REVISION, copy)


def _copy_beside(place: BookPlace) -> Path:
    """A free name beside the book that says what the copy is."""
    if place.file is None:
        raise refuse(
            "option-unfit",
            f"Before the book {place.shown} is upgraded, its journal is written to a file.",
            "Say which file with --copy-to.",
        )
    file, count = place.file, 1
    name = f"{file.stem}.before-{HEAD_REVISION}"
    target = file.with_name(f"{name}{file.suffix}")
    while target.exists():
        count += 1
        target = file.with_name(f"{name}-{count}{file.suffix}")
    return target
