"""A visit asked for in the order of a job; the answers outlive a closed terminal."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

import pytest

from ledger.cli.visit_asking import DRAFT
from tests.cli.shop import Shop
from tests.cli.test_visit import SPLIT

JOB = {
    "Unit or circuit": ["HP-1"],
    "Who did the work": ["Dana Field"],
    "Arrived at, such as 13:40": ["13:40"],
    "A reading on arrival, such as suction=118": ["split=13"],
    "How it was looked for leaks (nothing: it was not)": ["bubbles"],
    "Where a leak was found": ["flare nut"],
    "Pounds the customer was told, such as 2 to 4": ["2 to 4"],
    "Cylinder and gross weights, such as 410-17=31.4,30.2,29.15": ["410-1=21.40,18.25"],
    "Into which cylinder, such as RC-2=31.2,31.5; none=0 for a try": ["RC-01=31.20,31.50"],
    "A leak that was repaired, such as flare=remade": ["flare nut=tightened"],
    "Initial test of the repairs, pass or fail": ["pass"],
    "How it was left": ["cooling"],
}
"""What the technician answers; every other question is passed over with Enter."""


@contextmanager
def answering(told: dict[str, list[str]], stop_at: str = "") -> Iterator[list[str]]:
    """A person at the terminal who answers, or closes it at a question."""
    seen: list[str] = []
    left = {words: list(answers) for words, answers in told.items()}

    def prompt(words: str, default: str = "", **_: Any) -> str:
        seen.append(words)
        if words == stop_at:
            raise KeyboardInterrupt
        answers = left.get(words)
        return answers.pop(0) if answers else default

    with (
        patch("ledger.cli.visit.on_terminal", lambda: True),
        patch("ledger.cli.visit_asking.typer.prompt", prompt),
    ):
        yield seen


@pytest.fixture
def hotel(shop: Shop) -> Shop:
    """The shop with a split heat pump at the hotel."""
    shop.ok(SPLIT)
    return shop


def test_the_answers_make_the_visit(hotel: Shop) -> None:
    with answering(JOB) as seen:
        said = hotel.ok("tarebook visit --on 2026-06-29")
    assert any("(annualizing: 2.85 lb of 8.3 lb" in line for line in said)
    assert seen.index("Pounds the customer was told, such as 2 to 4") < seen.index(
        "Cylinder and gross weights, such as 410-17=31.4,30.2,29.15"
    )


def test_a_search_that_was_made_was_declined_by_nobody(hotel: Shop) -> None:
    with answering(JOB) as seen:
        hotel.ok("tarebook visit")
    assert "Who did not want a leak search" not in seen


def test_a_closed_terminal_loses_no_answer(hotel: Shop) -> None:
    before = hotel.head()
    with answering(JOB, stop_at="Initial test of the repairs, pass or fail"):
        assert hotel.run("tarebook visit").code != 0
    kept = json.loads((hotel.folder / DRAFT).read_text(encoding="utf-8"))
    assert kept["charges"] == ["410-1=21.40,18.25"]
    assert hotel.head() == before
    with answering({"Initial test of the repairs, pass or fail": ["pass"]}):
        said = hotel.ok("tarebook visit")
    assert "Enter keeps an answer" in said[0]
    assert any("2.85 lb of 8.3 lb" in line for line in said)
    assert not (hotel.folder / DRAFT).exists()


def test_a_refused_visit_keeps_its_answers(hotel: Shop) -> None:
    wrong = {**JOB, "Initial test of the repairs, pass or fail": ["maybe"]}
    with answering(wrong):
        assert hotel.run("tarebook visit").code == 2
    with answering({"Initial test of the repairs, pass or fail": ["pass"]}):
        hotel.ok("tarebook visit")
    assert hotel.number() == 20


def test_a_dry_run_keeps_the_answers_for_the_recording(hotel: Shop) -> None:
    with answering(JOB):
        hotel.ok("tarebook visit --dry-run")
    assert (hotel.folder / DRAFT).exists()


def test_a_draft_that_is_no_draft_is_passed_over(hotel: Shop) -> None:
    (hotel.folder / DRAFT).write_text("{", encoding="utf-8")
    with answering(JOB):
        hotel.ok("tarebook visit")


def test_in_a_pipe_nothing_is_asked(hotel: Shop) -> None:
    assert hotel.no("tarebook visit").startswith("Unit or circuit is not given.")
