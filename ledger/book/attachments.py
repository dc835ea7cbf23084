"""Scans and photos beside the book, each named by the SHA-256 of its bytes."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from ledger.book.engine import BookPlace
from ledger.book.files import sync
from ledger.book.journal import Book
from ledger.facts.facts import Attachment
from ledger.facts.problems import Problem, refuse

FOLDER_VARIABLE = "TAREBOOK_ATTACHMENTS"
"""The environment variable that names the folder of a PostgreSQL book's attachments."""
_PIECE = 1 << 20


def attachments_folder(
    place: BookPlace, chosen: Path | None = None, environ: Mapping[str, str] | None = None
) -> Path:
    """The folder of a book's attachments: `chosen`, the variable, or beside the book file.

    Refused with `option-unfit` for a PostgreSQL book where neither names one.
    """
    named = (os.environ if environ is None else environ).get(FOLDER_VARIABLE, "")
    if chosen is not None:
        return chosen
    if place.file is not None:
        return place.file.with_name(f"{place.file.stem}.attachments")
    if named:
        return Path(named)
    raise refuse(
        "option-unfit",
        f"The book {place.shown} has no folder for attachments.",
        f"Name one with --attachments or in {FOLDER_VARIABLE}.",
    )


def store(folder: Path, file: Path, about: int = 0) -> Attachment:
    """Copy a file into the folder and return the fact that records it.

    The copy is named by its SHA-256, synced to disk, and there once however often it is
    stored. `about` is the entry it belongs to, 0 for the entry that records it. Refused with
    `file-missing`, or `book-read-only` where the folder cannot be written.
    """
    if not file.is_file():
        raise refuse("file-missing", f"There is no file {file}.", "Check the name and the folder.")
    try:
        folder.mkdir(exist_ok=True)
        digest, size = _copied(file, folder)
    except OSError as error:
        raise refuse(
            "book-read-only",
            f"{file.name} cannot be copied to {folder} ({error.strerror}).",
            "Check the folder, its room and your rights to it.",
        ) from error
    return Attachment(digest, file.name, size, about)


def check_attachments(book: Book, folder: Path) -> list[Problem]:
    """Each attachment the book records that is absent from the folder or altered."""
    with book.reading() as reader:
        rows = list(
            reader.rows(
                "SELECT s.entry, s.body FROM service s LEFT JOIN reversal r"
                " ON r.target_entry = s.entry AND r.target_line = s.line"
                " WHERE s.type = 'attachment' AND r.entry IS NULL ORDER BY s.entry, s.line"
            )
        )
    problems = []
    for entry, body in rows:
        fact = json.loads(body)
        problem = _check(
            folder / fact["sha256"], fact["sha256"], f"{fact['file']} of entry {entry}"
        )
        if problem is not None:
            problems.append(problem.at(f"attachment entry {entry}"))
    return problems


def _check(kept: Path, digest: str, what: str) -> Problem | None:
    remedy = f"Put the original back as {kept}, or from a backup of the folder."
    if not kept.is_file():
        return Problem("file-missing", f"The attachment {what} is not in its folder.", remedy)
    if _digest(kept) != digest:
        return Problem("book-damaged", f"The attachment {what} was altered.", remedy)
    return None


def _digest(file: Path) -> str:
    with file.open("rb") as source:
        return hashlib.file_digest(source, "sha256").hexdigest()


def _copied(file: Path, folder: Path) -> tuple[str, int]:
    """Copy under a passing name while hashing, then give the copy its name."""
    part = folder / f".{secrets.token_hex(8)}.part"
    seen, size = hashlib.sha256(), 0
    try:
        with file.open("rb") as source, part.open("xb") as copy:
            while piece := source.read(_PIECE):
                seen.update(piece)
                size += len(piece)
                copy.write(piece)
        sync(part)
        digest = seen.hexdigest()
        # The name is the content, so replacing an equal or damaged copy loses nothing.
        part.replace(folder / digest)
        sync(folder)
    finally:
        with suppress(FileNotFoundError):
            part.unlink()
    return digest, size
