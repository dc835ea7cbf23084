"""One row after another: what is recorded of it, what is flagged, and what keeps it out."""

from __future__ import annotations

import pytest

from ledger.intake.questions import ASKED
from tests.intake.shop import Shop, flags, held, new, reasons, table

JOBS = "Date,Unit,Added,Recovered,Tank,Recovery tank,Tech,Ticket #"


# --- what rows say -----------------------------------------------------------------------
def test_added_and_recovered(shop: Shop) -> None:
    report = shop.take(shop.csv(JOBS + """
        3/1/26,RTU-1,4 lb 8 oz,,410-1,,TB,T-1
        3/2/26,RTU-2/B,,2.6 kg,,RC-1,Dirk Osei,T-2
        3/3/26,rtu-1,3.25,1.5,410-1,RC-1,tamsin  brandvold,T-3
    """))  # fmt: skip
    assert report.counts == {"recorded": 3}
    assert shop.moves() == [
        ("2026-03-01", "cylinder:410-1", "circuit:RTU-1", "R-410A", "4 lb 8 oz"),
        ("2026-03-02", "circuit:RTU-2/B", "cylinder:RC-1", "R-410A", "2.6 kg"),
        ("2026-03-03", "circuit:RTU-1", "cylinder:RC-1", "R-410A", "1.5 lb"),
        ("2026-03-03", "cylinder:410-1", "circuit:RTU-1", "R-410A", "3.25 lb"),
    ]
    first, second, third = shop.entries()
    assert [one["verb"] for one in (first, second, third)] == ["charge", "recover", "visit"]
    assert [one["person"] for one in (first, second, third)] == [
        "Tamsin Brandvold", "Dirk Osei", "Tamsin Brandvold",
    ]  # fmt: skip
    assert first["ticket"] == "T-1" and first["source"] == "jobs.csv!2"


def test_zero_recovered_is_a_try_and_zero_beside_an_amount_is_nothing(shop: Shop) -> None:
    report = shop.take(shop.csv(JOBS + """
        3/1/26,RTU-1,0,0 - flat,,,TB,T-1
        3/2/26,RTU-1,,0.0,,,TB,T-2
        3/3/26,RTU-1,2,0,410-1,,TB,T-3
        3/4/26,RTU-1,0,0,,,TB,T-4
    """))  # fmt: skip
    assert reasons(report) == {5: "amount-not-positive"}
    flat, nothing, charge = shop.entries()
    assert [fact["type"] for fact in flat["facts"] + nothing["facts"]] == ["attempt", "attempt"]
    assert flat["note"] == "flat"
    assert [fact["type"] for fact in charge["facts"]] == ["movement"]


