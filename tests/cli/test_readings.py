"""`tarebook readings`: what readings come to, what is usual, and a sentence only outside it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.shop import Shop


@pytest.fixture
def gauge(tmp_path: Path) -> Shop:
    """A folder without a book: readings need none."""
    return Shop(tmp_path)


def told(gauge: Shop, line: str) -> dict[str, dict[str, str]]:
    """The rows of an answer by what they are."""
    return {row["What"]: row for row in gauge.rows(f"tarebook readings {line}")}


def test_superheat_and_subcooling_are_those_of_the_library(gauge: Shop) -> None:
    """F-035, F-036: 12.16 F and 9.61 F by CoolProp 8.0.0, within 0.7 F (library cross-check)."""
    rows = told(gauge, "R-410A --suction 118 --suction-line 52 --liquid 340 --liquid-line 95")
    assert abs(float(rows["Superheat"]["Value"]) - 12.16) <= 0.7
    assert abs(float(rows["Subcooling"]["Value"]) - 9.61) <= 0.7


def test_superheat_of_a_glide_is_counted_from_the_dew_point(gauge: Shop) -> None:
    """F-037: R-407C at 70 psig and 50 F is 5.46 F, by the wrong end 16.45 F."""
    rows = told(gauge, "R-407C --suction 70 --suction-line 50")
    assert abs(float(rows["Superheat"]["Value"]) - 5.46) <= 0.7


def test_a_coil_that_will_freeze_tonight_is_told(gauge: Shop) -> None:
    """35 F at 78 F return is 31 F at 74 F; common practice, no source."""
    said = gauge.ok("tarebook readings --suction-saturation 35 --return 78 --lowest-return 74")
    assert said[0] == (
        "At 74.0 F return air the coil would be at 31.0 F, under freezing: it can ice up."
    )


def test_nothing_outside_is_said_in_one_line(gauge: Shop) -> None:
    said = gauge.ok("tarebook readings --return 75 --supply 55 --amps 9.6 --rla 16")
    assert said[0] == "Nothing lies outside what is usual."


def test_each_row_names_where_its_range_comes_from(gauge: Shop) -> None:
    rows = told(gauge, "--return 75 --supply 55 --waited 4")
    assert rows["Temperature split"]["Source"] == "common practice, no source"
    assert rows["Wait after a stage"]["Outside"] == "yes"


def test_a_fixed_orifice_is_held_against_its_target(gauge: Shop) -> None:
    """85 F outdoors, 66 F wet bulb: the charts print 15 F, the formula gives 16.5 F (F-052)."""
    line = "R-410A --suction 118 --suction-line 45 --metering fixed --outdoor 85 --wet-bulb 66"
    rows = told(gauge, line)
    assert rows["Target superheat, fixed orifice"]["Value"] == "16.5"
    assert rows["Superheat"]["Outside"] == "yes"


def test_where_the_charts_have_a_dash_that_is_said(gauge: Shop) -> None:
    said = gauge.ok("tarebook readings --metering fixed --outdoor 95 --wet-bulb 60")  # F-060
    assert any("do not charge by superheat" in line for line in said)


def test_without_property_data_saturations_are_asked_for(gauge: Shop) -> None:
    said = gauge.ok(
        "tarebook readings R-417A --suction 60 --suction-line 50 --return 75 --supply 55"
    )
    assert any("No sound data for R-417A" in line for line in said)


def test_the_level_before_opening_stands_beside_the_readings(gauge: Shop) -> None:
    """40 CFR 82.156, Table 1: a high-pressure appliance under 200 lb, 0 in Hg."""
    said = gauge.ok("tarebook readings R-410A --microns 400 --opening --charge 8.25")
    assert any("0 in Hg vacuum (atmospheric pressure)" in line for line in said)


def test_json_has_the_sentences_and_the_rows(gauge: Shop) -> None:
    lines = gauge.ok("tarebook readings --return 75 --supply 62 --json")
    body = json.loads("\n".join(lines))
    assert "Temperature split is 13 F" in json.dumps(body)


def test_the_working_is_shown_on_request(gauge: Shop) -> None:
    said = "\n".join(gauge.ok("tarebook readings --return 75 --supply 62 --explain"))
    assert "return air less supply air" in said


@pytest.mark.parametrize(
    "line",
    [
        "",
        "R-410A",
        "--suction 118",
        "R-410A --suction 118 --suction-saturation 40",
        "--amps 9",
        "--amps 9 --rla 0",
        "--amps nine --rla 16",
        "--return 75 --wet-bulb 80",
        "--lowest-return 70 --suction-saturation 40",
        "--return 75 --supply warm",
        "--metering magic --return 75 --supply 55",
        "--waited -3",
        "R-410A --microns 400 --charge 8",
        "--microns 400 --opening",
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(gauge: Shop, line: str) -> None:
    assert gauge.no(f"tarebook readings {line}").endswith("]")
