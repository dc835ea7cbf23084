"""The judge: exact on cases worked by hand, full marks for the truth, none for knowing nothing."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from ledger.facts.mass import POUND
from tests.oracle.simshop.attribution import ATTRIBUTION, Attributed, everything_is_residual
from tests.oracle.simshop.judge import (
    FALSELY,
    KEY,
    LEVELS,
    MONTH,
    NONE_RIGHTLY,
    NOT_NAMED,
    NOTHING,
    RIGHT,
    WRONG_TRUCK,
    Sums,
    judge,
    share,
)
from tests.oracle.simshop.table import lines
from tests.oracle.simshop.truth import (
    AT_CLOSE,
    AT_END,
    CAUSES,
    FORGOTTEN,
    HEEL,
    HOSE,
    LEAK,
    RESIDUAL,
    THEFT,
    Key,
    Truth,
)
from tests.oracle.simshop.typing_in import new_book, type_in
from tests.oracle.simshop.year import Year, year_of

HERE, THERE = Key("2025-03", "Truck 1", "R-22"), Key("2025-03", "Truck 2", "R-22")


def truth_of(theft_at: str = "", **causes: int) -> Truth:
    """A truth of one place, in pounds."""
    truth = Truth(theft_at=theft_at)
    for cause, pounds in causes.items():
        truth.both(HERE, "A", cause, pounds * POUND)
    return truth


def pounds_of(confusion: Counter[tuple[str, str]]) -> dict[tuple[str, str], Fraction]:
    """A confusion in pounds."""
    return {pair: Fraction(mass, POUND) for pair, mass in confusion.items()}


def found_of(*trucks: str, at: Key = HERE, **causes: int) -> Attributed:
    """An attribution of one place, in pounds."""
    return Attributed(AT_END, {at: {c: mass * POUND for c, mass in causes.items()}}, trucks)


def test_pounds_meet_their_own_cause_first() -> None:
    judged = judge(truth_of(heel=-4, hose=-2), found_of(heel=-5, hose=-1))
    assert pounds_of(judged.confusion) == {
        (HEEL, HEEL): 4, (HOSE, HOSE): 1, (HOSE, HEEL): 1,
    }  # fmt: skip
    assert judged.share() == Fraction(5, 6)


def test_pounds_of_the_other_sign_do_not_meet() -> None:
    judged = judge(truth_of(heel=-4), found_of(heel=4))
    assert pounds_of(judged.confusion) == {(HEEL, NOTHING): 4, (NOTHING, HEEL): 4}
    assert judged.share() == 0


def test_what_is_left_is_spread_in_proportion() -> None:
    judged = judge(truth_of(heel=-6), found_of(hose=-1, residual=-2))
    assert pounds_of(judged.confusion) == {
        (HEEL, HOSE): 1, (HEEL, THEFT): 2, (HEEL, NOTHING): 3,
    }  # fmt: skip


def test_pounds_at_another_place_are_wrong_unless_places_are_put_together() -> None:
    found = found_of(heel=-4, at=THERE)
    assert judge(truth_of(heel=-4), found).share() == 0
    assert judge(truth_of(heel=-4), found, MONTH).share() == 1


def test_a_theft_is_rightly_called_residual_and_is_not_explainable() -> None:
    judged = judge(
        truth_of("Truck 1", theft=-9, heel=-1), found_of("Truck 1", residual=-9, heel=-1)
    )
    assert pounds_of(judged.confusion) == {(THEFT, THEFT): 9, (HEEL, HEEL): 1}
    assert judged.share() == 1
    assert share(judged.confusion, [THEFT]) == 1


def test_there_is_no_share_of_nothing() -> None:
    assert judge(truth_of(), found_of()).share() is None


@pytest.mark.parametrize(
    ("theft_at", "named", "verdict"),
    [
        ("Truck 1", ("Truck 1",), RIGHT),
        ("Truck 1", ("Truck 1", "Truck 1"), RIGHT),
        ("Truck 1", (), NOT_NAMED),
        ("Truck 1", ("Truck 2",), WRONG_TRUCK),
        ("Truck 1", ("Truck 1", "Truck 2"), WRONG_TRUCK),
        ("", (), NONE_RIGHTLY),
        ("", ("Truck 2",), FALSELY),
    ],
)
def test_trucks_are_judged_by_name(theft_at: str, named: tuple[str, ...], verdict: str) -> None:
    assert judge(truth_of(theft_at), found_of(*named)).verdict == verdict


def test_the_view_that_is_answered_is_the_one_that_is_judged() -> None:
    truth = Truth()
    truth.typed(HERE, "A", "2025-05-01", (FORGOTTEN, -3 * POUND), {HOSE: -1 * POUND})
    later = HERE._replace(month="2025-04")
    at_close = {HERE: {FORGOTTEN: -3 * POUND}, later: {FORGOTTEN: 3 * POUND, HOSE: -POUND}}
    assert judge(truth, Attributed(AT_CLOSE, at_close)).share() == 1
    assert judge(truth, Attributed(AT_END, {HERE: {HOSE: -POUND}})).share() == 1
    assert judge(truth, Attributed(AT_END, at_close)).share() == 0


@pytest.fixture(scope="module", params=[2, 3])
def year(request: pytest.FixtureRequest) -> Year:
    """A year without and one with a theft."""
    return year_of(request.param)


@pytest.mark.parametrize("view", [AT_CLOSE, AT_END])
@pytest.mark.parametrize("level", LEVELS)
def test_the_truth_itself_is_all_right(year: Year, view: str, level: str) -> None:
    trucks = (year.truth.theft_at,) if year.truth.theft_at else ()
    judged = judge(year.truth, Attributed(view, year.truth.causes[view], trucks), level)
    assert judged.share() == 1
    assert judged.verdict in (RIGHT, NONE_RIGHTLY)
    assert all(true == found for true, found in judged.confusion)


def test_all_true_and_all_attributed_pounds_are_in_the_confusion(year: Year) -> None:
    guess = {
        key: {HEEL: sum(of.values()), LEAK: -POUND} for key, of in year.truth.causes[AT_END].items()
    }
    confusion = judge(year.truth, Attributed(AT_END, guess)).confusion
    true = sum(mass for (cause, _), mass in confusion.items() if cause != NOTHING)
    found = sum(mass for (_, cause), mass in confusion.items() if cause != NOTHING)
    wanted = sum(abs(m) for of in year.truth.causes[AT_END].values() for m in of.values())
    given = sum(abs(mass) for of in guess.values() for mass in of.values())
    assert abs(true - wanted) < POUND // 1000  # spread pounds are cut off to whole counts
    assert abs(found - given) < POUND // 1000


def test_explaining_nothing_gets_nothing_and_names_nobody(year: Year, tmp_path: Path) -> None:
    with new_book(tmp_path / "shop.db") as book:
        type_in(book, year.papers.commands)
        found = everything_is_residual(book, year.papers)
    judged = judge(year.truth, found)
    assert judged.share() == 0
    assert judged.verdict == (NOT_NAMED if year.truth.theft_at else NONE_RIGHTLY)
    sums = Counter(dict.fromkeys(year.truth.flows, 0))
    for key, of in found.causes.items():
        sums[key.refrigerant] += of[RESIDUAL]
    for key, of in year.truth.causes[AT_END].items():
        sums[key.refrigerant] -= sum(of.values())
    assert not any(sums.values())


def test_the_table_has_a_row_for_every_cause_and_every_verdict() -> None:
    sums = Sums()
    sums.add(judge(truth_of("Truck 1", heel=-4, theft=-9), found_of("Truck 1", heel=-4)))
    text = "\n".join(lines(sums))
    assert all(f"\n{cause} " in text for cause in (*CAUSES, NOTHING))
    assert "explainable pounds, right cause          100.0 %" in text
    assert f"{RIGHT:32}     1 of 1" in text


def test_the_attribution_that_is_judged_is_named_in_one_place() -> None:
    assert callable(ATTRIBUTION)
    assert judge.__module__ != ATTRIBUTION.__module__
    assert next(iter(LEVELS)) == KEY
