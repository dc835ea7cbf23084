"""Charge, recover, transfer and what others added, as they are typed and as they answer."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


def test_a_charge_by_gross_weights_answers_with_the_rate_in_one_line(shop: Shop) -> None:
    said = shop.ok(f"tarebook charge RACK-A --from 448-1 -g 130 -g 59 {DANA} --on 2026-03-30")
    assert said == [
        "Recorded as entry 19: 71 lb R-448A from 448-1 to RACK-A (addition).",
        "Leak rate of RACK-A, 2026-03-30: 5.3 % a year (annualizing: 71.00 lb of 1,350.0 lb in"
        " 365 days); rolling average 5.3 %. Not over 20 % (40 CFR 84.106).",
        "  Note: First calculation on this circuit since the rule began.",
        "Cylinder 448-1 now holds 29.00 lb R-448A by the book.",
        "Caution: liquid causes frostbite; gloves and eye protection, ventilate.",
    ]


def test_a_charge_by_stages_keeps_every_reading_and_the_net_between_the_ends(shop: Shop) -> None:
    said = shop.ok(
        f"tarebook charge RTU-1 --from 410-1 -g 21.40 -g 20.15 -g 18.90 -g 18.25 --scale b1 {DANA}"
    )
    assert said[0] == "Recorded as entry 19: 3.15 lb (3 lb 2.4 oz) R-410A from 410-1 to RTU-1" \
        " (addition)."  # fmt: skip
    shown = shop.ok("tarebook show 19")
    assert "     gross 21.40 lb, 20.15 lb, 18.90 lb, 18.25 lb on scale B1" in shown


def test_a_charge_by_net_only_is_marked_as_weaker_evidence(shop: Shop) -> None:
    shop.ok(f"tarebook charge RTU-1 2.85 --from 410-1 {DANA} --ticket WO-9 --note 'fan side'")
    shown = shop.ok("tarebook show 19")
    assert shown[1].startswith("Done by Dana Field. Recorded 2026-06-30T16:00:00")
    assert shown[2:6] == [
        "Ticket: WO-9",
        "Note: fan side",
        "  1. 2.85 lb (2 lb 13.6 oz) R-410A from 410-1 to RTU-1 (addition)",
        "     only the net is known (weaker evidence)",
    ]


@pytest.mark.parametrize(
    ("typed", "echoed"),
    [
        ('"4 lb 8 oz"', "4 lb 8 oz R-410A"),
        ('"7lb 6.5oz"', "7 lb 6.5 oz R-410A"),
        ("2.6kg", "2.6 kg R-410A"),
        ('"3120 g"', "3120 g R-410A"),
        ("40 --unit oz", "40 oz R-410A"),
        ("4.8", "4.8 lb (4 lb 12.8 oz) R-410A"),
        ('-g "30 lb 8 oz" -g "28 lb 4 oz"', "2 lb 4 oz R-410A"),
    ],
)
def test_amounts_are_kept_in_the_words_they_were_written_in(
    shop: Shop, typed: str, echoed: str
) -> None:
    said = shop.ok(f"tarebook charge RTU-1 --from 410-1 {typed} {DANA}")
    assert said[0] == f"Recorded as entry 19: {echoed} from 410-1 to RTU-1 (addition)."


def test_a_scale_that_shows_something_else_than_was_typed_is_asked_about(shop: Shop) -> None:
    assert shop.no(f"tarebook charge RTU-1 3 --from 410-1 -g 30 -g 28 {DANA}") == (
        "The amount 3 lb and the weights 30 lb to 28 lb (2 lb) differ. Leave the amount out, or"
        " mend the weights. [weights-disagree]"
    )
    said = shop.ok(f"tarebook charge RTU-1 2 --from 410-1 -g 30 -g 28 {DANA}")
    assert said[0].endswith("2 lb R-410A from 410-1 to RTU-1 (addition).")


def test_an_amount_that_is_none_is_answered_with_how_to_write_one(shop: Shop) -> None:
    assert shop.no("tarebook charge RTU-1 some --from 410-1") == (
        '"some" has no number in it. Write it like 4.8 lb or 4 lb 8 oz, with its own figures.'
        " [quantity-unclear]"
    )


def test_a_unit_of_no_scale_is_refused(shop: Shop) -> None:
    assert shop.no("tarebook charge RTU-1 2 --from 410-1 --unit stone") == (
        '"stone" is no unit. Choose lb, oz, kg, g. [value-unclear]'
    )


def test_explain_prints_both_methods_with_entries_and_paragraphs(shop: Shop) -> None:
    said = "\n".join(shop.ok(f"tarebook charge RTU-1 3 --from 410-1 {DANA} --explain"))
    assert "Leak rate, annualizing, 2026-06-30 (40 CFR part 84 subpart C)" in said
    assert "Leak rate, rolling average, 2026-06-30 (40 CFR part 84 subpart C)" in said
    assert "pounds added: 3.00 lb (entry 19)" in said
    assert "40 CFR 84.106(b)(1)" in said


def test_a_unit_with_several_circuits_asks_for_one_and_rates_it_alone(shop: Shop) -> None:
    assert shop.no(f"tarebook charge RTU-2 6 --from 410-1 {DANA}") == (
        "RTU-2 has 2 circuits: RTU-2/A, RTU-2/B. Name the circuit; each is an appliance of its"
        " own. [circuit-needed]"
    )
    said = shop.ok(f"tarebook charge rtu-2/b 6 --from 410-1 {DANA}")
    assert said[1].startswith("Leak rate of RTU-2/B, 2026-06-30: 27.3 % a year")


def test_a_recovery_shows_the_room_left_and_whose_refrigerant_it_is(shop: Shop) -> None:
    said = shop.ok(f"tarebook recover RTU-1 --to RC-01 -g 27.9 -g 33.1 {DANA}")
    assert said == [
        "Recorded as entry 19: 5.2 lb (5 lb 3.2 oz) recovered R-410A from RTU-1 to RC-01"
        " (recovery).",
        "Cylinder RC-01 now holds 5.20 lb recovered R-410A by the book, owner Harbor Foods.",
        "Room left in RC-01: 32.48 lb (limit 38.08 lb net, 65.58 lb gross: 0.8 x WC). Caution:"
        " liquid expands as it warms, and a full cylinder bursts; less for oily or unknown contents"
        " (49 CFR 173.304a).",
    ]


def test_a_recovery_of_nothing_is_a_record_of_the_attempt(shop: Shop) -> None:
    assert shop.ok(f"tarebook recover RTU-1 0 {DANA}") == [
        "Recorded as entry 19: recovery attempted at RTU-1, 0.0 lb came out."
    ]
    assert shop.ok("tarebook add unit BARE --site Hotel")
    assert shop.ok("tarebook recover BARE 0") == [
        "Recorded as entry 21: recovery attempted at BARE, 0.0 lb came out."
    ]


def test_recovered_refrigerant_goes_back_to_its_owner_only(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 6 --to RC-01 {DANA}")
    assert shop.no(f"tarebook charge RTU-2/A 2 --from RC-01 {DANA}") == (
        "Cylinder RC-01 holds refrigerant recovered for Harbor Foods; RTU-2/A belongs to Mill Lane"
        " Hotel. Same owner only, else reclaim (40 CFR 82.154(d)). [other-owner]"
    )
    assert shop.ok(f"tarebook charge RTU-1 2 --from RC-01 {DANA}")[0].endswith(
        "2 lb recovered R-410A from RC-01 to RTU-1 (addition)."
    )


def test_refrigerant_of_two_owners_in_one_cylinder_is_shared_from_then_on(shop: Shop) -> None:
    shop.ok(f"tarebook recover RTU-1 6 --to RC-01 {DANA}")
    said = shop.ok(f"tarebook recover RTU-2/A 3 --to RC-01 {DANA}")
    assert said[1].endswith("9.00 lb recovered R-410A by the book, owner shared.")
    assert "[recovered-not-stock]" in shop.no(f"tarebook charge RTU-1 1 --from RC-01 {DANA}")


def test_a_transfer_carries_stock_kind_and_owner_along(shop: Shop) -> None:
    shop.all((
        "tarebook add cylinder HT-1 --kind half-ton --refrigerant R-410A",
        f"tarebook recover RTU-1 6 --to RC-01 {DANA}",
    ))  # fmt: skip
    assert shop.ok("tarebook transfer 4 --from RC-01 --to HT-1") == [
        "Recorded as entry 21: 4 lb recovered R-410A from RC-01 to HT-1 (transfer).",
        "Cylinder RC-01 now holds 2.00 lb recovered R-410A by the book, owner Harbor Foods.",
        "Cylinder HT-1 now holds 4.00 lb recovered R-410A by the book, owner Harbor Foods.",
        "The water capacity of HT-1 is not in the book, so its limit is not known: stop at 80 % of"
        " it (49 CFR 173.304a).",
    ]
    assert "[same-holder]" in shop.no("tarebook transfer 1 --from HT-1 --to ht-1")


def test_what_others_added_counts_in_the_rate_and_not_in_our_stock(shop: Shop) -> None:
    shop.ok('tarebook add party "Other Cooling" --role contractor')
    said = shop.ok('tarebook added-by-others RTU-1 2.2 --party "other cooling" --on 2026-04-18')
    assert said[0] == (
        "Recorded as entry 20: 2.2 lb (2 lb 3.2 oz) R-410A from Other Cooling to RTU-1 (addition"
        " by others)."
    )
    assert said[1].startswith("Leak rate of RTU-1, 2026-04-18: 9.2 % a year")
    said = shop.ok('tarebook added-by-others RTU-1 1 --party "Other Cooling" --estimated')
    assert said[0].endswith("(addition by others, estimated).")
    said = shop.ok('tarebook added-by-others RTU-1 unknown --party "Other Cooling"')
    assert said[0].endswith("unknown amount added to RTU-1 by Other Cooling.")
    assert "[unknown-id]" in shop.no('tarebook added-by-others RTU-1 unknown --party "Othr Co"')
    assert shop.ok("tarebook balance --by cylinder --refrigerant 410")[0] == (
        "50.00 lb in cylinders by the book."
    )


def test_a_name_that_is_not_in_the_book_is_told_before_what_depends_on_it(shop: Shop) -> None:
    assert shop.no("tarebook charge RTU-3 5 --from 410-9").splitlines() == [
        'No cylinder "410-9" is in the book. Near: 410-2, 410-1. Check the name, add it (tarebook'
        ' add cylinder "410-9"), or record with --provisional. [unknown-id]',
        'No unit or circuit "RTU-3" is in the book. Near: RTU-1, RTU-2/B, RTU-2/A. Check the name,'
        ' add it (tarebook add unit "RTU-3"), or record with --provisional. [unknown-id]',
    ]


def test_a_scale_that_is_not_in_the_book_is_a_slip_like_any_other(shop: Shop) -> None:
    said = shop.no(f"tarebook charge RTU-1 --from 410-1 -g 30 -g 29 --scale B2 {DANA}")
    assert said.startswith('No scale "B2" is in the book. Check the name, add it')


def test_a_charge_that_needs_no_rate_says_so(shop: Shop) -> None:
    shop.ok("tarebook change unit RTU-1 --refrigerant R-448A --full-charge 20 --from 2026-06-12")
    said = shop.ok(
        f"tarebook charge RTU-1 20 --from 448-1 {DANA} --as post-retrofit --on 2026-06-13"
    )
    assert said[1] == ("Leak rate of RTU-1, 2026-06-13: no calculation required: post-retrofit.")


def test_a_pipe_is_never_asked_and_hears_which_option_to_add(shop: Shop) -> None:
    assert shop.no("tarebook charge") == (
        "Unit or circuit is not given. Add CIRCUIT. [field-missing]"
    )
    assert shop.no("tarebook charge RTU-1") == (
        "Cylinder it came from is not given. Add --from CYLINDER. [field-missing]"
    )
    assert shop.no("tarebook recover RTU-1 5") == (
        "Cylinder it went into is not given. Add --to CYLINDER. [field-missing]"
    )


def test_an_apprentice_works_under_a_technician_with_the_right_card(shop: Shop) -> None:
    shop.ok('tarebook add person "Cass Novy" --certification apprentice')
    said = shop.no('tarebook charge RTU-1 1 --from 410-1 --by "Cass Novy"')
    assert said.startswith("Cass Novy has card type apprentice on 2026-06-30; RTU-1 needs type II")
    shop.ok('tarebook charge RTU-1 1 --from 410-1 --by "Cass Novy" --supervised-by "dana field"')
    assert "Supervisor: Dana Field" in shop.ok("tarebook show 20")


def test_a_card_counts_from_its_day(shop: Shop) -> None:
    shop.all((
        'tarebook add person "Cass Novy"',
        'tarebook change person "Cass Novy" --certification "I+II 77" --from 2026-04-14',
        'tarebook charge RTU-1 1 --from 410-1 --by "Cass Novy" --on 2026-04-14',
    ))  # fmt: skip
    early = 'tarebook charge RTU-1 1 --from 410-1 --by "Cass Novy" --on 2026-04-13'
    assert shop.no(early) == (
        "Cass Novy has no certification on record on 2026-04-13; RTU-1 needs type II or Universal."
        ' Record the card (tarebook change person "Cass Novy" --certification ... --from DAY), or'
        " name who did it; an apprentice is named with --supervised-by. [no-certification]"
    )
    assert shop.ok("tarebook list person")[5].startswith("Cass Novy   I+II 77")
