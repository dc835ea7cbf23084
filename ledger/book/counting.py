"""What counts and closing need from a book: tallies, causes, closes, cylinders at a cut-off."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from ledger.answers.counting import Label, Tally, Vessel
from ledger.answers.inventory import Tare
from ledger.book.cut import Cut
from ledger.book.cylinders import tare_on
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.book.timeline import place_name
from ledger.facts.counts import CutOff
from ledger.facts.mass import Quantity
from ledger.facts.masters import UNKNOWN, Master, Value

_FACT = (
    "SELECT s.entry, s.line, s.occurred_on, s.occurred_time, j.person, s.body FROM service s"
    " JOIN journal j ON j.number = s.entry WHERE s.type = :type AND {counts}"
    " ORDER BY s.entry, s.line"
)


def recorded(
    reader: Reader, cut: Cut, kind: str
) -> Iterator[tuple[int, int, str, str, str, dict[str, Any]]]:
    """Entry, line, day, time, person and body of every fact of a type that counts."""
    sql = _FACT.format(counts=cut.counts("s", occurred=False))
    for *head, body in reader.rows(sql, cut.params(type=kind)):
        entry, line, day, time, person = head
        yield entry, line, day, time, person, json.loads(body)


def tallies(reader: Reader, cut: Cut, masters: Masters, cut_off: str = "") -> list[Tally]:
    """Every cylinder counted, for one cut-off or for all."""
    kept, found = masters.names.kept, []
    for entry, line, day, time, person, body in recorded(reader, cut, "counted"):
        if cut_off and body["cut_off"] != cut_off:
            continue
        gross = Quantity.from_body(body["gross"]) if "gross" in body else None
        found.append(Tally(
            entry, line, day, time, person, kept("cylinder", body["cylinder"]),
            place_name(masters, body["place"]), body["cut_off"], body["found"], gross,
            body.get("scale", ""),
        ))  # fmt: skip
    return found


def cut_offs(reader: Reader, cut: Cut) -> list[CutOff]:
    """The cut-offs anything was counted for, earliest first."""
    found = {body["cut_off"] for *_, body in recorded(reader, cut, "counted")}
    return sorted(map(CutOff.parse, found), key=lambda one: one.order)


def times_of(reader: Reader, cut_off: CutOff) -> dict[int, str]:
    """The time of day of each entry of the day of a cut-off that has one."""
    sql = "SELECT number, occurred_time FROM journal WHERE occurred_on = ? AND occurred_time <> ''"
    return dict(reader.rows(sql, (cut_off.day,)))


def vessels(reader: Reader, cut: Cut, masters: Masters, cut_off: CutOff) -> dict[str, Vessel]:
    """Every refrigerant cylinder of the book as it stood at a cut-off, by name."""
    times, labels = times_of(reader, cut_off), _labels(reader, cut, masters)
    return {
        one.name: _vessel(masters, one, cut_off, times, labels.get(one.name))
        for one in masters.all("cylinder").values()
        if not one.text("gas") and one.text("kind") != "other gas"
    }


def _vessel(
    masters: Masters, one: Master, cut_off: CutOff, times: dict[int, str], filled: Label | None
) -> Vessel:
    here, later = _places(masters, one, cut_off, times)
    day = cut_off.day
    return Vessel(
        one.name, one.text("kind"), one.text("refrigerant", day) or one.text("refrigerant"),
        *here, one.text("state", day), _tare(one, day), _label(one) or filled, later,
    )  # fmt: skip


def _tare(one: Master, day: str) -> Tare | None:
    """The tare known on a day; where it was first weighed later, that: a cylinder's tare stays."""
    return tare_on(one, day) or tare_on(one, None)


def _places(
    masters: Masters, one: Master, cut_off: CutOff, times: dict[int, str]
) -> tuple[tuple[str, int, str], tuple[tuple[str, str], ...]]:
    """The place at a cut-off with the entry that said so and its day, and the later ones."""
    here, later = ("", 0, ""), []
    values: list[Value] = one.history.get("place", [])
    for value in values:
        place = place_name(masters, str(value.value)) if value.value != UNKNOWN else ""
        if not value.since or cut_off.covers(value.since, times.get(value.entry, "")):
            here = (place, value.entry, value.since)
        else:
            later.append((value.since, place))
    return here, tuple(later)


def _label(one: Master) -> Label | None:
    values: list[Value] = one.history.get("nominal", [])
    if values and isinstance(values[-1].value, list):
        return Label(int(values[-1].value[0]), values[-1].entry)
    return None


def _labels(reader: Reader, cut: Cut, masters: Masters) -> dict[str, Label]:
    """What each cylinder was first filled with when it came in."""
    rows = reader.rows(
        "SELECT m.target_name, m.mass, m.entry FROM movement m WHERE m.target_kind = 'cylinder'"
        f" AND m.purpose IN ('receipt', 'opening') AND {cut.counts('m', occurred=False)}"
        " ORDER BY m.occurred_on, m.entry, m.line",
        cut.params(),
    )
    found: dict[str, Label] = {}
    for name, mass, entry in rows:
        found.setdefault(masters.names.kept("cylinder", name), Label(mass, entry))
    return found


def spans(reader: Reader, cut: Cut, first_day: str = "") -> dict[tuple[int, int], tuple[int, int]]:
    """The first and last gross weight read at each movement from a day on."""
    rows = reader.rows(
        "SELECT w.entry, w.line, w.gross, w.moment FROM weighing w WHERE w.moment <> 'alone'"
        f" AND w.occurred_on >= :first AND {cut.counts('w', occurred=False)}"
        " ORDER BY w.entry, w.line, w.part",
        cut.params(first=first_day),
    )
    found: dict[tuple[int, int], tuple[int, int]] = {}
    for entry, line, gross, _ in rows:
        first, _last = found.get((entry, line), (gross, gross))
        found[entry, line] = (first, gross)
    return found
