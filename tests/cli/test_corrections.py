"""Taking entries back and recording them again; looking entries up."""

from __future__ import annotations

import json

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


def test_the_wrong_unit_is_put_right_in_one_command(shop: Shop) -> None:
    """44 lb of the 18th were keyed to another rack and put right on the 22nd."""
    shop.all((
        'tarebook add unit RACK-B --site "Store 14" --refrigerant R-448A --full-charge "605 lb"'
        ' --category "commercial refrigeration"',
        f"tarebook charge RACK-A 20 --from 448-1 {DANA} --on 2026-04-29",
    ))  # fmt: skip
    shop.environment["TAREBOOK_CLOCK"] = "2026-07-18T16:00:00+00:00"
    said = shop.ok(f"tarebook charge RACK-B --from 448-1 -g 130 -g 86 {DANA} --ticket WO-7")
    assert "Leak rate of RACK-B, 2026-07-18: 7.3 % a year" in said[1]
    shop.environment["TAREBOOK_CLOCK"] = "2026-07-22T16:00:00+00:00"
    assert shop.ok('tarebook reverse 21 --because "wrong unit" --circuit rack-a') == [
        "Recorded as entry 22: line 1 of entry 21 reversed: wrong unit; 44 lb R-448A from 448-1 to"
        " RACK-A (addition).",
        "Latest now: Leak rate of RACK-A, 2026-07-18: 14.9 % a year (annualizing: 44.00 lb of"
        " 1,350.0 lb in 80 days); rolling average 4.7 %. Not over 20 % (40 CFR 84.106).",
        "Cylinder 448-1 now holds 36.00 lb R-448A by the book.",
    ]
    shown = shop.ok("tarebook show 22")
    assert shown[0] == "Entry 22: correct, 2026-07-18 (America/Chicago)"
    assert shown[1].startswith("Done by Dana Field. Recorded 2026-07-22T")
    assert "Ticket: WO-7" in shown and "     gross 130 lb before, 86 lb after" in shown
    assert shop.rows("tarebook rates RACK-B") == []
    (then,) = shop.rows("tarebook rates RACK-B --known-at 2026-07-18")
    assert then["Annualizing (%)"] == "7.3"


def test_a_reversal_gives_back_what_was_there(shop: Shop) -> None:
    before = shop.rows("tarebook balance --by cylinder")
    shop.ok(f"tarebook recover RTU-1 6 --to RC-01 {DANA}")
    assert shop.ok("tarebook reverse 19 --because 'not done'")[0] == (
        "Recorded as entry 20: line 1 of entry 19 reversed: not done."
    )
    assert shop.rows("tarebook balance --by cylinder") == before
    assert "  [reversed by entry 20]" in shop.ok("tarebook show 19")[2]


def test_one_line_of_a_delivery_is_taken_back(shop: Shop) -> None:
    shop.ok("tarebook reverse 16 --line 5 --because 'pallet had one'")
    assert [row["Cylinder"] for row in shop.rows("tarebook balance --by cylinder")] == [
        "410-1", "448-1",
    ]  # fmt: skip
    said = shop.ok("tarebook reverse 16 --because 'wrong supplier'")
    assert said[0] == "Recorded as entry 20: line 1, 2, 3, 4, 6 of entry 16 reversed: wrong" \
        " supplier."  # fmt: skip


def test_an_amount_is_put_right_with_the_paper_left_in_place(shop: Shop) -> None:
    shop.ok(f"tarebook charge RACK-A 50 --from 448-1 {DANA}")
    assert shop.ok("tarebook reverse 17 --because 'slip says 95' --amount 95")[0] == (
        "Recorded as entry 20: line 2, 3 of entry 17 reversed: slip says 95; 95 lb R-448A from"
        " Depot to 448-1 (receipt)."
    )
    assert "  3. receipt" in shop.ok("tarebook show 20")
    assert shop.no("tarebook reverse 20 --because 'or 40' --amount 40") == (
        "Without entry 20, cylinder 448-1 would have held 10.00 lb less than was taken from it."
        " Reverse what was taken from it first. [cylinder-short]"
    )
    said = shop.no("tarebook reverse 20 --because 'never came'")
    assert "cylinder 448-1 would have held 50.00 lb less" in said


def test_a_cylinder_is_not_reversed_away_under_what_left_it(shop: Shop) -> None:
    shop.ok(f"tarebook charge RACK-A 50 --from 448-1 {DANA}")
    assert "[cylinder-short]" in shop.no("tarebook reverse 17 --because 'typed twice'")
    shop.ok("tarebook reverse 19 --because 'not done'")
    shop.ok("tarebook reverse 17 --because 'typed twice'")
    assert "[unknown-id]" in shop.no("tarebook weigh 448-1 40")


def test_the_right_cylinder_day_and_claim_are_put_in(shop: Shop) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from 410-1 {DANA} --on 2026-06-01 --at 09:30")
    said = shop.ok(
        "tarebook reverse 19 --because 'read the tape wrong' --cylinder 410-2 --on 6/2/2026"
        " --as 'new charge'"
    )
    assert said[0].endswith("5 lb R-410A from 410-2 to RTU-1 (addition, new charge).")
    assert shop.ok("tarebook show 20")[0] == "Entry 20: correct, 2026-06-02 (America/Chicago)"
    said = shop.ok("tarebook reverse 20 --because 'it was none' --as none")
    assert said[0].endswith("5 lb R-410A from 410-2 to RTU-1 (addition).")