def test_weights_before_and_after(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Date,Action,Unit,Amount,Start weight,End weight,Readings,Tank,Scale,Tech
        3/1/26,charge,RTU-1,,21.40,18.25,,410-1,S4,TB
        3/2/26,topped off,RTU-1,3.15,18.25,15.10,,410-1,,TB
        3/3/26,charge,RTU-1,3.00,15.10,12.00,,410-1,,TB
        3/4/26,recovered,RTU-1,,31.20,31.50,,RC-1,,TB
        3/5/26,charge,RTU-1,,15.10,18.10,,410-1,,TB
        3/6/26,charge,RTU-1,,,,15.10 -> 14.10 -> 13.00,410-1,,TB
        3/7/26,charge,RTU-1,1.2,13.00,,,410-1,,TB
        3/8/26,charge,RTU-1,,13.00,,,410-1,,TB
    """))  # fmt: skip
    assert reasons(report) == {4: "weights-disagree", 6: "weights-reversed", 9: "field-missing"}
    evidence = [entry["facts"][0]["evidence"] for entry in shop.entries()]
    assert evidence[0]["how"] == "gross" and evidence[0]["scale"] == "S4"
    assert [one["how"] for one in evidence] == ["gross", "gross", "gross", "stages", "net"]
    assert [move[-1] for move in shop.moves()] == [
        "3.15 lb", "3.15 lb", "0.30 lb", "2.10 lb", "1.2 lb",
    ]  # fmt: skip
    assert shop.entries()[-1]["note"] == "one gross weight only: 13.00 lb"


def test_stock_moves(shop: Shop) -> None:
    def did(day: str, action: str, cylinder: str, **more: str) -> dict[str, str]:
        heads = {key.replace("_", " "): text for key, text in more.items()}
        return {"Date": day, "Action": action, "Cylinder": cylinder, "Tech": "DO", **heads}

    report = shop.take(shop.csv(table(
        did("3/1/26", "received", "410-9", Cylinder_type="disposable", Refrigerant="R410a",
            Amount="25", Supplier="Pellmore Supply", Truck="Truck 4", Invoice="I-1",
            Price_per_lb="$12.50"),
        did("3/1/26", "received", "410-3", Gross="76.4", Tare="26.4", Supplier="pellmore supply",
            Invoice="I-2", Price_per_lb="11", Deposit="150.00", Stock="reclaimed"),
        did("3/2/26", "issued", "410-2", Truck="truck 4"),
        did("3/3/26", "weighed", "410-2", Gross="31.4"),
        did("3/4/26", "transfer", "410-3", To_cylinder="RC-1", Amount="5"),
        did("3/5/26", "released", "22-1", Refrigerant="R-22", Amount="1.5", Cause="hose"),
        did("3/6/26", "heel", "410-2", Amount="0.9"),
        did("3/7/26", "shipped", "RC-1", Party="Quillfen Reclaim"),
        did("3/8/26", "returned", "410-3", Party="Pellmore Supply"),
        did("3/9/26", "on hand", "RC-22", Refrigerant="R-22", Amount="12", Stock="recovered",
            Owner="Ashdown Foods"),
    )))  # fmt: skip
    assert report.counts == {"recorded": 10} and not report.flagged
    assert [(move[1], move[2], move[4]) for move in shop.moves()] == [
        ("party:Pellmore Supply", "cylinder:410-9", "25 lb"),
        ("party:Pellmore Supply", "cylinder:410-3", "50.0 lb"),
        ("cylinder:410-3", "cylinder:RC-1", "5 lb"),
        ("cylinder:22-1", "air:", "1.5 lb"),
        ("cylinder:410-2", "difference:heel", "0.9 lb"),
        ("cylinder:RC-1", "party:Quillfen Reclaim", "5 lb"),
        ("cylinder:410-3", "party:Pellmore Supply", "45 lb"),
        ("brought-forward:opening", "cylinder:RC-22", "12 lb"),
    ]
    facts = [fact for entry in shop.entries() for fact in entry["facts"]]
    paid = [fact for fact in facts if fact["type"] == "receipt"]
    assert [(one["invoice"], one["price_cents"], one.get("deposit_cents")) for one in paid] == [
        ("I-1", 1250, None), ("I-2", 1100, 15000),
    ]  # fmt: skip
    assert shop.master("cylinder", "410-9")["kind"] == "disposable"
    assert shop.master("cylinder", "410-9")["place"] == "Truck 4"
    assert shop.master("cylinder", "410-3")["state"] == "returned"
    assert shop.master("cylinder", "RC-1")["place"] == "Quillfen Reclaim"
    assert [one["gross"][1] for one in facts if one["type"] == "weighing"] == ["31.4 lb"]


def test_additions_by_others(shop: Shop) -> None:
    shop.record(new("party", "Stannick Mechanical", role="contractor"))
    report = shop.take(shop.csv("""
        Date,Unit,lb,Contractor
        3/1/26,RTU-1,22,Stannick Mechanical
        3/2/26,RTU-1,about 5,Stannick Mechanical
        3/3/26,RTU-1,unknown,Stannick Mechanical
        3/4/26,RTU-1,2,
    """, "by others.csv"))  # fmt: skip
    assert report.counts == {"recorded": 3, "flagged": 1}
    assert flags(report) == {5: ["The other contractor is not named."]}
    facts = [fact for entry in shop.entries() for fact in entry["facts"]]
    assert [fact.get("amount", "") for fact in facts[:2]] == ["", "estimated"]
    assert facts[2] == {
        "type": "unknown addition", "circuit": "RTU-1", "refrigerant": "R-410A",
        "party": "Stannick Mechanical",
    }  # fmt: skip
    assert facts[3]["kind"] == "party" and facts[3]["provisional"] == "yes"


def test_an_estimate_is_asked_about_where_we_did_the_work(shop: Shop) -> None:
    report = shop.take(
        shop.csv(JOBS + "\n3/1/26,RTU-1,about 5,,410-1,,TB,\n3/2/26,RTU-1,?,,410-1,,TB,")
    )
    assert reasons(report) == {2: "quantity-unclear", 3: "quantity-unclear"}
    assert shop.moves() == []


def test_what_no_field_holds_is_kept_as_a_note(shop: Shop) -> None:
    shop.take(shop.csv("""
        Date,Unit,Added,Tank,Tech,Weather,Notes,Job type,Supplier
        3/1/26,RTU-1,1,410-1,TB,sunny,"leaks,  again",no cooling,Pellmore Supply
        3/2/26,RTU-1,2,410-1,TB,-,,n/a,
    """))  # fmt: skip
    first, second = shop.entries()
    assert first["note"] == "leaks, again; no cooling; Weather: sunny; supplier: Pellmore Supply"
    assert "note" not in second


def test_an_apprentice_and_the_one_who_watched(shop: Shop) -> None:
    shop.record(new("person", "Cass Novy", certification={"type": "apprentice"}))
    report = shop.take(shop.csv("""
        Date,Unit,Added,Tank,Tech,Supervised by
        3/1/26,RTU-1,1,410-1,Cass Novy,TB
    """), strict=True)  # fmt: skip
    assert report.counts == {"recorded": 1}
    assert shop.entries()[0]["supervisor"] == "Tamsin Brandvold"


def test_the_refrigerant_of_the_cylinder_or_the_unit_serves_where_none_is_written(
    shop: Shop,
) -> None:
    shop.take(shop.csv(JOBS + "\n3/1/26,CH-1,1,,22-1,,TB,\n3/2/26,CH-1,,2,,,TB,"))
    assert [move[3] for move in shop.moves()] == ["R-22", "R-22"]


def test_units_of_weight_stand_in_headings_and_in_a_column(shop: Shop) -> None:
    shop.take(shop.csv("""
        Date,Unit,Added (oz),Recovered (kg),Tank,Recovery tank,Tech
        3/1/26,RTU-1,24,,410-1,,TB
        3/2/26,RTU-1,,0.5,,RC-1,TB
    """))  # fmt: skip
    shop.take(shop.csv("""
        Date,Action,Unit,Amount,UOM,Tank,Tech
        3/3/26,charge,RTU-1,8,ounces,410-1,TB
        3/4/26,charge,RTU-1,1,stone,410-1,TB
    """, "two.csv"))  # fmt: skip
    assert [move[-1] for move in shop.moves()] == ["24 oz", "0.5 kg", "8 oz"]


# --- what keeps a row out ----------------------------------------------------------------
@pytest.mark.parametrize(
    ("row", "code", "cell"),
    [
        ("6/31/25,RTU-1,1,,410-1,,TB,", "date-unclear", "A2"),
        ("6/13,RTU-1,1,,410-1,,TB,", "date-unclear", "A2"),
        (",RTU-1,1,,410-1,,TB,", "field-missing", "A2"),
        ("4/1/26,RTU-1,1,,410-1,,TB,", "date-future", "A2"),
        ("3/1/26,RTU-1,4-8,,410-1,,TB,", "quantity-unclear", "C2"),
        ('3/1/26,RTU-1,"7,10",,410-1,,TB,', "quantity-unclear", "C2"),
        ("3/1/26,RTU-1,,O.7,,RC-1,TB,", "quantity-unclear", "D2"),
        ("3/1/26,RTU-1,-2,,410-1,,TB,", "quantity-unclear", "C2"),
        ("3/1/26,RTU-1,200000,,410-1,,TB,", "amount-absurd", "C2"),
        ("3/1/26,RTU-1,,,410-1,,TB,", "field-missing", "2"),
        ("3/1/26,RTU-9,1,,410-1,,TB,", "unknown-id", "B2"),
        ("3/1/26,RTU-2,1,,410-1,,TB,", "circuit-needed", "B2"),
        ("3/1/26,RTU-1,1,,410-X,,TB,", "unknown-id", "E2"),
        ("3/1/26,RTU-1,1,,410-1,,Nobody,", "unknown-id", "G2"),
        ("3/1/26,RTU-1,1,2,410-1,,TB,", "field-missing", "E2"),
        ("3/1/26,RTU-1,1,,410-1,,TB,T,extra", "value-unclear", "2"),
        ("3/1/26,RTU-1,1,,410-1,,TB,\x07", "text-unfit", "H2"),
    ],
)
def test_what_cannot_be_read_or_cannot_be_true_is_held_out(
    shop: Shop, row: str, code: str, cell: str
) -> None:
    before = shop.head()
    report = shop.take(shop.csv(JOBS + "\n" + row))
    (out,) = held(report)
    asked = code in ASKED
    assert report.counts == {"question" if asked else "rejected": 1} and shop.head() == before
    first = out.problems[0]
    assert (first.code, first.where) == (code, f"jobs.csv!{cell}")
    assert first.sentence.endswith(".") and first.remedy


def test_near_matches_are_offered(shop: Shop) -> None:
    report = shop.take(shop.csv(JOBS + "\n3/1/26,RTU 1,1,,410.1,,TB,"))
    cylinder, unit = report.questions[0].problems
    assert "410-1" in cylinder.remedy and cylinder.where == "jobs.csv!E2"
    assert "RTU-1" in unit.remedy and unit.where == "jobs.csv!B2"


def test_a_unit_of_another_site_is_not_the_one_meant(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Date,Site,Unit,Added,Tank,Tech
        3/1/26,Ashdown Market,RTU-1,1,410-1,TB
        3/1/26,Bellmoor Tower,RTU-1,1,410-1,TB
        3/1/26,some other words,RTU-1,2,410-1,TB
    """))  # fmt: skip
    assert reasons(report) == {3: "unknown-id"}
    assert "is recorded at Ashdown Market" in report.questions[0].problems[0].sentence


