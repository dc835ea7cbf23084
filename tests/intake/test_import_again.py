"""The same file again: sorted, added to, corrected, or only its rejected rows."""

from __future__ import annotations

import csv
import random
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ledger.book.journal import Book, BookPlace
from tests.intake.shop import Shop, lb, masters, new, reasons

HEADINGS = [
    "Date",
    "Unit",
    "Added",
    "Recovered",
    "Tank",
    "Recovery tank",
    "Tech",
    "Ticket #",
    "Notes",
]
ROWS = [
    ["3/1/26", "RTU-1", "4 lb 8 oz", "", "410-1", "", "TB", "T-1", ""],
    ["3/2/26", "RTU-2/B", "", "2.6 kg", "", "RC-1", "DO", "T-2", "flat"],
    ["3/3/26", "RTU-1", "1", "", "410-1", "", "TB", "", ""],
    ["3/3/26", "RTU-1", "1", "", "410-1", "", "TB", "", ""],
    ["3/4/26", "RTU-3", "2.5", "", "410-2", "", "DO", "T-4", ""],
    ["3/5/26", "RTU-1", "4-8", "", "410-1", "", "TB", "T-5", ""],
    ["6/31/25", "RTU-1", "1", "", "410-1", "", "TB", "T-6", "=see ticket"],
]  # fmt: skip
GOOD, ASKED, BAD = 4, 2, 3
"""Rows recorded, rows in question (one says what another says), and all that are held out."""


def sheet(shop: Shop, rows: list[list[str]], name: str = "jobs.csv") -> Path:
    path = shop.folder / name
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([HEADINGS, *rows])
    return path


def test_again_is_already(shop: Shop) -> None:
    path = sheet(shop, ROWS)
    assert shop.take(path).counts == {"recorded": GOOD, "question": ASKED, "rejected": 1}
    head = shop.head()
    report = shop.take(path)
    assert report.counts == {"already": GOOD, "question": ASKED, "rejected": 1}
    assert shop.head() == head
    assert [one.entry for one in report.already] == [3, 4, 5, 6]


def test_after_sorting_and_inserting_only_what_is_new_is_recorded(shop: Shop) -> None:
    shop.take(sheet(shop, ROWS))
    more = [*reversed(ROWS), ["3/2/26", "RTU-3", "1.5", "", "410-2", "", "DO", "T-9", ""]]
    random.Random(3).shuffle(more)
    assert shop.take(sheet(shop, more, "other name.csv")).counts == {
        "already": GOOD, "question": ASKED, "rejected": 1, "recorded": 1,
    }  # fmt: skip


def test_a_third_row_that_is_the_same_is_a_third_question(shop: Shop) -> None:
    shop.take(sheet(shop, ROWS))
    report = shop.take(sheet(shop, [*ROWS, ROWS[2]]))
    assert report.counts == {"already": GOOD, "question": ASKED + 1, "rejected": 1}
    assert [one.problems[0].code for one in report.questions].count("same-job") == 2
    assert [move[4] for move in shop.moves()].count("1 lb") == 1


def test_the_same_row_in_other_words_is_the_same_row(shop: Shop) -> None:
    """Spelling, spacing, columns and the kind of file do not make a new row; a note neither."""
    shop.take(sheet(shop, ROWS[:2]))
    shop.take(shop.csv("""
        Technician,WO,Action,Amount,Cylinder,Recovered into,Equipment,Refrigerant,Day,Why
        tb,t-1,charge,4lb 8oz,410-1,,rtu-1,,2026-03-01,leaks
    """, "office.csv"))  # fmt: skip
    import datetime

    path = shop.xlsx({"Jobs": [HEADINGS, [
        datetime.date(2026, 3, 1), "RTU-1 ", 4.5, None, "410-1", None, "TB", "T-1", "a note",
    ]]})  # fmt: skip
    assert shop.take(path).counts == {"already": 1}


def test_a_corrected_row_goes_in_alone(shop: Shop) -> None:
    shop.take(sheet(shop, ROWS))
    mended = [*ROWS[:5], [*ROWS[5][:2], "4.8", *ROWS[5][3:]], ROWS[6]]
    report = shop.take(sheet(shop, mended))
    assert report.counts == {"already": GOOD, "recorded": 1, "question": 1, "rejected": 1}
    assert shop.moves()[-1][4] == "4.8 lb"


