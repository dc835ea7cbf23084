"""docs/data-model.md says what a book holds: every fact, field and column, and every digest."""

from __future__ import annotations

import re
from dataclasses import fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from ledger.book.export import export_journal, restore_from_export
from ledger.book.journal import Book, BookPlace
from ledger.book.schema import COLUMNS, PROJECTIONS
from ledger.facts.entry import Draft
from ledger.facts.facts import TYPES, Evidence, Movement
from ledger.facts.mass import Quantity, of_decimal
from ledger.facts.masters import FIELDS
from tests.docs.blocks import ROOT, blocks

PAGE = ROOT / "docs" / "data-model.md"
TEXT = PAGE.read_text(encoding="utf-8")
BOOK = "00112233445566778899aabbccddeeff"


def _marked(mark: str) -> str:
    (found,) = [block.text for block in blocks(PAGE) if block.mark == mark]
    return found


def _heads(export: str) -> Any:
    """What the page's own program computes."""
    space: dict[str, Any] = {}
    exec(_marked("python"), space)
    return space["heads"](export)


def _pounds(text: str) -> Quantity:
    mass = of_decimal(text, "lb")
    assert mass is not None
    return Quantity(mass, f"{text} lb")


def _example(file: Path) -> Book:
    """The book of the worked example, made by the program."""
    moment = datetime(2026, 3, 30, 16, 5, 9, tzinfo=UTC)
    place, name = BookPlace.parse(file), "Example Refrigeration"
    book = Book.create(place, "America/Chicago", name, "office", moment, BOOK)
    weighed = Evidence("gross", "S1", _pounds("36.20"), _pounds("32.10"))
    move = Movement(
        "cylinder:410-17", "circuit:RTU-3", "R-410A", _pounds("4.10"), "addition",
        stock="virgin", evidence=weighed,
    )  # fmt: skip
    draft = Draft(
        "ticket 5012", "charge", "2026-03-28", (move,), person="Dana Field",
        occurred_time="14:05", zone="America/Chicago", ticket="5012",
    )  # fmt: skip
    with book.writing() as writer:
        writer.append(draft, "2026-03-30T16:06:00.000000Z")
    return book


def test_the_worked_example_is_what_the_program_exports(tmp_path: Path) -> None:
    with _example(tmp_path / "shop.db") as book:
        head = export_journal(book, tmp_path / "shop.jsonl")
    exported = (tmp_path / "shop.jsonl").read_text(encoding="utf-8")
    assert exported == _marked("jsonl")
    assert _heads(exported)[-1] == head[1]


def test_the_digests_of_the_example_follow_from_the_page_alone() -> None:
    said = re.findall(r'"digest":"([0-9a-f]{64})"', _marked("jsonl"))
    assert len(said) == 2
    assert _heads(_marked("jsonl")) == said


def test_the_page_computes_the_digests_of_letters_beyond_ascii(tmp_path: Path) -> None:
    """What needs escaping, twice inside a body, comes out the same."""
    place = BookPlace.parse(tmp_path / "shop.db")
    moment = datetime(2026, 3, 30, 16, 5, 9, tzinfo=UTC)
    with Book.create(place, "UTC", 'Küche "Nord" \\ 冷凍 \U0001f9ca', "büro", moment, BOOK) as book:
        with book.writing() as writer:
            for count in range(2):
                draft = Draft(f"k{count}", "note", "2026-03-29", (), note='a\tb\n"c" / \x7f \u2028')
                writer.append(draft, "2026-03-30T16:06:00.000000Z")
        export_journal(book, tmp_path / "shop.jsonl")
        with book.reading() as reader:
            wanted = [entry.digest for entry in reader.entries()]
    assert _heads((tmp_path / "shop.jsonl").read_text(encoding="utf-8")) == wanted


def test_the_example_restores_to_the_same_book(tmp_path: Path) -> None:
    (tmp_path / "shop.jsonl").write_text(_marked("jsonl"), encoding="utf-8")
    place = BookPlace.parse(tmp_path / "again.db")
    with (
        restore_from_export(tmp_path / "shop.jsonl", place) as book,
        book.reading() as reader,
    ):
        assert reader.head()[1] == _heads(_marked("jsonl"))[-1]


def _section(title: str, level: str) -> str:
    found = re.search(
        rf"^{level} {re.escape(title)}\n(.*?)(?=^#{{1,{len(level)}}} |\Z)", TEXT, re.M | re.S
    )
    assert found, f"the page has no section {title}"
    return found[1]


@pytest.mark.parametrize("kind", sorted(TYPES))
def test_every_fact_is_told_with_every_member(kind: str) -> None:
    told = set(re.findall(r"`(\w+)`", _section(kind, "###")))
    assert {field.name for field in fields(TYPES[kind])} <= told


def test_no_fact_is_told_that_is_not_there() -> None:
    titles = re.findall(r"^### (.+)$", TEXT, re.M)
    assert sorted(titles) == sorted(TYPES)


def test_evidence_and_body_are_told() -> None:
    assert {field.name for field in fields(Evidence)} <= set(
        re.findall(r"`(\w+)`", _section("movement", "###"))
    )
    named = set(re.findall(r"`(\w+)`", _section("The body", "##")))
    assert {"v", "verb", "facts", "ticket", "note", "source", "supervisor"} <= named


def test_the_journal_is_told_with_every_column() -> None:
    told = re.findall(r"^\| `(\w+)` \|", _section("The journal", "##"), re.M)
    assert tuple(told) == COLUMNS["journal"]


def test_every_master_is_told_with_every_field() -> None:
    rows = dict(re.findall(r"^\| (\w+) \| (.+) \|$", _section("Masters", "##"), re.M))
    del rows["kind"]
    wanted = {
        kind: ", ".join(f"**{name}**" if field.dated else name for name, field in members.items())
        for kind, members in FIELDS.items()
    }
    assert rows == wanted


def test_every_query_table_is_told_with_its_columns() -> None:
    rows = dict(re.findall(r"^\| `(\w+)` \| (.+) \|$", _section("Query tables", "##"), re.M))
    assert {name: tuple(re.findall(r"`(\w+)`", columns)) for name, columns in rows.items()} == {
        name: COLUMNS[name] for name in PROJECTIONS
    }
