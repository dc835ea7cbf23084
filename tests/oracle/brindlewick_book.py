"""The demo book made once for the tests that ask it, and its expected figures."""

from __future__ import annotations

import tempfile
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from ledger.answers.leak_rate import Rate, rates
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.reading import Cut, circuit_histories
from ledger.cli.demo import BRINDLEWICK
from ledger.cli.demo_sheets import take_in
from ledger.facts.mass import Mass, half_up, of_decimal
from ledger.law.for_rates import law_for_rates
from tests.oracle import brindlewick_naive as naive
from tests.oracle.fixtures_brindlewick import FIXTURES

EXPECTED = FIXTURES / "expected"
Case = dict[str, Any]


def expected(name: str) -> dict[str, list[Case]]:
    """One file of figures worked by hand."""
    found: dict[str, list[Case]] = tomllib.loads((EXPECTED / name).read_text(encoding="utf-8"))
    return found


RATES, BALANCES, STORY = map(expected, ("leak-rates.toml", "balances.toml", "story.toml"))


class Demo:
    """The demo book as made for these tests, what was said while it was, and its tables."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = folder / "tarebook.db"
        place = BookPlace.parse(self.file)
        self.book = Book.create(
            place, BRINDLEWICK.zone, BRINDLEWICK.name, "test", BRINDLEWICK.moment
        )
        self.said = list(take_in(self.book, BRINDLEWICK, folder))
        self.now = naive.Tables(self.file)

    def rates(self, cut: Cut = Cut()) -> dict[tuple[str, str], Rate]:
        """Every rate of the book by circuit and day."""
        return rates_of(self.book, cut)


def rates_of(book: Book, cut: Cut = Cut()) -> dict[tuple[str, str], Rate]:
    """Every rate of a book by circuit and day."""
    law = law_for_rates()
    with book.reading() as reader:
        return {
            (history.circuit, rate.on.isoformat()): rate
            for history in circuit_histories(reader, cut)
            for rate in rates(history, law)
        }


@cache
def made() -> Demo:
    """The demo book, made once in this process; its folder goes with the process."""
    folder = tempfile.TemporaryDirectory(prefix="brindlewick")
    demo = Demo(Path(folder.name))
    demo.keep = folder  # type: ignore[attr-defined]
    return demo


def mass(text: str) -> Mass:
    """Pounds as an exact mass; a minus sign is kept."""
    found = of_decimal(text.removeprefix("-"), "lb")
    assert found is not None
    return Mass(-found) if text.startswith("-") else found


def label(case: Case) -> str:
    """The row of the story a case is from, and what it is about."""
    keys = ("row", "circuit", "cylinder", "what", "on", "year", "said", "how", "days")
    return " ".join(str(case[key]) for key in keys if key in case)


def percent(rate: Rate, method: str, like: str) -> str:
    """A rate by one method, in percent with as many decimals as the expected text."""
    value = rate.rate_by(method)
    assert value is not None
    return half_up(100 * value, len(like.partition(".")[2]))


def check_rate(case: Case, rate: Rate) -> None:
    """One rate against what was worked by hand: parts, percentages, verdict and due days."""
    assert rate.subpart == case.get("subpart", rate.subpart)
    assert rate.counted == mass(case["lb"])
    assert rate.full_charge == mass(case["charge"])
    assert rate.days == case["days"]
    assert rate.method == "annualizing"
    assert percent(rate, "annualizing", case["percent"]) == case["percent"]
    if "rolling" in case:
        assert percent(rate, "rolling average", case["rolling"]) == case["rolling"]
    assert rate.window_at_least is case.get("rolling_at_least", rate.window_at_least)
    if "trigger" in case:
        assert rate.trigger == case["trigger"]
    if "over" in case:
        assert rate.over is case["over"]
    for name in ("repair_by", "repair_by_shutdown"):
        if name in case:
            assert getattr(rate, name) == case[name]
