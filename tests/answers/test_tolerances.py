"""The table of tolerances: our defaults as the trade brief has them, and a book's own."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.answers.tolerances import (
    DEFAULTS,
    EXPLAIN,
    OWNER_SIGNS,
    WITHIN,
    Bound,
    setting_value,
    tolerances,
)
from ledger.facts.mass import POUND, Mass

BY_NAME = {one.name: one for one in tolerances({})}


def lb(text: str) -> int:
    return int(Fraction(text) * POUND)


@pytest.mark.parametrize(
    ("name", "difference", "base", "word"),
    [
        ("same-scale", "0.10", "0", WITHIN),
        ("same-scale", "-0.11", "0", EXPLAIN),
        ("same-scale", "0.51", "0", OWNER_SIGNS),
        ("other-scale", "0.5", "0", WITHIN),
        ("other-scale", "1.5", "0", EXPLAIN),
        ("other-scale", "-1.51", "0", OWNER_SIGNS),
        ("reclaimer", "5", "300", WITHIN),
        ("reclaimer", "-6.1", "824.5", WITHIN),
        ("reclaimer", "12", "824.5", EXPLAIN),
        ("reclaimer", "17", "824.5", OWNER_SIGNS),
        ("truck-week", "1", "0", WITHIN),
        ("truck-week", "3.1", "0", OWNER_SIGNS),
        ("refrigerant-month", "-4.7", "370.1", EXPLAIN),
        ("refrigerant-month", "3.7", "370.1", WITHIN),
        ("no-destination", "0", "400", WITHIN),
        ("no-destination", "2", "400", EXPLAIN),
        ("no-destination", "2.1", "400", OWNER_SIGNS),
    ],
)
def test_the_defaults_are_those_of_the_brief(
    name: str, difference: str, base: str, word: str
) -> None:
    """Source: workflow 3.5 (no regulator publishes one) and the figures of scenario 8.A."""
    assert BY_NAME[name].judged(lb(difference), lb(base)) == word


def test_a_book_s_own_figures_go_in_place_of_ours() -> None:
    own = setting_value(Bound(Mass(lb("0.25"))), Bound(Mass(lb("2")), Fraction(3, 2)))
    found = {one.name: one for one in tolerances({"truck-week": (own, 12)})}
    assert found["truck-week"].judged(lb("0.3")) == EXPLAIN
    assert found["truck-week"].entry == 12
    assert found["truck-week"].explain.text() == "1.5 % or 2 lb"
    assert found["same-scale"] == BY_NAME["same-scale"]


def test_bounds_read_as_they_are_typed() -> None:
    assert [(one.within.text(), one.explain.text()) for one in DEFAULTS] == [
        ("0.1 lb", "0.5 lb"), ("0.5 lb", "1.5 lb"), ("1 % or 5 lb", "2 %"), ("1 lb", "3 lb"),
        ("1 %", "3 %"), ("0 lb", "0.5 %"),
    ]  # fmt: skip


@given(
    st.sampled_from(DEFAULTS), st.integers(-(10**13), 10**13), st.integers(-(10**13), 10**13),
    st.integers(0, 10**15),
)  # fmt: skip
def test_a_larger_difference_is_never_judged_milder(
    level: object, one: int, other: int, base: int
) -> None:
    order = [WITHIN, EXPLAIN, OWNER_SIGNS]
    judged = level.judged  # type: ignore[attr-defined]
    small, large = sorted((one, other), key=abs)
    assert order.index(judged(small, base)) <= order.index(judged(large, base))
    assert judged(one, base) == judged(-one, base)
