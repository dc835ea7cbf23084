"""Times all duties of a large book, read from the file, beside a plain sqlite3 sum in the same run.

Run it as a script: `python tests/benchmarks/bench_due.py [--full] [--keep FOLDER]`. The book is
that of bench_answers with five service facts a circuit: an inspection, a repair, its two tests
and a detector. Without --full 2,000 circuits, 100,000 movements and 10,000 service facts, with it
ten times as many (bar: 25 s on two cores). `one` is one circuit after the start (bar: 50 ms).
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from time import perf_counter, process_time

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ledger.facts.entry import Draft
from ledger.facts.facts import Repair, ServiceEvent, Test
from tests.benchmarks.bench_answers import DAYS, FIRST_DAY, SOME_SECOND, drafts, plain_sum

AS_OF = date(2026, 11, 1)


def services(circuits: int) -> Iterator[Draft]:
    """Five service facts a circuit, spread over the years."""
    for number in range(circuits):
        name, start = f"U-{number}", FIRST_DAY + timedelta(days=number * DAYS // circuits)
        told = (
            ServiceEvent("leak inspection", name, places=("flare",), complete="yes"),
            Repair(name, "flare", "remade"),
            Test(name, "initial", "pass"),
            Test(name, "follow-up", "pass"),
            ServiceEvent("detector", name),
        )
        for place, fact in enumerate(told):
            day = start + timedelta(days=3 * place)
            yield Draft(f"s{number}-{place}", "event", day.isoformat(), (fact,))


def build(file: Path, movements: int, circuits: int) -> None:
    """Write the book through the Writer."""
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book

    moment = datetime(2026, 11, 1, tzinfo=UTC)
    book = Book.create(BookPlace(file=file), "America/Chicago", "Bench", "bench", moment, "0" * 32)
    with book, book.writing() as writer:
        for part in (drafts(movements, circuits), services(circuits)):
            for draft in part:
                writer.append(draft, SOME_SECOND)


def duties(file: Path, circuits: list[str] | None = None) -> tuple[int, float]:
    """How many duties there are, and the seconds after the book was opened and the law read."""
    from ledger.book.bound import duties_in, law_of
    from ledger.book.engine import BookPlace
    from ledger.book.journal import Book
    from ledger.book.reading import Cut, masters_at

    with Book.open(BookPlace(file=file), "bench") as book, book.reading() as reader:
        law_of(reader, Cut())
        start = perf_counter()
        masters = masters_at(reader, Cut())
        found = 0
        for _, several in duties_in(reader, Cut(), masters, AS_OF, circuits):
            found += sum(len(one.duties) for one in several)
        return found, perf_counter() - start


def main() -> None:
    """Build the book, or take one that was kept, and print what each measurement took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--full", action="store_true", help="20,000 circuits")
    parser.add_argument("--keep", type=Path, help="folder in which the book is kept for next time")
    given = parser.parse_args()
    circuits = 20_000 if given.full else 2_000
    with tempfile.TemporaryDirectory() as folder:
        file = (given.keep or Path(folder)) / f"due-{circuits}.db"
        if not file.exists():
            build(file, 50 * circuits, circuits)
        start = perf_counter()
        plain_sum(file)
        base = perf_counter() - start
        duties(file, ["U-17"])
        _, one = duties(file, ["U-17"])
        before = process_time()
        found, seconds = duties(file)
        cpu = process_time() - before
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"plain sum {base:.2f} s; one circuit {1000 * one:.1f} ms")
    print(
        f"{circuits:,} circuits, {found:,} duties: {seconds:.1f} s ({cpu:.1f} s CPU),"
        f" {seconds / base:.0f} times the sum, {memory:.0f} MB"
    )


if __name__ == "__main__":
    main()
