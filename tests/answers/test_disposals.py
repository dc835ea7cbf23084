"""The disposal log: which appliance is in it, what counts where something is unknown, the sums."""

from __future__ import annotations

from itertools import pairwise

import pytest

from ledger.answers.disposals import (
    IN_LOG,
    LARGE,
    NO_CHARGE,
    SMALL,
    Limits,
    Recovery,
    disposals,
)
from ledger.facts.mass import POUND, Mass, Quantity, of_decimal

LIMITS = Limits(5 * POUND, 50 * POUND)


def lb(text: str) -> Mass:
    """Pounds as an exact mass."""
    found = of_decimal(text, "lb")
    assert found is not None
    return found


def taken(charge: str = "8", pounds: str = "1", **more: object) -> Recovery:
    """A recovery from an appliance of this full charge ("45 to 60" for a range)."""
    low, _, high = charge.partition(" to ")
    ends = (lb(low), lb(high or low)) if charge else None
    fields = {
        "entry": 1, "line": 0, "day": "2025-06-03", "appliance": "U-1", "location": "1 Any St",
        "refrigerant": "R-410A", "recovered": Quantity(lb(pounds), f"{pounds} lb"),
        "cylinder": "RC-1", "person": "TB", "charge": ends,
    }  # fmt: skip
    return Recovery(**{**fields, **more})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("charge", "size"),
    [
        ("0.33", SMALL), ("5", SMALL), ("5.01", IN_LOG), ("49.99", IN_LOG), ("50", LARGE),
        ("62", LARGE), ("4 to 7", IN_LOG), ("4 to 6", SMALL), ("45 to 54", IN_LOG),
        ("45 to 55", LARGE), ("", NO_CHARGE),
    ],
)  # fmt: skip
def test_the_full_charge_decides_to_the_last_hundredth(charge: str, size: str) -> None:
    """Over 5 and under 50 lb, 40 CFR 82.156(a)(3); a range counts by its midpoint."""
    assert taken(charge).size(LIMITS) == size


def test_a_small_appliance_is_one_whatever_is_known_of_its_charge() -> None:
    assert taken("", small=True).size(LIMITS) == SMALL


def test_what_nobody_knows_the_size_of_counts_and_is_told() -> None:
    (total,) = disposals([taken("8", "4"), taken("", "7", entry=2)], LIMITS).totals
    assert total.mass == lb("11") and total.without(NO_CHARGE) == lb("7")
    assert total.recoveries[1].gaps(LIMITS) == (NO_CHARGE,)


def test_without_an_appliance_the_place_is_the_gap() -> None:
    lost = taken("", appliance="", location="")
    assert lost.gaps(LIMITS) == ("no appliance", "no location")
    assert disposals([lost, lost], LIMITS).totals[0].appliances == 2


def test_an_attempt_that_brought_nothing_is_a_line_of_the_log() -> None:
    flat = taken("6", "0", cylinder="", refrigerant="R-22")
    (total,) = disposals([flat], LIMITS).totals
    assert (total.mass, total.appliances, flat.gaps(LIMITS)) == (0, 1, ())


def test_months_and_refrigerants_are_lines_of_their_own() -> None:
    rows = [
        taken(pounds="1"), taken(pounds="2", day="2025-07-01"),
        taken(pounds="3", refrigerant="R-22"), taken(pounds="4", refrigerant="unknown"),
        taken("62", "58.5"),
    ]  # fmt: skip
    found = disposals(rows, LIMITS)
    assert [(one.month, one.refrigerant, one.mass) for one in found.totals] == [
        ("2025-06", "R-22", lb("3")), ("2025-06", "R-410A", lb("1")),
        ("2025-06", "unknown", lb("4")), ("2025-07", "R-410A", lb("2")),
    ]  # fmt: skip
    assert [(why, one.recovered.mass) for why, one in found.apart] == [(LARGE, lb("58.5"))]
    june = disposals(rows, LIMITS, ("2025-06",))
    assert {one.month for one in june.totals} == {"2025-06"}
    assert disposals(rows, LIMITS, ("2025",)).totals == found.totals
    days = [one.day for one in found.recoveries()]
    assert all(before <= after for before, after in pairwise(days))


def test_what_goes_back_in_the_same_season_stands_apart() -> None:
    found = disposals([taken(claim="seasonal")], LIMITS)
    assert not found.totals and [why for why, _ in found.apart] == ["seasonal"]


def test_a_total_shows_the_entries_it_is_made_of() -> None:
    rows = [taken(pounds="2", entry=7), taken(pounds="3", entry=9, location="")]
    lines = disposals(rows, LIMITS).totals[0].working().to_lines()
    assert lines[0] == "R-410A recovered in 2025-06"
    assert "  2025-06-03 U-1: 3 lb; no location (entry 9)" in lines
    assert "  = 5.00 lb" in lines
