"""Someone who sets the triggers aside is found out, and query tables are made again."""

from __future__ import annotations

import json
from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from typing import Any

import pytest

from ledger.book import verify as verifying
from ledger.book.journal import Book
from ledger.book.schema import PROJECTIONS, insert_text, select_text
from ledger.book.verify import MOST_PROBLEMS, rebuild, verify
from ledger.facts.entry import Draft, canonical, digest_of
from ledger.facts.facts import Described, Reversal, Setting
from ledger.facts.problems import Refused

NAMES = (
    "number", "key", "occurred_on", "occurred_time", "zone", "recorded_at", "actor", "person",
    "origin_book", "origin_number", "origin_digest", "body", "previous", "digest",
)  # fmt: skip


@pytest.fixture
def full(book: Book, charge: Callable[..., Draft], clock: Any) -> Book:
    """A book of 12 entries with rows in every query table."""
    with book.writing() as writer:
        for number in range(1, 10):
            writer.append(charge(number), clock.advance(1))
        site = Described("site", "North Side", {"zone": "America/Chicago"})
        writer.append(Draft("site", "add", "2026-03-30", (site,)), clock.text())
        back = Draft("back", "reverse", "2026-03-30", (Reversal(4, (1, 0), "slip"),))
        writer.append(back, clock.text())
    return book


def sentences(book: Book, head: tuple[int, str] | None = None) -> list[str]:
    problems = verify(book, head)
    assert all(problem.code == "book-damaged" and problem.remedy for problem in problems)
    return [problem.sentence for problem in problems]


def test_sound_book_has_no_problem(full: Book) -> None:
    with full.reading() as reader:
        assert all(
            list(reader.rows(f"SELECT count(*) FROM {table}")) != [(0,)] for table in PROJECTIONS
        )
        heads = [(entry.number, entry.digest) for entry in reader.entries()]
    assert verify(full) == []
    for head in heads:
        assert verify(full, head) == []
    assert verify(full, (heads[3][0], heads[3][1][:12])) == []


@pytest.mark.parametrize(
    "column", [name for name in NAMES if name not in ("number", "previous", "digest")]
)
def test_edited_column_is_found(full: Book, unguarded: Any, column: str) -> None:
    value: Any = 7 if column == "origin_number" else "2020-01-01"
    if column == "body":
        value = '{"facts":[],"v":1,"verb":"charge"}'
    with unguarded(full.place) as way:
        way.run(f"UPDATE journal SET {column} = ? WHERE number = 5", value)
    assert "Entry 5 is not what was recorded: its digest does not match." in sentences(full)


def test_edit_with_a_new_digest_breaks_the_next_link(full: Book, unguarded: Any) -> None:
    with full.reading() as reader:
        entry = reader.entry(5)
    assert entry is not None
    header = tuple(getattr(entry, name) for name in NAMES[:11])
    body = entry.body.replace("4.80", "9.80")
    assert body != entry.body
    digest = digest_of(entry.previous, header, body)
    with unguarded(full.place) as way:
        way.run("UPDATE journal SET body = ?, digest = ? WHERE number = 5", body, digest)
    assert sentences(full)[0] == "Entry 6 does not continue the entry before it."
    assert any("movement entry 5" in sentence for sentence in sentences(full))


def test_rewritten_tail_is_found_by_a_printed_head(full: Book, unguarded: Any) -> None:
    with full.reading() as reader:
        printed, entries = reader.head(), list(reader.entries(11))
    with unguarded(full.place) as way:
        previous = entries[0].previous
        for entry in entries:
            header = tuple(getattr(entry, name) for name in NAMES[:7])
            header += ("Somebody Else", *(getattr(entry, name) for name in NAMES[8:11]))
            digest = digest_of(previous, header, entry.body)
            way.run(
                "UPDATE journal SET person = 'Somebody Else', previous = ?, digest = ?"
                " WHERE number = ?",
                previous, digest, entry.number,
            )  # fmt: skip
            previous = digest
    assert sentences(full) == []
    assert sentences(full, printed) == ["Entry 12 is not the one whose digest was printed."]


def test_cut_tail_is_found_by_a_printed_head(full: Book, unguarded: Any) -> None:
    with full.reading() as reader:
        printed = reader.head()
    with unguarded(full.place) as way:
        for table in PROJECTIONS:
            way.run(f"DELETE FROM {table} WHERE entry = 12")
        way.run("DELETE FROM journal WHERE number = 12")
    assert sentences(full) == []
    assert sentences(full, printed) == ["The book ends at entry 11; entry 12 was there once."]


def test_head_needs_enough_of_its_digest(full: Book) -> None:
    with full.reading() as reader:
        number, digest = reader.head()
    assert sentences(full, (number, digest[:11])) != []
    assert sentences(full, (number, digest[:11] + "x")) != []


