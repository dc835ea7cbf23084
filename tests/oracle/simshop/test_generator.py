"""The generator itself: no pound is created, each difference has its cause, and it is repeatable.

Nothing here looks at a reconciliation. Pounds are compared exactly.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path

import pytest

from ledger.book.journal import Book
from ledger.book.reading import Cut, known_by
from ledger.facts.facts import Attempt, Movement, Reversal
from ledger.facts.mass import POUND
from tests.oracle.simshop.attribution import recorded
from tests.oracle.simshop.counting import counted
from tests.oracle.simshop.paper import NOT_THERE, SEEN_SEALED, Count
from tests.oracle.simshop.parameters import TRUCKS, drawn, without_errors
from tests.oracle.simshop.truth import (
    AT_CLOSE,
    AT_END,
    CAUSES,
    FORGOTTEN,
    THEFT,
    UNRECEIVED,
    month_posted,
)
from tests.oracle.simshop.typing_in import Typed, new_book, type_in
from tests.oracle.simshop.year import Year, year_of, year_with

SEEDS = (3, 5, 6)


@dataclass(frozen=True, slots=True)
class Kept:
    """A year and the book into which it was typed."""

    year: Year
    book: Book
    typed: Typed


@pytest.fixture(scope="module", params=SEEDS)
def kept(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Kept]:
    """The year of one seed, typed in."""
    year = _year(request.param)
    with new_book(tmp_path_factory.mktemp("simshop") / "shop.db") as book:
        yield Kept(year, book, type_in(book, year.papers.commands))


@pytest.fixture(scope="module", params=SEEDS[:2])
def faultless(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Kept]:
    """The same shop where everything is weighed exactly and typed once."""
    year = year_with(without_errors(drawn(request.param)))
    with new_book(tmp_path_factory.mktemp("faultless") / "shop.db") as book:
        yield Kept(year, book, type_in(book, year.papers.commands))


@lru_cache(maxsize=8)
def _year(seed: int) -> Year:
    return year_of(seed)


def differences(kept: Kept, count: Count, view: str) -> Counter[str]:
    """Counted less recorded at a count by cylinder, as known then or in the end."""
    found: Counter[str] = Counter()
    for row, mass in counted(count.rows):
        found[row.cylinder] += mass
    with kept.book.reading() as reader:
        known = known_by(reader, f"{count.closed_on}T23:59:59.999999Z") if view == AT_CLOSE else 0
        for name, _, mass in recorded(reader, Cut(count.cut_off, known)):
            found[name] -= mass
    return found


# -- what is true --------------------------------------------------------------------------


@pytest.mark.parametrize("seed", SEEDS)
def test_what_came_in_is_in_circuits_on_hand_or_lost_by_a_cause(seed: int) -> None:
    year = _year(seed)
    held: Counter[str] = Counter()
    for key, mass in year.truth.held.items():
        if key.month == "2025-12":
            held[key.refrigerant] += mass
    assert held == {what: flows.left() for what, flows in year.truth.flows.items()}


@pytest.mark.parametrize("seed", SEEDS)
def test_no_cylinder_ever_ends_below_nothing(seed: int) -> None:
    assert min(one.content for one in _year(seed).shop.cylinders.values()) >= 0


@pytest.mark.parametrize("seed", SEEDS)
def test_heels_leaks_and_thefts_on_the_causes_are_those_of_the_flows(seed: int) -> None:
    year = _year(seed)
    stolen = Counter(
        {what: flows.stolen for what, flows in year.truth.flows.items() if flows.stolen}
    )
    by_cause: Counter[str] = Counter()
    for key, of in year.truth.causes[AT_END].items():
        by_cause[key.refrigerant] -= of.get(THEFT, 0)
    assert +by_cause == stolen
    assert sum(one.mass for one in year.truth.thefts) == sum(stolen.values())


# -- the book without errors ---------------------------------------------------------------


def test_without_errors_the_book_is_the_truth_at_every_count(faultless: Kept) -> None:
    assert not faultless.typed.overridden
    for count in faultless.year.papers.counts:
        wrong = {n: m for n, m in differences(faultless, count, AT_END).items() if m}
        assert not wrong, count.month
    held = sum(one.content for one in faultless.year.shop.cylinders.values())
    with faultless.book.reading() as reader:
        assert sum(mass for _, _, mass in recorded(reader, Cut())) == held > 100 * POUND


def test_without_errors_there_are_no_causes(faultless: Kept) -> None:
    causes = faultless.year.truth.causes
    assert not [of for view in causes.values() for of in view.values() if any(of.values())]


def test_a_faultless_shop_does_all_the_work(faultless: Kept) -> None:
    verbs = Counter(one.draft.verb for one in faultless.year.papers.commands)
    assert {
        "receive", "load-out", "charge", "recover", "turn-in", "scrap", "transfer", "ship"
    } <= verbs.keys()  # fmt: skip
    assert verbs["charge"] > 500


# -- the book with errors ------------------------------------------------------------------


@pytest.mark.parametrize("view", [AT_CLOSE, AT_END])
def test_the_causes_add_up_to_what_is_counted_less_what_is_recorded(kept: Kept, view: str) -> None:
    """Cylinder by cylinder and month by month, to the last count of 1.25 ng."""
    explained: Counter[str] = Counter()
    of_month = kept.year.truth.cylinders[view]
    for count in kept.year.papers.counts:
        for (month, cylinder), of in of_month.items():
            if month == count.month:
                explained[cylinder] += sum(of.values())
        found = differences(kept, count, view)
        wrong = {
            name: (found[name], explained[name])
            for name in found.keys() | explained.keys()
            if found[name] != explained[name]
        }
        assert not wrong, count.month


@pytest.mark.parametrize("view", [AT_CLOSE, AT_END])
def test_causes_by_place_and_by_cylinder_are_the_same_pounds(kept: Kept, view: str) -> None:
    truth = kept.year.truth
    by_place: Counter[tuple[str, str]] = Counter()
    for key, of in truth.causes[view].items():
        by_place.update({(key.month, cause): mass for cause, mass in of.items()})
    by_cylinder: Counter[tuple[str, str]] = Counter()
    for (month, _), of in truth.cylinders[view].items():
        by_cylinder.update({(month, cause): mass for cause, mass in of.items()})
    assert by_place == by_cylinder


def test_entries_are_refused_only_for_what_was_weighed_out_of_an_empty_record(kept: Kept) -> None:
    """An office would record these with the reason: the scale said so.

    A ticket typed twice can also put a cylinder over its fill limit, in the book alone.
    """
    assert kept.typed.refused == []
    assert kept.typed.overridden.keys() <= {"cylinder-short", "over-fill-limit"}
    assert sum(kept.typed.overridden.values()) < kept.typed.entries // 10
    assert kept.typed.entries == len(kept.year.papers.commands)


def test_late_tickets_are_differences_only_until_they_are_posted(kept: Kept) -> None:
    truth = kept.year.truth
    assert truth.total(AT_CLOSE, FORGOTTEN) >= truth.total(AT_END, FORGOTTEN)
    assert truth.total(AT_CLOSE, UNRECEIVED) >= truth.total(AT_END, UNRECEIVED)


def test_every_job_of_the_dispatch_list_is_typed_open_or_used_nothing(kept: Kept) -> None:
    typed = {one.draft.ticket for one in kept.year.papers.commands}
    jobs = kept.year.papers.jobs
    nothing = {job.ticket for job in jobs if job.nothing_used}
    opened = {job.ticket for job in jobs} - nothing - typed
    assert not nothing & typed
    assert nothing
    assert len(opened) < len(jobs) // 10


def test_one_truck_loses_what_the_truth_says(kept: Kept) -> None:
    truth = kept.year.truth
    trucks = {key.place for key, of in truth.causes[AT_END].items() if of.get(THEFT)}
    assert trucks == ({truth.theft_at} if truth.theft_at else set())
    assert bool(truth.thefts) == bool(truth.theft_at)


def test_stolen_cylinders_are_on_the_count_sheet_and_not_there(kept: Kept) -> None:
    gone = {one.cylinder for one in kept.year.truth.thefts if one.whole}
    rows = {row for row in kept.year.papers.counts[-1].rows if row.seen == NOT_THERE}
    assert {row.cylinder for row in rows} == gone
    assert {row.place for row in rows} <= {kept.year.truth.theft_at}


def test_count_sheets_show_weights_and_no_book_figure(kept: Kept) -> None:
    for count in kept.year.papers.counts:
        assert {row.place for row in count.rows} >= set(TRUCKS)
        for row in count.rows:
            assert (row.gross is None) == (row.seen in (SEEN_SEALED, NOT_THERE))
            assert row.gross is None or row.gross.mass > 5 * POUND


# -- repeatable, fast and wide -------------------------------------------------------------


def test_a_seed_gives_the_same_year_again() -> None:
    one, other = year_of(7), year_of(7)
    assert one.papers == other.papers
    assert one.truth == other.truth


def test_half_of_the_seeds_have_a_theft_at_any_truck() -> None:
    shops = [drawn(seed) for seed in range(100)]
    thefts = [shop.theft for shop in shops if shop.theft]
    assert len(thefts) == 50
    assert {one.truck for one in thefts} == set(TRUCKS)
    assert {one.mode for one in thefts} == {"cylinders", "pounds", "both"}


def test_hoses_and_heels_lie_on_both_sides_of_the_usual_figures() -> None:
    """1 oz a hook-up and 4 oz for rack hoses; the heels at 77 F: trade workflow 3.3 and 3.4."""
    shops = [drawn(seed) for seed in range(50)]
    hoses = [hose * 16 for shop in shops for hose in shop.hoses]
    assert min(hoses) < 0.5
    assert max(hoses) > 5
    assert min(shop.heel_factor for shop in shops) < 0.7
    assert max(shop.heel_factor for shop in shops) > 1.5


def test_over_some_seeds_every_cause_is_there() -> None:
    found = {
        cause
        for seed in SEEDS
        for of in _year(seed).truth.causes[AT_CLOSE].values()
        for cause, mass in of.items()
        if mass
    }
    assert found == set(CAUSES)


@pytest.mark.parametrize(
    ("month", "typed_on", "posted"),
    [
        ("2025-03", "2025-03-20", "2025-03"),
        ("2025-03", "2025-04-03", "2025-03"),
        ("2025-03", "2025-04-04", "2025-04"),
        ("2025-12", "2026-01-03", "2025-12"),
        ("2025-12", "2026-01-04", ""),
        ("2025-05", "", ""),
    ],
)
def test_a_late_entry_is_posted_to_the_first_month_closed_after_it(
    month: str, typed_on: str, posted: str
) -> None:
    assert month_posted(month, typed_on) == posted


def test_a_seed_takes_less_than_ten_seconds_with_typing(tmp_path: Path) -> None:
    begun = time.process_time()
    year = year_of(9)
    with new_book(tmp_path / "shop.db") as book:
        typed = type_in(book, year.papers.commands)
    taken = time.process_time() - begun
    assert taken < 10
    assert typed.entries > 1000


def test_nobody_works_before_the_year_or_after_it() -> None:
    for one in _year(SEEDS[0]).papers.commands:
        assert date(2025, 1, 1) <= date.fromisoformat(one.draft.occurred_on) <= date(2025, 12, 31)
        assert one.draft.occurred_on <= one.typed_on
        assert not any(isinstance(fact, (Attempt, Reversal)) for fact in one.draft.facts)
        for fact in one.draft.facts:
            assert not isinstance(fact, Movement) or fact.mass.mass > 0
