"""What was answered about a row holds for that row, whatever was answered about others since."""

from __future__ import annotations

import csv

import pytest

from tests.cli.shop import Shop

ROWS = """Date,Unit,Refrigerant,Added (lb),Cylinder,Tech,Ticket
2026-02-03,RTU-1,R-410A,2.5,410-1,Zed,T-1
2026-02-10,RTU-1,R-410A,5.0,410-1,Zed,T-2
"""


@pytest.fixture
def asked(shop: Shop) -> Shop:
    (shop.folder / "jobs.csv").write_text(ROWS)
    assert "2 questions" in shop.run("tarebook import jobs.csv").out
    return shop


def rewrite(shop: Shop, name: str, *rows: dict[str, str]) -> None:
    """Type into the rows of a csv, one after the other, by heading."""
    path = shop.folder / name
    head, *lines = csv.reader(path.read_text(encoding="utf-8-sig").splitlines())
    for line, typed in zip(lines, rows, strict=True):
        for heading, text in typed.items():
            line[head.index(heading)] = text
    with path.open("w", encoding="utf-8-sig", newline="") as out:
        csv.writer(out).writerows([head, *lines])


def added(shop: Shop) -> list[str]:
    rows = shop.rows("tarebook balance --by circuit")
    return [row["Net added (lb)"] for row in rows if row["Circuit"] == "RTU-1"]


ANSWER = "tarebook answer"


@pytest.mark.parametrize(
    ("first", "second", "pounds"),
    [("Dana Field", "leave", "2.50"), ("leave", "Dana Field", "5.00")],
)
def test_leave_holds_where_another_row_settles_the_name(
    asked: Shop, first: str, second: str, pounds: str
) -> None:
    rewrite(asked, "jobs.answers.csv", {ANSWER: first}, {ANSWER: second})
    asked.ok("tarebook import jobs.answers.csv")
    assert added(asked) == [pounds]
    assert asked.ok("tarebook import jobs.csv")[0].startswith("jobs.csv: 0 rows recorded")
    assert added(asked) == [pounds]


def test_two_rows_may_mean_two_people_by_one_name(asked: Shop) -> None:
    asked.ok('tarebook add person "Ty Bell" --certification Universal')
    rewrite(asked, "jobs.answers.csv", {ANSWER: "Dana Field"}, {ANSWER: "Ty Bell"})
    asked.ok("tarebook import jobs.answers.csv")
    people = [row["Technician"] for row in asked.rows("tarebook movements --person 'Ty Bell'")]
    assert people == ["Ty Bell"]


def test_a_row_mended_in_the_copy_is_not_recorded_from_the_sheet_as_well(asked: Shop) -> None:
    rewrite(
        asked, "jobs.answers.csv", {ANSWER: "Dana Field"},
        {"Added (lb)": "3.0", "Tech": "Dana Field"},
    )  # fmt: skip
    asked.ok("tarebook import jobs.answers.csv")
    assert added(asked) == ["5.50"]
    assert "0 rows recorded, 2 already" in asked.ok("tarebook import jobs.csv")[0]


def test_what_was_left_out_stays_out_when_its_name_is_entered_later(asked: Shop) -> None:
    rewrite(asked, "jobs.answers.csv", {ANSWER: "leave"}, {ANSWER: "leave"})
    asked.ok("tarebook import jobs.answers.csv")
    asked.ok("tarebook add person Zed --certification Universal")
    assert asked.ok("tarebook import jobs.csv")[0].startswith("jobs.csv: 0 rows recorded")


def test_identical_rows_keep_their_own_answers(shop: Shop) -> None:
    head, row = ROWS.splitlines()[:2]
    (shop.folder / "jobs.csv").write_text(f"{head}\n{row}\n{row}\n")
    shop.run("tarebook import jobs.csv")
    rewrite(shop, "jobs.answers.csv", {ANSWER: "leave"}, {ANSWER: "Dana Field"})
    shop.ok("tarebook import jobs.answers.csv")
    assert added(shop) == ["2.50"]
    assert shop.ok("tarebook import jobs.csv")[0].startswith("jobs.csv: 0 rows recorded")


def test_an_answer_beside_a_recorded_row_is_told_and_changes_nothing(shop: Shop) -> None:
    (shop.folder / "jobs.csv").write_text(ROWS.replace("Zed,T-1", "Dana Field,T-1"))
    shop.run("tarebook import jobs.csv")
    rewrite(shop, "jobs.answers.csv", {ANSWER: "leave"}, {ANSWER: "Dana Field"})
    said = shop.ok("tarebook import jobs.answers.csv")
    assert (
        'The answer "leave" was not used: its row is recorded as entry 19 and asks nothing. Use'
        " tarebook reverse where that is wrong."
    ) in said
    assert added(shop) == ["7.50"]
    assert not any("not used" in line for line in shop.ok("tarebook import jobs.csv"))
