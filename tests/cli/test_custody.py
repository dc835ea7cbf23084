"""Load-out, turn-in, lending, and cylinders that are not found, found or stolen."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
MORNING = (
    'tarebook add place "Truck 4" --kind truck --driver "Lee Moss"',
    "tarebook mend cylinder 410-1 --stamped-tare 5",
    f"tarebook load-out 'truck 2' 410-1=29.9 410-2 RC-01=27.6 {DANA} --scale B1 --on 2026-06-22",
)


@pytest.fixture
def out(shop: Shop) -> Shop:
    """The shop with three cylinders loaded on Truck 2."""
    shop.all(MORNING)
    return shop


def test_a_truck_is_loaded_by_one_command_that_says_what_it_carries(shop: Shop) -> None:
    shop.all(MORNING[:2])
    said = shop.ok(MORNING[2])
    assert said[1:] == [
        "410-1: 24.90 lb by scale (stamped tare 5 lb), 25.00 lb by the book, difference -0.10 lb.",
        "RC-01: 0.10 lb by scale (stamped tare 27.5 lb), 0.00 lb by the book, difference 0.10 lb.",
        "Truck 2: at least 82.50 lb gross in 3 cylinders, of 440.00 lb as materials of trade; no"
        " gross weight for 410-2 (49 CFR 173.6).",
    ]
    assert {row["Place"] for row in shop.rows("tarebook cylinders --place 'Truck 2'")} == {
        "Truck 2"
    }


def test_a_load_out_moves_cylinders_and_no_pounds(shop: Shop) -> None:
    before = shop.rows("tarebook balance --by cylinder")
    shop.all(MORNING)
    assert shop.rows("tarebook balance --by cylinder") == before


def test_a_sheet_of_eight_cylinders_is_one_command(shop: Shop) -> None:
    names = [f"T{n}" for n in range(1, 9)]
    shop.ok(
        f"tarebook receive {' '.join(names)} --net 25 --from Depot -r R-410A --kind disposable"
        " --on 2026-06-01"
    )
    rows = "\n".join(f"{name},{30 + n / 10}" for n, name in enumerate(names))
    (shop.folder / "load.csv").write_text(f"Truck 2\nCylinder,Gross (lb)\n{rows}\n")
    shop.ok("tarebook load-out 'Truck 2' --sheet load.csv")
    assert len(shop.rows("tarebook weighings")) == 8


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("410-1=4-8", '"4-8" can be read two ways'),
        ("410-1=29 410-1=28", "Cylinder 410-1 is named twice."),
        ("=29", "A weight has no cylinder."),
        ("410-9=29", 'No cylinder "410-9" is in the book.'),
        ("", "No cylinder is named."),
        ("RC-01=2", "Cylinder RC-01 weighs 27.50 lb empty by the book and 2 lb by this reading."),
    ],
)
def test_a_list_that_cannot_be_read_loads_nothing(shop: Shop, typed: str, said: str) -> None:
    assert shop.no(f"tarebook load-out 'Truck 2' {typed}").startswith(said)


def test_only_a_truck_is_loaded(shop: Shop) -> None:
    assert "[kind-mismatch]" in shop.no("tarebook load-out Warehouse 410-1=29")


def test_friday_tells_what_was_used_by_weight_and_by_tickets(out: Shop) -> None:
    out.all((
        f"tarebook charge RTU-1 4 --from 410-1 {DANA} --on 2026-06-23",
        f"tarebook recover RTU-1 2 --to RC-01 {DANA} --on 2026-06-23",
    ))  # fmt: skip
    said = out.ok(f"tarebook turn-in 'Truck 2' 410-1=25.7 RC-01=29.4 {DANA} --on 2026-06-26")
    assert (
        "410-1: used 4.20 lb by weight since 2026-06-22, 4.00 lb by tickets, difference 0.20 lb."
        in said
    )
    assert (
        "RC-01: used -1.80 lb by weight since 2026-06-22, -2.00 lb by tickets, difference 0.20 lb."
        in said
    )
    sheet = {row["Cylinder"]: row for row in out.rows("tarebook truck-sheet 'Truck 2'")}
    assert sheet["410-1"]["Weight minus tickets (lb)"] == "0.20"
    assert sheet["410-2"]["Back"] == ""


def test_what_was_not_aboard_is_told_at_the_turn_in(out: Shop) -> None:
    assert "448-1: was not aboard Truck 2 by the book." in out.ok(
        "tarebook turn-in 'Truck 2' 448-1=120"
    )


@pytest.mark.parametrize(
    ("state", "code"),
    [
        ("tarebook mend cylinder RC-01 --requalification-due 2026-05-31", "requalification-due"),
        ("tarebook condition RC-01 dents --on 2026-06-01", "cylinder-condition"),
        (
            "tarebook change cylinder RC-01 --state quarantined --from 2026-06-01",
            "cylinder-quarantined",
        ),
    ],
)
def test_what_may_not_be_filled_or_used_is_not_loaded_unless_with_a_reason(
    shop: Shop, state: str, code: str
) -> None:
    """The story's RC-06, loaded after July 2025: warn, refuse, or override with reason."""
    shop.ok(state)
    assert f"[{code}]" in shop.no("tarebook load-out 'Truck 2' RC-01=27.6")
    said = shop.ok("tarebook load-out 'Truck 2' RC-01=27.6 --because 'none other was there'")
    assert any(line.startswith("Recorded although") and code in line for line in said)


