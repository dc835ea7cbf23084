"""Holds a book against the truth of the papers that were taken into it, row by row and in sum."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

from tests.oracle.messy import importer
from tests.oracle.messy.held import Moved, sums_above
from tests.oracle.messy.importer import KNOWN, SKIPPED, Taken
from tests.oracle.messy.paper import CERTAIN, NOTHING, Case, Says, Tab, Truth
from tests.oracle.messy.workbook import write_paper


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of one written row.

    `wrong` is empty, or names what is wrong with its pounds in the book. `twice` says that its
    job was in the book before it. `found` says that the row repeats a job and was not recorded
    for it. `lost` says that a row with pounds was passed over without a word.
    """

    place: str
    truth: Truth
    outcome: str
    cells: str
    wrong: str = ""
    twice: bool = False
    found: bool = False
    lost: bool = False


@dataclass(slots=True)
class Judged:
    """All rows of a case judged, and the sums that came out above the truth."""

    seed: int
    verdicts: list[Verdict] = field(default_factory=list)
    excess: list[str] = field(default_factory=list)
    refusals: list[str] = field(default_factory=list)

    def wrong(self) -> list[str]:
        """Every wrong pound in words, with the seed and the place."""
        return [
            f"seed {self.seed} {one.place} [{one.truth.kind}] {one.wrong}: {one.cells}"
            for one in self.verdicts
            if one.wrong
        ]

    def twice(self) -> list[str]:
        """Every job that was recorded more than once."""
        return [
            f"seed {self.seed} {one.place} [{one.truth.kind}]: {one.cells}"
            for one in self.verdicts
            if one.twice
        ]


def judge(case: Case, folder: Path) -> Judged:
    """Take a case into a new book and judge it."""
    judged = Judged(case.seed)
    says = defaultdict(list)
    done: dict[int, int] = {}
    with importer.new_book(case.shop, folder) as book:
        for name, papers in (("first", case.papers), ("again", case.again)):
            files = folder / name
            files.mkdir()
            importer.confirm(book, papers)
            for paper in papers:
                before = importer.head(book)
                taken = importer.take(book, paper, write_paper(paper, files))
                if taken.refusal:
                    judged.refusals.append(f"seed {case.seed} {paper.name}: {taken.refusal}")
                moved = importer.moved_in(book, before)
                _rows(judged, taken, moved, done, name)
                for _, _, line in paper.rows():
                    for one in line.truth.says:
                        says[one.job].append(one)
        judged.excess = sums_above(dict(says), importer.moved_in(book))
    return judged


def _rows(
    judged: Judged, taken: Taken, moved: list[Moved], done: dict[int, int], which: str
) -> None:
    """Judge each row of a paper in the order of the entries that came of them."""
    by_row: dict[tuple[str, int], list[Moved]] = defaultdict(list)
    for one in moved:
        by_row[one.tab, one.row].append(one)
    rows = taken.paper.rows()
    tabs: dict[str, Tab] = {tab.name: tab for tab in taken.paper.tabs}
    known = {(tab, row) for tab, row, _ in rows}
    for place in by_row.keys() - known:
        judged.excess.append(f"seed {judged.seed} {taken.paper.name} {place}: no such row")
    late = 10**9
    for tab, row, line in sorted(
        rows, key=lambda at: min((m.entry for m in by_row.get(at[:2], ())), default=late)
    ):
        there = by_row.get((tab, row), [])
        outcome, areas = importer.outcome_of(taken, tabs[tab], row, there)
        jobs = {one.job for one in line.truth.says}
        earlier = any(job in done for job in jobs)
        wrong = _wrong(line.truth, there, areas)
        twice = bool(there) and earlier and not wrong
        for job in jobs if there else ():
            done[job] = row
        missing = bool(jobs) and not there
        verdict = Verdict(
            f"{which} {taken.paper.name}!{tab}!{row}", line.truth, outcome,
            str([cell for cell in line.cells if cell is not None]), wrong, twice,
            found=missing and earlier,
            lost=missing and not earlier and outcome in (SKIPPED, KNOWN),
        )  # fmt: skip
        judged.verdicts.append(verdict)


def _wrong(truth: Truth, there: list[Moved], areas: frozenset[str]) -> str:
    """What is wrong with what the book holds of a row; empty where nothing is."""
    if not there:
        return ""
    if truth.sure == NOTHING:
        return f"pounds of a row that is no record ({_said(there[0])})"
    left = list(truth.says)
    for one in there:
        says = next((s for s in left if s.direction == one.direction), None)
        if says is None:
            return f"a movement the row does not say ({_said(one)})"
        left.remove(says)
        if found := _mismatch(says, one):
            return f"{found} ({_said(one)})"
    if truth.sure == CERTAIN:
        return ""
    if not truth.flag_ok:
        return f"guessed the {truth.doubt} ({_said(there[0])})"
    told = truth.doubt in areas or "any" in areas
    return "" if told else f"no word about the {truth.doubt} ({_said(there[0])})"


def _mismatch(says: Says, one: Moved) -> str:
    if one.grams not in says.grams:
        return "wrong pounds"
    if one.refrigerant not in says.refrigerants:
        return "wrong refrigerant"
    if one.circuit not in says.circuits:
        return "wrong circuit" if one.circuit else "the circuit was dropped"
    if one.day not in says.days:
        return "wrong day"
    if one.cylinder and one.cylinder not in says.cylinders:
        return "wrong cylinder"
    return ""


def _said(one: Moved) -> str:
    return (
        f"{one.day} {one.direction} {one.written} {one.refrigerant} {one.circuit or '?'}"
        f" {one.cylinder or '?'}, entry {one.entry}"
    )
