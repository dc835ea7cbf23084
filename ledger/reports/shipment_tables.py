"""Shipping manifest, and shipments held against the reclaimer's papers, as tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from ledger.answers.shipments import Leg, Line, Paper, Shipment
from ledger.answers.working import EVIDENCE_WORDS
from ledger.facts.contents import MIXED, SHARED
from ledger.facts.mass import Mass, pounds
from ledger.facts.masters import UNKNOWN
from ledger.refrigerants.shipping import ShippingName, shipping_data
from ledger.reports.stock_tables import common
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.working import Working
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

MANIFEST_COLUMNS = (
    Column("cylinder", "Cylinder"),
    Column("serial", "Serial"),
    Column("un", "UN number"),
    Column("name", "Proper shipping name", width=30),
    Column("division", "Division"),
    Column("refrigerant", "Refrigerant"),
    Column("stock", "Stock"),
    Column("owner", "Owner of contents", width=18),
    Column("gross", "Gross", "mass", total="SUM"),
    Column("tare", "Tare", "mass", total="SUM"),
    Column("net", "Net", "mass", total="SUM"),
    Column("basis", "Net from"),
    Column("seal", "Seal"),
)
MATCH_COLUMNS = (
    Column("shipment", "Shipment"),
    Column("entry", "Entry", "whole"),
    Column("day", "Shipped", "date"),
    Column("party", "To"),
    Column("cylinder", "Cylinder"),
    Column("refrigerant", "Refrigerant"),
    Column("ours", "Our net", "mass"),
    Column("theirs", "Their net", "mass"),
    Column("difference", "Theirs minus ours", "mass", formula="=ROUND({theirs}-{ours},6)"),
    Column("percent", "Difference", "percent", places=1),
    Column("verdict", "Verdict"),
    Column("analysis", "Analysis"),
    Column("credit", "Credit", "money", unit="$"),
    Column("charge", "Charge", "money", unit="$"),
    Column("destroyed", "Destruction certificate"),
    Column("open", "Still open", width=40),
)


_CHOOSE = "to be chosen"


def shipping_name(refrigerant: str, flammable: bool) -> ShippingName | None:
    """How contents are named on a paper; None where the data has no entry for them.

    Mixed or unknown contents have one only where nothing flammable is named.
    """
    data = shipping_data()
    if refrigerant in (MIXED, UNKNOWN, ""):
        return None if flammable else data.mixed
    return data.names.get(refrigerant)


def manifest_table(reader: Reader, cut: Cut, shipment: Shipment, shipper: str) -> Table:
    """The shipping manifest of one shipment."""
    from ledger.book.reading import masters_at

    masters = masters_at(reader, cut)
    rows, missing, marks = [], [], set()
    for line in shipment.lines:
        leg = line.leg
        assert leg is not None
        one = masters.one("cylinder", leg.cylinder)
        named = shipping_name(leg.refrigerant, bool(one and one.text("flammable") == "yes"))
        if named is None:
            missing.append(leg.cylinder)
        elif named.basis.evidence != "read":
            marks.add(named.basis.evidence)
        rows.append(_manifest_row(leg, one.text("serial") if one else "", named))
    first = shipment.lines[0].leg
    assert first is not None
    carrier = f", carrier {first.carrier}" if first.carrier else ""
    purpose = f" to {first.purpose}" if first.purpose not in ("", "other") else ""
    total = sum(line.ours for line in shipment.lines)
    return Table(
        f"Shipping manifest {shipment.name}",
        MANIFEST_COLUMNS,
        rows,
        answer=(
            f"{shipper or 'Shipper'} to {shipment.party}{purpose}, {shipment.day}{carrier}:"
            f" {counted(len(rows), 'cylinder')}, {pounds(total)} lb net."
        ),
        notes=tuple(_manifest_notes(missing, marks)),
        **common(reader, cut),
    )


def _manifest_row(leg: Leg, serial: str, named: ShippingName | None) -> dict[str, Any]:
    what = {MIXED: "mixed", "": "unknown"}.get(leg.refrigerant, leg.refrigerant)
    owner = "several owners" if leg.owner == SHARED else leg.owner
    weighed = leg.gross is not None and leg.tare is not None
    return {
        "cylinder": leg.cylinder, "serial": serial or None,
        "un": named.un if named else _CHOOSE, "name": named.name if named else _CHOOSE,
        "division": named.division if named else "", "refrigerant": what, "stock": leg.stock,
        "owner": owner or None, "gross": None if leg.gross is None else Mass(leg.gross),
        "tare": Mass(leg.tare) if leg.tare is not None and weighed else None,
        "net": Mass(leg.net), "basis": leg.basis, "seal": leg.seal or None,
    }  # fmt: skip


def _manifest_notes(missing: Sequence[str], marks: set[str]) -> Iterator[str]:
    if missing:
        yield (
            f"No shipping name is in the data for {', '.join(missing)}: choose the entry of the"
            " table in 49 CFR 172.101."
        )
    for mark in sorted(marks):
        words = EVIDENCE_WORDS[mark]
        yield f"UN numbers and shipping names: {words}; check them in 49 CFR 172.101."
    yield "Not legal advice; whoever offers the shipment answers for the paper (49 CFR 172.204)."
    yield "Shipper: ____________________    Carrier: ____________________ (signatures)"


def match_table(
    reader: Reader, cut: Cut, found: Sequence[Shipment]
) -> tuple[Table, Callable[[], list[Working]]]:
    """Shipments with each difference and what is still open, and their workings."""
    rows = [row for one in found for row in _match_rows(one)]
    table = Table(
        "Shipments and the reclaimer's papers", MATCH_COLUMNS, rows, answer=_match_answer(found),
        notes=(
            "Our net is gross less tare where it was weighed for the shipment, else the book."
            " Tolerances are this book's table; no regulator has one.",
            *_orphans(reader, cut),
        ),
        **common(reader, cut),
    )  # fmt: skip
    return table, lambda: [
        line.working() for one in found for line in (*one.lines, one.total)
    ]  # fmt: skip


def _orphans(reader: Reader, cut: Cut) -> Iterator[str]:
    """Papers whose shipment was taken back: they stand in no line."""
    from ledger.book.shipping import papers, shipments_of

    shipped = {entry for one in shipments_of(reader, cut, "9999-12-31") for entry in one.entries}
    for paper in papers(reader, cut):
        if paper.shipment not in shipped:
            yield (
                f"The {paper.paper} of entry {paper.entry} names entry {paper.shipment}, which is"
                " no shipment any more."
            )


def _match_answer(found: Sequence[Shipment]) -> str:
    if not found:
        return "Nothing was shipped."
    still = [one for one in found if one.open_items()]
    text = f"{counted(len(found), 'shipment')}, {len(still)} with something open"
    if len(found) == 1 and found[0].total.difference is not None:
        total = found[0].total
        assert total.theirs is not None and total.difference is not None
        share = _tenths(total)
        text = (
            f"{found[0].name}: ours {pounds(total.ours)} lb, theirs {pounds(total.theirs)} lb,"
            f" difference {pounds(total.difference)} lb{share}, {total.verdict}"
        )
        if still:
            text += f"; open: {'; '.join(found[0].open_items())}"
    return f"{text}."


def _tenths(line: Line) -> str:
    from ledger.facts.mass import half_up

    return "" if line.percent is None else f" ({half_up(100 * line.percent, 1)} %)"


def _match_rows(one: Shipment) -> Iterator[dict[str, Any]]:
    for line in one.lines:
        leg = line.leg
        assert leg is not None
        yield _match_row(one, line) | {
            "cylinder": leg.cylinder, "refrigerant": "mixed" if leg.refrigerant == MIXED
            else leg.refrigerant,
        }  # fmt: skip
    yield _match_row(one, one.total) | {
        "cylinder": "all of it",
        "open": "; ".join(one.open_items()) or None,
    }


def _match_row(one: Shipment, line: Line) -> dict[str, Any]:
    return {
        "shipment": one.name, "entry": line.leg.entry if line.leg else one.entry, "day": one.day,
        "party": one.party, "ours": Mass(line.ours),
        "theirs": None if line.theirs is None else Mass(line.theirs),
        "difference": None if line.difference is None else Mass(line.difference),
        "percent": line.percent, "verdict": line.verdict,
        "analysis": "; ".join(map(_analysis, line.of("analysis"))) or None,
        "credit": sum(paper.credit for paper in line.papers) or None,
        "charge": sum(paper.charge for paper in line.papers) or None,
        "destroyed": "; ".join(
            paper.number or f"entry {paper.entry}" for paper in line.of("destruction certificate")
        ) or None,
    }  # fmt: skip


def _analysis(paper: Paper) -> str:
    parts = [paper.result, f"{paper.purity} %" if paper.purity else "", paper.reason]
    if paper.net is not None:
        parts.append(f"{pounds(paper.net)} lb accepted")
    return ", ".join(part for part in parts if part) or "on file"
