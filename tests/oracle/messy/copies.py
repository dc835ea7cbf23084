"""The same job on a second sheet, as an office types it from the ticket."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta

from tests.oracle.messy.paper import Amount, Job, Line, Truth
from tests.oracle.messy.rows import Pen, plain_row

SAME, OUNCES, ROUNDED, SHIFTED, NO_TICKET = (
    "second record: same", "second record: ounce pattern", "second record: rounded",
    "second record: day shifted", "second record: no ticket",
)  # fmt: skip


def office_copy(pen: Pen, job: Job) -> Line:
    """One job once more; what this row says is sure, and it is no second job."""
    rng = pen.rng
    kind = rng.choice((SAME, OUNCES, OUNCES, ROUNDED, SHIFTED, NO_TICKET))
    copy = job
    if kind == OUNCES:
        copy = replace(job, amount=_other_way(job.amount))
    elif kind == ROUNDED:
        copy = replace(job, amount=_rounded(rng, job.amount))
    elif kind == SHIFTED:
        day = date.fromisoformat(job.day) + timedelta(days=rng.randint(1, 3))
        copy = replace(job, day=day.isoformat())
    elif kind == NO_TICKET:
        copy = replace(job, ticket="")
    if copy == job:
        kind = SAME
    line = plain_row(pen, copy)
    line.truth = Truth(kind, line.truth.sure, line.truth.says)
    return line


def _other_way(amount: Amount) -> Amount:
    """4.8 lb as 4 lb 8 oz, or 4 lb 8 oz as 4.8 lb."""
    if amount.style == "tenth":
        return Amount("ounce", amount.whole, amount.part)
    if amount.style == "ounce":
        style = "tenth" if amount.part < 10 else "hundredth"
        return Amount(style, amount.whole, amount.part)
    return amount


def _rounded(rng: random.Random, amount: Amount) -> Amount:
    """To the tenth, or of a tenth to the nearest pound or half pound; never to nothing."""
    if amount.style == "hundredth":
        tenths = (amount.whole * 100 + amount.part + 5) // 10
        return Amount("tenth", *divmod(max(tenths, 1), 10))
    if amount.style == "tenth":
        tenths = amount.whole * 10 + amount.part
        step = rng.choice((5, 10)) if tenths >= 5 else 5
        rounded = max(step, (tenths + step // 2) // step * step)
        return Amount("tenth", *divmod(rounded, 10))
    return amount
