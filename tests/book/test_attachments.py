"""Scans beside the book: copied once, named by content, missed and altered ones told."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest

from ledger.book.attachments import attachments_folder, check_attachments, store
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.facts.entry import Draft
from ledger.facts.facts import Attachment, Reversal
from ledger.facts.problems import Refused

SCAN = b"%PDF-1.4 invoice 17\n" * 200_000


@pytest.fixture
def scan(tmp_path: Path) -> Path:
    """A file of 4 MB."""
    file = tmp_path / "invoice 17.pdf"
    file.write_bytes(SCAN)
    return file


def test_attachment_is_named_by_its_content(tmp_path: Path, scan: Path) -> None:
    folder = tmp_path / "shop.attachments"
    digest = hashlib.sha256(SCAN).hexdigest()
    assert store(folder, scan, 4) == Attachment(digest, "invoice 17.pdf", len(SCAN), 4)
    assert (folder / digest).read_bytes() == SCAN
    again = scan.rename(tmp_path / "copy of it.pdf")
    assert store(folder, again) == Attachment(digest, "copy of it.pdf", len(SCAN))
    assert [path.name for path in folder.iterdir()] == [digest]


def test_storing_again_mends_a_damaged_copy(tmp_path: Path, scan: Path) -> None:
    folder = tmp_path / "kept"
    fact = store(folder, scan)
    (folder / fact.sha256).write_bytes(b"torn")
    assert store(folder, scan) == fact
    assert (folder / fact.sha256).read_bytes() == SCAN


def test_absent_and_altered_attachments_are_told(book: Book, tmp_path: Path, clock: Any) -> None:
    folder = tmp_path / "kept"
    facts = []
    for name in ("sound", "absent", "altered", "taken back"):
        (tmp_path / name).write_text(name)
        facts.append(store(folder, tmp_path / name))
    with book.writing() as writer:
        writer.append(Draft("attach", "attach", "2026-03-30", tuple(facts)), clock.text())
        back = Reversal(2, (3,), "wrong paper")
        writer.append(Draft("back", "reverse", "2026-03-30", (back,)), clock.text())
    assert check_attachments(book, folder) == []
    (folder / facts[1].sha256).unlink()
    (folder / facts[3].sha256).unlink()
    (folder / facts[2].sha256).write_text("something else")
    told = check_attachments(book, folder)
    assert [(problem.code, problem.where) for problem in told] == [
        ("file-missing", "attachment entry 2"),
        ("book-damaged", "attachment entry 2"),
    ]
    assert "absent of entry 2" in told[0].sentence and "altered of entry 2" in told[1].sentence


def test_missing_file_is_not_attached(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        store(tmp_path / "kept", tmp_path / "no.pdf")
    assert refused.value.problems[0].code == "file-missing"
    assert not (tmp_path / "kept").exists()


def test_folder_that_cannot_be_written(tmp_path: Path, scan: Path) -> None:
    (tmp_path / "kept").write_text("a file where the folder should be")
    with pytest.raises(Refused) as refused:
        store(tmp_path / "kept", scan)
    assert refused.value.problems[0].code == "book-read-only"


def test_folder_stands_beside_the_book_or_is_named(tmp_path: Path) -> None:
    file, server = BookPlace.parse(tmp_path / "shop.tarebook"), BookPlace.parse("postgresql://h/d")
    chosen, named = tmp_path / "chosen", {"TAREBOOK_ATTACHMENTS": str(tmp_path / "named")}
    assert attachments_folder(file, environ=named) == tmp_path / "shop.attachments"
    assert attachments_folder(server, environ=named) == tmp_path / "named"
    assert attachments_folder(file, chosen, named) == chosen
    assert attachments_folder(server, chosen, {}) == chosen
    with pytest.raises(Refused) as refused:
        attachments_folder(server, environ={})
    assert refused.value.problems[0].code == "option-unfit"
