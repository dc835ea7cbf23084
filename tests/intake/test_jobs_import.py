"""Two records of one job across sheets: asked about, answered, and remembered in any order."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.facts.facts import Evidence, Reversal
from ledger.facts.problems import Problem
from ledger.facts.verbs import charge
from ledger.intake.report import ImportReport
from tests.intake.answering import fill
from tests.intake.shop import Shop, held, lb, new

TECHNICIAN = """
    Date,Unit,Added,Recovered,Tank,Recovery tank,Tech,Ticket #
    3/2/26,RTU-1,4.8,,410-1,,TB,
    3/9/26,CH-1,,7 lb 6 oz,,RC-22,DO,5031
"""
OFFICE = """
    Ticket,Day,Equipment,Action,Amount,Cylinder,Technician
    4412,2026-03-03,RTU-1,charge,4 lb 8 oz,410-1,Tamsin Brandvold
"""
AGAIN = """
    Equipment,Notes,Day,Technician,Action,Cylinder,Amount,Ticket
    rtu-1,keyed twice,3/3/2026,tamsin brandvold,charge,410-1,72 oz,4412
"""
"""The office's row in a later export: other columns, other words, the same row."""


def take(shop: Shop, text: str, name: str, answer: str = "", row: int = 2) -> ImportReport:
    """Take in a sheet; with an answer, fill it into the answers file and take that in too."""
    out = shop.folder / f"{name}.answers.csv"
    out.unlink(missing_ok=True)
    path = shop.csv(text, f"{name}.csv")
    report = shop.take(path, answers=out)
    if not answer:
        return report
    fill(out, row, answer)
    return shop.take(out)


def asked(report: ImportReport) -> Problem:
    """The one question of a report."""
    (one,) = report.questions
    (problem,) = one.problems
    return problem


def amounts(shop: Shop) -> list[str]:
    """The amounts of the movements that stand, as written, sorted."""
    with shop.book.reading() as reader:
        gone = set(reader.rows("SELECT target_entry, target_line FROM reversal"))
        rows = reader.rows(
            "SELECT entry, line, written FROM movement WHERE purpose IN ('addition', 'recovery')"
        )
        return sorted(written for entry, line, written in rows if (entry, line) not in gone)


# --- the question ------------------------------------------------------------------------
def test_both_records_stand_side_by_side(shop: Shop) -> None:
    take(shop, TECHNICIAN, "trucks")
    problem = asked(take(shop, OFFICE, "office"))
    entry = shop.entries()[0]["number"]
    assert problem.code == "same-job" and problem.choices == ("same", "both", "instead")
    assert problem.entry == entry
    assert problem.sentence == (
        f"This may be the job of entry {entry} (0.30 lb and 1 day apart, as 4.8 lb and 4 lb 8 oz)."
        " This row: 2026-03-03, RTU-1, R-410A, 4 lb 8 oz added, Tamsin Brandvold, ticket 4412,"
        f" office.csv!2. Entry {entry}: 2026-03-02, RTU-1, R-410A, 4.8 lb added, Tamsin Brandvold,"
        " no ticket, trucks.csv!2."
    )
    assert amounts(shop) == ["4.8 lb", "7 lb 6 oz"]


def test_the_office_sheet_may_come_first(shop: Shop) -> None:
    take(shop, OFFICE, "office")
    report = take(shop, TECHNICIAN, "trucks")
    assert report.counts == {"recorded": 1, "question": 1}
    assert "This row: 2026-03-02, RTU-1, R-410A, 4.8 lb added" in asked(report).sentence


def test_both_in_two_tabs_of_one_file(shop: Shop) -> None:
    path = shop.xlsx({
        "Trucks": [["Date", "Unit", "Added", "Tech"], ["3/2/26", "RTU-1", 5, "TB"]],
        "Office": [["Date", "Unit", "Added", "Tech"], ["3/4/26", "RTU-1", 5.25, "TB"]],
    })  # fmt: skip
    report = shop.take(path)
    assert report.counts == {"flagged": 1, "question": 1}
    assert report.questions[0].sheet == "Office"


