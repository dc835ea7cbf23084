"""Times the import of a large sheet, every refusal active, against a plain sqlite3 insert of it.

Run it as a script: `python tests/benchmarks/bench_import.py [--rows N] [--postgres URL]
[--profile]`. The sheet has 20,000 circuits for a million rows and 2 % bad rows of ten kinds; it
is made from a seed, so each run reads the same one. The URL is that of a server on which a new
schema is made; it defaults to TAREBOOK_TEST_POSTGRES.
"""

from __future__ import annotations

import argparse
import cProfile
import csv
import os
import pstats
import random
import resource
import secrets
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ledger.book.journal import Book, BookPlace, utc_text
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Evidence, Fact
from ledger.facts.mass import POUND, Mass, quantity
from ledger.facts.verbs import opening
from ledger.intake.importing import run_import
from ledger.intake.report import ImportReport

SEED = 20261125
NOW = datetime(2026, 11, 1, 18, tzinfo=UTC)
FIRST_DAY, DAYS = date(2024, 1, 2), 1000
HEADINGS = (
    "Date", "Time", "Unit", "Refrigerant", "Added (lb)", "Recovered (lb)", "Gross before",
    "Gross after", "Tank", "Recovery tank", "Tech", "Ticket #", "Notes",
)  # fmt: skip
REFRIGERANTS = ("R-410A", "R-22", "R-404A", "R-134a", "R-448A", "R-454B", "R-407C")
TECHS, OWNERS = 40, 280
CIRCUITS_A_MILLION = 20_000
BAD_EVERY = 50
"""One row in so many is bad: 2 %."""
BARS = {100_000: 6_000, 1_000_000: 5_000}
"""Rows a second that a sheet of so many rows is to be taken in at, on two cores."""


def masters(circuits: int) -> Iterator[Fact]:
    """The shop before the sheet comes in: owners, sites, people, units and filled cylinders."""
    for number in range(OWNERS):
        yield new("party", f"Owner {number}", {"role": "customer"})
    for number in range(TECHS):
        yield new("person", f"Tech {number}", {"certification": {"type": "Universal"}})
    for number in range(OWNERS):
        yield new("site", f"Site {number}", {"zone": "America/Chicago", "owner": f"Owner {number}"})
    for number in range(circuits):
        yield new("unit", f"U-{number}", {"site": f"Site {number % OWNERS}"})
        inside = {"unit": f"U-{number}", "refrigerant": REFRIGERANTS[number % 7]}
        yield new("circuit", f"U-{number}", inside)
    full = quantity(Mass(900 * POUND))
    for number in range(circuits):
        name, what = f"C-{number}", REFRIGERANTS[number % 7]
        yield new("cylinder", name, {"kind": "half-ton", "refrigerant": what})
        yield from opening(name, what, full, Evidence("stated"), "virgin", "")
    for number in range(OWNERS):
        what = REFRIGERANTS[number % 7]
        inside = {"kind": "half-ton", "refrigerant": what}
        if what == "R-454B":
            inside["flammable"] = "yes"
        yield new("cylinder", f"R-{number}", inside)


def new(kind: str, name: str, fields: dict[str, object]) -> Described:
    """A first description."""
    return Described(kind, name, dict(fields), new="yes")


