"""Builds what the scope looks at from the words of the worked cases."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from ledger.facts.mass import of_decimal
from ledger.law.scope import Subject
from ledger.refrigerants.register import register

SETS = ("AR4", "AR5", "AR6")
UNREGISTERED = {
    "blend of R-1234ze(E) 98 % and R-134a 2 %": (True, "29.58"),
    "HFE-569sf2 88 %, methyl formate 8 %, R-1234yf 4 %": (False, "53.00"),
    "HFE-569sf2 89 %, methyl formate 8 %, R-1234yf 3 %": (False, "53.58"),
    "HFE-569sf2": (False, "59"),
    "HFC-152": (True, "53"),
    "R-1336mzz(E)": (False, "26"),
}
"""Refrigerants of the cases that have no R-number: whether with HFC, and their 84.64(b) value."""


def subject(told: Mapping[str, Any], state: str = "none") -> Subject:
    """The subject of a circuit as a case writes it: refrigerant, full_charge_lb, category ..."""
    name = told["refrigerant"]
    written = told.get("subsector", "undecided")
    ods, hfc, gwp = _substance(name)
    found = register().get(name)
    return Subject(
        ods=ods,
        hfc=hfc,
        gwp_84=gwp,
        charge=_counts(told["full_charge_lb"]),
        category=told["category"],
        rlc={"residential or light commercial": "yes", "undecided": "undecided"}.get(written, "no"),
        refrigerant=name,
        gwps=tuple((key, found.gwp(key).value) for key in SETS) if found else (),
        state=state,
        largest=_counts(told["largest_lb"]) if "largest_lb" in told else None,
        use=told.get("use", ""),
    )


def circuit_on(
    circuit: Mapping[str, Any], events: Iterable[Mapping[str, Any]], on: date, state: str
) -> Subject:
    """The subject of a circuit on a day, with what the events of its case changed by then."""
    told = dict(circuit)
    changes = {"retrofit": ("refrigerant", "refrigerant"), "full-charge": ("lb", "full_charge_lb")}
    for event in sorted(events, key=lambda one: one["on"]):
        if event["on"] > on or event.get("circuit", told["name"]) != told["name"]:
            continue
        if event["what"] == "subsector-decision":
            excluded = event["excluded"]
            told["subsector"] = "residential or light commercial" if excluded else "other"
        elif event["what"] in changes:
            source, target = changes[event["what"]]
            told[target] = event.get(source, told[target])
    return subject(told, state)


def _substance(name: str) -> tuple[bool, bool, Fraction | None]:
    found = register().get(name)
    if found is None:
        hfc, gwp = UNREGISTERED[name]
        return False, hfc, Fraction(gwp)
    return found.ods, found.hfc, found.gwp("84.64").value


def _counts(pounds: str) -> int:
    found = of_decimal(pounds, "lb")
    assert found is not None
    return found
