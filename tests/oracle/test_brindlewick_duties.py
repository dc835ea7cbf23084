"""The demo book's duties against the worked cases of its story, day by day.

The cases of `tests/law/cases/scenario_a.toml` were worked by hand from the paragraphs they cite,
before there was an engine; here the same dates, states and tenths of a percent have to come out of
the shop's sheets as they were imported. The days on which the shop looked for leaks are ours: the
story's log has none, and its list of gaps fits only if there were (`ours = true` in the cases).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from ledger.answers.case_events import Story
from ledger.answers.duties import CircuitDuties
from ledger.book.bound import duties_in
from ledger.book.journal import Book
from ledger.book.reading import Cut, masters_at
from tests.answers.test_duties_cases import answered, differences
from tests.answers.told_cases import Told, cases
from tests.oracle.brindlewick_book import STORY, Case, Demo, made
from tests.oracle.test_brindlewick_story import copied, one_movement

FROM_STORY = [one for one in cases() if one["source"].startswith("trade brief 8.A")]
OTHERWISE = "A-2026-11-03-one"
"""The case in which two movements of a day are told as one."""
BEFORE = {
    "A-2026-06-02": ("import:2026-04-18:%", date(2026, 6, 29)),
    "A-2026-06-18": ("demo:reverse:wrong unit 06-18", date(2026, 6, 21)),
}
"""The entry before which the book knew what a case says was known then, and the case's own day.

The demo book is typed in at one moment, so that the order of its entries stands for the days.
"""


@pytest.fixture
def demo() -> Demo:
    """The book of the demo shop, made once."""
    return made()


def _answers(book: Book, as_of: date, known_at: int = 0) -> tuple[Told, dict[str, Any]]:
    """The stories and the duties of every circuit of a book on a day."""
    cut = Cut(known_at=known_at)
    with book.reading() as reader:
        found = list(duties_in(reader, cut, masters_at(reader, cut), as_of))
    stories: dict[str, Story] = {story.circuit: story for story, _ in found}
    duties: dict[str, list[CircuitDuties]] = {story.circuit: several for story, several in found}
    return Told(stories, {}, [], {}), duties


def _number_before(book: Book, key: str) -> int:
    with book.reading() as reader:
        rows = reader.rows("SELECT MIN(j.number) FROM journal j WHERE j.key LIKE ?", (key,))
        ((number,),) = rows
    return int(number) - 1


def _wrong(book: Book, case: Case) -> Iterator[str]:
    for expect in case["expect"]:
        known_at = 0
        key, then = BEFORE.get(case["id"], ("", date.max))
        if expect.get("known_at") == then:
            known_at = _number_before(book, key)
        told, found = _answers(book, expect["as_of"], known_at)
        lines = [*differences(found, {}, expect)]
        lines += answered(told, found, {}, expect, case["spoken_of"])
        yield from (f"{expect['as_of']}: {line}" for line in lines)


@pytest.mark.parametrize(
    "case", [one for one in FROM_STORY if one["id"] != OTHERWISE], ids=lambda one: one["id"]
)
def test_a_row_of_the_story_comes_out_of_the_sheets(demo: Demo, case: Case) -> None:
    assert list(_wrong(demo.book, case)) == []


def test_told_as_one_movement_the_same_day_asks_for_a_plan(demo: Demo, tmp_path: Path) -> None:
    (case,) = (one for one in FROM_STORY if one["id"] == OTHERWISE)
    with copied(demo, tmp_path / "tarebook.db") as book:
        one_movement(book)
        assert list(_wrong(book, case)) == []


def test_every_day_on_which_something_was_known_otherwise_is_asked() -> None:
    days = {
        (case["id"], expect["known_at"])
        for case in FROM_STORY
        for expect in case["expect"]
        if expect.get("known_at", expect["as_of"]) < expect["as_of"]
    }
    assert days == {(name, day) for name, (_, day) in BEFORE.items()}


# -- the lines of the story's own table ----------------------------------------------------------


@cache
def _due_days() -> frozenset[tuple[str, str, str]]:
    """Circuit, duty and due day of every duty on any day a case looks at."""
    book = made().book
    days = {expect["as_of"] for case in FROM_STORY for expect in case["expect"]}
    return frozenset(
        (duty.circuit, duty.duty, duty.due.isoformat())
        for day in days
        for several in _answers(book, day)[1].values()
        for one in several
        for duty in one.duties
        if duty.due
    )


@pytest.mark.parametrize(
    "row", [one for one in STORY["row"] if "duties" in one], ids=lambda one: one["id"]
)
def test_every_due_day_of_a_row_is_answered(row: Case) -> None:
    missing = [one for one in row["duties"] if tuple(one) not in _due_days()]
    assert missing == []
