"""The story of the demo shop row by row: each figure of its table has a case that names the row."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from ledger.book.closing import reconciled
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.known import BookKnown
from ledger.book.reading import Cut, inventory_of, pounds_of
from ledger.book.record import Recorder
from ledger.cli.demo import BRINDLEWICK
from ledger.facts.counts import CutOff
from ledger.facts.entry import Draft
from ledger.facts.facts import Evidence, Fact, Movement, Reversal
from ledger.facts.facts import Test as Verification
from ledger.facts.mass import Quantity, half_up
from ledger.facts.verbs import recover
from tests.oracle.brindlewick_book import (
    BALANCES,
    RATES,
    STORY,
    Case,
    Demo,
    check_rate,
    label,
    made,
    mass,
    rates_of,
)

COUNT: Case = BALANCES["count"]  # type: ignore[assignment]
ROWS = [row["id"] for row in STORY["row"]]


@pytest.fixture
def demo() -> Demo:
    """The book of the demo shop, made once."""
    return made()


# -- the table itself -------------------------------------------------------------------------


def cases() -> Iterator[Case]:
    """Every case of both files, and what the count is made of."""
    for table in (RATES, BALANCES):
        for found in table.values():
            yield from found if isinstance(found, list) else [found]


def rows_of(case: Case) -> list[str]:
    """The rows of the story that a case is for."""
    row = case["row"]
    return row if isinstance(row, list) else [row]


def numbers(case: Case) -> set[Fraction]:
    """The numbers of a case, whatever their spelling."""
    found = set()
    for value in case.values():
        try:
            found.add(Fraction(str(value)))
        except ValueError:
            continue
    return found


def test_every_case_names_a_row_of_the_story() -> None:
    assert len(ROWS) == len(set(ROWS)) == 32
    named = {row for case in cases() for row in rows_of(case)}
    assert named <= set(ROWS)
    silent = {row["id"] for row in STORY["row"] if not row.keys() & {"service", "flag", "refused"}}
    assert silent <= named


@pytest.mark.parametrize("row", STORY["row"], ids=ROWS)
def test_every_figure_of_a_row_has_a_case(row: Case) -> None:
    there = {number for case in cases() if row["id"] in rows_of(case) for number in numbers(case)}
    missing = [one for one in row.get("figures", ()) if Fraction(one) not in there]
    assert missing == []


@pytest.mark.parametrize(
    "row", [one for one in STORY["row"] if "flag" in one], ids=lambda r: r["id"]
)
def test_what_a_check_can_see_was_flagged(demo: Demo, row: Case) -> None:
    assert any(line.startswith("  flagged") and row["flag"] in line for line in demo.said)


@pytest.mark.parametrize(
    "row", [one for one in STORY["row"] if "service" in one], ids=lambda r: r["id"]
)
def test_repairs_and_tests_of_a_row(demo: Demo, row: Case) -> None:
    for circuit, day, words in row["service"]:
        assert words in _service(demo, circuit, day)


def _service(demo: Demo, circuit: str, day: str) -> list[str]:
    import json

    table = demo.now.service
    rows = table[(table.subject == f"circuit:{circuit}") & (table.occurred_on == day)]
    bodies = [json.loads(text) for text in rows.body]
    return [
        "repair" if one["type"] == "repair"
        else one["what"] if one["type"] == "event"
        else f"{one['which']} {one['result']}"
        for one in bodies if one["type"] in ("repair", "test", "event")
    ]  # fmt: skip


# -- figures that are neither a rate nor a sum --------------------------------------------------


@pytest.mark.parametrize("case", RATES["instead"], ids=label)
def test_what_another_way_of_counting_gives_is_not_what_the_book_says(
    demo: Demo, case: Case
) -> None:
    annual = Fraction(mass(case["lb"]), mass(case["charge"])) * Fraction(365, case["days"])
    assert half_up(100 * annual, 1) == case["percent"]
    assert demo.rates()[case["circuit"], case["on"].isoformat()].rate != annual


@pytest.mark.parametrize("case", RATES["told_otherwise"], ids=label)
def test_a_rate_of_another_story(demo: Demo, case: Case, tmp_path: Path) -> None:
    with copied(demo, tmp_path / "tarebook.db") as book:
        _OTHERWISE[case["how"]](book)
        check_rate(case, rates_of(book)[case["circuit"], case["on"].isoformat()])


def copied(demo: Demo, file: Path) -> Book:
    """A copy of the demo book that a test may write to."""
    with closing(sqlite3.connect(demo.file)) as old, closing(sqlite3.connect(file)) as new:
        old.backup(new)
    return Book.open(BookPlace.parse(file), "test")


def one_movement(book: Book) -> None:
    """Both movements of 3 November taken back, and recorded as one of 112 lb that is seasonal."""
    rows = _lines(book, "SELECT m.entry, m.line FROM movement m WHERE m.target_name = 'A-101'"
                  " AND m.occurred_on = '2026-11-03' ORDER BY m.entry")  # fmt: skip
    facts: list[Fact] = [Reversal(entry, (line,), "told as one") for entry, line in rows]
    facts.append(Movement(
        "party:Stannick Mechanical", "circuit:A-101", "R-448A", _lb("112"), "addition by others",
        claim="seasonal",
    ))  # fmt: skip
    _record(book, facts, "2026-11-03")


def _one_leak_left(book: Book) -> None:
    """The follow-up test of 11 September, with one leak of several left out."""
    _leave_one("2026-09-11", book)


def _no_test_of_all(book: Book) -> None:
    """Both follow-up tests of the year that passed, each with a leak left out."""
    for day in ("2026-04-10", "2026-09-11"):
        _leave_one(day, book)


def _leave_one(day: str, book: Book) -> None:
    rows = _lines(book, "SELECT s.entry, s.line FROM service s WHERE s.type = 'test' AND"
                  f" s.subject = 'circuit:A-101' AND s.occurred_on = '{day}'")  # fmt: skip
    facts: list[Fact] = [Reversal(entry, (line,), "told otherwise") for entry, line in rows]
    facts.append(Verification("A-101", "follow-up", "pass", "some"))
    _record(book, facts, day)


_OTHERWISE = {
    "one movement": one_movement, "one leak left": _one_leak_left,
    "no test of all leaks": _no_test_of_all,
}  # fmt: skip


def _lines(book: Book, sql: str) -> list[tuple[Any, ...]]:
    with book.reading() as reader:
        found = list(reader.rows(sql))
    assert found
    return found


def _record(book: Book, facts: list[Fact], day: str) -> None:
    with book.writing() as writer:
        known = BookKnown(writer.connection, BRINDLEWICK.moment, book.zone)
        draft = Draft(f"otherwise {day}", "correct", day, tuple(facts), "June Kettleby", ticket="x")
        Recorder(writer, known, BRINDLEWICK.moment).must_record(draft)


def _lb(text: str) -> Quantity:
    return Quantity(mass(text), f"{text} lb")


def test_the_count_of_january_comes_to_the_book_figure(demo: Demo) -> None:
    """192.1 + 400.0 - 370.1 - 16.7 - 4.4 = 200.9 of new R-410A; found 196.2."""
    day = COUNT["on"].isoformat()
    with demo.book.reading() as reader:
        lines = pounds_of(
            reader, Cut(day), "", split=("stock",),
            keep={"refrigerant": COUNT["refrigerant"], "stock": "virgin"},
        )  # fmt: skip
        cylinders = inventory_of(reader, Cut(day), gone=True)
    (line,) = lines
    parts = {
        "opening": line.brought_forward, "bought": line.received, "charged": line.charged,
        "heels": line.heel, "hoses": line.released, "book": line.closing,
    }  # fmt: skip
    assert parts == {name: mass(COUNT[name]) for name in parts}
    counted = [one for one in cylinders if one.cylinder.weighed
               and one.cylinder.weighed.day == day]  # fmt: skip
    nets = [one.net for one in counted if one.net is not None]
    found = sum(nets)
    assert len(nets) == 11 and found == mass(COUNT["counted"])
    assert found - line.closing == mass(COUNT["difference"])
    assert sum(one.difference or 0 for one in counted) == mass(COUNT["difference"])
    share = Fraction(100 * (found - line.closing), line.charged)
    assert half_up(share, 1) == COUNT["percent_of_issued"]


STORY_COUNT: Case = next(row["count"] for row in STORY["row"] if "count" in row)


def test_the_statement_of_the_year_is_the_count_as_it_is_told(demo: Demo) -> None:
    """Opening, bought, charged, heels, hoses, book, counted, difference, its share, to explain."""
    with demo.book.reading() as reader:
        found = reconciled(reader, Cut(), CutOff(COUNT["on"].isoformat()))
        keep = {"refrigerant": STORY_COUNT["refrigerant"], "stock": "virgin"}
        (line,) = found.lines(("refrigerant", "stock"), keep)
    told = {
        "opening": line.opening, "bought": line.came_in, "charged": line.amounts["charged"],
        "heels": line.amounts["heel"], "hoses": line.amounts["released"], "book": line.book,
        "counted": line.counted, "difference": line.difference,
    }  # fmt: skip
    assert told == {name: mass(COUNT[name]) for name in told}
    assert line.share is not None
    assert half_up(100 * line.share, 1) == COUNT["percent_of_issued"]
    assert (line.verdict, line.cylinders) == (STORY_COUNT["verdict"], (11, 0, 0))


def test_the_cylinder_that_was_not_found_is_all_that_it_held(demo: Demo) -> None:
    """Last seen on T4 in October; found on 19 January, which is no part of this count."""
    with demo.book.reading() as reader:
        found = reconciled(reader, Cut(), CutOff(COUNT["on"].isoformat()))
    name = STORY_COUNT["not_there"]
    (line,) = (one for one in found.count if one.name == name)
    assert (line.status, line.difference) == ("not there", mass(STORY_COUNT["not_there_lb"]))
    (part,) = found.parts[name]
    assert (part.what, part.words) == ("not found", "last seen 2025-10-08 at T4")


@pytest.mark.parametrize("case", BALANCES["weighed"], ids=label)
def test_a_gross_weight_as_it_was_read(demo: Demo, case: Case) -> None:
    with demo.book.reading() as reader:
        grosses = {gross for (gross,) in reader.rows(
            "SELECT w.gross FROM weighing w WHERE w.cylinder = ? AND w.occurred_on = ?",
            (case["cylinder"], case["on"].isoformat()),
        )}  # fmt: skip
    assert mass(case["gross"]) in grosses


@pytest.mark.parametrize("case", BALANCES["full_charge"], ids=label)
def test_a_full_charge(demo: Demo, case: Case) -> None:
    told = demo.now.dated("circuit", case["circuit"], "full charge", "2025-03-03")
    assert int(told["charge"][0]) == mass(case["lb"])


@pytest.mark.parametrize("case", BALANCES["deposit"], ids=label)
def test_a_deposit_and_how_long_it_was_out(demo: Demo, case: Case) -> None:
    name, out, back = case["cylinder"], case["out_since"], case["back_on"]
    assert demo.now.dated("cylinder", name, "deposit", "2026-12-31") == case["cents"]
    placed = demo.now.described
    days = sorted(placed[(placed.kind == "cylinder") & (placed.name == name)].since)
    assert out.isoformat() in days and back.isoformat() in days
    assert _months(out, back) == case["months"]


def _months(first: date, last: date) -> int:
    return 12 * (last.year - first.year) + last.month - first.month - (last.day < first.day)


@pytest.mark.parametrize("case", BALANCES["state"], ids=label)
def test_the_state_of_a_cylinder(demo: Demo, case: Case) -> None:
    day = case["on"].isoformat()
    assert demo.now.dated("cylinder", case["cylinder"], "state", day) == case["state"]


@pytest.mark.parametrize(
    "row", [one for one in STORY["row"] if "refused" in one], ids=lambda r: r["id"]
)
def test_what_was_blocked_is_refused(demo: Demo, row: Case) -> None:
    case = row["refused"]
    facts = recover(
        case["circuit"], case["cylinder"], case["refrigerant"], _lb(case["lb"]), Evidence("net")
    )
    with demo.book.writing() as writer:
        known = BookKnown(writer.connection, BRINDLEWICK.moment, demo.book.zone)
        draft = Draft("blocked", "recover", "2026-09-23", tuple(facts), "Lena Brockhaus")
        outcome = Recorder(writer, known, BRINDLEWICK.moment).record(draft)
        writer.rollback()
    assert [one.code for one in outcome.problems] == case["codes"]


def test_the_whole_fleet_and_route_are_in_the_book(demo: Demo) -> None:
    """74 homes by refrigerant, eleven cases, six trucks, the cylinders the story names."""
    described = demo.now.described
    names = {kind: set(found.name) for kind, found in described.groupby("kind")}
    homes = {one for one in names["circuit"] if "A-401" <= one <= "A-474"}
    gases = [demo.now.dated("circuit", one, "refrigerant", "2025-01-06") for one in homes]
    assert len(homes) == 74
    assert {gas: gases.count(gas) for gas in set(gases)} == {"R-410A": 55, "R-22": 9, "R-454B": 10}
    assert sum(one.startswith("A-103-") for one in names["circuit"]) == 11
    assert {f"T{one}" for one in range(1, 7)} <= names["place"]
    fleet = {*(f"RC-{one:02}" for one in range(1, 12)), "RC-A1", "HT-1",
             *(f"N2-{one}" for one in range(1, 7)), *(f"123-D{one}" for one in range(1, 4)),
             "134-R1", *(f"448-R{one}" for one in range(1, 4))}  # fmt: skip
    assert fleet <= names["cylinder"]
    assert len(names["person"]) == 8
