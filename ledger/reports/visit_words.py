"""A visit told in lines: readings, what the customer was told, the work."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.facts.visit import AFTER, BEFORE, Visit


def visit_lines(visit: Visit) -> Iterator[str]:
    """Everything a visit holds beside its pounds, a line for each part."""
    if visit.also:
        yield f"with {', '.join(visit.also)}"
    for moment in (BEFORE, AFTER):
        taken = [f"{name} {value}" for when, name, value in visit.readings if when == moment]
        if taken:
            yield f"readings {moment}: {', '.join(taken)}"
    if line := consent(visit):
        yield line
    if visit.declined_by:
        yield f"leak search or repair declined by {visit.declined_by}"
    if visit.waits:
        yield f"waited after the stages: {', '.join(map(str, visit.waits))} minutes"
    if visit.work:
        yield f"work: {'; '.join(f'{part}: {done}' for part, done in visit.work)}"
    if visit.signed_by:
        yield f"signed by {visit.signed_by}"


def consent(visit: Visit) -> str:
    """What the customer was told and agreed to, in one line; empty where nothing is recorded."""
    parts = []
    if visit.low is not None and visit.high is not None:
        same = visit.low.mass == visit.high.mass
        told = visit.low.written if same else f"{visit.low.written} to {visit.high.written}"
        parts.append(f"told {told}")
    if visit.price_cents:
        parts.append(f"${visit.price_cents // 100}.{visit.price_cents % 100:02d} a pound")
    if visit.agreed_by:
        at = f" at {visit.agreed_at}" if visit.agreed_at else ""
        parts.append(f"agreed by {visit.agreed_by}{at}")
    return ", ".join(parts)
