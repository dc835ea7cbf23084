"""Interpolates in evenly spaced tables: a cubic through the four nodes around a point.

The same arithmetic is used where the tables are made and measured, so the error bounds stated
with them are those of what runs here.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence


class Curve:
    """A property at evenly spaced temperatures: `values[n]` stands for `start + n * step`.

    Neither `at` nor `inverse` checks its range: the caller asks `first` and `last`, or `low` and
    `high` of a rising curve, before.
    """

    __slots__ = ("_cubics", "_per_step", "first", "high", "last", "low", "step", "values")

    def __init__(self, start: float, step: float, values: Sequence[float]) -> None:
        if len(values) < 4:
            raise ValueError("a curve has four nodes or more")
        self.values = list(values)
        self.first, self.step = start, step
        self.last = start + step * (len(values) - 1)
        self.low, self.high = self.values[0], self.values[-1]
        self._per_step = 1 / step
        # Made as they are asked for: a question of one point needs two or three of them.
        self._cubics: list[Cubic | None] = [None] * (len(values) - 1)

    def at(self, x: float) -> float:
        """The value at `x`, by the cubic through the two nodes before and the two after it."""
        u = (x - self.first) * self._per_step
        node = int(u)
        if node >= len(self._cubics):
            node = len(self._cubics) - 1
        u -= node
        a, b, c, d = self._cubics[node] or self._made(node)
        return ((d * u + c) * u + b) * u + a

    def _made(self, node: int) -> Cubic:
        """The cubic of the stretch that begins at a node, kept from then on.

        The first and the last stretch lean on the cubic beside them, counted from its node.
        """
        inside = min(max(node, 1), len(self._cubics) - 2)
        made = _cubic(self.values, inside)
        found = self._cubics[node] = made if node == inside else _moved(made, node - inside)
        return found

    def inverse(self, y: float) -> float:
        """The `x` at which a rising curve has the value `y`: the same cubic, solved by Newton.

        From the straight line, which is off by thousandths of a step, two rounds reach the last
        digit.
        """
        values = self.values
        node = bisect_right(values, y) - 1
        if node >= len(self._cubics):
            node = len(self._cubics) - 1
        a, b, c, d = self._cubics[node] or self._made(node)
        a -= y
        u = (y - values[node]) / (values[node + 1] - values[node])
        u -= (((d * u + c) * u + b) * u + a) / ((3 * d * u + 2 * c) * u + b)
        u -= (((d * u + c) * u + b) * u + a) / ((3 * d * u + 2 * c) * u + b)
        return self.first + (node + u) * self.step


Cubic = tuple[float, float, float, float]
"""The factors of 1, u, u2 and u3, u from 0 to 1 between two nodes."""


def _cubic(values: Sequence[float], node: int) -> Cubic:
    """The cubic through the nodes around the stretch that begins at `node`."""
    a, b, c, d = values[node - 1 : node + 3]
    third = (d - a) / 6 + (b - c) / 2
    second = (a + c) / 2 - b
    return b, c - b - second - third, second, third


def _moved(cubic: Cubic, by: int) -> Cubic:
    """The same cubic, counted from another node."""
    a, b, c, d = cubic
    return (
        a + by * (b + by * (c + by * d)),
        b + by * (2 * c + by * 3 * d),
        c + by * 3 * d,
        d,
    )


class Grid:
    """A property over two even axes, each row a curve over the second axis (0 to 1)."""

    __slots__ = ("_rows", "first", "last", "step")

    def __init__(self, start: float, step: float, rows: int, values: Sequence[float]) -> None:
        if rows < 4 or len(values) % rows:
            raise ValueError("a grid has four full rows or more")
        width = len(values) // rows
        self._rows = [
            Curve(0.0, 1 / (width - 1), values[row * width : (row + 1) * width])
            for row in range(rows)
        ]
        self.first, self.step = start, step
        self.last = start + step * (rows - 1)

    def at(self, x: float, share: float) -> float:
        """The value at `x` on the first axis and `share` (0 to 1) on the second."""
        place = (x - self.first) / self.step
        node = min(max(int(place), 1), len(self._rows) - 3)
        a, b, c, d = _cubic([row.at(share) for row in self._rows[node - 1 : node + 3]], 1)
        u = place - node
        return ((d * u + c) * u + b) * u + a
