"""Random circuit histories, crowded around the dates and times where rules change."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from hypothesis import strategies as st

from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FollowUp,
    FullCharge,
    MethodFrom,
    Removal,
    Repair,
    UnknownAddition,
)
from ledger.answers.leak_law import METHODS

DAYS = [
    date(2018, 1, 1), date(2018, 12, 30), date(2018, 12, 31), date(2019, 1, 1),
    date(2024, 2, 29), date(2025, 2, 28), date(2025, 3, 1), date(2025, 12, 31),
    *(date(2025, 12, 28) + timedelta(days=n) for n in range(9)),
    *(date(2026, 3, 1) + timedelta(days=n) for n in (0, 1, 2, 30, 100, 250, 363, 364, 365, 366)),
]  # fmt: skip
"""The days things happen on: edges of the rules, of months, of the window, and their neighbours."""

_TIMES = ["", "08:00", "10:00", "12:00"]
_VISITS = ["", "", "v1", "v2"]
_CLAIMS = ["", "", "", "", "seasonal", "new charge", "post-retrofit"]


class _Writer:
    """Collects the facts of one history."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.days = rng.sample(DAYS, rng.choice([1, 2, 3, 5, 9]))
        self.additions: list[Addition] = []
        self.removals: list[Removal] = []
        self.tests: list[FollowUp] = []
        self.repairs: list[Repair] = []
        self.unknown: list[UnknownAddition] = []

    def write(self, entry: int, kind: str) -> None:
        """Add one fact of a kind: a addition, r removal, t test, p repair, u unknown."""
        pick = self.rng.choice
        on, time, visit, mass = pick(self.days), pick(_TIMES), pick(_VISITS), pick(range(1, 10))
        if kind == "a":
            self.additions.append(Addition(entry, 0, on, time, mass, pick(_CLAIMS), visit))
        elif kind == "r":
            seasonal = pick([True, False])
            self.removals.append(Removal(entry, 0, on, time, mass, seasonal, visit))
        elif kind == "t":
            whole, passed = pick([True, True, False]), pick([True, True, True, False])
            self.tests.append(FollowUp(entry, on, time, whole, passed))
        elif kind == "p":
            self.repairs.append(Repair(entry, on))
        else:
            self.unknown.append(UnknownAddition(entry, on))


def random_history(rng: Random) -> CircuitHistory:
    """One circuit's history without a scope; masses are a few counts."""
    writer, size = _Writer(rng), rng.randint(1, 12)
    for entry in range(1, size + 1):
        writer.write(entry, rng.choice("aaaaaaarrttpu"))
    entries = range(1, size + 1)
    parts = [rng.sample(entries, min(size, rng.randint(2, 4))) for _ in range(rng.randint(0, 2))]
    return CircuitHistory(
        circuit="random",
        additions=writer.additions,
        full_charges=(
            FullCharge(0, None, rng.choice([None, 20, 50])),
            FullCharge(0, date(2026, 1, 1), None, 20, rng.randint(21, 40), "range"),
        ),
        methods=(MethodFrom(None, rng.choice(METHODS)),),
        categories=(CategoryFrom(None, "commercial refrigeration"),),
        removals=tuple(writer.removals),
        unknown_additions=tuple(writer.unknown),
        follow_ups=tuple(writer.tests),
        repairs=tuple(writer.repairs),
        episodes=tuple(frozenset(group) for group in parts),
        carried_last_addition=rng.choice([None, None, date(2017, 6, 1), *writer.days]),
    )


def histories() -> st.SearchStrategy[CircuitHistory]:
    """Random histories as a strategy."""
    return st.integers(0, 2**40).map(lambda seed: random_history(Random(seed)))
