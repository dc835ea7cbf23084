"""Statements of random ledgers: they close in every cut, and a lock changes nothing."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.answers.balances import Asked, balances, grouped
from ledger.answers.counting import Tally, Vessel, count_lines
from ledger.answers.holdings import MovementRow, Placed
from ledger.answers.inventory import Tare
from ledger.answers.routes import CYLINDERS
from ledger.answers.stand import placed_until, stand
from ledger.answers.statement import CUTS, NET, Stands, StatementLine, statement
from ledger.facts.counts import CutOff
from ledger.facts.mass import POUND, Mass, Quantity
from tests.oracle.ledgers import random_rows
from tests.oracle.test_balances_random import held, moves_of_cylinders

SEEDS = st.integers(0, 10**9)
MOMENTS = st.tuples(
    st.integers(1, 12), st.integers(1, 28), st.sampled_from(["", "09:00", "12:00", "17:00"])
).map(lambda one: CutOff(f"2025-{one[0]:02d}-{one[1]:02d}", one[2]))
EVERY_CUT = [by for size in range(1, 5) for by in combinations(CUTS, size)]


def cut(first: CutOff, second: CutOff) -> tuple[CutOff, CutOff]:
    """Two moments in their order."""
    return (first, second) if first.order <= second.order else (second, first)


def statements(
    rows: list[MovementRow], placed: list[Placed], since: CutOff, until: CutOff,
    known: list[MovementRow] | None = None,
) -> dict[tuple[str, ...], list[StatementLine]]:  # fmt: skip
    """The statement of a stretch in every cut; `known` is what a lock at its start had seen."""
    signed = stand(known, placed, since) if known is not None else None
    stands = Stands(stand(rows, placed, until), stand(rows, placed, since), signed)
    return {by: statement(stands, [], {}, [], by) for by in EVERY_CUT}


@given(SEEDS, MOMENTS, MOMENTS)
@settings(max_examples=40, deadline=None)
def test_opening_and_all_movements_are_the_book_in_every_cut(
    seed: int, one: CutOff, other: CutOff
) -> None:
    """What is shown as moved is the sum of its columns with their signs, and nothing else."""
    rows, placed = random_rows(seed), moves_of_cylinders(seed)
    for by, lines in statements(rows, placed, *cut(one, other)).items():
        for line in lines:
            signs = {name: -1 if name.endswith(" out") else 1 for name in NET}
            moved = sum(sign * line.amounts[name] for name, sign in signs.items())
            if "place" not in by:
                moved -= line.amounts["moved in"] - line.amounts["moved out"]
            assert line.moved == moved


@given(SEEDS, MOMENTS, MOMENTS)
@settings(max_examples=40, deadline=None)
def test_every_cut_has_one_book_and_it_is_what_the_cylinders_hold(
    seed: int, one: CutOff, other: CutOff
) -> None:
    """The second opinion folds one cylinder at a time, as the refusals do."""
    rows, placed = random_rows(seed, possible=True), moves_of_cylinders(seed)
    since, until = cut(one, other)
    inside = [row for row in rows if until.covers(row.day, row.time)]
    truth = sum(holding.total for holding in held(inside).values())
    for lines in statements(rows, placed, since, until).values():
        assert sum(line.book for line in lines) == truth


@given(SEEDS, MOMENTS, MOMENTS)
@settings(max_examples=40, deadline=None)
def test_transfers_and_moves_change_no_total(seed: int, one: CutOff, other: CutOff) -> None:
    rows, placed = random_rows(seed), moves_of_cylinders(seed)
    for lines in statements(rows, placed, *cut(one, other)).values():
        for name in ("transferred", "moved"):
            came = sum(line.amounts[f"{name} in"] for line in lines)
            assert came == sum(line.amounts[f"{name} out"] for line in lines)
        assert sum(line.amounts["put together"] for line in lines) == 0


@given(SEEDS, MOMENTS, MOMENTS, st.integers(0, 60))
@settings(max_examples=40, deadline=None)
def test_a_lock_changes_nothing_but_splits_the_opening(
    seed: int, one: CutOff, other: CutOff, known: int
) -> None:
    """Whatever was known when the period before was signed."""
    rows, placed = random_rows(seed), moves_of_cylinders(seed)
    since, until = cut(one, other)
    early = [row for row in rows if row.entry <= known]
    unlocked = statements(rows, placed, since, until)
    locked = statements(rows, placed, since, until, early)
    for by in EVERY_CUT:
        open_lines = {line.key: line for line in unlocked[by]}
        for line in locked[by]:
            before = open_lines.get(line.key)
            if before is None:
                assert (line.opening + line.late, line.book) == (0, 0)
                continue
            assert line.opening + line.late == before.opening
            assert (line.book, line.amounts, line.moved) == (
                before.book, before.amounts, before.moved,
            )  # fmt: skip


@given(SEEDS, MOMENTS)
@settings(max_examples=40, deadline=None)
def test_at_the_end_of_a_day_the_stand_is_the_balance_of_that_day(
    seed: int, moment: CutOff
) -> None:
    rows, placed = random_rows(seed), moves_of_cylinders(seed)
    end = CutOff(moment.day)
    ours = {one.key: one.closing for one in grouped(stand(rows, placed, end), CYLINDERS, CUTS)}
    here = list(placed_until(placed, end, {}))
    theirs = {one.key: one.closing for one in balances(rows, Asked(CUTS, last=end.day), here)}
    assert ours == theirs


TARE = Mass(7 * POUND)


@given(SEEDS, MOMENTS, st.lists(st.integers(-3, 3), min_size=6, max_size=6))
@settings(max_examples=40, deadline=None)
def test_differences_by_place_and_by_refrigerant_have_one_sum(
    seed: int, moment: CutOff, errors: list[int]
) -> None:
    """An independent model of gross weights: what each cylinder holds, its tare, and an error."""
    rows, placed = random_rows(seed, possible=True), moves_of_cylinders(seed)
    inside = [row for row in rows if moment.covers(row.day, row.time)]
    contents = held(inside)
    closing = stand(rows, placed, moment)
    vessels, tallies, off = {}, [], 0
    for number, error in enumerate(errors):
        name = f"C-{number}"
        total = contents[name].total if name in contents else 0
        where = [one.place for one in placed if one.cylinder == name and one.since <= moment.day]
        here = where[-1] if where else ""
        gross = Quantity(Mass(TARE + total + error * POUND), "read")
        vessels[name] = Vessel(name, place=here, tare=Tare(Quantity(TARE, "7 lb"), "measured", 1))
        tallies.append(Tally(999, number, moment.day, moment.time, "Ann", name, "Truck 1",
                             moment.text, "weighed", gross))  # fmt: skip
        off += error * POUND
    lines = count_lines(tallies, vessels, rows, closing, moment, {})
    for by in EVERY_CUT:
        found = statement(Stands(closing), lines, {}, [], by)
        assert sum(line.difference for line in found) == off
        assert all(line.counted + line.uncounted - line.book == line.difference for line in found)