def test_missing_entry_is_found(full: Book, unguarded: Any) -> None:
    with unguarded(full.place) as way:
        way.run("DELETE FROM journal WHERE number IN (5, 6)")
    told = sentences(full)
    assert "Entries 5 to 6 are missing." in told
    assert "Entry 7 does not continue the entry before it." in told


def test_missing_first_entry_is_found(full: Book, unguarded: Any) -> None:
    with unguarded(full.place) as way:
        way.run("DELETE FROM journal WHERE number = 1")
    assert "Entry 1 is missing." in sentences(full)


def test_swapped_rows_are_found(full: Book, unguarded: Any) -> None:
    with unguarded(full.place) as way:
        way.run("UPDATE journal SET number = -5 WHERE number = 5")
        way.run("UPDATE journal SET number = 5 WHERE number = 6")
        way.run("UPDATE journal SET number = 6 WHERE number = -5")
    told = sentences(full)
    assert "Entry 5 does not continue the entry before it." in told
    assert "Entry 6 is not what was recorded: its digest does not match." in told


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ('{"facts": [],"v":1,"verb":"x"}', "not in its canonical form"),
        ('{"facts":[],"v":2,"verb":"x"}', "of version 2"),
        ('{"facts":[],"note":1.5,"v":1,"verb":"x"}', "cannot be read (1.5 is not a whole number)"),
        ('{"facts":[],"note":null,"v":1,"verb":"x"}', "more than text and whole numbers"),
        (
            '{"facts":[{"key":"a","setting":"b","type":"setting","value":[true]}],"v":1}',
            "more than text and whole",
        ),
        ('{"facts":[{"type":"spell"}],"v":1,"verb":"x"}', "holds a fact that cannot be read"),
        ('{"facts":[{"mass":"4 lb","type":"movement"}],"v":1}', "holds a fact that cannot"),
        ("[]", "cannot be read"),
        ("", "cannot be read"),
    ],
)
def test_body_that_only_a_digest_vouches_for(
    full: Book, unguarded: Any, body: str, says: str
) -> None:
    with full.reading() as reader:
        entry = reader.entry(12)
    assert entry is not None
    digest = digest_of(entry.previous, tuple(getattr(entry, name) for name in NAMES[:11]), body)
    with unguarded(full.place) as way:
        way.run("UPDATE journal SET body = ?, digest = ? WHERE number = 12", body, digest)
    told = [sentence for sentence in sentences(full) if sentence.startswith("Entry 12")]
    assert len(told) == 1 and says in told[0]


def test_words_that_look_like_json_are_text(book: Book, clock: Any) -> None:
    odd = Setting("alias", "true", ["null", "false", "1.5", {"true": "null"}])
    with book.writing() as writer:
        writer.append(Draft("odd", "set", "2026-03-30", (odd,)), clock.text())
    assert sentences(book) == []


def test_recording_order_is_checked(full: Book, unguarded: Any) -> None:
    with full.reading() as reader:
        entry = reader.entry(12)
    assert entry is not None
    early = "2020-01-01T00:00:00.000000Z"
    header = tuple(early if name == "recorded_at" else getattr(entry, name) for name in NAMES[:11])
    with unguarded(full.place) as way:
        way.run(
            "UPDATE journal SET recorded_at = ?, digest = ? WHERE number = 12",
            early, digest_of(entry.previous, header, entry.body),
        )  # fmt: skip
    assert sentences(full) == ["Entry 12 was recorded before the entry before it."]


def test_foreign_identity_is_found(full: Book, unguarded: Any) -> None:
    with unguarded(full.place) as way:
        way.run("UPDATE meta SET value = ? WHERE name = 'book'", "9" * 32)
        way.run("DELETE FROM meta WHERE name = 'format'")
    told = sentences(full)
    assert len(told) == 2 and "The book's book is '9999" in told[0]
    assert "The book's format is None, not '1'." in told[1]


def test_dropped_guard_is_found(full: Book, raw: Any, engine: str) -> None:
    where = "" if engine == "sqlite" else " ON journal"
    with raw(full.place) as way:
        way.run(f"DROP TRIGGER journal_no_update{where}")
    assert sentences(full) == ["The guard journal_no_update of the journal is missing."]


