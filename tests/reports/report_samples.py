"""Tables of an invented shop for the report tests, every figure worked out exactly here."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from ledger.facts.mass import Mass, Quantity, of_decimal
from ledger.reports.table import Column, Table

HEAD = (1302, "9f2c4a7be01d" + "5" * 52)
SETTINGS = {"name": "Brindlewick Mechanical", "address": "12 Foundry & Mill Lane, Tarnbrook"}
AS_OF = "2026-12-31"
KNOWN_AT = "2027-01-05"


def lb(number: str) -> Mass:
    """Pounds as an exact mass; a minus sign gives what goes the other way."""
    mass = of_decimal(number.removeprefix("-"), "lb")
    assert mass is not None
    return Mass(-mass) if number.startswith("-") else mass


def table(title: str, rows: list[dict[str, object]], answer: str = "", **more: object) -> Table:
    """A table without columns of its own, stamped like every answer."""
    keys = {key: None for row in rows for key in row}
    return Table(
        title,
        [Column(key, key) for key in keys],
        rows,
        answer,
        as_of=AS_OF,
        known_at=KNOWN_AT,
        head=HEAD,
        **more,  # type: ignore[arg-type]
    )


def circuit_history() -> dict[str, Table]:
    """A rack over its trigger by one method and under it by the other."""
    return {
        "circuit": _circuit(),
        "history": _history(),
        "rates": _rates(),
        "working": _working(),
    }


def _circuit() -> Table:
    words: list[tuple[str, str, str, str, str, int]] = [
        ("Site", "Tarnbrook Market 14, 3 Weir Street", "", "2025-01-06", "June Kettleby", 3),
        ("Unit and circuit", "A-101, rack A, one circuit", "", "2025-01-06", "June Kettleby", 4),
        ("Owner or operator", "Tarnbrook Markets", "", "2025-01-06", "June Kettleby", 4),
        ("Category", "commercial refrigeration", "", "2025-01-06", "June Kettleby", 4),
        ("Refrigerant", "R-448A", "", "2025-01-06", "June Kettleby", 4),
    ]
    rows: list[dict[str, object]] = [
        {
            "item": item,
            "value": value,
            "full_charge_lb": None,
            "method": method,
            "date": date,
            "person": person,
            "entry": entry,
        }
        for item, value, method, date, person, entry in words
    ]
    rows.append(
        {
            "item": "Full charge",
            "value": "range 1,250 to 1,450 lb, midpoint",
            "full_charge_lb": lb("1350"),
            "method": "established range",
            "date": "2025-01-06",
            "person": "Marisol Penhallow",
            "entry": 5,
        }
    )
    return table("Circuit A-101", rows, "A-101 holds R-448A; its full charge is 1,350.00 lb.")


def _movement(
    date: str, entry: int, what: str, before: str, after: str, **more: object
) -> dict[str, object]:
    net = lb(before) - lb(after)
    return {
        "date": date,
        "entry": entry,
        "what": what,
        "person": "Teodor Vance-Abara",
        "cylinder": "S-448-2",
        "gross_before": lb(before),
        "gross_after": lb(after),
        "net": net,
        "written": Quantity(Mass(abs(net)), f"{abs(net) // lb('0.01') / 100:g} lb"),
        "ticket": f"T-{entry}",
        "note": "",
        **more,
    }


def _history() -> Table:
    rows = [
        _movement("2026-02-09", 812, "addition", "171.35", "76.35"),
        _movement(
            "2026-03-30",
            913,
            "addition",
            "160.2",
            "89.2",
            note="three cores, a flare nut and a header joint found leaking",
        ),
        _movement("2026-04-14", 940, "recovery, held for the owner", "140.05", "220.05"),
        _movement("2026-06-18", 1011, "addition", "98.6", "54.6"),
        _movement(
            "2026-08-20",
            1120,
            "addition",
            "182.4",
            "62.4",
            person='=HYPERLINK("http://example.invalid","Walt")',
        ),
        {
            "date": "2026-09-02",
            "entry": 1131,
            "what": "addition by others",
            "person": "unknown",
            "cylinder": None,
            "gross_before": None,
            "gross_after": None,
            "net": "unknown",
            "written": "unknown",
            "ticket": None,
            "note": "a fresh tag at the unit",
        },
        {
            "date": "2026-11-03",
            "entry": 1240,
            "what": "addition",
            "person": "Priya Lindqvist-Soto",
            "cylinder": "S-448-1",
            "gross_before": None,
            "gross_after": None,
            "net": lb("32"),
            "written": Quantity(lb("32"), "32 lb"),
            "ticket": "T-1240",
            "note": "+1 helper; net only, gross not taken",
        },
    ]
    return table("History of A-101", rows, "Six additions and one recovery in 2026.")


RATES = (
    # date, entry, counted, days, rolling
    ("2026-02-09", 812, "95", 365, "95"),
    ("2026-03-30", 913, "71", 49, "214"),
    ("2026-06-18", 1011, "44", 80, "44"),
    ("2026-08-20", 1120, "120", 63, "164"),
    ("2026-11-03", 1240, "32", 75, "32"),
)


def _rates() -> Table:
    rows: list[dict[str, object]] = []
    for date, entry, counted, days, rolling in RATES:
        annual = Fraction(lb(counted) * 365, lb("1350") * days)
        rows.append(
            {
                "date": date,
                "entries": (entry,),
                "counted_lb": lb(counted),
                "full_charge_lb": lb("1350"),
                "days": days,
                "annualizing": annual,
                "rolling_lb": lb(rolling),
                "rolling": Fraction(lb(rolling), lb("1350")),
                "method": "annualizing",
                "trigger": Fraction(20, 100),
                "verdict": "over 20 %" if annual > Fraction(1, 5) else "not over 20 %",
                "repair_by": {"2026-03-30": "2026-04-29", "2026-08-20": "2026-09-19"}.get(date),
                "subpart": "part 84",
                "citation": "40 CFR 84.106(b)(1)",
                "remark": "",
            }
        )
    rows.append(
        {
            "date": "2026-09-02",
            "entries": (1131,),
            "counted_lb": "unknown",
            "full_charge_lb": lb("1350"),
            "days": 13,
            "annualizing": "cannot be computed",
            "rolling_lb": "unknown",
            "rolling": "cannot be computed",
            "method": "annualizing",
            "trigger": Fraction(20, 100),
            "verdict": "cannot be computed",
            "repair_by": None,
            "subpart": "part 84",
            "citation": "40 CFR 84.106(b)(1)",
            "remark": "amount added unknown",
        }
    )
    return table(
        "Leak rates of A-101",
        rows,
        "A-101 was over the 20 % of commercial refrigeration on 2026-03-30 and 2026-08-20.",
        cautions=("An addition of unknown amount stands on 2026-09-02.",),
    )


def _working() -> Table:
    rows: list[dict[str, object]] = []
    for date, _, counted, days, _rolling in RATES:
        left, right = lb(counted) * 365 * 100, lb("1350") * days * 20
        rows.append(
            {
                "date": date,
                "method": "annualizing",
                "comparison": "counted x 365 x 100 against full charge x days x 20",
                "left": str(left),
                "relation": "more than" if left > right else "not more than",
                "right": str(right),
                "verdict": "over 20 %" if left > right else "not over 20 %",
                "rule": "40 CFR 84.106(c)",
            }
        )
    return table("Working", rows, "Whole numbers behind every verdict.")


CYLINDERS = (
    # cylinder, kind, refrigerant, place, stock, tare, last gross, book
    ("D-410-11", "disposable", "R-410A", "warehouse", "virgin", "6.2", "31.2", "25"),
    ("D-410-12", "disposable", "R-410A", "truck T1", "virgin", "6.2", "24.6", "18.4"),
    ("D-410-13", "disposable", "R-410A", "truck T3", "reclaimed", "6.4", "9.6", "3.2"),
    ("RC-03", "recovery", "R-410A", "truck T4", "recovered", "27.5", "68.9", "41.1"),
    ("S-448-1", "refillable supply", "R-448A", "warehouse", "virgin", "61.5", "108.7", "47.2"),
    ("S-448-2", "refillable supply", "R-448A", "truck T1", "virgin", "60.9", "62.4", "1.5"),
    ("HT-1", "half-ton", "R-22", "warehouse", "recovered", "380", "997.5", "617.5"),
)


def cylinder_inventory() -> dict[str, Table]:
    """A small fleet with one cylinder never weighed."""
    rows: list[dict[str, object]] = [
        {
            "cylinder": name,
            "kind": kind,
            "refrigerant": refrigerant,
            "place": place,
            "stock": stock,
            "owner": "Tarnbrook Markets" if name == "RC-03" else "ours",
            "tare": lb(tare),
            "last_gross": lb(gross),
            "weighed_on": "2026-12-30",
            "net": lb(gross) - lb(tare),
            "book_then": lb(book),
            "book_lb": lb(book),
            "state": "",
            "difference": lb(gross) - lb(tare) - lb(book),
            "requalification_due": "2028-07-01" if "RC" in name else None,
        }
        for name, kind, refrigerant, place, stock, tare, gross, book in CYLINDERS
    ]
    rows.append(
        {
            "cylinder": "RC-11",
            "kind": "recovery",
            "refrigerant": "R-22",
            "place": "truck T2",
            "stock": "recovered",
            "owner": "ours",
            "tare": lb("55"),
            "last_gross": "unknown",
            "weighed_on": None,
            "net": "unknown",
            "book_then": None,
            "book_lb": lb("12.4"),
            "difference": None,
            "state": "quarantined",
            "requalification_due": "unknown",
        }
    )
    return {
        "cylinders": table(
            "Cylinder inventory",
            rows,
            "8 cylinders hold 766.30 lb by the book.",
            notes=("RC-11 has never been weighed.",),
        ),
        "refrigerants": table(
            "Pounds by refrigerant", _by_refrigerant(rows), "766.30 lb of 3 refrigerants."
        ),
    }


def _by_refrigerant(rows: list[dict[str, object]]) -> list[dict[str, object]]:
    found = []
    for refrigerant in sorted({str(row["refrigerant"]) for row in rows}):
        mine = [row for row in rows if row["refrigerant"] == refrigerant]
        line: dict[str, object] = {"refrigerant": refrigerant, "cylinders": len(mine)}
        for stock in ("virgin", "reclaimed", "recovered"):
            line[f"{stock}_lb"] = sum(
                int(str(row["book_lb"])) for row in mine if row["stock"] == stock
            )
        line["book_lb"] = sum(int(str(row["book_lb"])) for row in mine)
        found.append(line)
    return found


def pounds_balance() -> dict[str, Table]:
    """Two refrigerants over two years; the last year of one does not close."""
    plan = (
        ("R-410A", 2025, "192.1", "400", "0", "370.1", "0", "16.7", "4.4", "-4.7", "196.2"),
        ("R-410A", 2026, "196.2", "375", "207", "341.35", "207", "9.5", "3.1", "0", "216.75"),
        ("R-448A", 2025, "100", "700", "80", "867.2", "0", "0", "0.3", "0", "12.5"),
        ("R-448A", 2026, "12.5", "500", "80", "438.5", "0", "0", "0", "0", "154"),
    )
    rows: list[dict[str, object]] = []
    cylinders: list[dict[str, object]] = []
    for gas, year, opening, received, recovered, charged, shipped, heels, losses, named, _ in plan:
        closing = (
            lb(opening)
            + lb(received)
            + lb(recovered)
            - lb(charged)
            - lb(shipped)
            - lb(heels)
            - lb(losses)
            + lb(named)
        )
        contents = [closing // 3, closing - closing // 3]
        if (gas, year) == ("R-410A", 2026):
            contents[1] -= lb("0.5")
        for number, mass in enumerate(contents, 1):
            cylinders.append(
                {
                    "year": year,
                    "refrigerant": gas,
                    "cylinder": f"{gas}-{number}",
                    "place": "warehouse",
                    "contents": mass,
                }
            )
        rows.append(
            {
                "year": year,
                "refrigerant": gas,
                "opening": lb(opening),
                "brought_forward": 0,
                "put_together": 0,
                "received": lb(received),
                "recovered_in": lb(recovered),
                "transferred_in": 0,
                "charged_out": lb(charged),
                "transferred_out": 0,
                "shipped": lb(shipped),
                "returned": 0,
                "heels": lb(heels),
                "losses": lb(losses),
                "differences": lb(named),
                "closing": closing,
                "in_cylinders": sum(contents),
                "check": closing - sum(contents),
            }
        )
    return {
        "balance": table(
            "Pounds balance 2025 and 2026",
            rows,
            "3 of 4 balances close; R-410A in 2026 is 0.50 lb apart, to explain.",
        ),
        "cylinders": table("Cylinder contents", cylinders, "8 contents at two year ends."),
    }


def due() -> dict[str, Table]:
    """Two duties."""
    rows: list[dict[str, object]] = [
        {
            "due": "2027-01-15",
            "days_left": 15,
            "duty": "Leak inspection, every three months",
            "site": "Ironmere Ice Arena",
            "circuit": "A-201",
            "owner": "Ironmere Arena Trust",
            "since": "2026-10-15",
            "entries": (701, 955),
            "state": "open",
            "citation": "40 CFR 82.157(g)",
        },
        {
            "due": "2027-03-01",
            "days_left": 60,
            "duty": "Report of a chronically leaking appliance",
            "site": "Tarnbrook Market 14",
            "circuit": "A-104",
            "owner": "Tarnbrook Markets",
            "since": "2026-12-31",
            "entries": (850, 880, 931, 1040, 1150),
            "state": "open",
            "citation": "40 CFR 84.106(j)",
        },
    ]
    return {"due": table("Due list", rows, "2 duties are open in the next 60 days.")}


def gaps() -> dict[str, Table]:
    """Two missing records."""
    rows: list[dict[str, object]] = [
        {
            "site": "Tarnbrook Market 14",
            "subject": "A-104",
            "date": "2026-02-11",
            "missing": "No repair and no plan on record after the rate of 2026-01-12 went over",
            "remedy": "Record the repair with its tests, or the plan with its date",
            "entries": (850,),
            "citation": "40 CFR 84.106(d)",
        },
        {
            "site": "Vellacourt Tower",
            "subject": "A-301",
            "date": "2025-09-09",
            "missing": "Type II card on low-pressure equipment",
            "entries": (640,),
            "remedy": "Record the card that covered the work, or who was with the technician",
            "citation": "40 CFR 82.161",
        },
    ]
    return {"gaps": table("Missing records", rows, "2 records are missing or too weak.")}


def disposal_log() -> dict[str, Table]:
    """A month of tear-outs and one shipment."""
    plan = (
        ("2025-06-03", 41, "411 Cordwain Lane", "R-410A", "7.375", "7 lb 6 oz", "RC-04"),
        ("2025-06-12", 52, "9 Tallow Row", "R-410A", "8", "8.0 lb", None),
        ("2025-06-25", 77, "30 Saltgrass Way", "R-454B", "6.6", "6.6 lb", "RC-A1"),
    )
    rows: list[dict[str, object]] = [
        {
            "date": date,
            "year": int(date[:4]),
            "month": int(date[5:7]),
            "entry": entry,
            "company": "Saltgrass Home Comfort",
            "location": place,
            "appliance": "split system",
            "refrigerant": gas,
            "recovered": lb(mass),
            "written": Quantity(lb(mass), words),
            "cylinder": cylinder,
            "person": "T. Brandvold",
            "gaps": "" if cylinder else "no cylinder",
        }
        for date, entry, place, gas, mass, words, cylinder in plan
    ]
    months: list[dict[str, object]] = [
        {
            "year": 2025,
            "month": 6,
            "refrigerant": "R-410A",
            "appliances": 2,
            "recovered": lb("15.375"),
            "unplaced": lb("0"),
            "uncharged": lb("0"),
        },
        {
            "year": 2025,
            "month": 6,
            "refrigerant": "R-454B",
            "appliances": 1,
            "recovered": lb("6.6"),
            "unplaced": lb("0"),
            "uncharged": lb("0"),
        },
    ]
    transfers: list[dict[str, object]] = [
        {
            "date": "2025-07-02",
            "entry": 90,
            "to": "a reclaimer",
            "purpose": "reclamation",
            "refrigerant": "R-410A",
            "transferred": lb("15.3"),
            "cylinder": "RC-04",
            "manifest": "M-17",
        },
    ]
    apart: list[dict[str, object]] = [
        {
            "date": "2025-06-17",
            "entry": 60,
            "why": "50 lb or more",
            "location": "800 Marsh Blvd",
            "appliance": "rooftop",
            "refrigerant": "R-410A",
            "recovered": lb("58.5"),
            "written": Quantity(lb("58.5"), "58.5 lb"),
            "cylinder": "RC-09",
            "person": "O. Frayne",
        },
    ]
    open_rows: list[dict[str, object]] = [
        {
            "file": "june.answers.xlsx",
            "sheet": "Tickets",
            "row": 14,
            "outcome": "question",
            "asked": "amount (F14): O.7 has a letter where a figure belongs.",
            "said": "6/30 | TB | 410A | O.7",
        },
    ]
    return {
        "recoveries": table("Disposal log", rows, "21.98 lb recovered from 3 appliances."),
        "months": table("Monthly totals", months, "15.38 lb of R-410A in June 2025."),
        "transfers": table("Transfers", transfers, "15.30 lb sent for reclamation."),
        "apart": table("Apart", apart, "58.50 lb recovered outside the log."),
        "open": table("Open rows", open_rows, "1 row still open, in no total."),
    }


def count() -> dict[str, Table]:
    """A year-end count with one refrigerant short and one that nothing was issued of."""
    rows: list[dict[str, object]] = [
        {
            "refrigerant": "R-410A",
            "book": lb("200.9"),
            "counted": lb("196.2"),
            "difference": lb("-4.7"),
            "explained": lb("-3.1"),
            "left": lb("-1.6"),
            "issued": lb("370.1"),
            "share": Fraction(-47, 3701),
            "result": "explain",
            "suspects": "2 jobs without a ticket on T4; heels of 3 scrapped cylinders",
        },
        {
            "refrigerant": "R-123",
            "book": lb("100"),
            "counted": lb("100"),
            "difference": 0,
            "explained": 0,
            "left": 0,
            "issued": 0,
            "share": None,
            "result": "within tolerance",
            "suspects": "",
        },
    ]
    cylinders: list[dict[str, object]] = [
        {
            "cylinder": "D-410-11",
            "refrigerant": "R-410A",
            "place": "warehouse",
            "gross": lb("31.1"),
            "tare": lb("6.2"),
            "counted": lb("24.9"),
            "book": lb("25"),
            "difference": lb("-0.1"),
            "scale": "B1",
            "person": "June Kettleby",
            "note": "",
        },
    ]
    return {
        "count": table("Count of 2026-01-05", rows, "R-410A is 4.70 lb under book: explain."),
        "cylinders": table("Cylinders counted", cylinders, "1 cylinder counted."),
    }


def due_list() -> dict[str, Table]:
    """One date gone by, what it rests on, and a circuit of which it is open."""
    line: dict[str, object] = {
        "line": 1, "status": "overdue", "due": "2026-12-11", "days": -20, "circuit": "A-101",
        "site": "Tarnbrook Market 14", "owner": "Tarnbrook Markets",
        "title": "Leak inspection, once each 3 months", "who": "owner",
        "counted": "2026-09-11, 3 months", "citation": "40 CFR 84.106(g)(1)(i)", "others": None,
        "remark": None, "ended": None, "by": None, "technician": "Teodor Vance-Abara",
        "evidence": "interpretation", "entries": [885], "pack": "us-federal-84c",
    }  # fmt: skip
    scope: dict[str, object] = {
        "circuit": "A-303/B", "site": "Vellacourt Tower", "open": "Not decided.",
        "if_bound": "84.106 applies.", "if_not": "Nothing is owed.", "settled_by": "a decision",
    }  # fmt: skip
    part: dict[str, object] = {
        "line": 1, "circuit": "A-101", "title": line["title"], "part": "input",
        "what": "follow-up passed", "value": "2026-09-11", "entries": [885], "citation": None,
        "evidence": None,
    }  # fmt: skip
    return {
        "due": table("Due list", [line], "1 open line, 1 of them overdue."),
        "all": table("Due list, all columns", [line]),
        "open": table("Open scopes", [scope]),
        "working": table("Working of the due list", [part]),
    }


def _reconciliation() -> dict[str, Table]:
    from tests.reports.reconciliation_sample import reconciliation

    return reconciliation()


def service_record() -> dict[str, Table]:
    """A visit that charged in stages, took back some and repaired a flare."""
    told = {
        "Appliance": "HP-1",
        "Date": "2026-06-30",
        "Person": "Dana Field",
        "Agreed": "told 2 lb",
    }
    record: list[dict[str, object]] = [{"item": k, "value": v} for k, v in told.items()]
    pounds: list[dict[str, object]] = [
        {
            "what": "addition",
            "refrigerant": "R-410A",
            "cylinder": "410-1",
            "gross_before": lb("21.40"),
            "gross_after": lb("18.25"),
            "net": lb("3.15"),
            "written": None,
            "scale": "B1",
            "entry": 20,
        },
    ]
    work: list[dict[str, object]] = [{"part": "flare nut", "done": "tightened", "entry": 20}]
    readings: list[dict[str, object]] = [
        {"reading": "suction pressure", "before": "110 psig", "after": None}
    ]
    return {
        "record": table("Service record of HP-1", record, ""),
        "pounds": table("Service record of HP-1", pounds, ""),
        "work": table("Service record of HP-1", work, ""),
        "readings": table("Service record of HP-1", readings, ""),
    }


ALL = {
    "circuit-history": circuit_history,
    "count": count,
    "cylinder-inventory": cylinder_inventory,
    "disposal-log": disposal_log,
    "due": due,
    "due-list": due_list,
    "gaps": gaps,
    "pounds-balance": pounds_balance,
    "service-record": service_record,
    "reconciliation": _reconciliation,
}
"""The tables of each report that ships, by its name."""

LAYOUTS = Path(__file__).parent / "layouts"
"""Layouts of our own beside the shipped ones, as a shop keeps its own."""
SHIPPED = (
    "circuit-history", "cylinder-inventory", "disposal-log", "due-list", "pounds-balance",
    "reconciliation", "service-record",
)  # fmt: skip
"""The reports that travel with the program."""
