"""Books filled at random, and everything the program answers from one, for comparing."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from ledger.answers.balances import Asked
from ledger.answers.leak_rate import rates
from ledger.answers.routes import FAMILIES
from ledger.book.journal import Book, Reader
from ledger.book.reading import Cut, balances_of, circuit_histories, inventory_of, pounds_of
from ledger.facts.entry import Draft
from ledger.facts.facts import (
    Body,
    BroughtForward,
    Described,
    Evidence,
    Fact,
    Movement,
    Reversal,
    Test,
    UnknownAddition,
    Weighing,
)
from ledger.facts.mass import OUNCE, POUND, Mass, Quantity, quantity
from ledger.law.for_rates import law_for_rates

FIRST_DAY = date(2024, 6, 1)
LAST_DAY = 900
CIRCUITS = tuple(f"U-{number}" for number in range(8))
CYLINDERS = tuple(f"C-{number}" for number in range(6))
REFRIGERANTS = ("R-22", "R-448A", "R-410A")
CATEGORIES = ("commercial refrigeration", "industrial process refrigeration")
RECORDED = "2026-12-01T00:00:00.000000Z"


def ounces(number: int) -> Quantity:
    """A number of ounces as a quantity."""
    return quantity(Mass(number * OUNCE))


def masters(choose: random.Random) -> Iterator[Fact]:
    """Two sites by different methods, a truck or two, circuits and cylinders."""
    for number, method in enumerate(("annualizing", "rolling average")):
        yield Described("site", f"Site {number}", {"method": method}, new="yes")
    for number, name in enumerate(CIRCUITS):
        yield Described("unit", name, {"site": f"Site {number % 2}"}, new="yes")
        fields: Body = {
            "unit": name, "refrigerant": REFRIGERANTS[number % 3], "subsector": "other",
            "category": CATEGORIES[number % 2],
            "full charge": {"method": "maker", "charge": [(60 + 40 * number) * POUND, "lb"]},
        }  # fmt: skip
        yield Described("circuit", name, fields, new="yes")
        if number % 2:
            since = FIRST_DAY + timedelta(choose.randrange(LAST_DAY))
            charge = {"method": "measured", "charge": [(55 + 40 * number) * POUND, "lb"]}
            yield Described("circuit", name, {"full charge": charge}, since.isoformat())
        if number % 4 == 1:
            yield BroughtForward(name, (FIRST_DAY - timedelta(200)).isoformat())
    for number, name in enumerate(CYLINDERS):
        tare = ounces(16 * 20).body()
        fields = {"kind": "refillable", "place": f"Truck {number % 2}", "stamped tare": tare}
        yield Described("cylinder", name, fields, new="yes")


def facts(choose: random.Random, circuit: str) -> Iterator[Fact]:
    """What one visit to a circuit may consist of."""
    what = REFRIGERANTS[CIRCUITS.index(circuit) % 3]
    cylinder = choose.choice(CYLINDERS)
    ends = f"cylinder:{cylinder}", f"circuit:{circuit}"
    net = Evidence("net")
    kind = choose.random()
    mass = ounces(choose.randrange(1, 800))
    if kind < 0.46:
        claim = choose.choice(("", "", "", "", "new charge", "post-retrofit"))
        yield Movement(*ends, what, mass, "addition", "virgin", claim=claim, evidence=net)
    elif kind < 0.64:
        yield Movement(
            ends[1], ends[0], what, mass, "recovery", "recovered", f"Owner {circuit}", evidence=net
        )
        if choose.random() < 0.7:
            mass = ounces(choose.randrange(1, 1200))
            yield Movement(*ends, what, mass, "addition", "recovered", evidence=net)
    elif kind < 0.73:
        yield Movement("party:Other Firm", ends[1], what, mass, "addition by others")
    elif kind < 0.77:
        yield UnknownAddition(circuit, what)
    elif kind < 0.86:
        result, leaves = choose.choice(("pass", "pass", "fail")), choose.choice(("all", "some"))
        yield Test(circuit, choose.choice(("follow-up", "initial")), result, leaves)
    elif kind < 0.95:
        yield Movement("party:Depot", ends[0], what, ounces(1600), "receipt", "virgin")
    else:
        yield Weighing(cylinder, ounces(choose.randrange(400, 3000)), "B1")


def fill(book: Book, seed: int, visits: int = 220) -> None:
    """Write a random history into an empty book: late entries, tickets, reversals."""
    choose = random.Random(seed)
    with book.writing() as writer:
        writer.append(
            Draft("masters", "add", FIRST_DAY.isoformat(), tuple(masters(choose))), RECORDED
        )
        tickets = {}
        for number in range(visits):
            circuit = choose.choice(CIRCUITS)
            offset = number * LAST_DAY // visits - (choose.randrange(60) if number % 7 == 0 else 0)
            day = (FIRST_DAY + timedelta(max(offset // 20 * 20, 0))).isoformat()
            ticket = ""
            if choose.random() < 0.6:
                ticket = f"T-{circuit}-{day}-{choose.randrange(2)}"
            tickets[number] = ticket
            told: list[Fact] = list(facts(choose, circuit))
            if choose.random() < 0.06 and number:
                target = writer.head()[0]
                if not isinstance(_first(writer, target), Reversal):
                    told = [Reversal(target, (0,), "keyed to the wrong unit")]
            writer.append(Draft(f"v{number}", "visit", day, tuple(told), ticket=ticket), RECORDED)


def _first(reader: Reader, number: int) -> Fact | None:
    entry = reader.entry(number)
    return entry.facts()[0] if entry else None


def everything(reader: Reader, cut: Cut) -> dict[str, Any]:
    """Every answer of the book at a cut, as plain values that can be compared."""
    law = law_for_rates()
    found: dict[str, Any] = {}
    for history in circuit_histories(reader, cut):
        found[f"rates of {history.circuit}"] = [
            (one.on, one.entries, one.counted, one.annual_pounds, one.days, one.window_pounds,
             one.window_start, one.over, one.text(), one.skipped, one.cannot, one.subpart)
            for one in rates(history, law)
        ]  # fmt: skip
    for family, names in FAMILIES.items():
        for by in names.dimensions:
            asked = Asked((by,))
            if asked.family() == family:
                balances = balances_of(reader, cut, asked)
                found[f"{family} by {by}"] = [(one.key, one.closing) for one in balances]
    lines = pounds_of(reader, cut, split=("stock", "owner"))
    found["pounds"] = [line[:-1] for line in lines]
    cylinders = inventory_of(reader, cut)
    found["cylinders"] = [
        (one.name, one.book, one.book_then, one.net, one.difference) for one in cylinders
    ]
    return found
