"""What the cylinder list needs from a book: masters of cylinders and their last weighings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from ledger.answers.inventory import Cylinder, Tare, Weighed, last_of
from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.book.timeline import place_name
from ledger.facts.mass import Mass, Quantity
from ledger.facts.masters import UNKNOWN, Master, Value
from ledger.facts.requalification import due_of

_WEIGHED = (
    "w.cylinder, w.entry, w.line, w.part, w.occurred_on, w.occurred_time, w.gross, w.written,"
    " w.scale, w.moment, w.state"
)


def cylinders(reader: Reader, cut: Cut) -> Iterator[Cylinder]:
    """Every cylinder of the book at a cut, as the cylinder list takes it."""
    names = Names(reader, cut)
    masters = Masters(reader, cut, names)
    begun = _begun(reader, cut, names)
    weighed = last_weighings(reader, cut, names)
    for one in masters.all("cylinder").values():
        yield _cylinder(masters, one, cut.as_of, begun.get(one.name, ""), weighed.get(one.name))


def _cylinder(
    masters: Masters, one: Master, as_of: str, begun: str, weighed: Weighed | None
) -> Cylinder:
    day = as_of or None
    said = one.now("requalification due") if day is None else one.at("requalification due", day)
    due = due_of(one, day).day or (UNKNOWN if said == UNKNOWN else "")
    return Cylinder(
        name=one.name,
        kind=one.text("kind"),
        assigned=one.text("refrigerant", day),
        gas=one.text("gas"),
        place=place_name(masters, one.text("place", day)),
        state=one.text("state", day),
        tare=tare_on(one, day),
        requalification_due=due,
        provisional=one.provisional,
        begun=begun,
        weighed=weighed,
    )


def tare_on(one: Master, day: str | None) -> Tare | None:
    """The measured tare in force on a day, else the stamped one."""
    for field, basis in (("measured tare", "measured"), ("stamped tare", "stamped")):
        values: list[Value] = one.history.get(field, [])
        for value in reversed(values):
            if day is not None and value.since > day:
                continue
            if value.value != UNKNOWN and isinstance(value.value, list):
                return Tare(Quantity.from_body(value.value), basis, value.entry)
            break
    return None


def _begun(reader: Reader, cut: Cut, names: Names) -> dict[str, str]:
    """The day of each cylinder's first record."""
    rows = reader.rows(
        "SELECT d.name, MIN(d.occurred_on) FROM described d WHERE d.kind = 'cylinder' AND"
        f" {cut.counts('d', occurred=False)} GROUP BY d.name",
        cut.params(),
    )
    found: dict[str, str] = {}
    for name, day in rows:
        kept = names.kept("cylinder", name)
        found[kept] = min(day, found.get(kept, day))
    return found


def last_weighings(reader: Reader, cut: Cut, names: Names) -> dict[str, Weighed]:
    """The last weighing of every cylinder that was ever weighed."""
    rows = reader.rows(
        f"SELECT {_WEIGHED} FROM weighing w JOIN (SELECT v.cylinder AS name, MAX(v.occurred_on)"
        f" AS day FROM weighing v WHERE {cut.counts('v')} GROUP BY v.cylinder) latest ON"
        f" latest.name = w.cylinder AND latest.day = w.occurred_on WHERE {cut.counts('w')}",
        cut.params(),
    )
    found: dict[str, list[Weighed]] = defaultdict(list)
    for name, entry, line, part, day, time, gross, written, scale, moment, state in rows:
        seen = Quantity(Mass(gross), written)
        weighed = Weighed(entry, line, part, day, time, seen, scale, moment, state)
        found[names.kept("cylinder", name)].append(weighed)
    return {name: last for name, seen in found.items() if (last := last_of(seen)) is not None}