def test_a_typed_entry_is_a_record_too(shop: Shop) -> None:
    shop.record(*charge("RTU-1", "410-1", "R-410A", lb(5), Evidence("net")))
    sentence = asked(take(shop, """
        Date,Unit,Added,Tank,Tech
        1/4/25,RTU-1,5,410-1,TB
    """, "jobs")).sentence  # fmt: skip
    assert "nobody named, no ticket, typed by" in sentence


def test_a_rehearsal_asks_and_records_nothing(shop: Shop) -> None:
    take(shop, TECHNICIAN, "trucks")
    head = shop.head()
    report = shop.take(shop.csv(OFFICE, "office.csv"), dry_run=True)
    assert report.counts == {"question": 1} and shop.head() == head


ONE = "3/2/26,{unit},{amount},410-1,TB,{ticket},{time}"


@pytest.mark.parametrize(
    ("changes", "counts"),
    [
        ({}, {"question": 1}),
        ({"ticket": "T-2"}, {"recorded": 1}),
        ({"ticket": "t-1"}, {"question": 1}),
        ({"time": "16:30"}, {"recorded": 1}),
        ({"time": "14:30"}, {"question": 1}),
        ({"unit": "RTU-2/A"}, {"recorded": 1}),
        ({"amount": "5.4"}, {"question": 1}),
        ({"amount": "6"}, {"recorded": 1}),
    ],
)
def test_what_tells_jobs_apart(shop: Shop, changes: dict[str, str], counts: dict[str, int]) -> None:
    heads = "Date,Unit,Added,Tank,Tech,Ticket,Time\n"
    first = {"unit": "RTU-1", "amount": "5", "ticket": "T-1", "time": "13:00"}
    take(shop, heads + ONE.format(**first), "one")
    second = {"unit": "RTU-1", "amount": "5", "ticket": "", "time": ""} | changes
    assert take(shop, f"{heads}{ONE.format(**second)}", "two").counts == counts


def test_a_house_spelled_in_two_ways_is_one(shop: Shop) -> None:
    text = """
        Date,Address,Recovered,Refrigerant,Tech
        6/3/25,411 Cordwain Ln,7 lb 6 oz,410A,TB
        6/3/25,411 Cordwain Lane,7.4,R410A,T. Brandvold
        6/3/25,413 Cordwain Lane,7.4,R410A,TB
        6/3/25,"411 Cordwain Ln, Apt 2",9,R410A,TB
    """
    report = shop.take(shop.csv(text), provisional=True)
    assert report.counts["question"] == 1, held(report)
    assert report.questions[0].row == 3


def test_a_site_stands_for_its_unit_in_the_other_sheet(shop: Shop) -> None:
    shop.record(new("site", "9 Pell Rd", address="9 Pell Road, Alden"),
                new("unit", "HP-1", site="9 Pell Rd"),
                new("circuit", "HP-1", unit="HP-1", refrigerant="R-410A"))  # fmt: skip
    take(shop, "Date,Unit,Added,Tank,Tech\n3/2/26,HP-1,5,410-1,TB", "trucks")
    report = shop.take(
        shop.csv("Date,Address,Added,Refrigerant,Tech\n3/3/26,9 Pell Road,5,410A,TB", "office.csv"),
        provisional=True,
    )
    assert report.counts == {"question": 1}, held(report)


