"""What the room left in a cylinder is computed from: its record, its contents, its last weight."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.answers.inventory import Weighed, held_then, last_of
from ledger.answers.room import Room, Seen
from ledger.answers.uncertainty import Scale
from ledger.book.cut import Cut
from ledger.book.known import BookKnown
from ledger.book.reader import Reader
from ledger.facts.checks import movement_problems, sides_of
from ledger.facts.entry import Draft
from ledger.facts.facts import Movement
from ledger.facts.fill_guard import put_together
from ledger.facts.fill_limit import contents_named, tare_of, water_capacity
from ledger.facts.mass import POUND, Mass, Quantity
from ledger.facts.masters import RETIRED_STATES, UNKNOWN, Master
from ledger.facts.problems import in_order

_LITTLE = Quantity(Mass(POUND // 100), "0.01 lb")
"""A fill so small that only what speaks against any fill is found."""

NOT_REFILLED = ("disposable", "other gas", "drum")
"""Kinds of cylinder that are no choice for a recovery."""
_TOLD_BY_ROOM = frozenset(("over-fill-limit", "over-capacity"))


def room_of(
    reader: Reader, known: BookKnown, cut: Cut, cylinder: Master, refrigerant: str = ""
) -> Room:
    """One cylinder before a job that would put `refrigerant` into it (what it holds, if empty).

    Without contents and refrigerant it is the one assigned; with none of them, unknown contents.
    """
    contents = known.contents(cylinder.name)
    day = cut.as_of or known.today(known.shop_zone())
    book = contents.at(day).total
    assigned = str(cylinder.at("refrigerant", day) or cylinder.now("refrigerant") or UNKNOWN)
    inside = put_together(contents) if book > 0 else []
    parts = contents_named([*inside, refrigerant or (inside[-1] if inside else assigned)])
    water = cylinder.history.get("water capacity")
    return Room(
        cylinder.name,
        cylinder.text("kind"),
        cylinder.text("place", day),
        known.filling(parts),
        water_capacity(cylinder),
        water[-1].entry if water else 0,
        tare_of(cylinder, day),
        book,
        _seen(reader, known, cut, cylinder),
        _against(known, cylinder, refrigerant or parts[-1], day),
    )


def rooms(reader: Reader, known: BookKnown, cut: Cut, refrigerant: str = "") -> list[Room]:
    """Every cylinder that may be filled again, those with the most room first."""
    from ledger.book.cut import Names
    from ledger.book.recorded import Masters

    masters = Masters(reader, cut, Names(reader, cut))
    day = cut.as_of or known.today(known.shop_zone())
    fillable = [
        one
        for one in masters.all("cylinder").values()
        if one.text("kind") not in NOT_REFILLED and one.text("state", day) not in RETIRED_STATES
    ]
    known.read_ahead_all({"cylinder": [one.name for one in fillable]})
    found = [room_of(reader, known, cut, one, refrigerant) for one in fillable]
    return sorted(found, key=lambda one: (-(one.left or 0), one.cylinder))


def _against(known: BookKnown, cylinder: Master, refrigerant: str, day: str) -> tuple[str, ...]:
    """What would be refused if a little were put in: the sentences, in their order."""
    move = Movement("circuit:", f"cylinder:{cylinder.name}", refrigerant, _LITTLE, "recovery",
                    stock="recovered")  # fmt: skip
    draft = Draft("", "room", day, (move,))
    found = movement_problems(known, draft, move, sides_of(known, draft, 0, move))
    return tuple(one.sentence for one in in_order(found) if one.code not in _TOLD_BY_ROOM)


def _seen(reader: Reader, known: BookKnown, cut: Cut, cylinder: Master) -> Seen | None:
    names = known.names_of("cylinder", cylinder.name)
    marks = ", ".join(f":name{place}" for place in range(len(names)))
    rows = reader.rows(
        "SELECT w.entry, w.line, w.part, w.occurred_on, w.occurred_time, w.gross, w.written,"
        f" w.scale, w.moment, w.state FROM weighing w WHERE w.cylinder IN ({marks})"
        f" AND {cut.counts('w')}",
        cut.params(**{f"name{place}": name for place, name in enumerate(names)}),
    )
    seen = [
        Weighed(entry, line, part, day, time, Quantity(Mass(gross), written), scale, moment, state)
        for entry, line, part, day, time, gross, written, scale, moment, state in rows
    ]
    last = last_of(seen)
    if last is None:
        return None
    then = held_then(known.contents(cylinder.name).lines, last)
    return Seen(last.gross, last.day, last.entry, scale_of(known, last.scale), then)


def scale_of(known: BookKnown, name: str) -> Scale:
    """A scale with its display step, as far as the book has it."""
    master = known.master("scale", name) if name else None
    values = master.history.get("resolution", []) if master else []
    if not values or not isinstance(values[-1].value, list):
        return Scale(name)
    return Scale(name, int(values[-1].value[0]), values[-1].entry)


def rooms_named(
    reader: Reader, known: BookKnown, cut: Cut, names: Sequence[str], refrigerant: str
) -> list[Room]:
    """The cylinders of these names of the book, in the order given."""
    masters = [known.master("cylinder", name) for name in names]
    return [room_of(reader, known, cut, one, refrigerant) for one in masters if one is not None]