def rows(count: int, circuits: int) -> Iterator[list[str]]:
    """Job rows in about the order of their days, every fiftieth of them bad in its own way."""
    choose = random.Random(SEED)
    for number in range(count):
        day = FIRST_DAY + timedelta(days=number * DAYS // count - choose.randrange(5))
        circuit = choose.randrange(circuits)
        amount = 50 + choose.randrange(800)
        before = 9_000 + choose.randrange(60_000)
        weighed = number % 2 == 0
        recovered = choose.random() < 0.08
        cells = [
            day.strftime("%m/%d/%Y"), f"{8 + number % 9:02}:{number % 60:02}" if weighed else "",
            f"U-{circuit}", REFRIGERANTS[circuit % 7], "", "", "", "", "", "",
            f"Tech {choose.randrange(TECHS)}", f"T-{number}",
            "topped off, leak not found" if number % 5 == 0 else "",
        ]  # fmt: skip
        cells[5 if recovered else 4] = f"{amount / 100:.2f}"
        if weighed:
            after = before + amount if recovered else before - amount
            cells[6], cells[7] = f"{before / 100:.2f}", f"{after / 100:.2f}"
        if recovered:
            cells[9] = f"R-{circuit % OWNERS}"
        else:
            cells[8] = f"C-{circuit % 7 + 7 * choose.randrange(circuits // 7)}"
        if number % BAD_EVERY == 17:
            spoil(cells, number // BAD_EVERY % 10)
        yield cells


def spoil(cells: list[str], kind: int) -> None:
    """Make a good row bad, in one of ten ways that sheets have."""
    at = 5 if cells[5] else 4
    if kind == 0:
        cells[0] = "06/31/2025"
    elif kind == 1:
        cells[2] = f"{cells[2]}X"
    elif kind == 2:
        cells[at] = "4-8"
    elif kind == 3:
        cells[6], cells[7] = "100.00", "100.00"
    elif kind == 4:
        cells[at], cells[6], cells[7] = "950.00", "", ""
        cells[8], cells[9], cells[4], cells[5] = cells[8] or "C-0", "", "950.00", ""
    elif kind == 5:
        cells[0] = "03/05/2027"
    elif kind == 6:
        cells[10] = "Nobody"
    elif kind == 7:
        cells[3] = "blue"
    elif kind == 8:
        cells[8 if cells[8] else 9] = ""
    else:
        cells[at] = ""


def make_book(place: BookPlace, circuits: int) -> Book:
    """A book with the shop's masters in it."""
    book = Book.create(place, "America/Chicago", "Bench", "bench", NOW, "0" * 32)
    known, at = list(masters(circuits)), utc_text(NOW)
    with book.writing() as writer:
        for start in range(0, len(known), 300):
            part = tuple(known[start : start + 300])
            writer.append(Draft(f"m{start}", "add", FIRST_DAY.isoformat(), part), at)
    return book


def insert_plainly(folder: Path, sheet: Path) -> float:
    """The seconds that sqlite3 alone takes to read the same sheet and keep its rows."""
    start = perf_counter()
    plain = sqlite3.connect(folder / "plain.db")
    plain.execute(f"CREATE TABLE rows ({', '.join(f'c{n} TEXT' for n in range(len(HEADINGS)))})")
    marks = ",".join("?" * len(HEADINGS))
    with sheet.open(newline="", encoding="utf-8") as file, plain:
        plain.executemany(f"INSERT INTO rows VALUES ({marks})", csv.reader(file))
    plain.close()
    return perf_counter() - start


def time_import(
    place: BookPlace, sheet: Path, circuits: int, profile: bool
) -> tuple[float, ImportReport]:
    """Seconds and report of one strict import into a new book."""
    with make_book(place, circuits) as book:
        profiler = cProfile.Profile() if profile else None
        start = perf_counter()
        if profiler is not None:
            profiler.enable()
        report = run_import(book, sheet, moment=NOW, strict=True)
        took = perf_counter() - start
        if profiler is not None:
            profiler.disable()
            pstats.Stats(profiler).sort_stats("tottime").print_stats(45)
    return took, report


def main() -> None:
    """Make the sheet, take it in on each engine, print rows a second and the ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=100_000)
    parser.add_argument("--postgres", default=os.environ.get("TAREBOOK_TEST_POSTGRES", ""))
    parser.add_argument("--profile", action="store_true")
    asked = parser.parse_args()
    circuits = max(70, asked.rows * CIRCUITS_A_MILLION // 1_000_000)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sheet = folder / "jobs.csv"
        with sheet.open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(HEADINGS)
            writer.writerows(rows(asked.rows, circuits))
        plain = insert_plainly(folder, sheet)
        print(f"{asked.rows:,} rows, {sheet.stat().st_size / 1e6:.0f} MB; plain sqlite3"
              f" {asked.rows / plain:,.0f} rows/s")  # fmt: skip
        places = {"SQLite": BookPlace.parse(folder / "book.db")}
        if asked.postgres:
            schema = f"bench_{secrets.token_hex(4)}"
            places["PostgreSQL"] = BookPlace.parse(f"{asked.postgres}?schema={schema}")
        for engine, place in places.items():
            took, report = time_import(place, sheet, circuits, asked.profile)
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
            bar = BARS.get(asked.rows)
            print(
                f"{engine}: {asked.rows / took:,.0f} rows/s ({took:.1f} s, {took / plain:.0f} times"
                f" plain, peak {peak:,} MB{f', bar {bar:,}' if bar else ''});"
                f" {dict(report.counts)} {dict(report.codes)}"
            )


if __name__ == "__main__":
    main()
