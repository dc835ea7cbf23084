"""Attributes the differences of a year by the chains of gross weights and the shop's papers.

The gaps between the weights of every cylinder (`ledger.answers.chain`), count sheets included, are
told apart by what lies in them: a job on the dispatch list of which nothing was typed, a job typed
twice, a ticket whose weights fit another cylinder, hoses primed before the scale was zeroed, an
empty that went to scrap. What scales differ by is taken from the gaps themselves: the middle of
those of two scales is their offset, the spread around it their noise. What fits nothing and is
beyond the noise is residual; what is left of each cylinder and month is the scales' and labels'.

A truck is named where its losses cannot be told by chance from those of the others; see `CHANCE`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import exp, factorial
from statistics import fmean, median
from typing import Any, NamedTuple

from ledger.answers.chain import Gap, Reading, Step, gaps, in_order, steps_of
from ledger.book.closing import weights
from ledger.book.journal import Book
from ledger.book.reading import Cut, masters_at, movements, placed
from ledger.facts.mass import POUND
from tests.oracle.simshop.attribution import Attributed
from tests.oracle.simshop.counting import counted
from tests.oracle.simshop.paper import Job, Papers
from tests.oracle.simshop.truth import (
    AT_END,
    DOUBLED,
    FORGOTTEN,
    HEEL,
    HOSE,
    LEAK,
    RESIDUAL,
    SCALE,
    UNRECEIVED,
    WRONG,
    Causes,
    Key,
)

BEYOND = 5
"""Spreads of two weights' difference beyond which something else happened. Of some thousand gaps
a year, chance alone puts less than one beyond five (normal law: 6 in ten million)."""
FLOOR = POUND // 4
"""No gap smaller than this is looked into: half the doubt of two scales (workflow 3.5)."""
TANK = 2 * POUND
"""The same for a half-ton tank, whose scale shows half pounds."""
LEAST = POUND
"""Residual pounds that are looked at: twice the doubt of two scales (workflow 3.5)."""
TRUCKS = 6
CHANCE = 0.001
"""A truck is named where chance at the rate of the other trucks (one more loss added to theirs, as
no loss is no proof of a rate of nothing) brings its losses about in less than one year of a
thousand. Four losses are the least that can be, where the others have none: one cylinder that is
not there is an open item and no pattern."""
ALIKE = 4 * POUND // 5
"""Pounds two records of one job may be apart: ounces read as a decimal make up to 0.79 lb (trade
workflow, 1.4)."""
NEAR = 3
"""Days two records of one job may be apart."""


class Event(NamedTuple):
    """Something that made a difference: when, where, to which cylinder, why, how much."""

    day: str
    place: str
    cylinder: str
    cause: str
    mass: int


@dataclass(slots=True)
class Shop:
    """What the book and the papers of a year say, read once."""

    steps: dict[str, list[Step]]
    places: dict[str, list[tuple[str, str]]]
    refrigerants: dict[str, str]
    tares: dict[str, int]
    labels: dict[str, int]
    scrapped: dict[str, str]
    provisional: set[str]
    zeroed: set[int]
    tickets: dict[int, str]
    papers: Papers
    jobs: list[Job] = field(default_factory=list)

    def place(self, cylinder: str, day: str) -> str:
        """Where the book has a cylinder on a day."""
        series = self.places.get(cylinder, [])
        at = bisect_right([since for since, _ in series], day) - 1
        return series[at][1] if at >= 0 else ""


def read(book: Book, papers: Papers) -> Shop:
    """Everything that is on record, count sheets as weighings of their cut-off."""
    with book.reading() as reader:
        cut = Cut()
        masters = masters_at(reader, cut)
        rows = [row for row in movements(reader, cut) if row[12] != "difference"]
        read_weights: dict[Any, Any] = dict(weights(reader, cut, masters.names))
        cylinders = masters.all("cylinder")
        places: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for one in placed(masters):
            places[one.cylinder].append((one.since, one.place))
        entries = {row[2] for row in rows}
        bodies = {entry.number: entry.content() for entry in reader.entries()
                  if entry.number in entries}  # fmt: skip
    for number, count in enumerate(papers.counts):
        for at, row in enumerate(count.rows):
            if row.gross is not None:
                mark = (10**7 + number, at, row.cylinder)
                read_weights[mark] = [Reading(mark[0], at, count.cut_off, "24:00",
                                              row.gross.mass, row.scale)]  # fmt: skip
    names = {one.name for one in cylinders.values()} | {mark[2] for mark in read_weights}
    names |= {row.cylinder for count in papers.counts for row in count.rows}
    tares, labels, refrigerants = {}, {}, {}
    for count in papers.counts:
        for row in count.rows:
            refrigerants[row.cylinder] = row.refrigerant
            if row.tare is not None:
                tares[row.cylinder] = int(row.tare.mass)
            if row.label is not None:
                labels[row.cylinder] = int(row.label.mass)
    scrapped, provisional = {}, set()
    for one in cylinders.values():
        for field_name in ("stamped tare", "measured tare"):
            value = one.now(field_name)
            if isinstance(value, list):
                tares.setdefault(one.name, int(value[0]))
        nominal = one.now("nominal")
        if isinstance(nominal, list):
            labels.setdefault(one.name, int(nominal[0]))
        refrigerants.setdefault(one.name, one.text("refrigerant"))
        gone = [value.since for value in one.history.get("state", ()) if value.value == "scrapped"]
        if gone:
            scrapped[one.name] = gone[0]
    for row in rows:
        if row[12] in ("receipt", "opening"):
            labels.setdefault(row[7], row[9])
    received = {row[7] for row in rows if row[12] in ("receipt", "opening", "transfer", "recovery")}
    provisional = {name for name in names if name not in received}
    zeroed = {number for number, body in bodies.items() if "zeroed" in body.get("note", "")}
    tickets = {number: body["ticket"] for number, body in bodies.items() if body.get("ticket")}
    typed = set(tickets.values())
    return Shop(
        steps_of(rows, read_weights, names), dict(places), refrigerants, tares, labels, scrapped,
        provisional, zeroed, tickets, papers,
        [job for job in papers.jobs if job.ticket not in typed and not job.nothing_used],
    )  # fmt: skip


def by_weights(book: Book, papers: Papers) -> Attributed:
    """The attribution; see the module."""
    shop = read(book, papers)
    events = Finder(shop).events()
    causes = _spread(shop, events)
    return Attributed(AT_END, causes, tuple(_named(events)))


def _spread(shop: Shop, events: Iterable[Event]) -> Causes:
    """The events by month, place and refrigerant; what is left of each difference is scale."""
    causes: Causes = {}
    found: dict[tuple[str, str], int] = defaultdict(int)
    for event in events:
        if not event.mass:
            continue
        key = Key(event.day[:7], event.place, shop.refrigerants.get(event.cylinder, ""))
        of = causes.setdefault(key, {})
        of[event.cause] = of.get(event.cause, 0) + event.mass
        found[event.day[:7], event.cylinder] += event.mass
    for month, cylinder, place, arisen in differences(shop):
        rest = arisen - found.get((month, cylinder), 0)
        if rest:
            of = causes.setdefault(Key(month, place, shop.refrigerants.get(cylinder, "")), {})
            of[SCALE] = of.get(SCALE, 0) + rest
    return causes


def differences(shop: Shop) -> Iterator[tuple[str, str, str, int]]:
    """Month, cylinder, place and what its difference grew by, counted less recorded."""
    before: dict[str, int] = {}
    places: dict[str, str] = {}
    for count in shop.papers.counts:
        now = dict.fromkeys(before, 0)
        for row, mass in counted(count.rows):
            now[row.cylinder], places[row.cylinder] = mass, row.place
        for name, steps in shop.steps.items():
            recorded = sum(one.change for one in steps if one.day <= count.cut_off)
            if recorded or name in now:
                now[name] = now.get(name, 0) - recorded
        for name, difference in now.items():
            if arisen := difference - before.get(name, 0):
                place = places.get(name) or shop.place(name, count.cut_off)
                yield count.month, name, place, arisen
            before[name] = difference


def _named(events: Iterable[Event]) -> Iterator[str]:
    """The one truck that loses more often than the rate of the others can bring about."""
    net: dict[tuple[str, str], int] = defaultdict(int)
    often: Counter[str] = Counter()
    for event in events:
        if event.cause == RESIDUAL and event.place.startswith("Truck"):
            net[event.place, event.cylinder] += event.mass
    lost = {place_and_name for place_and_name, mass in net.items() if mass < -LEAST}
    for event in events:
        if event.cause == RESIDUAL and (event.place, event.cylinder) in lost:
            often[event.place] += event.mass < -LEAST
    for truck, times in often.most_common(1):
        rate = (sum(often.values()) - times + 1) / (TRUCKS - 1)
        chance = 1 - sum(exp(-rate) * rate**k / factorial(k) for k in range(times))
        if chance < CHANCE:
            yield truck


class Finder:
    """Finds what happened in the gaps."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.offsets: dict[tuple[str, str], int] = {}
        self.noise: dict[tuple[str, str], int] = {}
        self.hoses: dict[str, int] = {}
        self.hose = 0
        self.labelled = {row.cylinder for count in shop.papers.counts for row in count.rows
                         if row.label is not None}  # fmt: skip

    def events(self) -> list[Event]:
        """Everything found."""
        shop = self.shop
        found: list[Event] = []
        self.elsewhere = list(self._elsewhere())
        away = {(step.entry, step.line) for _, step, _ in self.elsewhere}
        self.kept = {
            name: [one for one in steps if (one.entry, one.line) not in away]
            for name, steps in shop.steps.items()
        }
        self.chains = {name: gaps(steps) for name, steps in self.kept.items()}
        self._learn()
        found += self._hoses()
        open_gaps = self._beyond()
        found += self._seeping({(one.name, one.first, one.last) for one in open_gaps})
        found += self._tickets(open_gaps)
        found += self._heels()
        found += self._unreceived()
        found += self._missing()
        return found

    def _elsewhere(self) -> Iterator[tuple[str, Step, str]]:
        """Tickets on a cylinder that was not on the truck of the job: cylinder, step, truck."""
        trucks = {job.ticket: job.truck for job in self.shop.papers.jobs}
        for name, steps in self.shop.steps.items():
            for step in steps:
                truck = trucks.get(self.shop.tickets.get(step.entry, ""))
                if step.row is None or truck is None or "circuit" not in (step.row[4], step.row[6]):
                    continue
                if not self._aboard(name, step.day, truck):
                    yield name, step, truck

    def _aboard(self, name: str, day: str, truck: str) -> bool:
        """Whether a cylinder was on a truck on a day, or until it was turned in that day."""
        return truck in (self.shop.place(name, day), self.shop.place(name, _eve(day)))

    # -- scales ----------------------------------------------------------------------------

    def _scales(self, gap: Gap) -> tuple[str, str]:
        since, until = gap.since, gap.until
        assert since is not None and until is not None
        return since.scale or "?", until.scale or "?"

    def _learn(self) -> None:
        """Offsets and noise of pairs of scales, and what a hook-up loses, from the gaps."""
        by_pair: dict[tuple[str, str], list[int]] = defaultdict(list)
        hooked: list[tuple[tuple[str, str], str, int]] = []
        for name, chain in self.kept.items():
            for since, until, between in _pairs(chain):
                mass = until.gross - since.gross - sum(one.change for one in between)
                zeroed = [one for one in between if one.entry in self.shop.zeroed]
                if abs(mass) > POUND or any(_pumped(one) for one in between):
                    continue
                pair = (since.scale or "?", until.scale or "?")
                if not zeroed:
                    by_pair[pair].append(mass)
                elif len(zeroed) == 1:
                    hooked.append((pair, self.truck(name, zeroed[0].day), mass))
        for pair, some in by_pair.items():
            if len(some) >= 8:
                self.offsets[pair] = int(median(some))
                self.noise[pair] = max(_spread_of(some), int(fmean(map(abs, _around(some)))))
        spreads = sorted(self.noise.values())
        self.all_noise = spreads[len(spreads) // 2] if spreads else POUND // 20
        by_truck: dict[str, list[int]] = defaultdict(list)
        for pair, truck, mass in hooked:
            by_truck[truck].append(mass - self.offsets.get(pair, 0))
        every = [mass for some in by_truck.values() for mass in some]
        self.hose = min(0, int(median(every))) if len(every) >= 5 else 0
        self.hoses = {truck: min(0, int(median(some))) for truck, some in by_truck.items()
                      if len(some) >= 8}  # fmt: skip

    def hose_of(self, name: str, day: str) -> int:
        """What a hook-up of the truck loses that a cylinder was on."""
        return self.hoses.get(self.truck(name, day), self.hose)

    def truck(self, name: str, day: str) -> str:
        """The place of a cylinder on a day before it was scrapped or turned in for good."""
        here = self.shop.place(name, day)
        return here if here.startswith("Truck") else self.shop.place(name, _eve(day))

    def _zeroed(self, gap: Gap) -> list[Step]:
        return [one for one in gap.unread if one.entry in self.shop.zeroed]

    def _hoses(self) -> Iterator[Event]:
        for name, steps in self.shop.steps.items():
            for step in steps:
                if step.entry in self.shop.zeroed and step.change < 0:
                    yield Event(step.day, self.truck(name, step.day), name, HOSE,
                                self.hose_of(name, step.day))  # fmt: skip
                elif _pumped(step):
                    yield Event(step.day, self.shop.place(name, step.day), name, HOSE, self.hose)

    def rest(self, gap: Gap, gap_of: str) -> int:
        """A gap without what the scales and the hoses make of it."""
        return (gap.mass - self.offsets.get(self._scales(gap), 0)
                - sum(self.hose_of(gap_of, one.day) for one in self._zeroed(gap)))  # fmt: skip

    def doubt(self, gap: Gap, name: str) -> int:
        """What a gap may be by noise."""
        floor = TANK if self.shop.tares.get(name, 0) > 100 * POUND else FLOOR
        return max(floor, BEYOND * self.noise.get(self._scales(gap), self.all_noise))

    def _seeping(self, told: set[tuple[str, str, str]]) -> Iterator[Event]:
        """Cylinders that lose a little all the time: one way, and together beyond noise.

        Errors of one weight cancel in the next gap, so the doubt of the sum is that of two.
        """
        for name, chain in self.kept.items():
            some: list[tuple[str, str, int]] = []
            noise = self.all_noise
            for since, until, between in _pairs(chain):
                days = (date.fromisoformat(until.day) - date.fromisoformat(since.day)).days
                zeroed = any(one.entry in self.shop.zeroed or _pumped(one) for one in between)
                if days < 2 or zeroed or (name, since.day, until.day) in told:
                    continue
                pair = (since.scale or "?", until.scale or "?")
                noise = max(noise, self.noise.get(pair, 0))
                mass = until.gross - since.gross - sum(one.change for one in between)
                some.append((since.day, until.day, mass - self.offsets.get(pair, 0)))
            lost = -sum(mass for _, _, mass in some)
            down = sum(1 for _, _, mass in some if mass < 0)
            if (
                len(some) >= 3
                and 3 * down >= 2 * len(some)
                and (lost > max(2 * FLOOR, BEYOND * noise))
            ):
                yield from self._leaked(name, some, lost)

    def _leaked(self, name: str, some: list[tuple[str, str, int]], lost: int) -> Iterator[Event]:
        """A steady loss, spread over the days it was seen in."""
        days = [date.fromisoformat(first) + timedelta(number)
                for first, last, _ in some
                for number in range(1, (date.fromisoformat(last)
                                        - date.fromisoformat(first)).days + 1)]  # fmt: skip
        for day in days:
            text = day.isoformat()
            yield Event(
                text, self.truck(name, text) or self._home(), name, LEAK, -lost // len(days)
            )

    # -- tickets ---------------------------------------------------------------------------

    def _beyond(self) -> list[Open]:
        """The gaps beyond noise, with weights that are another cylinder's taken out."""
        found: list[Open] = []
        for name, chain in self.chains.items():
            waiting = list(chain)
            while waiting:
                gap = waiting.pop(0)
                rest, doubt = self.rest(gap, name), self.doubt(gap, name)
                if abs(rest) <= doubt:
                    continue
                if (
                    waiting
                    and waiting[0].before is gap.after
                    and abs(self.rest(waiting[0], name)) > doubt
                ):
                    other, step = waiting[0], gap.after
                    whole = gap.mass + other.mass
                    if step is not None and step.change and abs(whole + step.change) <= 2 * doubt:
                        found.append(Open(name, whole, gap, other, doubt, step))
                        waiting.pop(0)
                        continue
                    if abs(whole) <= doubt:
                        waiting.pop(0)  # A misreading: it makes itself up.
                        continue
                found.append(Open(name, rest, gap, gap, doubt, None))
        return found

    def _tickets(self, open_gaps: list[Open]) -> Iterator[Event]:
        """What the open gaps are, the surest first."""
        left = list(open_gaps)
        twins = Doubles(self.shop)
        for one in list(left):
            if (step := twins.in_gap(one)) is not None:
                yield self._event(one, DOUBLED, -step.change, step.day)
                one.mass += step.change
                if abs(one.mass) <= one.doubt:
                    left.remove(one)
        yield from self._wrong(left)
        yield from self._swapped(left)
        yield from self._forgotten(left)
        for one in left:
            if one.name in self.shop.scrapped and self._after_scrap(one):
                continue
            cause = (
                LEAK if self._stored(one) and one.mass < 0 and -one.mass < 2 * POUND else RESIDUAL
            )
            yield self._event(one, cause, one.mass, one.last)

    def _after_scrap(self, one: Open) -> bool:
        return one.last > self.shop.scrapped[one.name]

    def _stored(self, one: Open) -> bool:
        return not self.shop.place(one.name, one.last).startswith("Truck")

    def _event(self, one: Open, cause: str, mass: int, day: str) -> Event:
        return Event(day, self.shop.place(one.name, day), one.name, cause, mass)

    def _wrong(self, left: list[Open]) -> Iterator[Event]:
        """Tickets on a wrong cylinder: as much too much in one as is gone from another."""
        for name, step, truck in self.elsewhere:
            amount = -step.change
            yield Event(step.day, self.shop.place(name, step.day), name, WRONG, amount)
            down = self._really(name, step, truck, left)
            if down is None:
                continue
            yield Event(step.day, truck, down.name, WRONG, -amount)
            down.mass += amount
            if abs(down.mass) <= down.doubt * 2:
                left.remove(down)
        for up in sorted(left, key=lambda one: one.foreign is None):
            if up not in left:
                continue
            for step in up.candidates():
                amount = -step.change
                if (up.mass > 0) != (amount > 0) or abs(amount) > abs(up.mass) + up.doubt * 2:
                    continue
                down = self._other_side(up, step, left)
                if down is None:
                    continue
                yield self._event(up, WRONG, amount, step.day)
                yield Event(
                    step.day, self.shop.place(down.name, step.day), down.name, WRONG, -amount
                )
                up.mass -= amount
                down.mass += amount
                for one in (up, down):
                    if one in left and abs(one.mass) <= one.doubt * 2:
                        left.remove(one)
                if up not in left:
                    break

    def _swapped(self, left: list[Open]) -> Iterator[Event]:
        """Two gaps of one refrigerant at one time that make each other up: tickets exchanged."""
        for up in [one for one in left if one.mass > 0]:
            fits = [
                down for down in left
                if down.mass < 0 and down.name != up.name
                and self.shop.refrigerants.get(down.name) == self.shop.refrigerants.get(up.name)
                and down.first <= up.last and up.first <= down.last
                and abs(down.mass + up.mass) <= down.doubt + up.doubt
            ]  # fmt: skip
            down = min(fits, key=lambda one: abs(one.mass + up.mass), default=None)
            if down is not None and up.candidates():
                day = min(up.last, down.last)
                yield self._event(up, WRONG, up.mass, day)
                yield self._event(down, WRONG, down.mass, day)
                left.remove(up)
                left.remove(down)

    def _really(self, name: str, step: Step, truck: str, left: list[Open]) -> Open | None:
        """The cylinder on the truck of a job that its ticket was really about."""
        what = self.shop.refrigerants.get(name)
        fits = [
            one for one in left
            if self.shop.refrigerants.get(one.name) == what and one.first <= step.day <= one.last
            and self._aboard(one.name, step.day, truck)
            and (one.mass > 0) == (step.change > 0)
            and abs(step.change) <= abs(one.mass) + 2 * one.doubt
        ]  # fmt: skip
        return min(fits, key=lambda one: abs(one.mass - step.change), default=None)

    def _other_side(self, up: Open, step: Step, left: list[Open]) -> Open | None:
        """The cylinder that a ticket was really about."""
        fits = [
            down for down in left
            if down is not up and down.name != up.name
            and self.shop.refrigerants.get(down.name) == self.shop.refrigerants.get(up.name)
            and down.first <= step.day <= down.last
            and abs(down.mass - step.change) <= 2 * max(down.doubt, up.doubt)
        ]  # fmt: skip
        return min(fits, key=lambda down: abs(down.mass - step.change), default=None)

    def _forgotten(self, left: list[Open]) -> Iterator[Event]:
        """Jobs on the dispatch list of which nothing was typed."""
        for one in sorted(left, key=lambda one: one.length):
            recovery = one.mass > 0
            if recovery and not self._recovers(one.name):
                continue
            jobs = [
                job for job in self.shop.jobs
                if one.first <= job.day <= one.last
                and self._aboard(one.name, job.day, job.truck)
                and self._refrigerant_of(job) in ("", self.shop.refrigerants.get(one.name))
            ]  # fmt: skip
            if jobs:
                yield self._event(one, FORGOTTEN, one.mass, jobs[0].day)
                left.remove(one)

    def _refrigerant_of(self, job: Job) -> str:
        return f"R-{job.circuit.split('-')[0]}"

    def _recovers(self, name: str) -> bool:
        return any(
            one.row is not None and one.row[12] == "recovery" for one in self.shop.steps[name]
        )

    # -- cylinders -------------------------------------------------------------------------

    def _tare(self, name: str) -> int:
        """The tare: what a sealed cylinder weighed less its label, else as stamped."""
        stamped = self.shop.tares.get(name, 0)
        label = self.shop.labels.get(name)
        for step in self.shop.steps[name]:
            if step.change < 0:
                break
            if step.read and label is not None:
                sealed = step.read[0].gross - label
                return sealed if not stamped or abs(sealed - stamped) < POUND else stamped
        return stamped

    def _heels(self) -> Iterator[Event]:
        """What the last weight of an empty tells, less what was recorded after it."""
        by_what: dict[str, list[int]] = defaultdict(list)
        known: dict[str, int] = {}
        for name in self.shop.scrapped:
            left = self._left(name)
            if left is not None:
                known[name] = left
                by_what[self.shop.refrigerants.get(name, "")].append(left)
        for name, day in self.shop.scrapped.items():
            left = known.get(name)
            if left is None:
                some = by_what.get(self.shop.refrigerants.get(name, ""))
                left = int(median(some)) if some else 0
            written = -sum(one.change for one in self.shop.steps[name] if _is_heel(one))
            yield Event(day, self._home(), name, HEEL, written - max(0, left))

    def _home(self) -> str:
        return "Warehouse"

    def _left(self, name: str) -> int | None:
        after = 0
        for step in reversed(self.shop.steps[name]):
            if step.read:
                return step.read[-1].gross + after - self._tare(name)
            after += 0 if _is_heel(step) else step.change
            if step.entry in self.shop.zeroed:
                after += self.hose_of(name, step.day)
        return None

    def _unreceived(self) -> Iterator[Event]:
        """Cylinders without a receipt: they came by an invoice that is not in the book."""
        for name in self.shop.provisional:
            label = self.shop.labels.get(name) or self._package(name)
            days = [one.day for one in self.shop.steps[name]]
            days += [count.cut_off for count in self.shop.papers.counts
                     for row in count.rows if row.cylinder == name]  # fmt: skip
            if label and days and (name in self.labelled or self._used(name)):
                yield Event(min(days), self._home(), name, UNRECEIVED, label)

    def _used(self, name: str) -> bool:
        return any(one.change < 0 for one in self.shop.steps[name])

    def _package(self, name: str) -> int:
        """What a package of its refrigerant holds by the supplier's statement."""
        what = self.shop.refrigerants.get(name)
        some = [one.pounds.mass // one.packages for one in self.shop.papers.invoices
                if one.refrigerant == what and one.packages]  # fmt: skip
        return int(median(some)) if some else 0

    def _missing(self) -> Iterator[Event]:
        """Cylinders that a count did not find."""
        seen: set[str] = set()
        for count in self.shop.papers.counts:
            for row in count.rows:
                if row.seen == "not there" and row.cylinder not in seen:
                    seen.add(row.cylinder)
                    steps = self.shop.steps[row.cylinder]
                    left = self._left(row.cylinder)
                    if left is None:
                        left = sum(one.change for one in steps)
                    yield Event(count.cut_off, row.place, row.cylinder, RESIDUAL, -left)


def _eve(day: str) -> str:
    return (date.fromisoformat(day) - timedelta(1)).isoformat()


def _pumped(step: Step) -> bool:
    return step.row is not None and step.row[12] == "transfer" and step.change > 0


def _pairs(steps: Iterable[Step]) -> Iterator[tuple[Reading, Reading, list[Step]]]:
    """Each two readings that follow one another, and the movements without weights in between."""
    last: Reading | None = None
    between: list[Step] = []
    for step in steps:
        if step.read:
            if last is not None:
                yield last, step.read[0], between
            last, between = step.read[-1], []
        if not step.read or (len(step.read) == 1 and step.change):
            between.append(step)


def _around(some: list[int]) -> list[int]:
    middle = int(median(some))
    return [value - middle for value in some]


def _is_heel(step: Step) -> bool:
    return step.row is not None and step.row[12] == "heel"


@dataclass(slots=True, eq=False)
class Open:
    """A gap beyond noise that is still to be told."""

    name: str
    mass: int
    gap: Gap
    end: Gap
    doubt: int
    foreign: Step | None

    @property
    def first(self) -> str:
        """The day of the weight before."""
        return self.gap.since.day if self.gap.since else ""

    @property
    def last(self) -> str:
        """The day of the weight after."""
        return self.end.until.day if self.end.until else ""

    @property
    def length(self) -> int:
        """Days between the two."""
        return (date.fromisoformat(self.last) - date.fromisoformat(self.first)).days

    def candidates(self) -> list[Step]:
        """The tickets it may come from."""
        if self.foreign is not None:
            return [self.foreign]
        some = [*self.gap.unread, self.gap.after, self.gap.before]
        return [one for one in some if one is not None and one.change]


class Doubles:
    """Jobs that were typed twice."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.used: set[int] = set()
        self.jobs: dict[tuple[str, bool], list[Step]] = defaultdict(list)
        for steps in shop.steps.values():
            for step in steps:
                if step.row is not None and "circuit" in (step.row[4], step.row[6]):
                    into = step.row[6] == "circuit"
                    self.jobs[step.row[7] if into else step.row[5], into].append(step)

    def in_gap(self, one: Open) -> Step | None:
        """A ticket of a gap that has a twin, and is what the gap mostly is."""
        for step in sorted(one.candidates(), key=lambda step: abs(one.mass + step.change)):
            amount = -step.change
            if (
                step.entry in self.used
                or step.row is None
                or 2 * abs(one.mass - amount) > abs(amount)
            ):
                continue
            twin = self._twin(step)
            if twin is not None:
                self.used |= {step.entry, twin.entry}
                return step
        return None

    def _twin(self, step: Step) -> Step | None:
        assert step.row is not None
        into = step.row[6] == "circuit"
        where = step.row[7] if into else step.row[5]
        near = timedelta(NEAR)
        day = date.fromisoformat(step.day)
        ticket = self.shop.tickets.get(step.entry, "")
        for other in self.jobs.get((where, into), ()):
            if other.entry == step.entry or abs(date.fromisoformat(other.day) - day) > near:
                continue
            theirs = self.shop.tickets.get(other.entry, "")
            same = abs(abs(other.change) - abs(step.change)) <= ALIKE
            if same and (not (ticket and theirs) or ticket == theirs):
                return other
        return None


def _spread_of(some: Iterable[int]) -> int:
    """A standard deviation that stray values do not move: 1.4826 of the middle deviation."""
    values = list(some)
    if not values:
        return 0
    middle = median(values)
    return int(median(abs(value - middle) for value in values) * 14826 // 10000)


_ = (in_order, Mapping)
