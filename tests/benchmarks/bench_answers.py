"""Times all leak rates and balances of a large book against a plain sqlite3 sum in the same run.

Run it as a script: `python tests/benchmarks/bench_answers.py [--full] [--keep FOLDER]`. Without
--full it builds 100,000 movements over 2,000 circuits, with it 1,000,000 over 20,000. Each
measurement is a process of its own, so that its peak memory is its own.
"""

from __future__ import annotations

import argparse
import json
import random
import resource
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from time import perf_counter, process_time
from typing import TYPE_CHECKING, Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ledger.facts.entry import Draft
from ledger.facts.facts import Body, Described, Evidence, Fact, Movement, Reversal, Test, holder
from ledger.facts.mass import OUNCE, Mass, Quantity, quantity

if TYPE_CHECKING:
    from ledger.book.reader import Reader

BARS = {100_000: (1.5, 1_000), 1_000_000: (12.0, 1_000)}
"""Seconds and megabytes that a book of so many movements may take, on two cores."""
FIRST_DAY = date(2023, 1, 2)
DAYS = 1400
REFRIGERANTS = ("R-410A", "R-22", "R-404A", "R-134a", "R-448A", "R-454B", "R-407C")
CATEGORIES = ("comfort cooling", "commercial refrigeration", "industrial process refrigeration")
LINES_PER_ENTRY = 4
SOME_SECOND = "2026-11-01T00:00:00.000000Z"


def lb(ounces: int) -> Quantity:
    """A number of ounces as a quantity in pounds."""
    return quantity(Mass(ounces * OUNCE))


