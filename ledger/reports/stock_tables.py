"""The tables of stock: cylinder inventory and pounds balance, by sheet key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from ledger.facts.mass import Mass, pounds
from ledger.reports.definitions import load
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.inventory import CylinderLine
    from ledger.answers.pounds_balance import PoundsLine
    from ledger.answers.working import Working
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

_BALANCE = {
    "opening": "opening", "brought_forward": "brought_forward", "received": "received",
    "recovered_in": "recovered", "transferred_in": "transferred_in", "charged_out": "charged",
    "transferred_out": "transferred_out", "shipped": "shipped", "returned": "returned",
    "heels": "heel", "losses": "released", "differences": "differences",
    "put_together": "put_together", "closing": "closing", "in_cylinders": "contents",
    "check": "difference",
}  # fmt: skip
"""Column of the report: member of a pounds line."""


def known_words(cut: Cut) -> str:
    """What had been recorded, in words; empty where everything counts."""
    if cut.known_at < 0:
        return "a time before the book began"
    return f"entry {cut.known_at}" if cut.known_at else ""


def common(reader: Reader, cut: Cut) -> dict[str, Any]:
    """As-of day, knowledge and head, as every table of a cut carries them."""
    return {
        "as_of": cut.as_of,
        "known_at": known_words(cut),
        "head": reader.head(),
    }


def columns_of(report: str, sheet: str) -> tuple[Column, ...]:
    """The columns of one sheet of a report definition."""
    return tuple(next(one.columns for one in load(report).sheets if one.key == sheet))


def pounds_tables(
    reader: Reader, cut: Cut, years: tuple[int, ...], refrigerant: str
) -> tuple[dict[str, Table], Callable[[], list[Working]]]:
    """The pounds balance by refrigerant and calendar year, and the cylinders behind it."""
    from ledger.book.reading import pounds_of

    keep = {"refrigerant": refrigerant} if refrigerant else None
    lines = [
        line
        for line in pounds_of(reader, cut, keep=keep)
        if not years or int(line.period[:4]) in years
    ]
    rows = [_pounds_row(line) for line in lines]
    last = max((line.period for line in lines), default="")
    held = sum(line.contents for line in lines if line.period == last)
    balance = Table(
        "Pounds balance",
        columns_of("pounds-balance", "balance"),
        rows,
        answer=f"{pounds(held)} lb in cylinders at the end of {last}; {_closes(lines)}."
        if last
        else "No movement is on record.",
        **common(reader, cut),
    )
    contents = Table(
        "Cylinders",
        columns_of("pounds-balance", "cylinders"),
        _contents(reader, cut, keep, {line.period for line in lines}),
        **common(reader, cut),
    )
    return {"balance": balance, "cylinders": contents}, lambda: [one.working() for one in lines]


def _closes(lines: Iterable[PoundsLine]) -> str:
    open_lines = sum(1 for line in lines if line.difference)
    return f"{open_lines} lines do not close" if open_lines else "every line closes"


def _pounds_row(line: PoundsLine) -> dict[str, Any]:
    row: dict[str, Any] = {key: Mass(getattr(line, name)) for key, name in _BALANCE.items()}
    return row | {"year": int(line.period[:4]), "refrigerant": line.refrigerant}


def _contents(
    reader: Reader, cut: Cut, keep: Mapping[str, str] | None, periods: set[str]
) -> list[dict[str, Any]]:
    """What each cylinder held at the end of each year, and where it was."""
    from ledger.answers.balances import PERIOD, Asked
    from ledger.book.reading import balances_of

    asked = Asked(("refrigerant", "cylinder", "place", PERIOD), keep or {}, "year")
    found = balances_of(reader, cut, asked)
    return [
        {
            "year": int(one.key[3][:4]), "refrigerant": one.key[0], "cylinder": one.key[1],
            "place": one.key[2], "contents": Mass(one.closing),
        }
        for one in found
        if one.closing and one.key[3] in periods
    ]  # fmt: skip


def inventory_tables(
    reader: Reader, cut: Cut, filters: Mapping[str, str], every: bool
) -> dict[str, Table]:
    """Every cylinder with what it holds, and the pounds of each refrigerant.

    `filters` keeps to a refrigerant, place, owner of the contents, kind or state; `every`
    lists those, too, that are gone.
    """
    from ledger.book.reading import inventory_of

    keep = {name: value for name, value in filters.items() if value}
    rows = [_cylinder_row(line) for line in inventory_of(reader, cut, keep, every)]
    total = sum(row["book_lb"] or 0 for row in rows)
    open_ones = sum(1 for row in rows if row["provisional"])
    left = f"; {open_ones} to complete" if open_ones else ""
    cylinders = Table(
        "Cylinders",
        columns_of("cylinder-inventory", "cylinders"),
        rows,
        answer=f"{counted(len(rows), 'cylinder')}, {pounds(total)} lb by the book{left}.",
        **common(reader, cut),
    )
    return {"cylinders": cylinders, "refrigerants": _by_refrigerant(reader, cut, rows)}


def _cylinder_row(line: CylinderLine) -> dict[str, Any]:
    one = line.cylinder
    state = one.state or ("to complete" if one.provisional else "")
    return {
        "cylinder": line.name,
        "kind": one.kind,
        "refrigerant": line.refrigerant or one.gas,
        "place": one.place,
        "stock": line.stock,
        "owner": line.owner,
        "tare": one.tare.weight.mass if one.tare else None,
        "last_gross": one.weighed.gross.mass if one.weighed else None,
        "weighed_on": one.weighed.day if one.weighed else None,
        "net": line.net,
        "book_then": Mass(line.book_then) if one.weighed else None,
        "difference": line.difference,
        "book_lb": None if one.gas else Mass(line.book),
        "state": state,
        "requalification_due": one.requalification_due or None,
        "provisional": one.provisional,
    }


def _by_refrigerant(reader: Reader, cut: Cut, rows: list[dict[str, Any]]) -> Table:
    found: dict[str, dict[str, Any]] = {}
    for row in rows:
        if row["book_lb"] is None:
            continue
        one = found.setdefault(row["refrigerant"], {
            "refrigerant": row["refrigerant"], "cylinders": 0, "virgin_lb": 0, "reclaimed_lb": 0,
            "recovered_lb": 0, "unknown_lb": 0, "book_lb": 0,
        })  # fmt: skip
        one["cylinders"] += 1
        one["book_lb"] += row["book_lb"]
        one[f"{row['stock'] or 'unknown'}_lb"] += row["book_lb"]
    return Table(
        "By refrigerant",
        columns_of("cylinder-inventory", "refrigerants"),
        [found[name] for name in sorted(found)],
        **common(reader, cut),
    )