def test_a_site_stands_for_its_one_unit(shop: Shop) -> None:
    shop.record(new("site", "12 Larkspur Ct"), new("unit", "A-401", site="12 Larkspur Ct"),
                new("circuit", "A-401", unit="A-401", refrigerant="R-410A"))  # fmt: skip
    report = shop.take(shop.csv("""
        Date,Address,Added,Tank,Tech
        3/1/26,12 larkspur ct,1,410-1,TB
        3/1/26,Bellmoor Tower,1,410-1,TB
        3/1/26,14 Larkspur Ct,1,410-1,TB
    """))  # fmt: skip
    assert [move[2] for move in shop.moves()] == ["circuit:A-401"]
    assert reasons(report) == {3: "circuit-needed", 4: "unknown-id"}
    assert "CH-1, RTU-3" in report.questions[0].problems[0].sentence


def test_a_cell_without_a_value_of_its_own_is_not_taken_for_empty(shop: Shop) -> None:
    path = shop.xlsx({"Charges": [
        ["Date", "Unit", "lb", "Tank", "Tech"], ["2026-03-01", "RTU-1", "=1+1", "410-1", "TB"],
    ]})  # fmt: skip
    report = shop.take(path)
    (rejected,) = report.rejected
    assert rejected.problems[0].where == "jobs.xlsx!Charges!C2"
    assert "formula whose result is not stored" in rejected.problems[0].sentence


