"""What a weight can be off by, as told in the trade brief (workflow 3.4), and its laws."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.answers.uncertainty import (
    Part,
    Scale,
    Uncertainty,
    of_difference,
    of_net,
    of_reading,
    together,
)
from ledger.facts.mass import OUNCE, POUND, Mass

TRUCK, BENCH = Scale("S1", OUNCE // 2, 7), Scale("B1", POUND // 10, 8)


def ounces(found: Uncertainty) -> float:
    return found.mass / OUNCE


def test_two_readings_of_a_half_ounce_scale_are_off_by_0_7_oz() -> None:
    """Source: workflow 3.4, computed there by the root of two: 0.04 lb."""
    found = of_difference(TRUCK, TRUCK)
    assert round(ounces(found), 1) == 0.7
    assert found.text() == "0.04 lb"


def test_two_readings_of_a_bench_scale_are_off_by_0_14_lb() -> None:
    """Source: workflow 3.4."""
    assert of_difference(BENCH, BENCH).text() == "0.14 lb"


def test_two_scales_can_differ_by_more_than_one_with_itself() -> None:
    mixed = of_difference(TRUCK, BENCH)
    assert mixed.mass > of_difference(BENCH, BENCH).mass
    assert any(part.what == "two scales" for part in mixed.parts)
    nobody = of_difference(Scale(), Scale())
    assert any(part.what == "two scales" for part in nobody.parts)


def test_a_stamped_tare_is_half_a_pound_or_2_percent_of_a_half_ton() -> None:
    """Source: workflow 3.4, common practice, no source."""
    small = of_net(BENCH, int(Fraction("27.5") * POUND), "stamped", 3)
    assert small.parts[-1] == Part(
        "stamped tare", Mass(POUND // 2), "until measured empty and evacuated", 3
    )
    large = of_net(Scale("F1", POUND // 2), 380 * POUND, "stamped")
    assert large.parts[-1].mass == Fraction("7.6") * POUND


def test_a_measured_tare_is_better_than_a_stamped_one() -> None:
    tare = int(Fraction("27.9") * POUND)
    assert of_net(BENCH, tare, "measured").mass < of_net(BENCH, tare, "stamped").mass


def test_a_reading_without_a_scale_says_what_is_assumed() -> None:
    assert of_reading(Scale()).basis == "no scale named: a step of 0.1 lb is assumed"
    assert "S9 has no display step" in of_reading(Scale("S9")).basis


def test_70_hook_ups_on_one_scale_are_off_by_0_4_lb_at_random() -> None:
    """Source: workflow 3.4: "random scale error over the same 70 is only 0.4 lb"."""
    assert together([of_difference(TRUCK, TRUCK)] * 70).text() == "0.37 lb"


def test_the_working_names_scale_and_entry() -> None:
    lines = of_difference(TRUCK, TRUCK).working("Difference").to_lines()
    assert "  first reading: 0.031 lb, display step of scale S1 (entry 7)" in lines
    assert lines[-1] == "  = within 0.04 lb either way"


@given(st.lists(st.integers(1, 10**13), min_size=1, max_size=6))
def test_parts_add_to_more_than_the_largest_and_less_than_the_sum(masses: list[int]) -> None:
    found = Uncertainty(tuple(Part("x", Mass(one), "") for one in masses))
    assert max(masses) <= found.mass <= sum(masses)
    squares = sum(one * one for one in masses)
    assert (found.mass - 1) ** 2 < squares <= found.mass**2


@pytest.mark.parametrize("step", [0, OUNCE // 10, POUND])
def test_nothing_weighed_is_known_exactly(step: int) -> None:
    assert of_difference(Scale("S", step), Scale("S", step)).mass > 0
