"""Sheets about sites, units, people and cylinders: what is new, what is known, what contradicts."""

from __future__ import annotations

import pytest

from ledger.facts.facts import Described
from tests.intake.shop import Shop, held, reasons

UNITS = """
    Unit,Circuit,Site,Refrigerant,Full charge,Category,Installed
    AC-1,,Ashdown Market,410A,12.5 lb,comfort cooling,5/1/2020
    AC-2,A,Ashdown Market,R-22,11 lb,,
    AC-2,B,Ashdown Market,R-22,9 lb,,
"""


def test_a_unit_comes_with_its_circuit(shop: Shop) -> None:
    report = shop.take(shop.csv(UNITS, "units.csv"))
    assert report.counts == {"recorded": 3}
    assert shop.master("unit", "AC-1") == {"site": "Ashdown Market"}
    circuit = shop.master("circuit", "AC-1")
    assert circuit["refrigerant"] == "R-410A" and circuit["full charge"]["charge"][1] == "12.5 lb"
    assert circuit["category"] == "comfort cooling" and circuit["installed"] == "2020-05-01"
    assert shop.master("circuit", "AC-2") == {}
    assert shop.master("circuit", "AC-2/B")["unit"] == "AC-2"


def test_circuits_on_a_sheet_of_their_own(shop: Shop) -> None:
    path = shop.xlsx({
        "Circuits": [["Unit", "Circuit", "Gas"], ["CU-1", "A", "R-22"], ["CU-1", "B", "R-22"]],
        "Units": [["Unit", "Site"], ["CU-1", "Ashdown Market"], ["CU-2", "Ashdown Market"]],
    })  # fmt: skip
    assert shop.take(path).counts == {"recorded": 4}
    assert shop.master("circuit", "CU-1") == {} and shop.master("circuit", "CU-1/A")
    assert shop.master("circuit", "CU-2") == {"unit": "CU-2"}


