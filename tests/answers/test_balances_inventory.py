"""The cylinder list: book, last weighing, tare and their difference."""

from __future__ import annotations

import pytest

from ledger.answers.inventory import (
    Cylinder,
    CylinderLine,
    Tare,
    Weighed,
    inventory,
    last_of,
)
from ledger.facts.mass import Mass, Quantity
from tests.oracle.ledgers import Rows, lb


def weight(pounds: float) -> Quantity:
    """A weight as it is written."""
    return Quantity(Mass(lb(pounds)), f"{pounds:.2f} lb")


def seen(
    day: str, pounds: float, entry: int = 90, line: int = 0, time: str = "", moment: str = "alone"
) -> Weighed:
    """A gross weight on the bench."""
    return Weighed(entry, line, 0, day, time, weight(pounds), "B1", moment)


STAMPED = Tare(weight(27.5), "stamped", 3)


@pytest.fixture
def rows() -> Rows:
    """41.4 lb recovered into RC-03, of which 6.0 went on to RC-09."""
    made = Rows()
    made.recover("2025-08-20", "RTU-1", "RC-03", 41.4, "Harbor Foods")
    made.transfer("2025-08-22", "RC-03", "RC-09", 6, stock="recovered", owner="Harbor Foods")
    return made


def one(rows: Rows, cylinder: Cylinder, as_of: str = "") -> CylinderLine:
    """The line of one cylinder."""
    lines = inventory([cylinder], rows.in_order(), as_of)
    return next(line for line in lines if line.name == cylinder.name)


def test_a_line_says_what_the_book_holds_and_whose_it_is(rows: Rows) -> None:
    line = one(rows, Cylinder("RC-03", "recovery", "R-410A", tare=STAMPED))
    assert (line.refrigerant, line.stock, line.owner) == ("R-410A", "recovered", "Harbor Foods")
    assert line.book == lb(35.4)
    assert (line.net, line.difference) == (None, None)


def test_weighed_minus_book_is_taken_when_it_was_weighed(rows: Rows) -> None:
    weighed = seen("2025-08-21", 68.9)
    line = one(rows, Cylinder("RC-03", tare=STAMPED, weighed=weighed))
    assert line.net == lb(41.4)
    assert (line.book, line.book_then, line.difference) == (lb(35.4), lb(41.4), 0)


def test_a_measured_tare_makes_the_difference(rows: Rows) -> None:
    tare = Tare(weight(27.9), "measured", 12)
    line = one(rows, Cylinder("RC-03", tare=tare, weighed=seen("2025-08-21", 68.9)))
    assert line.difference == -lb(0.4)
    assert line.working().to_lines() == [
        "Cylinder RC-03, weighed minus book",
        "  gross - tare - book at the weighing",
        "  book at the weighing: 41.40 lb",
        "  gross: 68.90 lb on 2025-08-21, scale B1 (entry 90)",
        "  tare: 27.90 lb, measured (entry 12)",
        "  = -0.40 lb",
    ]


@pytest.mark.parametrize(
    ("weighed", "then"),
    [
        (seen("2025-08-22", 68.9, time="09:00"), 41.4),
        (seen("2025-08-22", 62.9, time="11:00"), 35.4),
        (seen("2025-08-22", 68.9, entry=1, line=5), 41.4),
        (seen("2025-08-22", 62.9, entry=3), 35.4),
        (seen("2025-08-22", 68.9, entry=2, moment="before"), 41.4),
        (seen("2025-08-22", 62.9, entry=2, moment="after"), 35.4),
        (seen("2025-08-22", 62.9, entry=2, moment="reading"), 35.4),
        (seen("2025-08-19", 27.5), 0),
    ],
)
def test_on_the_day_itself_time_decides_or_the_order_of_entries(
    rows: Rows, weighed: Weighed, then: float
) -> None:
    rows.made[1] = rows.made[1]._replace(time="10:00")
    line = one(rows, Cylinder("RC-03", tare=STAMPED, weighed=weighed))
    assert (line.book_then, line.difference) == (lb(then), 0)


def test_the_cylinder_that_took_is_weighed_too(rows: Rows) -> None:
    weighed = seen("2025-08-23", 33)
    line = one(rows, Cylinder("RC-09", tare=Tare(weight(27), "stamped", 3), weighed=weighed))
    assert (line.book_then, line.difference) == (lb(6), 0)


def test_without_a_tare_nothing_is_computed_and_the_working_says_why(rows: Rows) -> None:
    line = one(rows, Cylinder("RC-03", weighed=seen("2025-08-21", 68.9)))
    assert line.difference is None
    assert line.working().result == "cannot be computed: the tare is not recorded"
    bare = one(rows, Cylinder("RC-03", tare=STAMPED))
    assert bare.working().result == "cannot be computed: no weighing"


