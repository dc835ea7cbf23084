"""What a cylinder holds, from its movements in the order they occurred.

Where the time of day is unknown, what came in that day is taken before what went out, so
that only an order that cannot have happened is refused.
"""

from __future__ import annotations

from bisect import insort
from dataclasses import dataclass, field
from typing import NamedTuple

SHARED = "shared"
"""The owner of refrigerant that several owners put together: it can only go to reclaim."""
MIXED = "mixed"
"""The refrigerant of a cylinder into which two different ones were put."""


class Line(NamedTuple):
    """One movement as a cylinder sees it: when, how much (counts, out is negative), what."""

    day: str
    time: str
    direction: int
    entry: int
    line: int
    change: int
    refrigerant: str
    stock: str
    owner: str


NO_TIME = ("00:00", "24:00")
"""The times that stand for none: what came in first thing, what went out last."""


def line_of(
    day: str, time: str, entry: int, line: int, change: int, refrigerant: str, stock: str,
    owner: str,
) -> Line:  # fmt: skip
    """A Line with its place in the order of the day."""
    if change >= 0:
        return Line(day, time or NO_TIME[0], 0, entry, line, change, refrigerant, stock, owner)
    return Line(day, time or NO_TIME[1], 1, entry, line, change, refrigerant, stock, owner)


class Holding(NamedTuple):
    """What is in a cylinder at one moment: counts, refrigerant, stock kind and owner."""

    total: int = 0
    refrigerant: str = ""
    stock: str = ""
    owner: str = ""

    def after(self, line: Line) -> Holding:
        """The holding once a movement has happened; put together is recovered and shared."""
        total = self.total + line.change
        if line.change < 0:
            if not self.total:
                return Holding(total, line.refrigerant, line.stock, line.owner)
            return self._replace(total=total) if total else _NOTHING
        if self.total <= 0:
            return Holding(total, line.refrigerant, line.stock, line.owner)
        same = self.refrigerant == line.refrigerant
        return Holding(
            total,
            self.refrigerant if same else MIXED,
            self.stock if self.stock == line.stock else "recovered",
            self.owner if self.owner == line.owner else SHARED,
        )


_NOTHING = Holding()


@dataclass(slots=True)
class Contents:
    """One cylinder's movements in occurred order, with the running content."""

    lines: list[Line] = field(default_factory=list)
    latest: Holding = field(default_factory=Holding)

    @classmethod
    def of(cls, lines: list[Line]) -> Contents:
        """Contents from movements in any order."""
        contents = cls(sorted(lines))
        contents._refold()
        return contents

    def _refold(self) -> None:
        holding = Holding()
        for line in self.lines:
            holding = holding.after(line)
        self.latest = holding

    def holding_before(self, line: Line) -> Holding:
        """What the cylinder held when a movement that is not yet recorded began."""
        if not self.lines or self.lines[-1] < line:
            return self.latest
        holding = Holding()
        for earlier in self.lines:
            if earlier > line:
                break
            holding = holding.after(earlier)
        return holding

    def mixed_by(self, line: Line) -> str:
        """The other refrigerant that was put on top of what a late movement brings in, if any."""
        if not self.lines or self.lines[-1] < line:
            return ""
        holding = self.holding_before(line).after(line)
        for later in self.lines:
            if later < line:
                continue
            if later.change > 0 and holding.total > 0 and later.refrigerant != line.refrigerant:
                return later.refrigerant
            holding = holding.after(later)
            if holding.total <= 0:
                return ""
        return ""

    def lowest_with(self, line: Line) -> int:
        """The lowest running content from a new movement on, in counts."""
        if not self.lines or self.lines[-1] < line:
            return self.latest.total + line.change
        running, lowest, placed = 0, None, False
        for known in self.lines:
            if not placed and known > line:
                running += line.change
                placed, lowest = True, running
            running += known.change
            if placed and lowest is not None:
                lowest = min(lowest, running)
        return running + line.change if lowest is None else lowest

    def highest_with(self, line: Line) -> tuple[int, str]:
        """The highest content at the end of a day from a new movement's day on, and that day.

        Only the ends of days count: what went in and out on one day is often written down in
        another order than it happened.
        """
        running = highest = self.latest.total + line.change
        if not self.lines or self.lines[-1].day <= line.day:
            return highest, line.day
        day = self.lines[-1].day
        ended = day
        for one in reversed(self.lines):
            if one.day != ended:
                # Here `running` is what was in it at the end of this earlier day.
                ended = max(one.day, line.day)
                if running >= highest:
                    highest, day = running, ended
                if one.day <= line.day:
                    return highest, day
            running -= one.change
        return (running, line.day) if running >= highest else (highest, day)

    def lowest_without(self, gone: set[tuple[int, int]]) -> int:
        """The lowest running content if some movements (entry, line) had not happened."""
        running = lowest = 0
        for line in self.lines:
            if (line.entry, line.line) not in gone:
                running += line.change
                lowest = min(lowest, running)
        return lowest

    def add(self, line: Line) -> None:
        """Take in a recorded movement."""
        if not self.lines or self.lines[-1] < line:
            self.lines.append(line)
            self.latest = self.latest.after(line)
        else:
            insort(self.lines, line)
            self._refold()

    def remove(self, gone: set[tuple[int, int]]) -> None:
        """Take out reversed movements."""
        self.lines = [line for line in self.lines if (line.entry, line.line) not in gone]
        self._refold()

    def at(self, day: str) -> Holding:
        """What the cylinder held at the end of an ISO day."""
        holding = Holding()
        for line in self.lines:
            if line.day > day:
                break
            holding = holding.after(line)
        return holding
