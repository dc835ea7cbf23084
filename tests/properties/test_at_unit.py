"""Checks of readings at a unit against makers' charts, a published code and facts of the trade.

Charts: one maker's installation manual of a split condenser, page 26, and Table 4 of another's
(manufacturer tables, check values F-045 to F-063).
Bands: California 2008 Residential Appendices RA3.2, pages RA3-14 and
RA3-15 (regulation, F-065 and F-068). What has no source is marked so.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from ledger.properties import at_unit
from ledger.properties.target_superheat import (
    HIGH_BY,
    LOW_BY,
    OUTDOOR,
    WET_BULB,
    NoTarget,
    target_superheat,
)
from ledger.properties.usual import (
    AMPS,
    APPROACH,
    COIL,
    DEEP_VACUUM,
    METERED,
    PRACTICE,
    SETTLED,
    SPLIT,
    SUPERHEAT_BAND,
)

ROWS: dict[str, list[dict[str, Any]]] = tomllib.loads(
    Path(__file__).with_name("unit_values.toml").read_text(encoding="utf-8")
)
NO_SOURCE = "common practice, no source"


def each(what: str) -> Any:
    """The rows of one kind as cases of a test."""
    return pytest.mark.parametrize("row", ROWS[what], ids=[row["id"] for row in ROWS[what]])


def made(row: dict[str, Any]) -> float:
    """The target of a row's air."""
    found = target_superheat(row["outdoor"], row["wet_bulb"])
    assert not isinstance(found, NoTarget), found.reason
    return found


@each("chart")
def test_the_target_is_within_its_stated_error_of_the_makers_charts(row: dict[str, Any]) -> None:
    for printed in row["target"]:
        assert -LOW_BY <= made(row) - printed <= HIGH_BY


def test_the_stated_error_is_the_one_that_was_found() -> None:
    off = [made(row) - printed for row in ROWS["chart"] for printed in row["target"]]
    assert (-min(off), max(off)) == (LOW_BY, HIGH_BY)


@each("dash")
def test_where_the_charts_have_a_dash_there_is_no_target(row: dict[str, Any]) -> None:
    found = target_superheat(row["outdoor"], row["wet_bulb"])
    assert isinstance(found, NoTarget) and "do not charge by superheat" in found.reason


@pytest.mark.parametrize(
    ("outdoor", "wet_bulb"), [(OUTDOOR[0] - 1, 60), (OUTDOOR[1] + 1, 70), (85, WET_BULB[1] + 1)]
)
def test_beyond_the_charts_there_is_no_target(outdoor: float, wet_bulb: float) -> None:
    assert isinstance(target_superheat(outdoor, wet_bulb), NoTarget)


def test_a_coil_at_35_f_with_78_f_return_reaches_31_f_at_74_f() -> None:
    """Common practice, no source."""
    assert at_unit.coil_at(35, 78, 74) == 31
    assert "31.0 F, under freezing" in at_unit.coil(35, 78, 74).sentence
    assert not at_unit.coil(35, 78, 75).sentence  # 32 F: not under freezing


def test_the_return_air_at_which_the_coil_freezes_is_told() -> None:
    """Common practice, no source."""
    assert at_unit.coil(35, 78, None).how.endswith("32.0 F at 75.0 F return air")


@pytest.mark.parametrize(
    ("checked", "outside"),
    [
        (at_unit.split(75, 55), False),  # 20 F, the middle of 18 to 22 F
        (at_unit.split(75, 57), False),
        (at_unit.split(77, 55), False),
        (at_unit.split(75, 57.1), True),
        (at_unit.split(77.1, 55), True),
        (at_unit.approach(110, 95), False),  # 15 F: a healthy residential system
        (at_unit.approach(125, 95), True),
        (at_unit.subcooling(10, 8), False),  # within 2 F of the maker's figure
        (at_unit.subcooling(6, 8), False),
        (at_unit.subcooling(12, 8), True),
        (at_unit.subcooling(5.9, 8), True),
        (at_unit.amps(9.6, 16), False),  # 60 % of RLA
        (at_unit.amps(16.1, 16), True),
        (at_unit.settled(4), True),  # 5 to 10 minutes after each stage
        (at_unit.settled(5), False),
        (at_unit.settled(10), False),
        (at_unit.deep_vacuum(500), False),
        (at_unit.deep_vacuum(501), True),
    ],
)
def test_a_sentence_is_said_only_outside_what_is_usual(
    checked: at_unit.Checked, outside: bool
) -> None:
    """Common practice, no source."""
    assert bool(checked.sentence) is outside, checked


@pytest.mark.parametrize(("value", "outside"), [(8, False), (18, False), (7.9, True), (18.1, True)])
def test_superheat_is_met_within_5_f_of_its_target(value: float, outside: bool) -> None:
    """California 2008 Residential Appendices RA3.2, page RA3-14 (F-065)."""
    assert SUPERHEAT_BAND == 5
    assert bool(at_unit.superheat(value, 13, "fixed").sentence) is outside


@pytest.mark.parametrize(("value", "outside"), [(2.9, True), (3, False), (26, False), (27, True)])
def test_an_expansion_valve_holds_3_to_26_f(value: float, outside: bool) -> None:
    """California 2008 Residential Appendices RA3.2, page RA3-15 (F-068)."""
    assert bool(at_unit.superheat(value, None, "valve").sentence) is outside


def test_a_fixed_orifice_is_not_held_against_the_range_of_a_valve() -> None:
    assert not at_unit.superheat(30, None, "fixed").usual


def test_below_nothing_superheat_and_subcooling_say_what_that_is() -> None:
    assert "liquid reaches the compressor" in at_unit.superheat(-1, 10, "").sentence
    assert "vapour in the liquid line" in at_unit.subcooling(-1, 10).sentence


def test_the_example_visit_is_outside_before_and_inside_after() -> None:
    """An 8.25 lb heat pump on R-410A, its maker asking for 8 F of subcooling; invented."""
    before = (at_unit.split(75, 62), at_unit.subcooling(2, 8))  # split 13 F
    over = at_unit.subcooling(12, 8)  # after the third stage
    after = (at_unit.split(75, 55), at_unit.subcooling(8, 8))
    assert all(one.sentence for one in before)
    assert over.sentence == "Subcooling is 12.0 F, 4.0 F over the maker's 8 F."
    assert not any(one.sentence for one in after)


@pytest.mark.parametrize("usual", [SPLIT, APPROACH, AMPS, SETTLED, DEEP_VACUUM])
def test_a_range_without_a_source_says_so(usual: Any) -> None:
    assert usual.source == PRACTICE == NO_SOURCE


@pytest.mark.parametrize("usual", [METERED, COIL])
def test_a_range_with_a_source_names_it(usual: Any) -> None:
    assert usual.source and NO_SOURCE not in usual.source
