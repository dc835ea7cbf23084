"""One row after another: what is recorded of it, what is flagged, and what keeps it out."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.facts.facts import Setting
from ledger.facts.problems import Refused
from ledger.intake.columns import SETTING, ColumnMap
from tests.intake.shop import Shop, flags, new, reasons, table

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
        3/2/26,RTU-1,1,410-1,TB,-,,n/a,
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
def test_what_cannot_be_read_or_cannot_be_true_is_rejected(
    shop: Shop, row: str, code: str, cell: str
) -> None:
    before = shop.head()
    report = shop.take(shop.csv(JOBS + "\n" + row))
    (rejected,) = report.rejected
    assert report.counts == {"rejected": 1} and shop.head() == before
    first = rejected.problems[0]
    assert (first.code, first.where) == (code, f"jobs.csv!{cell}")
    assert first.sentence.endswith(".") and first.remedy


def test_near_matches_are_offered(shop: Shop) -> None:
    report = shop.take(shop.csv(JOBS + "\n3/1/26,RTU 1,1,,410.1,,TB,"))
    cylinder, unit = report.rejected[0].problems
    assert "410-1" in cylinder.remedy and cylinder.where == "jobs.csv!E2"
    assert "RTU-1" in unit.remedy and unit.where == "jobs.csv!B2"


def test_a_unit_of_another_site_is_not_the_one_meant(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Date,Site,Unit,Added,Tank,Tech
        3/1/26,Ashdown Market,RTU-1,1,410-1,TB
        3/1/26,Bellmoor Tower,RTU-1,1,410-1,TB
        3/1/26,some other words,RTU-1,1,410-1,TB
    """))  # fmt: skip
    assert reasons(report) == {3: "unknown-id"}
    assert "is recorded at Ashdown Market" in report.rejected[0].problems[0].sentence


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
    assert "CH-1, RTU-3" in report.rejected[0].problems[0].sentence


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