# --- the answers -------------------------------------------------------------------------
@pytest.mark.parametrize("first", ["trucks", "office"])
def test_one_job_is_left_out_once_and_for_all(shop: Shop, first: str) -> None:
    sheets = {"trucks": TECHNICIAN, "office": OFFICE}
    second = "office" if first == "trucks" else "trucks"
    take(shop, sheets[first], first)
    report = take(shop, sheets[second], second, "same")
    assert report.counts["duplicate"] == 1
    kept = "4.8 lb" if first == "trucks" else "4 lb 8 oz"
    assert amounts(shop) == sorted([kept, "7 lb 6 oz"])
    head = shop.head()
    for name, text in (*sheets.items(), ("later", AGAIN)):
        again = take(shop, text, name)
        assert again.left == 0 and again.recorded == 0
    assert take(shop, sheets[second], second).counts["duplicate"] == 1
    assert shop.head() == head and amounts(shop) == sorted([kept, "7 lb 6 oz"])


def test_two_jobs_are_recorded_beside_each_other(shop: Shop) -> None:
    take(shop, TECHNICIAN, "trucks")
    assert take(shop, OFFICE, "office", "both").counts["recorded"] == 1
    head = shop.head()
    for name, text in (("trucks", TECHNICIAN), ("office", OFFICE), ("later", AGAIN)):
        again = take(shop, text, name)
        assert set(again.counts) == {"already"}
    assert shop.head() == head
    assert amounts(shop) == ["4 lb 8 oz", "4.8 lb", "7 lb 6 oz"]
    assert pairs(shop) == []


def test_the_row_takes_the_place_of_the_entry(shop: Shop) -> None:
    take(shop, TECHNICIAN, "trucks")
    entry = shop.entries()[0]["number"]
    assert take(shop, OFFICE, "office", "instead").counts["recorded"] == 1
    with shop.book.reading() as reader:
        (last,) = [one for one in reader.entries() if one.content()["verb"] == "charge"][-1:]
    back = last.facts()[0]
    assert isinstance(back, Reversal) and back.entry == entry
    assert back.reason.startswith("the same job as office")
    assert amounts(shop) == ["4 lb 8 oz", "7 lb 6 oz"]
    head = shop.head()
    for name, text in (("trucks", TECHNICIAN), ("office", OFFICE), ("later", AGAIN)):
        assert set(take(shop, text, name).counts) == {"already"}
    assert shop.head() == head and pairs(shop) == []


def test_an_answer_that_is_none_leaves_the_question(shop: Shop) -> None:
    take(shop, TECHNICIAN, "trucks")
    report = take(shop, OFFICE, "office", "perhaps")
    assert report.counts["question"] == 1
    assert amounts(shop) == ["4.8 lb", "7 lb 6 oz"]


def test_the_record_that_was_kept_is_reversed_later(shop: Shop) -> None:
    """Its second record is then the only one of the job, so that a person is asked once more."""
    take(shop, TECHNICIAN, "trucks")
    entry = shop.entries()[0]["number"]
    take(shop, OFFICE, "office", "same")
    shop.record(Reversal(entry, (0,), "never took place"))
    problem = asked(take(shop, OFFICE, "office"))
    assert f"the job of entry {entry}, which was reversed by entry" in problem.sentence
    assert take(shop, OFFICE, "office", "both").recorded == 1
    assert set(take(shop, OFFICE, "office").counts) == {"already"}


def test_a_decision_can_be_taken_back(shop: Shop) -> None:
    take(shop, TECHNICIAN, "trucks")
    take(shop, OFFICE, "office", "same")
    with shop.book.reading() as reader:
        said = [
            entry for entry in reader.entries()
            if any(getattr(f, "setting", "") in ("job decision", "import answer")
                   for f in entry.facts())
        ]  # fmt: skip
    for entry in said:
        lines = tuple(range(len(entry.facts())))
        shop.record(Reversal(entry.number, lines, "too soon"))
    assert take(shop, OFFICE, "office").counts == {"question": 1}