@pytest.mark.parametrize(
    ("line", "change", "again"),
    [
        (f"recover RTU-1 0 {DANA}", "--circuit RTU-2/A", "recovery attempted at RTU-2/A, 0.0 lb"),
        ("added-by-others RTU-1 unknown --party Depot", "--circuit RTU-2/B",
         "unknown amount added to RTU-2/B by Depot."),
        ("weigh 410-1 33", "--cylinder 410-2", "cylinder 410-2 weighs 33 lb gross."),
        ("weigh 410-1 33", "--amount 30.5", "cylinder 410-1 weighs 30.5 lb gross."),
        ("ship 410-1 --to 'Second Life Reclaim'", "--cylinder 410-2",
         "cylinder 410-2 from 2026-06-30: place Second Life Reclaim."),
    ],
)  # fmt: skip
def test_other_records_are_put_right_the_same_way(
    shop: Shop, line: str, change: str, again: str
) -> None:
    shop.ok(f"tarebook {line}")
    said = shop.ok(f"tarebook reverse 19 --because 'the other one' {change}")
    assert again in said[0]


def test_a_correction_is_corrected_without_undoing_its_reversal(shop: Shop) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from 410-1 {DANA}")
    shop.ok("tarebook reverse 19 --because 'wrong unit' --circuit RTU-2/A")
    assert shop.ok("tarebook reverse 20 --because 'the other circuit' --circuit RTU-2/B")[0] == (
        "Recorded as entry 21: line 2 of entry 20 reversed: the other circuit; 5 lb R-410A from"
        " 410-1 to RTU-2/B (addition)."
    )
    (net,) = shop.rows("tarebook balance --by circuit")
    assert list(net.values()) == ["RTU-2/B", "5.00"]
    assert "[reversal-of-reversal]" in shop.no("tarebook reverse 20 --line 1 --because x")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("reverse 19 --circuit RTU-1", "A reversal needs a reason."),
        ("reverse 99 --because x", "Entry 99 is not in this book (the last is 19)."),
        ("reverse 99999999999999999999 --because x", "Entry 99999999999999999999 is not in"),
        ("reverse -- -1", "Entry -1 is not in this book"),
        ("reverse 19 --line 9 --because x", "Entry 19 has lines 1 to 1."),
        ("reverse 19 --line 0 --because x", "Entry 19 has lines 1 to 1."),
        ("reverse 1 --because x", "Entry 1 founds the book with its name, time zone and id"),
        ("reverse 16 --because x --amount 20", "2 movements would be recorded again; one can be."),
        ("reverse 12 --because x --amount 20", "0 movements would be recorded again; one can be."),
        ("reverse 19 --because x --amount 4-8", '"4-8" can be read two ways'),
        ("reverse 19 --because x --as often", '"often" is no reason.'),
        ("reverse 19 --because x --circuit RTU-3", 'No unit or circuit "RTU-3" is in the book.'),
        ("show 99999999999999999999", "Entry 99999999999999999999 is not in this book"),
    ],
)
def test_a_correction_that_cannot_be_is_refused(shop: Shop, line: str, said: str) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from 410-1 {DANA}")
    assert shop.no(f"tarebook {line}").startswith(said)


def test_a_line_is_taken_back_once(shop: Shop) -> None:
    shop.ok("tarebook reverse 16 --because x")
    assert shop.no("tarebook reverse 16 --because y") == (
        "Line 1, 2, 3, 4, 5, 6 of entry 16 was reversed by entry 19. See it with tarebook show 19."
        " [already-reversed]"
    )


def test_a_retried_correction_is_recognised(shop: Shop) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from 410-1 {DANA}")
    line = "tarebook reverse 19 --because 'wrong unit' --circuit RTU-2/A --key fix-1"
    shop.ok(line)
    assert shop.ok(line)[0] == "Already recorded as entry 20; nothing was written."
    assert "differs in target" in shop.no(line.replace("RTU-2/A", "RTU-2/B"))


def test_entries_are_found_by_what_is_written_in_them(shop: Shop) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from 410-1 {DANA} --on 2026-06-18 --ticket 'WO 100%'")
    shop.ok(f"tarebook charge RTU-1 2 --from 410-1 {DANA} --on 2026-06-20")
    found = shop.rows("tarebook find rtu-1 --from 6/1/2026 --to 6/18/2026")
    assert [(row["Entry"], row["Day"], row["Ticket"]) for row in found] == [
        ("19", "2026-06-18", "WO 100%")
    ]
    assert [row["Entry"] for row in shop.rows("tarebook find 'dana field' --most 2")] == [
        "20",
        "19",
    ]
    assert shop.ok("tarebook find 'dana field' --most 2")[0] == (
        "2 entries found. There are more; narrow it with words or days."
    )
    assert shop.rows("tarebook find nothing-like-it") == []
    assert "[date-unclear]" in shop.no("tarebook find RTU-1 --from 6/31/2026")


def test_one_entry_as_json_has_everything(shop: Shop) -> None:
    entry = json.loads("\n".join(shop.ok("tarebook show 17 --json")))
    assert entry["number"] == 17 and entry["body"]["verb"] == "receive"
    assert entry["reversed_lines"] == [] and len(entry["digest"]) == 64
