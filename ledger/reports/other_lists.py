"""Every gross weight seen on a scale, and every service fact, as one flat row each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ledger.facts.facts import fact_of, split_holder
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
from ledger.reports.words import in_words

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

WEIGHING_COLUMNS = (
    *HEAD_COLUMNS,
    Column("action", "Action"),
    Column("cylinder", "Cylinder"),
    Column("refrigerant", "Refrigerant"),
    Column("place", "Place"),
    Column("gross", "Gross", "mass"),
    Column("written", "As written"),
    Column("written_in", "Written in"),
    Column("scale", "Scale"),
    Column("moment", "Moment"),
    Column("state", "State"),
    *PEOPLE_COLUMNS,
    *TAIL_COLUMNS,
)
SERVICE_COLUMNS = (
    *HEAD_COLUMNS,
    Column("kind", "Kind"),
    Column("about_kind", "About kind"),
    Column("about", "About"),
    Column("site", "Site"),
    Column("owner", "Owner"),
    Column("unit", "Unit"),
    Column("circuit", "Circuit"),
    Column("what", "What"),
    Column("refrigerant", "Refrigerant"),
    Column("cylinder", "Cylinder"),
    Column("party", "Party"),
    Column("where", "Where"),
    Column("how", "How"),
    Column("test", "Test"),
    Column("result", "Result"),
    Column("leaks", "Leaks"),
    Column("evacuated", "Evacuated"),
    Column("invoice", "Invoice"),
    Column("price", "Price per lb", "money"),
    Column("deposit", "Deposit", "money"),
    Column("batch", "Batch"),
    *PEOPLE_COLUMNS,
    Column("although", "Recorded although"),
    *TAIL_COLUMNS,
)
SERVICE = (
    "attempt", "unknown addition", "same leak", "repair", "test", "receipt", "brought forward",
    "decision", "handover", "shipped", "reclaimer paper", "empty statement", "deposit line",
    "deposit credit", "event", "check weight",
)  # fmt: skip
"""The facts that are listed as service facts; settings, joined records and scans are not."""

_WEIGHING_BRIEF = (
    "entry", "day", "time", "cylinder", "refrigerant", "written", "moment", "state", "scale",
    "technician", "reversed_by",
)  # fmt: skip
_SERVICE_BRIEF = ("entry", "day", "kind", "about", "site", "what", "technician", "reversed_by")


def weighing_list(reader: Reader, cut: Cut, wanted: Wanted) -> Listing:
    """The gross weights that count at a cut: those of movements, and weighings on their own.

    The refrigerant is the one the cylinder is assigned to on the day.
    """
    return Listing(
        "Weighings", "weighing", WEIGHING_COLUMNS, _weighings(reader, cut, wanted),
        _WEIGHING_BRIEF, **common(reader, cut),
    )  # fmt: skip


def _weighings(reader: Reader, cut: Cut, wanted: Wanted) -> Iterator[dict[str, Any]]:
    lines = Lines(reader, cut, wanted)
    own_columns = "t.cylinder, t.gross, t.written, t.scale, t.moment, t.state"
    for own, row, _ in lines.read("weighing", own_columns, order=", t.part"):
        name, gross, written, scale, moment, state = own
        cylinder = lines.names.kept("cylinder", name)
        master = lines.masters.one("cylinder", cylinder)
        place = lines.place_of(cylinder, row["day"], row["entry"])
        row.update({
            "cylinder": cylinder, "gross": gross, "written": written,
            "written_in": unit_of(written), "scale": scale or None, "moment": moment,
            "state": state or None, "place": place or None,
            "refrigerant": (master.text("refrigerant", row["day"]) if master else "") or None,
        })  # fmt: skip
        if wanted.keeps(row, (cylinder,), {place}):
            yield row


def service_list(reader: Reader, cut: Cut, wanted: Wanted) -> Listing:
    """What was done and decided beside pounds, as far as it counts at a cut (see SERVICE)."""
    return Listing(
        "Service facts", "service fact", SERVICE_COLUMNS, _services(reader, cut, wanted),
        _SERVICE_BRIEF, **common(reader, cut),
    )  # fmt: skip


def _services(reader: Reader, cut: Cut, wanted: Wanted) -> Iterator[dict[str, Any]]:
    lines = Lines(reader, cut, wanted)
    kinds = ", ".join(f"'{kind}'" for kind in SERVICE)
    for (kind, subject), row, fact in lines.read(
        "service", "t.type, t.subject", f"t.type IN ({kinds})"
    ):
        about_kind, about = split_holder(subject)
        about = lines.names.kept(about_kind, about)
        get = fact.get
        cylinder = about if about_kind == "cylinder" else get("cylinder")
        row.update({
            "kind": kind, "about_kind": about_kind, "about": about,
            "what": in_words(fact_of(fact)), "refrigerant": get("refrigerant"),
            "cylinder": cylinder, "party": get("party") or get("supplier"),
            "where": get("location"), "how": get("how") or get("method"), "test": get("which"),
            "result": get("result") or get("answer"), "leaks": _leaks(fact),
            "evacuated": get("evacuated"), "invoice": get("invoice"),
            "price": get("price_cents"), "deposit": get("deposit_cents"), "batch": get("batch"),
            "although": ", ".join(get("although", ())) or None,
        })  # fmt: skip
        if about_kind == "circuit":
            lines.put_circuit(row, about)
        elif about_kind == "site":
            row["site"] = about
        places = {lines.place_of(cylinder, row["day"], row["entry"])} if cylinder else set()
        if wanted.keeps(row, (cylinder or "",), places):
            yield row


def _leaks(fact: dict[str, Any]) -> str | None:
    """Which leaks a test was of; "all" is not written out in a fact."""
    return fact.get("leaks", "all") if fact["type"] == "test" else None
