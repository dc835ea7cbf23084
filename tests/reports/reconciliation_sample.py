"""The tables of a reconciliation statement, every figure worked out by hand."""

from __future__ import annotations

from fractions import Fraction

from ledger.reports.table import Table
from tests.reports.report_samples import lb, table

_ZERO = ("late", "moved", "uncounted", "earlier", "shipped", "returned", "losses", "recovered")


def reconciliation() -> dict[str, Table]:
    """A refrigerant that is 4.7 lb short with a cause for some of it, and one that nobody used."""
    short: dict[str, object] = {
        **dict.fromkeys(_ZERO, lb("0")), "line": "R-410A", "opening": lb("192.1"),
        "came_in": lb("400"), "went_out": lb("391.2"), "book": lb("200.9"), "counted": lb("196.2"),
        "difference": lb("-4.7"), "share": Fraction(-47, 3701), "explained": lb("-1.2"),
        "open": lb("-2.5"), "left": lb("-1"), "verdict": "within tolerance",
        "received": lb("400"), "charged": lb("370.1"), "heels": lb("16.7"), "losses": lb("4.4"),
        "cylinders_counted": 2, "cylinders_missing": 0, "cylinders_left": 0,
    }  # fmt: skip
    still: dict[str, object] = {
        **dict.fromkeys((*_ZERO, "came_in", "went_out", "difference", "explained", "open", "left",
                         "received", "charged", "heels"), lb("0")),
        "line": "R-22", "opening": lb("30"), "book": lb("30"), "counted": lb("0"),
        "uncounted": lb("30"), "share": None, "verdict": "within tolerance",
        "cylinders_counted": 0, "cylinders_missing": 0, "cylinders_left": 1,
    }  # fmt: skip
    parts: list[dict[str, object]] = [
        _part("hose", "explained", "-1.2"), _part("open ticket", "open", "-2.5"),
        _part("unexplained", "left", "-1"),
    ]  # fmt: skip
    cylinders: list[dict[str, object]] = [
        _cylinder("410-1", "Truck 1", "100", "96"),
        _cylinder("410-2", "Warehouse", "100.9", "100.2"),
    ]  # fmt: skip
    return {
        "statement": table("Reconciliation", [short, still], "Counted minus book -4.70 lb."),
        "movements": table("In and out", [short, still]),
        "parts": table("Parts", parts),
        "cylinders": table("Cylinders", cylinders),
        "working": table("Working", [{"figure": "Difference of R-410A", "text": "= -4.70 lb"}]),
    }


def _part(what: str, kind: str, pounds: str) -> dict[str, object]:
    return {
        "line": "R-410A", "class": kind, "what": what, "cylinder": "410-1", "place": "Truck 1",
        "pounds": lb(pounds), "first": "2025-12-01", "last": "2026-01-05", "words": "as found",
        "entries": (7, 9), "person": "",
    }  # fmt: skip


def _cylinder(name: str, place: str, book: str, counted: str) -> dict[str, object]:
    return {
        "line": "R-410A", "cylinder": name, "place": place, "found_at": place, "status": "weighed",
        "gross": lb(counted) + lb("7"), "tare": lb("7"), "moved_since": None,
        "counted": lb(counted), "book": lb(book), "difference": lb(counted) - lb(book),
        "person": "June Kettleby", "on": "2026-01-05", "entry": 31,
    }  # fmt: skip