def test_cylinders_with_what_is_in_them(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Cyl #,Type,Refrigerant,Tare,WC,Place,Owner,On hand,Requal due
        RC-7,recovery,410a,24.6 lb,47.6,Truck 4,Pellmore Supply,8.2,3/31/2027
        RC-8,recovery,,24.6,47.6,,,3,
        RC-9,bucket,R-22,,,,,,
        RC-10,recovery,R-22,,,Nowhere,,,
    """, "cylinders.csv"))  # fmt: skip
    assert reasons(report) == {3: "field-missing", 4: "value-unclear", 5: "unknown-id"}
    assert shop.held("RC-7") == "8.20"
    held = shop.master("cylinder", "RC-7")
    assert held["stamped tare"][1] == "24.6 lb" and held["requalification due"] == "2027-03-31"
    assert shop.master("cylinder", "RC-8") == {}


def test_people_customers_and_the_rest(shop: Shop) -> None:
    path = shop.xlsx({
        "Technicians": [["Technician", "Initials", "Card"], ["Nell Ashe", "NA", "I+II #77"]],
        "Customers": [["Customer", "Contact"], ["Corwin Teasdale", "the son"]],
        "Trucks": [["Truck", "Driver"], ["Truck 9", "Nell Ashe"]],
        "Scales": [["Scale", "Kind", "Resolution", "Place"], ["B1", "bench", "0.1 lb", "Truck 9"]],
        "Machines": [["Machine", "Model", "Acquired"], ["M-1", "G5", "6/1/2024"]],
    })  # fmt: skip
    assert shop.take(path).counts == {"recorded": 5}
    assert shop.master("person", "Nell Ashe")["certification"] == {"type": "I+II", "number": "77"}
    assert shop.master("party", "Corwin Teasdale")["role"] == "customer"
    assert shop.master("place", "Truck 9")["kind"] == "truck"
    assert shop.master("scale", "B1")["resolution"][1] == "0.1 lb"
    assert shop.master("machine", "M-1")["acquired"] == "2024-06-01"


def test_what_the_shop_brings_forward(shop: Shop) -> None:
    shop.take(shop.csv("""
        Unit,Site,Refrigerant,Full charge,Last addition,Leak rate
        AC-5,Ashdown Market,R-22,1750 lb,10/10/2024,11 %
        AC-6,Ashdown Market,R-22,unknown,unknown,
    """, "units.csv"))  # fmt: skip
    brought = [f for e in shop.entries() for f in e["facts"] if f["type"] == "brought forward"]
    assert brought == [
        {"type": "brought forward", "circuit": "AC-5", "last_addition": "2024-10-10",
         "rate": "11 %"},
        {"type": "brought forward", "circuit": "AC-6", "last_addition": "unknown"},
    ]  # fmt: skip
    assert shop.master("circuit", "AC-6")["full charge"] == "unknown"


# --- again -------------------------------------------------------------------------------
def test_what_is_known_is_not_said_again(shop: Shop) -> None:
    path = shop.csv(UNITS, "units.csv")
    shop.take(path)
    head = shop.head()
    assert shop.take(path).counts == {"already": 3}
    wider = UNITS.replace("Unit,", "Remarks,Unit,").replace("    AC", "    seen,AC")
    assert shop.take(shop.csv(wider, "units2.csv")).counts == {"already": 3}
    assert shop.head() == head


def test_what_the_book_lacks_is_added_and_what_contradicts_it_is_not(shop: Shop) -> None:
    shop.take(shop.csv(UNITS, "units.csv"))
    report = shop.take(shop.csv("""
        Unit,Site,Serial,Refrigerant
        AC-1,ashdown market,S-1,R-410A
        AC-2,Bellmoor Tower,S-2,
        RTU-1,,S-3,R-22
    """, "serials.csv"))  # fmt: skip
    assert shop.master("unit", "AC-1") == {"site": "Ashdown Market", "serial": "S-1"}
    assert reasons(report) == {3: "id-taken", 4: "id-taken"}
    where = [one.problems[0].where for one in report.rejected]
    assert where == ["serials.csv!B3", "serials.csv!D4"]
    assert shop.master("unit", "AC-2") == {"site": "Ashdown Market"}


def test_a_change_with_its_day_is_a_change(shop: Shop) -> None:
    shop.take(shop.csv(UNITS, "units.csv"))
    report = shop.take(shop.csv("""
        Unit,Refrigerant,Full charge,Since
        AC-1,R-454B,11 lb measured,6/1/2025
    """, "units changed.csv"))  # fmt: skip
    assert report.counts == {"recorded": 1}
    (entry,) = [one for one in shop.entries() if one["day"] == "2025-06-01"]
    (fact,) = entry["facts"]
    assert fact["since"] == "2025-06-01" and fact["fields"]["refrigerant"] == "R-454B"
    assert "new" not in fact


def test_something_begun_provisionally_is_completed(shop: Shop) -> None:
    shop.take(shop.csv("""
        Date,Unit,Refrigerant,Added,Tank,Tech
        3/1/26,AC-9,410A,2,410-1,TB
    """), provisional=True)  # fmt: skip
    shop.take(shop.csv("Unit,Site,Full charge\nAC-9,Ashdown Market,8 lb\n", "units.csv"))
    assert shop.master("unit", "AC-9") == {"site": "Ashdown Market"}
    with shop.book.reading() as reader:
        last = list(reader.rows("SELECT provisional FROM described WHERE folded = 'ac-9'"))
    assert sorted(one for (one,) in last) == ["", "", "yes", "yes"]


@pytest.mark.parametrize(
    ("row", "code", "cell"),
    [
        (",Ashdown Market,R-22,1 lb,", "field-missing", "A2"),
        ("AC-1,Nowhere Rd,R-22,1 lb,", "unknown-id", "B2"),
        ("AC-1,Ashdown Market,blue,1 lb,", "refrigerant-unknown", "C2"),
        ("AC-1,Ashdown Market,R-22,4-8,", "quantity-unclear", "D2"),
        ("AC-1,Ashdown Market,R-22,1 lb,6/31/20", "date-unclear", "E2"),
    ],
)
def test_rows_that_cannot_be_read(shop: Shop, row: str, code: str, cell: str) -> None:
    report = shop.take(shop.csv(f"Unit,Site,Refrigerant,Full charge,Installed\n{row}", "units.csv"))
    (problem,) = held(report)[0].problems
    assert (problem.code, problem.where) == (code, f"units.csv!{cell}")


def test_a_decision_about_the_subsector_comes_with_its_person_and_reason(shop: Shop) -> None:
    """40 CFR 84.106(a)(3)(ii) excludes a subsector; who says which one it is, and why, is kept."""
    shop.take(shop.csv(UNITS, "units.csv"))
    shop.take(shop.csv("Technician\nNell Ashe", "technicians.csv"))
    report = shop.take(shop.csv("""
        Unit,Subsector,Since,Decided by,Why
        AC-1,residential or light commercial,1/5/2026,Nell Ashe,serves one office floor
    """, "units changed.csv"))  # fmt: skip
    assert report.counts == {"recorded": 1}
    with shop.book.reading() as reader:
        (entry,) = reader.entries(report.first, report.last)
    (fact,) = entry.facts()
    assert isinstance(fact, Described)
    assert (fact.name, fact.since, fact.why) == ("AC-1", "2026-01-05", "serves one office floor")
    assert fact.fields == {"subsector": "residential or light commercial"}
    assert (entry.person, entry.occurred_on) == ("Nell Ashe", "2026-01-05")
