"""A row mended in its sheet after it was imported: asked about, never recorded beside."""

from __future__ import annotations

import csv

import pytest

from tests.cli.shop import Shop

HEAD = "Date,Unit,Refrigerant,Added (lb),Cylinder,Tech,Ticket"
ROWS = (
    "2026-02-03,RTU-1,R-410A,2.5,410-1,Dana Field,T-1",
    "2026-02-10,RTU-1,R-410A,1.5,410-1,Dana Field,T-2",
    "2026-03-02,RACK-A,R-448A,12,448-1,Dana Field,T-3",
    "2026-03-20,RACK-A,R-448A,30,448-1,Dana Field,T-4",
)


def sheet(shop: Shop, *rows: str) -> None:
    (shop.folder / "jobs.csv").write_text("\n".join((HEAD, *rows)) + "\n")


def answer(shop: Shop, name: str, text: str) -> None:
    path = shop.folder / name
    rows = list(csv.reader(path.read_text(encoding="utf-8-sig").splitlines()))
    at = rows[0].index("tarebook answer")
    asked = rows[0].index("tarebook outcome")
    for row in rows[1:]:
        if row[asked] == "question":
            row[at] = text
    with path.open("w", encoding="utf-8-sig", newline="") as out:
        csv.writer(out).writerows(rows)


@pytest.fixture
def imported(shop: Shop) -> Shop:
    sheet(shop, *ROWS)
    shop.ok("tarebook import jobs.csv")
    return shop


def added(shop: Shop) -> dict[str, str]:
    rows = shop.rows("tarebook balance --by circuit")
    return {row["Circuit"]: row["Net added (lb)"] for row in rows}


@pytest.mark.parametrize(
    "mended",
    [
        "2026-03-20,RACK-A,R-448A,3.0,448-1,Dana Field,T-4",
        "2026-03-22,RACK-A,R-448A,30,448-1,Dana Field,T-4",
        "2026-03-20,RACK-A,R-448A,30,448-1,Dana Field,T-44",
    ],
    ids=["pounds", "day", "ticket"],
)
def test_a_mended_row_asks_which_of_the_two_counts(imported: Shop, mended: str) -> None:
    sheet(imported, *ROWS[:3], mended)
    before = imported.head()
    said = imported.run("tarebook import jobs.csv").out
    assert "1 question" in said
    assert "jobs.csv row 5 of before, mended: entry 22" in said
    assert imported.head() == before


def test_instead_takes_the_old_row_back_and_is_remembered(imported: Shop) -> None:
    sheet(imported, *ROWS[:3], "2026-03-20,RACK-A,R-448A,3.0,448-1,Dana Field,T-4")
    imported.run("tarebook import jobs.csv")
    answer(imported, "jobs.answers.csv", "instead")
    imported.ok("tarebook import jobs.answers.csv")
    assert added(imported) == {"RACK-A": "15.00", "RTU-1": "4.00"}
    said = imported.ok("tarebook import jobs.csv")[0]
    assert said.startswith("jobs.csv: 0 rows recorded, 4 already recorded")


def test_both_records_the_row_beside(imported: Shop) -> None:
    sheet(imported, *ROWS[:3], "2026-03-21,RACK-A,R-448A,3.0,448-1,Dana Field,T-4")
    imported.run("tarebook import jobs.csv")
    answer(imported, "jobs.answers.csv", "both")
    imported.ok("tarebook import jobs.answers.csv")
    assert added(imported)["RACK-A"] == "45.00"


def test_a_new_row_is_no_mended_one(imported: Shop) -> None:
    sheet(imported, *ROWS, "2026-03-20,RTU-1,R-410A,1.0,410-2,Dana Field,T-5")
    assert imported.ok("tarebook import jobs.csv")[0].startswith("jobs.csv: 1 row recorded")


def test_a_row_that_is_gone_is_told_and_stays(imported: Shop) -> None:
    sheet(imported, *ROWS[:3])
    said = imported.ok("tarebook import jobs.csv")
    assert (
        "Entry 22 is of rows that are no longer in jobs.csv. Nothing was taken back; where a row"
        " was wrong, use tarebook reverse."
    ) in said
    assert added(imported)["RACK-A"] == "42.00"


def test_another_sheet_of_the_same_name_is_another_sheet(imported: Shop) -> None:
    sheet(imported, "2026-04-20,RACK-A,R-448A,30,448-1,Dana Field,T-9")
    said = imported.ok("tarebook import jobs.csv")
    assert said[0].startswith("jobs.csv: 1 row recorded")
    assert not any("no longer" in line for line in said)


def test_instead_holds_where_the_copy_was_given_another_name(imported: Shop) -> None:
    sheet(imported, *ROWS[:3], "2026-03-20,RACK-A,R-448A,3.0,448-1,Dana Field,T-4")
    imported.run("tarebook import jobs.csv")
    answer(imported, "jobs.answers.csv", "instead")
    (imported.folder / "jobs.answers.csv").rename(imported.folder / "from Pat.csv")
    imported.ok("tarebook import 'from Pat.csv'")
    assert added(imported)["RACK-A"] == "15.00"


def test_a_sheet_of_which_most_was_mended_is_asked_about_row_by_row(imported: Shop) -> None:
    sheet(
        imported, ROWS[0].replace("2.5", "2.7"), ROWS[1].replace("1.5", "1.7"),
        ROWS[2].replace(",12,", ",13,"), ROWS[3],
    )  # fmt: skip
    said = imported.run("tarebook import jobs.csv").out
    assert said.startswith("jobs.csv: 0 rows recorded, 1 already recorded, 3 questions")


def test_one_line_mended_is_asked_about(shop: Shop) -> None:
    sheet(shop, ROWS[3])
    shop.ok("tarebook import jobs.csv")
    sheet(shop, ROWS[3].replace(",30,", ",3.0,"))
    assert "1 question" in shop.run("tarebook import jobs.csv").out
