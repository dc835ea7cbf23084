"""Movements made up by hand or at random, as the balances take them, and books to hold them."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta

from ledger.answers.holdings import MovementRow
from ledger.facts.mass import OUNCE, of_decimal

FIRST_DAY = date(2024, 11, 1)
REFRIGERANTS = ("R-410A", "R-22", "R-448A")


def lb(pounds: float | int | str) -> int:
    """Pounds as counts, by the decimal that was written: 4.25 is four and a quarter."""
    found = of_decimal(str(pounds), "lb")
    assert found is not None
    return found


class Rows:
    """Movements written down one after another, each an entry of its own."""

    def __init__(self) -> None:
        self.made: list[MovementRow] = []

    def move(
        self, day: str, source: str, target: str, pounds: float | int, purpose: str, *,
        what: str = "R-410A", stock: str = "virgin", owner: str = "", time: str = "",
    ) -> int:  # fmt: skip
        """Add a movement between holders written `kind:name`; its entry number."""
        entry = len(self.made) + 1
        giver, _, source_name = source.partition(":")
        taker, _, target_name = target.partition(":")
        row = MovementRow(
            day, time, entry, 0, giver, source_name, taker, target_name, what, lb(pounds), stock,
            owner, purpose,
        )  # fmt: skip
        self.made.append(row)
        return entry

    def receive(self, day: str, cylinder: str, pounds: float, **other: str) -> int:
        """From the supplier into a cylinder."""
        target = f"cylinder:{cylinder}"
        return self.move(day, "party:Depot", target, pounds, "receipt", **other)

    def charge(self, day: str, cylinder: str, circuit: str, pounds: float, **other: str) -> int:
        """From a cylinder into a circuit."""
        source = f"cylinder:{cylinder}" if cylinder else "difference:no cylinder named"
        return self.move(day, source, f"circuit:{circuit}", pounds, "addition", **other)

    def recover(self, day: str, circuit: str, cylinder: str, pounds: float, owner: str) -> int:
        """From a circuit into a cylinder, for the owner of the circuit."""
        return self.move(
            day, f"circuit:{circuit}", f"cylinder:{cylinder}", pounds, "recovery",
            stock="recovered", owner=owner,
        )  # fmt: skip

    def transfer(self, day: str, source: str, target: str, pounds: float, **other: str) -> int:
        """From one cylinder into another."""
        ends = f"cylinder:{source}", f"cylinder:{target}"
        return self.move(day, *ends, pounds, "transfer", **other)

    def in_order(self) -> list[MovementRow]:
        """All of them in order of day, entry and line."""
        return ordered(self.made)


def ordered(rows: Iterable[MovementRow]) -> list[MovementRow]:
    """Movements in order of day, entry and line."""
    return sorted(rows, key=lambda row: (row.day, row.entry, row.line))


_PLAIN = (
    ("party:Depot", "cylinder:", "receipt"),
    ("cylinder:", "circuit:", "addition"),
    ("circuit:", "cylinder:", "recovery"),
    ("cylinder:", "cylinder:", "transfer"),
    ("cylinder:", "party:Reclaim", "shipment"),
    ("cylinder:", "party:Depot", "return"),
    ("cylinder:", "difference:heel", "heel"),
    ("cylinder:", "air:", "release"),
    ("circuit:", "air:", "release"),
    ("difference:found", "cylinder:", "difference"),
    ("difference:no cylinder named", "circuit:", "addition"),
    ("circuit:", "difference:no cylinder named", "recovery"),
    ("party:Other Firm", "circuit:", "addition by others"),
    ("brought-forward:opening", "cylinder:", "opening"),
)  # fmt: skip
_WEIGHTS = (6, 12, 6, 3, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2)


def random_rows(seed: int, size: int = 120, possible: bool = False) -> list[MovementRow]:
    """Movements of every kind over two years between a few holders, late ones among them.

    With `possible` no cylinder ever gives more than it holds, whatever order a day's movements
    without a time are taken in.
    """
    choose = random.Random(seed)
    held: dict[str, int] = defaultdict(int)
    rows: list[MovementRow] = []
    days = sorted(choose.choices(range(720), k=size))
    entries = list(range(1, size + 1))
    for at in range(0, size - 4, 4):  # some are recorded after those that happened later
        if choose.random() < 0.2:
            part = entries[at : at + 4]
            choose.shuffle(part)
            entries[at : at + 4] = part
    for entry, offset in zip(entries, days, strict=True):
        day = (FIRST_DAY + timedelta(offset)).isoformat()
        source, target, purpose = choose.choices(_PLAIN, _WEIGHTS)[0]
        ends = [_named(choose, end) for end in (source, target)]
        if ends[0] == ends[1]:
            continue
        mass = choose.randrange(1, 400) * OUNCE // 4
        if possible and ends[0].startswith("cylinder:"):
            mass = min(mass, held[ends[0]])
        if not mass:
            continue
        held[ends[0]] -= mass
        held[ends[1]] += mass
        stock = choose.choice(("virgin", "virgin", "reclaimed", "recovered"))
        owner = choose.choice(("Harbor Foods", "Mill Lane Hotel")) if stock == "recovered" else ""
        time = "" if possible else choose.choice(("", "", "08:30", "14:00"))
        halves = [end.partition(":")[::2] for end in ends]
        what = choose.choices(REFRIGERANTS, (6, 2, 1))[0]
        rows.append(
            MovementRow(
                day, time, entry, 0, *halves[0], *halves[1], what, mass, stock, owner, purpose
            )
        )
    return ordered(rows)


def _named(choose: random.Random, end: str) -> str:
    if end == "cylinder:":
        return f"cylinder:C-{choose.randrange(6)}"
    return f"circuit:RTU-{choose.randrange(5)}" if end == "circuit:" else end
