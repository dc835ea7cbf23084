"""Pressure classes, densities and differences against check_values.toml, at their tolerances."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

import pytest

from ledger.properties.no_data import NoSoundData
from ledger.properties.pressure_class import pressure_class
from ledger.properties.saturation import KELVIN_77F, WATER_77F, Properties, properties
from ledger.properties.tables import index
from ledger.properties.units import fahrenheit, kelvin_of, pascal_of
from ledger.refrigerants.register import register

ROWS: dict[str, list[dict[str, Any]]] = tomllib.loads(
    Path(__file__).with_name("check_values.toml").read_text(encoding="utf-8")
)
FEET3_A_POUND_OF_WATER = 27.737 / 1728
"""Volume of a water capacity of 1 lb, weighed at 60 F (49 CFR 173.304a, note 1)."""
KILOGRAMS_A_FOOT3 = 0.45359237 / 0.3048**3
WATER_CAPACITY_LB = 47.7


def each(what: str) -> Any:
    """The rows of one kind as cases of a test."""
    rows = ROWS[what]
    return pytest.mark.parametrize("row", rows, ids=[row["id"] for row in rows])


def liquid(name: str, degrees: float) -> float:
    """Pounds of saturated liquid in a cubic foot."""
    one = properties(name)
    assert isinstance(one, Properties)
    found = one.liquid_density(kelvin_of(degrees, "F"))
    assert not isinstance(found, NoSoundData)
    return found / KILOGRAMS_A_FOOT3


@each("class")
def test_the_pressure_class_is_that_of_the_rule(row: dict[str, Any]) -> None:
    found = pressure_class(row["refrigerant"])
    assert found is not None and found.name == row["class"]
    if "psia" in row:
        assert found.psia is not None
        assert abs(found.psia - row["psia"]) <= row["tolerance"], found.psia


def test_the_class_of_the_register_is_the_computed_one_where_there_is_data() -> None:
    """Else the rule names it, or it stands within 2 % of a line."""
    differing = {}
    for name in register().names():
        found = pressure_class(name)
        assert found is not None
        if found.computed and found.computed != found.name:
            differing[name] = found
    assert all(
        one.near_a_line or "named" in one.cite or name not in index().records
        for name, one in differing.items()
    ), differing
    assert pressure_class("R-999") is None


def test_a_refrigerant_above_its_critical_point_at_104_f_is_very_high_pressure() -> None:
    for name in ("R-13", "R-23", "R-744", "R-508B"):
        found = pressure_class(name)
        assert found is not None and (found.name, found.psia, found.computed) == (
            "very high", None, "",
        )  # fmt: skip


def test_two_refrigerants_stand_close_to_the_line_at_355_psia() -> None:
    for name, class_ in (("R-410A", "high"), ("R-32", "very high")):
        found = pressure_class(name)
        assert found is not None and (found.name, found.near_a_line) == (class_, 355)


@each("full")
def test_a_cylinder_liquid_full_and_by_the_rule_of_80_percent(row: dict[str, Any]) -> None:
    volume = WATER_CAPACITY_LB * FEET3_A_POUND_OF_WATER
    full = liquid(row["refrigerant"], 131) * volume
    one = properties(row["refrigerant"])
    assert isinstance(one, Properties)
    gravity = one.specific_gravity()
    assert not isinstance(gravity, NoSoundData)
    rule = 0.8 * WATER_CAPACITY_LB * gravity
    assert abs(full - row["liquid_full_131f_lb"]) <= row["tolerance"]
    assert abs(rule - row["rule_80_77f_lb"]) <= row["tolerance"]
    assert abs(rule / full * 100 - row["rule_pct"]) <= row["tolerance"]


@each("gravity")
def test_specific_gravity_at_77_f(row: dict[str, Any]) -> None:
    one = properties(row["refrigerant"])
    assert isinstance(one, Properties)
    gravity = one.specific_gravity()
    assert not isinstance(gravity, NoSoundData)
    assert gravity == pytest.approx(row["gravity"], abs=5e-4)
    assert abs(0.8 * WATER_CAPACITY_LB * gravity - row["net_lb"]) <= row["tolerance_lb"]


@each("filling")
def test_the_filling_density_of_the_rule_is_the_liquid_full_one(row: dict[str, Any]) -> None:
    percent = liquid(row["refrigerant"], 131) * FEET3_A_POUND_OF_WATER * 100
    assert abs(percent - row["percent"]) <= row["tolerance"]


@each("liquid")
def test_a_printed_density_of_liquid(row: dict[str, Any]) -> None:
    one = properties(row["refrigerant"])
    assert isinstance(one, Properties)
    found = one.liquid_density(kelvin_of(row["celsius"], "C"))
    assert not isinstance(found, NoSoundData)
    assert abs(found - row["density"]) <= row["tolerance"]


@each("line")
def test_a_printed_charge_of_a_liquid_line(row: dict[str, Any]) -> None:
    area = math.pi * (row["bore_in"] / 24) ** 2
    found = liquid(row["refrigerant"], row["fahrenheit"]) * area
    assert abs(found - row["lb_a_foot"]) <= row["tolerance"]


@each("difference")
def test_superheat_from_the_dew_point_subcooling_from_the_bubble_point(row: dict[str, Any]) -> None:
    one, pascal = properties(row["refrigerant"]), pascal_of(row["psig"], "psig")
    assert isinstance(one, Properties)
    dew, bubble = one.dew_temperature(pascal), one.bubble_temperature(pascal)
    assert not isinstance(dew, NoSoundData) and not isinstance(bubble, NoSoundData)
    superheat = row["quantity"] == "superheat"
    right, wrong = (dew, bubble) if superheat else (bubble, dew)
    sign = 1 if superheat else -1
    assert abs(fahrenheit(right) - row["saturation_f"]) <= row["tolerance"]
    assert abs(sign * (row["line_f"] - fahrenheit(right)) - row["value_f"]) <= row["tolerance"]
    wrong_value = sign * (row["line_f"] - fahrenheit(wrong))
    assert abs(wrong_value - row["wrong_phase_f"]) <= row["tolerance"]


def test_water_is_that_of_77_f() -> None:
    assert pytest.approx(997.047, abs=0.01) == WATER_77F
    assert fahrenheit(KELVIN_77F) == pytest.approx(77)
    one = properties("R-718")
    assert isinstance(one, Properties)
    assert one.specific_gravity() == pytest.approx(1, abs=1e-4)
