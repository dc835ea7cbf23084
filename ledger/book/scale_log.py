"""What is recorded about scales: the scales, their checks, how often each was used."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import NamedTuple

from ledger.answers.scale_checks import Check
from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.facts.facts import CheckWeight
from ledger.facts.mass import Quantity


class ScaleOnRecord(NamedTuple):
    """One scale: its name, kind, place, display step as written, and the readings taken on it."""

    name: str
    kind: str
    place: str
    step: Quantity | None
    readings: int


def scale_checks(reader: Reader, cut: Cut) -> Iterator[Check]:
    """Every check weight that counts at a cut, under the name its scale has in the book."""
    names = Names(reader, cut)
    rows = reader.rows(
        "SELECT s.entry, s.occurred_on, s.body FROM service s WHERE s.type = :kind AND"
        f" {cut.counts('s')} ORDER BY s.occurred_on, s.entry, s.line",
        cut.params(kind=CheckWeight.TYPE),
    )
    for entry, day, text in rows:
        body = json.loads(text)
        weight, reading = (Quantity.from_body(body[name]) for name in ("weight", "reading"))
        yield Check(names.kept("scale", body["scale"]), day, entry, weight, reading)


def scales_on_record(reader: Reader, cut: Cut) -> list[ScaleOnRecord]:
    """Every scale of the book, by name."""
    names = Names(reader, cut)
    used: dict[str, int] = {}
    rows = reader.rows(
        f"SELECT w.scale, COUNT(*) FROM weighing w WHERE w.scale <> '' AND {cut.counts('w')}"
        " GROUP BY w.scale",
        cut.params(),
    )
    for scale, count in rows:
        kept = names.kept("scale", scale)
        used[kept] = used.get(kept, 0) + count
    found = []
    for one in Masters(reader, cut, names).all("scale").values():
        step = one.now("resolution")
        quantity = Quantity.from_body(step) if isinstance(step, list) else None
        place = one.text("place", cut.as_of or None)
        found.append(
            ScaleOnRecord(one.name, one.text("kind"), place, quantity, used.get(one.name, 0))
        )
    return sorted(found)
