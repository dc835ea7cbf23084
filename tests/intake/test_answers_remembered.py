"""An answer is a fact: known again whatever the file is called and wherever the row stands."""

from __future__ import annotations

import csv
import random
from pathlib import Path
from typing import Any

import pytest

from ledger.book.known import BookKnown
from ledger.facts.facts import Reversal
from ledger.intake import running
from ledger.intake.columns import propose
from ledger.intake.plan import plan_of
from ledger.intake.row_marks import Marks, is_mark, said_by, still_says
from ledger.intake.sheets import Row
from tests.intake.answering import fill
from tests.intake.shop import Shop, held, new

HEADINGS = ["Date", "Unit", "Refrigerant", "Added", "Tank", "Tech", "Ticket #"]
ROWS = [
    ["3/1/26", "RTU-1", "", "4 lb 8 oz", "410-1", "TB", "T-1"],
    ["3/2/26", "RTU-1", "", "4-8", "410-1", "TB", "T-2"],
    ["3/3/26", "Roof unit", "", "1", "410-1", "TB", "T-3"],
    ["3/4/26", "RTU-2", "", "1", "410-1", "TB", "T-4"],
    ["3/5/26", "RTU-1", "the blue one", "1", "410-1", "TB", "T-5"],
    ["6/31/25", "RTU-1", "", "1", "410-1", "TB", "T-6"],
    ["3/6/26", "RTU-1", "", "9-9", "410-1", "TB", "T-7"],
]
ANSWERS = {3: "4.8", 4: "RTU-3", 5: "B", 6: "R-410A", 8: "leave"}


def sheet(shop: Shop, rows: list[list[str]] = ROWS, name: str = "jobs.csv") -> Path:
    path = shop.folder / name
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([HEADINGS, *rows])
    return path


def settings(shop: Shop, name: str) -> dict[str, Any]:
    with shop.book.reading() as reader:
        known = BookKnown(reader.connection, shop.moment, shop.book.zone)
        return dict(known.settings(name))


@pytest.fixture
def answered(shop: Shop) -> tuple[Shop, Path]:
    """The sheet taken in, its copy answered and mended, and the copy taken in."""
    out = shop.folder / "jobs.answers.csv"
    report = shop.take(sheet(shop), answers=out)
    assert report.counts == {"recorded": 1, "question": 5, "rejected": 1}, held(report)
    for row, text in ANSWERS.items():
        fill(out, row, text)
    fill(out, 7, "6/30/25", "Date")
    report = shop.take(out)
    assert report.counts == {"already": 1, "recorded": 5, "skipped": 1}, held(report)
    assert report.answered == 6
    return shop, out


ALL = {"already": 6, "skipped": 1}


# --- the same rows again -----------------------------------------------------------------
def test_the_first_sheet_is_asked_nothing_again(answered: tuple[Shop, Path]) -> None:
    shop, out = answered
    head = shop.head()
    for path in (shop.folder / "jobs.csv", out):
        report = shop.take(path, answers=shop.folder / "none.csv")
        assert report.counts == ALL, held(report)
        assert report.answers_file == "" and report.left == 0 and report.answered == 0
    assert shop.head() == head


def test_what_was_answered_is_what_went_in(answered: tuple[Shop, Path]) -> None:
    shop, _ = answered
    assert sorted((move[0], move[2][8:], move[4]) for move in shop.moves()) == [
        ("2025-06-30", "RTU-1", "1 lb"), ("2026-03-01", "RTU-1", "4 lb 8 oz"),
        ("2026-03-02", "RTU-1", "4.8 lb"), ("2026-03-03", "RTU-3", "1 lb"),
        ("2026-03-04", "RTU-2/B", "1 lb"), ("2026-03-05", "RTU-1", "1 lb"),
    ]  # fmt: skip


def test_sorted_inserted_renamed_and_with_columns_exchanged(answered: tuple[Shop, Path]) -> None:
    shop, _ = answered
    more = [*ROWS, ["3/7/26", "RTU-3", "", "1.5", "410-2", "TB", "T-8"]]
    random.Random(4).shuffle(more)
    order = [4, 2, 0, 6, 5, 1, 3]
    path = shop.folder / "another name.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([[row[at] for at in order] for row in (HEADINGS, *more)])
    report = shop.take(path)
    assert report.counts == {**ALL, "recorded": 1}, held(report)