# --- the file as a whole -----------------------------------------------------------------
def test_rows_that_are_none_are_counted(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Refrigerant log 2026,,,,
        ,,,,
        Date,Unit,Added,Tank,Tech
        3/1/26,RTU-1,1,410-1,TB

        Date,Unit,Added,Tank,Tech
        3/2/26,RTU-1,1,410-1,TB
        ,,,,
    """))  # fmt: skip
    assert report.counts == {"recorded": 2}
    assert +report.skipped == {"above the headings": 1, "empty": 2, "headings repeated": 1}


def test_masters_go_in_before_what_names_them_whatever_the_order_of_the_tabs(shop: Shop) -> None:
    path = shop.xlsx({
        "Charges": [["Date", "Unit", "lb", "Tank", "Tech"], ["3/5/26", "AC-7", 2, "410-9", "Nell"]],
        "Received": [["Date", "Supplier", "Tank", "Net lb", "Refrigerant"],
                     ["3/1/26", "Dale Gases", "410-9", 25, "410a"]],
        "Cylinders": [["Cyl #", "Type", "Refrigerant"], ["410-9", "disposable", "R-410A"]],
        "Units": [["Unit", "Site", "Refrigerant"], ["AC-7", "Quarry Rd 2", "410A"]],
        "Techs": [["Name", "Card"], ["Nell", "Universal 5"]],
        "Sites": [["Site", "Owner"], ["Quarry Rd 2", "Jo Merriden"]],
        "Suppliers": [["Supplier"], ["Dale Gases"]],
        "Customers": [["Customer", "Note"], ["Jo Merriden", ""]],
    })  # fmt: skip
    report = shop.take(path, strict=True)
    assert report.counts == {"recorded": 8}
    assert shop.held("410-9") == "23.00"


def test_only_the_sheets_that_are_asked_for(shop: Shop) -> None:
    head = ["Date", "Unit", "lb", "Tank", "Tech"]
    path = shop.xlsx({
        "Charges": [head, ["3/5/26", "RTU-1", 2, "410-1", "TB"]],
        "Charges 2": [head, ["3/6/26", "RTU-1", 2, "410-1", "TB"]],
        "Colours": [["a", "b"]],
    })  # fmt: skip
    report = shop.take(path, sheets=["charges 2"])
    assert [move[0] for move in shop.moves()] == ["2026-03-06"]
    assert report.sheets == [("Charges 2", "movements", 1)]
    assert shop.take(path).notes == [
        "Sheet Colours was left out: it has no headings that are known."
    ]
    with pytest.raises(Refused) as caught:
        shop.take(path, sheets=["Charges 3"])
    assert caught.value.problems[0].code == "option-unfit"
    with pytest.raises(Refused) as caught:
        shop.take(path, sheets=["Colours"])
    assert caught.value.problems[0].code == "column-map-needed"


def test_a_hidden_sheet_is_not_taken_in_unasked(shop: Shop) -> None:
    head = ["Date", "Unit", "lb", "Tank", "Tech"]
    path = shop.xlsx({"Charges": [head, ["3/5/26", "RTU-1", 2, "410-1", "TB"]],
                      "Charges old": [head, ["3/6/25", "RTU-1", 2, "410-1", "TB"]]})  # fmt: skip
    from openpyxl import load_workbook

    book = load_workbook(path)
    book["Charges old"].sheet_state = "hidden"
    book.save(path)
    assert shop.take(path).notes == ["Hidden sheets were left out: Charges old."]
    assert len(shop.moves()) == 1
    assert shop.take(path, sheets=["Charges old"]).recorded == 1


@pytest.mark.parametrize(
    "text",
    ["Colour,Shape\nred,round\n", "Date,Unit,lb,Tank\n3/1/26,RTU-1,1,410-1\n", "just words\n"],
)
def test_a_sheet_that_cannot_be_read_by_its_headings_is_asked_about(shop: Shop, text: str) -> None:
    before = shop.head()
    with pytest.raises(Refused) as caught:
        shop.take(shop.csv(text))
    assert {problem.code for problem in caught.value.problems} == {"column-map-needed"}
    assert shop.head() == before


ODD = "Wann,Wo,Wieviel,Flasche,Wer\n01.03.26,RTU-1,2.5,410-1,TB\n"
ODD_MAP = ColumnMap(
    "odd", "movements",
    {"Wann": "date", "Wo": "unit", "Wieviel": "amount", "Flasche": "cylinder", "Wer": "technician"},
    {"action": "charge"}, unit="kg", date_order="dmy",
)  # fmt: skip


def test_a_map_makes_any_headings_readable(shop: Shop) -> None:
    assert shop.take(shop.csv(ODD), ODD_MAP).recorded == 1
    assert shop.moves() == [("2026-03-01", "cylinder:410-1", "circuit:RTU-1", "R-410A", "2.5 kg")]


def test_a_map_kept_in_the_book_is_used_where_its_headings_are(shop: Shop) -> None:
    shop.record(Setting(SETTING, "odd", ODD_MAP.body()))
    assert shop.take(shop.csv(ODD)).recorded == 1
    assert shop.take(shop.csv(JOBS + "\n3/2/26,RTU-1,1,,410-1,,TB,", "two.csv")).recorded == 1


def test_a_map_that_has_no_sheet_or_is_wrong_is_refused(shop: Shop) -> None:
    with pytest.raises(Refused) as caught:
        shop.take(shop.csv(ODD), ColumnMap("bad", "movements", {"Wann": "moon"}))
    assert caught.value.problems[0].code == "field-unknown"


def test_a_dry_run_says_the_same_and_writes_nothing(shop: Shop) -> None:
    path, before = shop.csv(FAULTS + GAPS.partition("\n")[2]), shop.head()
    planned = shop.take(path, dry_run=True)
    assert shop.head() == before and shop.entries() == []
    done = shop.take(path)
    assert planned.counts == done.counts and planned.flagged == done.flagged
    assert (planned.first, planned.last) == (done.first, done.last)


def test_nothing_is_recorded_of_a_file_that_breaks_off(shop: Shop) -> None:
    before = shop.head()
    rows = "".join(f"3/{day}/26,RTU-1,1,,410-1,,TB,\n" for day in range(1, 20))
    with pytest.raises(Refused) as caught:
        shop.take(shop.csv(JOBS + "\n" + rows + '3/20/26,"RTU-1,1,,410-1,,TB,'))
    assert caught.value.problems[0].code == "file-unfit"
    assert shop.head() == before


def test_progress_is_told(shop: Shop) -> None:
    from ledger.intake.importing import run_import

    told: list[tuple[int, int]] = []
    path = shop.csv(JOBS + "\n3/1/26,RTU-1,1,,410-1,,TB,\n3/2/26,RTU-1,x,,410-1,,TB,")
    run_import(shop.book, path, moment=shop.moment, progress=lambda *at: told.append(at))
    assert told == [(2, 2)]


def test_the_report_as_plain_values(shop: Shop, tmp_path: Path) -> None:
    import json

    body = shop.take(shop.csv(GAPS + "3/4/26,RTU-1,4-8,,410-1,,TB,")).body()
    assert json.loads(json.dumps(body)) == body
    assert body["rows"] == {"recorded": 0, "flagged": 3, "already": 0, "rejected": 1}
    assert body["rejected"][0]["problems"][0]["code"] == "quantity-unclear"


def test_unit_and_circuit_in_two_columns(shop: Shop) -> None:
    report = shop.take(shop.csv("""
        Date,Unit,Circuit,Added,Tank,Tech
        3/1/26,RTU-2,A,1,410-1,TB
        3/2/26,RTU-2/A,A,1,410-1,TB
        3/3/26,RTU-2,RTU-2/B,1,410-1,TB
        3/4/26,,RTU-2/B,1,410-1,TB
        3/5/26,RTU-2/A,B,1,410-1,TB
    """))  # fmt: skip
    assert [move[2][8:] for move in shop.moves()] == ["RTU-2/A", "RTU-2/A", "RTU-2/B", "RTU-2/B"]
    assert reasons(report) == {6: "value-unclear"}


def test_a_look_says_how_each_sheet_would_be_read_and_records_nothing(shop: Shop) -> None:
    from ledger.intake.importing import look_at

    shop.record(Setting(SETTING, "odd", ODD_MAP.body()))
    head = ["Date", "Unit", "lb", "Weather"]
    odd_rows = [["a title"], *(line.split(",") for line in ODD.split())]
    mine_rows = [head, ["3/1/26", "RTU-1", 1, "hot"]]
    path = shop.xlsx({"Odd": odd_rows, "Mine": mine_rows, "Words": [["nothing"]]})
    before = shop.head()
    odd, mine, words = look_at(shop.book, path, moment=shop.moment)
    assert odd.proposal is not None and odd.proposal.lines() == [
        "Sheet Odd: pounds moved, headings in row 2.",
        "  A Wann: date",
        "  B Wo: unit",
        "  C Wieviel: amount",
        "  D Flasche: cylinder",
        "  E Wer: technician",
        "  every row: action = charge",
    ]
    assert mine.proposal is not None and "  D Weather: kept as a note" in mine.proposal.lines()
    assert not mine.proposal.ready and words.proposal is None
    assert shop.head() == before
