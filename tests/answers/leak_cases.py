"""Reads the leak-rate cases of the TOML files beside it and turns each into a circuit's history."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FollowUp,
    FullCharge,
    MethodFrom,
    Removal,
    Repair,
    UnknownAddition,
)
from ledger.answers.leak_rate import Rate, rates
from ledger.facts.mass import half_up, of_decimal
from ledger.law.for_rates import law_for_rates
from ledger.law.scope import Subject, scope_over

HERE = Path(__file__).parent
Case = dict[str, Any]

REFRIGERANTS = {
    "ODS": (True, False),
    "ODS and HFC": (True, True),
    "HFC": (False, True),
}


def load(name: str) -> list[Case]:
    """The cases of a file."""
    cases: list[Case] = tomllib.loads((HERE / name).read_text(encoding="utf-8"))["case"]
    return cases


def mass(text: str) -> int:
    """A mass such as "1 lb 4 oz", "9.0718474 kg" or plain pounds "20.1"."""
    words = text.split()
    total = 0
    for number, unit in zip(words[::2], words[1::2] or ["lb"], strict=True):
        part = of_decimal(number, unit)
        assert part is not None
        total += part
    return total


def _charges(case: Case) -> tuple[FullCharge, ...]:
    found = case["full_charge"]
    rows = found if isinstance(found, list) else [found]
    out = []
    for row in rows:
        row = {"lb": row} if isinstance(row, str) else row
        low, high = (mass(row[key]) if key in row else None for key in ("low", "high"))
        whole = mass(row["lb"]) if "lb" in row else None
        how = row.get("method", "range" if low else "measured")
        out.append(FullCharge(0, row.get("since"), whole, low, high, how))
    return tuple(out)


def _subjects(case: Case, charges: tuple[FullCharge, ...]) -> list[tuple[date | None, Subject]]:
    gases: list[tuple[date | None, str]] = [(None, case["refrigerant"])]
    if "retrofitted" in case:
        gases.append((case["retrofitted"]["on"], case["retrofitted"]["refrigerant"]))
    out = []
    days = {since for since, _ in gases} | {charge.since for charge in charges}
    for day in sorted(days, key=lambda d: d or date.min):
        gas = [name for since, name in gases if since is None or (day and since <= day)][-1]
        charge = [c for c in charges if c.since is None or (day and c.since <= day)][-1:]
        halves = charge[0].halves() if charge else None
        band = charge[0].band() if charge else None
        ods, hfc = REFRIGERANTS[gas]
        low, high = (band[0] // 2, band[1] // 2) if band else (halves and halves // 2, None)
        rlc = case.get("rlc", "undecided")
        out.append((day, Subject(ods, hfc, None, low, case["category"], rlc=rlc, charge_high=high)))
    return out


def history(case: Case) -> CircuitHistory:
    """The history of a case; entries are numbered as its events stand."""
    additions, removals, unknown, tests, repairs = [], [], [], [], []
    for entry, event in enumerate(case["events"], 1):
        on, time, visit = event["on"], event.get("time", ""), event.get("event", "")
        if "add" in event:
            claim = event.get("claim", "")
            additions.append(Addition(entry, 0, on, time, mass(event["add"]), claim, visit))
        elif "remove" in event:
            seasonal = event.get("seasonal", False)
            removals.append(Removal(entry, 0, on, time, mass(event["remove"]), seasonal, visit))
        elif "follow_up" in event:
            leaks, result = event["follow_up"].split()
            tests.append(FollowUp(entry, on, time, leaks == "all", result == "passed"))
        elif "repair" in event:
            repairs.append(Repair(entry, on))
        else:
            unknown.append(UnknownAddition(entry, on))
    charges = _charges(case)
    return CircuitHistory(
        circuit=case["name"],
        additions=additions,
        full_charges=charges,
        methods=(MethodFrom(None, case.get("method", "annualizing")),),
        categories=(CategoryFrom(None, case["category"]),),
        scope=scope_over(_subjects(case, charges)),
        removals=tuple(removals),
        unknown_additions=tuple(unknown),
        follow_ups=tuple(tests),
        repairs=tuple(repairs),
        episodes=tuple(frozenset(group) for group in case.get("episodes", [])),
        carried_last_addition=case.get("carried"),
    )


def answer(case: Case) -> list[Rate]:
    """All rates of a case."""
    return rates(history(case), law_for_rates())


def percent(rate: Rate, method: str, like: str) -> str:
    """A rate in percent with as many places as an expected text shows."""
    places = len(like.partition(".")[2])
    value = rate.rate_by(method)
    assert value is not None
    return half_up(100 * value, places)
