"""The paper of a job: every field an owner has to be given, and the homeowner's page.

Fields: 40 CFR 82.157(l)(2) and 84.106(l)(2), (l)(4), (l)(5), (l)(7).
"""

from __future__ import annotations

import json

import pytest

from tests.cli.shop import Shop
from tests.cli.test_visit import JOB, SPLIT


@pytest.fixture
def job(shop: Shop) -> Shop:
    """The shop after the example job."""
    shop.ok(SPLIT)
    shop.ok(f"{JOB} --all-parts --work 'outdoor coil=washed'")
    return shop


FIELDS = [
    ("SR-1 identity", "Appliance", "HP-1"),
    ("SR-1 location", "Site", "Hotel"),
    ("SR-2 date", "Date", "2026-06-30"),
    ("SR-5 person", "Person", "Dana Field"),
    ("SR-7 full charge", "Full charge", "8.25 lb (maker)"),
    ("SR-8 leak rate and method", "Leak rate", "34.5 % a year (annualizing)"),
    ("(l)(5) inspection", "Leak inspection",
     "bubbles; flare nut; all visible and accessible parts inspected"),
    ("(l)(7) test", "Verification test", "initial, pass; flare nut"),
    ("consent", "Agreed", "told 2 lb to 4 lb, $45.00 a pound, agreed by R. Moss at 14:05"),
]  # fmt: skip


@pytest.mark.parametrize(("field", "item", "value"), FIELDS, ids=[row[0] for row in FIELDS])
def test_the_record_holds_every_field(job: Shop, field: str, item: str, value: str) -> None:
    lines = job.ok("tarebook service-record HP-1")
    assert next(line for line in lines if line.split("  ")[0] == item).endswith(value)


def test_the_record_names_each_part_with_its_work(job: Shop) -> None:
    lines = "\n".join(job.ok("tarebook service-record HP-1"))
    assert "outdoor coil  washed" in lines  # SR-3, SR-4
    assert "flare nut     leak repair: tightened" in lines


def test_the_record_adds_up_what_went_in_and_came_out(job: Shop) -> None:
    said = job.ok("tarebook service-record HP-1")
    (total,) = [line for line in said if line.startswith("Total")]
    assert total.split()[1] == "2.85"  # SR-6


def test_the_statement_for_a_homeowner_is_one_plain_page(job: Shop) -> None:
    said = job.ok("tarebook statement HP-1")
    assert len(said) < 50
    for part in (
        "Put in: 3.15 lb R-410A; cylinder 21.40 lb before, 18.25 lb after on scale B1.",
        "Taken out: 0.30 lb R-410A; cylinder 31.20 lb before, 31.50 lb after on scale B1.",
        "Net into your system: 2.85 lb.",
        "return less supply air, as the instrument shows it: before 13 F, after 20 F",
        "Outcome: cooling",
    ):
        assert part in said


def test_a_line_that_was_reversed_is_not_on_the_paper(job: Shop) -> None:
    job.ok("tarebook reverse 20 --line 3 --because 'other unit'")
    assert not [line for line in job.ok("tarebook statement HP-1") if line.startswith("Taken out")]


def test_the_paper_can_be_written_to_files(job: Shop) -> None:
    job.ok("tarebook service-record HP-1 --xlsx record.xlsx")
    job.ok("tarebook statement HP-1 --text page.txt")
    assert (job.folder / "record.xlsx").stat().st_size > 5000
    assert "2.85" in (job.folder / "page.txt").read_text(encoding="utf-8")
    assert job.no("tarebook statement HP-1 --text page.txt").startswith("page.txt is there")


def test_where_nothing_was_done_the_paper_says_so(shop: Shop) -> None:
    assert shop.no("tarebook service-record RTU-1").startswith("Nothing is recorded of RTU-1.")
    assert shop.no("tarebook statement RTU-1 --on 2026-01-02").startswith(
        "Nothing is recorded of RTU-1 on 2026-01-02."
    )


def test_the_record_is_data_for_programs_too(job: Shop) -> None:
    text = "\n".join(job.ok("tarebook service-record HP-1 --json"))
    told = json.loads(text)
    assert list(told) == ["record", "pounds", "work", "readings"]
    assert told["record"]["title"] == "Service record of HP-1, 2026-06-30"