# --- history and strictness --------------------------------------------------------------
GAPS = JOBS + """
    3/1/26,RTU-1,,8,,,TB,T-1
    3/2/26,RTU-1,1,,410-1,,,T-2
    3/3/26,,,7,,RC-1,TB,T-3
"""  # fmt: skip


def test_history_is_recorded_with_its_gaps_flagged(shop: Shop) -> None:
    report = shop.take(shop.csv(GAPS))
    assert report.counts == {"flagged": 3} and report.recorded == 3
    assert flags(report) == {
        2: ["No cylinder is named."], 3: ["No technician is named."], 4: ["No unit is named."],
    }  # fmt: skip
    assert [(move[1], move[2], move[3]) for move in shop.moves()] == [
        ("circuit:RTU-1", "difference:no cylinder named", "R-410A"),
        ("cylinder:410-1", "circuit:RTU-1", "R-410A"),
        ("difference:no unit named", "cylinder:RC-1", "R-410A"),
    ]


def test_strictly_what_a_command_would_ask_for_is_refused(shop: Shop) -> None:
    report = shop.take(shop.csv(GAPS), strict=True)
    assert reasons(report) == {2: "field-missing", 4: "field-missing"}
    assert flags(report) == {3: ["No technician is named."]}


FAULTS = JOBS + """
    3/1/26,RTU-1,26,,410-1,,TB,T-1
    3/2/26,CH-1,,5.8,,RC-1,TB,T-2
    3/3/26,RTU-1,,1,,410-2,TB,T-3
    3/4/26,RTU-3,1,,22-1,,TB,T-4
"""  # fmt: skip


