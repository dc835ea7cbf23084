"""Gaps between the weights of a cylinder: together they are its difference."""

from __future__ import annotations

import random

from hypothesis import given
from hypothesis import strategies as st

from ledger.answers.chain import Gap, Reading, Step, gaps, in_order
from ledger.facts.mass import POUND

TARE = 7 * POUND


def step(entry: int, day: str, change: int, *read: int, time: str = "") -> Step:
    """A record with its change and gross weights in pounds."""
    seen = tuple(Reading(entry, 0, day, time, weight * POUND) for weight in read)
    return Step(day, time, entry, 0, change * POUND, seen)


def masses(found: list[Gap]) -> list[int]:
    return [gap.mass // POUND for gap in found]


RECEIPT = step(1, "2026-01-05", 25)
CHARGE = step(2, "2026-01-06", -5, 32, 27)


def test_weights_that_follow_one_another_leave_no_gap() -> None:
    assert gaps([RECEIPT, CHARGE, step(3, "2026-01-07", 0, 27)], TARE) == []


def test_a_gap_lies_between_the_weights_after_and_before() -> None:
    (gap,) = gaps([RECEIPT, CHARGE, step(3, "2026-01-09", -4, 24, 20)], TARE)
    assert (gap.mass, gap.days) == (-3 * POUND, ("2026-01-06", "2026-01-09"))


def test_what_was_recorded_without_weights_is_no_gap() -> None:
    steps = [RECEIPT, CHARGE, step(3, "2026-01-07", -2),
             step(4, "2026-01-09", 0, 25)]  # fmt: skip
    assert gaps(steps, TARE) == []


def test_the_first_weight_is_held_against_tare_and_book() -> None:
    (gap,) = gaps([RECEIPT, step(2, "2026-01-06", -5, 31, 26)], TARE)
    assert (gap.mass, gap.since) == (-POUND, None)


def test_an_amount_that_is_not_what_its_weights_tell_is_a_gap() -> None:
    assert masses(gaps([RECEIPT, step(2, "2026-01-06", -5, 32, 26)], TARE)) == [-1]


def test_tickets_of_a_day_are_put_in_the_order_of_their_weights() -> None:
    typed = [RECEIPT, step(2, "2026-01-06", -4, 27, 23), step(3, "2026-01-06", -5, 32, 27)]
    assert [one.entry for one in in_order(typed)] == [1, 3, 2]


def test_times_go_before_weights() -> None:
    typed = [step(2, "2026-01-06", -4, 27, 23, time="08:00"),
             step(3, "2026-01-06", -5, 32, 27, time="09:00")]  # fmt: skip
    assert [one.entry for one in in_order(typed)] == [2, 3]


@given(st.integers(0, 10**6))
def test_all_gaps_together_are_the_difference_to_the_book(seed: int) -> None:
    """Whatever was read and recorded: last net less book, in whole counts."""
    choose = random.Random(seed)
    steps, book, last = [step(1, "2026-01-01", 25)], 25 * POUND, None
    for entry in range(2, 2 + choose.randrange(1, 9)):
        day = f"2026-01-{choose.randrange(2, 6):02d}"
        change = choose.choice([0, -choose.randrange(1, 4 * POUND)])
        read = [choose.randrange(TARE, 40 * POUND) for _ in range(choose.choice([0, 1, 2, 2]))]
        if not change and len(read) != 1:
            read = [choose.randrange(TARE, 40 * POUND)]
        if change and len(read) == 1:
            read = []
        seen = tuple(Reading(entry, 0, day, "", weight) for weight in read)
        steps.append(Step(day, "", entry, 0, change, seen))
    ordered = list(in_order(steps))
    while ordered and not ordered[-1].read:
        ordered.pop()
    book = sum(one.change for one in ordered)
    found = gaps(ordered, TARE)
    if not ordered:
        assert found == []
        return
    last = ordered[-1].read[-1].gross
    assert sum(gap.mass for gap in found) == last - TARE - book
