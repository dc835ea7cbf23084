"""Prints how well differences are attributed: `python -m tests.oracle.simshop.table --seeds 50`."""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterable, Iterator
from fractions import Fraction
from pathlib import Path

from ledger.facts.mass import POUND
from tests.oracle.simshop.attribution import ATTRIBUTION, Attributed, Attribution
from tests.oracle.simshop.judge import (
    KEY,
    LEVELS,
    NOTHING,
    WELL,
    Judged,
    Sums,
    judge,
    share,
    verdicts_of,
)
from tests.oracle.simshop.truth import CAUSES, EXPLAINABLE, RESIDUAL, SCALE, THEFT, Truth
from tests.oracle.simshop.typing_in import new_book, type_in
from tests.oracle.simshop.year import year_of

_SHORT = {
    "forgotten ticket": "forgotten", "doubled ticket": "doubled", "un-received invoice": "invoice",
    "wrong cylinder": "wrong cyl", "storage leak": "leak",
}  # fmt: skip


def attributed(seed: int, attribution: Attribution = ATTRIBUTION) -> tuple[Truth, Attributed]:
    """The truth of a seed, and what an attribution found in its book."""
    year = year_of(seed)
    with tempfile.TemporaryDirectory() as folder, new_book(Path(folder) / "shop.db") as book:
        typed = type_in(book, year.papers.commands)
        if typed.refused:
            raise ValueError(f"seed {seed}: {typed.refused[0]}")
        return year.truth, attribution(book, year.papers)


def lines(sums: Sums) -> Iterator[str]:
    """The confusion matrix in pounds, the shares and the verdicts."""
    columns = [*CAUSES, NOTHING]
    confusion = sums.confusion
    yield "true cause, attributed to (lb)".ljust(32) + "".join(
        f"{_name(one):>11}" for one in columns
    ) + f"{'right':>8}"  # fmt: skip
    for true in columns:
        cells = "".join(_cell(confusion[true, found]) for found in columns)
        right = "" if true == NOTHING else percent(share(confusion, [true]))
        yield f"{true:32}{cells}{right:>8}"
    yield ""
    yield f"{'explainable pounds, right cause':40}{percent(share(confusion)):>8}"
    but = [one for one in EXPLAINABLE if one != SCALE]
    yield f"{'the same without scale':40}{percent(share(confusion, but)):>8}"
    yield ""
    yield from verdicts_of(sums)


def _name(cause: str) -> str:
    return RESIDUAL if cause == THEFT else _SHORT.get(cause, cause)


def _cell(mass: int) -> str:
    return f"{round(mass / POUND):>11,}" if mass else f"{'':>11}"


def percent(value: Fraction | None) -> str:
    """A share as people read it."""
    return "" if value is None else f"{float(100 * value):.1f} %"


def judged_seeds(
    seeds: Iterable[int], attribution: Attribution = ATTRIBUTION, level: str = KEY
) -> Iterator[tuple[int, Judged]]:
    """Each seed judged."""
    for seed in seeds:
        truth, found = attributed(seed, attribution)
        yield seed, judge(truth, found, level)


def main() -> None:
    """Judge the seeds asked for and print the table; with --each a line for every seed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=50, help="how many, from --first")
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--level", choices=LEVELS, default=KEY, help="how finely to compare")
    parser.add_argument("--each", action="store_true", help="a line for each seed")
    asked = parser.parse_args()
    sums = Sums()
    for seed, judged in judged_seeds(
        range(asked.first, asked.first + asked.seeds), level=asked.level
    ):
        sums.add(judged)
        if asked.each or judged.verdict not in WELL:
            named = ", ".join(judged.named) or "none"
            print(
                f"seed {seed:4}{percent(judged.share()):>8}  theft: {judged.theft_at or 'none'},"
                f" named: {named}"
            )
    for line in lines(sums):
        print(line.rstrip())


if __name__ == "__main__":
    main()
