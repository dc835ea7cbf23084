"""A year of the shop, day by day: `year_of(seed)`."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from tests.oracle.simshop.counting import count
from tests.oracle.simshop.jobs import day_of_jobs
from tests.oracle.simshop.nights import nights_of_theft, seep, steal
from tests.oracle.simshop.paper import Papers
from tests.oracle.simshop.parameters import TRUCKS, YEAR, Parameters, drawn
from tests.oracle.simshop.shop import FIRST_DAY, Shop
from tests.oracle.simshop.truth import Truth
from tests.oracle.simshop.warehouse import deliver, load_out, ship_what_is_ready, turn_in

MONDAY, WEDNESDAY, FRIDAY, SATURDAY = 0, 2, 4, 5


@dataclass(frozen=True, slots=True)
class Year:
    """What a year left: the papers, which a reconciliation may see, and what it may not."""

    papers: Papers
    truth: Truth
    shop: Shop


def year_of(seed: int) -> Year:
    """The year of a seed."""
    return year_with(drawn(seed))


def year_with(parameters: Parameters) -> Year:
    """The year of a shop with given parameters."""
    shop = Shop(parameters)
    shop.open()
    thefts = nights_of_theft(parameters)
    day = FIRST_DAY
    while day.year == YEAR:
        _day(shop, day, thefts)
        day += timedelta(1)
    shop.finish()
    return Year(shop.papers, shop.truth, shop)


def _day(shop: Shop, day: date, thefts: list[str]) -> None:
    text, weekday = day.isoformat(), day.weekday()
    tomorrow = day + timedelta(1)
    if weekday in (MONDAY, WEDNESDAY):
        deliver(shop, text)
        for truck in TRUCKS:
            load_out(shop, truck, text)
    if weekday < SATURDAY:
        for truck in TRUCKS:
            day_of_jobs(shop, truck, text)
    if weekday == FRIDAY:
        for truck in TRUCKS:
            turn_in(shop, truck, text)
        quarter_end = day.month % 3 == 0 and (day + timedelta(7)).month != day.month
        ship_what_is_ready(shop, text, quarter_end)
    seep(shop, text)
    if text in thefts:
        steal(shop, text, len(thefts))
    if tomorrow.month != day.month:
        count(shop, text)
