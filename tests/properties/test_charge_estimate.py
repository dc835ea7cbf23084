"""Liquid in lines, receivers and coils against makers' charge tables and a worked volume method.

F-017 to F-019: a maker's manual of split condensers, page 27, Table 4 (ounces a foot). F-029 to
F-033: a maker's manual of ceiling units, Table 10, page 49. G-004: a maker's manual of
computer-room units, page 47. G-008 to G-011: a maker's condenser manual, Table 5, page 33. All
manufacturer tables. G-014 to G-016: library cross-check with CoolProp 8.0.0, inputs ours; the
method is that of 40 CFR 82.152, full charge (b).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.problems import Problem
from ledger.properties.charge_estimate import (
    BORES,
    Part,
    line_foot3,
    ounces_a_foot,
    pounds_a_foot3,
    read_line,
    read_part,
)
from ledger.properties.no_data import NoSoundData


def known(found: float | NoSoundData) -> float:
    """A figure that there is."""
    assert not isinstance(found, NoSoundData), found.sentence()
    return found


def part(text: str) -> Part:
    """A part as it is typed."""
    found = read_part(text)
    assert not isinstance(found, Problem), found.line()
    return found


def line(text: str) -> Part:
    """A liquid line as it is typed."""
    found = read_line(text)
    assert not isinstance(found, Problem), found.line()
    return found


@pytest.mark.parametrize(
    ("od", "printed", "over"), [("3/8", 0.60, 17), ("5/16", 0.40, 23), ("1/4", 0.27, 41)]
)
def test_makers_ounces_a_foot_are_over_bore_x_density_by_what_is_said(
    od: str, printed: float, over: int
) -> None:
    """F-017 to F-019, R-410A at 105 F: why the high side of an estimate is wider."""
    assert round((printed / known(ounces_a_foot("R-410A", od)) - 1) * 100) == over


@pytest.mark.parametrize(
    ("od", "printed"), [("1/2", 0.067), ("3/4", 0.160), ("7/8", 0.223), ("1-1/8", 0.380)]
)
def test_pounds_a_foot_at_77_f_are_those_of_another_maker(od: str, printed: float) -> None:
    """F-024 to F-028, within 0.002 lb a foot."""
    assert abs(known(ounces_a_foot("R-410A", od, 77)) / 16 - printed) <= 0.002


@pytest.mark.parametrize(
    ("refrigerant", "bore", "printed"),
    [
        ("R-410A", 0.315, 3.04), ("R-407C", 0.315, 3.42), ("R-410A", 0.430, 5.66),
        ("R-407C", 0.430, 6.37), ("R-410A", 0.785, 18.86), ("R-407C", 0.785, 21.24),
        ("R-410A", 1.025, 32.15), ("R-407C", 1.025, 36.21),
    ],
)  # fmt: skip
def test_a_third_maker_counts_the_liquid_near_123_f(
    refrigerant: str, bore: float, printed: float
) -> None:
    """F-029 to F-033, pounds in 100 ft; their temperature is what the figures imply: 2 %."""
    volume = line_foot3("1/2", 100) * (bore / BORES["1/2"]) ** 2
    assert known(pounds_a_foot3(refrigerant, 123)) * volume == pytest.approx(printed, rel=0.02)


def test_150_ft_of_1_1_8_in_line_hold_57_lb() -> None:
    """G-004: 57.0 lb by 0.38 lb a foot; by bore x density 56.8."""
    assert known(line("1-1/8 x 150 ft at 77 F").pounds("R-410A")) == pytest.approx(56.8, abs=0.05)


@pytest.mark.parametrize(
    ("text", "pounds"),
    [("receiver 1.5 ft3 90 % at 90 F", 84.94), ("receiver 1.5 ft3 80 % at 90 F", 75.51)],
)
def test_a_receiver_holds_its_share_of_liquid(text: str, pounds: float) -> None:
    """G-014, G-015, R-404A."""
    assert abs(known(part(text).pounds("R-404A")) - pounds) <= 0.5


def test_a_system_is_the_sum_of_its_parts() -> None:
    """G-016, R-404A: 38.09 lb within 0.3."""
    parts = (
        line("5/8 x 120 ft at 105 F"), part("receiver 0.25 ft3 at 90 F"),
        part("evaporator 0.22 ft3, 35 % liquid at 20 F"),
        part("condenser 0.30 ft3 28 % at 105 F"),
    )  # fmt: skip
    each = [known(one.pounds("R-404A")) for one in parts]
    assert each == pytest.approx([11.67, 15.73, 5.65, 5.04], abs=0.02)
    assert abs(sum(each) - 38.09) <= 0.3


@pytest.mark.parametrize(
    ("refrigerant", "ratio"), [("R-404A", 0.87), ("R-507A", 0.87), ("R-12", 1.10)]
)
def test_other_refrigerants_go_by_density(refrigerant: str, ratio: float) -> None:
    """G-008 to G-011: a maker's multipliers on the charge of R-22, at 90 F within 0.03."""
    found = known(pounds_a_foot3(refrigerant, 90)) / known(pounds_a_foot3("R-22", 90))
    assert abs(found - ratio) <= 0.03


@pytest.mark.parametrize(
    "text", ["", "3/8", "9/8 x 20 ft", "3/8 x 0 ft", "3/8 x 20 m", "3/8 x -4 ft", "3/8 x 20 at hot"]
)
def test_what_is_no_line_is_refused(text: str) -> None:
    assert isinstance(read_line(text), Problem)


@pytest.mark.parametrize(
    "text",
    ["", "receiver", "receiver 1 ft3", "receiver 1 ft3 120 % at 90 F", "receiver 0 ft3 at 90 F",
     "receiver 1 gal at 90 F", "receiver 1 ft3 at warm"],
)  # fmt: skip
def test_what_is_no_part_is_refused(text: str) -> None:
    assert isinstance(read_part(text), Problem)


@given(text=st.text(max_size=40))
def test_any_text_is_a_part_or_a_refusal(text: str) -> None:
    for found in (read_line(text), read_part(text)):
        assert isinstance(found, Problem) or found.foot3 > 0


def test_a_refrigerant_without_data_gives_no_pounds() -> None:
    assert isinstance(line("3/8 x 20 ft").pounds("R-417A"), NoSoundData)