# --- the order of rows -------------------------------------------------------------------
CHAIN = """
    Date,Action,Cylinder,To cylinder,Unit,Supplier,Refrigerant,Amount,Tech
    3/1/26,received,R-1,,,Pellmore Supply,R-410A,25,DO
    3/1/26,charge,R-1,,RTU-1,,R-410A,5,TB
    3/2/26,transfer,R-1,R-2,,,R-410A,12,DO
    3/2/26,transfer,R-2,R-3,,,R-410A,8,DO
    3/2/26,charge,R-3,,RTU-3,,R-410A,8,TB
    3/3/26,recovered,RC-1,,RTU-1,,R-410A,6,TB
    3/4/26,charge,RC-1,,RTU-1,,R-410A,6,TB
"""


@settings(
    max_examples=12, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(order=st.permutations(range(7)))
def test_the_order_of_rows_in_a_file_does_not_matter(
    tmp_path_factory: Any, order: list[int]
) -> None:
    """Strictly taken in, each order records all rows and leaves the same in every cylinder."""
    from datetime import UTC, datetime

    folder = tmp_path_factory.mktemp("order")
    moment = datetime(2026, 3, 30, 16, tzinfo=UTC)
    place = BookPlace.parse(folder / "shop.tarebook")
    with Book.create(place, "America/Chicago", "Shop", "office", moment) as book:
        shop = Shop(book, folder, moment)
        kinds = {"R-1": "disposable", "R-2": "refillable", "R-3": "refillable"}
        shop.record(*masters(), *(new("cylinder", name, kind=kind, refrigerant="R-410A")
                                  for name, kind in kinds.items()))  # fmt: skip
        head, *rows = [line.strip() for line in CHAIN.strip().splitlines()]
        report = shop.take(shop.csv("\n".join([head, *(rows[at] for at in order)])), strict=True)
        assert report.counts == {"recorded": 7}, report.rejected
        held = [shop.held(name) for name in ("R-1", "R-2", "R-3", "RC-1")]
        assert held == ["8.00", "4.00", "0.00", "0.00"]
        stocks = [
            f.get("stock") for e in shop.entries() for f in e["facts"] if f["type"] == "movement"
        ]
        assert sorted(stocks) == ["recovered"] * 2 + ["virgin"] * 5


def test_what_a_later_file_brings_lets_a_rejected_row_in(shop: Shop) -> None:
    charge = shop.csv("Date,Unit,Added,Tank,Tech\n3/5/26,RTU-1,4,410-3,TB", "charges.csv")
    assert reasons(shop.take(charge, strict=True)) == {2: "cylinder-short"}
    shop.take(shop.csv("""
        Date,Supplier,Tank,Net lb
        3/1/26,Pellmore Supply,410-3,50
    """, "received.csv"))  # fmt: skip
    assert shop.take(charge, strict=True).counts == {"recorded": 1}


def test_others_may_write_between_two_imports(shop: Shop) -> None:
    """What the book knew during one import is not trusted in the next."""
    shop.take(sheet(shop, ROWS[:1]))
    from ledger.facts.facts import Evidence
    from ledger.facts.verbs import opening

    shop.record(*opening("410-3", "R-410A", lb(9), Evidence("stated"), "virgin", ""))
    report = shop.take(shop.csv("Date,Unit,Added,Tank,Tech\n3/5/26,RTU-1,9,410-3,TB", "two.csv"),
                       strict=True)  # fmt: skip
    assert report.counts == {"recorded": 1}


def test_batches_join_without_a_seam(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """With units of work of two rows, and another writer between them, all is as in one."""
    from ledger.intake import importing, running

    monkeypatch.setattr(running, "BATCH_ROWS", 2)
    told: list[int] = []

    def between(done: int, total: int) -> None:
        told.append(done)
        shop.record(new("place", f"Truck {10 + done}", kind="truck"))

    report = importing.run_import(
        shop.book, sheet(shop, ROWS), moment=shop.moment, strict=True, progress=between
    )
    assert report.counts == {"recorded": GOOD, "question": ASKED, "rejected": 1}
    assert told == [2, 4, 6, 7]
    assert shop.held("410-1") == "19.50"


def test_an_answers_file_that_cannot_be_written_does_not_take_the_report_with_it(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ledger.facts.problems import refuse
    from ledger.intake import importing

    def full(*_: object) -> None:
        raise refuse("file-unwritable", "The disk is full.", "Make room.")

    monkeypatch.setattr(importing, "write_answers", full)
    report = shop.take(sheet(shop, ROWS), answers=shop.folder / "out.csv")
    assert report.recorded == GOOD and report.answers_file == ""
    assert report.notes[-1] == "The disk is full. Make room. [file-unwritable]"
