"""Times the reading of a workbook against openpyxl alone on the same file, as a ratio.

Run it as a script: `python tests/benchmarks/bench_sheets.py [--rows N] [--rounds N]`. The sheet
has 15 columns of the kinds a job log has; it is made from a seed. Each measurement is a process
of its own, so that its peak memory is its own; the best of the rounds counts. Half as many rows
are read once more, to see whether memory grows with the sheet.
"""

from __future__ import annotations

import argparse
import json
import random
import resource
import subprocess
import sys
import tempfile
from datetime import date, timedelta
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from ledger.intake.sheets import open_sheets
from ledger.intake.spool import Spool
from ledger.intake.survey import survey

SEED = 20261126
HEADINGS = (
    "Date", "Time", "Site", "Unit", "Refrigerant", "Added (lb)", "Recovered (lb)", "Gross before",
    "Gross after", "Tank", "Recovery tank", "Tech", "Ticket #", "Notes", "Price per lb",
)  # fmt: skip
REFRIGERANTS = ("R-410A", "R-22", "R-404A", "R-134a", "R-448A", "R-454B", "R-407C")
MEASURED = ("openpyxl", "rows", "survey")


def write(path: Path, rows: int) -> None:
    """A workbook of so many rows, the same at each run; every fiftieth row has a ditto mark."""
    from openpyxl import Workbook

    rng = random.Random(SEED)
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Log")
    sheet.append(list(HEADINGS))
    for number in range(rows):
        before = rng.randint(500, 3000)
        taken = rng.randint(10, 400)
        day = date(2024, 1, 2) + timedelta(days=rng.randint(0, 900))
        sheet.append([
            '"' if number % 50 == 49 else day, f"{rng.randint(7, 17)}:{rng.randint(10, 59)}",
            f"{rng.randint(1, 400)} Quarrel Ln", f"RTU-{rng.randint(1, 900)}",
            rng.choice(REFRIGERANTS), taken / 100, None, before / 100, (before - taken) / 100,
            f"C-{rng.randint(1, 300)}", None, f"Tech {rng.randint(1, 40)}", 100_000 + number,
            "low on charge" if number % 7 == 0 else None, 11.5,
        ])  # fmt: skip
    book.save(path)


def openpyxl_alone(path: Path) -> int:
    """Read every value with the library's read-only mode."""
    from openpyxl import load_workbook

    book = load_workbook(path, read_only=True, data_only=True)
    count = sum(1 for sheet in book.worksheets for _ in sheet.iter_rows(values_only=True))
    book.close()
    return count


def rows_alone(path: Path) -> int:
    """Read every row with its marks and merges, looked over for safety first."""
    with open_sheets(path) as file:
        return sum(1 for sheet in file.sheets for _ in file.rows(sheet))


def surveyed(path: Path) -> int:
    """Read the file as an import does before it records: tables, totals, dittos, order."""
    with Spool() as spool:
        return survey(path, spool, (), None, (), {}).total


def measure(what: str, path: Path) -> None:
    """Do one thing and print its seconds and the megabytes that it took at most."""
    import openpyxl  # noqa: F401

    before = perf_counter()
    count = {"openpyxl": openpyxl_alone, "rows": rows_alone, "survey": surveyed}[what](path)
    seconds = perf_counter() - before
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"rows": count, "seconds": seconds, "peak": peak}))


def measured(what: str, path: Path) -> dict[str, float]:
    """The figures of one thing, from a process of its own."""
    command = [sys.executable, __file__, "--measure", what, "--file", str(path)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def main() -> None:
    """Make the sheets, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--measure", choices=MEASURED)
    parser.add_argument("--file", type=Path)
    given = parser.parse_args()
    if given.measure:
        measure(given.measure, given.file)
        return
    with tempfile.TemporaryDirectory() as folder:
        whole, half = Path(folder) / "log.xlsx", Path(folder) / "half.xlsx"
        write(whole, given.rows)
        write(half, given.rows // 2)
        rounds = [{what: measured(what, whole) for what in MEASURED} for _ in range(given.rounds)]
        best = {what: min(one[what]["seconds"] for one in rounds) for what in MEASURED}
        print(f"{given.rows:,} rows x {len(HEADINGS)} columns, best of {given.rounds}")
        for what in MEASURED:
            peaks = rounds[0][what]["peak"], measured(what, half)["peak"]
            print(
                f"  {what:9} {best[what]:6.2f} s  {best[what] / best['openpyxl']:5.2f} x openpyxl"
                f"  peak {peaks[0]:4.0f} MB, of half the rows {peaks[1]:4.0f} MB"
            )


if __name__ == "__main__":
    main()
