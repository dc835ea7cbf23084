"""Filling a cylinder at the command line: the guard, the room left, heels and hoses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
R454 = (
    'tarebook add unit HP-1 --site Hotel --refrigerant R-454B --full-charge "8 lb"',
    'tarebook add cylinder RC-07 --kind recovery --stamped-tare "17 lb" --water-capacity "26.2 lb"',
)


def recovery(shop: Shop, name: str, *more: str) -> None:
    shop.ok(f"tarebook add cylinder {name} --kind recovery {' '.join(more)}")


# -- the guard -----------------------------------------------------------------------------


def test_the_room_left_is_told_before_and_after_the_job(shop: Shop) -> None:
    assert shop.ok("tarebook room RC-01")[0] == (
        "Room left in RC-01: 38.08 lb (limit 38.08 lb net, 65.58 lb gross: 0.8 x WC)."
    )
    assert shop.ok(f"tarebook recover RTU-1 22 --to RC-01 {DANA}")[-1].startswith(
        "Room left in RC-01: 16.08 lb (limit 38.08 lb net, 65.58 lb gross: 0.8 x WC). Caution:"
        " liquid expands as it warms"
    )
    assert shop.ok("tarebook transfer 5 --from 410-1 --to RC-01")[-1].startswith(
        "Room left in RC-01: 11.08 lb"
    )


def test_a_fill_to_the_limit_goes_and_a_hundredth_more_does_not(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 20 --to RC-01 {DANA}")
    assert "0.01 lb over its fill limit" in shop.no(
        f"tarebook recover RTU-1 18.09 --to RC-01 {DANA}"
    )
    assert "Room left in RC-01: 0.00 lb" in shop.ok(
        f"tarebook recover RTU-1 18.08 --to RC-01 {DANA}"
    )[-1]  # fmt: skip


def test_a_late_entry_is_held_against_every_later_day(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 30 --to RC-01 {DANA} --on 2026-06-10")
    said = shop.no(f"tarebook recover RTU-1 10 --to RC-01 {DANA} --on 2026-06-01")
    assert "would hold 40.00 lb R-410A on 2026-06-10, 1.92 lb over" in said


def test_the_gross_weight_on_the_scale_counts_where_the_book_says_less(shop: Shop) -> None:
    """68.9 lb gross less 27.5: 41.4 lb (RC-03 of scenario 8.A), whatever the book has."""
    job = f"tarebook recover RTU-1 --to RC-01 -g 62 -g 68.9 {DANA}"
    said = shop.no(job)
    assert "would hold 41.40 lb R-410A by the scale, 3.32 lb over its fill limit" in said
    shop.ok('tarebook mend cylinder RC-01 --stamped-tare "31 lb"')
    shop.ok(job)


def test_what_came_out_on_the_same_day_makes_room(shop: Shop) -> None:
    recovery(shop, "RC-02", '--refrigerant R-410A --water-capacity "47.6 lb"')
    shop.ok(f"tarebook recover RTU-1 30 --to RC-01 {DANA}")
    shop.ok("tarebook transfer 20 --from RC-01 --to RC-02")
    shop.ok(f"tarebook recover RTU-1 20 --to RC-01 {DANA}")


def test_what_is_over_its_limit_can_always_be_emptied(shop: Shop) -> None:
    """RC-03 of the demo shop: 41.4 lb against 38.08, of which 6.0 lb went on (scenario 8.A)."""
    recovery(shop, "RC-09", '--refrigerant R-410A --water-capacity "26.2 lb"')
    shop.ok(f"tarebook recover RTU-1 28 --to RC-01 {DANA}")
    shop.ok(f'tarebook recover RTU-1 13.4 --to RC-01 {DANA} --because "weighed at the shop"')
    said = shop.ok("tarebook room RC-01")
    assert said[0].startswith("Cylinder RC-01 is 3.32 lb over its limit")
    assert any("tarebook transfer 3.32 --from RC-01 --to CYLINDER" in line for line in said)
    assert any("At 131 F its liquid would fill 100.3 % of it." in line for line in said)
    shop.ok("tarebook transfer 6 --from RC-01 --to RC-09")
    assert shop.ok("tarebook room RC-01")[0].startswith("Room left in RC-01: 2.68 lb")


def test_a_maker_s_fill_is_held_to_the_law_and_not_to_the_guideline(shop: Shop) -> None:
    """25 lb of R-410A in 29.5 lb of water: over 0.8 x WC, and under liquid-full at 131 F."""
    shop.all((
        "tarebook add cylinder 410-9 --kind disposable --refrigerant R-410A"
        ' --water-capacity "29.5 lb"',
        "tarebook receive 410-9 --net 25 --from Depot",
        "tarebook add cylinder 410-8 --kind disposable --refrigerant R-410A"
        ' --water-capacity "28.5 lb"',
    ))  # fmt: skip
    said = shop.no("tarebook receive 410-8 --net 25 --from Depot")
    assert "liquid-full at 131 F" in said and "[over-fill-limit]" in said


def test_flammable_refrigerant_wants_a_marked_cylinder(shop: Shop) -> None:
    """R-454B and RC-07, which is not rated for it (scenario 8.A, 2026-09-23)."""
    shop.all(R454)
    job = f"tarebook recover HP-1 6.1 --to RC-07 {DANA}"
    assert "[flammable-unmarked]" in shop.no(job)
    shop.ok("tarebook mend cylinder RC-07 --flammable yes")
    assert shop.ok(job)[2].startswith("Room left in RC-07: 14.63 lb (limit 20.73 lb net")


def test_a_cylinder_the_office_has_yet_to_enter_is_not_held_to_its_marks(shop: Shop) -> None:
    shop.all(R454)
    said = shop.ok(f"tarebook recover HP-1 6.1 --to RC-77 --provisional {DANA}")
    assert any("water capacity of RC-77 is not in the book" in line for line in said)


@pytest.mark.parametrize(
    ("marks", "refused"),
    [
        ('--dot DOT-4BW260 --water-capacity "47.6 lb"', True),
        ('--dot "4BA 400" --water-capacity "47.6 lb"', False),
        ('--dot DOT-4BA350 --service-pressure-psig 400 --water-capacity "47.6 lb"', False),
        ("--service-pressure-psig 350", True),
        ('--dot DOT-110A500W --water-capacity "1000 lb"', False),
        ("--dot DOT-39", False),
    ],
)
def test_the_service_pressure_bears_the_refrigerant_at_131_f(
    shop: Shop, marks: str, refused: bool
) -> None:
    """R-410A, 484 psig at 131 F: 5/4 of 400 bears it, 5/4 of 350 does not (49 CFR 173.301(a)(8)).

    The number of a 110A is a test pressure, not a service pressure, and decides nothing.
    """
    recovery(shop, "RC-50", f"--refrigerant R-410A {marks}")
    said = shop.run(f"tarebook recover RTU-1 2 --to RC-50 {DANA}")
    assert ("[service-pressure-low]" in said.err, said.code) == (refused, 2 if refused else 0)


def test_mixed_contents_take_the_lowest_gravity(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 20 --to RC-01 {DANA}")
    said = shop.no(f"tarebook recover CHILLER 15 --to RC-01 {DANA}")
    assert "35.00 lb R-134a and R-410A mixed, 3.35 lb over its fill limit of 31.65 lb" in said


def test_a_cylinder_without_water_capacity_is_filled_and_told_so(shop: Shop) -> None:
    recovery(shop, "RC-60", "--refrigerant R-410A")
    assert shop.ok(f"tarebook recover RTU-1 2 --to RC-60 {DANA}")[-1] == (
        "The water capacity of RC-60 is not in the book, so its limit is not known: stop at 80 % of"
        " it (49 CFR 173.304a)."
    )


def test_an_import_flags_what_was_over_and_names_what_has_no_limit_once(
    shop: Shop, tmp_path: Path
) -> None:
    recovery(shop, "RC-60", "--refrigerant R-410A")
    sheet = "Date,Unit,Refrigerant,Lb,Recovery cylinder,Tech\n" + "".join(
        f"2026-05-0{day},RTU-1,R-410A,{pounds},{cylinder},Dana Field\n"
        for day, pounds, cylinder in ((1, 25, "RC-01"), (2, 15, "RC-01"), (3, 4, "RC-60"),
                                      (4, 5, "RC-60"))
    )  # fmt: skip
    (shop.folder / "recovered.csv").write_text(sheet, encoding="utf-8")
    said = shop.ok("tarebook import recovered.csv --set action=recover")
    flagged = [line for line in said if "[over-fill-limit]" in line]
    assert len(flagged) == 1 and "1.92 lb over" in flagged[0]
    assert "tarebook transfer 1.92 --from RC-01 --to CYLINDER" in flagged[0]
    told = [line for line in said if "No fill limit was looked at" in line]
    assert len(told) == 1 and "RC-60" in told[0] and "RC-01" not in told[0]


# -- room ----------------------------------------------------------------------------------


def test_the_room_goes_by_the_greater_of_book_and_scale(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 20 --to RC-01 {DANA} --on 2026-06-01")
    shop.ok("tarebook weigh RC-01 48.5 --scale B1 --on 2026-06-02")
    shop.ok(f"tarebook recover RTU-1 2 --to RC-01 {DANA} --on 2026-06-03")
    said = shop.ok("tarebook room RC-01")
    assert said[0].startswith("Room left in RC-01: 15.08 lb")
    assert any("By the scale it holds 23.00 lb, by the book 22.00 lb" in line for line in said)


def test_a_measured_tare_goes_before_the_stamped_one(shop: Shop) -> None:
    """RC-04 of the demo shop: stamped 27.5, measured 27.9 lb (scenario 8.A)."""
    shop.ok('tarebook change cylinder RC-01 --measured-tare "27.9 lb" --from 2026-03-01')
    assert "65.98 lb gross" in shop.ok("tarebook room RC-01")[0]
    assert "65.58 lb gross" in shop.ok("tarebook room RC-01 --as-of 2026-02-01")[0]


def test_what_would_be_refused_is_told_before_the_job(shop: Shop) -> None:
    shop.ok("tarebook mend cylinder RC-01 --requalification-due 2026-05-31")
    said = shop.ok("tarebook room RC-01 -r R-454B")[0]
    for words in ("R-454B would mix it", "not marked for flammable", "due for requalification"):
        assert words in said


def test_every_cylinder_that_can_be_filled_again_is_listed_by_room(shop: Shop) -> None:
    recovery(shop, "RC-02", '--refrigerant R-410A --water-capacity "26.2 lb"')
    shop.ok(f"tarebook recover RTU-1 20 --to RC-01 {DANA}")
    rows = shop.rows("tarebook room")
    assert [(row["Cylinder"], row["Room left (lb)"]) for row in rows] == [
        ("RC-02", "20.96"), ("RC-01", "18.08"), ("448-1", "unknown"),
    ]  # fmt: skip
    assert shop.ok("tarebook room")[0] == (
        "2 of 3 cylinders can be filled; room left in them 39.04 lb."
    )


def test_the_working_names_entries_rules_and_the_property_version(shop: Shop) -> None:
    said = "\n".join(shop.ok("tarebook room RC-01 --explain"))
    for words in (
        "water capacity (WC): 47.6 lb (entry 18)",
        "0.8 x WC x specific gravity: 40.44 lb = WC x 0.8 x 1.0620",
        "liquid-full at 131 F: 41.27 lb",
        "densities: property table 1 of CoolProp 8.0.0",
        "rule: 0.8 x WC = 0.8 of the water capacity; AHRI Guideline K",
        "Vapour above the liquid and oil in it are not counted",
    ):
        assert words in said


def test_without_sound_data_the_conservative_rule_is_named(shop: Shop) -> None:
    said = "\n".join(shop.ok("tarebook room RC-01 -r R-417A"))
    assert "limit 36.17 lb net" in said and "No sound data for R-417A" in said


def test_the_room_answers_for_what_was_known_then(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 20 --to RC-01 {DANA}")
    assert "38.08 lb" in shop.ok("tarebook room RC-01 --known-at 18")[0]
    (row,) = json.loads("".join(shop.ok("tarebook room RC-01 --json")))["rows"]
    assert row["left"]["lb"] == "18.08"
    assert "no cylinder" in shop.no("tarebook room RC-99").lower()


# -- heel and hoses ------------------------------------------------------------------------


def test_the_heel_by_how_it_was_emptied(shop: Shop) -> None:
    rows = shop.rows("tarebook heel R-410A")
    assert [(row["How emptied"], row["Left (lb)"]) for row in rows] == [
        ("liquid out", "1.95"), ("into a running system at 40 F", "0.91"), ("to 0 psig", "0.09"),
        ("to 15 inHg", "0.04"),
    ]  # fmt: skip


def test_the_heel_of_a_cylinder_goes_by_its_water_capacity_and_its_last_weight(shop: Shop) -> None:
    assert "3.15 lb left with the liquid out" in shop.ok("tarebook heel RC-01")[0]
    shop.ok("tarebook weigh RC-01 28.7 --scale B1")
    assert "R-410A: 1.20 lb left by the scale" in shop.ok("tarebook heel RC-01")[0]
    assert "0.92 lb" not in shop.ok("tarebook heel 410-1")[0]


def test_a_heel_needs_a_volume_and_sound_data(shop: Shop) -> None:
    assert "Add --water-capacity" in shop.no("tarebook heel 448-1")
    assert "1.40 lb" not in shop.ok('tarebook heel 448-1 --water-capacity "123 lb"')[0]
    assert shop.ok("tarebook heel R-417A")[0].startswith("No sound data for R-417A")
    assert "[amount-not-positive]" in shop.no("tarebook heel R-22 --water-capacity 0")
    assert "[quantity-unclear]" in shop.no("tarebook heel R-22 --temperature warm")
    assert "[unknown-id]" in shop.no("tarebook heel NOBODY")


def test_hoses_by_bore_and_length(shop: Shop) -> None:
    rows = shop.rows("tarebook hoses R-410A --hook-ups 70")
    assert [(row["Bore (in.)"], row["A hook-up (oz)"]) for row in rows] == [
        ("3/16", "1.0"), ("1/4", "1.7"), ("3/8", "3.9"),
    ]  # fmt: skip
    assert shop.ok('tarebook hoses R-410A --hose "3/16 x 60" --hook-ups 70')[0] == (
        "R-410A at 90 F: 0.063 lb a hook-up, 4.38 lb in 70 hook-ups."
    )


@pytest.mark.parametrize("text", ["1/4", "1/0 x 60", "1/4 x 60 foam", "9 x 60", "x", "1/4 x 99999"])
def test_a_hose_that_is_none_is_refused(shop: Shop, text: str) -> None:
    assert "[value-unclear]" in shop.no(f'tarebook hoses R-410A --hose "{text}"')


# -- marked empty --------------------------------------------------------------------------


def drawn(shop: Shop, left: str) -> None:
    """410-1, a disposable of 25 lb, with so much left by the book."""
    shop.ok(f"tarebook charge RTU-1 {left} --from 410-1 {DANA}")


@pytest.mark.parametrize(
    ("how", "pounds"),
    [("liquid out", "1.95"), ("into a running system", "0.91"), ("to 0 psig", "0.09"),
     ("to 15 inHg", "0.04")],
)  # fmt: skip
def test_a_heel_is_written_off_by_how_the_cylinder_was_emptied(
    shop: Shop, how: str, pounds: str
) -> None:
    """Source: workflow 3.3, heel table, R-410A in a disposable of 29.5 lb of water."""
    drawn(shop, "22.5")
    said = shop.ok(f'tarebook empty 410-1 --how "{how}"')
    assert said[0].startswith(f"Recorded as entry 20: {pounds} lb")
    assert "(heel, estimated)" in said[0]
    assert said[1].startswith(f"By volume {pounds} lb are left;") and "stay in the book" in said[1]
    assert any(
        f"emptied {how}: {pounds} lb by volume" in line for line in shop.ok("tarebook show 20")
    )


def test_no_more_is_written_off_than_the_book_has(shop: Shop) -> None:
    drawn(shop, "24.5")
    said = shop.ok('tarebook empty 410-1 --how "into a running system" --scrap')
    assert said[0].startswith("Recorded as entry 20: 0.5 lb")
    assert said[1] == (
        "By volume 0.91 lb are left, by the book 0.50 lb: the book's figure was written off."
    )


def test_a_heel_by_volume_needs_a_way_a_volume_and_data(shop: Shop) -> None:
    assert "[option-unfit]" in shop.no('tarebook empty 410-1 --heel 1 --how "liquid out"')
    assert "Write liquid out, into a running system" in shop.no("tarebook empty 410-1 --how poured")
    assert "[field-missing]" in shop.no('tarebook empty 448-1 --how "liquid out"')
    assert "or --how it was emptied" in shop.no("tarebook empty 410-1")