def test_what_is_corrected_in_the_source_later_is_the_same_row(answered: tuple[Shop, Path]) -> None:
    shop, _ = answered
    rows = [list(row) for row in ROWS]
    rows[1][3], rows[3][1], rows[5][0] = "4.8", "RTU-2/B", "6/30/25"
    assert shop.take(sheet(shop, rows)).counts == ALL


def test_a_rejected_row_corrected_in_the_source_goes_in_alone(shop: Shop) -> None:
    shop.take(sheet(shop))
    rows = [list(row) for row in ROWS]
    rows[5][0] = "6/30/25"
    assert shop.take(sheet(shop, rows)).counts == {"already": 1, "recorded": 1, "question": 5}


def test_the_same_answers_in_units_of_work_of_two_rows(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(running, "BATCH_ROWS", 2)
    out = shop.folder / "jobs.answers.csv"
    shop.take(sheet(shop), answers=out)
    for row, text in ANSWERS.items():
        fill(out, row, text)
    assert shop.take(out).counts == {"already": 1, "recorded": 4, "skipped": 1, "rejected": 1}
    assert shop.take(sheet(shop)).counts == {"already": 5, "skipped": 1, "rejected": 1}


def test_a_dry_run_keeps_no_answer(shop: Shop) -> None:
    out = shop.folder / "jobs.answers.csv"
    shop.take(sheet(shop), answers=out)
    for row, text in ANSWERS.items():
        fill(out, row, text)
    head = shop.head()
    planned = shop.take(out, dry_run=True)
    assert shop.head() == head and settings(shop, "import answer") == {}
    done = shop.take(out)
    assert planned.counts == done.counts and planned.answered == done.answered
    assert (planned.first, planned.last) == (done.first, done.last)


def test_identical_rows_have_answers_of_their_own(shop: Shop) -> None:
    twins = [["3/2/26", "RTU-2", "", "1", "410-1", "TB", ""]] * 3
    out = shop.folder / "jobs.answers.csv"
    assert shop.take(sheet(shop, twins), answers=out).counts == {"question": 3}
    for row, text in ((2, "A"), (3, "B"), (4, "B; job: both")):
        fill(out, row, text)
    assert shop.take(out).counts == {"recorded": 3}
    assert sorted(move[2] for move in shop.moves()) == [
        "circuit:RTU-2/A", "circuit:RTU-2/B", "circuit:RTU-2/B",
    ]  # fmt: skip
    head = shop.head()
    assert shop.take(sheet(shop, twins)).counts == {"already": 3}
    assert shop.take(out).counts == {"already": 3} and shop.head() == head


# --- names -------------------------------------------------------------------------------
def test_a_name_answered_once_is_an_alias_for_every_row(answered: tuple[Shop, Path]) -> None:
    shop, _ = answered
    assert settings(shop, "alias") == {"unit:roof unit": "RTU-3"}
    assert settings(shop, "refrigerant name") == {"the blue one": "R-410A"}
    rows = [["3/8/26", "roof unit", "The Blue One", "2", "410-1", "TB", "T-9"]]
    assert shop.take(sheet(shop, rows, "next.csv")).counts == {"recorded": 1}


def test_one_answer_serves_the_other_rows_of_its_file(shop: Shop) -> None:
    rows = [[f"3/{day}/26", "Roof unit", "blue", "1", "410-1", "TB", f"T-{day}"]
            for day in (3, 1, 2)]  # fmt: skip
    out = shop.folder / "jobs.answers.csv"
    assert shop.take(sheet(shop, rows), answers=out).counts == {"question": 3}
    fill(out, 3, "unit: RTU-3; refrigerant: R-410A")
    report = shop.take(out)
    assert report.counts == {"recorded": 3}, held(report)
    assert shop.take(sheet(shop, rows)).counts == {"already": 3}


def test_a_bare_number_answered_for_one_row_is_asked_for_the_next(shop: Shop) -> None:
    """R-407A on one ticket does not make every 407 one."""
    shop.record(new("cylinder", "407-1", kind="disposable"))
    rows = [[f"3/{day}/26", "RTU-3", "407", "1", "407-1", "TB", f"T-{day}"] for day in (1, 2)]
    out = shop.folder / "jobs.answers.csv"
    shop.take(sheet(shop, rows), answers=out)
    fill(out, 2, "407C")
    report = shop.take(out)
    assert report.counts == {"flagged": 1, "question": 1}, held(report)
    assert settings(shop, "refrigerant name") == {}
    assert shop.take(sheet(shop, rows)).counts == {"already": 1, "question": 1}


def test_a_spelling_that_means_something_else_already_stays_what_it_means(shop: Shop) -> None:
    shop.alias("cylinder", "4", "410-2")
    rows = [["3/1/26", "RTU-1", "", "4-8", "4", "TB", "T-1"]]
    out = shop.folder / "jobs.answers.csv"
    shop.take(sheet(shop, rows), answers=out)
    fill(out, 2, "4.8; cylinder: 410-1")
    assert shop.take(out).counts == {"recorded": 1}
    assert shop.moves()[0][1] == "cylinder:410-1"
    assert settings(shop, "alias") == {"cylinder:4": "410-2"}
    assert shop.take(sheet(shop, rows)).counts == {"already": 1}


# --- facts -------------------------------------------------------------------------------
def test_an_answer_is_a_fact_that_says_where_it_was_given(answered: tuple[Shop, Path]) -> None:
    shop, _ = answered
    with shop.book.reading() as reader:
        (entry,) = [one for one in reader.entries() if one.content()["verb"] == "answer"]
    facts = [one for one in entry.content()["facts"] if one["setting"] == "import answer"]
    assert facts[0]["value"] == {"added": "4.8 lb"}
    assert facts[0]["why"] == "answered in jobs.answers.csv row 3"
    assert all(is_mark(one["key"]) for one in facts)
    mended = {
        "date": "6/30/25", "unit": "RTU-1", "refrigerant": "", "added": "1", "cylinder": "410-1",
        "technician": "TB", "ticket": "T-6",
    }  # fmt: skip
    assert mended in [one["value"] for one in facts]


def test_a_run_that_recorded_something_is_a_fact(answered: tuple[Shop, Path]) -> None:
    import hashlib

    shop, out = answered
    runs = settings(shop, "import run")
    assert sorted(runs, key=int) == ["3", "6"]
    assert runs["6"] == {
        "file": "jobs.answers.csv", "sha256": hashlib.sha256(out.read_bytes()).hexdigest(),
        "first": 6, "last": 10, "counts": {"recorded": 5, "already": 1, "skipped": 1},
    }  # fmt: skip
    with shop.book.reading() as reader:
        rows = [one for one in reader.entries(6, 10) if one.key.startswith("import:")]
        last = reader.entry(reader.head()[0])
    assert len(rows) == 5 and last is not None and last.key == "imported:6"


def test_a_key_that_was_freed_lets_its_row_in_again(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = sheet(shop, ROWS[:1])
    entry = shop.take(path).first
    shop.record(Reversal(entry, (0,), "taken back with its import"))
    monkeypatch.setattr(running, "again_under", lambda reader, key, entry: (f"{key}~9", 0))
    assert shop.take(path).counts == {"recorded": 1}


# --- marks -------------------------------------------------------------------------------
def test_a_mark_stands_for_what_a_row_says() -> None:
    def marked(headings: list[str], cells: list[object], number: int = 2) -> str:
        plan = plan_of(propose(headings, "Charges").map, headings, "x.csv", "Charges", True)
        return said_by(plan, Row("Charges", number, cells))

    heads = ["Date", "Unit", "lb", "Tank"]
    one = marked(heads, ["3/1/26", "RTU-1", 4.5, "410-1"])
    assert is_mark(one) and is_mark(f"{one}-2") and not is_mark("7") and len(one) == 21
    assert marked(heads, ["3/1/26", "RTU-1 ", "4.5", "410-1"], 9) == one
    assert (
        marked(["Tank", "unit", "LB", "date", "Notes"], ["410-1", "rtu-1", 4.5, "3/1/26", ""])
        == one
    )
    ours = ["tarebook answer", "tarebook row"]
    assert marked([*heads, *ours], ["3/1/26", "RTU-1", 4.5, "410-1", "4.8", "x"]) == one
    assert marked(heads, ["3/1/26", "RTU-1", 4.6, "410-1"]) != one
    assert marked(heads, ["3/1/26", "RTU-1", 4.5, "410-1", "more"]) != one


def test_identical_rows_are_numbered() -> None:
    heads = ["Date", "Unit", "lb", "Tank"]
    plan = plan_of(propose(heads, "Charges").map, heads, "x.csv", "Charges", True)
    row, marks = Row("Charges", 2, ["3/1/26", "RTU-1", "1", "410-1"]), Marks()
    first, second = marks.of(plan, row), marks.of(plan, row)
    assert second == f"{first}-2" and still_says(second, plan, row)
    assert not still_says(second, plan, Row("Charges", 2, ["3/1/26", "RTU-1", "2", "410-1"]))
