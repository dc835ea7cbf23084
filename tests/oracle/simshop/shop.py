"""The shop while its year goes by: what is true, and the entries it types."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from random import Random

from ledger.facts import verbs
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Evidence, Fact, Receipt
from ledger.facts.mass import Mass, Quantity, quantity
from ledger.facts.weights import OUT, net_of
from tests.oracle.simshop.matter import BY_NAME, lb
from tests.oracle.simshop.paper import Command, Papers
from tests.oracle.simshop.parameters import TRUCKS, WAREHOUSE, YEAR, Parameters
from tests.oracle.simshop.scales import BENCH, FLOOR, HOOK, ON_TRUCKS, Scale, scale
from tests.oracle.simshop.stock import (
    DISPOSABLE,
    HALF_TON,
    RECOVERY,
    Circuit,
    Cylinder,
    new_cylinder,
)
from tests.oracle.simshop.truth import SCALE, Key, Truth

ZONE = "America/Chicago"
FIRST_DAY = date(YEAR, 1, 1)
SUPPLIER, RECLAIMER = "Northside Supply", "Reclaim Plant"
WEIGHED_SO = "weighed before and after: it left this cylinder"


def technician(truck: str) -> str:
    """Who drives a truck all year."""
    return f"Technician {truck[-1]}"


class Shop:
    """Cylinders, circuits and scales of a shop, with the papers it makes and the truth behind."""

    def __init__(self, parameters: Parameters) -> None:
        self.p = parameters
        self.random = Random(f"simshop year {parameters.seed}")
        self.papers = Papers()
        self.truth = Truth()
        self.cylinders: dict[str, Cylinder] = {}
        self.circuits: list[Circuit] = []
        self.scales: dict[str, Scale] = {}
        self.commands: list[tuple[str, int, Command]] = []
        self.numbers: dict[str, int] = {}
        if parameters.theft:
            self.truth.theft_at = parameters.theft.truck
        self._scales()
        self._circuits()

    # -- what there is ---------------------------------------------------------------------

    def _scales(self) -> None:
        p, r = self.p, self.random
        for truck in TRUCKS:
            self.scales[truck] = scale(f"{truck} scale", ON_TRUCKS, p, r)
        self.scales["bench"] = scale("Bench", BENCH, p, r)
        self.scales["floor"] = scale("Floor", FLOOR, p, r, 8)
        self.scales["hook"] = scale("Hook", HOOK, p, r, 2)

    def _circuits(self) -> None:
        r = self.random
        for what in self.p.refrigerants:
            for number in range(r.randint(6, 12)):
                site = f"Site {len(self.circuits) // 3 + 1}"
                full = lb(round(r.choice((6, 9, 14, 30, 60, 150)) * r.uniform(0.8, 1.3), 1))
                name = f"{what[2:]}-U{number + 1}"
                self.circuits.append(Circuit(name, site, f"Owner of {site}", what, full))

    def number(self, of: str) -> int:
        """The next number of something."""
        self.numbers[of] = self.numbers.get(of, 0) + 1
        return self.numbers[of]

    def bring(self, refrigerant: str, kind: str, day: str, place: str) -> Cylinder:
        """A cylinder that comes into the shop."""
        short = {DISPOSABLE: "", RECOVERY: "REC-", HALF_TON: "HT-"}[kind]
        name = f"{short}{refrigerant[2:]}-{self.number(short + refrigerant)}"
        one = new_cylinder(name, refrigerant, kind, day, place, self.p, self.random)
        self.cylinders[name] = one
        return one

    def here(self, place: str, refrigerant: str = "", kind: str = "") -> list[Cylinder]:
        """The cylinders truly at a place, in the order they came."""
        return [
            one for one in self.cylinders.values()
            if one.place == place and not one.gone and refrigerant in ("", one.refrigerant)
            and kind in ("", one.kind)
        ]  # fmt: skip

    def key(self, day: str, one: Cylinder) -> Key:
        """Where a difference in a cylinder arises."""
        return Key(day[:7], one.place, one.refrigerant)

    # -- what is typed ---------------------------------------------------------------------

    def type(
        self, verb: str, day: str, facts: Iterable[Fact], typed_on: str = "", at: str = "",
        person: str = "", ticket: str = "", note: str = "", because: str = "",
        provisional: bool = False,
    ) -> None:  # fmt: skip
        """Add an entry; it is typed on its own day where no other is given."""
        number = self.number("entry")
        draft = Draft("", verb, day, tuple(facts), person, at, ZONE, ticket=ticket, note=note)
        typed = typed_on or day
        self.commands.append((typed, number, Command(typed, draft, because, provisional)))

    def finish(self) -> None:
        """Put the entries in the order typed, and give them their keys in that order."""
        ordered = [one for _, _, one in sorted(self.commands, key=lambda told: told[:2])]
        self.papers.commands = [
            replace(one, draft=replace(one.draft, key=f"sim-{number}"))
            for number, one in enumerate(ordered, start=1)
        ]

    def weighed_out(
        self, with_scale: Scale, gross: int, mass: int, direction: int = OUT
    ) -> tuple[Quantity, Evidence]:
        """The net and evidence of a change by `mass`, weighed before and after; at least a step."""
        before = with_scale.gross(gross, self.random)
        after = with_scale.gross(gross + direction * mass, self.random)
        if direction * (after.mass - before.mass) <= 0:
            moved = before.mass + direction * with_scale.display.counts
            after = with_scale.display.shown(moved)
        found = net_of(None, (before, after), direction, with_scale.name)
        assert isinstance(found, tuple)
        return found

    def later(self, day: str, days: int) -> str:
        """A day some days later, at most the last one on which the office still types."""
        moved = date.fromisoformat(day) + timedelta(days)
        return min(moved, date(YEAR + 1, 3, 31)).isoformat()

    # -- the first day ---------------------------------------------------------------------

    def open(self) -> None:
        """Type the masters and what is on hand on the first day."""
        day = FIRST_DAY.isoformat()
        self.type("add", day, self._masters())
        for what in self.p.refrigerants:
            tank = self.bring(what, HALF_TON, day, WAREHOUSE)
            self._opening(tank, lb(self.random.uniform(0, 150)), day)
            for _ in range(self.random.randint(5, 9)):
                self._opening(self.bring(what, DISPOSABLE, day, WAREHOUSE), None, day)
            for truck in TRUCKS:
                opened = self.bring(what, DISPOSABLE, day, truck)
                some = lb(self.random.uniform(0.4, 0.95) * BY_NAME[what].nominal)
                self._opening(opened, some, day)
                self._opening(
                    self.bring(what, RECOVERY, day, truck), lb(self.random.uniform(0, 9)), day
                )

    def _masters(self) -> Iterator[Fact]:
        def new(kind: str, name: str, /, **fields: object) -> Fact:
            return Described(kind, name, {k.replace("_", " "): v for k, v in fields.items()},
                             new="yes")  # fmt: skip

        yield new("party", SUPPLIER, role="supplier")
        yield new("party", RECLAIMER, role="reclaimer")
        yield new("place", WAREHOUSE, kind="warehouse", zone=ZONE)
        for truck in TRUCKS:
            card = {"type": "Universal", "number": f"U-{truck[-1]}"}
            yield new("person", technician(truck), certification=card)
            yield new("place", truck, kind="truck", zone=ZONE, driver=technician(truck))
        for one in self.scales.values():
            step = one.display.shown(one.display.counts)
            yield new("scale", one.name, resolution=step.body())
        for site in dict.fromkeys((c.site, c.owner) for c in self.circuits):
            yield new("party", site[1], role="customer")
            yield new("site", site[0], owner=site[1], zone=ZONE)
        for unit in self.circuits:
            charge = {"method": "maker", "charge": quantity(Mass(unit.full)).body()}
            yield new("unit", unit.name, site=unit.site)
            yield Described("circuit", unit.name, {
                "unit": unit.name, "refrigerant": unit.refrigerant, "full charge": charge,
                "category": "commercial refrigeration",
            }, new="yes")  # fmt: skip

    def _opening(self, one: Cylinder, content: int | None, day: str) -> None:
        """What a cylinder holds on the first day: by its label where sealed, else weighed."""
        if content is not None:
            one.content, one.sealed = content, False
        self.truth.flows[one.refrigerant].opening += one.content
        facts: list[Fact] = [one.described(one.place)]
        recorded = 0
        if one.sealed:
            recorded, evidence = one.nominal, Evidence("nominal")
        else:
            on = self.scales["floor" if one.kind == HALF_TON else "bench"]
            gross = on.gross(one.gross, self.random)
            facts += verbs.weigh(one.name, gross, on.name)
            recorded, evidence = gross.mass - one.stamped, Evidence("net", on.name)
        if recorded > 0:
            stock = "recovered" if one.kind != DISPOSABLE else "virgin"
            owner = "shared" if one.kind != DISPOSABLE else ""
            net = quantity(Mass(recorded))
            facts += verbs.opening(one.name, one.refrigerant, net, evidence, stock, owner)
        self.type("opening", day, facts)
        difference = one.content - max(0, recorded)
        self.truth.both(self.key(day, one), one.name, SCALE, difference)

    # -- deliveries ------------------------------------------------------------------------

    def receipt(self, ones: list[Cylinder], invoice: str, day: str) -> list[Fact]:
        """The receipt of a delivery, each cylinder by its label."""
        facts: list[Fact] = []
        for one in ones:
            net, paper = quantity(Mass(one.nominal)), Receipt(one.name, SUPPLIER, invoice)
            card = one.described(WAREHOUSE)
            moves = verbs.receive(
                one.name, SUPPLIER, one.refrigerant, net, Evidence("nominal"), receipt=paper
            )
            # A cylinder that was used before its receipt is completed once it holds something.
            facts += [card, *moves] if one.in_book else [*moves, card]
        return facts
