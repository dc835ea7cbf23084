"""Deposits out, and a supplier's statement held against them, as tables."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.answers.deposits import RESULTS, Compared, Deposit, compared
from ledger.reports.custody_words import dollars
from ledger.reports.stock_tables import common
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

DEPOSIT_COLUMNS = (
    Column("cylinder", "Cylinder"),
    Column("serial", "Serial"),
    Column("supplier", "Supplier"),
    Column("out", "Out", "date"),
    Column("back", "Back", "date"),
    Column("days", "Days", "whole"),
    Column("deposit", "Deposit", "money", unit="$", total="SUM"),
    Column("credited", "Credited", "money", unit="$", total="SUM"),
    Column("entry", "Entry", "whole"),
)
COMPARED_COLUMNS = (
    Column("result", "Result", width=32),
    Column("supplier", "Supplier"),
    Column("cylinder", "Cylinder"),
    Column("ours", "Our deposit", "money", unit="$"),
    Column("theirs", "Their deposit", "money", unit="$"),
    Column("out", "Out by our book", "date"),
    Column("their_out", "Out by theirs", "date"),
    Column("back", "Back", "date"),
    Column("days", "Days", "whole"),
    Column("entry", "Entry", "whole"),
)


def deposit_table(reader: Reader, cut: Cut, today: str, supplier: str = "") -> Table:
    """Deposits that are out, or back and not credited in full, the longest out first."""
    from ledger.book.deposits import deposits_of

    found = [
        one for one in deposits_of(reader, cut)
        if (not supplier or one.supplier == supplier) and (not one.back or one.credited < one.cents)
    ]  # fmt: skip
    found.sort(key=lambda one: (one.out, one.cylinder))
    total = sum(one.cents - one.credited for one in found)
    return Table(
        "Deposits", DEPOSIT_COLUMNS, [_row(one, today) for one in found],
        answer=f"{counted(len(found), 'deposit')} open, {dollars(total)}.",
        **common(reader, cut),
    )  # fmt: skip


def _row(one: Deposit, today: str) -> dict[str, Any]:
    return {
        "cylinder": one.cylinder, "serial": one.serial or None, "supplier": one.supplier,
        "out": one.out, "back": one.back or None, "days": one.days(today), "deposit": one.cents,
        "credited": one.credited or None, "entry": one.entry,
    }  # fmt: skip


def compared_table(reader: Reader, cut: Cut, today: str, supplier: str = "") -> Table:
    """Our deposits against the last statement of each supplier, with one of four results each."""
    from ledger.book.deposits import deposits_of, listed_of

    found = [
        one
        for one in compared(deposits_of(reader, cut), listed_of(reader, cut))
        if not supplier or one.supplier == supplier
    ]
    counts = (f"{sum(one.result == result for one in found)} {result}" for result in RESULTS)
    return Table(
        "Deposits against the supplier's statement", COMPARED_COLUMNS,
        [_compared_row(one, today) for one in found], answer=f"{'; '.join(counts)}.",
        **common(reader, cut),
    )  # fmt: skip


def _compared_row(one: Compared, today: str) -> dict[str, Any]:
    ours, theirs = one.ours, one.theirs
    return {
        "result": one.result, "supplier": one.supplier, "cylinder": one.cylinder,
        "ours": ours.cents if ours else None, "theirs": theirs.cents if theirs else None,
        "out": ours.out if ours else None, "their_out": (theirs.out or None) if theirs else None,
        "back": (ours.back or None) if ours else None,
        "days": ours.days(today) if ours else None,
        "entry": ours.entry if ours else theirs.entry if theirs else None,
    }  # fmt: skip
