"""Puts a whole case together from a seed: the shop, its papers, and the same papers later."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from tests.oracle.messy.columns import headings, only_added
from tests.oracle.messy.copies import office_copy
from tests.oracle.messy.later import later
from tests.oracle.messy.paper import ADDED, CERTAIN, Case, Job, Line, Paper, Shop, Truth
from tests.oracle.messy.rows import PLAIN, Pen, messy_row, plain_row
from tests.oracle.messy.sheets import Block, Sketch, hide, lay_out, strike_out
from tests.oracle.messy.shop import shop_of
from tests.oracle.messy.side_tabs import hidden_tab, side_tabs

MESSY_SHARE = 0.3
"""The share of rows with a mess in the row itself."""
_COMMENTS = ("ask Bo", "checked", "photo on file")

Plan = list[tuple[str, list[tuple[str, list[Sketch]]]]]
"""Each file with its tabs, each tab with its tables."""


def case_of(seed: int) -> Case:
    """The case of a seed; the same seed gives the same case."""
    rng = random.Random(f"messy {seed}")
    shop = shop_of(rng)
    plan = _plan(rng, shop)
    papers = [_paper(rng, shop, name, tabs) for name, tabs in plan]
    again = [_paper(rng, shop, name, tabs, sides=False) for name, tabs in later(rng, shop, plan)]
    return Case(seed, shop, papers, again)


def _paper(
    rng: random.Random, shop: Shop, name: str, tabs: list[tuple[str, list[Sketch]]],
    sides: bool = True,
) -> Paper:  # fmt: skip
    plain = name.endswith(".csv")
    paper = Paper(name, [lay_out(rng, tab, sketches, plain) for tab, sketches in tabs])
    if sides and not plain:
        paper.tabs += side_tabs(rng, shop)
        if rng.random() < 0.4:
            # A sheet of its own that somebody hid: an earlier state of the first one.
            paper.tabs.append(hidden_tab(paper.tabs[0]))
    return paper


def _plan(rng: random.Random, shop: Shop) -> Plan:
    """Which job is on which paper: each on one, some on the office's as well."""
    field_jobs: list[Job] = []
    office_jobs: list[Job] = []
    text_jobs: list[Job] = []
    for visit in _visits(list(shop.jobs)):
        draw = rng.random()
        (field_jobs if draw < 0.6 else office_jobs if draw < 0.75 else text_jobs).extend(visit)
    cut = len(field_jobs) // 2
    styles = rng.sample(["log", "weights", "metric", "short", "charges"], 2)
    early = _tables(rng, shop, styles[0], field_jobs[:cut], False)
    late = _tables(rng, shop, styles[1], field_jobs[cut:], False)
    tabs = [("2025", early), ("Sheet2", late)]
    if rng.random() < 0.4:
        tabs = [("Log", early + late)]
    copied = [job for job in field_jobs + text_jobs if rng.random() < 0.18]
    office = _tables(rng, shop, "office", office_jobs, False, copied)
    text = _tables(rng, shop, rng.choice(("log", "office", "short")), text_jobs, True)
    return [
        ("techs.xlsx", tabs), ("office.xlsx", [("Office", office)]), ("tickets.csv", [("", text)]),
    ]  # fmt: skip


def _tables(
    rng: random.Random, shop: Shop, style: str, jobs: list[Job], text_only: bool,
    copied: list[Job] | None = None,
) -> list[Sketch]:  # fmt: skip
    """The tables that hold these jobs; what a table of additions has no place for is a second."""
    if only_added(style):
        rest = [job for job in jobs if job.direction != ADDED]
        first = [job for job in jobs if job.direction == ADDED]
        second = _tables(rng, shop, "log", rest, text_only) if rest else []
        return [_sketch(rng, shop, style, first, text_only, []), *second]
    return [_sketch(rng, shop, style, jobs, text_only, copied or [])]


def _sketch(
    rng: random.Random, shop: Shop, style: str, jobs: list[Job], text_only: bool,
    copied: list[Job],
) -> Sketch:  # fmt: skip
    sketch = Sketch(style, headings(rng, style))
    pen = Pen(rng, shop, sketch.columns, text_only)
    for visit in _visits(jobs):
        lines = []
        for job in visit:
            messy = rng.random() < MESSY_SHARE
            lines.append(messy_row(pen, job) if messy else plain_row(pen, job))
        sketch.blocks.append(Block(lines, visit[0].visit))
        sketch.blocks += _beside(pen, visit, lines)
    for job in copied:
        sketch.blocks.append(Block([office_copy(pen, job)], job.visit))
    sketch.blocks.sort(key=lambda block: block.visit)
    return sketch


def _visits(jobs: list[Job]) -> Iterator[list[Job]]:
    """The jobs of each visit together, in order."""
    found: dict[int, list[Job]] = {}
    for job in jobs:
        found.setdefault(job.visit, []).append(job)
    yield from found.values()


def _beside(pen: Pen, visit: list[Job], lines: list[Line]) -> Iterator[Block]:
    """Rows that a visit leaves beside its own: copies, twins; and rows that are hidden."""
    rng = pen.rng
    if rng.random() < 0.1:
        lines[0].comment = rng.choice(_COMMENTS)
    sure = len(lines) == 1 and lines[0].truth.sure == CERTAIN
    draw = rng.random()
    if not sure:
        return
    line, job = lines[0], visit[0]
    if draw < 0.05 and job.ticket and pen.has("ticket"):
        yield Block([_again(line, "same row twice")], job.visit)
    elif draw < 0.09 and job.ticket and pen.has("ticket"):
        yield Block([_twin(pen, job, line)], job.visit)
    elif draw < 0.13 and not pen.text_only:
        lines[0] = hide(line)
    elif draw < 0.17 and not pen.text_only:
        yield Block([strike_out(line, rng.random() < 0.7)], job.visit)


def _again(line: Line, kind: str) -> Line:
    return replace(line, cells=list(line.cells), truth=replace(line.truth, kind=kind), comment="")


def _twin(pen: Pen, job: Job, line: Line) -> Line:
    """A second job that looks the same on paper but for its ticket."""
    number = len(pen.shop.jobs) + 1
    ticket = f"T-{5000 + number}"
    pen.shop.jobs.append(replace(job, number=number, visit=-number, ticket=ticket))
    twin = _again(line, "second job, another ticket")
    column = next(i for i, one in enumerate(pen.columns) if one.meaning == "ticket")
    twin.cells[column] = ticket
    twin.truth = Truth(twin.truth.kind, CERTAIN, (replace(line.truth.says[0], job=number),))
    return twin


__all__ = ["PLAIN", "case_of"]