def masters(circuits: int, cylinders: int) -> Iterator[Fact]:
    """Sites, units, circuits, trucks and cylinders, each described once."""
    for number in range(circuits // 10):
        method = ("annualizing", "rolling average")[number % 2]
        yield described("site", f"Site {number}", {"state": "OH", "method": method})
    for number in range(circuits):
        yield described("unit", f"U-{number}", {"site": f"Site {number // 10}"})
        pounds = lb(16 * (20 + number % 1500))
        yield described("circuit", f"U-{number}", {
            "unit": f"U-{number}", "refrigerant": REFRIGERANTS[number % 7],
            "category": CATEGORIES[number % 3], "subsector": "other",
            "full charge": {"method": "maker", "charge": pounds.body()},
        })  # fmt: skip
    for number in range(cylinders):
        yield described("cylinder", f"C-{number}", {
            "kind": "refillable", "refrigerant": REFRIGERANTS[number % 7],
            "place": f"Truck {number % 40}", "stamped tare": lb(16 * 28).body(),
        })  # fmt: skip


def described(kind: str, name: str, fields: Body) -> Described:
    """A first description that holds from the beginning."""
    return Described(kind, name, fields, new="yes")


class Shop:
    """Invents movements that can have happened: no cylinder gives more than it holds."""

    def __init__(self, circuits: int, cylinders: int) -> None:
        self.circuits = circuits
        self.cylinders = cylinders
        self.held = [0] * cylinders
        self.random = random.Random(20261101)

    def facts(self) -> Iterator[Fact]:
        """One movement after another, without end."""
        choose = self.random.random
        while True:
            circuit = int(choose() * self.circuits)
            cylinder = circuit % 7 + 7 * int(choose() * (self.cylinders // 8))
            what = REFRIGERANTS[circuit % 7]
            ounces = 8 + int(choose() * 120)
            if choose() < 0.08:
                yield self._recovery(circuit, what, ounces)
            elif self.held[cylinder] < ounces:
                self.held[cylinder] += 1600
                yield Movement(
                    "party:Supply House", holder("cylinder", f"C-{cylinder}"), what, lb(1600),
                    "receipt", stock="virgin", evidence=Evidence("nominal"),
                )  # fmt: skip
            else:
                self.held[cylinder] -= ounces
                yield Movement(
                    holder("cylinder", f"C-{cylinder}"), holder("circuit", f"U-{circuit}"), what,
                    lb(ounces), "addition", stock="virgin", evidence=Evidence("net"),
                )  # fmt: skip

    def _recovery(self, circuit: int, what: str, ounces: int) -> Movement:
        """Into the recovery cylinders of the circuit's owner, which hold nothing else."""
        owner = circuit % 700
        return Movement(
            holder("circuit", f"U-{circuit}"), holder("cylinder", f"R-{owner}"), what, lb(ounces),
            "recovery", stock="recovered", owner=f"Owner {owner}", evidence=Evidence("net"),
        )  # fmt: skip


def drafts(movements: int, circuits: int) -> Iterator[Draft]:
    """The whole life of the book, oldest first, with late entries, tests and reversals."""
    cylinders = circuits
    known = list(masters(circuits, cylinders))
    for start in range(0, len(known), 500):
        part = tuple(known[start : start + 500])
        yield Draft(f"m{start}", "add", FIRST_DAY.isoformat(), part)
    shop = Shop(circuits, cylinders)
    supply = shop.facts()
    first = len(range(0, len(known), 500)) + 2
    for number in range(movements // LINES_PER_ENTRY):
        late = 30 if number % 20 == 7 else 0
        day = FIRST_DAY + timedelta(
            days=max(0, number * LINES_PER_ENTRY * DAYS // movements - late)
        )
        facts: list[Fact] = [next(supply) for _ in range(LINES_PER_ENTRY)]
        if number % 25 == 3:
            facts.append(Test(f"U-{shop.random.randrange(circuits)}", "follow-up", "pass"))
        elif number % 400 == 9:
            facts.append(Reversal(first + number - 5, (1,), "keyed to the wrong unit"))
        time = f"{8 + number % 9:02d}:{number % 60:02d}" if number % 3 else ""
        yield Draft(
            f"k{number}", "charge", day.isoformat(), tuple(facts), occurred_time=time,
            ticket=f"T{number}" if number % 2 else "",
        )  # fmt: skip


def build(file: Path, movements: int, circuits: int) -> float:
    """Write the book through the Writer; the seconds it took."""
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book

    start = perf_counter()
    moment = datetime(2026, 11, 1, tzinfo=UTC)
    book = Book.create(BookPlace(file=file), "America/Chicago", "Bench", "bench", moment, "0" * 32)
    with book, book.writing() as writer:
        for draft in drafts(movements, circuits):
            writer.append(draft, SOME_SECOND)
    return perf_counter() - start


def all_rates(reader: Reader) -> int:
    """Every leak rate of every circuit, with its verdict; how many there are."""
    from ledger.answers.leak_rate import rates
    from ledger.book.reading import Cut, circuit_histories
    from ledger.law.for_rates import law_for_rates

    law = law_for_rates()
    return sum(len(rates(history, law)) for history in circuit_histories(reader, Cut()))


def all_balances(reader: Reader) -> int:
    """One fold by year: every dimension at the end, the pounds balance of each year."""
    from ledger.answers.balances import grouped
    from ledger.answers.holdings import fold
    from ledger.answers.routes import CYLINDERS, FAMILIES
    from ledger.book.reading import Cut, masters_at, movements, placed

    masters = masters_at(reader, Cut())
    found, pounds = 0, ("refrigerant", "stock", "owner")
    for closing in fold(movements(reader, Cut()), placed(masters), unit="year"):
        lines = list(grouped(closing, CYLINDERS, pounds))
        assert not any(line.difference for line in lines)
        found += len(lines)
    for family, names in FAMILIES.items():
        for name in names.dimensions:
            found += sum(1 for _ in grouped(closing, family, (name,)))
    return found


def plain_sum(file: Path) -> int:
    """The yardstick: sqlite3 adds up one column by another."""
    raw = sqlite3.connect(file)
    raw.execute("PRAGMA cache_size = -65536")
    sql = "SELECT target_name, sum(mass) FROM movement GROUP BY target_name"
    return len(raw.execute(sql).fetchall())


def measure(file: Path, what: str) -> dict[str, Any]:
    """Do one thing in this process and tell how long it took and how much memory."""
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book

    start, found = perf_counter(), 0
    if what == "sum":
        found = plain_sum(file)
    else:
        with Book.open(BookPlace(file=file), "bench") as book, book.reading() as reader:
            if what in ("rates", "all"):
                found += all_rates(reader)
            if what in ("balances", "all"):
                found += all_balances(reader)
            if what == "one":
                found = one_circuit(reader)
    return {
        "seconds": perf_counter() - start,
        "cpu": process_time(),
        "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "found": found,
    }


def one_circuit(reader: Reader) -> int:
    """The rates of one circuit, as a charge answers."""
    from ledger.answers.leak_rate import rates
    from ledger.book.reading import Cut, circuit_history_for
    from ledger.law.for_rates import law_for_rates

    history = circuit_history_for(reader, Cut(), "U-17")
    assert history is not None
    return len(rates(history, law_for_rates()))


def main() -> None:
    """Build the book, or take one that was kept, and print one line for each measurement."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--full", action="store_true", help="1,000,000 movements")
    parser.add_argument("--keep", type=Path, help="folder in which the book is kept for next time")
    parser.add_argument("--measure", nargs=2, metavar=("WHAT", "FILE"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.measure:
        print(json.dumps(measure(Path(given.measure[1]), given.measure[0])))
        return
    movements = 1_000_000 if given.full else 100_000
    with tempfile.TemporaryDirectory() as folder:
        file = (given.keep or Path(folder)) / f"answers-{movements}.db"
        if not file.exists():
            print(f"built in {build(file, movements, movements // 50):.1f} s")
        report(file, movements)


def report(file: Path, movements: int) -> None:
    """Print what each measurement took, its ratio to the yardstick, and the bars.

    `all` is rates and balances one after the other in one process, `both` the two commands at
    once, each a process on a core of its own.
    """
    base = 0.0
    seconds, megabytes = BARS[movements]
    print(f"{movements:,} movements; bars for both: {seconds} s, {megabytes:,} MB")
    for what in ("sum", "one", "rates", "balances", "all"):
        (told,) = measured(file, what)
        base = base or told["seconds"]
        line(what, base, told)
    start = perf_counter()
    rates, balances = measured(file, "rates", "balances")
    both = {name: rates[name] + balances[name] for name in rates}
    line("both", base, both | {"seconds": perf_counter() - start})


def measured(file: Path, *asked: str) -> list[dict[str, Any]]:
    """What the measurements told, each in a process of its own and all of them at once."""
    started = [
        subprocess.Popen(
            [sys.executable, __file__, "--measure", what, str(file)], stdout=subprocess.PIPE
        )
        for what in asked
    ]
    told = [process.communicate()[0] for process in started]
    assert not any(process.returncode for process in started)
    return [json.loads(text) for text in told]


def line(what: str, base: float, told: dict[str, Any]) -> None:
    """Print one measurement."""
    print(
        f"{what:9} {told['seconds']:7.3f} s  cpu {told['cpu']:6.2f} s"
        f"  {told['megabytes']:5.0f} MB  {told['seconds'] / base:6.1f} x sum"
        f"  {told['found']:,} found"
    )


if __name__ == "__main__":
    main()
