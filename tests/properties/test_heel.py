"""Heels and hose hold-up against the tables of the trade brief (fill_values.toml)."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from ledger.facts.mass import OUNCE, POUND
from ledger.properties.heel import (
    INTO_SYSTEM,
    LIQUID_OUT,
    METHODS,
    TO_NOTHING,
    TO_VACUUM,
    TYPICAL_WATER,
    Heel,
    heel,
)
from ledger.properties.hoses import LIQUID, OWN_LINE, SPLIT, VAPOUR, HoldUp, hold_up, how_counted
from ledger.properties.no_data import NoSoundData
from ledger.properties.units import air_at
from tests.properties.test_filling import each

TOLERANCE = Fraction(1, 100) * POUND
"""The table is printed to the hundredth of a pound and called good to about 1 %."""


def of(name: str, method: str, **more: Any) -> Heel:
    found = heel(name, method, TYPICAL_WATER, **more)
    assert isinstance(found, Heel)
    return found


@each("heel")
def test_the_heel_table(row: dict[str, Any]) -> None:
    for method, pounds in zip(METHODS, row["pounds"], strict=True):
        off = of(row["refrigerant"], method).mass - Fraction(str(pounds)) * POUND
        assert abs(off) <= TOLERANCE, method


@pytest.mark.parametrize(
    ("name", "psig"), [("R-410A", 118), ("R-454B", 107), ("R-22", 69), ("R-134a", 35)]
)
def test_a_cylinder_run_into_a_system_stands_at_its_suction(name: str, psig: int) -> None:
    """Source: workflow 3.3, the pressures beside the table."""
    assert abs(of(name, INTO_SYSTEM).psig - psig) < 1


def test_the_heel_grows_with_the_cylinder_and_shrinks_with_the_vacuum() -> None:
    left = [of("R-410A", method).mass for method in METHODS]
    assert left == sorted(left, reverse=True)
    half_ton = heel("R-22", LIQUID_OUT, Fraction(1000))
    assert isinstance(half_ton, Heel)
    assert half_ton.mass / of("R-22", LIQUID_OUT).mass == pytest.approx(1000 / 29.5, rel=0.01)


def test_0_psig_is_against_the_air_around() -> None:
    """At 5,280 ft: 83 % of the pressure at sea level, and of the vapour left."""
    high = of("R-410A", TO_NOTHING, air=air_at(5280))
    assert high.density / of("R-410A", TO_NOTHING).density == pytest.approx(0.823, abs=0.01)


def test_a_colder_evaporator_leaves_less() -> None:
    rack = of("R-404A", INTO_SYSTEM, evaporator_f=-20.0)
    assert rack.mass < of("R-404A", INTO_SYSTEM).mass


def test_no_heel_is_made_up_where_there_is_no_data() -> None:
    assert isinstance(heel("R-417A", LIQUID_OUT, TYPICAL_WATER), NoSoundData)
    assert isinstance(heel("R-744", LIQUID_OUT, TYPICAL_WATER, room_f=100.0), NoSoundData)
    with pytest.raises(ValueError, match="no way to empty"):
        heel("R-22", "somehow", TYPICAL_WATER)


@pytest.mark.parametrize("method", METHODS)
def test_the_figures_name_the_version_they_rest_on(method: str) -> None:
    assert "CoolProp 8.0.0" in of("R-22", method).data


@each("hose")
def test_the_liquid_in_a_hose(row: dict[str, Any]) -> None:
    found = hold_up(row["refrigerant"], LIQUID, Fraction(row["bore"]), Fraction(60))
    assert isinstance(found, HoldUp)
    assert Fraction(found.mass, OUNCE) == Fraction(row["ounces"])


def test_70_hook_ups_a_year_at_an_ounce_are_4_4_lb() -> None:
    """Source: workflow 3.4, computed there."""
    assert round(70 * OUNCE / POUND, 1) == 4.4


def test_vapour_in_a_hose_is_a_small_part_of_the_liquid() -> None:
    bore, length = Fraction(1, 4), Fraction(60)
    wet, dry = (hold_up("R-410A", phase, bore, length) for phase in (LIQUID, VAPOUR))
    assert isinstance(wet, HoldUp) and isinstance(dry, HoldUp)
    assert 10 * dry.mass < 2 * wet.mass
    with pytest.raises(ValueError, match="neither liquid nor vapour"):
        hold_up("R-410A", "foam", bore, length)
    assert isinstance(hold_up("R-417A", LIQUID, bore, length), NoSoundData)


@pytest.mark.parametrize(
    ("evidence", "counted"),
    [("gross", SPLIT), ("stages", SPLIT), ("net", OWN_LINE), ("stated", OWN_LINE)],
)
def test_hoses_are_counted_once(evidence: str, counted: str) -> None:
    """Gross weights of the cylinder alone hold the hoses already (workflow 3.4)."""
    assert how_counted(evidence) == counted


def test_15_inches_leave_about_half_of_0_psig() -> None:
    assert of("R-22", TO_VACUUM).mass * 2 == pytest.approx(of("R-22", TO_NOTHING).mass, rel=0.15)
