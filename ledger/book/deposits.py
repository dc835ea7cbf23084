"""What deposits need from a book: what was paid on which cylinder, what came back, statements."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from ledger.answers.deposits import Deposit, Listed
from ledger.book.custody import Custody
from ledger.book.cut import Cut
from ledger.book.reader import Reader
from ledger.book.timeline import place_name
from ledger.facts.masters import Master


def deposits_of(reader: Reader, cut: Cut) -> list[Deposit]:
    """Every deposit: of receipts, and of the field of a cylinder that has no receipt with one."""
    custody = Custody(reader, cut)
    credited: dict[tuple[str, str], int] = {}
    for _, _, body in _told(reader, cut, "deposit credit"):
        key = (_cylinder(custody, body["cylinder"]), _party(custody, body["supplier"]))
        credited[key] = credited.get(key, 0) + body.get("credit_cents", 0)
    found, seen = [], set()
    for entry, day, body in _told(reader, cut, "receipt"):
        name = _cylinder(custody, body["cylinder"])
        if body.get("deposit_cents", 0):
            seen.add(name)
            supplier = _party(custody, body["supplier"])
            found.append(_deposit(custody, name, supplier, body["deposit_cents"], day, entry))
    for one in custody.masters.all("cylinder").values():
        values = one.history.get("deposit", [])
        if one.name in seen or not values or not isinstance(values[-1].value, int):
            continue
        out = values[-1].since or _first_day(reader, cut, one)
        if values[-1].value and out:
            supplier = _party(custody, one.text("owner"))
            found.append(
                _deposit(custody, one.name, supplier, values[-1].value, out, values[-1].entry)
            )
    return [one._replace(credited=credited.get((one.cylinder, one.supplier), 0)) for one in found]


def listed_of(reader: Reader, cut: Cut) -> list[Listed]:
    """The lines of the last statement of each supplier."""
    custody = Custody(reader, cut)
    last: dict[str, int] = {}
    lines = []
    for entry, _, body in _told(reader, cut, "deposit line"):
        supplier = _party(custody, body["supplier"])
        last[supplier] = entry
        cylinder = _cylinder(custody, body["cylinder"]) if "cylinder" in body else ""
        lines.append(Listed(
            supplier, body["serial"], cylinder, body.get("deposit_cents", 0), body.get("out", ""),
            body.get("statement", ""), entry,
        ))  # fmt: skip
    return [one for one in lines if one.entry == last[one.supplier]]


def _told(reader: Reader, cut: Cut, kind: str) -> list[tuple[int, str, dict[str, Any]]]:
    rows = reader.rows(
        "SELECT s.entry, s.occurred_on, s.body FROM service s WHERE s.type = :kind AND"
        f" {cut.counts('s')} ORDER BY s.entry, s.line",
        cut.params(kind=kind),
    )
    return [(entry, day, json.loads(text)) for entry, day, text in rows]


def _cylinder(custody: Custody, name: str) -> str:
    return custody.names.kept("cylinder", name)


def _party(custody: Custody, name: str) -> str:
    return custody.names.kept("party", name)


def _deposit(
    custody: Custody, name: str, supplier: str, cents: int, out: str, entry: int
) -> Deposit:
    one = custody.masters.one("cylinder", name)
    back = next(_backs(custody, one, supplier, out), "") if one else ""
    return Deposit(name, supplier, cents, out, entry, one.text("serial") if one else "", back)


def _backs(custody: Custody, one: Master, supplier: str, out: str) -> Iterator[str]:
    """The days on which a cylinder went back to its supplier after it came from there."""
    for value in one.history.get("place", ()):
        late = custody.cut.as_of and value.since > custody.cut.as_of
        place = place_name(custody.masters, str(value.value))
        if value.since >= out and not late and place == supplier:
            yield value.since


def _first_day(reader: Reader, cut: Cut, one: Master) -> str:
    """The day of the first movement of a cylinder."""
    rows = reader.rows(
        "SELECT MIN(m.occurred_on) FROM movement m WHERE ((m.source_kind = 'cylinder' AND"
        " m.source_name = :name) OR (m.target_kind = 'cylinder' AND m.target_name = :name)) AND"
        f" {cut.counts('m')}",
        cut.params(name=one.name),
    )
    return next((day for (day,) in rows if day), "")
