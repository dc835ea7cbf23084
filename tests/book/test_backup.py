"""Copies that are checked, exports that are the same bytes everywhere, books made from both."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ledger.book.backup import backup, export_journal, restore, restore_from_export
from ledger.book.engine import BookPlace
from ledger.book.export import checked_export, read_export
from ledger.book.files import appearing
from ledger.book.journal import Book
from ledger.book.schema import PROJECTIONS, select_text
from ledger.book.verify import verify
from ledger.facts.entry import Draft
from ledger.facts.facts import Decision, Described, Reversal
from ledger.facts.problems import Refused

GOLDEN = "c8aecf6f357917cf5fa63ea8321e71c733d644e21248c4efdc1c567faf392b81"
"""SHA-256 of the exported book of the fixture `full`; a change of it changes every old digest."""


@pytest.fixture
def full(book: Book, charge: Callable[..., Draft], clock: Any) -> Book:
    """A book of 24 entries, the same on every engine and every run."""
    with book.writing() as writer:
        for number in range(20):
            writer.append(charge(number), clock.advance(0.5))
    site = Described("site", "Zoë’s Café \u2028 \x85", {"zone": "America/Chicago"})
    said = Decision("site:Zoë", "who owns the unit?", 'the "tenant"\\', "lease\n2024 🧊")
    for fact in (site, said, Reversal(4, (0,), "typed twice")):
        with book.writing() as writer:
            draft = Draft(f"of {fact.TYPE}", "record", "2026-03-30", (fact,), person="Zoë")
            writer.append(draft, clock.advance(-10))
    return book


def everything(book: Book) -> list[Any]:
    with book.reading() as reader:
        tables = ("journal", *PROJECTIONS)
        rows = [list(reader.rows(select_text(table))) for table in tables]
        return [*rows, list(reader.rows("SELECT name, value FROM meta ORDER BY name"))]


def test_export_is_the_same_bytes_on_both_engines(full: Book, tmp_path: Path) -> None:
    """With a fixed clock and book id, SQLite and PostgreSQL must both give these bytes."""
    head = export_journal(full, tmp_path / "journal.jsonl")
    content = (tmp_path / "journal.jsonl").read_bytes()
    assert hashlib.sha256(content).hexdigest() == GOLDEN
    lines = content.split(b"\n")
    assert lines.pop() == b"" and len(lines) == head[0] == 24
    for number, line in enumerate(lines, start=1):
        members = json.loads(line)
        assert members["number"] == number
        text = json.dumps(members, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        assert text.encode() == line


def test_export_makes_the_same_book(full: Book, tmp_path: Path, new_place: Any) -> None:
    head = export_journal(full, tmp_path / "first")
    for place in (new_place("again"), BookPlace.parse(tmp_path / "file.tarebook")):
        with restore_from_export(tmp_path / "first", place, "clerk", head) as again:
            assert everything(again) == everything(full)
            assert (again.book_id, again.name, again.zone) == (full.book_id, full.name, full.zone)
            assert again.actor == "clerk" and verify(again, head) == []
            export_journal(again, tmp_path / f"{place.is_file}")
        written = (tmp_path / f"{place.is_file}").read_bytes()
        assert written == (tmp_path / "first").read_bytes()
        (tmp_path / f"{place.is_file}").unlink()


def test_restored_book_goes_on(
    full: Book, tmp_path: Path, new_place: Any, charge: Callable[..., Draft], clock: Any
) -> None:
    export_journal(full, tmp_path / "out")
    with restore(tmp_path / "out", new_place("again"), "office") as again:
        for book in (full, again):
            with book.writing() as writer:
                writer.append(charge(77), "2026-04-01T00:00:00.000000Z")
        assert everything(again) == everything(full)


def test_backup_is_a_checked_copy(full: Book, tmp_path: Path, new_place: Any) -> None:
    copy = backup(full, tmp_path / "copy")
    with full.reading() as reader:
        assert copy.head == reader.head()
    assert sorted(path.name for path in tmp_path.iterdir() if "shop" not in path.name) == ["copy"]
    if full.place.is_file:
        with Book.open(BookPlace.parse(copy.path), "office") as opened:
            assert everything(opened) == everything(full)
    with restore(copy.path, new_place("again"), "office", copy.head) as again:
        assert everything(again) == everything(full)


@pytest.mark.parametrize("write", [backup, export_journal])
def test_copy_never_overwrites(full: Book, tmp_path: Path, write: Any) -> None:
    target = tmp_path / "target"
    target.write_text("mine")
    with pytest.raises(Refused) as refused:
        write(full, target)
    assert refused.value.problems[0].code == "book-exists"
    assert target.read_text() == "mine"
    with pytest.raises(Refused) as refused:
        write(full, tmp_path / "no" / "target")
    assert refused.value.problems[0].code == "file-missing"


@pytest.mark.parametrize("write", [backup, export_journal])
def test_copy_of_a_damaged_book_is_not_kept(
    full: Book, tmp_path: Path, unguarded: Any, write: Any
) -> None:
    with unguarded(full.place) as way:
        way.run("UPDATE journal SET person = 'x' WHERE number = 7")
    before = sorted(tmp_path.iterdir())
    with pytest.raises(Refused, match="Entry 7 is not what was recorded"):
        write(full, tmp_path / "copy")
    assert sorted(tmp_path.iterdir()) == before


def test_book_is_never_restored_over_another(full: Book, tmp_path: Path) -> None:
    export_journal(full, tmp_path / "out")
    before = everything(full)
    with pytest.raises(Refused) as refused:
        restore(tmp_path / "out", full.place, "office")
    assert refused.value.problems[0].code == "book-exists"
    assert everything(full) == before


def edited(content: bytes, line: int, change: Callable[[dict[str, Any]], None]) -> bytes:
    """An exported journal with one line changed."""
    lines = content.split(b"\n")
    members = json.loads(lines[line - 1])
    change(members)
    text = json.dumps(members, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    lines[line - 1] = text.encode()
    return b"\n".join(lines)


SPOILED: list[tuple[str, Callable[[bytes], bytes], str]] = [
    ("not-a-book", lambda content: b"", "does not begin with the first entry"),
    ("not-a-book", lambda content: b"Date,Unit\n", "Line 1 of"),
    ("not-a-book", lambda content: content[:-30], "Line 24 of"),
    ("not-a-book", lambda content: content.replace(b"\n", b"\r\n"), "Line 1 of"),
    ("not-a-book", lambda content: content.replace(b'"actor":', b'"actor": ', 1), "Line 1 of"),
    ("not-a-book", lambda content: edited(content, 3, lambda m: m.pop("zone")), "Line 3 of"),
    ("not-a-book", lambda content: edited(content, 3, lambda m: m.update(a=1)), "Line 3 of"),
    ("not-a-book", lambda content: edited(content, 3, lambda m: m.update(key=1)), "Line 3 of"),
    ("not-a-book", lambda content: edited(content, 3, lambda m: m.update(number=True)), "Line 3"),
    ("book-damaged", lambda content: content.split(b"\n", 1)[1], "Entry 1 is missing"),
    ("book-damaged", lambda content: edited(content, 5, lambda m: m.update(person="x")), "Entry 5"),
    (
        "book-damaged",
        lambda content: b"\n".join(content.split(b"\n")[:9] + content.split(b"\n")[10:]),
        "Entry 10 is missing",
    ),
]


@pytest.mark.parametrize("case", range(len(SPOILED)))
def test_spoiled_export_makes_no_book(
    full: Book, tmp_path: Path, new_place: Any, case: int
) -> None:
    code, spoil, says = SPOILED[case]
    export_journal(full, tmp_path / "good")
    (tmp_path / "bad").write_bytes(spoil((tmp_path / "good").read_bytes()))
    place = new_place("again")
    with pytest.raises(Refused, match=says) as refused:
        restore_from_export(tmp_path / "bad", place, "office")
    assert refused.value.problems[0].code == code
    with pytest.raises(Refused) as refused:
        Book.open(place, "office")
    assert refused.value.problems[0].code == "book-missing"


def test_cut_export_is_seen_with_a_head(full: Book, tmp_path: Path, new_place: Any) -> None:
    head = export_journal(full, tmp_path / "good")
    lines = (tmp_path / "good").read_bytes().split(b"\n")
    (tmp_path / "cut").write_bytes(b"\n".join(lines[:20]) + b"\n")
    assert checked_export(tmp_path / "cut")[0] == 20
    with pytest.raises(Refused, match="Entry 24 with the digest given is not in the file"):
        restore(tmp_path / "cut", new_place("again"), "office", head)


def test_missing_backup_is_told(tmp_path: Path) -> None:
    for read in (
        lambda: list(read_export(tmp_path / "no")),
        lambda: restore(tmp_path / "no", BookPlace.parse(tmp_path / "again")),
    ):
        with pytest.raises(Refused) as refused:
            read()
        assert refused.value.problems[0].code == "file-missing"


def test_file_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), appearing(tmp_path / "out") as part:
        part.write_text("half")
        raise ZeroDivisionError
    assert list(tmp_path.iterdir()) == []
    with appearing(tmp_path / "out") as part:
        part.write_text("whole")
        assert not (tmp_path / "out").exists()
    assert [path.name for path in tmp_path.iterdir()] == ["out"]
    with pytest.raises(Refused), appearing(tmp_path / "late") as part:
        part.write_text("ours")
        (tmp_path / "late").write_text("theirs")
    assert (tmp_path / "late").read_text() == "theirs"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["late", "out"]


def test_file_appears_where_links_are_not_supported(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_link(source: Path, target: Path) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr("os.link", no_link)
    with appearing(tmp_path / "out") as part:
        part.write_text("whole")
    assert (tmp_path / "out").read_text() == "whole"
    with pytest.raises(Refused), appearing(tmp_path / "late") as part:
        part.write_text("ours")
        (tmp_path / "late").write_text("theirs")
    assert (tmp_path / "late").read_text() == "theirs"