def test_a_supply_cylinder_filled_before_its_day_goes_out_until_it_is_empty(shop: Shop) -> None:
    """49 CFR 173.301(a)(6)."""
    shop.ok("tarebook mend cylinder 448-1 --requalification-due 2026-05-31")
    shop.ok("tarebook load-out 'Truck 2' 448-1=128")


def test_a_cylinder_lent_in_a_car_park_has_two_names(out: Shop) -> None:
    said = out.ok(f"tarebook lend 410-2 --to 'Truck 4' --taken-by 'Lee Moss' {DANA}")
    assert "cylinder 410-2 taken over at Truck 4 by Lee Moss" in said[0]
    (row,) = (r for r in out.rows("tarebook last-seen") if r["Cylinder"] == "410-2")
    assert (row["Where"], row["By"], row["How"]) == ("Truck 4", "Lee Moss", "handed over")


def test_a_cylinder_lent_to_another_contractor_is_on_loan(shop: Shop) -> None:
    shop.ok("tarebook lend 410-2 --to Depot --taken-by 'their driver'")
    (row,) = (r for r in shop.rows("tarebook cylinders") if r["Cylinder"] == "410-2")
    assert (row["Place"], row["State"]) == ("Depot", "on loan")


def test_a_cylinder_that_is_not_found_keeps_its_pounds_and_says_who_saw_it_last(out: Shop) -> None:
    """The story's 448-19: last seen on T4 in October, found behind rack B on 19 January."""
    said = out.ok("tarebook not-found 410-2 --why 'not at the count' --on 2026-06-29")
    assert said[1] == (
        "410-2: last seen 2026-06-22 at Truck 2 by Dana Field (put at Truck 2, entry 21)."
    )
    (row,) = (r for r in out.rows("tarebook cylinders") if r["Cylinder"] == "410-2")
    assert (row["State"], row["Book contents now (lb)"]) == ("not found", "25.00")
    out.ok("tarebook found 410-2=30 --at Warehouse --note 'behind rack B'")
    (row,) = (r for r in out.rows("tarebook cylinders") if r["Cylinder"] == "410-2")
    assert (row["State"], row["Place"]) == ("found", "Warehouse")


def test_what_was_stolen_leaves_the_book_with_its_cause_and_comes_back_when_found(
    out: Shop,
) -> None:
    said = out.ok("tarebook stolen 410-2 --report 26-1187 --on 2026-06-28")
    assert '25 lb R-410A from 410-2 to "theft" (difference)' in said[0]
    assert "410-2" not in {row["Cylinder"] for row in out.rows("tarebook cylinders")}
    assert "[date-after-retired]" in out.no(f"tarebook charge RTU-1 2 --from 410-2 {DANA}")
    out.ok("tarebook found 410-2 --at Warehouse")
    held = {r["Cylinder"]: r["Book (lb)"] for r in out.rows("tarebook balance --by cylinder")}
    assert held["410-2"] == "25.00"


def test_a_burn_out_and_what_nobody_can_name_go_to_quarantine(shop: Shop) -> None:
    """Trade workflow 3.8: own cylinder, quarantine, reclaimer or destruction."""
    shop.all((
        f"tarebook recover RTU-1 2 --to RC-01 {DANA} --condition burn-out",
        "tarebook add unit OLD --site Hotel",
        f"tarebook recover OLD 3 -r unknown --to RC-9 {DANA} --provisional",
    ))  # fmt: skip
    told = {row["Cylinder"]: row["What"] for row in shop.rows("tarebook attention")}
    assert told["RC-01"] == "in quarantine: burn-out, recovered from RTU-1"
    assert "[cylinder-quarantined]" in shop.no(f"tarebook recover RTU-1 2 --to RC-9 {DANA}")
    assert "is no condition" in shop.no(
        f"tarebook recover RTU-1 2 --to RC-01 {DANA} --condition bad"
    )


@pytest.mark.parametrize(
    ("share", "said"),
    [
        ("--virgin-percent 15", ""),
        (
            "--virgin-percent 15.1",
            "15.1 % virgin is more than 15 %: an HFC is not sold as reclaimed",
        ),
        ("", "The virgin share is not given (--virgin-percent)"),
    ],
)
def test_the_virgin_share_of_reclaimed_hfc_is_held_against_the_rule(
    shop: Shop, share: str, said: str
) -> None:
    """40 CFR 84.112(a): at most 15 % by weight from 1 January 2026 (federal_rules.md 5.5, read)."""
    lines = shop.ok(
        "tarebook receive R1 --net 30 --from Depot -r R-410A --kind disposable --stock reclaimed"
        f" --batch K3 --reclaimer 'second life reclaim' {share}"
    )
    assert lines[1:] == [] if not said else lines[1].startswith(said)