# --- rows that say the same --------------------------------------------------------------
def test_identical_rows_are_asked_about(shop: Shop) -> None:
    text = """
        Date,Action,Unit,Cylinder,To cylinder,Amount,Refrigerant,Tech,Supplier
        3/1/26,charge,RTU-1,410-1,,2,,TB,
        3/1/26,charge,RTU-1,410-1,,2,,TB,
        3/2/26,transfer,,410-1,410-3,1,R-410A,TB,
        3/2/26,transfer,,410-1,410-3,1,R-410A,TB,
        3/3/26,received,,410-9,,25,R-410A,TB,Pellmore Supply
        3/3/26,received,,410-9,,25,R-410A,TB,Pellmore Supply
        3/4/26,weighed,,410-1,,,,TB,
    """
    shop.record(new("cylinder", "410-9", kind="refillable", refrigerant="R-410A"))
    report = take(shop, text, "jobs")
    codes = {one.row: one.problems[0].code for one in held(report)}
    assert {row: code for row, code in codes.items() if row < 8} == {
        3: "same-job", 5: "same-job", 7: "same-job",
    }  # fmt: skip
    assert shop.held("410-9") == "25.00" and shop.held("410-3") == "1.00"


def test_a_third_identical_row_is_answered_by_itself(shop: Shop) -> None:
    text = "Date,Unit,Added,Tank,Tech\n" + "3/1/26,RTU-1,2,410-1,TB\n" * 3
    out = shop.folder / "out.csv"
    assert shop.take(shop.csv(text), answers=out).counts == {"recorded": 1, "question": 2}
    fill(out, 3, "same")
    fill(out, 4, "both")
    assert shop.take(out).counts == {"already": 1, "duplicate": 1, "recorded": 1}
    assert shop.take(shop.csv(text)).counts == {"already": 2, "duplicate": 1}
    assert amounts(shop) == ["2 lb", "2 lb"]


# --- visits ------------------------------------------------------------------------------
VISIT = """
    Date,Unit,Added,Recovered,Tank,Recovery tank,Tech
    3/2/26,RTU-1,10,6,410-1,RC-1,TB
"""


def test_a_part_of_a_visit_is_not_left_out_with_the_other(shop: Shop) -> None:
    take(shop, "Date,Unit,Added,Tank,Tech\n3/2/26,RTU-1,10,410-1,TB", "office")
    problem = asked(take(shop, VISIT, "trucks"))
    assert problem.choices == ("both", "instead")
    assert "Only a part of the row is in that entry." in problem.sentence
    assert take(shop, VISIT, "trucks", "instead").recorded == 1
    assert amounts(shop) == ["10 lb", "6 lb"]


def test_a_part_of_an_entry_is_taken_back_alone(shop: Shop) -> None:
    take(shop, VISIT, "trucks")
    text = "Date,Unit,Added,Tank,Tech\n3/3/26,RTU-1,10.2,410-1,TB"
    assert asked(take(shop, text, "office")).choices == ("same", "both", "instead")
    assert take(shop, text, "office", "instead").recorded == 1
    assert amounts(shop) == ["10.2 lb", "6 lb"]


