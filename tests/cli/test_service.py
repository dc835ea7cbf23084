"""Repairs, tests, same-leak episodes, decisions, and what older records say."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


def charge(shop: Shop, pounds: str, day: str, more: str = "") -> list[str]:
    return shop.ok(f"tarebook charge RACK-A {pounds} --from 448-1 {DANA} --on {day} {more}")


def test_parts_of_one_leak_are_rated_as_one(shop: Shop) -> None:
    charge(shop, "10", "2026-02-01")
    charge(shop, "5", "2026-03-03")
    charge(shop, "20", "2026-03-05")
    alone = shop.rows("tarebook rates RACK-A")[-1]
    assert (alone["Counted (lb)"], alone["Days"]) == ("20.00", "2")
    assert shop.ok("tarebook same-leak rack-a 20 21") == [
        "Recorded as entry 22: same leak on RACK-A as entry 20, 21."
    ]
    together = shop.rows("tarebook rates RACK-A")[-1]
    assert (together["Counted (lb)"], together["Days"]) == ("25.00", "30")


def test_a_charge_can_say_which_leak_it_belongs_to(shop: Shop) -> None:
    charge(shop, "10", "2026-02-01")
    charge(shop, "5", "2026-03-03")
    said = charge(shop, "20", "2026-03-05", "--same-leak 20")
    assert "(annualizing: 25.00 lb of 1,350.0 lb in 30 days)" in said[1]
    # The correction of the last part takes its episode along.
    said = shop.ok("tarebook reverse 21 --because 'scale was off' --amount 21")
    assert "(annualizing: 26.00 lb of 1,350.0 lb in 30 days)" in said[1]


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ("19", "One leak episode has at least two additions."),
        ("19 19", "One leak episode has at least two additions."),
        ("19 12", "Entry 12 is no addition to RACK-A. See the additions with tarebook history"),
        ("19 77", "Entry 77 is not in this book (the last is 21)."),
        ("19 99999999999999999999", "Entry 99999999999999999999 is not in this book"),
        ("19 20", "Entry 20 is no addition to RACK-A (it was reversed)."),
    ],
)
def test_an_episode_has_additions_that_stand(shop: Shop, entries: str, said: str) -> None:
    charge(shop, "10", "2026-02-01")
    charge(shop, "5", "2026-03-03")
    shop.ok("tarebook reverse 20 --because 'not done'")
    assert shop.no(f"tarebook same-leak RACK-A {entries}").startswith(said)


def test_a_passed_follow_up_on_all_leaks_resets_the_rolling_window(shop: Shop) -> None:
    charge(shop, "40", "2026-02-01")
    assert (
        shop.ok(
            f'tarebook repair RACK-A --location "shaft seal" --how replaced --evacuated {DANA}'
            " --on 2/20/2026"
        )[0]
        == "Recorded as entry 20: repair at RACK-A: shaft seal."
    )
    shop.ok(f"tarebook test RACK-A --which initial --result pass {DANA} --on 2/20/2026")
    assert (
        shop.ok(
            f"tarebook test RACK-A --which follow-up --result pass --method bubbles {DANA}"
            " --on 2026-03-01"
        )[0]
        == "Recorded as entry 22: follow-up verification test at RACK-A: pass, all leaks."
    )
    said = charge(shop, "13.5", "2026-04-01")
    assert "rolling average 1.0 %" in said[1]
    shop.ok("tarebook reverse 22 --because 'some leaks only'")
    assert shop.rows("tarebook rates RACK-A")[-1]["Rolling average (%)"] == "4.0"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("test RACK-A --result pass", '--which is "". Write initial or follow-up.'),
        ("test RACK-A --which followup --result pass", '--which is "followup". Write initial or'),
        ("test RACK-A --which initial --result ok", '--result is "ok". Write pass or fail.'),
        (
            "test RACK-9 --which initial --result pass",
            'No unit or circuit "RACK-9" is in the book.',
        ),
        ("repair RTU-2", "RTU-2 has 2 circuits: RTU-2/A, RTU-2/B."),
        ("repair RACK-A --on 2026-07-01", "2026-07-01 is after today (2026-06-30,"),
        ("repair", "Unit or circuit is not given. Add CIRCUIT."),
    ],
)
def test_a_repair_or_test_that_cannot_be_read_is_refused(shop: Shop, line: str, said: str) -> None:
    assert shop.no(f"tarebook {line}").startswith(said)


def test_older_records_give_the_day_of_the_last_addition(shop: Shop) -> None:
    assert shop.ok(
        'tarebook bring-forward CHILLER --last-addition 6/2/2025 --rate "4.5 %" --on 2026-01-01'
    ) == ["Recorded as entry 19: CHILLER: last addition 2025-06-02 by the older records."]
    assert shop.ok("tarebook bring-forward RTU-1 --last-addition Unknown") == [
        "Recorded as entry 20: RTU-1: last addition unknown by the older records."
    ]
    assert shop.no("tarebook bring-forward RTU-1 --last-addition 2026-07-01") == (
        "The last addition, 2026-07-01, is after the day of the entry, 2026-06-30. Give the day of"
        ' the older record, or "unknown". [date-future]'
    )
    assert shop.no("tarebook bring-forward RTU-1") == (
        "Last addition is not given. Add --last-addition DAY or unknown. [field-missing]"
    )


def test_a_decision_is_about_something_in_the_book(shop: Shop) -> None:
    assert shop.ok(
        'tarebook decide circuit:rtu-1 --question "light commercial?" --answer yes'
        f' --basis "data plate, owner\'s letter" {DANA}'
    ) == [
        "Recorded as entry 19: circuit:RTU-1: light commercial?: yes (data plate, owner's letter)."
    ]
    assert shop.no("tarebook decide circuit:RTU-X --question q --answer a --basis b").startswith(
        'No unit or circuit "RTU-X" is in the book.'
    )
    assert shop.no("tarebook decide box:RTU-1 --question q --answer a --basis b") == (
        '"box:RTU-1" names nothing in the book. Write KIND:NAME, such as circuit:RTU-1.'
        " [value-unclear]"
    )
    assert "Add --basis" in shop.no("tarebook decide circuit:RTU-1 --question q --answer a")


def test_a_scan_is_kept_beside_the_book_and_checked_with_it(shop: Shop) -> None:
    (shop.folder / "scan.pdf").write_bytes(b"a ticket")
    kept = shop.folder / "shop.attachments"
    assert shop.ok("tarebook attach scan.pdf --entry 16 --dry-run")[0].startswith("Would be entry")
    assert not kept.exists()
    assert shop.ok("tarebook attach scan.pdf --entry 16")[0].startswith(
        "Recorded as entry 19: file scan.pdf (8 bytes, SHA-256 "
    )
    (copy,) = kept.iterdir()
    assert copy.read_bytes() == b"a ticket"
    shop.ok("tarebook verify")
    copy.write_bytes(b"another")
    assert "[book-damaged]" in shop.no("tarebook verify", 3)
    assert "[file-missing]" in shop.no("tarebook attach none.pdf")
    assert "[no-such-entry]" in shop.no("tarebook attach scan.pdf --entry 99")
