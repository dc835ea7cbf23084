"""Carbon dioxide equivalents are exact and always say which GWP set they stand on."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.mass import KILOGRAM, POUND, Mass
from ledger.refrigerants.co2e import co2e, kilograms_at, tonnes
from ledger.refrigerants.register import register

REFRIGERANTS = register().refrigerants


@pytest.mark.parametrize(
    ("name", "set_name", "pounds", "line"),
    [
        ("R-410A", "AR4", 25, "23.672 t CO2e (AR4)"),
        ("R-508B", "84.64", 100, "308.806 t CO2e (84.64; R-116 left out)"),
        ("R-401A", "84.64", 10, "0.073 t CO2e (84.64; R-22, R-124 left out)"),
        ("R-218", "84.64", 10, "no t CO2e: no listed GWP (84.64)"),
        ("R-717", "EU", 10, "0.000 t CO2e (EU)"),
    ],
)
def test_the_set_is_always_named(name: str, set_name: str, pounds: int, line: str) -> None:
    found = co2e(Mass(pounds * POUND), REFRIGERANTS[name], set_name)
    assert found.line() == line
    assert found.gwp.set_name == set_name


def test_the_class_of_a_charge_depends_on_the_set() -> None:
    """25 kg of R-410A is 52.2 t by AR4 and 48.1 t by AR5, on either side of 50 t (derived)."""
    charge = Mass(25 * KILOGRAM)
    assert co2e(charge, REFRIGERANTS["R-410A"], "AR4").line(1) == "52.2 t CO2e (AR4)"
    assert co2e(charge, REFRIGERANTS["R-410A"], "AR5").line(1) == "48.1 t CO2e (AR5)"


def test_ten_kilograms_of_r_404a_stay_under_forty_tonnes() -> None:
    """GOV.UK prints 10 kg of R-404A as 39.2 t CO2e (agency guidance)."""
    found = co2e(Mass(10 * KILOGRAM), REFRIGERANTS["R-404A"], "AR4")
    assert found.tonnes == Fraction("39.216")
    assert found.line(1) == "39.2 t CO2e (AR4)"


def test_a_registration_fee_example() -> None:
    """2,000 lb of R-134a at 1,430, as in a state agency's fee example (derived).

    The agency divides by 2204.62 lb and has 1,297.2757 t; the pound is exact here.
    """
    assert co2e(Mass(2000 * POUND), REFRIGERANTS["R-134a"], "AR4").line(4) == (
        "1,297.2742 t CO2e (AR4)"
    )


@given(st.integers(1, 10**6), st.fractions(min_value=Fraction(1, 100), max_value=20_000))
def test_there_and_back_is_exact(kilograms: int, gwp: Fraction) -> None:
    assert kilograms_at(tonnes(Mass(kilograms * KILOGRAM), gwp), gwp) == kilograms


def test_no_mass_reaches_anything_at_a_gwp_of_zero() -> None:
    with pytest.raises(ValueError, match="GWP of 0"):
        kilograms_at(Fraction(5), Fraction(0))
