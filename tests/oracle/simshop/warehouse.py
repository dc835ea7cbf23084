"""The warehouse: deliveries, load-outs, Friday's turn-in, pumping over, shipping to reclaim."""

from __future__ import annotations

from ledger.facts import verbs
from ledger.facts.facts import Described, Evidence, Fact
from ledger.facts.mass import Mass, quantity
from tests.oracle.simshop.jobs import hose_of
from tests.oracle.simshop.matter import lb
from tests.oracle.simshop.paper import Invoice, WeightTicket
from tests.oracle.simshop.parameters import (
    NO_HEEL,
    POUND_EACH,
    WAREHOUSE,
    WEIGHED,
)
from tests.oracle.simshop.shop import RECLAIMER, SUPPLIER, WEIGHED_SO, Shop, technician
from tests.oracle.simshop.stock import DISPOSABLE, HALF_TON, RECOVERY, Cylinder
from tests.oracle.simshop.truth import HEEL, HOSE, SCALE, UNRECEIVED

SHELF = 4
"""Sealed cylinders of a refrigerant below which the shop orders."""
ABOARD = lb(430)
"""Gross pounds a truck carries at most; below the 440 lb of 49 CFR 173.6 (materials of trade)."""


def deliver(shop: Shop, day: str) -> None:
    """What the supplier brings on a delivery day, and what the office types of it."""
    r, p = shop.random, shop.p
    for what in p.refrigerants:
        shelf = sum(one.sealed for one in shop.here(WAREHOUSE, what, DISPOSABLE))
        if shelf >= SHELF:
            continue
        ones = [shop.bring(what, DISPOSABLE, day, WAREHOUSE) for _ in range(r.randint(2, 5))]
        invoice = f"INV-{shop.number('invoice'):04d}"
        total = sum(one.nominal for one in ones)
        shop.papers.invoices.append(
            Invoice(invoice, day, SUPPLIER, what, len(ones), quantity(Mass(total)))
        )
        shop.truth.flows[what].bought += sum(one.content for one in ones)
        typed_on, late = day, r.random() < p.unreceived
        if late:
            found = r.random() < p.received_late
            typed_on = shop.later(day, r.randint(5, 80)) if found else ""
        for one in ones:
            one.in_book = not late
            shop.truth.typed(
                shop.key(day, one), one.name, typed_on, (UNRECEIVED, one.content),
                {SCALE: one.content - one.nominal},
            )  # fmt: skip
        if typed_on:
            facts = shop.receipt(ones, invoice, day)
            shop.type("receive", day, facts, typed_on, because=WEIGHED_SO, provisional=late)


def load_out(shop: Shop, truck: str, day: str) -> None:
    """Put on a truck what it is short of, each cylinder with its gross weight."""
    facts: list[Fact] = []
    used_early = False
    for what in shop.p.refrigerants:
        aboard = sum(one.gross for one in shop.here(truck))
        has = sum(one.usable for one in shop.here(truck, what, DISPOSABLE))
        ready = [one for one in shop.here(WAREHOUSE, what, DISPOSABLE) if one.sealed]
        if has >= lb(12) or not ready or aboard + ready[0].gross > ABOARD:
            continue
        one = shop.random.choice(ready)
        used_early = used_early or not one.in_book
        one.place = one.recorded_place = truck
        bench = shop.scales["bench"]
        facts += verbs.place_cylinder(one.name, truck, day)
        facts += verbs.weigh(one.name, bench.gross(one.gross, shop.random), bench.name, "sealed")
    if facts:
        person = technician(truck)
        shop.type("load-out", day, facts, at="06:30", person=person, provisional=used_early)


def turn_in(shop: Shop, truck: str, day: str) -> None:
    """Friday: opened cylinders on the bench scale, empties to scrap, recovered pumped over."""
    bench = shop.scales["bench"]
    opened = [one for one in shop.here(truck) if not one.sealed]
    facts: list[Fact] = []
    for one in opened:
        facts += verbs.weigh(one.name, bench.gross(one.gross, shop.random), bench.name)
    if facts:
        early = any(not one.in_book for one in opened)
        person = technician(truck)
        shop.type("turn-in", day, facts, at="16:30", person=person, provisional=early)
    for one in opened:
        if one.kind == DISPOSABLE and one.usable < lb(0.5):
            _scrap(shop, one, day)
        elif one.kind == RECOVERY and one.room() < lb(12):
            _pump_over(shop, one, day)


