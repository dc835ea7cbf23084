"""The same papers some weeks later: sorted, added to, corrected, rows moved to another file."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from tests.oracle.messy.paper import ASK, CERTAIN, WRONG, Amount, Job, Line, Shop
from tests.oracle.messy.rows import Pen, plain_row
from tests.oracle.messy.sheets import Block, Sketch

if TYPE_CHECKING:
    from tests.oracle.messy.cases import Plan

UNCHANGED, CORRECTED, CHANGED, NEW, MOVED = (
    "again: unchanged", "again: corrected", "again: amount changed", "again: new row",
    "again: moved to another file",
)  # fmt: skip
_MOVED_SHARE = 0.1


def later(rng: random.Random, shop: Shop, plan: Plan) -> Plan:
    """The files of the second import, and one more that holds what moved out of the first."""
    made: Plan = []
    moved: list[Sketch] = []
    for name, tabs in plan:
        text_only = name.endswith(".csv")
        new_tabs = []
        for tab, sketches in tabs:
            new_tabs.append((tab, [_later(rng, shop, one, text_only, moved) for one in sketches]))
        made.append((name, new_tabs))
    moved = [sketch for sketch in moved if sketch.blocks]
    if moved:
        made.append(("archive.xlsx", [(f"moved {n}", [one]) for n, one in enumerate(moved, 1)]))
    return made


def _later(
    rng: random.Random, shop: Shop, sketch: Sketch, text_only: bool, moved: list[Sketch]
) -> Sketch:
    pen = Pen(rng, shop, sketch.columns, text_only)
    new = Sketch(sketch.style, sketch.columns)
    gone = Sketch(sketch.style, sketch.columns)
    for block in sketch.blocks:
        lines = [_line(rng, pen, shop, line) for line in block.lines]
        if rng.random() < _MOVED_SHARE:
            lines = [_named(line, MOVED) for line in lines]
            gone.blocks.append(Block(lines, block.visit))
        else:
            new.blocks.append(Block(lines, block.visit))
    if not text_only:
        moved.append(gone)
    else:
        new.blocks += gone.blocks
    for _ in range(rng.randint(1, 4)):
        job = _new_job(rng, shop, sketch)
        if job is not None:
            new.blocks.insert(
                rng.randint(0, len(new.blocks)), Block([_named(plain_row(pen, job), NEW)], 0)
            )
    if rng.random() < 0.6:
        new.blocks.reverse()
    return new


def _named(line: Line, kind: str) -> Line:
    if not line.truth.says:
        return line
    return replace(line, cells=list(line.cells), truth=replace(line.truth, kind=kind))


def _line(rng: random.Random, pen: Pen, shop: Shop, line: Line) -> Line:
    """A row as it stands later: as it was, put right, or with another amount."""
    truth = line.truth
    if not truth.says or line.hidden:
        return _named(line, UNCHANGED)
    job = next(one for one in shop.jobs if one.number == truth.says[0].job)
    if truth.sure in (ASK, WRONG) and rng.random() < 0.5:
        return _named(plain_row(pen, job), CORRECTED)
    if truth.sure == CERTAIN and job.amount.style == "tenth" and rng.random() < 0.04:
        part = job.amount.part + (1 if job.amount.part < 9 else -1)
        changed = replace(job, amount=Amount("tenth", job.amount.whole, part))
        return _named(plain_row(pen, changed), CHANGED)
    return _named(line, UNCHANGED)


def _new_job(rng: random.Random, shop: Shop, sketch: Sketch) -> Job | None:
    """A job that happened since; far from others of its circuit, so that it is like none."""
    pattern = rng.choice(shop.jobs)
    if sketch.style == "charges" and pattern.direction != "added":
        return None
    last = max(
        job.day
        for job in shop.jobs
        if (job.circuit, job.direction) == (pattern.circuit, pattern.direction)
    )
    day = date.fromisoformat(last) + timedelta(days=9)
    if day > date(2026, 3, 27):
        return None
    number = len(shop.jobs) + 1
    job = replace(
        pattern, number=number, visit=number, day=day.isoformat(), ticket=f"T-{7000 + number}"
    )
    shop.jobs.append(job)
    return job
