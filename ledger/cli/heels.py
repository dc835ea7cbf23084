"""The heel of a cylinder that is marked empty: typed, all the book has, or by how it was emptied."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from ledger.cli.movements import refrigerant_of
from ledger.facts.mass import POUND, Mass, pounds, quantity
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.facts.facts import Fact
    from ledger.facts.mass import Quantity
    from ledger.properties.heel import Heel

LARGEST_HEEL = Mass(3 * POUND)
"""More than is ever left in a 30-lb cylinder called empty (workflow 3.3): to be asked about."""
USUAL = "a disposable of 25 to 30 lb; common practice, no source"


class Heels:
    """What is written off when a cylinder is marked empty.

    `typed` is the heel somebody gave, `how` the way it was emptied (a method of
    `properties.heel`). After `facts`, `basis` says what an estimate rests on, for the note of the
    entry, and `said` what is left over between the estimate and the book.
    """

    def __init__(self, cylinder: str, typed: Quantity | None, how: str) -> None:
        self.cylinder, self.typed, self.how = cylinder, typed, " ".join(how.split())
        self.basis = self.said = ""

    def facts(self, known: BookKnown, on: str) -> list[Fact]:
        """The heel as a movement; none where nothing is left to write off."""
        from dataclasses import replace

        from ledger.facts.facts import Evidence, Movement
        from ledger.facts.verbs import write_off_heel

        net = self.typed or self._net(known, on)
        if net.mass <= 0:
            return []
        what = refrigerant_of(known, "", self.cylinder, "", on)
        evidence = Evidence("net" if self.typed else "stated")
        facts = write_off_heel(self.cylinder, what, net, evidence)
        if not self.basis:
            return facts
        return [
            replace(one, amount="estimated") if isinstance(one, Movement) else one for one in facts
        ]

    def _net(self, known: BookKnown, on: str) -> Quantity:
        master = known.master("cylinder", self.cylinder)
        held = Mass(max(0, known.contents(master.name).latest.total)) if master else Mass(0)
        if not self.how:
            if held > LARGEST_HEEL:
                raise refuse(
                    "field-missing",
                    f"Cylinder {self.cylinder} holds {pounds(held)} lb by the book, more than a"
                    " heel.",
                    "Add --heel with what was really left in it, or --how it was emptied.",
                )
            return quantity(held)
        found = self._by_volume(known, refrigerant_of(known, "", self.cylinder, "", on))
        self.basis = f"emptied {found.method}: {pounds(found.mass)} lb by volume, {found.data}"
        difference = held - found.mass
        if difference > 0:
            self.said = (
                f"By volume {pounds(found.mass)} lb are left; {pounds(difference)} lb more stay in"
                " the book: weigh it, or record where they went."
            )
        elif difference < 0:
            self.said = (
                f"By volume {pounds(found.mass)} lb are left, by the book {pounds(held)} lb: the"
                " book's figure was written off."
            )
        return quantity(Mass(min(held, found.mass)))

    def _by_volume(self, known: BookKnown, refrigerant: str) -> Heel:
        from ledger.facts.fill_limit import water_capacity
        from ledger.properties.heel import METHODS, TYPICAL_WATER, heel
        from ledger.properties.no_data import NoSoundData

        if self.how not in METHODS:
            raise refuse("value-unclear", f'"{self.how}" is no way to empty a cylinder.',
                         f"Write {', '.join(METHODS)}; or give --heel.")  # fmt: skip
        master = known.master("cylinder", self.cylinder)
        water = water_capacity(master) if master else None
        if water is None and (master is None or master.text("kind") != "disposable"):
            raise refuse(
                "field-missing",
                f"The water capacity of cylinder {self.cylinder} is not in the book.",
                "Mend the cylinder with --water-capacity, or give --heel.",
            )
        size = Fraction(water.mass, POUND) if water else TYPICAL_WATER
        found = heel(refrigerant, self.how, size)
        if isinstance(found, NoSoundData):
            raise refuse("value-unclear", found.sentence(), "Weigh it and give --heel.")
        return found