def _scrap(shop: Shop, one: Cylinder, day: str) -> None:
    """An empty disposable goes to scrap with its heel, as this shop books it."""
    p, bench = shop.p, shop.scales["bench"]
    one.place = one.recorded_place = WAREHOUSE
    facts: list[Fact] = []
    written, cause = 0, HEEL
    if p.heel_policy == POUND_EACH:
        written = lb(1)
        facts += verbs.write_off_heel(
            one.name, one.refrigerant, quantity(Mass(written)), Evidence("stated")
        )
    elif p.heel_policy == WEIGHED:
        gross = bench.gross(one.gross, shop.random)
        facts += verbs.weigh(one.name, gross, bench.name)
        written, cause = max(0, gross.mass - one.stamped), SCALE
        if written:
            net, evidence = quantity(Mass(written)), Evidence("net", bench.name)
            facts += verbs.write_off_heel(one.name, one.refrigerant, net, evidence)
    else:
        assert p.heel_policy == NO_HEEL
    how = one.how if shop.random.random() < p.tells_how else "empty"
    state = {"place": WAREHOUSE, "state": "scrapped", "state because": how}
    facts.append(Described("cylinder", one.name, state, since=day))
    shop.type("scrap", day, facts, at="17:00", because=WEIGHED_SO, provisional=not one.in_book)
    shop.truth.both(shop.key(day, one), one.name, cause, written - one.content)
    shop.truth.flows[one.refrigerant].heel += one.content
    one.content, one.gone = 0, day


def _pump_over(shop: Shop, one: Cylinder, day: str) -> None:
    """Recovered refrigerant into the half-ton tank; a little vapour stays behind."""
    r = shop.random
    left = min(one.content, lb(r.uniform(0.05, 0.4)))
    mass = one.content - left
    (tank,) = shop.here(WAREHOUSE, one.refrigerant, HALF_TON)
    if tank.room() < mass:
        ship(shop, tank, day)
        (tank,) = shop.here(WAREHOUSE, one.refrigerant, HALF_TON)
    hose = min(hose_of(shop, WAREHOUSE, one.refrigerant), mass // 2)
    net, evidence = shop.weighed_out(shop.scales["bench"], one.gross, mass)
    facts = verbs.transfer(one.name, tank.name, one.refrigerant, net, evidence)
    shop.type("transfer", day, facts, at="17:30", because=WEIGHED_SO)
    one.content -= mass
    tank.content += mass - hose
    shop.truth.flows[one.refrigerant].hose += hose
    shop.truth.both(shop.key(day, one), one.name, SCALE, net.mass - mass)
    shop.truth.both(shop.key(day, tank), tank.name, SCALE, mass - net.mass)
    shop.truth.both(shop.key(day, tank), tank.name, HOSE, -hose)


def ship_what_is_ready(shop: Shop, day: str, quarter_end: bool) -> None:
    """Tanks that go to the reclaimer: the full ones, at a quarter's end every used one."""
    for what in shop.p.refrigerants:
        for tank in shop.here(WAREHOUSE, what, HALF_TON):
            if tank.content > lb(100 if quarter_end else 520):
                ship(shop, tank, day)


def ship(shop: Shop, tank: Cylinder, day: str) -> None:
    """Ship a tank by its gross weight and stamped tare; another comes empty in its place."""
    r, floor = shop.random, shop.scales["floor"]
    gross = floor.gross(tank.gross, r)
    written = max(lb(1), gross.mass - tank.stamped)
    net = quantity(Mass(written))
    facts: list[Fact] = [*verbs.weigh(tank.name, gross, floor.name)]
    facts += verbs.leave(
        tank.name, RECLAIMER, tank.refrigerant, net, Evidence("net", floor.name), "shipment"
    )
    state = {"place": RECLAIMER, "state": "returned"}
    facts.append(Described("cylinder", tank.name, state, since=day))
    shop.type("ship", day, facts, at="18:00", because=WEIGHED_SO)
    shop.truth.both(shop.key(day, tank), tank.name, SCALE, written - tank.content)
    shop.truth.flows[tank.refrigerant].shipped += tank.content
    theirs = floor.display
    gross_there, tare_there = theirs.shown(tank.gross), theirs.shown(tank.tare)
    shop.papers.weight_tickets.append(
        WeightTicket(
            shop.later(day, r.randint(4, 20)), tank.name, tank.refrigerant, gross_there,
            tare_there, quantity(Mass(gross_there.mass - tare_there.mass)),
        )
    )  # fmt: skip
    tank.content, tank.gone = 0, day
    other = shop.bring(tank.refrigerant, HALF_TON, day, WAREHOUSE)
    shop.type("add", day, [other.described(WAREHOUSE)], at="18:00")