def snapshot(book: Book) -> dict[str, list[Any]]:
    with book.reading() as reader:
        return {table: list(reader.rows(select_text(table))) for table in PROJECTIONS}


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        (
            "UPDATE movement SET mass = mass + 1 WHERE entry = 7",
            "The query table movement entry 7 line 1, column mass, says 1741794700801;"
            " the journal says 1741794700800.",
        ),
        (
            "UPDATE weighing SET cylinder = 'X' WHERE entry = 4 AND line = 1",
            "The query table weighing entry 4 line 2 part 1, column cylinder, says 'X';"
            " the journal says '410-3'.",
        ),
        ("DELETE FROM movement WHERE entry = 3", "movement entry 3 line 1 is missing."),
        ("DELETE FROM service WHERE entry = 1 AND line = 2", "service entry 1 line 3 is missing."),
        ("UPDATE described SET folded = 'south'", "entry 11 line 1, column folded, says 'south'"),
        ("DELETE FROM reversal", "reversal entry 12 of entry 4 line 1 is missing."),
        (
            "UPDATE reversal SET target_line = 5 WHERE target_line = 1",
            "reversal entry 12 of entry 4 line 6 is not in the journal.",
        ),
        (
            "INSERT INTO reversal (entry, target_entry, target_line) VALUES (99, 2, 0)",
            "The query table reversal has rows of entry 99, which is not there.",
        ),
        ("UPDATE movement SET line = 3 WHERE entry = 2", "entry 2 line 4 is not in the journal."),
    ],
)
def test_altered_query_row_is_named_and_made_again(
    full: Book, raw: Any, statement: str, says: str
) -> None:
    before = snapshot(full)
    with raw(full.place) as way:
        way.run(statement)
    assert snapshot(full) != before
    assert any(says in sentence for sentence in sentences(full))
    rebuild(full)
    assert snapshot(full) == before
    assert sentences(full) == []


def test_rebuild_needs_a_readable_journal(full: Book, unguarded: Any) -> None:
    before = snapshot(full)
    with unguarded(full.place) as way:
        way.run("UPDATE journal SET body = '{' WHERE number = 6")
    with pytest.raises(Refused) as refused:
        rebuild(full)
    assert refused.value.problems[0].code == "book-damaged"
    assert snapshot(full) == before


def test_problems_are_told_up_to_a_limit(full: Book, unguarded: Any) -> None:
    with unguarded(full.place) as way:
        way.run("UPDATE journal SET person = 'x'")
        way.run("DELETE FROM movement")
        way.run("DELETE FROM weighing")
    assert len(verify(full)) == MOST_PROBLEMS


@pytest.mark.parametrize("second", ["works", "cannot start"])
def test_two_processes_find_what_one_finds(
    full: Book, unguarded: Any, monkeypatch: pytest.MonkeyPatch, second: str
) -> None:
    with unguarded(full.place) as way:
        way.run("UPDATE journal SET person = 'x' WHERE number IN (3, 11)")
        way.run("UPDATE movement SET cause = 'x' WHERE entry IN (2, 10)")
    alone = verify(full)
    here: list[tuple[int, int]] = []
    part = verifying._part

    def watched(book: Book, first: int, last: int) -> list[Any]:
        here.append((first, last))
        return part(book, first, last)

    monkeypatch.setattr(verifying, "TWO_PROCESSES_FROM", 5)
    monkeypatch.setattr(verifying, "_part", watched)
    if second == "cannot start":
        monkeypatch.setattr(Future, "result", lambda _: (_ for _ in ()).throw(BrokenProcessPool()))
    together = verify(full)
    assert here == ([(1, 4)] if second == "works" else [(1, 4), (5, 12)])
    assert len(alone) == 5
    assert sorted(map(str, together)) == sorted(map(str, alone))


def test_damaged_pages_are_found(full: Book, engine: str, raw: Any) -> None:
    """A flipped byte in an index page (SQLite) or a lost row (PostgreSQL) is not overlooked."""
    if engine == "postgresql":
        with raw(full.place) as way:
            way.run("ALTER TABLE journal DISABLE TRIGGER journal_no_delete")
            way.run("DELETE FROM journal WHERE number = 4")
            way.run("ALTER TABLE journal ENABLE ALWAYS TRIGGER journal_no_delete")
        assert "The journal holds 11 entries and numbers up to 12." in sentences(full)
        return
    assert full.place.file is not None
    with raw(full.place) as way:
        page = way.run("SELECT rootpage FROM sqlite_master WHERE name = 'movement_source'")[0][0]
        size = way.run("PRAGMA page_size")[0][0]
        way.run("PRAGMA wal_checkpoint(TRUNCATE)")
    content = bytearray(full.place.file.read_bytes())
    spot = content.index(b"cylinder", (page - 1) * size, page * size)
    content[spot : spot + 8] = b"cylindeX"
    full.place.file.write_bytes(content)
    assert any("SQLite says" in sentence for sentence in sentences(full))


def test_inserted_query_row_alone_passes_no_check(full: Book, raw: Any) -> None:
    row = list(snapshot(full)["movement"][0])
    row[1] = 1
    with raw(full.place) as way:
        way.run(insert_text("movement"), *row)
    assert sentences(full) == ["The query table movement entry 2 line 2 is not in the journal."]


def test_canonical_text_is_what_is_stored(full: Book) -> None:
    with full.reading() as reader:
        for entry in reader.entries():
            assert canonical(json.loads(entry.body)) == entry.body
