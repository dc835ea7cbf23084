"""The cylinder list: where each cylinder is, what the book and the last weighing say is in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from ledger.answers.balances import lb
from ledger.answers.holdings import Row, fold
from ledger.answers.routes import CYLINDERS
from ledger.answers.working import Input, Working
from ledger.facts.contents import NO_TIME, Line
from ledger.facts.mass import Quantity
from ledger.facts.masters import RETIRED_STATES

DIFFERENCE = "weighed minus book"
"""The neutral name of the difference; what it means is for people to find out."""


class Weighed(NamedTuple):
    """A gross weight seen on a scale; `moment` is before, reading, after or alone.

    `earlier` are the movements of its day (entry, line) whose own readings lead up to it.
    """

    entry: int
    line: int
    part: int
    day: str
    time: str
    gross: Quantity
    scale: str = ""
    moment: str = "alone"
    state: str = ""
    earlier: frozenset[tuple[int, int]] = frozenset()


class Tare(NamedTuple):
    """The weight of the empty cylinder, `basis` measured or stamped, and the entry it is from."""

    weight: Quantity
    basis: str
    entry: int


@dataclass(frozen=True, slots=True)
class Cylinder:
    """What is recorded about one cylinder at a cut.

    `assigned` is the one refrigerant it is for, `begun` the ISO day of its first record,
    `requalification_due` an ISO day, unknown, or empty. `gas` is named where it is no
    refrigerant cylinder.
    """

    name: str
    kind: str = ""
    assigned: str = ""
    gas: str = ""
    place: str = ""
    state: str = ""
    tare: Tare | None = None
    requalification_due: str = ""
    provisional: bool = False
    begun: str = ""
    weighed: Weighed | None = None


@dataclass(frozen=True, slots=True)
class CylinderLine:
    """One line of the list; masses in counts of 1.25 ng.

    `refrigerant`, `stock` and `owner` are of the contents by the book, `refrigerant` the
    assigned one where it holds nothing. `book` is what the book says it holds, `book_then`
    what the book says it held at the moment of the last weighing.
    """

    cylinder: Cylinder
    refrigerant: str
    stock: str
    owner: str
    book: int
    book_then: int

    @property
    def name(self) -> str:
        """The cylinder's name."""
        return self.cylinder.name

    @property
    def net(self) -> int | None:
        """Net by the last weighing: gross less tare; None without a weighing or a tare."""
        one = self.cylinder
        if one.weighed is None or one.tare is None:
            return None
        return one.weighed.gross.mass - one.tare.weight.mass

    @property
    def difference(self) -> int | None:
        """Weighed minus book, both at the moment of the last weighing."""
        return None if self.net is None else self.net - self.book_then

    @property
    def gone(self) -> bool:
        """Whether the cylinder is scrapped, returned or condemned, and holds nothing."""
        return self.cylinder.state in RETIRED_STATES and not self.book

    def value(self, name: str) -> str:
        """The text a list is kept to by: place, state, kind, refrigerant, stock, owner."""
        return str(getattr(self if name in _OF_CONTENTS else self.cylinder, name))

    def working(self) -> Working:
        """How the difference comes about."""
        one, inputs = self.cylinder, [Input("book at the weighing", lb(self.book_then))]
        if one.weighed is not None:
            told = f"{one.weighed.gross.written} on {one.weighed.day}"
            scale = f", scale {one.weighed.scale}" if one.weighed.scale else ""
            inputs.append(Input("gross", f"{told}{scale}", (one.weighed.entry,)))
        if one.tare is not None:
            told = f"{one.tare.weight.written}, {one.tare.basis}"
            inputs.append(Input("tare", told, (one.tare.entry,)))
        found = self.difference
        missing = "no weighing" if one.weighed is None else "the tare is not recorded"
        return Working(
            f"Cylinder {one.name}, {DIFFERENCE}", "gross - tare - book at the weighing",
            tuple(inputs), f"cannot be computed: {missing}" if found is None else lb(found),
        )  # fmt: skip


_OF_CONTENTS = ("refrigerant", "stock", "owner")


