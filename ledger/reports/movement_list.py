"""Every movement of pounds as one flat row, for filters and pivot tables."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ledger.reports.listed import (
    HEAD_COLUMNS,
    PEOPLE_COLUMNS,
    TAIL_COLUMNS,
    Lines,
    Wanted,
    unit_of,
)
from ledger.reports.listing import Listing
from ledger.reports.stock_tables import common
from ledger.reports.table import Column

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

COLUMNS = (
    *HEAD_COLUMNS,
    Column("action", "Action"),
    Column("purpose", "Purpose"),
    Column("from_kind", "From kind"),
    Column("from_name", "From"),
    Column("to_kind", "To kind"),
    Column("to_name", "To"),
    Column("site", "Site"),
    Column("owner", "Owner"),
    Column("unit", "Unit"),
    Column("circuit", "Circuit"),
    Column("place", "Place"),
    Column("refrigerant", "Refrigerant"),
    Column("pounds", "Amount", "mass"),
    Column("written", "As written"),
    Column("written_in", "Written in"),
    Column("into_cylinders", "Into cylinders", "mass"),
    Column("into_circuits", "Into circuits", "mass"),
    Column("stock", "Stock"),
    Column("refrigerant_owner", "Owner of refrigerant"),
    *PEOPLE_COLUMNS,
    Column("invoice", "Invoice"),
    Column("evidence", "Evidence"),
    Column("gross_before", "Gross before", "mass"),
    Column("gross_after", "Gross after", "mass"),
    Column("scale", "Scale"),
    Column("claim", "Claim"),
    Column("exactness", "Estimated"),
    Column("cause", "Cause"),
    Column("although", "Recorded although"),
    Column("because", "Because"),
    *TAIL_COLUMNS,
)
BRIEF = (
    "entry", "day", "action", "from_name", "to_name", "site", "refrigerant", "written",
    "technician", "ticket", "reversed_by",
)  # fmt: skip

_OWN = (
    "t.source_kind, t.source_name, t.target_kind, t.target_name, t.refrigerant, t.mass, t.written,"
    " t.stock, t.owner, t.purpose, t.claim, t.amount, t.cause, t.evidence, t.although"
)


def movement_list(reader: Reader, cut: Cut, wanted: Wanted) -> Listing:
    """The movements that count at a cut, in order of day, entry and line; read while written out.

    "Into cylinders" is what a row adds to all cylinders together (less than nothing where it
    came out of one), "Into circuits" the same of circuits: summed, they are what `balance` says.
    """
    notes = ("Reversed lines are listed and do not count.",) if wanted.reversed else ()
    return Listing(
        "Movements", "movement", COLUMNS, _rows(reader, cut, wanted), BRIEF, notes=notes,
        **common(reader, cut),
    )  # fmt: skip


def _rows(reader: Reader, cut: Cut, wanted: Wanted) -> Iterator[dict[str, Any]]:
    lines = Lines(reader, cut, wanted)
    kept = lines.names.kept
    for own, row, fact in lines.read("movement", _OWN):
        (giver, source, taker, target, refrigerant, mass, written, stock, owner, purpose, claim,
         amount, cause, evidence, although) = own  # fmt: skip
        source, target = kept(giver, source), kept(taker, target)
        row.update({
            "purpose": purpose, "from_kind": giver, "from_name": source or giver,
            "to_kind": taker, "to_name": target or taker, "refrigerant": refrigerant,
            "pounds": mass, "written": written, "written_in": unit_of(written),
            "into_cylinders": _change("cylinder", giver, taker, mass),
            "into_circuits": _change("circuit", giver, taker, mass),
            "stock": stock or None, "refrigerant_owner": kept("party", owner) or None,
            "evidence": evidence or None, "claim": claim or None, "exactness": amount or None,
            "cause": cause or None, "although": although.replace(",", ", ") or None,
            "because": fact.get("because"), "invoice": None, "place": None,
        })  # fmt: skip
        _put_weights(row, fact.get("evidence"))
        if taker == "circuit" or giver == "circuit":
            lines.put_circuit(row, target if taker == "circuit" else source)
        if purpose == "receipt":
            row["invoice"] = lines.receipt(fact["target"].partition(":")[2]).get("invoice")
        cylinders = tuple(
            name for kind, name in ((giver, source), (taker, target)) if kind == "cylinder"
        )
        places = [lines.place_of(name, row["day"], row["entry"]) for name in cylinders]
        row["place"] = next(filter(None, places), None)
        if wanted.keeps(row, cylinders, set(places)):
            yield row


def _change(kind: str, giver: str, taker: str, mass: int) -> int | None:
    """What a movement adds to all holders of one kind; None where it touches none."""
    if kind not in (giver, taker):
        return None
    return (mass if taker == kind else 0) - (mass if giver == kind else 0)


def _put_weights(row: dict[str, Any], evidence: dict[str, Any] | None) -> None:
    """First and last gross weight and the scale, where a movement was weighed."""
    evidence = evidence or {}
    readings = evidence.get("readings", ())
    before = evidence.get("before", readings[0] if len(readings) > 1 else None)
    after = evidence.get("after", readings[-1] if len(readings) > 1 else None)
    row["gross_before"] = before[0] if before else None
    row["gross_after"] = after[0] if after else None
    row["scale"] = evidence.get("scale")
