"""What lacks refrigerant because a row that may have brought it waits, waits with it."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop
from tests.cli.test_import_revised import answer

JOBS = """Date,Unit,Action,Refrigerant,Pounds,Cylinder,Tech,Ticket
2026-02-03,RTU-1,recovered,R-410A,6,roof tank,Dana Field,T-1
2026-02-10,RTU-1,charge,R-410A,4,RC-01,Dana Field,T-2
2026-02-11,RACK-A,charge,R-448A,12,448-1,Dana Field,T-3
"""


@pytest.fixture
def asked(shop: Shop) -> Shop:
    (shop.folder / "jobs.csv").write_text(JOBS)
    said = shop.run("tarebook import jobs.csv").out
    assert said.startswith("jobs.csv: 1 row recorded, 0 already recorded, 2 questions")
    assert "A row that may have filled it waits for an answer." in said
    return shop


def test_the_answer_lets_both_in_and_no_difference_is_posted(asked: Shop) -> None:
    path = asked.folder / "jobs.answers.csv"
    text = path.read_text(encoding="utf-8-sig")
    mended = text.replace("roof tank,Dana Field", "RC-01,Dana Field", 1)
    path.write_text(mended, encoding="utf-8-sig")
    assert asked.ok("tarebook import jobs.answers.csv")[0].startswith(
        "jobs.answers.csv: 2 rows recorded"
    )
    held = {row["Cylinder"]: row["Book (lb)"] for row in asked.rows(
        "tarebook balance --by cylinder")}  # fmt: skip
    assert held["RC-01"] == "2.00"
    assert not any("difference" in line for line in asked.ok("tarebook find difference"))


def test_take_records_it_all_the_same(asked: Shop) -> None:
    answer(asked, "jobs.answers.csv", "take")
    said = asked.run("tarebook import jobs.answers.csv").out
    assert "1 row recorded, 1 of them flagged" in said


def test_what_no_open_row_can_have_filled_goes_in_with_its_difference(shop: Shop) -> None:
    (shop.folder / "jobs.csv").write_text(
        JOBS.replace("roof tank", "").replace("6,,", "4-8,RC-02,")
    )
    shop.ok("tarebook add cylinder RC-02 --kind recovery --refrigerant R-410A")
    said = shop.run("tarebook import jobs.csv").out
    assert said.startswith(
        "jobs.csv: 2 rows recorded, 1 of them flagged, 0 already recorded, 1 question"
    )


def test_more_than_a_circuit_holds_is_asked_about(shop: Shop) -> None:
    lost_point = JOBS.splitlines()[0] + "\n2026-02-10,RTU-1,charge,R-410A,35,410-1,Dana Field,T-2\n"
    (shop.folder / "jobs.csv").write_text(lost_point)
    said = shop.run("tarebook import jobs.csv").out
    assert said.startswith("jobs.csv: 0 rows recorded, 0 already recorded, 1 question")
    assert "35 lb is more than 125 % of the full charge of RTU-1 (24.00 lb)." in said
    answer(shop, "jobs.answers.csv", "take")
    assert "1 row recorded, 1 of them flagged" in shop.run("tarebook import jobs.answers.csv").out
