"""Pressures and temperatures as people write them, at any altitude."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.problems import Problem
from ledger.properties.units import (
    ATMOSPHERE,
    INHG,
    LEGAL_BASE,
    MMHG,
    PRESSURE_UNITS,
    PSI,
    SEA_LEVEL,
    Air,
    air_at,
    celsius,
    fahrenheit,
    in_unit,
    is_bare,
    is_temperature,
    kelvin_of,
    pascal_of,
    read_air,
    read_pressure,
    read_temperature,
)


@pytest.mark.parametrize(
    ("text", "psia"),
    [
        ("118 psig", 132.696), ("118psig", 132.696), ("132.7 psia", 132.7), ("0 psig", 14.696),
        ("-5 psig", 9.696), ("−5 psig", 9.696), ("1,200 psig", 1214.696), ("10 inHg", 9.784),
        ("10 in Hg vacuum", 9.784), ("10 inHg (vacuum)", 9.784), ("8.1 bara", 117.48),
        ("8.1 barg", 132.176),
        ("915 kPaa", 132.71), ("915 kPa(a)", 132.71), ("25 mmHg absolute", 0.4834),
        ("118", 132.696), (".5 psia", 0.5),
    ],
)  # fmt: skip
def test_a_pressure_is_read(text: str, psia: float) -> None:
    found = read_pressure(text, SEA_LEVEL, "psig")
    assert not isinstance(found, Problem)
    assert found / PSI == pytest.approx(psia, abs=0.006)


@pytest.mark.parametrize(
    "text",
    ["", "psig", "7,10", "118 psi", "8 bar", "9 kPa", "118 F", "1.2.3 psig", "-20 psig",
     "31 inHg", "-18 inHg", "−4 in Hg vacuum", "12 12 psig", "118 hogsheads", "nan psig",
     "1e5 psig"],
)  # fmt: skip
def test_what_is_no_pressure_or_could_be_two_is_asked_about(text: str) -> None:
    found = read_pressure(text, SEA_LEVEL, "psig")
    assert isinstance(found, Problem) and found.code == "quantity-unclear"


def test_gauge_or_absolute_is_asked() -> None:
    found = read_pressure("8.1 bar")
    assert isinstance(found, Problem)
    assert (found.sentence, found.remedy) == (
        '"8.1 bar" can be gauge or absolute.', "Write 8.1 barg or 8.1 bara.",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "kelvin"), [("40 F", 277.594), ("40f", 277.594), ("4.4 °C", 277.55), ("-40C", 233.15),
                         ("300 K", 300), ("104", 313.15)],
)  # fmt: skip
def test_a_temperature_is_read(text: str, kelvin: float) -> None:
    assert read_temperature(text, "f") == pytest.approx(kelvin, abs=0.006)
    assert is_temperature(text) is (text != "104") and is_bare(text) is (text == "104")


@pytest.mark.parametrize("text", ["", "F", "40 psig", "-500 F", "40", "9999 F"])
def test_what_is_no_temperature_is_asked_about(text: str) -> None:
    assert isinstance(read_temperature(text), Problem)


@given(st.floats(0, 2e7), st.sampled_from(PRESSURE_UNITS), st.floats(-1500, 30000))
def test_every_unit_comes_back(pascal: float, unit: str, feet: float) -> None:
    air = air_at(feet)
    assert pascal_of(in_unit(pascal, unit, air), unit, air) == pytest.approx(pascal, abs=1e-6)


@given(st.floats(1, 1000))
def test_degrees_come_back(kelvin: float) -> None:
    assert kelvin_of(fahrenheit(kelvin), "F") == pytest.approx(kelvin)
    assert kelvin_of(celsius(kelvin), "c") == pytest.approx(kelvin)
    assert kelvin_of(kelvin, "K") == kelvin


def test_the_air_at_an_altitude_is_the_standard_one() -> None:
    """ICAO standard atmosphere: 14.696, 12.23 (5,000 ft), 10.11 psia (10,000 ft)."""
    for feet, psia in ((0, 14.696), (5000, 12.228), (10000, 10.106)):
        assert air_at(feet).pascal / PSI == pytest.approx(psia, abs=0.005)
    assert read_air("1524 m", "") == air_at(1524 / 0.3048)
    assert read_air("5,000 ft", "") == read_air("5000", "") == air_at(5000)
    assert read_air("", "") == SEA_LEVEL


def test_the_air_by_a_barometer() -> None:
    for text, pascal in (("24.6 inHg", 24.6 * INHG), ("24.6", 24.6 * INHG), ("833 hPa", 83300.0),
                         ("12.1 psia", 12.1 * PSI)):  # fmt: skip
        found = read_air("", text)
        assert isinstance(found, Air) and found.pascal == pytest.approx(pascal)
    for altitude, barometer in (("high", ""), ("99999", ""), ("", "3 inHg"), ("", "24.6 apples")):
        assert isinstance(read_air(altitude, barometer), Problem)
    twice = read_air("5000", "24.6")
    assert isinstance(twice, Problem) and twice.code == "option-unfit"


def test_a_gauge_at_altitude_reads_the_same_absolute_pressure_higher() -> None:
    mile = air_at(5280)
    assert in_unit(pascal_of(118, "psig", mile), "psia") == pytest.approx(130.1, abs=0.01)
    assert in_unit(ATMOSPHERE, "psig", mile) == pytest.approx(2.596, abs=0.01)
    with pytest.raises(ValueError, match="no unit"):
        in_unit(1.0, "furlongs")
    with pytest.raises(ValueError, match="no unit"):
        pascal_of(1.0, "furlongs")


def test_vacuum_in_the_rule_counts_from_29_9_inches() -> None:
    """B-019 to B-021: unit conversion on the base pressure of 40 CFR 82.156."""
    assert pytest.approx(9.774, abs=0.01) == (LEGAL_BASE - 10 * INHG) / PSI
    assert pytest.approx(7.318, abs=0.01) == (LEGAL_BASE - 15 * INHG) / PSI
    assert pytest.approx(0.4834, abs=0.005) == 25 * MMHG / PSI
    assert pytest.approx(28.916, abs=0.005) == (LEGAL_BASE - 25 * MMHG) / INHG
