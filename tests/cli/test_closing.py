"""The close of a period from the command line: statement, causes, lock, late tickets."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
MAY = "--cut-off 2026-05-29"
COUNT = {
    "410-1": ('"Truck 2"', "--gross 29.1 --scale B1"), "410-2": ("Warehouse", "--sealed"),
    "448-1": ("Warehouse", "--sealed"), "RC-01": ("Warehouse", "--gross 27.5"),
}  # fmt: skip


def count(shop: Shop, cut_off: str = MAY, **found: str) -> None:
    """Count every cylinder; `found` says what else was found of some."""
    for name, (place, way) in COUNT.items():
        way = found.get(name.replace("-", "_"), way)
        shop.ok(f"tarebook count --cylinder {name} {way} --place {place} {cut_off} {DANA}")


@pytest.fixture
def counted(shop: Shop) -> Shop:
    """A shop counted at the end of May: 2.5 lb left 410-1, 2.0 of them with a ticket."""
    shop.ok('tarebook issue 410-1 --to "Truck 2" --on 2026-02-01')
    shop.ok("tarebook mend cylinder 410-1 --stamped-tare 6.6")
    shop.ok(f"tarebook charge RTU-1 --from 410-1 --gross 31.6 --gross 29.6 --scale B1 {DANA}"
            " --on 2026-02-03")  # fmt: skip
    count(shop)
    return shop


def line(shop: Shop, name: str, words: str = "close 2026-05") -> dict[str, Any]:
    """A line of a statement, masses in pounds."""
    rows = json.loads("\n".join(shop.ok(f"tarebook {words} --json")))["rows"]
    (row,) = [row for row in rows if row["line"] == name]
    return {key: value["lb"] if isinstance(value, dict) and "lb" in value else value
            for key, value in row.items()}  # fmt: skip


def test_a_statement_tells_book_counted_and_difference(counted: Shop) -> None:
    row = line(counted, "R-410A")
    assert (row["received"], row["charged"], row["book"]) == ("50.00", "2.00", "48.00")
    assert (row["counted"], row["difference"], row["open"]) == ("47.50", "-0.50", "-0.50")
    assert row["verdict"] == "owner signs"


def test_a_gap_between_two_weights_is_an_open_item_with_its_entries(counted: Shop) -> None:
    said = "\n".join(counted.ok("tarebook difference"))
    assert "29.60 lb on 2026-02-03, then 29.10 lb on 2026-05-29, and no ticket says why" in said


def test_the_late_ticket_makes_the_open_item_go(counted: Shop) -> None:
    counted.ok(f"tarebook charge RTU-1 --from 410-1 --gross 29.6 --gross 29.1 --scale B1 {DANA}"
               " --on 2026-05-04")  # fmt: skip
    assert line(counted, "R-410A")["difference"] == "0.00"


def test_a_job_recorded_twice_is_told_with_both_entries(counted: Shop) -> None:
    counted.ok(f"tarebook charge RTU-1 2.0 --from 410-1 {DANA} --on 2026-02-04")
    said = "\n".join(counted.ok("tarebook difference"))
    assert "doubled ticket" in said and "entries 21 and 26 may be one job, recorded twice" in said


def test_a_split_by_place_has_the_difference_where_it_came_about(counted: Shop) -> None:
    words = "close 2026-05 --split place"
    assert line(counted, "R-410A, Truck 2", words)["difference"] == "-0.50"
    assert line(counted, "R-410A, Warehouse", words)["difference"] == "0.00"


def test_a_cylinder_found_elsewhere_changes_places_and_no_total(counted: Shop) -> None:
    counted.ok(f"tarebook count --cylinder 410-2 --not-there --place Warehouse {MAY} {DANA}")
    counted.ok(f'tarebook count --cylinder 410-2 --sealed --place "Truck 2" {MAY} {DANA}')
    words = "difference --split place"
    assert line(counted, "R-410A", "difference")["difference"] == "-0.50"
    assert line(counted, "R-410A, Warehouse", words)["difference"] == "-25.00"
    assert line(counted, "R-410A, Truck 2", words)["difference"] == "24.50"


def test_a_cause_given_takes_the_place_of_what_was_reckoned(counted: Shop) -> None:
    counted.ok(f'tarebook explain --cylinder 410-1 --cause "known release" --why "valve" {DANA}')
    row = line(counted, "R-410A")
    assert (row["difference"], row["explained"], row["open"]) == ("-0.50", "-0.50", "0.00")
    assert row["verdict"] == "within tolerance"


def test_a_posted_cause_makes_the_book_follow_and_leaves_the_statement(counted: Shop) -> None:
    before = line(counted, "R-410A")
    counted.ok(f'tarebook explain --cylinder 410-1 --cause "known release" --post {DANA}')
    after = line(counted, "R-410A")
    assert (after["book"], after["difference"]) == (before["book"], before["difference"])
    (row,) = (row for row in counted.rows("tarebook balance --by cylinder")
              if row["Cylinder"] == "410-1")  # fmt: skip
    assert row["Book (lb)"] == "22.50"


def test_a_theft_needs_a_report(counted: Shop) -> None:
    said = counted.no(f"tarebook explain --cylinder 410-1 --cause theft {DANA}")
    assert "[field-missing]" in said
    counted.ok(f'tarebook explain --cylinder 410-1 --cause theft --document "P 26-118" {DANA}')


def test_a_cause_is_one_of_the_list_and_somebody_s(counted: Shop) -> None:
    assert "[value-unclear]" in counted.no(f"tarebook explain --cylinder 410-1 --cause x {DANA}")
    said = counted.no("tarebook explain --cylinder 410-1 --cause heel")
    assert "A cause names no person." in said


SIGN = f'tarebook close 2026-05 --sign {DANA} --because "looking" --signed "Dana Field"'


def test_what_has_no_cause_is_not_signed_without_a_reason_and_the_owner(counted: Shop) -> None:
    assert "R-410A -0.50 lb (owner signs)" in counted.no(f"tarebook close 2026-05 --sign {DANA}")
    said = counted.no(f'tarebook close 2026-05 --sign {DANA} --because "looking"')
    assert "Add --signed OWNER." in said
    assert (
        counted.ok(SIGN)[-1]
        == "Recorded as entry 26: period 2026-05 closed and locked at 2026-05-29."
    )


def test_nothing_counted_is_not_signed(shop: Shop) -> None:
    assert "nothing was counted" in shop.no(f"tarebook close 2026-05 --sign {DANA}")


def test_a_period_is_closed_once(counted: Shop) -> None:
    counted.ok(SIGN)
    assert "[already-closed]" in counted.no(SIGN)


LATE = f"tarebook charge RTU-1 3 --from 410-2 {DANA} --on 2026-05-20"


def test_a_late_ticket_counts_in_the_next_period_and_is_told(counted: Shop) -> None:
    counted.ok(SIGN)
    counted.ok(LATE)
    row = line(counted, "R-410A", "close 2026-06")
    assert (row["opening"], row["late"], row["book"]) == ("48.00", "-3.00", "45.00")
    said = counted.ok("tarebook close 2026-06")
    assert "Note: Late, affects prior period: entry 27, recorded, of 2026-05-20." in said


def test_a_late_ticket_is_told_when_it_is_recorded(counted: Shop) -> None:
    counted.ok(SIGN)
    assert counted.ok(LATE)[-1] == (
        "Late, affects prior period: 2026-05 was closed at 2026-05-29 (entry 26); it counts in the"
        " next one."
    )


def test_a_ticket_taken_back_late_is_a_late_entry_too(counted: Shop) -> None:
    counted.ok(SIGN)
    counted.ok('tarebook reverse 21 --because "wrong unit"')
    row = line(counted, "R-410A", "close 2026-06")
    assert (row["opening"], row["late"], row["book"]) == ("48.00", "2.00", "50.00")


def test_a_closed_period_is_printed_as_signed_and_as_known_now(counted: Shop) -> None:
    before = line(counted, "R-410A")
    counted.ok(SIGN)
    counted.ok(LATE)
    assert line(counted, "R-410A", "close 2026-05 --as-signed") == before
    assert counted.ok("tarebook close 2026-05 --as-signed")[-1].startswith(
        "These are the figures that were signed"
    )
    assert line(counted, "R-410A")["book"] == "45.00"


def test_a_lock_changes_no_answer_of_the_open_period(counted: Shop) -> None:
    """Opening and late together, and everything after them, are the same locked or not."""
    counted.ok(LATE)
    count(counted, "--cut-off 2026-06-29", **{"410_2": "--gross 28.4"})
    counted.ok("tarebook charge RTU-1 1 --from 410-2 --on 2026-06-10")
    alike = ("book", "counted", "difference", "uncounted")
    balance = counted.ok("tarebook balance --csv")
    before = line(counted, "R-410A", "close 2026-06")
    counted.ok(SIGN)
    after = line(counted, "R-410A", "close 2026-06")
    assert {key: before[key] for key in alike} == {key: after[key] for key in alike}
    assert counted.ok("tarebook balance --csv") == balance


def test_what_came_about_before_the_last_close_is_set_apart(counted: Shop) -> None:
    counted.ok(SIGN)
    count(counted, "--cut-off 2026-06-29")
    row = line(counted, "R-410A", "close 2026-06")
    assert (row["difference"], row["earlier"], row["left"]) == ("-0.50", "-0.50", "0.00")
    assert row["verdict"] == "within tolerance"


def test_a_posted_cause_is_gone_at_the_next_count(counted: Shop) -> None:
    counted.ok(f'tarebook explain --cylinder 410-1 --cause "known release" --post {DANA}')
    counted.ok(SIGN)
    count(counted, "--cut-off 2026-06-29")
    row = line(counted, "R-410A", "close 2026-06")
    assert (row["difference"], row["earlier"], row["open"]) == ("0.00", "0.00", "0.00")


def test_a_period_opened_again_is_closed_again(counted: Shop) -> None:
    counted.ok(SIGN)
    counted.ok('tarebook reverse 26 --because "a cylinder was left out"')
    counted.ok(SIGN)


def test_a_place_is_closed_alone(counted: Shop) -> None:
    row = line(counted, "R-410A", "close 2026-05 --place Warehouse")
    assert (row["book"], row["counted"], row["difference"]) == ("25.00", "25.00", "0.00")
    counted.ok(f"tarebook close 2026-05 --place Warehouse --sign {DANA}")
    assert "[already-closed]" not in counted.ok(SIGN)[-1]


def test_a_workbook_of_the_statement_is_written(counted: Shop) -> None:
    assert counted.ok("tarebook close 2026-05 --xlsx may.xlsx") == ["Wrote may.xlsx."]


@pytest.mark.parametrize("period", ["May", "2026-13", "2026-Q5", "26-05"])
def test_other_words_are_no_period(shop: Shop, period: str) -> None:
    assert "[date-unclear]" in shop.no(f"tarebook close {period}")
