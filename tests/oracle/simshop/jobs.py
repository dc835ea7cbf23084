"""A truck's day: jobs at customers, and what becomes of their tickets."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from ledger.facts import verbs
from ledger.facts.facts import Evidence, Fact
from ledger.facts.mass import Mass, Quantity, quantity
from ledger.facts.weights import IN
from tests.oracle.simshop.matter import BY_NAME, lb
from tests.oracle.simshop.paper import Job
from tests.oracle.simshop.parameters import TRUCKS, WAREHOUSE
from tests.oracle.simshop.shop import WEIGHED_SO, Shop, technician
from tests.oracle.simshop.stock import DISPOSABLE, RECOVERY, Circuit, Cylinder
from tests.oracle.simshop.truth import DOUBLED, FORGOTTEN, HOSE, SCALE, WRONG

POSTED, NEVER, LATE, TWICE, ON_WRONG = "posted", "never", "late", "twice", "on wrong cylinder"
FRIDAY = 4
SMALLEST = 0.5
"""Pounds below which nobody opens a valve."""
PRIMED = "scale zeroed after the hoses were primed"


@dataclass(slots=True)
class Line:
    """One line of a ticket: what truly left or entered a cylinder, and what was read.

    `mass` is what the cylinder changed by (positive, in counts), `outside` the part of it that
    stayed in hoses before the scale was zeroed.
    """

    cylinder: Cylinder
    circuit: Circuit
    mass: int
    net: Quantity
    evidence: Evidence
    outside: int = 0
    note: str = ""
    recovered: bool = False

    def facts(self, cylinder: str) -> list[Fact]:
        """The line as typed, under a cylinder's name."""
        what = self.cylinder.refrigerant
        verb = verbs.recover if self.recovered else verbs.charge
        return verb(self.circuit.name, cylinder, what, self.net, self.evidence)

    @property
    def sign(self) -> int:
        """Whether the cylinder lost (-1) or gained."""
        return 1 if self.recovered else -1


@dataclass(slots=True)
class Ticket:
    """One job with its lines."""

    number: str
    day: str
    at: str
    truck: str
    circuit: Circuit
    lines: list[Line] = field(default_factory=list)


def day_of_jobs(shop: Shop, truck: str, day: str) -> None:
    """The jobs of one truck on a working day."""
    p, r = shop.p, shop.random
    jobs = int(p.jobs_a_day) + (r.random() < p.jobs_a_day % 1) + (r.random() < p.share_idle)
    for hour in range(jobs):
        circuit = r.choice(shop.circuits)
        at = f"{8 + 2 * hour:02d}:{r.randrange(60):02d}"
        ticket = Ticket(f"J-{shop.number('job'):05d}", day, at, truck, circuit)
        if r.random() >= p.share_idle:
            if r.random() < p.share_recovery:
                _recover(shop, ticket)
            else:
                _charge(shop, ticket)
        person = technician(truck)
        shop.papers.jobs.append(
            Job(ticket.number, day, truck, person, circuit.name, not ticket.lines)
        )
        if ticket.lines:
            _turn_in(shop, ticket)


def hose_of(shop: Shop, place: str, refrigerant: str) -> int:
    """What one hook-up at a place leaves in the hoses, in counts."""
    at = TRUCKS.index(place) if place in TRUCKS else len(TRUCKS)
    weight = BY_NAME[refrigerant].gravity / BY_NAME["R-410A"].gravity
    return lb(shop.p.hoses[at] * weight * shop.random.uniform(0.8, 1.2))


def _charge(shop: Shop, ticket: Ticket) -> None:
    r, what = shop.random, ticket.circuit.refrigerant
    wanted = lb(min(25.0, SMALLEST + r.expovariate(1 / shop.p.charge_lb)))
    wanted = min(wanted, lb(0.6 * ticket.circuit.full / lb(1)))
    while wanted >= lb(SMALLEST):
        ready = [
            one for one in shop.here(ticket.truck, what, DISPOSABLE) if one.usable >= lb(SMALLEST)
        ]
        if not ready:
            return
        one = min(ready, key=lambda c: (c.sealed, c.content))
        mass = min(wanted, one.usable)
        ticket.lines.append(_out(shop, ticket, one, mass))
        wanted -= mass


