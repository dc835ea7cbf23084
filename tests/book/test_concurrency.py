"""Several programs at one book: one chain, one moment for each reader, nothing lost."""

from __future__ import annotations

import random
import subprocess
import time
from collections.abc import Callable
from typing import Any

import pytest

from ledger.book.backup import backup, restore
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.verify import verify
from ledger.facts.entry import Draft

Program = Callable[..., "subprocess.Popen[str]"]

APPENDS = """
import sys
from ledger.book.journal import Book, BookPlace
from ledger.facts.entry import Draft
from ledger.facts.facts import Weighing
from ledger.facts.mass import Mass, Quantity

place, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
with Book.open(BookPlace.parse(place), name) as book:
    print("ready", flush=True)
    for number in range(count):
        fact = Weighing(f"{name}-{number}", Quantity(Mass(number + 1), "some"))
        with book.writing() as writer:
            entry = writer.append(
                Draft(f"{name}-{number}", "weigh", "2026-03-30", (fact,)),
                "2026-03-30T16:05:09.123456Z",
            )
        print(entry.number, flush=True)
"""


def test_four_writers_make_one_chain(book: Book, program: Program, words: Any) -> None:
    place = words(book.place)
    writers = [program(APPENDS, place, f"truck {number}", "50") for number in range(4)]
    acknowledged = []
    for writer in writers:
        out, _ = writer.communicate(timeout=120)
        assert writer.returncode == 0
        acknowledged += [int(line) for line in out.splitlines()[1:]]
    assert sorted(acknowledged) == list(range(2, 202))
    assert verify(book) == []
    with book.reading() as reader:
        entries = list(reader.entries(2))
        assert list(reader.rows("SELECT count(*) FROM weighing")) == [(200,)]
    for number in range(4):
        own = [entry.key for entry in entries if entry.actor == f"truck {number}"]
        assert own == [f"truck {number}-{part}" for part in range(50)]


def test_killed_writer_leaves_a_sound_book(book: Book, program: Program, words: Any) -> None:
    """SIGKILL at random moments: what was acknowledged is there, and nothing by halves."""
    chance = random.Random(20260330)
    acknowledged: list[int] = []
    for attempt in range(10):
        writer = program(APPENDS, words(book.place), f"truck {attempt}", "100000")
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
        time.sleep(chance.uniform(0.005, 0.12))
        writer.kill()
        out, _ = writer.communicate(timeout=60)
        acknowledged += [int(line) for line in out.split("\n")[:-1]]
        assert verify(book) == []
    with book.reading() as reader:
        last = reader.head()[0]
        assert last >= max(acknowledged) and len(set(acknowledged)) == len(acknowledged)
        # At most the one append in flight when a writer was killed is there unacknowledged.
        assert last - 1 - len(acknowledged) <= 10
        assert list(reader.rows("SELECT count(*) FROM weighing")) == [(last - 1,)]


def test_killed_import_leaves_nothing(book: Book, program: Program, words: Any) -> None:
    source = APPENDS.replace("with book.writing() as writer:\n", "if True:\n").replace(
        "    for number", "    unit = book.writing()\n    writer = unit.__enter__()\n    for number"
    )
    writer = program(source, words(book.place), "truck", "6000")
    assert writer.stdout is not None
    while writer.stdout.readline() != "4500\n":
        assert writer.poll() is None
    writer.kill()
    writer.communicate(timeout=60)
    with book.reading() as reader:
        assert reader.head()[0] == 1
        assert list(reader.rows("SELECT count(*) FROM weighing")) == [(0,)]
    assert verify(book) == []


def test_copy_is_whole_while_others_write(
    book: Book,
    program: Program,
    words: Any,
    tmp_path: Any,
    charge: Callable[..., Draft],
    clock: Any,
) -> None:
    writer = program(APPENDS, words(book.place), "truck", "100000")
    assert writer.stdout is not None
    for number in range(4):
        seen = [writer.stdout.readline() for _ in range(10)]
        copy = backup(book, tmp_path / f"copy {number}")
        assert copy.head[0] >= int(seen[-1])
        place = BookPlace.parse(tmp_path / f"restored {number}")
        with restore(copy.path, place) as restored, restored.reading() as reader:
            assert reader.head() == copy.head
            with book.reading() as now:
                assert list(reader.entries()) == list(now.entries(1, copy.head[0]))
                assert now.head()[0] >= copy.head[0]
    writer.kill()
    writer.communicate(timeout=60)
    assert verify(book, copy.head) == []


def test_two_books_of_one_database_do_not_wait_for_each_other(
    new_place: Any, charge: Callable[..., Draft], clock: Any
) -> None:
    first = Book.create(new_place("first"), "UTC", "First", "office", clock())
    second = Book.create(new_place("second"), "UTC", "Second", "office", clock())
    with first.writing() as one, second.writing() as two:
        one.append(charge(1), clock.text())
        two.append(charge(1), clock.text())
        two.append(charge(2), clock.text())
    with first, second, first.reading() as one_reader, second.reading() as two_reader:
        assert (one_reader.head()[0], two_reader.head()[0]) == (2, 3)


@pytest.mark.parametrize("makers", [3])
def test_one_of_several_makers_makes_the_book(
    place: BookPlace, program: Program, words: Any, makers: int
) -> None:
    source = """
import sys
from datetime import UTC, datetime
from ledger.book.journal import Book, BookPlace
from ledger.facts.problems import Refused
try:
    Book.create(BookPlace.parse(sys.argv[1]), "UTC", "Shop", sys.argv[2],
                datetime(2026, 3, 30, tzinfo=UTC)).close()
    print("made")
except Refused as refused:
    print(refused.problems[0].code)
"""
    started = [program(source, words(place), f"maker {number}") for number in range(makers)]
    told = sorted(maker.communicate(timeout=60)[0].strip() for maker in started)
    assert told == ["book-exists"] * (makers - 1) + ["made"]
    with Book.open(place, "office") as book:
        assert verify(book) == []
