"""Balances of random ledgers: nothing is lost, every sum closes, and contents fold as they should.

The second opinion on what a cylinder holds is `ledger.facts.contents`, which the refusals use
when they check one cylinder at a time.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterable
from itertools import combinations, pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.balances import Asked, balances, grouped
from ledger.answers.holdings import MovementRow, Placed, fold
from ledger.answers.pounds_balance import pounds_balance
from ledger.answers.routes import CYLINDERS, FAMILIES
from ledger.facts.contents import Contents, Holding, Line, line_of
from tests.oracle.ledgers import ordered, random_rows

SEEDS = st.integers(0, 10**9)
STOCK = FAMILIES[CYLINDERS].dimensions
PLACES = ("Warehouse", "Truck 1", "Truck 2")


def moves_of_cylinders(seed: int) -> list[Placed]:
    """Where the cylinders were, at random."""
    choose = random.Random(seed)
    days = ["", *(f"2025-{month:02d}-15" for month in range(1, 13))]
    return [
        Placed(day, f"C-{number}", choose.choice(PLACES), 900 + number)
        for number in range(6)
        for day in sorted(choose.sample(days, 4))
    ]


def held(rows: Iterable[MovementRow], as_of: str = "9999-12-31") -> dict[str, Holding]:
    """What each cylinder holds, folded one by one."""
    lines: dict[str, list[Line]] = defaultdict(list)
    for row in rows:
        for kind, name, sign in ((row[4], row[5], -1), (row[6], row[7], 1)):
            if kind == "cylinder":
                lines[name].append(
                    line_of(row[0], row[1], row[2], row[3], sign * row[9], row[8], row[10], row[11])
                )
    return {name: Contents.of(found).at(as_of) for name, found in lines.items()}


@given(SEEDS)
def test_pounds_are_neither_made_nor_lost(seed: int) -> None:
    (closing,) = fold(random_rows(seed))
    assert sum(sum(found.values()) for found in closing.closings.values()) == 0


@given(SEEDS)
def test_every_grouping_of_the_stock_has_one_sum(seed: int) -> None:
    (closing,) = fold(random_rows(seed), moves_of_cylinders(seed))
    (whole,) = grouped(closing, CYLINDERS)
    for size in (1, 2):
        for by in combinations(STOCK, size):
            found = list(grouped(closing, CYLINDERS, by))
            assert sum(one.closing for one in found) == whole.closing
            assert all(one.difference == 0 for one in found)
            assert sum(one.amount("put together") for one in found) == 0
            assert sum(one.amount("moved in") - one.amount("moved out") for one in found) == 0


@given(SEEDS)
def test_transfers_cancel_out_over_all_cylinders(seed: int) -> None:
    for one in balances(random_rows(seed), Asked()):
        assert one.amount("transferred in") == one.amount("transferred out")


@given(SEEDS)
def test_each_cylinder_holds_what_the_refusals_say_it_holds(seed: int) -> None:
    rows = random_rows(seed, possible=True)
    (closing,) = fold(rows)
    found = {key[0]: (key[2:], mass) for key, mass in closing.closings[CYLINDERS].items()}
    expected = {
        name: ((one.refrigerant, one.stock, one.owner), one.total)
        for name, one in held(rows).items()
        if one.total
    }
    assert found == expected


@given(SEEDS)
def test_totals_agree_even_where_a_cylinder_is_below_nothing(seed: int) -> None:
    rows = random_rows(seed)
    found = {one.key[0]: one.closing for one in balances(rows, Asked(("cylinder",)))}
    for name, one in held(rows).items():
        assert found.get(name, 0) == one.total


@given(SEEDS, st.sampled_from(["year", "quarter", "month"]))
def test_a_period_closes_where_a_cut_on_its_last_day_stands(seed: int, unit: str) -> None:
    rows, placed = random_rows(seed), moves_of_cylinders(seed)
    for closing in fold(rows, placed, unit=unit):
        day = closing.period.last
        (cut,) = fold([row for row in rows if row.day <= day], placed, last=day)
        assert dict(closing.closings) == dict(cut.closings)


@given(SEEDS)
def test_periods_add_up_to_the_whole(seed: int) -> None:
    rows = random_rows(seed)
    (whole,) = balances(rows, Asked())
    months = balances(rows, Asked(("period",), unit="month"))
    assert tuple(map(sum, zip(*(one.amounts for one in months), strict=True))) == whole.amounts
    assert months[-1].closing == whole.closing
    for before, after in pairwise(months):
        assert before.closing == after.opening


@given(SEEDS)
def test_from_a_day_on_the_opening_is_all_that_went_before(seed: int) -> None:
    rows = random_rows(seed)
    asked = Asked(STOCK[:1], first="2025-06-01", last="2025-09-30")
    before = {one.key: one.closing for one in balances(rows, Asked(asked.by, last="2025-05-31"))}
    after = {one.key: one.closing for one in balances(rows, Asked(asked.by, last="2025-09-30"))}
    for one in balances(rows, asked):
        assert one.opening == before.get(one.key, 0)
        assert one.closing == after.get(one.key, 0)
        assert one.difference == 0


@given(SEEDS)
def test_the_order_in_which_a_day_was_recorded_changes_nothing(seed: int) -> None:
    rows = [row._replace(time="") for row in random_rows(seed, possible=True)]
    choose = random.Random(seed)
    days: dict[str, list[int]] = defaultdict(list)
    for row in rows:
        days[row.day].append(row.entry)
    for entries in days.values():
        choose.shuffle(entries)
    other = ordered(row._replace(entry=days[row.day].pop()) for row in rows)
    for by in (("cylinder",), ("refrigerant", "stock", "owner"), ("circuit",), ("party",)):
        one, two = (balances(each, Asked(by)) for each in (rows, other))
        assert [(b.key, b.closing) for b in one] == [(b.key, b.closing) for b in two]


@given(SEEDS)
def test_entries_behind_the_columns_are_those_that_moved_the_pounds(seed: int) -> None:
    rows = random_rows(seed)
    by_entry = {row.entry: row for row in rows}
    for one in balances(rows, Asked(("circuit", "refrigerant"))):
        for told in one.working().inputs[1:]:
            moved = [by_entry[entry] for entry in told.entries]
            assert all(one.key[0] in (row.source, row.target) for row in moved)
            assert all(row.refrigerant == one.key[1] for row in moved)
            assert sum(row.mass for row in moved) == one.amount(told.label)


@given(SEEDS)
@settings(max_examples=30)
def test_read_once_or_twice_the_workings_are_the_same(seed: int) -> None:
    rows, placed = random_rows(seed), moves_of_cylinders(seed)
    asked = Asked(("place", "period"), unit="quarter")
    twice, once = balances(rows, asked, placed), balances(iter(rows), asked, placed)
    assert [one.working() for one in twice] == [one.working() for one in once]


@given(SEEDS, st.sampled_from([(), ("stock",), ("stock", "owner"), ("place",)]))
def test_every_line_of_the_pounds_balance_closes(seed: int, split: tuple[str, ...]) -> None:
    rows, placed = random_rows(seed), moves_of_cylinders(seed)
    lines = pounds_balance(rows, split=split, placed=placed)
    assert all(line.difference == 0 and line.closing == line.contents for line in lines)
    last = max(line.balance.period.last for line in lines)
    final = [line for line in lines if line.balance.period.last == last]
    (whole,) = balances(rows, Asked())
    assert sum(line.closing for line in final) == whole.closing
    assert sum(line.put_together for line in lines) == 0