# --- many rows ---------------------------------------------------------------------------
def test_batches_and_other_writers_change_nothing(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ledger.intake import importing, running

    rows = [f"3/{day}/26,RTU-1,0.{day:02},410-1,TB" for day in (1, 9, 17, 25)]
    rows += [f"3/{day + 2}/26,RTU-1,0.1{day},410-1,DO" for day in (1, 9, 17, 25)]
    text = "Date,Unit,Added,Tank,Tech\n" + "\n".join(rows)
    monkeypatch.setattr(running, "BATCH_ROWS", 1)

    def between(done: int, total: int) -> None:
        if done == 3:
            shop.record(new("place", "Truck 12", kind="truck"))

    report = importing.run_import(shop.book, shop.csv(text), moment=shop.moment, progress=between)
    assert report.counts == {"recorded": 4, "question": 4}
    assert [one.row for one in report.questions] == [6, 7, 8, 9]


def test_what_another_wrote_meanwhile_is_seen(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from ledger.intake import importing, running

    monkeypatch.setattr(running, "BATCH_ROWS", 1)
    text = "Date,Unit,Added,Tank,Tech\n1/3/25,RTU-3,1,410-1,TB\n1/4/25,RTU-1,5,410-2,TB"

    def between(done: int, total: int) -> None:
        if done == 1:
            shop.record(*charge("RTU-1", "410-2", "R-410A", lb(5), Evidence("net")), key="typed")

    report = importing.run_import(
        shop.book, shop.csv(text),
        moment=shop.moment, progress=between,
    )  # fmt: skip
    assert report.counts == {"recorded": 1, "question": 1}


def test_the_book_is_not_read_where_it_has_nothing_near(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ledger.intake import jobs

    def never(*_: Any, **__: Any) -> Iterator[Any]:
        raise AssertionError("the book was read")

    monkeypatch.setattr(jobs, "book_records", never)
    assert take(shop, TECHNICIAN, "trucks").recorded == 2


# --- any order ---------------------------------------------------------------------------
SHEETS = {"trucks": TECHNICIAN, "office": OFFICE, "later": AGAIN}


@pytest.mark.parametrize("order", list(permutations(SHEETS)), ids="-".join)
@pytest.mark.parametrize("answer", ["same", "both", "instead"])
def test_decisions_hold_in_any_order_of_files(
    shop: Shop, order: tuple[str, ...], answer: str
) -> None:
    for name in order:
        report = take(shop, SHEETS[name], name)
        if report.questions:
            take(shop, SHEETS[name], name, answer)
    assert len(amounts(shop)) == (3 if answer == "both" else 2)
    head = shop.head()
    for name in (*reversed(order), *order):
        assert take(shop, SHEETS[name], name).left == 0
    assert shop.head() == head


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(seed=st.integers(0, 2**32))
def test_every_question_is_asked_once(shop: Shop, seed: int) -> None:
    """Random rows of a few units and days, cut into files in random order, answered at random."""
    choose = random.Random(seed)
    rows = sorted({
        f"{2 + choose.randrange(2)}/{choose.randrange(1, 29)}/26,"
        f"{choose.choice(['RTU-1', 'RTU-3'])},{choose.choice(['1', '1.4', '1 lb 4 oz', '2'])},"
        f"410-1,{choose.choice(['TB', 'DO'])},{choose.choice(['', '', f'{seed % 97}'])},{seed}"
        for _ in range(8)
    })  # fmt: skip
    choose.shuffle(rows)
    cut = choose.randrange(1, len(rows))
    files = [rows[:cut], rows[cut:], rows]
    for number, some in enumerate(files):
        answer_all(shop, some, f"file{number}", choose)
    head = shop.head()
    for number in choose.sample(range(3), 3):
        report = shop.take(written(shop, files[number], f"file{number}"))
        assert report.left == 0 and report.recorded == 0, held(report)
    assert shop.head() == head


def written(shop: Shop, rows: list[str], name: str) -> Path:
    """A file of rows."""
    heads = "Date,Unit,Added,Tank,Tech,Ticket,Notes"
    return shop.csv("\n".join([heads, *rows]), f"{name}.csv")


def answer_all(shop: Shop, rows: list[str], name: str, choose: random.Random) -> None:
    """Take a file in and answer what it asks, as long as it asks."""
    path = written(shop, rows, name)
    for turn in range(6):
        out = shop.folder / f"{name}.{turn}.csv"
        out.unlink(missing_ok=True)
        report = shop.take(path, answers=out)
        if not report.left:
            return
        for one in report.questions:
            fill(out, one.row, choose.choice(one.problems[0].choices))
        path = out
    raise AssertionError(f"{name} asks for ever: {held(report)}")


def pairs(shop: Shop) -> list[tuple[int, int]]:
    """The pairs of entries that may be of one job and were not decided."""
    from ledger.book.known import BookKnown
    from ledger.intake.job_records import Places
    from ledger.intake.jobs import undecided

    with shop.book.reading() as reader:
        known = BookKnown(reader.connection, shop.moment, shop.book.zone)
        return [(a.entry, b.entry) for a, b, _ in undecided(reader, Places(known))]
