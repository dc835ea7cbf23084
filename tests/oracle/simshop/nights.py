"""What happens when nobody writes anything down: valves that seep, and thefts."""

from __future__ import annotations

from datetime import date
from random import Random

from tests.oracle.simshop.matter import lb
from tests.oracle.simshop.parameters import YEAR, Parameters
from tests.oracle.simshop.shop import Shop
from tests.oracle.simshop.stock import DISPOSABLE, Cylinder
from tests.oracle.simshop.truth import LEAK, THEFT, Lost


def nights_of_theft(p: Parameters) -> list[str]:
    """The nights on which something disappears, in order; none without a theft."""
    if p.theft is None:
        return []
    r = Random(f"simshop theft {p.seed}")
    times = p.theft.times
    if p.theft.mode == "cylinders":
        times = max(2, round(p.theft.total_lb / 22))
    first, last = date(YEAR, p.theft.first, 1).toordinal(), date(YEAR, 12, 27).toordinal()
    days = r.sample(range(first, last), min(times, last - first))
    return [date.fromordinal(day).isoformat() for day in sorted(days)]


def seep(shop: Shop, day: str) -> None:
    """A night's storage leaks."""
    for one in shop.cylinders.values():
        lost = min(one.leak, one.content)
        if lost and not one.gone:
            one.content -= lost
            shop.truth.both(shop.key(day, one), one.name, LEAK, -lost)
            shop.truth.flows[one.refrigerant].leaked += lost


def steal(shop: Shop, day: str, times: int) -> None:
    """One night's theft: a whole cylinder, or some pounds out of one."""
    theft, r = shop.p.theft, shop.random
    assert theft is not None
    aboard = [
        one for one in shop.here(theft.truck, kind=DISPOSABLE)
        if one.content > lb(4) and one.in_book
    ]  # fmt: skip
    if not aboard or sum(one.mass for one in shop.truth.thefts) >= lb(theft.total_lb):
        return
    whole = theft.mode == "cylinders" or (theft.mode == "both" and r.random() < 0.15)
    if whole:
        one = max(aboard, key=lambda c: (c.content, c.name))
        _lose(shop, one, one.content, day, True)
        one.gone, one.lost, one.sealed = day, True, False
        return
    one = min(aboard, key=lambda c: (c.sealed, c.name))
    some = lb(theft.total_lb / times * r.uniform(0.5, 1.5))
    _lose(shop, one, min(some, one.content - lb(0.5)), day, False)
    one.sealed = False


def _lose(shop: Shop, one: Cylinder, mass: int, day: str, whole: bool) -> None:
    one.content -= mass
    shop.truth.both(shop.key(day, one), one.name, THEFT, -mass)
    shop.truth.flows[one.refrigerant].stolen += mass
    shop.truth.thefts.append(Lost(day, one.name, one.refrigerant, mass, whole))
