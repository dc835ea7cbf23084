"""What a truck used by weight and by tickets, its load, and where a cylinder was last seen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.answers.due_warnings import due_words
from ledger.answers.materials_of_trade import Aboard, load_of
from ledger.answers.sightings import Sighting, last_seen
from ledger.answers.truck_sheet import Drawn, Put, stints
from ledger.answers.working import RuleRef
from ledger.facts.mass import POUND

RULE = RuleRef("shipping/materials-of-trade", "220 lb each, 440 lb in all", "49 CFR 173.6", "read")
LIMITS = (220 * POUND, 440 * POUND)


def load(*pounds: int | None) -> str:
    """The sentence on cylinders of so many pounds gross."""
    aboard = [
        Aboard(f"C{n}", None if one is None else one * POUND, least=25 * POUND)
        for n, one in enumerate(pounds, 1)
    ]
    return load_of("T1", aboard, LIMITS, RULE).sentence()


@pytest.mark.parametrize(
    ("pounds", "over"),
    [((220, 220), False), ((220, 220, 1), True), ((221,), True), ((110, 110, 110, 110), False)],
)
def test_a_truck_carries_220_lb_each_and_440_lb_in_all(pounds: tuple[int, ...], over: bool) -> None:
    """49 CFR 173.6, as federal_rules.md section 6.5 reads it: at most, so 440 is within."""
    assert ("so the full rules" in load(*pounds)) is over


def test_a_cylinder_without_a_weight_counts_with_its_contents_at_least() -> None:
    said = load(100, None)
    assert "at least 125.00 lb gross in 2 cylinders" in said
    assert "no gross weight for C2" in said


def test_what_came_back_lighter_is_held_against_the_tickets() -> None:
    puts = [
        Put("2026-06-22", 5, "410-1", "T1", 30 * POUND),
        Put("2026-06-26", 9, "410-1", "Warehouse", 25 * POUND),
    ]
    drawn = [
        Drawn("2026-06-21", 4, 0, "410-1", -2 * POUND),
        Drawn("2026-06-23", 6, 0, "410-1", -4 * POUND),
        Drawn("2026-06-27", 10, 0, "410-1", -1 * POUND),
    ]
    (one,) = stints(puts, drawn, "T1")
    assert (one.used, one.by_tickets, one.difference) == (5 * POUND, 4 * POUND, POUND)
    assert (one.moved, one.entries) == ((6,), (5, 9))


def test_a_cylinder_put_aboard_before_and_weighed_later_counts_from_its_weight() -> None:
    puts = [
        Put("2026-03-17", 17, "448-03", "T1"),
        Put("2026-03-23", 46, "448-03", "T1", 30 * POUND),
        Put("2026-03-27", 47, "448-03", "Cage", 28 * POUND),
    ]
    drawn = [Drawn("2026-03-18", 18, 0, "448-03", -POUND)]
    (one,) = stints(puts, drawn, "T1")
    assert (one.out, one.used, one.by_tickets) == ("2026-03-23", 2 * POUND, 0)


def test_a_cylinder_weighed_again_aboard_begins_anew_there() -> None:
    puts = [
        Put("2026-03-23", 46, "448-03", "T1", 30 * POUND),
        Put("2026-03-30", 50, "448-03", "T1", 26 * POUND),
        Put("2026-04-03", 55, "448-03", "Cage", 25 * POUND),
    ]
    assert [one.used for one in stints(puts, [], "T1")] == [4 * POUND, POUND]


def test_a_cylinder_lent_on_is_on_two_trucks_one_after_the_other() -> None:
    puts = [
        Put("2026-06-22", 5, "410-1", "T1"), Put("2026-06-24", 7, "410-1", "T2"),
        Put("2026-06-26", 9, "410-1", "Warehouse"),
    ]  # fmt: skip
    assert [(one.out, one.back) for t in ("T1", "T2") for one in stints(puts, [], t)] == [
        ("2026-06-22", "2026-06-24"), ("2026-06-24", "2026-06-26"),
    ]  # fmt: skip


@given(st.lists(st.tuples(st.integers(1, 28), st.sampled_from("AB")), max_size=12), st.data())
def test_every_pound_drawn_aboard_is_counted_once(
    moves: list[tuple[int, str]], data: st.DataObject
) -> None:
    """However often a cylinder goes out and comes back, no ticket counts twice on a truck."""
    puts = [
        Put(f"2026-06-{day:02}", entry, "C", f"T{truck}")
        for entry, (day, truck) in enumerate(moves, 1)
    ]
    days = data.draw(st.lists(st.integers(1, 28), max_size=8))
    drawn = [Drawn(f"2026-06-{day:02}", 100 + n, 0, "C", -POUND) for n, day in enumerate(days)]
    for truck in ("TA", "TB"):
        moved = [entry for one in stints(puts, drawn, truck) for entry in one.moved]
        assert len(moved) == len(set(moved))


def test_the_last_to_see_a_cylinder_is_found_by_day_time_and_entry() -> None:
    seen = last_seen(
        [
            Sighting("2026-10-03", "09:00", 7, 0, "448-19", "JK", "Warehouse", "weighed"),
            Sighting("2026-10-03", "15:00", 5, 0, "448-19", "DA", "T4", "addition"),
            Sighting("2026-12-01", "", 9, 0, "448-19", "JK", "Warehouse", "weighed"),
        ],
        "2026-10-31",
    )
    assert (seen["448-19"].sighting.place, seen["448-19"].days) == ("T4", 28)


@pytest.mark.parametrize(
    ("today", "said"),
    [
        ("2026-04-01", ""),
        ("2026-05-02", "requalification due 2026-07-31, in 90 days"),
        ("2026-07-01", "requalification due 2026-07-31, in 30 days"),
        ("2026-07-31", "requalification due 2026-07-31, today"),
        ("2026-08-01", "requalification was due 2026-07-31: not to be filled"),
    ],
)
def test_it_is_told_90_and_30_days_ahead_and_on_the_day(today: str, said: str) -> None:
    """Trade workflow 3.7 (common practice, no source)."""
    assert due_words("2026-07-31", today) == said
