"""Times the duties of many circuits under all packs against their leak rates in the same run.

Run it as a script: `python tests/benchmarks/bench_duties.py [--circuits N] [--profile]`. Each
circuit has 50 movements over four years and five service facts, so 20,000 circuits stand for a
book of 1,000,000 movements and 100,000 service facts; reading them from a book is not in it. The
leak rates are the ruler: they are computed for the duties in any case, and a machine that is
busy or slow is so for both.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import random
import sys
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ledger.answers.case_events import Event, Story
from ledger.answers.duties import duties_of
from ledger.answers.leak_history import (
    Addition,
    CategoryFrom,
    CircuitHistory,
    FollowUp,
    FullCharge,
    MethodFrom,
    Removal,
    ScopeFrom,
)
from ledger.answers.leak_law import ANNUALIZING, ROLLING, Binding
from ledger.answers.leak_rate import rates
from ledger.facts.mass import OUNCE, POUND
from ledger.law.for_duties import law_for_duties
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import SHIPPED, load_pack

FIRST_DAY, DAYS = date(2023, 1, 2), 1400
AS_OF = date(2026, 11, 25)
MOVEMENTS, SERVICES = 50, 5
CATEGORIES = ("comfort cooling", "commercial refrigeration", "industrial process refrigeration")
SERVICE = (
    (2, "leak-inspection"), (6, "repair"), (7, "initial-test"), (12, "follow-up-test"),
    (100, "leak-inspection"),
)  # fmt: skip
RATIO = 5.0
"""How many times the leak rates alone the duties of all packs may take."""
SECONDS = 15.0
"""What is left for 20,000 circuits of the 25 s of two cores, after ten for reading the book."""


def stories(circuits: int) -> Iterator[Story]:
    """Circuits of a large shop: charges of 20 to 1,519 lb, top-ups of half a pound to 8 lb."""
    rng = random.Random(20261125)
    for number in range(circuits):
        yield _story(rng, number)


def _story(rng: random.Random, number: int) -> Story:
    additions, removals = [], []
    for entry in range(1, MOVEMENTS + 1):
        on = FIRST_DAY + timedelta(days=rng.randrange(DAYS))
        mass = (8 + rng.randrange(120)) * OUNCE
        if rng.random() < 0.08:
            removals.append(Removal(entry, 1, on, "", mass, event=f"T{entry}"))
        else:
            additions.append(Addition(entry, 1, on, "", mass, event=f"T{entry}"))
    start = rng.choice(additions).on
    events = tuple(
        Event(100 + place, kind, start + timedelta(days=days), passed=True, complete=True)
        for place, (days, kind) in enumerate(SERVICE)
    )
    old, state = number % 3 == 0, number % 7 == 0
    binding = Binding("82" if old else "84", "", "yes", "", "", "", "read")
    both = [binding]
    if state and number % 2:
        both.append(Binding("RMP", "", "yes", "CA-medium", "", "", "read"))
    begins = None if old else date(2026, 1, 1)
    scope = [ScopeFrom(begins, tuple(both))]
    if begins is not None:
        scope.insert(0, ScopeFrom(None, tuple(both[1:])))
    history = CircuitHistory(
        circuit=f"U-{number}",
        additions=additions,
        full_charges=(FullCharge(0, None, (20 + number % 1500) * POUND),),
        methods=(MethodFrom(None, (ANNUALIZING, ROLLING)[number % 2], 1),),
        categories=(CategoryFrom(None, CATEGORIES[number % 3]),),
        scope=tuple(scope),
        removals=tuple(removals),
        follow_ups=tuple(
            FollowUp(e.entry, e.on, "", True, True) for e in events if e.kind == "follow-up-test"
        ),
    )
    return Story(history.circuit, history, events, date(2018, 4, 2), indoors=True)


def measure(circuits: int) -> dict[str, float]:
    """Seconds of processor time for the leak rates alone and for the duties, and their number."""
    law, tables = law_for_rates(), [law_for_duties(load_pack(name)) for name in SHIPPED]
    told = list(stories(circuits))
    begin = process_time()
    for story in told:
        additions = sorted(story.history.additions, key=lambda part: (part.on, part.entry))
        sum(1 for _ in rates(_federal(story.history, additions), law, AS_OF))
    ruler = process_time() - begin
    found: Counter[str] = Counter()
    begin = process_time()
    for story in told:
        for one in duties_of(story, law, tables, AS_OF):
            found.update(duty.status for duty in one.duties)
            found["cases"] += len(one.cases)
    took = process_time() - begin
    return {"rates": ruler, "duties": took, **found}


def _federal(history: CircuitHistory, additions: list[Addition]) -> CircuitHistory:
    from dataclasses import replace

    scope = tuple(
        one._replace(bindings=tuple(b for b in one.bindings if b.subpart != "RMP"))
        for one in history.scope
    )
    return replace(history, scope=scope, additions=additions)


def main() -> None:
    """Prints the figures; an exit code of 1 says that a bar was missed."""
    told = argparse.ArgumentParser(description=__doc__)
    told.add_argument("--circuits", type=int, default=2000)
    told.add_argument("--profile", action="store_true")
    asked = told.parse_args()
    if asked.profile:
        watch = cProfile.Profile()
        found = watch.runcall(measure, asked.circuits)
        pstats.Stats(watch).sort_stats("tottime").print_stats(45)
    else:
        found = measure(asked.circuits)
    each = 1000 * found["duties"] / asked.circuits
    ratio = found["duties"] / found["rates"]
    print(f"{asked.circuits} circuits: {each:.2f} ms each, {ratio:.1f} times the leak rates")
    print({name: round(value, 2) for name, value in found.items()})
    whole = each * 20
    print(f"20,000 circuits: {whole:.1f} s (bar {SECONDS:.0f}), ratio bar {RATIO:.0f}")
    sys.exit(0 if ratio <= RATIO and whole <= SECONDS else 1)


if __name__ == "__main__":
    main()
