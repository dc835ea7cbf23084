"""A second opinion on the demo book: rates and balances from its tables with pandas alone.

Nothing of `ledger.answers` or `ledger.law` is used: the law's few numbers are written out here, and
the steps follow the text of 40 CFR 82.152 and 84.106(b) as the project reads it.
"""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pandas as pd

POUND = 362_873_896_000
FIRST_84 = "2026-01-01"
LIMITS = {
    "commercial refrigeration": 20, "industrial process refrigeration": 30, "comfort cooling": 10,
}  # fmt: skip
ODS = frozenset(("R-22", "R-123"))
ADDED = ("addition", "addition by others")

_STANDS = (
    " NOT EXISTS (SELECT 1 FROM reversal r WHERE r.target_entry = t.entry AND"
    " r.target_line = t.line AND r.entry <= {known})"
)


class Tables:
    """The tables of a book as frames, without what was taken back by entry `known`."""

    def __init__(self, file: Path, known: int = 1 << 40) -> None:
        import sqlite3

        self.db = sqlite3.connect(f"file:{file}?mode=ro", uri=True)
        self.known = known
        self.movement = self._frame("movement")
        self.described = self._frame("described")
        self.service = self._frame("service")
        self.db.close()

    def _frame(self, table: str) -> pd.DataFrame:
        where = _STANDS.format(known=self.known)
        sql = f"SELECT t.* FROM {table} t WHERE t.entry <= {self.known} AND {where}"
        return pd.read_sql_query(f"{sql} ORDER BY t.entry, t.line", self.db)

    def dated(self, kind: str, name: str, field: str, day: str) -> Any:
        """The value of a field of one master on a day: the latest that has begun."""
        frame = self.described
        found = frame[(frame.kind == kind) & (frame.name == name) & (frame.since <= day)]
        found = found.sort_values(["since", "entry", "line"], kind="stable")
        values = [json.loads(text) for text in found.fields]
        known = [one[field] for one in values if field in one]
        return known[-1] if known else None


def full_charge(tables: Tables, circuit: str, day: str) -> Fraction:
    """The full charge in counts; the midpoint of a range."""
    value = tables.dated("circuit", circuit, "full charge", day)
    if value["method"] == "range":
        return Fraction(int(value["low"][0]) + int(value["high"][0]), 2)
    return Fraction(int(value["charge"][0]))


def subpart(tables: Tables, circuit: str, day: str) -> str:
    """82, 84 or empty; a circuit somebody has to decide on is taken as bound."""
    gas = tables.dated("circuit", circuit, "refrigerant", day)
    charge = full_charge(tables, circuit, day)
    if gas in ODS:
        return "82" if charge >= 50 * POUND else ""
    decided = tables.dated("circuit", circuit, "subsector", day)
    covered = charge >= 15 * POUND and decided != "residential or light commercial"
    return "84" if covered and day >= FIRST_84 else ""


def counted(tables: Tables, circuit: str) -> pd.DataFrame:
    """Each date with an addition: the pounds that count that day, and whether any do.

    A valid new, post-retrofit or seasonal charge does not count; what was recovered under the
    same ticket is set off once, against the earliest additions first.
    """
    moves = tables.movement
    added = moves[(moves.target_kind == "circuit") & (moves.target_name == circuit)]
    added = added[added.purpose.isin(ADDED)]
    taken = moves[(moves.source_kind == "circuit") & (moves.source_name == circuit)]
    taken = taken[taken.purpose == "recovery"]
    held = {row.entry: [row.occurred_on, int(row.mass)] for row in taken.itertuples()
            if row.claim == "seasonal"}  # fmt: skip
    loose = taken[(taken.claim == "") & (taken.ticket != "")]
    left = {ticket: int(mass) for ticket, mass in loose.groupby("ticket").mass.sum().items()}
    rows = []
    for row in added.sort_values(["occurred_on", "entry", "line"]).itertuples():
        mass = int(row.mass)
        if row.claim == "seasonal":
            exempt = _season(held, row.occurred_on, mass)
        else:
            exempt = bool(row.claim)
        if exempt:
            mass = 0
        else:
            back = min(mass, left.get(row.ticket, 0))
            left[row.ticket] = left.get(row.ticket, 0) - back
            mass -= back
        rows.append((row.occurred_on, mass, not exempt))
    frame = pd.DataFrame(rows, columns=["day", "mass", "counts"])
    return frame.groupby("day", as_index=False).agg({"mass": "sum", "counts": "any"})