def inventory(
    cylinders: Iterable[Cylinder],
    rows: Iterable[Row],
    as_of: str = "",
    keep: Mapping[str, str] | None = None,
    gone: bool = False,
) -> list[CylinderLine]:
    """The cylinder list, by name.

    `rows` come in order of day, entry and line. `as_of` is the ISO day of the answer: cylinders
    whose first record is later are left out unless something is known of them by then. `keep`
    holds wanted values (see `CylinderLine.value`). `gone` lists those, too, that are no longer
    ours and empty.
    """
    known = {one.name: one for one in cylinders}
    then: dict[str, int] = {}
    held = _held(_watched(rows, known, then), as_of)
    lines = []
    for name in sorted({*known, *held}):
        one = known.get(name) or Cylinder(name)
        what, stock, owner, book = held.get(name, ("", "", "", 0))
        line = CylinderLine(one, what or one.assigned, stock, owner, book, then.get(name, 0))
        late = as_of and one.begun > as_of and name not in held and one.weighed is None
        if late or (line.gone and not gone):
            continue
        if all(line.value(field) == value for field, value in (keep or {}).items()):
            lines.append(line)
    return lines


def _held(rows: Iterable[Row], as_of: str) -> dict[str, tuple[str, str, str, int]]:
    """Refrigerant, stock kind, owner and counts of every cylinder that holds anything."""
    (closing,) = fold(rows, last=as_of, noting=False)
    return {
        name: (what, stock, owner, mass)
        for (name, _, what, stock, owner), mass in closing.closings[CYLINDERS].items()
    }


def _watched(
    rows: Iterable[Row], known: Mapping[str, Cylinder], then: dict[str, int]
) -> Iterator[Row]:
    """The same rows; on the way, what each cylinder held when it was last weighed."""
    weighed = {one.name: one.weighed for one in known.values() if one.weighed is not None}
    for row in rows:
        if row[4] == "cylinder" and row[5] in weighed and _by_then(row, weighed[row[5]]):
            then[row[5]] = then.get(row[5], 0) - row[9]
        if row[6] == "cylinder" and row[7] in weighed and _by_then(row, weighed[row[7]]):
            then[row[7]] = then.get(row[7], 0) + row[9]
        yield row


def _by_then(row: Row, weighed: Weighed) -> bool:
    return _happened(row[0], row[1], row[2], row[3], weighed)


def _happened(day: str, time: str, entry: int, line: int, weighed: Weighed) -> bool:
    """Whether a movement had happened when a cylinder was weighed.

    On one day times decide where both are known, then readings that lead from one to the other,
    else the order in which they were recorded.
    """
    if day != weighed.day:
        return day < weighed.day
    if (entry, line) in weighed.earlier:
        return True
    if time and weighed.time and time != weighed.time:
        return time < weighed.time
    mark, own = (entry, line), (weighed.entry, weighed.line)
    return mark < own or (mark == own and weighed.moment != "before")


def held_then(lines: Iterable[Line], weighed: Weighed) -> int:
    """What one cylinder held by the book when it was weighed, from its own movements, in counts."""
    return sum(
        one.change
        for one in lines
        if _happened(one.day, "" if one.time in NO_TIME else one.time, one.entry, one.line, weighed)
    )


def last_of(weighings: Iterable[Weighed]) -> Weighed | None:
    """The last of some weighings of one cylinder: by day, then as `_by_then` orders a day."""
    known = list(weighings)
    if not known:
        return None
    day = max(one.day for one in known)
    known = [one for one in known if one.day == day]
    if all(one.time for one in known):
        return max(known, key=lambda one: (one.time, one.entry, one.line, one.part))
    known.sort(key=lambda one: (one.entry, one.line, one.part))
    return _end_of_readings(known) or known[-1]


def _end_of_readings(known: Iterable[Weighed]) -> Weighed | None:
    """The weighing that nobody went on from, where the readings of a day show just one.

    Two tickets of a day are often typed in the wrong order and without a time; that one begins
    at the weight where the other ended tells which was first.
    """
    readings: dict[tuple[int, int], list[Weighed]] = {}
    for one in known:
        readings.setdefault((one.entry, one.line), []).append(one)
    begins = {mark: seen[0].gross.mass for mark, seen in readings.items()}
    ends = [
        mark
        for mark, seen in readings.items()
        if all(other == mark or begin != seen[-1].gross.mass for other, begin in begins.items())
    ]
    if len(ends) != 1:
        return None
    return readings[ends[0]][-1]._replace(earlier=frozenset(readings) - {ends[0]})
