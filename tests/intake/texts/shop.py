"""The shop whose technicians text: two sites and a house, their circuits, the truck's cylinders."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ledger.facts.facts import Described, Evidence, Fact
from ledger.facts.mass import Quantity
from ledger.facts.problems import Problem
from ledger.facts.verbs import opening
from ledger.intake.fields import read_mass

CIRCUITS = (
    ("RTU-1/A", "Bayside Market", "R-410A", "11 lb"),
    ("RTU-1/B", "Bayside Market", "R-410A", "9 lb"),
    ("RTU-3", "Bayside Market", "R-410A", "12 lb"),
    ("RTU-4", "Bayside Market", "R-410A", "10 lb"),
    ("RTU-13", "Bayside Market", "R-410A", "8 lb"),
    ("RACK-A", "Bayside Market", "R-448A", "150 lb"),
    ("WIC-1", "Bayside Market", "R-404A", "18 lb"),
    ("HP-2", "Pine Clinic", "R-410A", "8.25 lb"),
    ("CU-1", "Pine Clinic", "R-22", "7.5 lb"),
    ("CH-1", "Pine Clinic", "R-134a", "480 lb"),
    ("AC-411", "411 Cordwain Ln", "R-454B", "6.5 lb"),
)
"""Circuit, site, refrigerant, full charge; all invented."""

CYLINDERS = (
    ("410-017", "disposable", "R-410A", "25 lb", "6.4 lb"),
    ("410-018", "disposable", "R-410A", "25 lb", "6.4 lb"),
    ("410-019", "disposable", "R-410A", "25 lb", "6.4 lb"),
    ("404-05", "disposable", "R-404A", "24 lb", "6.4 lb"),
    ("448-02", "disposable", "R-448A", "25 lb", "6.4 lb"),
    ("448-03", "disposable", "R-448A", "25 lb", "6.4 lb"),
    ("134-02", "disposable", "R-134a", "30 lb", "6.4 lb"),
    ("454-03", "disposable", "R-454B", "20 lb", "6.4 lb"),
    ("22-R1", "disposable", "R-22", "30 lb", "6.4 lb"),
    ("RC-04", "recovery", "R-410A", "3.7 lb", "27.5 lb"),
    ("RC-05", "recovery", "R-22", "", "27.5 lb"),
    ("RC-06", "recovery", "R-448A", "", "60 lb"),
    ("RC-07", "recovery", "R-404A", "", "27.5 lb"),
    ("RC-08", "recovery", "R-410A", "", "27.5 lb"),
    ("RC-A1", "recovery", "R-454B", "", "27.5 lb"),
)
"""Cylinder, kind, refrigerant, what it holds, stamped tare."""


def lb(text: str) -> Quantity:
    """An amount as it is written."""
    found = read_mass(text)
    assert not isinstance(found, Problem)
    return found


def new(kind: str, name: str, **fields: Any) -> Described:
    """A first description."""
    return Described(kind, name, {k.replace("_", " "): v for k, v in fields.items()}, new="yes")


def masters() -> Iterator[Fact]:
    """The facts that make the shop."""
    universal = {"type": "Universal", "number": "608-1"}
    yield new("party", "Bayside Foods", role="customer")
    yield new("party", "Pine Health", role="customer")
    yield new("party", "R. Cordwain", role="customer")
    owners = {
        "Bayside Market": "Bayside Foods", "Pine Clinic": "Pine Health",
        "411 Cordwain Ln": "R. Cordwain",
    }  # fmt: skip
    for site, owner in owners.items():
        yield new("site", site, owner=owner, zone="America/Chicago", method="annualizing")
    yield new("person", "Dana Field", certification=universal, initials="DF")
    yield new("person", "Teo Marsh", certification=universal, initials="TM")
    units: set[str] = set()
    for circuit, site, refrigerant, charge in CIRCUITS:
        unit = circuit.partition("/")[0]
        if unit not in units:
            units.add(unit)
            yield new("unit", unit, site=site)
        full = {"method": "maker", "charge": lb(charge).body()}
        fields = {"unit": unit, "refrigerant": refrigerant, "full charge": full,
                  "category": "comfort cooling"}  # fmt: skip
        yield Described("circuit", circuit, fields, new="yes")
    for name, kind, refrigerant, held, tare in CYLINDERS:
        fields = {"kind": kind, "refrigerant": refrigerant, "stamped tare": lb(tare).body()}
        yield Described("cylinder", name, fields, new="yes")
        if held:
            # Recovered refrigerant has an owner; the clinic's is what RC-04 holds.
            stock, owner = ("recovered", "Pine Health") if kind == "recovery" else ("virgin", "")
            yield from opening(name, refrigerant, lb(held), Evidence("stated"), stock, owner)
