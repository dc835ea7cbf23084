"""Check weights of scales: bias, spread, and the last check."""

from __future__ import annotations

from fractions import Fraction

from ledger.answers.scale_checks import Check, scale_biases, signed
from ledger.facts.mass import POUND, Mass, Quantity


def lb(text: str) -> Quantity:
    return Quantity(Mass(int(Fraction(text) * POUND)), f"{text} lb")


def check(scale: str, day: str, entry: int, reading: str) -> Check:
    return Check(scale, day, entry, lb("25"), lb(reading))


def test_the_bias_is_the_mean_of_reading_less_weight() -> None:
    (found,) = scale_biases(
        [check("B1", "2026-01-05", 3, "25.1"), check("B1", "2026-02-02", 9, "25.3")]
    )
    assert found.bias == Fraction("0.2") * POUND
    assert found.spread == Fraction("0.2") * POUND
    assert signed(found.bias) == "+0.200"


def test_checks_are_taken_in_order_of_day_however_they_were_recorded() -> None:
    late = [check("B1", "2026-02-02", 3, "25.3"), check("B1", "2026-01-05", 9, "25.0")]
    assert scale_biases(late)[0].last.day == "2026-02-02"


def test_more_than_a_tenth_of_a_pound_off_is_out_of_use() -> None:
    """Common practice, weak source (workflow 3.4)."""
    at, over = check("B1", "2026-01-05", 1, "24.9"), check("S1", "2026-01-05", 2, "24.89")
    assert [one.out_of_use for one in scale_biases([at, over])] == [False, True]


def test_the_working_lists_every_check_with_its_entry() -> None:
    (found,) = scale_biases([check("B1", "2026-01-05", 3, "24.9")])
    lines = found.working().to_lines()
    assert "  2026-01-05: 24.9 lb read, weight 25 lb (entry 3)" in lines
    assert "  = -0.100 lb, checks: 1" in lines
