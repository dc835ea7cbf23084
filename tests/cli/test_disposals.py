"""`tarebook disposals`: a month's pounds, what stands apart, what is open on the sheets."""

from __future__ import annotations

import json

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
ANSWERS = """\
Date,Unit,Rec,tarebook outcome,tarebook entry,tarebook question,tarebook answer,tarebook row
6/3/26,RTU-1,2,recorded,12,,,
6/31/26,RTU-1,6.2,rejected,,date (A3): June has 30 days.,,r1
6/30/26,RTU-1,O.7,question,,amount (C4): O.7 has a letter where a figure belongs.,,r2
"""


@pytest.fixture
def june(shop: Shop) -> Shop:
    """A rooftop in the log, a chiller of 480 lb outside of it, a unit that was flat."""
    shop.ok(f"tarebook recover RTU-1 7.375 --to RC-01 {DANA} --on 2026-06-03")
    shop.ok(f"tarebook recover RTU-2/A 0 --to RC-01 {DANA} --on 2026-06-05")
    shop.ok("tarebook add cylinder RC-02 --kind recovery --refrigerant R-134a --place Warehouse")
    shop.ok(f"tarebook recover CHILLER 20 --to RC-02 {DANA} --on 2026-06-17")
    shop.ok(f"tarebook recover RTU-1 1 --to RC-01 {DANA} --on 2026-05-30")
    return shop


def test_the_month_counts_what_is_in_the_log_and_names_what_is_not(june: Shop) -> None:
    said = june.ok("tarebook disposals --month 2026-06")
    assert said[0] == "Recovered in 2026-06: R-410A 7.38 lb."
    assert "Note: Apart, in no total: 20.00 lb R-134a (50 lb or more)." in said
    assert any("40 CFR 82.156(a)(3)" in line for line in said)
    assert june.ok("tarebook disposals --month 2026")[0] == "Recovered in 2026: R-410A 8.38 lb."
    assert "2026-05" not in "\n".join(said)


def test_rows_still_open_on_a_sheet_stand_beside_the_total(june: Shop) -> None:
    (june.folder / "june.answers.csv").write_text(ANSWERS, encoding="utf-8")
    said = june.ok("tarebook disposals --month 2026-06 --open june.answers.csv")
    assert said[0] == "Recovered in 2026-06: R-410A 7.38 lb; 2 rows still open, in no total."
    assert (
        "Note: Open, in no total: june.answers.csv row 4 (question): 6/30/26 | RTU-1 | O.7." in said
    )


def test_the_forms_of_the_answer(june: Shop) -> None:
    table = json.loads("\n".join(june.ok("tarebook disposals --month 2026-06 --json")))
    assert "R-410A" in json.dumps(table) and "7.375" in json.dumps(table)
    lines = june.ok("tarebook disposals --month 2026-06 --csv")
    assert lines[1].startswith("2026,6,R-410A,2,7.375")
    assert june.ok("tarebook disposals --xlsx log.xlsx")[0] == "Wrote log.xlsx."
    working = june.ok("tarebook disposals --month 2026-06 --explain")
    assert any(line.startswith("  2026-06-03 RTU-1: 7.375") for line in working)


def test_a_month_is_written_as_one(june: Shop) -> None:
    assert '"June" is no month. Write it as 2025-06' in june.no("tarebook disposals --month June")
    assert "[date-unclear]" in june.no("tarebook disposals --month 2026-13")
