"""Tables as JSON and CSV: exact, in a fixed order, and harmless to whatever opens them."""

from __future__ import annotations

import csv
import io
import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.facts.mass import POUND, Mass, Quantity, of_decimal
from ledger.reports.csv_out import render as csv_text
from ledger.reports.json_out import render as json_text
from ledger.reports.json_out import value_of
from ledger.reports.safe import for_csv, from_csv
from ledger.reports.table import UNKNOWN, Column, Table
from tests.reports.report_samples import lb

COLUMNS = [
    Column("date", "Date", "date"),
    Column("entry", "Entry", "whole"),
    Column("who", "Person"),
    Column("net", "Net", "mass", total="SUM"),
    Column("as", "As written", "quantity"),
    Column("rate", "Leak rate", "percent"),
    Column("on", "Rests on", "list"),
    Column("paid", "Deposit", "money", unit="USD"),
]
ROW: dict[str, object] = {
    "date": "2026-03-30",
    "entry": 13020,
    "who": 'June, "J"',
    "net": lb("1350.5"),
    "as": Quantity(lb("4.5"), "4 lb 8 oz"),
    "rate": Fraction(5, 24),
    "on": (12, 13),
    "paid": 7550,
    "not a column": 1,
}
TABLE = Table(
    "Additions",
    COLUMNS,
    [ROW, {"who": UNKNOWN, "net": UNKNOWN}],
    "One line.",
    as_of="2026-03-30",
    known_at="2026-04-01",
    head=(7, "ab" * 32),
    notes=["n"],
    cautions=["c"],
)


def test_json_is_exact_and_in_a_fixed_order() -> None:
    found = json.loads(json_text(TABLE))
    assert list(found) == [
        "title",
        "answer",
        "as_of",
        "known_at",
        "head",
        "columns",
        "rows",
        "totals",
        "cautions",
        "notes",
    ]
    assert found["head"] == {"number": 7, "digest": "ab" * 32}
    assert found["columns"][3] == {"key": "net", "heading": "Net", "kind": "mass", "unit": "lb"}
    assert found["rows"][0] == {
        "date": "2026-03-30",
        "entry": 13020,
        "who": 'June, "J"',
        "net": {"counts": 490061196548000, "lb": "1350.50"},
        "as": {"counts": 1632932532000, "lb": "4.50", "written": "4 lb 8 oz"},
        "rate": {"numerator": 5, "denominator": 24, "percent": "20.83"},
        "on": [12, 13],
        "paid": "75.50",
    }
    assert list(found["rows"][1]) == [column.key for column in COLUMNS]
    assert (found["rows"][1]["net"], found["rows"][1]["date"]) == ("unknown", None)
    assert found["totals"] == {"net": {"counts": 490061196548000, "lb": "1350.50"}}
    assert json.loads(json_text(Table("t", [], [])))["head"] is None


def test_json_says_when_pounds_have_no_finite_decimal() -> None:
    grams = of_decimal("3120", "g")
    assert value_of(COLUMNS[3], grams) == {
        "counts": 2496000000000,
        "lb": None,
        "lb_rounded": "6.88",
    }


def test_json_is_harmless_on_a_terminal_and_reads_back() -> None:
    nasty = "\x1b[2J\x9b31m\u202e\u2028\ud800 \u00e9"
    text = json_text(Table("t", [Column("a", "A")], [{"a": nasty}]))
    assert json.loads(text)["rows"][0]["a"] == nasty
    assert not set("\x1b\x9b\u202e\u2028\ud800") & set(text)
    assert "\u00e9" in text
    text.encode("utf-8")


@given(st.integers(-(10**17), 10**17))
def test_json_masses_are_what_was_given(counts: int) -> None:
    found = value_of(COLUMNS[3], counts)
    assert isinstance(found, dict) and found["counts"] == counts
    if found["lb"] is not None:
        assert Fraction(found["lb"]) * POUND == counts
    else:
        assert abs(Fraction(found["lb_rounded"]) * POUND - counts) * 200 <= POUND


@given(st.fractions())
def test_json_percentages_are_what_was_given(ratio: Fraction) -> None:
    found = value_of(COLUMNS[5], ratio)
    assert isinstance(found, dict)
    assert Fraction(found["numerator"], found["denominator"]) == ratio
    assert abs(Fraction(found["percent"]) - ratio * 100) <= Fraction(1, 200)


def test_csv_has_units_in_headings_and_plain_numbers() -> None:
    assert csv_text(TABLE) == (
        "Date,Entry,Person,Net (lb),As written,Leak rate (%),Rests on,Deposit (USD)\r\n"
        '2026-03-30,13020,"June, ""J""",1350.50,4 lb 8 oz,20.83,12; 13,75.50\r\n'
        ",,unknown,unknown,,,,\r\n"
    )


def test_csv_negative_numbers_stay_numbers() -> None:
    columns = [Column("d", "Difference", "mass"), Column("n", "Days", "whole"), Column("t", "T")]
    text = csv_text(Table("t", columns, [{"d": lb("-4.7"), "n": -3, "t": "-3"}]))
    assert text.splitlines()[1] == "-4.70,-3,'-3"


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+1",
        "-1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n=1",
        "'=1",
        "''=1",
        "\uff1d1",
        "=cmd|' /C'!A0",
    ],
)
def test_csv_text_never_begins_a_formula(text: str) -> None:
    guarded = for_csv(text)
    assert guarded == f"'{text}"
    assert from_csv(guarded) == text


@pytest.mark.parametrize("text", ["O'Hara", "'s-Gravenzande", "R-410A", "1 - 2", "", "a\nb"])
def test_csv_leaves_other_text_alone(text: str) -> None:
    assert for_csv(text) == text == from_csv(text)


@given(
    st.lists(
        st.text(
            st.characters(
                blacklist_categories=["Cs", "Cc"],
                blacklist_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
                "\ufffe\uffff",
            )
            | st.sampled_from("=+-@'\t\r\n\",;")
        ),
        min_size=1,
        max_size=5,
    )
)
def test_csv_round_trip(texts: list[str]) -> None:
    table = Table("t", [Column("a", "A"), Column("b", "B")], [{"a": t, "b": "end"} for t in texts])
    rows = list(csv.reader(io.StringIO(csv_text(table), newline="")))[1:]
    assert [(from_csv(one), two) for one, two in rows] == [(text, "end") for text in texts]


@given(st.integers(-(10**15), 10**15))
def test_csv_masses_are_within_a_millionth_of_a_pound(counts: int) -> None:
    text = csv_text(Table("t", [COLUMNS[3]], [{"net": Mass(counts)}])).splitlines()[1]
    assert abs(Fraction(text) * POUND - counts) * 2_000_000 <= POUND


def test_csv_drops_what_no_text_file_should_hold() -> None:
    assert for_csv("a\x00b\x1b[2Jc\u202ed") == "ab[2Jcd"
