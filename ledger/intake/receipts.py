"""Knows a sheet of deliveries by its headings, and pounds that a list of things would only note."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.intake.headers import MOVEMENTS, field_of, header_unit, header_words

_AMOUNTS = frozenset(("amount", "added", "recovered", "gross before", "gross after"))
_DAY_WORDS = frozenset(("received", "rec d", "recd", "delivered", "delivery", "bought"))
"""Headings that mean a day where a supplier or an invoice stands beside them."""


def with_day_received(headers: Sequence[str], columns: Mapping[str, str]) -> dict[str, str]:
    """The columns of a sheet of pounds with "Received" as its day, where that is what it holds."""
    fields = set(columns.values())
    if "date" in fields or not fields & {"supplier", "invoice"}:
        return dict(columns)
    days = [one for one in headers if header_words(one) in _DAY_WORDS and one not in columns]
    if len(days) != 1:
        return dict(columns)
    found = dict(columns) | {days[0]: "date"}
    return {one: found[one] for one in headers if one in found}


def are_receipts(columns: Mapping[str, str], plainly: bool = False) -> bool:
    """Whether headings are those of deliveries: a day, pounds, and a supplier with an invoice.

    Pounds that are said to be received need only one of the two; `plainly` wants them said so.
    """
    of = {name: header for header, name in columns.items()}
    if not of.keys() >= {"date", "amount"} or of.keys() & {"added", "recovered", "action", "unit"}:
        return False
    sold = len(of.keys() & {"supplier", "invoice"})
    received = "received" in header_words(of["amount"]).split()
    return sold > 0 and (received or (sold == 2 and not plainly))


def heads_amount(kind: str, header: str) -> bool:
    """Whether a heading is of pounds moved, and none that a list of this kind has a place for."""
    return not field_of(kind, header) and field_of(MOVEMENTS, header) in _AMOUNTS


def amounts_noted(headers: Sequence[str], kind: str, declared: bool) -> list[str]:
    """The question about pounds that a list would only keep as a note.

    Where the sheet's name declares its kind, only a heading with a unit of weight is asked about.
    """
    lost = [
        one for one in headers
        if one and heads_amount(kind, one) and (header_unit(one) or not declared)
    ]  # fmt: skip
    if not lost:
        return []
    named = " and ".join(f'"{one}"' for one in lost)
    return [
        f"Which records are these? The headings are those of a list of {kind}s, in which {named}"
        " would only be a note. Ignore the column, or name the sheet for what its rows are, such"
        " as Receipts or Charges."
    ]
