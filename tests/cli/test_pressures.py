"""At the gauge, without a book: saturation, pt, superheat, subcooling, evacuation, properties."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from ledger.properties.saturation import Properties, properties
from ledger.properties.units import SEA_LEVEL
from ledger.reports.property_tables import Pocket, pocket_of
from tests.cli.shop import Shop


@pytest.fixture
def bare(tmp_path: Path) -> Shop:
    """A folder with nothing in it."""
    return Shop(tmp_path)


def answer(shop: Shop, line: str) -> dict[str, Any]:
    """The answer as JSON."""
    said = shop.run(f"{line} --json")
    assert (said.code, said.err) == (0, ""), said
    found: dict[str, Any] = json.loads(said.out)
    return found


def test_saturation_either_way(bare: Shop) -> None:
    said = bare.ok('tarebook saturation R-410A "118 psig"')
    assert said[0] == (
        "R-410A at 118 psig: bubble point (liquid) 39.7 F, dew point (vapour) 39.8 F."
    )
    said = bare.ok('tarebook saturation 407c "40 F"')
    assert said[0] == (
        "R-407C at 40 F: bubble point (liquid) 80.2 psig, dew point (vapour) 63.2 psig."
    )
    assert bare.ok('tarebook saturation R-22 "4.4 C"')[0] == (
        "R-22 at 4.4 C: saturated at 68.4 psig."
    )


def test_every_unit_stands_in_the_json(bare: Shop) -> None:
    found = answer(bare, 'tarebook saturation R-410A "915 kPaa"')
    bubble, dew = found["rows"]
    assert bubble == {
        "point": "bubble", "fahrenheit": "39.7", "celsius": "4.3", "psig": "118.0",
        "psia": "132.7", "vacuum": None, "bara": "9.15", "kpaa": "915", "density": "71.960",
        "kilograms": "1152.68", "of": "liquid",
    }  # fmt: skip
    assert dew["of"] == "vapour"


def test_a_reading_may_begin_with_a_minus(bare: Shop) -> None:
    assert bare.ok('tarebook saturation R-404A "-40 F"')[0].startswith("R-404A at -40 F: bubble")
    assert bare.ok('tarebook saturation R-134a "-5 psig"')[0].startswith("R-134a at -5 psig: sat")
    assert bare.ok("tarebook superheat R-404A --line -10 --pressure 5")[0].startswith("Superheat")


def test_a_gauge_on_a_mountain_reads_higher(bare: Shop) -> None:
    sea = answer(bare, 'tarebook saturation R-134a "30 psig"')["rows"][0]
    high = answer(bare, 'tarebook saturation R-134a "30 psig" --altitude "7000 ft"')["rows"][0]
    also = answer(bare, 'tarebook saturation R-134a "30 psig" --barometer "23.09 inHg"')["rows"][0]
    assert float(sea["fahrenheit"]) - float(high["fahrenheit"]) == pytest.approx(3.8, abs=0.4)
    assert abs(float(also["fahrenheit"]) - float(high["fahrenheit"])) <= 0.1
    assert answer(bare, 'tarebook saturation R-134a "10 inHg"')["rows"][0]["vacuum"] == "10.0"


def test_without_sound_data_it_says_so_and_takes_what_is_typed_in(bare: Shop) -> None:
    found = answer(bare, 'tarebook superheat R-417A --line 50 --pressure "60 psig"')
    assert found["answer"].startswith("No sound data for R-417A, ")
    assert found["rows"] == []
    typed = bare.ok("tarebook superheat R-417A --line 50 --saturation 38.5")
    assert typed[0] == "Superheat 11.5 F: line 50.0 F, dew point 38.5 F (typed in)."
    assert bare.ok("tarebook subcooling -l 95 -s 105")[0] == (
        "Subcooling 10.0 F: line 95.0 F, bubble point 105.0 F (typed in)."
    )
    assert "above its critical temperature of 87.8 F" in bare.ok(
        'tarebook saturation R-744 "90 F"'
    )[0]  # fmt: skip
    for line in ("superheat R-502 -l 50 -p 60", "subcooling R-502 -l 80 -p 180", "pt R-502"):
        found = answer(bare, f"tarebook {line}")
        assert found["answer"].startswith("No sound data for R-502, ") and found["rows"] == []
        assert "its dew point is off a published table" in found["answer"]


def test_superheat_and_subcooling_take_their_own_point(bare: Shop) -> None:
    """F-036, F-037: dew point for superheat, bubble point for subcooling; 0.7 F."""
    found = answer(bare, "tarebook superheat R-407C --line 50 --pressure 70")
    assert float(found["rows"][0]["difference"]) == pytest.approx(5.46, abs=0.7)
    assert found["rows"][0]["point"] == "dew point"
    found = answer(bare, "tarebook subcooling R-410A --line 95 --pressure 340")
    assert float(found["rows"][0]["difference"]) == pytest.approx(9.61, abs=0.7)
    assert found["rows"][0]["point"] == "bubble point"
    below = bare.ok("tarebook superheat R-410A --line 30 --pressure 118")
    assert below[0].startswith("Superheat -9.8 F")
    assert any("Superheat below 0: liquid and vapour together" in line for line in below)


def test_explain_names_versions_bound_and_formula(bare: Shop) -> None:
    said = "\n".join(bare.ok("tarebook superheat R-407F -l 60 -p 80 --explain"))
    for words in (
        "temperature of the suction line less the dew point",
        "data: property table 1 of CoolProp 8.0.0 (as R407F.mix there)",
        "interpolation, against CoolProp: pressure within 0.0010 %",
        "CoolProp, against published tables: bubble +0.07 F at 1 atm",
        "CoolProp's own solver gives up at some of these; found at equal fugacities",
    ):
        assert words in said
    notes = answer(bare, "tarebook superheat R-407F -l 60 -p 80 --explain")["notes"]
    assert any("property table 1 of CoolProp 8.0.0" in note for note in notes)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("saturation R-32 '40 F'", "very high pressure (40 CFR 82.152)"),
        ("saturation R-32 '40 F'", "flammable (A2L)"),
        ("superheat R-717 -l 20 -p 20", "toxic (B2L)"),
        ("pt R-290", "flammable (A3)"),
        ("evacuation R-454B --charge 20", "check the gauge and local code"),
    ],
)
def test_a_caution_of_one_line_stands_at_the_point_of_use(
    bare: Shop, line: str, words: str
) -> None:
    cautions = [text for text in bare.ok(f"tarebook {line}") if text.startswith("Caution: ")]
    assert len(cautions) == 1 and words in cautions[0]


def test_where_nothing_is_usual_no_caution_stands(bare: Shop) -> None:
    assert not any("Caution" in line for line in bare.ok('tarebook saturation R-134a "40 F"'))


def test_the_pocket_table_shows_vacuum_as_a_gauge_does(bare: Shop) -> None:
    said = bare.ok("tarebook pt R-134a --from -40 --to 0 --step 20")
    assert [line.split() for line in said if line.startswith("    ")] == [
        ["-40", "14.8", "inHg"], ["-20", "3.7", "inHg"], ["0", "6.5"],
    ]  # fmt: skip
    rows = answer(bare, "tarebook pt R-454B --from 0 --to 10 --unit bara --celsius")["rows"]
    assert rows == [
        {"temperature": "0", "bubble": "7.67", "dew": "7.32"},
        {"temperature": "5", "bubble": "8.97", "dew": "8.57"},
        {"temperature": "10", "bubble": "10.42", "dew": "9.97"},
    ]
    short = bare.ok("tarebook pt R-744 --from 70 --to 100 --step 5")
    assert short[0] == "R-744, 70 to 85 F, psig."
    assert any("Proven from 70 to 85 F" in line for line in short)
    none = bare.ok("tarebook pt R-744 --from 100 --to 120")
    assert none[0].startswith("No sound data for R-744 at these temperatures")


def test_an_empty_column_says_why() -> None:
    one = properties("R-454B")
    assert isinstance(one, Properties)
    record = replace(one.record, dropped={"dew": "off a published table (+3 F)"})
    pocket = Pocket(0, 40, 20, "F", "psig", SEA_LEVEL)
    table, _ = pocket_of(replace(one, record=record, dew=None), pocket)
    assert [sorted(row) for row in table.rows] == [["bubble", "temperature"]] * 3
    assert "No sound data for R-454B, dew point: off a published table (+3 F)." in table.notes


def test_a_column_of_vacuum_shows_gauge_pressure_above_the_air(bare: Shop) -> None:
    found = answer(bare, "tarebook pt R-134a --from -20 --to 0 --step 20 --unit inHg")
    assert [row["saturation"] for row in found["rows"]] == ["3.7", "6.5 psig"]
    note = "inHg: inches of mercury of vacuum, under the air."
    assert note in found["notes"]
    assert "psig: above the air, where there is no vacuum." in found["notes"]
    under = answer(bare, "tarebook pt R-134a --from -40 --to -20 --step 20 --unit inHg")["notes"]
    assert note in under and not any(line.startswith("psig:") for line in under)
    for line in ("--from 0", "--unit psia"):
        assert note not in answer(bare, f"tarebook pt R-134a {line}")["notes"]
    assert note in answer(bare, 'tarebook saturation R-134a "-20 F"')["notes"]
    assert note not in answer(bare, 'tarebook saturation R-134a "20 F"')["notes"]
    assert note in answer(bare, "tarebook superheat R-123 -l 60 -p '18 inHg'")["notes"]
    assert note not in answer(bare, "tarebook superheat R-123 -l 90 -p 2")["notes"]


def test_the_page_to_print_is_upright_and_complete(bare: Shop) -> None:
    assert bare.ok("tarebook pt R-448A --xlsx pt.xlsx") == ["Wrote pt.xlsx."]
    sheet = openpyxl.load_workbook(bare.folder / "pt.xlsx").active
    assert sheet.page_setup.orientation == "portrait" and sheet.page_setup.fitToWidth == 1
    assert sheet["A1"].value == "Pressure and temperature of R-448A"
    headings = [cell.value for cell in sheet[5]]
    assert headings[:3] == ["Temperature (F)", "Bubble (liquid) (psig)", "Dew (vapour) (psig)"]
    rows = list(sheet.iter_rows(min_row=6, max_row=44, max_col=3, values_only=True))
    assert [row[0] for row in rows] == list(range(-40, 151, 5))
    assert all(isinstance(row[1], int | float) for row in rows)
    words = " ".join(str(cell.value) for row in sheet.iter_rows(min_row=45) for cell in row)
    assert "Superheat is counted from the dew point" in words and "Caution: R-448A" in words
    assert "property table 1 of CoolProp 8.0.0" in sheet.oddFooter.right.text


def test_the_evacuation_level_by_class_charge_and_machine(bare: Shop) -> None:
    line = "tarebook evacuation R-410A --charge 250 --machine-made 2015 --on 2026-03-30"
    assert bare.ok(line)[0] == (
        "R-410A (high pressure): evacuate to 10 in Hg vacuum (40 CFR 82.156(a))."
    )
    row = answer(bare, line)["rows"][0]
    assert (row["psia"], row["mmhg"], row["gauge"]) == ("9.77", "505", "10.0")
    high = answer(bare, f'{line} --altitude "5280 ft"')["rows"][0]
    assert (high["psia"], high["gauge"]) == ("9.77", "4.7")
    unknown = bare.ok("tarebook evacuation R-134a")[0]
    assert "Enough for all: 15 in Hg vacuum" in unknown
    assert "the full charge, the day the recovery equipment was made" in unknown
    assert "25 mm Hg absolute" in bare.ok("tarebook evacuation r123 --machine-made 1994-05-02")[0]
    assert "0 in Hg vacuum" in bare.ok("tarebook evacuation R-32 --charge 900")[0]
    small = bare.ok("tarebook evacuation R-600a --small --not-running --machine-made 2015")
    assert "recover 80 % of the refrigerant, or evacuate to 4 in Hg vacuum" in small[0]
    assert any("Some end uses of this refrigerant are exempt" in note for note in small)
    by_class = bare.ok('tarebook evacuation --class "very high"')
    assert by_class[0].startswith("very high pressure: evacuate to 0 in Hg vacuum")


def test_properties_tell_class_gravity_and_what_is_left_out(bare: Shop) -> None:
    found = answer(bare, "tarebook properties R-410A")
    row = found["rows"][0]
    assert (row["pressure_class"], row["psia_104f"], row["gravity"]) == ("high", "351.8", "1.062")
    assert found["notes"][0] == "The pressure is within 2 % of the line at 355 psia."
    every = answer(bare, "tarebook properties")
    assert every["answer"] == "85 refrigerants with sound data, 32 without."
    by_name = {row["refrigerant"]: row for row in every["rows"]}
    assert by_name["R-417A"]["left_out"].startswith("everything: off a published table")
    assert by_name["R-502"]["left_out"].startswith("everything: its dew point is off")


@pytest.mark.parametrize(
    ("line", "error"),
    [
        ("saturation R-22 118", '"118" can be a pressure or a temperature. Write 118 psig or 118 F.'
         " [quantity-unclear]"),
        ("saturation R-22 '8 bar'", '"8 bar" can be gauge or absolute. Write 8 barg or 8 bara.'
         " [quantity-unclear]"),
        ("saturation R-22 '-20 psig'", '"-20 psig" is below a full vacuum, -14.70 psig here.'
         " Look at the unit and at the altitude. [quantity-unclear]"),
        ("superheat R-123 -l 60 -p -18inHg", '"-18inHg" can be a vacuum or a pressure above the'
         " air. Write 18 inHg (vacuum) or 8.8 psig. [quantity-unclear]"),
        ("pt R-22 --unit furlong", '"furlong" is no unit of pressure. Choose psig, psia, inHg,'
         " barg, bara, kPag, kPaa. [value-unclear]"),
        ("pt R-22 --from 50 --to 40", "50 to 40 by 5 makes no table. Give --from below --to, and"
         " steps of 1 or more that make 1,000 rows at most. [option-unfit]"),
        ("superheat -l 50 -p 70", "The refrigerant is not given. Name it, or type the saturation in"
         " with --saturation. [field-missing]"),
        ("superheat R-22 -l 50", "Pressure there is not given. Add --pressure. [field-missing]"),
        ("superheat R-22 -l 50 -p 70 -s 40", "The saturation is given twice. Give --pressure or"
         " --saturation. [option-unfit]"),
        ("evacuation R-600a --small --charge 6lb", "A small appliance holds 5 lb or less, not 6lb."
         " Leave --small out, or put the charge right. [option-unfit]"),
        ("evacuation R-22 --machine-made 2030 --on 2026-03-30", "The equipment was made 2030, after"
         " the day of the work (2026-03-30). Give the day on its plate. [date-future]"),
        ("evacuation R-22 --charge 0", "The full charge is 0. Give it, or leave it out where it is"
         " not known. [amount-not-positive]"),
        ("evacuation R-22 --not-running", "--not-running matters for a small appliance only. Leave"
         " it out, or add --small. [option-unfit]"),
        ("evacuation R-22 --class soft", '"soft" is no pressure class. Choose low, medium, high,'
         " very high. [value-unclear]"),
        ("evacuation", "The refrigerant is not given. Name it, or give --class. [field-missing]"),
        ("evacuation R-22 --machine-made 1993", "1993 is the year in which the levels changed, on"
         " 15 November. Give the day, or leave it out. [date-unclear]"),
        ("evacuation R-22 --on 1990-01-01", "The levels were not in force on 1990-01-01. Give the"
         " day of the work. [value-unclear]"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_in_a_sentence(bare: Shop, line: str, error: str) -> None:
    said = bare.run(f"tarebook {line}")
    assert (said.code, said.out, said.err) == (2, "", f"{error}\n")