def test_what_really_happened_is_recorded_over_the_refusal_and_flagged(shop: Shop) -> None:
    report = shop.take(shop.csv(FAULTS))
    assert report.counts == {"flagged": 4}
    assert flags(report) == {
        2: ["cylinder-short"], 3: ["second-refrigerant"], 4: ["disposable-recovery"],
        5: ["wrong-refrigerant"],
    }  # fmt: skip
    facts = [fact for entry in shop.entries() for fact in entry["facts"]]
    assert {fact.get("because") for fact in facts if fact["type"] == "movement"} == {
        "as found in jobs.csv"
    }
    assert shop.master("cylinder", "RC-1")["state"] == "quarantined"
    assert ("difference:book below what left the cylinder", "cylinder:410-1", "1 lb") in [
        (move[1], move[2], move[4]) for move in shop.moves()
    ]


def test_strictly_every_refusal_stands(shop: Shop) -> None:
    report = shop.take(shop.csv(FAULTS), strict=True)
    assert reasons(report) == {
        2: "cylinder-short", 3: "second-refrigerant", 4: "disposable-recovery",
        5: "wrong-refrigerant",
    }  # fmt: skip
    assert shop.entries() == []


def test_unknown_things_are_begun_where_that_is_wanted(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Date,Site,Unit,Refrigerant,Added,Tank,Tech
        3/1/26,9 Kiln St,AC-1,410A,2,410-9,Nell Ashe
    """), provisional=True)  # fmt: skip
    assert report.recorded == 1
    assert shop.master("unit", "AC-1") == {"site": "9 Kiln St"}
    for kind, name in (("site", "9 Kiln St"), ("cylinder", "410-9"), ("person", "Nell Ashe")):
        with shop.book.reading() as reader:
            rows = list(reader.rows("SELECT provisional FROM described WHERE kind=? AND name=?",
                                    (kind, name)))  # fmt: skip
        assert rows == [("yes",)], kind


def test_unit_and_circuit_in_two_columns(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Date,Unit,Circuit,Added,Tank,Tech
        3/1/26,RTU-2,A,1,410-1,TB
        3/2/26,RTU-2/A,A,2,410-1,TB
        3/3/26,RTU-2,RTU-2/B,1,410-1,TB
        3/4/26,,RTU-2/B,2,410-1,TB
        3/5/26,RTU-2/A,B,1,410-1,TB
    """))  # fmt: skip
    assert [move[2][8:] for move in shop.moves()] == ["RTU-2/A", "RTU-2/A", "RTU-2/B", "RTU-2/B"]
    assert reasons(report) == {6: "value-unclear"}
