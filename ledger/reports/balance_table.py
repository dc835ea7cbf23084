"""The table of balances grouped by whatever was asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from ledger.facts.mass import Mass, pounds
from ledger.facts.problems import refuse
from ledger.reports.stock_tables import common
from ledger.reports.table import Column, Table

if TYPE_CHECKING:
    from ledger.answers.balances import Balance
    from ledger.answers.working import Working
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

HEADINGS = {
    "cylinder": "Cylinder", "place": "Place", "refrigerant": "Refrigerant", "circuit": "Circuit",
    "stock": "Stock", "owner": "Owner", "site": "Site", "party": "Party", "year": "Year",
    "quarter": "Quarter", "month": "Month",
}  # fmt: skip
"""What a balance can be grouped by."""
PERIODS = ("year", "quarter", "month")


def balance_table(
    reader: Reader, cut: Cut, by: tuple[str, ...], filters: Mapping[str, str], first: str = "",
    last: str = "",
) -> tuple[Table, Callable[[], list[Working]]]:  # fmt: skip
    """Balances by the dimensions named, and a callable that builds their workings.

    Cylinder stock where only stock dimensions are named; net added where circuits or sites
    are; what went to and came from a party where parties are.
    """
    from ledger.answers.balances import PERIOD, Asked
    from ledger.book.reading import balances_of

    wrong = [name for name in by if name not in HEADINGS]
    unit = [name for name in by if name in PERIODS]
    if wrong or len(unit) > 1:
        raise refuse("option-unfit", f"A balance is not taken by {', '.join(wrong or unit)}.",
                     f"Choose of {', '.join(HEADINGS)}; one period.")  # fmt: skip
    dimensions = tuple(PERIOD if name in PERIODS else name for name in by)
    asked = Asked(
        dimensions, {k: v for k, v in filters.items() if v}, unit[0] if unit else "", first, last
    )
    try:
        family = asked.family()
    except ValueError as error:
        raise refuse("option-unfit", f"The balance cannot be taken so: {error}.",
                     "Group stock by cylinder, place, refrigerant, stock, owner; or circuits by"
                     " circuit, site, owner, refrigerant.") from None  # fmt: skip
    found = balances_of(reader, cut, asked)
    shown = [one for one in found if one.closing or unit]
    return _table(reader, cut, by, shown, family), lambda: [one.working() for one in shown]


def _table(
    reader: Reader, cut: Cut, by: tuple[str, ...], found: list[Balance], family: str
) -> Table:
    what = {"circuits": "Net added", "parties": "Net to them"}.get(family, "Book")
    columns = [Column(name, HEADINGS[name]) for name in by]
    columns.append(Column("pounds", what, "mass", total="SUM"))
    rows = [
        {**dict(zip(by, one.key, strict=True)), "pounds": Mass(one.closing)}
        for one in sorted(found, key=lambda one: one.key)
    ]
    total = sum(one.closing for one in found)
    words = {"circuits": "net added to circuits", "parties": "net to parties"}
    return Table(
        "Balance", columns, rows,
        answer=f"{pounds(total)} lb {words.get(family, 'in cylinders by the book')}.",
        notes=["Net added is what was put in less what was taken out, not what is in the circuit."]
        if family == "circuits" else [],
        **common(reader, cut),
    )  # fmt: skip
