"""Receiving, placing, weighing and letting go of cylinders from the command line."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


def held(shop: Shop, cylinder: str) -> str:
    """The pounds in a cylinder by the book, as printed."""
    (row,) = (
        row for row in shop.rows("tarebook balance --by cylinder") if row["Cylinder"] == cylinder
    )
    return row["Book (lb)"]


def test_a_delivery_of_several_cylinders_is_one_entry_with_its_paper(shop: Shop) -> None:
    said = shop.ok(
        'tarebook receive 134-1 134-2 --net "30 lb" --from depot -r 134a --kind disposable'
        " --invoice 5531 --price 8.50 --deposit 12 --batch L77 --place warehouse --on 2026-06-01"
    )
    assert said == [
        "Recorded as entry 19: cylinder 134-1 added; 30 lb R-134a from Depot to 134-1 (receipt);"
        " cylinder 134-2 added; 30 lb R-134a from Depot to 134-2 (receipt)."
    ]
    shown = shop.ok("tarebook show 19")
    assert shown[3:6] == [
        "  2. 30 lb R-134a from Depot to 134-1 (receipt)",
        "     by label, sealed",
        "  3. receipt",
    ]
    assert shown[6] == ("     invoice 5531, price of a pound $8.50, deposit $12.00, batch L77")
    listed = "\n".join(shop.ok("tarebook list cylinder"))
    assert "134-2  disposable  R-134a" in listed and "Warehouse" in listed


def test_reclaimed_stock_keeps_its_batch_and_who_reclaimed_it(shop: Shop) -> None:
    shop.ok(
        "tarebook receive 22-1 --gross 40 --tare 10 --scale B1 --from Depot -r r22"
        ' --kind disposable --stock reclaimed --batch K3 --reclaimer "second life reclaim"'
    )
    shown = shop.ok("tarebook show 19")
    assert "  2. 30 lb reclaimed R-22 from Depot to 22-1 (receipt)" in shown
    assert "     gross 10 lb before, 40 lb after on scale B1" in shown
    assert "     invoice not given, batch K3, reclaimed by Second Life Reclaim" in shown


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ("--gross 40", "A gross weight needs the tare. Add --tare. [field-missing]"),
        ("--net 20 --stock new", '"new" is no stock kind. Choose virgin, reclaimed, recovered,'
         " unknown. [value-unclear]"),
        ("--net 20 --price cheap", '"cheap" is not an amount of money. Write 12.50.'
         " [value-unclear]"),
        ("", "Net in each cylinder is not given. Add --net AMOUNT. [field-missing]"),
    ],
)  # fmt: skip
def test_a_delivery_that_cannot_be_read_is_asked_about(shop: Shop, options: str, said: str) -> None:
    line = f"tarebook receive 22-2 --from Depot -r R-22 --kind disposable {options}"
    assert shop.no(line) == said


def test_the_kind_that_is_typed_agrees_with_the_book_or_completes_it(shop: Shop) -> None:
    assert shop.no("tarebook receive 448-1 --net 25 --from Depot --kind recovery") == (
        "Cylinder 448-1 is a refillable by the book, not a recovery. Check its name, leave --kind"
        " out, or mend the cylinder. [kind-mismatch]"
    )
    shop.all((
        f"tarebook charge RTU-1 5 --from T9 -r R-410A {DANA} --provisional --on 2026-06-02",
        "tarebook receive T9 --net 25 --from Depot -r R-410A --kind disposable --place Warehouse"
        " --on 2026-06-01",
    ))  # fmt: skip
    assert shop.rows("tarebook list cylinder --provisional") == []
    assert held(shop, "T9") == "20.00"


def test_a_delivery_entered_twice_is_noticed_at_the_disposable(shop: Shop) -> None:
    assert shop.no("tarebook receive 410-1 --net 25 --from Depot") == (
        "Cylinder 410-1 is a disposable that was filled once (entry 16). Check its name, or"
        " whether this is in the book already. [disposable-recovery]"
    )
    shop.ok("tarebook receive 448-1 --net 50 --from Depot")
    assert held(shop, "448-1") == "150.00"


def test_a_nitrogen_cylinder_never_enters_the_pounds(shop: Shop) -> None:
    shop.ok('tarebook add cylinder N2-1 --kind "other gas" --gas nitrogen')
    assert shop.no(f"tarebook charge RTU-1 5 --from N2-1 {DANA}") == (
        "Cylinder N2-1 holds nitrogen, not refrigerant. Name the refrigerant cylinder."
        " [not-refrigerant]"
    )


def test_an_opening_carries_in_what_a_cylinder_held(shop: Shop) -> None:
    said = shop.ok(
        "tarebook opening 410-7 18.4 -r R-410A --kind disposable --place 'truck 2' --on 2026-01-01"
    )
    assert said == [
        "Recorded as entry 19: cylinder 410-7 added; 18.4 lb (18 lb 6.4 oz) R-410A from the older"
        " records to 410-7 (opening)."
    ]
    shop.ok(
        "tarebook opening RC-09 40 -r R-448A --kind recovery --stock recovered"
        ' --owner "harbor foods"'
    )
    assert "     owner of the refrigerant: Harbor Foods" in shop.ok("tarebook show 20")
    said_no = shop.no("tarebook opening RC-08 4 -r R-22 --kind recovery --owner Harbour")
    assert said_no.startswith('No customer or other party "Harbour" is in the book. Near: Harbor')


def test_cylinders_go_to_trucks_and_places_by_day(shop: Shop) -> None:
    assert shop.ok('tarebook issue 410-1 410-2 --to "truck 2" --on 2026-02-02') == [
        "Recorded as entry 19: cylinder 410-1 from 2026-02-02: place Truck 2; cylinder 410-2 from"
        " 2026-02-02: place Truck 2."
    ]
    shop.ok("tarebook move 410-2 --to 'store 14' --on 2026-03-01")
    early = shop.rows("tarebook balance --by place --as-of 2026-02-15")
    assert [list(row.values()) for row in early[:2]] == [
        ["Truck 2", "50.00"], ["Warehouse", "100.00"],
    ]  # fmt: skip
    late = shop.rows("tarebook balance --by place")
    assert [list(row.values()) for row in late[:3]] == [
        ["Store 14", "25.00"], ["Truck 2", "25.00"], ["Warehouse", "100.00"],
    ]  # fmt: skip
    assert shop.no("tarebook issue 410-1 --to 'Truck 3'").startswith(
        'No place "Truck 3" is in the book. Near: Truck 2.'
    )


def test_a_weight_stands_beside_the_book_figure_and_changes_nothing(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 10 --to RC-01 {DANA}")
    assert shop.ok("tarebook weigh RC-01 37.1 --scale b1") == [
        "Recorded as entry 20: cylinder RC-01 weighs 37.1 lb gross.",
        "Net by scale 9.60 lb (tare 27.5 lb), book 10.00 lb, difference -0.40 lb.",
    ]
    assert shop.ok("tarebook weigh 410-1 29.8")[1] == (
        "Book 25.00 lb; the tare is not in the book, so no net by scale."
    )
    shop.ok('tarebook change cylinder RC-01 --measured-tare "27.9 lb" --from 2026-06-01')
    assert "(tare 27.9 lb)" in shop.ok("tarebook weigh RC-01 37.1")[1]
    assert held(shop, "RC-01") == "10.00"
    assert shop.no("tarebook weigh RC-01 37 --state full") == (
        '"full" is no state. Write sealed or evacuated. [value-unclear]'
    )


def test_a_weight_below_the_tare_is_another_reading(shop: Shop) -> None:
    shop.ok("tarebook weigh RC-01 26.5 --state evacuated")
    assert shop.no("tarebook weigh RC-01 0.0") == (
        "Cylinder RC-01 weighs 27.50 lb empty by the book and 0.0 lb by this reading. Give the"
        " gross weight, cylinder included; where the tare is wrong, mend it: tarebook mend cylinder"
        " RC-01 --stamped-tare WEIGHT. [gross-below-tare]"
    )
    assert "[gross-below-tare]" in shop.no(f"tarebook recover RTU-1 --to RC-01 -g 0 -g 5 {DANA}")
    assert "[amount-absurd]" in shop.no("tarebook weigh 410-1 150000")


def test_shipping_takes_everything_along_and_leaves_our_stock(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 10 --to RC-01 {DANA}")
    assert shop.ok('tarebook ship RC-01 --to "second life reclaim" --manifest M1') == [
        "Recorded as entry 20: 10 lb recovered R-410A from RC-01 to Second Life Reclaim (shipment);"
        " cylinder RC-01 from 2026-06-30: place Second Life Reclaim."
    ]
    assert "Ticket: M1" in shop.ok("tarebook show 20")
    assert shop.no('tarebook ship 410-1 410-2 --to "Second Life Reclaim" --net 4') == (
        "One amount cannot stand for several cylinders. Ship them one at a time, or leave the"
        " amount out. [option-unfit]"
    )


def test_a_mixed_cylinder_can_be_shipped_and_nothing_else(shop: Shop) -> None:
    shop.all((
        f"tarebook recover RTU-1 5 --to RC-01 {DANA}",
        f"tarebook recover CHILLER 4 --to RC-01 {DANA} --because 'only cylinder aboard'",
    ))  # fmt: skip
    said = shop.no(f"tarebook charge RTU-1 1 --from RC-01 {DANA}")
    assert "Cylinder RC-01 is in quarantine (mixed: R-134a put into it)." in said
    assert shop.ok('tarebook ship RC-01 --to "Second Life Reclaim"')[0].startswith(
        "Recorded as entry 21: 9 lb recovered mixed refrigerant from RC-01 to Second Life Reclaim"
    )


def test_a_returned_cylinder_gives_nothing_more(shop: Shop) -> None:
    shop.ok("tarebook return 448-1 --to depot --slip 9 --on 2026-06-20")
    assert shop.no(f"tarebook recover RACK-A 5 --to 448-1 {DANA}") == (
        "Cylinder 448-1 was returned before 2026-06-30. Check which cylinder it was; if it came"
        ' back, say so first: tarebook change cylinder 448-1 --state "in service" --from DAY.'
        " [date-after-retired]"
    )
    assert "[date-after-retired]" in shop.no("tarebook issue 448-1 --to 'Truck 2'")
    # What happened that morning is entered in any order.
    shop.ok("tarebook receive 448-1 --net 5 --from Depot --on 2026-06-20")


def test_a_heel_is_written_off_with_the_cylinder_and_a_full_one_is_not(shop: Shop) -> None:
    assert shop.no("tarebook empty 410-1 --scrap") == (
        "Cylinder 410-1 holds 25.00 lb by the book, more than a heel. Add --heel with what was"
        " really left in it, or --how it was emptied. [field-missing]"
    )
    shop.ok(f"tarebook charge RTU-1 24.2 --from 410-1 {DANA}")
    assert shop.ok("tarebook empty 410-1 --scrap") == [
        'Recorded as entry 20: 0.8 lb (0 lb 12.8 oz) R-410A from 410-1 to "heel" (heel); cylinder'
        " 410-1 from 2026-06-30: state scrapped.",
        "Caution: evacuate to 15 in. Hg and sign the statement before scrap where it is asked (40"
        " CFR 84.116 from 2028; some states now).",
    ]
    assert shop.no("tarebook empty 410-1") == (
        "Cylinder 410-1 holds nothing by the book. Add --scrap if it leaves, or --heel with what"
        " was left in it. [option-unfit]"
    )


def test_a_cylinder_that_is_not_there_or_named_twice_is_a_slip(shop: Shop) -> None:
    assert shop.no("tarebook empty 410-9").startswith('No cylinder "410-9" is in the book.')
    twice = "Cylinder 448-1 is named twice. Name each once. [option-unfit]"
    assert shop.no("tarebook receive 448-1 448-1 --net 9 --from Depot") == twice
    assert shop.no("tarebook issue 448-1 448-1 --to 'Truck 2'") == twice
    assert shop.no("tarebook ship 448-1 448-1 --to Depot") == twice


def test_a_release_names_its_cause_and_one_side(shop: Shop) -> None:
    assert shop.ok('tarebook release 15 --from 410-1 --cause "known release" --note disc') == [
        "Recorded as entry 19: 15 lb R-410A from 410-1 to the air (release).",
        "Caution: knowing venting is prohibited (40 CFR 82.154(a)).",
    ]  # fmt: skip
    assert shop.ok('tarebook release 2 --circuit RTU-1 --cause "appliance leak"')
    assert "[option-unfit]" in shop.no("tarebook release 2 --cause hose")
    assert shop.no("tarebook release 2 --from 410-1 --cause gone").startswith(
        '"gone" is no cause. Choose known release, cylinder leak in storage, hose,'
    )


def test_over_filling_is_stopped_and_can_be_told(shop: Shop) -> None:
    said = shop.no(f"tarebook recover RACK-A 70 --to RC-01 -r R-410A {DANA}")
    assert "[over-capacity]" in said and "over-filled cylinders burst" in said
    shop.ok(f"tarebook recover RTU-1 28 --to RC-01 {DANA} --on 2026-05-04")
    said = shop.no(f"tarebook recover RTU-1 22 --to RC-01 {DANA}")
    assert "50.00 lb R-410A, 11.92 lb over its fill limit of 38.08 lb net (65.58 lb gross)" in said
    told = shop.ok(f'tarebook recover RTU-1 22 --to RC-01 {DANA} --because "scale went to sleep"')
    assert "Cylinder RC-01 is 11.92 lb over its limit" in told[-1]


def test_every_flammable_refrigerant_brings_its_caution(shop: Shop) -> None:
    shop.all((
        "tarebook receive 454-1 --net 20 --from Depot -r 454b --kind disposable",
        'tarebook add unit HP-1 --site Hotel --refrigerant R-454B --full-charge "8 lb"',
    ))  # fmt: skip
    assert shop.ok(f"tarebook charge HP-1 2 --from 454-1 {DANA}")[-1] == (
        "Caution: R-454B is flammable: rated equipment, ventilate, no ignition, purge before"
        " brazing (ASHRAE 15 and 34)."
    )