def _out(shop: Shop, ticket: Ticket, one: Cylinder, mass: int) -> Line:
    p, r = shop.p, shop.random
    with_scale = shop.scales[ticket.truck]
    hose = min(hose_of(shop, ticket.truck, one.refrigerant), mass // 2)
    line = Line(one, ticket.circuit, mass, quantity(Mass(mass)), Evidence("net"))
    if r.random() >= p.share_net:
        line.net, line.evidence = shop.weighed_out(with_scale, one.gross, mass)
    else:
        if r.random() < p.share_primed:
            line.outside = hose
            line.note = PRIMED if r.random() < p.tells_primed else ""
        line.net = with_scale.net(mass - line.outside, r)
        line.evidence = Evidence("net", with_scale.name)
    one.content -= mass
    one.sealed = False
    flows = shop.truth.flows[one.refrigerant]
    flows.hose += hose
    flows.into_circuits += mass - hose
    return line


def _recover(shop: Shop, ticket: Ticket) -> None:
    r, circuit = shop.random, ticket.circuit
    into = shop.here(ticket.truck, circuit.refrigerant, RECOVERY)
    room = max((one.room() for one in into), default=0)
    mass = min(lb(r.uniform(1.0, 16.0)), circuit.full, room)
    if mass < lb(SMALLEST):
        return
    one = max(into, key=lambda c: c.room())
    net, evidence = shop.weighed_out(shop.scales[ticket.truck], one.gross, mass, IN)
    ticket.lines.append(Line(one, circuit, mass, net, evidence, recovered=True))
    one.content += mass
    shop.truth.flows[one.refrigerant].recovered += mass


def _fate(shop: Shop, ticket: Ticket) -> str:
    p = shop.p
    fates = (NEVER, LATE, TWICE, ON_WRONG)
    shares = (p.forgotten, p.late, p.doubled, p.wrong_cylinder)
    found = shop.random.choices((*fates, POSTED), (*shares, 1 - sum(shares)))[0]
    simple = not ticket.lines[0].recovered and ticket.lines[0].cylinder.in_book
    return found if simple or found in (NEVER, LATE, POSTED) else POSTED


def _turn_in(shop: Shop, ticket: Ticket) -> None:
    """Type a ticket as the office does: soon, late, never, twice or on a wrong cylinder."""
    r, day = shop.random, ticket.day
    fate = _fate(shop, ticket)
    # What is on the desk is typed before the trucks turn in on Friday.
    to_friday = FRIDAY - date.fromisoformat(day).weekday()
    typed_on = shop.later(day, min(r.choice((0, 0, 1, 2)), to_friday))
    if fate == LATE:
        typed_on = shop.later(day, r.randint(4, shop.p.late_days))
    elif fate == NEVER:
        typed_on = ""
    if r.random() < shop.p.terse:
        _shorten(ticket)
    for line in ticket.lines:
        wrong = _wrong_cylinder(shop, ticket, line) if fate == ON_WRONG else None
        _note(shop, ticket, line, typed_on, wrong)
        if typed_on:
            written = wrong or line.cylinder
            _type(shop, ticket, line.facts(written.name), typed_on, line, written)
        fate = POSTED if fate == ON_WRONG else fate
    if fate == TWICE:
        _again(shop, ticket, ticket.lines[0])


def _shorten(ticket: Ticket) -> None:
    """Leave out of a ticket what a hurried hand leaves out."""
    ticket.at = ""
    for line in ticket.lines:
        if line.evidence.how == "net":
            line.evidence = Evidence("net")


def _type(
    shop: Shop, ticket: Ticket, facts: list[Fact], typed_on: str, line: Line, written: Cylinder
) -> None:
    shop.type(
        "recover" if line.recovered else "charge", ticket.day, facts, typed_on, ticket.at,
        technician(ticket.truck), ticket.number, line.note, WEIGHED_SO,
        provisional=not written.in_book,
    )  # fmt: skip


def _note(shop: Shop, ticket: Ticket, line: Line, typed_on: str, wrong: Cylinder | None) -> None:
    """Note what a line leaves between the book and the truth."""
    one, read = line.cylinder, line.net.mass
    key = shop.key(ticket.day, one)
    causes = {HOSE: -line.outside, SCALE: line.sign * (line.mass - line.outside - read)}
    if wrong is not None:
        causes[WRONG] = line.sign * read
        shop.truth.typed(
            shop.key(ticket.day, wrong), wrong.name, typed_on, (WRONG, 0),
            {WRONG: -line.sign * read},
        )  # fmt: skip
    shop.truth.typed(key, one.name, typed_on, (FORGOTTEN, line.sign * line.mass), causes)


def _wrong_cylinder(shop: Shop, ticket: Ticket, line: Line) -> Cylinder | None:
    """The cylinder that is written in place of the right one."""
    elsewhere = shop.random.random() < shop.p.wrong_elsewhere
    others = [
        one for place in (*TRUCKS, WAREHOUSE)
        for one in shop.here(place, line.cylinder.refrigerant, DISPOSABLE)
        if one.in_book and one is not line.cylinder
        and (place != ticket.truck) == elsewhere
    ]  # fmt: skip
    return shop.random.choice(others) if others else None


def _again(shop: Shop, ticket: Ticket, line: Line) -> None:
    """The same job typed by the office too: net only, rounded, now and then a day or two off."""
    r, one = shop.random, line.cylinder
    day = max(shop.later(ticket.day, -r.choice((0, 0, 1, 2))), one.since)
    tenths = max(1, round(line.net.mass / lb(0.1)) + r.choice((0, 0, 0, -1, 1, -5, 5)))
    net = line.net if r.random() < 0.4 else Quantity(Mass(lb(tenths / 10)), f"{tenths / 10:.1f} lb")
    typed_on = shop.later(ticket.day, r.randint(0, 9))
    key = shop.key(day, one)
    shop.truth.typed(key, one.name, typed_on, (DOUBLED, 0), {DOUBLED: net.mass})
    shop.type(
        "charge", day, verbs.charge(
            ticket.circuit.name, one.name, one.refrigerant, net, Evidence("net")
        ), typed_on, "", technician(ticket.truck),
        ticket.number if r.random() < 0.5 else "", because=WEIGHED_SO,
    )  # fmt: skip
