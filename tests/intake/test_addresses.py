"""Street addresses: spellings of one address fold together, two addresses never do."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.intake.addresses import address_of, is_street, same_address

SAME = [
    ("411 Cordwain Ln", "411 Cordwain Lane"),
    ("411 Cordwain Ln", "411  CORDWAIN LN."),
    ("411 Cordwain Ln", "411 Cordwain"),
    ("411 Cordwain Ln", "411 Cordwain Lane, Alden IL 60001"),
    ("411 Cordwain Ln, Alden", "411 Cordwain Lane, Alden IL"),
    ("411 Cordwain Ln Apt 2", "411 Cordwain Lane #2"),
    ("411 Cordwain Ln Apt 2", "411 Cordwain Ln, Unit 2"),
    ("411 Cordwain Ln Apt 02", "411 Cordwain Ln Suite 2, Alden"),
    ("411 Cordwain Ln Apt 2", "411 Cordwain Ln"),
    ("12 N. Main St.", "12 North Main Street"),
    ("12 Main St N", "12 N Main Street"),
    ("12 Main St", "12 North Main St"),
    ("9 Pell Rd", "9 Pell Road"),
    ("9 Pell Ave", "9 Pell Avenue"),
    ("9 Pell Dr", "9 Pell Drive"),
    ("9 Pell Ct", "9 Pell Court"),
    ("9 Pell Blvd", "9 Pell Boulevard"),
    ("9 Pell Pkwy", "9 Pell Parkway"),
    ("4120 Hwy 12 W", "4120 Highway 12 West"),
    ("9 County Rd 5", "9 County Road 5"),
    ("12 St James St", "12 Saint James Street"),
    ("10 E 5th Ave", "10 East Fifth Avenue"),
    ("12 1/2 Elm St", "12 1/2 elm street"),
    ("411B Cordwain Ln", "411-B Cordwain Lane"),
    ("7 O'Dell Ct", "7 ODell Court"),
    ("411 Cordwain Ln Springfield", "411 Cordwain Lane, Springfield"),
]

DIFFERENT = [
    ("411 Cordwain Ln", "413 Cordwain Ln"),
    ("411 Cordwain Ln", "41 Cordwain Ln"),
    ("411 Cordwain Ln", "411B Cordwain Ln"),
    ("411A Cordwain Ln", "411B Cordwain Ln"),
    ("411-413 Cordwain Ln", "411 Cordwain Ln"),
    ("12 Elm St", "12 1/2 Elm St"),
    ("121 Elm St", "12 1 Elm St"),
    ("411 Cordwain Ln", "411 Cordwain Ct"),
    ("411 Cordwain Ln", "411 Cordman Ln"),
    ("411 Cordwain Ln Apt 2", "411 Cordwain Ln Apt 3"),
    ("12 N Main St", "12 S Main St"),
    ("12 N Main St", "12 NE Main St"),
    ("4120 Hwy 12", "4120 Hwy 14"),
    ("4120 Hwy 12", "4120 Road 12"),
    ("411 Cordwain Ln, Alden", "411 Cordwain Ln, Baxter"),
    ("12 North St", "12 South St"),
    ("10 5th Ave", "10 6th Ave"),
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_spellings_of_one_address(one: str, other: str) -> None:
    first, second = address_of(one), address_of(other)
    assert first is not None
    assert second is not None
    assert first.key == second.key
    assert same_address(first, second)
    assert same_address(second, first)


@pytest.mark.parametrize(("one", "other"), DIFFERENT)
def test_two_addresses(one: str, other: str) -> None:
    first, second = address_of(one), address_of(other)
    assert first is not None
    assert second is not None
    assert not same_address(first, second)
    assert not same_address(second, first)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "RTU-3",
        "12",
        "Store 14",
        "CH-1",
        "12-",
        "#12",
        "Bellmoor Tower",
        "12B",
        "9" * 300,
        "½ Elm",
    ],
)
def test_what_is_no_address(text: str) -> None:
    assert address_of(text) is None
    assert not is_street(text)


def test_a_street_is_told_by_its_kind() -> None:
    assert is_street("411 Cordwain Ln")
    assert not is_street("3 ton rooftop")


_NAMES = st.sampled_from(["Cordwain", "Pell", "St James", "Main", "North", "5th", "Lake Shore"])
_KINDS = st.sampled_from([("Ln", "Lane"), ("St", "Street"), ("Rd", "Road"), ("Ave", "Avenue"),
                          ("Dr", "Drive"), ("Ct", "Court"), ("Blvd", "Boulevard")])  # fmt: skip
_POINTS = st.sampled_from([("", ""), ("N ", "North "), ("SW ", "southwest ")])


@given(st.integers(1, 9999), st.integers(1, 9999), _NAMES, _KINDS, _POINTS)
def test_spelled_in_two_ways_and_never_across_house_numbers(
    number: int, another: int, name: str, kind: tuple[str, str], point: tuple[str, str]
) -> None:
    short = address_of(f"{number} {point[0]}{name} {kind[0]}")
    long = address_of(f"{another} {point[1]}{name.upper()} {kind[1]}.")
    assert short is not None
    assert long is not None
    assert same_address(short, long) is (number == another)


@given(st.text(max_size=40), st.text(max_size=40))
def test_any_text_is_folded_and_compared_both_ways(one: str, other: str) -> None:
    first, second = address_of(one), address_of(other)
    assert first is None or same_address(first, first)
    if first is not None and second is not None:
        assert same_address(first, second) is same_address(second, first)
