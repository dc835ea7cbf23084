"""Which cylinders somebody has to look at, and what is held in custody for an owner."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.answers.attention import Watched, attention
from ledger.answers.held_for import Owned, held_for, left_of
from ledger.answers.sightings import Seen, Sighting
from ledger.facts.mass import POUND

TODAY = "2026-11-25"


def told(**members: object) -> list[str]:
    """What is told of one recovery cylinder."""
    one = Watched("RC-06", **{"kind": "recovery", **members})  # type: ignore[arg-type]
    return [found.what for found in attention([one], TODAY)]


@pytest.mark.parametrize(
    ("members", "said"),
    [
        ({"state": "not found", "because": "count"}, "not found: count"),
        ({"state": "stolen"}, "stolen, no report number on record"),
        ({"state": "quarantined"}, "in quarantine"),
        ({"state": "condemned"}, "condemned and not yet scrapped or returned"),
        ({"due": "2025-07-31"}, "requalification was due 2025-07-31: not to be filled"),
        ({"due": "2027-01-31"}, "requalification due 2027-01-31, in 67 days"),
        ({"condition": "dents"}, "dents on record: not to be filled"),
        ({"book": -POUND}, "1.00 lb below nothing by the book"),
        ({"book": POUND, "refrigerant": "mixed"}, "holds mixed refrigerant"),
        ({"book": POUND, "refrigerant": "unknown"}, "contents unknown"),
        ({"provisional": True}, "begun by a job, not entered by the office"),
    ],
)
def test_what_somebody_has_to_look_at_is_told(members: dict[str, object], said: str) -> None:
    assert said in told(**{"refrigerant": "R-22", **members})


@pytest.mark.parametrize(
    "members",
    [
        {}, {"state": "in service"}, {"state": "stolen", "report": "26-1"},
        {"due": "2027-06-30"}, {"due": "2025-07-31", "state": "returned"},
        {"due": "2025-07-31", "kind": "disposable"}, {"due": "2025-07-31", "ours": False},
    ],
)  # fmt: skip
def test_what_is_in_order_or_gone_is_not_told(members: dict[str, object]) -> None:
    assert told(**{"refrigerant": "R-22", **members}) == []


@pytest.mark.parametrize(("measured", "many"), [(2851, 0), (2850, 1)])
def test_five_percent_under_the_stamped_tare_asks_for_requalification(
    measured: int, many: int
) -> None:
    """49 CFR 180.209(c): tare loss of 5 % or more of the official tare weight."""
    assert len(told(stamped=3000 * POUND, measured=measured * POUND)) == many


@pytest.mark.parametrize(("days", "many"), [(29, 0), (30, 1)])
def test_what_holds_refrigerant_and_is_unseen_for_thirty_days_is_told(days: int, many: int) -> None:
    """Trade workflow 1.4: not counted for 30 days (common practice, no source)."""
    seen = Seen(Sighting("2026-10-26", "", 7, 0, "RC-06", "JK", "T4"), days)
    assert len(told(book=POUND, refrigerant="R-22", seen=seen)) == many
    assert told(book=0, seen=seen) == []


def test_disposables_without_a_statement_are_one_line_a_day() -> None:
    """The story's 31 disposables: 19 with a statement, 12 without (trade_workflow 8.A, 10-30)."""
    batch = [
        Watched(f"D{n:02}", "disposable", "scrapped", since="2026-10-30", statement=n < 19)
        for n in range(31)
    ]
    (line,) = attention(batch, TODAY)
    assert (line.cylinder, line.since) == ("D19 and 11 more", "2026-10-30")


def owned(day: str, pounds: int, into: bool, entry: int = 1) -> Owned:
    """A recovery, or an addition back, of so many pounds."""
    purpose = "recovery" if into else "addition"
    return Owned(day, entry, 0, purpose, "", "", "R-448A", pounds * POUND, into, not into)


def test_the_rack_of_the_story_leaves_four_pounds_each_time() -> None:
    """8.A: Tarnbrook 80 in, 76 out, 4 left; then 84, 80 out, 4 left."""
    lines = held_for([
        owned("2025-04-08", 80, True), owned("2025-11-04", 76, False),
        owned("2026-04-14", 80, True), owned("2026-11-03", 80, False),
    ])  # fmt: skip
    assert [line.left // POUND for line in lines] == [80, 4, 84, 4]
    assert [line.what for line in lines[:2]] == ["recovered", "returned to the owner's equipment"]


def test_a_period_shows_its_lines_and_counts_from_the_beginning() -> None:
    lines = held_for(
        [owned("2025-04-08", 80, True), owned("2025-11-04", 76, False)], "2025-05-01", "2025-12-31"
    )
    assert [(line.day, line.left // POUND) for line in lines] == [("2025-11-04", 4)]


def test_a_transfer_between_our_cylinders_leaves_as_much() -> None:
    moved = Owned("2025-06-01", 2, 0, "transfer", "RC-1", "RC-2", "R-448A", 5 * POUND, True, True)
    lines = held_for([owned("2025-04-08", 80, True), moved])
    assert [line.left // POUND for line in lines] == [80, 80]


@given(st.lists(st.tuples(st.integers(1, 28), st.integers(1, 500), st.booleans()), max_size=20))
def test_what_is_left_is_all_in_less_all_out(moves: list[tuple[int, int, bool]]) -> None:
    lines = held_for(
        owned(f"2025-06-{day:02}", pounds, into, n) for n, (day, pounds, into) in enumerate(moves)
    )
    total = sum(pounds if into else -pounds for _, pounds, into in moves)
    assert left_of(lines).get("R-448A", 0) == total * POUND