def test_an_empty_cylinder_shows_the_refrigerant_it_is_for(rows: Rows) -> None:
    line = one(rows, Cylinder("RC-11", "recovery", "R-22"))
    assert (line.refrigerant, line.stock, line.book) == ("R-22", "", 0)


def test_cylinders_nobody_described_are_listed_when_they_hold_something(rows: Rows) -> None:
    assert [line.name for line in inventory([], rows.in_order())] == ["RC-03", "RC-09"]


def test_a_cylinder_begun_after_the_day_is_left_out_unless_it_is_known_to_hold(rows: Rows) -> None:
    known = [
        Cylinder("RC-03", begun="2026-01-05"), Cylinder("RC-20", begun="2026-01-05"),
        Cylinder("RC-21", begun="2025-01-05"),
    ]  # fmt: skip
    lines = inventory(known, rows.in_order(), "2025-12-31")
    assert [line.name for line in lines] == ["RC-03", "RC-09", "RC-21"]


def test_cylinders_that_are_gone_and_empty_are_listed_on_request(rows: Rows) -> None:
    known = [Cylinder("OLD-1", state="scrapped"), Cylinder("RC-03", state="condemned")]
    assert [line.name for line in inventory(known, rows.in_order())] == ["RC-03", "RC-09"]
    lines = inventory(known, rows.in_order(), gone=True)
    assert [line.name for line in lines] == ["OLD-1", "RC-03", "RC-09"]


@pytest.mark.parametrize(
    ("keep", "names"),
    [
        ({"place": "Truck 2"}, ["A", "B"]),
        ({"place": "Truck 2", "kind": "disposable"}, ["B"]),
        ({"state": "quarantined"}, ["A"]),
        ({"refrigerant": "R-22"}, ["B"]),
        ({"owner": "Harbor Foods", "stock": "recovered"}, ["RC-03", "RC-09"]),
    ],
)
def test_the_list_is_kept_to_what_is_asked(
    rows: Rows, keep: dict[str, str], names: list[str]
) -> None:
    known = [
        Cylinder("A", "recovery", "R-410A", place="Truck 2", state="quarantined"),
        Cylinder("B", "disposable", "R-22", place="Truck 2"),
        Cylinder("C", "disposable", "R-404A"),
    ]
    assert [line.name for line in inventory(known, rows.in_order(), keep=keep)] == names


def test_the_last_weighing_is_by_day_then_time_then_entry() -> None:
    morning = seen("2025-08-21", 30, entry=9, time="08:00")
    noon = seen("2025-08-21", 29, entry=4, time="12:00")
    untimed = seen("2025-08-21", 28, entry=7)
    older = seen("2025-08-20", 31, entry=99)
    assert last_of([morning, older, noon]) == noon
    assert last_of([morning, older, noon, untimed]) == morning
    assert last_of([]) is None


def chain(*steps: tuple[int, float, float]) -> list[Weighed]:
    """Readings before and after, by entry, all on one day without a time."""
    found = []
    for entry, before, after in steps:
        found.append(seen("2025-08-21", before, entry, moment="before"))
        found.append(seen("2025-08-21", after, entry, moment="after")._replace(part=1))
    return found


def test_tickets_typed_in_the_wrong_order_are_put_right_by_their_readings() -> None:
    last = last_of(chain((7, 48, 45), (8, 52.5, 48)))
    assert last is not None
    assert (last.entry, last.gross) == (7, weight(45))
    made = Rows()
    made.receive("2025-08-01", "A", 25)
    for entry, pounds in ((7, 3), (8, 4.5), (9, 1)):
        made.charge("2025-08-21", "A", "RTU-1", pounds)
        made.made[-1] = made.made[-1]._replace(entry=entry)
    line = one(made, Cylinder("A", tare=STAMPED, weighed=last))
    assert (line.book, line.book_then, line.difference) == (lb(16.5), lb(17.5), 0)


@pytest.mark.parametrize(
    "steps",
    [
        ((7, 48, 45), (8, 45, 48)),  # taken out and put back: either can have been first
        ((7, 48, 45), (8, 44, 43)),  # the readings do not meet
    ],
)
def test_where_readings_do_not_tell_the_order_of_entries_does(
    steps: tuple[tuple[int, float, float], ...],
) -> None:
    last = last_of(chain(*steps))
    assert last is not None
    assert (last.entry, last.part, last.earlier) == (8, 1, frozenset())


def test_a_weighing_alone_stands_in_the_chain_where_its_weight_does() -> None:
    between = seen("2025-08-21", 48, entry=9)
    after = seen("2025-08-21", 45, entry=3)
    steps = chain((7, 48, 45), (8, 52.5, 48))
    for extra, entry in ((between, 7), (after, 3)):
        last = last_of([*steps, extra])
        assert last is not None
        assert last.entry == entry
