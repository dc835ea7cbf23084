"""The table and its cells: what they accept, what they say, what they add up to."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from ledger.facts.mass import Quantity, of_decimal
from ledger.reports.cells import plain_number, shown, totals, totals_row
from ledger.reports.table import UNKNOWN, Column, Table
from tests.reports.report_samples import lb

NET = Column("net", "Net", "mass", total="SUM")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"key": "Net lb"}, "lower case"),
        ({"kind": "weight"}, "none of text, whole"),
        ({"kind": "mass", "total": "AVERAGE"}, "SUM or nothing"),
        ({"kind": "percent", "total": "SUM"}, "not added up"),
        ({"kind": "mass", "unit": "stone"}, "not a unit of mass"),
        ({"places": -1}, "not negative"),
    ],
)
def test_a_column_that_cannot_be_is_refused(fields: dict[str, object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Column(**{"key": "net", "heading": "Net", **fields})  # type: ignore[arg-type]


def test_two_columns_of_one_key_are_refused() -> None:
    with pytest.raises(ValueError, match="two columns of one key"):
        Table("t", [NET, NET], [])


@pytest.mark.parametrize(
    ("column", "label"),
    [
        (NET, "Net (lb)"),
        (Column("n", "Net", "mass", unit="kg"), "Net (kg)"),
        (Column("n", "Rate", "percent"), "Rate (%)"),
        (Column("n", "Deposit", "money", unit="USD"), "Deposit (USD)"),
        (Column("n", "Days", "whole"), "Days"),
    ],
)
def test_headings_carry_their_unit(column: Column, label: str) -> None:
    assert column.label() == label


@pytest.mark.parametrize(
    ("kind", "value", "words", "number"),
    [
        ("mass", lb("1350"), "1,350.00", "1350.00"),
        ("mass", lb("-4.7"), "-4.70", "-4.70"),
        ("mass", of_decimal("3120", "g"), "6.88", "6.878423"),
        ("mass", lb("7.375"), "7.38", "7.375"),
        ("mass", Quantity(lb("4.5"), "4 lb 8 oz"), "4.50", "4.50"),
        ("quantity", Quantity(lb("4.5"), "4 lb 8 oz"), "4 lb 8 oz", None),
        ("percent", Fraction(5, 24), "20.83", "20.83"),
        ("percent", 1, "100.00", "100.00"),
        ("whole", 13020, "13020", "13020"),
        ("money", 123456, "1,234.56", "1234.56"),
        ("list", (1, 2, 12), "1, 2, 12", None),
        ("date", "2026-03-30", "2026-03-30", None),
        ("text", 7, "7", None),
        ("mass", UNKNOWN, "unknown", None),
        ("percent", None, "", None),
    ],
)
def test_what_a_cell_says(kind: str, value: object, words: str, number: str | None) -> None:
    column = Column("c", "C", kind)  # type: ignore[arg-type]
    assert shown(column, value) == words
    assert plain_number(column, value) == number


@pytest.mark.parametrize("kind", ["mass", "whole", "money", "percent", "text", "date", "list"])
@pytest.mark.parametrize("value", [1.5, True, date(2026, 3, 30), b"x"])
def test_what_is_not_exact_is_refused(kind: str, value: object) -> None:
    with pytest.raises(TypeError):
        shown(Column("c", "C", kind), value)  # type: ignore[arg-type]


def test_totals_are_exact_and_say_when_something_is_unknown() -> None:
    columns = [Column("who", "Who"), NET]
    rows: list[dict[str, object]] = [{"who": str(n), "net": lb("0.1")} for n in range(10)]
    assert totals(Table("t", columns, rows)) == {"net": lb("1")}
    assert totals_row(Table("t", columns, rows)) == {"who": "Total", "net": lb("1")}
    rows += [{"who": "T4", "net": UNKNOWN}, {"who": "T5", "net": None}]
    assert totals_row(Table("t", columns, rows)) == {
        "who": "Total of what is known",
        "net": lb("1"),
    }
    assert totals_row(Table("t", columns[:1], rows)) == {}


def test_provenance_names_date_knowledge_and_head() -> None:
    table = Table("t", [NET], [], as_of="2026-03-30", known_at="2026-04-01", head=(7, "ab" * 32))
    assert table.provenance() == (
        "As of 2026-03-30; as recorded by 2026-04-01; entry 7, digest abababababab"
    )
    assert table.provenance(short=True) == "As of 2026-03-30; entry 7, digest abababababab"
    assert Table("t", [NET], []).provenance() == ""