def _season(held: dict[int, list[Any]], day: str, mass: int) -> bool:
    year_before = f"{int(day[:4]) - 1}{day[4:]}"
    open_ = [part for part in held.values() if year_before <= part[0] <= day]
    if mass > sum(part[1] for part in open_):
        return False
    for part in open_:
        used = min(part[1], mass)
        part[1] -= used
        mass -= used
    return True


def rates(tables: Tables, circuit: str) -> list[dict[str, Any]]:
    """Every rate of a circuit by both methods, exact."""
    found: list[dict[str, Any]] = []
    days = counted(tables, circuit)
    carried = _carried(tables, circuit)
    resets = _resets(tables, circuit)
    earlier: date | None = carried
    first_done = False
    for row in days.itertuples():
        on = date.fromisoformat(row.day)
        if row.counts:
            part, charge = subpart(tables, circuit, row.day), full_charge(tables, circuit, row.day)
            first = part == "84" and not first_done
            first_done = first_done or first
            span = 365 if first or earlier is None else min((on - earlier).days, 365)
            start = date(2026, 1, 1) if first else _window(on, resets)
            inside = days[(days.day >= start.isoformat()) & (days.day <= row.day)]
            category = tables.dated("circuit", circuit, "category", row.day)
            annual = Fraction(int(row.mass)) / charge / Fraction(span, 365)
            found.append({
                "on": row.day, "subpart": part, "lb": Fraction(int(row.mass), POUND),
                "charge": charge / POUND, "days": span, "annualizing": annual,
                "rolling": Fraction(int(inside.mass.sum())) / charge,
                "over": part != "" and 100 * annual > LIMITS[category],
                "trigger": LIMITS[category],
            })  # fmt: skip
        earlier = on
    return found


def _window(on: date, resets: list[date]) -> date:
    start = date.fromordinal(on.toordinal() - 364)
    later = [date.fromordinal(day.toordinal() + 1) for day in resets if day < on]
    return max([start, *later])


def _resets(tables: Tables, circuit: str) -> list[date]:
    found = []
    for row in tables.service[tables.service.subject == f"circuit:{circuit}"].itertuples():
        body = json.loads(row.body)
        all_leaks = body.get("leaks", "all") == "all"
        if row.type == "test" and body["which"] == "follow-up" and body["result"] == "pass":
            found += [date.fromisoformat(row.occurred_on)] if all_leaks else []
    return found


def _carried(tables: Tables, circuit: str) -> date | None:
    told = tables.service
    rows = told[(told.subject == f"circuit:{circuit}") & (told.type == "brought forward")]
    days = [json.loads(text)["last_addition"] for text in rows.body]
    known = [date.fromisoformat(day) for day in days if day != "unknown"]
    return max(known) if known else None


def pounds_by_year(tables: Tables) -> pd.DataFrame:
    """What each refrigerant's cylinders took in and gave out, by year; counts of 1.25 ng."""
    moves = tables.movement.copy()
    moves["year"] = moves.occurred_on.str[:4].astype(int)
    into, out = moves.target_kind == "cylinder", moves.source_kind == "cylinder"
    columns = {
        "brought_forward": into & (moves.purpose == "opening"),
        "received": into & (moves.purpose == "receipt"),
        "recovered": into & (moves.purpose == "recovery"),
        "charged": out & (moves.purpose == "addition"),
        "shipped": out & (moves.purpose == "shipment"),
        "returned": out & (moves.purpose == "return"),
        "heels": out & (moves.purpose == "heel"),
        "released": out & (moves.purpose == "release"),
    }
    sums = {
        name: moves[chosen].groupby(["year", "refrigerant"]).mass.sum()
        for name, chosen in columns.items()
    }
    frame = pd.DataFrame(sums).fillna(0).astype("int64")
    change = frame[["brought_forward", "received", "recovered"]].sum(axis=1)
    change -= frame[["charged", "shipped", "returned", "heels", "released"]].sum(axis=1)
    frame["change"] = change
    return frame


def contents(tables: Tables, day: str = "9999") -> dict[str, int]:
    """What every cylinder holds at the end of a day, in counts; those that hold nothing too."""
    moves = tables.movement[tables.movement.occurred_on <= day]
    gains = moves[moves.target_kind == "cylinder"].groupby("target_name").mass.sum()
    losses = moves[moves.source_kind == "cylinder"].groupby("source_name").mass.sum()
    total = gains.sub(losses, fill_value=0).astype("int64")
    return {str(name): int(mass) for name, mass in total.items()}
