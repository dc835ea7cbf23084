"""The room left as a pure answer: its laws, and what it says where something is not known."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from ledger.answers.room import Room, Seen
from ledger.answers.uncertainty import Scale
from ledger.facts.fill_limit import Filling, Share, Tare, rounded_down, rounded_up
from ledger.facts.mass import POUND, Mass, Quantity

PLAIN = Share("0.8 x WC", Fraction(4, 5), "0.8", "a guideline", "secondary", False)
FULL = Share("liquid-full at 131 F", Fraction(7, 8), "0.875", "a law", "read", True)
FILLING = Filling("R-410A", (PLAIN, FULL), Fraction(484))
COUNTS = st.integers(0, 60 * POUND)


def lb(text: str) -> Quantity:
    return Quantity(Mass(int(Fraction(text) * POUND)), f"{text} lb")


def room(book: int, gross: int | None = None, water: Quantity | None = lb("47.6")) -> Room:
    seen = None
    if gross is not None:
        seen = Seen(Quantity(Mass(gross), "x lb"), "2026-06-01", 7, Scale("B1", POUND // 10), book)
    tare = Tare(lb("27.5"), "stamped", 3)
    return Room("RC-01", "recovery", "Cage", FILLING, water, 3, tare, book, seen)


@given(COUNTS, st.none() | st.integers(0, 90 * POUND))
def test_room_and_contents_make_the_limit(book: int, gross: int | None) -> None:
    found = room(book, gross)
    assert found.left is not None and found.limit is not None and found.max_gross is not None
    assert found.left + found.holds == found.limit
    assert found.holds >= max(book, 0)
    assert found.max_gross - found.limit == lb("27.5").mass


@given(COUNTS)
def test_what_is_printed_is_never_more_than_there_is(mass: int) -> None:
    low, high = Fraction(rounded_down(mass)) * POUND, Fraction(rounded_up(mass)) * POUND
    assert low <= mass <= high and high - low <= POUND // 100


def test_the_last_weight_counts_where_it_says_more() -> None:
    """41.4 lb by the scale, 40 by the book: 3.32 lb over (RC-03 of scenario 8.A)."""
    found = room(40 * POUND, lb("68.9").mass)
    assert found.holds == lb("41.4").mass
    assert found.line().startswith("Cylinder RC-01 is 3.32 lb over its limit")
    assert room(42 * POUND, lb("68.9").mass).holds == 42 * POUND


def test_without_a_water_capacity_there_is_no_limit_to_tell() -> None:
    found = room(POUND, water=None)
    assert (found.limit, found.left, found.full_at_131f) == (None, None, None)
    assert "its limit is not known: stop at 80 %" in found.line()
    assert "  water capacity (WC): not recorded" in found.working().to_lines()
