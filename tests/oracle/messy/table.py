"""Prints what becomes of messy rows: `python -m tests.oracle.messy.table --seeds 100`."""

from __future__ import annotations

import argparse
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

from tests.oracle.messy.cases import case_of
from tests.oracle.messy.importer import (
    ASKED,
    FLAGGED,
    KNOWN,
    RECORDED,
    REFUSED,
    REJECTED,
    SKIPPED,
)
from tests.oracle.messy.judge import Judged, Verdict, judge

_COLUMNS = (
    "rows", RECORDED, FLAGGED, ASKED, REJECTED, SKIPPED, KNOWN, REFUSED, "dup found",
    "dup missed", "lost", "wrong",
)  # fmt: skip
_SHORT = {"known already": "known"}


def judged_seeds(seeds: Iterable[int]) -> Iterator[Judged]:
    """The cases of some seeds, each judged in a book of its own."""
    for seed in seeds:
        with tempfile.TemporaryDirectory() as folder:
            yield judge(case_of(seed), Path(folder))


def counted(verdicts: Iterable[Verdict]) -> Counter[str]:
    """The counts of one line of the table."""
    total: Counter[str] = Counter()
    for one in verdicts:
        total["rows"] += 1
        total[one.outcome] += 1
        total["dup found"] += one.found
        total["dup missed"] += one.twice
        total["lost"] += one.lost
        total["wrong"] += bool(one.wrong)
    return total


def lines(all_judged: list[Judged]) -> Iterator[str]:
    """The table: a line for each kind of mess, by how sure the row is, and the total."""
    kinds: dict[tuple[str, str], list[Verdict]] = defaultdict(list)
    for one in (verdict for judged in all_judged for verdict in judged.verdicts):
        kinds[one.truth.sure, one.truth.kind].append(one)
    yield f"{'':8} {'mess':36}" + "".join(f"{_SHORT.get(c, c):>11}" for c in _COLUMNS)
    for (sure, kind), verdicts in sorted(kinds.items()):
        yield _line(sure, kind, counted(verdicts))
    for word in ("certain", "ask", "wrong", "nothing"):
        some = [v for (sure, _), verdicts in kinds.items() if sure == word for v in verdicts]
        yield _line(word, "all", counted(some))
    yield _line("", "total", counted(v for verdicts in kinds.values() for v in verdicts))


def _line(sure: str, kind: str, counts: Counter[str]) -> str:
    return f"{sure:8} {kind:36}" + "".join(f"{counts[c] or '':>11}" for c in _COLUMNS)


def main() -> None:
    """Judge the seeds asked for and print the table, and with --show every fault in words."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=20, help="how many, from 0")
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--show", action="store_true", help="list every fault")
    asked = parser.parse_args()
    found = list(judged_seeds(range(asked.first, asked.first + asked.seeds)))
    for line in lines(found):
        print(line.rstrip())
    if asked.show:
        for one in found:
            for title, faults in (
                ("WRONG", one.wrong()), ("TWICE", one.twice()), ("EXCESS", one.excess),
                ("REFUSED", one.refusals),
            ):  # fmt: skip
                for fault in faults:
                    print(title, fault)


if __name__ == "__main__":
    main()
