"""A true shop drawn from a seed: who, what and where, and the movements that really happened."""

from __future__ import annotations

import random
from datetime import date, timedelta

from tests.oracle.messy.paper import (
    ADDED,
    RECOVERED,
    Amount,
    Cylinder,
    Job,
    Person,
    Shop,
    Unit,
)

FIRST_DAY = date(2025, 1, 6)
LAST_DAY = date(2026, 2, 27)

_SITES = (
    "Hollowmere Grocery", "Tansy Court", "Ferrow Mill", "12 Quarrel Ln", "Dunlow Clinic",
    "Wickenby School", "408 Saltern Rd", "Orlop Cold Store",
)  # fmt: skip
_PEOPLE = (
    Person("Ines Corrigan-Vale", "IC"), Person("Bram Oyelaran", "BO"),
    Person("Talia Westergate", "TW"), Person("Jonas Pikefield", "JP"),
    Person("Mirela Standish", "MS"), Person("Rafe Undercliff", "RU"),
)  # fmt: skip
_REFRIGERANTS = ("R-410A", "R-410A", "R-22", "R-404A", "R-134a", "R-407C", "R-454B", "R-448A")
_STYLES = (*["tenth"] * 8, *["hundredth"] * 3, *["ounce"] * 5, "kilo", "gram")
_TAGS = ("RTU", "AC", "WIC", "RACK", "CH", "SPLIT")


def shop_of(rng: random.Random) -> Shop:
    """A shop with 40 to 120 movements in some 14 months."""
    sites = rng.sample(_SITES, rng.randint(3, 6))
    people = rng.sample(_PEOPLE, rng.randint(3, 5))
    units = list(_units(rng, sites))
    shop = Shop(sites, units, list(_cylinders(units)), people)
    wanted = rng.randint(40, 120)
    days = [FIRST_DAY + timedelta(days=n) for n in range((LAST_DAY - FIRST_DAY).days)]
    visits = sorted(rng.choice(days) for _ in range(wanted))
    for number, day in enumerate(visits, start=1):
        if len(shop.jobs) >= wanted:
            break
        _visit(rng, shop, number, day)
    return shop


def _units(rng: random.Random, sites: list[str]) -> list[Unit]:
    made: list[Unit] = []
    tag_counts: dict[str, int] = {}
    for site in sites:
        for _ in range(rng.randint(2, 4)):
            tag = rng.choice(_TAGS)
            tag_counts[tag] = tag_counts.get(tag, 0) + 1
            name = f"{tag}-{tag_counts[tag]}"
            refrigerant = rng.choice(_REFRIGERANTS)
            charge = rng.randint(9, 60)
            if rng.random() < 0.2:
                made += [
                    Unit(f"{name}/{letter}", name, site, refrigerant, charge) for letter in "AB"
                ]
            else:
                made.append(Unit(name, name, site, refrigerant, charge))
    return made


def _cylinders(units: list[Unit]) -> list[Cylinder]:
    made = []
    for number, refrigerant in enumerate(sorted({unit.refrigerant for unit in units}), start=1):
        made.append(Cylinder(f"S-{number:02d}", "supply", refrigerant))
        made.append(Cylinder(f"RC-{number:02d}", "recovery", refrigerant))
    return made


def _visit(rng: random.Random, shop: Shop, number: int, day: date) -> None:
    """One visit: one technician, one ticket, one to three units, each with one or two movements."""
    site = rng.choice(shop.sites)
    there = [unit for unit in shop.units if unit.site == site]
    person = rng.choice(shop.people)
    ticket = f"T-{2000 + number}" if rng.random() < 0.9 else ""
    for unit in rng.sample(there, min(len(there), rng.choice((1, 1, 1, 2, 2, 3)))):
        turns = [ADDED] if rng.random() < 0.6 else [RECOVERED]
        if rng.random() < 0.2:
            turns = [RECOVERED, ADDED]
        for direction in turns:
            kind = "supply" if direction == ADDED else "recovery"
            cylinder = next(
                one.name
                for one in shop.cylinders
                if one.kind == kind and one.refrigerant == unit.refrigerant
            )
            job = Job(
                len(shop.jobs) + 1, number, day.isoformat(), site, unit.unit, unit.circuit,
                unit.refrigerant, direction, _amount(rng, unit.full_charge), cylinder,
                person.name, ticket,
            )  # fmt: skip
            if not _too_like(shop, job):
                shop.jobs.append(job)


def _too_like(shop: Shop, job: Job) -> bool:
    """Whether a reader could take the movement for another record of one that is there.

    What looks like two records of one job is made on purpose elsewhere, never by chance.
    """
    for other in shop.jobs[-60:]:
        near = abs((date.fromisoformat(other.day) - date.fromisoformat(job.day)).days) <= 7
        same = (other.circuit, other.direction) == (job.circuit, job.direction)
        if near and same:
            return True
    return False


def _amount(rng: random.Random, full_charge: int) -> Amount:
    style = rng.choice(_STYLES)
    most = max(2, min(9, full_charge // 3))
    if style == "gram":
        return Amount("gram", 10 * rng.randint(40, 400))
    if style == "kilo":
        return Amount("kilo", rng.randint(0, max(1, most // 3)), rng.randint(1, 9))
    if style == "hundredth":
        return Amount(style, rng.randint(0, most), rng.choice((5, 15, 25, 35, 45, 65, 85, 95)))
    part = rng.randint(1, 9) if style == "tenth" else rng.randint(1, 15)
    return Amount(style, rng.randint(0, most), part)
