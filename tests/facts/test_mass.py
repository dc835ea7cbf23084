"""Exact mass: what a count is worth, and that reading and printing lose nothing."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.mass import (
    COUNTS_PER_UNIT,
    GRAM,
    KILOGRAM,
    NOTHING,
    OUNCE,
    POUND,
    Mass,
    Quantity,
    exact_decimal,
    half_up,
    in_unit,
    of_decimal,
    pounds,
    quantity,
)

KG_PER_POUND = Fraction(45359237, 100_000_000)
"""The international avoirdupois pound is 0.45359237 kg exactly (NIST SP 811, from memory)."""

counts = st.integers(min_value=-(2**62), max_value=2**62)
plain_decimals = st.from_regex(r"\A[0-9]{0,7}(\.[0-9]{0,12})?\Z").filter(
    lambda text: any(sign.isdigit() for sign in text)
)


def test_the_pound_is_the_international_pound() -> None:
    assert Fraction(POUND, KILOGRAM) == KG_PER_POUND
    assert POUND == 16 * OUNCE
    assert KILOGRAM == 1000 * GRAM
    assert NOTHING == 0


def test_one_count_is_a_nanogram_and_a_quarter() -> None:
    assert Fraction(1, GRAM) == Fraction(125, 100) / 10**9


@pytest.mark.parametrize(
    ("step", "unit"),
    [("0.01", "lb"), ("0.001", "lb"), ("0.25", "oz"), ("0.1", "oz"), ("0.01", "oz"), ("0.1", "g")],
)
def test_the_steps_of_scales_are_whole_counts(step: str, unit: str) -> None:
    mass = of_decimal(step, unit)
    assert mass is not None
    assert mass == Fraction(step) * COUNTS_PER_UNIT[unit]


@pytest.mark.parametrize(("step", "unit"), [("0.0001", "lb"), ("0.001", "oz"), ("0.125", "oz")])
def test_what_is_finer_than_a_count_is_not_rounded(step: str, unit: str) -> None:
    assert of_decimal(step, unit) is None


def test_64_bits_hold_twenty_five_million_pounds() -> None:
    assert 25_000_000 * POUND < 2**63 - 1 < 26_000_000 * POUND


@pytest.mark.parametrize(
    ("number", "unit", "expected"),
    [
        ("4.8", "lb", Fraction(48, 10) * POUND),
        ("4.80", "lb", Fraction(48, 10) * POUND),
        (".5", "kg", Fraction(1, 2) * KILOGRAM),
        ("5.", "oz", Fraction(5) * OUNCE),
        ("007", "g", Fraction(7) * GRAM),
        ("0", "lb", Fraction(0)),
        ("1.00000000000000000000", "lb", Fraction(POUND)),
    ],
)
def test_a_plain_decimal_is_read_exactly(number: str, unit: str, expected: Fraction) -> None:
    assert of_decimal(number, unit) == expected


@given(number=plain_decimals, unit=st.sampled_from(sorted(COUNTS_PER_UNIT)))
def test_a_decimal_is_exact_or_refused(number: str, unit: str) -> None:
    value = Fraction(number if number[0] != "." else f"0{number}") * COUNTS_PER_UNIT[unit]
    mass = of_decimal(number, unit)
    assert mass == value if value.denominator == 1 else mass is None


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        (Fraction(1, 2), 0, "1"),
        (Fraction(-1, 2), 0, "-1"),
        (Fraction(5, 1000), 2, "0.01"),
        (Fraction(-5, 1000), 2, "-0.01"),
        (Fraction(-4, 1000), 2, "0.00"),
        (Fraction(49999, 10_000_000), 2, "0.00"),
        (Fraction(2, 3), 3, "0.667"),
        (Fraction(123_456_789, 100), 2, "1,234,567.89"),
        (Fraction(999_995, 1000), 2, "1,000.00"),
    ],
)
def test_print_rounds_half_away_from_zero(value: Fraction, places: int, text: str) -> None:
    assert half_up(value, places) == text


@given(
    value=st.fractions(min_value=-(10**9), max_value=10**9),
    places=st.integers(min_value=0, max_value=6),
)
def test_print_is_within_half_a_step_and_even_handed(value: Fraction, places: int) -> None:
    printed = Fraction(half_up(value, places).replace(",", ""))
    assert abs(printed - value) <= Fraction(1, 2 * 10**places)
    assert Fraction(half_up(-value, places).replace(",", "")) == -printed


def test_pounds_for_print() -> None:
    assert pounds(Mass(2_600 * GRAM)) == "5.73"
    assert pounds(Mass(3_120 * GRAM)) == "6.88"
    assert pounds(Mass(7 * POUND + 6 * OUNCE), 3) == "7.375"
    assert pounds(Mass(-1350 * POUND), 1) == "-1,350.0"


@pytest.mark.parametrize(
    ("mass", "unit", "text"),
    [
        (4 * POUND + 8 * OUNCE, "lb", "4.5"),
        (4 * POUND + 15 * OUNCE, "lb", "4.9375"),
        (POUND, "g", "453.59237"),
        (POUND, "kg", "0.45359237"),
        (1, "g", "0.00000000125"),
        (-OUNCE, "lb", "-0.0625"),
        (0, "lb", "0"),
        (1_350 * POUND, "lb", "1350"),
        (GRAM, "lb", None),
        (KILOGRAM, "oz", None),
    ],
)
def test_exact_decimal(mass: int, unit: str, text: str | None) -> None:
    assert exact_decimal(mass, unit) == text


@given(mass=counts, unit=st.sampled_from(sorted(COUNTS_PER_UNIT)))
def test_an_exact_decimal_is_the_mass_and_nothing_shorter(mass: int, unit: str) -> None:
    text = exact_decimal(mass, unit)
    value = in_unit(mass, unit)
    if text is None:
        assert 10**80 % value.denominator  # some prime other than 2 and 5 is left
    else:
        assert Fraction(text) == value
        assert "." not in text or text[-1] != "0"


@given(mass=counts)
def test_grams_are_always_exact(mass: int) -> None:
    assert exact_decimal(mass, "g") is not None


@pytest.mark.parametrize(
    ("mass", "unit", "written"),
    [
        (Mass(4 * POUND + 8 * OUNCE), "lb", "4.5 lb"),
        (Mass(4 * POUND + 8 * OUNCE), "oz", "72 oz"),
        (Mass(2_600 * GRAM), "lb", "2600 g"),
        (Mass(2_600 * GRAM), "kg", "2.6 kg"),
        (Mass(OUNCE // 100), "lb", "0.01 oz"),
        (Mass(1), "lb", "0.00000000125 g"),
        (NOTHING, "lb", "0 lb"),
    ],
)
def test_a_computed_mass_is_written_exactly(mass: Mass, unit: str, written: str) -> None:
    assert quantity(mass, unit) == Quantity(mass, written)


@given(mass=counts, unit=st.sampled_from(sorted(COUNTS_PER_UNIT)))
def test_what_is_written_is_the_mass(mass: int, unit: str) -> None:
    number, name = quantity(Mass(mass), unit).written.split()
    assert Fraction(number) * COUNTS_PER_UNIT[name] == mass


@given(mass=counts, written=st.text(max_size=20))
def test_the_canonical_form_comes_back(mass: int, written: str) -> None:
    there = Quantity(Mass(mass), written)
    assert Quantity.from_body(there.body()) == there
    assert there.body() == [mass, written]
