"""Sites, customers, units, people and cylinders entered, mended, changed, joined and renamed."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'


@pytest.mark.parametrize(
    ("kind", "add", "mend", "change"),
    [
        ("site", '--address "12 Mill Ln" --state XX', "--state YY", '--method "rolling average"'),
        ("party", "--role customer", "--role contractor", "--contact Ann"),
        ("unit", "--site Hotel --refrigerant 410a", "--model K9", '--owner "Harbor Foods"'),
        ("person", '--certification "II 88" --initials XY', "--initials XZ",
         '--certification "Universal 99"'),
        ("cylinder", "--kind recovery --stamped-tare 27.5", '--water-capacity "47.6 lb"',
         "--place warehouse"),
        ("place", "--kind truck", "--note blue", "--driver Walt"),
        ("scale", '--resolution "0.5 oz"', "--kind hook", "--place 'Truck 2'"),
        ("machine", "--model R9 --made 2024-02-01", "--serial 44", "--note serviced"),
    ],
)  # fmt: skip
def test_every_kind_is_added_mended_and_changed_from_a_day(
    shop: Shop, kind: str, add: str, mend: str, change: str
) -> None:
    assert shop.ok(f"tarebook add {kind} 'New One' {add}") == [
        f"Recorded as entry 19: {kind} New One added."
    ]
    said = shop.ok(f"tarebook mend {kind} 'new  one' {mend} --because 'misread'")
    assert said[0].startswith(f"Recorded as entry 20: {kind} New One: ")
    said = shop.ok(f"tarebook change {kind} 'New One' {change} --from 2026-06-01")
    assert said[0].startswith(f"Recorded as entry 21: {kind} New One from 2026-06-01: ")
    assert [row["Name"] for row in shop.rows(f"tarebook list {kind}")].count("New One") == 1
    assert shop.no(f"tarebook add {kind} 'NEW ONE'").endswith(
        f"Use another name, or change it with tarebook mend {kind}. [id-taken]"
    )


def test_a_unit_with_one_circuit_never_speaks_of_circuits(shop: Shop) -> None:
    lines = (
        'tarebook add unit RTU-7 --site Hotel --refrigerant R-410A --full-charge "20 lb"'
        ' --category comfort --installed 6/1/2020',
        'tarebook mend unit RTU-7 --full-charge "22 lb measured" --because "plate misread"',
        "tarebook change unit RTU-7 --refrigerant R-448A --from 2026-05-01",
        f"tarebook charge RTU-7 3 --from 448-1 {DANA}",
        f"tarebook charge RTU-8 3 --from 448-1 {DANA} --provisional",
        "tarebook mend unit RTU-8 --site Hotel --full-charge 9",
        "tarebook recover RTU-8 0",
        "tarebook change unit RTU-8 --retired 2026-06-30",
    )  # fmt: skip
    for line in lines:
        said = [one for one in shop.ok(line) if not one.startswith("  Note:")]
        assert not any("circuit" in one for one in said), said
    assert shop.ok(lines[0].replace("RTU-7", "RTU-9")) == [
        "Recorded as entry 27: unit RTU-9 added."
    ]
    assert "circuit" not in shop.no("tarebook add unit RTU-7")


def test_the_full_charge_of_a_unit_holds_from_its_day(shop: Shop) -> None:
    shop.ok('tarebook change unit RTU-1 --full-charge "30 lb measured" --from 2026-06-15')
    early = shop.ok(f"tarebook charge RTU-1 3 --from 410-1 {DANA} --on 2026-06-14")
    late = shop.ok(f"tarebook charge RTU-1 3 --from 410-1 {DANA} --on 2026-06-20")
    assert "of 24.0 lb" in early[1] and "of 30.0 lb" in late[1]


def test_a_range_counts_with_its_midpoint(shop: Shop) -> None:
    said = shop.ok(
        'tarebook mend unit RACK-A --full-charge "1250 to 1450 lb range (logs 2023-2025)"'
    )
    assert said[0].endswith(
        "unit RACK-A: full charge 1250 lb to 1450 lb (range, midpoint counts); logs 2023-2025."
    )
    assert "of 1,350.0 lb" in shop.ok(f"tarebook charge RACK-A 10 --from 448-1 {DANA}")[1]


def test_a_second_circuit_beside_a_bare_one_is_asked_about_until_both_have_letters(
    shop: Shop,
) -> None:
    shop.ok("tarebook add circuit RTU-1/B --full-charge 20")
    charge = f"tarebook charge RTU-1 3 --from 410-1 {DANA}"
    assert shop.no(charge) == (
        "RTU-1 has 2 circuits: RTU-1, RTU-1/B. Name the circuit; to name RTU-1 itself, give it a"
        ' letter: tarebook add circuit "RTU-1/A" with its full charge, then tarebook join circuit'
        ' "RTU-1" "RTU-1/A". [circuit-needed]'
    )
    shop.ok("tarebook add circuit RTU-1/A --full-charge 24 --refrigerant R-410A")
    shop.ok("tarebook join circuit RTU-1 RTU-1/A")
    assert shop.no(charge).startswith("RTU-1 has 2 circuits: RTU-1/A, RTU-1/B.")
    shop.ok(charge.replace("RTU-1", "RTU-1/A"))


def test_the_name_of_a_circuit_says_which_unit_it_belongs_to(shop: Shop) -> None:
    assert shop.no("tarebook add circuit B --unit RTU-1") == (
        "The name B does not say that the circuit belongs to unit RTU-1. Name it RTU-1/ and a"
        " letter, such as RTU-1/A. [value-unclear]"
    )
    assert shop.no('tarebook add unit "RT/9"') == (
        "The unit name RT/9 holds a slash, which separates a unit from its circuit. Use another"
        " sign. [text-unfit]"
    )
    assert "[unknown-id]" in shop.no("tarebook add circuit RTU-99/C")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("add unit X --site 'Store 15'", 'No site "Store 15" is in the book. Near: Store 14.'),
        ("add unit X --full-charge 'about 20'", 'full charge: "about 20" is marked as not exact'),
        ("add unit X --category comfy", 'category: "comfy" is not one of the choices.'),
        ("add unit X --installed 6/31/2020", 'installed: "6/31/2020" is not a date: June has 30'),
        ("add unit X --installed 2031-01-01", "Date of installation is 2031-01-01, after today"),
        ("add unit X --full-charge 0", "full charge: 0 lb is not a weight above zero."),
        ("add unit X --full-charge 900000", "full charge: 900000 lb is more than 100,000 lb."),
        ("add cylinder X --stamped-tare 0", "stamped tare: 0 lb is not a weight above zero."),
        ("add person X --certification plumber", 'certification: "plumber" does not begin with'),
        ("add cylinder X --service-pressure-psig 4x", "service pressure psig: \"4x\" is not a"),
        ("add site X --zone Mars", "zone: 'Mars' is not a time zone such as America/Chicago."),
        ("mend unit RTU-1", "Nothing to record was given. Add an option; see --help."),
        ("mend unit RTU-77 --serial 5", 'No unit "RTU-77" is in the book. Near: RTU-2, RTU-1.'),
        ("mend unit RTU-77 --full-charge 5", 'No unit or circuit "RTU-77" is in the book.'),
        ("change unit RTU-1 --owner 'Harbor Foods' --from 2062-05-01",
         "The day it holds from is 2062-05-01, after today (2026-06-30). Enter it when it has"),
        ("change unit RTU-2 --refrigerant R-448A", "RTU-2 has 2 circuits: RTU-2/A, RTU-2/B."),
        ("add unit", "Name of the unit is not given. Add NAME."),
        ("list boats", '"boat" is no kind. Choose site, party, unit, circuit, person,'),
    ],
)  # fmt: skip
def test_what_cannot_be_read_or_is_not_known_is_said(shop: Shop, line: str, said: str) -> None:
    assert shop.no(f"tarebook {line}").startswith(said)


def test_two_records_of_one_unit_are_joined_and_rated_as_one(shop: Shop) -> None:
    shop.all((
        'tarebook add unit RTU-1B --site "Store 14" --refrigerant R-410A --full-charge "24 lb"',
        f"tarebook charge RTU-1B 4 --from 410-1 {DANA} --on 2026-04-01",
        f"tarebook charge RTU-1 2 --from 410-1 {DANA} --on 2026-05-01",
    ))  # fmt: skip
    join = 'tarebook join unit RTU-1B RTU-1 --because "entered twice" --key j1'
    assert shop.ok(join) == ["Recorded as entry 22: unit RTU-1B is the same as RTU-1."]
    assert shop.ok(join) == ["Already recorded as entry 22; nothing was written."]
    for name in ("RTU-1", "rtu-1b"):
        rates = shop.rows(f"tarebook rates {name}")
        assert [(row["Circuit"], row["Entries"], row["Days"]) for row in rates] == [
            ("RTU-1", "20", "365"), ("RTU-1", "21", "30"),
        ]  # fmt: skip
    (net,) = shop.rows("tarebook balance --by circuit")
    assert list(net.values()) == ["RTU-1", "6.00"]
    shop.ok(f"tarebook charge RTU-1B 1 --from 410-1 {DANA}")
    assert "  1. 1 lb R-410A from 410-1 to RTU-1 (addition)" in shop.ok("tarebook show 23")
    listed = {row["Name"]: row["Same as"] for row in shop.rows("tarebook list unit")}
    assert listed["RTU-1B"] == "RTU-1" and listed["RTU-1"] == ""


def test_a_join_can_be_taken_back(shop: Shop) -> None:
    shop.all((
        "tarebook add cylinder 'RC-1' --kind recovery",
        f"tarebook recover RTU-1 5 --to RC-1 {DANA}",
        f"tarebook recover RTU-1 3 --to RC-01 {DANA}",
        "tarebook join cylinder RC-1 RC-01",
    ))  # fmt: skip
    (row,) = (one for one in shop.rows("tarebook balance --by cylinder") if "RC" in one["Cylinder"])
    assert list(row.values()) == ["RC-01", "8.00"]
    assert "held 8.00 lb" in shop.no("tarebook release 9 --from rc-1 --cause hose")
    shop.ok("tarebook reverse 22 --because 'they are two'")
    assert "held 5.00 lb" in shop.no("tarebook release 9 --from rc-1 --cause hose")
    assert "Same as" not in shop.rows("tarebook list cylinder")[0]


def test_records_joined_one_after_the_other_all_count(shop: Shop) -> None:
    shop.all((
        "tarebook add cylinder T1 --kind recovery", "tarebook add cylinder T2 --kind recovery",
        f"tarebook recover RTU-1 5 --to T1 {DANA}", f"tarebook recover RTU-1 3 --to T2 {DANA}",
        "tarebook join cylinder T1 T2", "tarebook join cylinder T2 RC-01",
        f"tarebook recover RTU-1 1 --to T1 {DANA}",
    ))  # fmt: skip
    (row,) = (one for one in shop.rows("tarebook balance --by cylinder") if "RC" in one["Cylinder"])
    assert list(row.values()) == ["RC-01", "9.00"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("join unit RTU-1 rtu-1", "Both names are the one unit RTU-1. Name two records that are"),
        ("join unit RTU-1 RTU-2", "The circuits of RTU-1 (RTU-1) and of RTU-2 (RTU-2/A, RTU-2/B)"),
        ("join boat A B", '"boat" is no kind. Choose site,'),
        ("join cylinder 410-1 410-9", 'No cylinder "410-9" is in the book. Near: 410-2, 410-1.'),
    ],
)
def test_a_join_takes_two_records_of_one_kind(shop: Shop, line: str, said: str) -> None:
    assert shop.no(f"tarebook {line}").startswith(said)


def test_a_join_is_never_made_in_a_circle(shop: Shop) -> None:
    shop.ok("tarebook join cylinder 410-1 410-2")
    assert shop.no("tarebook join cylinder 410-2 410-1").startswith("Both names are the one")
    shop.ok(f"tarebook charge RTU-1 2 --from 410-1 {DANA}")


def test_a_join_leaves_nothing_below_nothing(shop: Shop) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from T9 -r R-410A {DANA} --provisional --on 2026-06-01")
    shop.ok("tarebook add cylinder T1 --kind recovery")
    assert shop.no("tarebook join cylinder T9 T1") == (
        "Together, cylinders T9 and T1 would have held 5.00 lb less than was taken from them."
        " Record what was put into them first. [cylinder-short]"
    )
    shop.ok("tarebook join cylinder T9 410-1")
    assert "20.00" in next(
        row["Book (lb)"]
        for row in shop.rows("tarebook balance --by cylinder")
        if row["Cylinder"] == "410-1"
    )


def test_putting_a_cylinder_on_a_truck_does_not_complete_its_record(shop: Shop) -> None:
    shop.ok(f"tarebook charge RTU-1 5 --from T9 -r R-410A {DANA} --provisional")
    shop.ok("tarebook issue T9 --to 'Truck 2'")
    assert [row["Name"] for row in shop.rows("tarebook list cylinder --provisional")] == ["T9"]
    assert shop.no("tarebook add cylinder T9 --kind disposable --refrigerant R-410A") == (
        "Cylinder T9 is 5.00 lb below nothing by the book: more was taken from it than is recorded"
        " to have come in. Record what it held first, with tarebook receive or tarebook opening"
        " T9. [cylinder-short]"
    )
    shop.ok("tarebook opening T9 20 -r R-410A --on 2026-01-05")
    shop.ok("tarebook mend cylinder T9 --kind disposable --refrigerant R-410A")
    assert shop.rows("tarebook list cylinder --provisional") == []


def test_the_shop_has_its_own_names_for_things(shop: Shop) -> None:
    assert shop.ok('tarebook alias "tank 4" RC-01 --kind cylinder') == [
        'Recorded as entry 19: "tank 4" now means RC-01.'
    ]
    shop.ok(f'tarebook recover RTU-1 2 --to "Tank  4" {DANA}')
    shop.ok('tarebook alias "roof 3" RTU-2 --kind unit')
    shop.ok(f'tarebook charge "roof 3/b" 1 --from 410-1 {DANA}')
    assert "RTU-2/B" in shop.ok("tarebook show 22")[2]
    assert shop.no(f'tarebook charge "roof 3" 1 --from 410-1 {DANA}').startswith(
        "roof 3 has 2 circuits: RTU-2/A, RTU-2/B."
    )
    shop.ok('tarebook alias "shop blend" R-410A')
    shop.ok(f'tarebook charge RTU-1 1 --from 410-1 -r "Shop Blend" {DANA}')
    assert len(shop.rows('tarebook balance -r "shop blend" --by cylinder')) == 3


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("alias R-22 R-410A", '"R-22" is R-22 in the register. Choose a name that is no R-number.'),
        ("alias RC-01 410-1 --kind cylinder", '"RC-01" is a cylinder in the book. Where the two'),
        ("alias RTU-1 RTU-1 --kind unit", '"RTU-1" is a unit in the book.'),
        ("alias x NOPE --kind cylinder", 'No cylinder "NOPE" is in the book. Check the name;'),
        ("alias x R-9999", '"R-9999": '),
        ("alias x y --kind boat", '"boat" is no kind. Choose refrigerant, site,'),
    ],
)
def test_a_name_of_ones_own_hides_no_other(shop: Shop, line: str, said: str) -> None:
    assert shop.no(f"tarebook {line}").startswith(said)


def test_what_was_begun_provisionally_is_completed_and_the_past_recomputed(shop: Shop) -> None:
    said = shop.ok('tarebook charge RTU-9 5 --from 410-1 --by "New Hand" --provisional')
    assert [line for line in said if line.startswith("Begun")] == [
        "Begun provisionally: unit RTU-9; complete it with tarebook mend.",
        "Begun provisionally: person New Hand; complete it with tarebook mend.",
    ]
    assert "cannot be computed: full charge unknown" in said[3]
    open_units = shop.rows("tarebook list unit --provisional")
    assert [row["Name"] for row in open_units] == ["RTU-9"]
    shop.ok('tarebook mend unit RTU-9 --site Hotel --full-charge "20 lb" --refrigerant R-410A')
    assert shop.rows("tarebook list unit --provisional") == []
    (rate,) = shop.rows("tarebook rates RTU-9")
    assert rate["Annualizing (%)"] == "25.0"
    before = shop.rows("tarebook rates RTU-9 --known-at 19")
    assert {row["Verdict"] for row in before} == {"cannot be computed"}


def test_a_join_tells_what_only_the_record_given_up_said(shop: Shop) -> None:
    shop.ok("tarebook add unit RTU-01 --site 'Store 14' --refrigerant R-410A")
    said = shop.ok("tarebook join unit RTU-1 RTU-01")
    assert (
        "Only RTU-1 had full charge 24 lb (method not recorded); where it is right: tarebook mend"
        " unit RTU-01 --full-charge ..."
    ) in said
