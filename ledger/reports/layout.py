"""Fits a table of words into the places a screen has, wrapping cells and dropping none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.reports.safe import columns_of

GAP = 2
"""Places between two columns."""

NARROWEST = 10
"""The narrowest a column of words is squeezed to before rows are written one below another."""

LONG_WORD = 18
"""A word up to this long, such as a paragraph of a rule, is kept whole where there is room."""


@dataclass(frozen=True, slots=True)
class Strip:
    """One column as words: its label, its cells, its total, and how it stands.

    `right` sets it to the right, `whole` says that its cells must not be broken.
    """

    label: str
    cells: Sequence[str]
    total: str = ""
    right: bool = False
    whole: bool = False

    def natural(self) -> int:
        """The width at which nothing wraps."""
        return max(columns_of(self.label), self.longest())

    def longest(self) -> int:
        """The widest cell."""
        return max(columns_of(cell) for cell in (self.total if self.right else "", *self.cells))

    def least(self, long_word: int = 0) -> int:
        """The narrowest width that is still readable; no word up to `long_word` is broken."""
        words = max((columns_of(word) for word in self.label.split()), default=1)
        cells = self.longest() if self.whole else min(self.longest(), NARROWEST)
        if long_word and not self.whole:
            longest = max((columns_of(w) for cell in self.cells for w in cell.split()), default=0)
            cells = max(cells, min(longest, long_word))
        return max(1, words, cells)


def fitted(strips: Sequence[Strip], width: int) -> list[int] | None:
    """A width for each column so that all fit in `width` places, or None where they cannot."""
    room = width - GAP * (len(strips) - 1)
    for long_word in (LONG_WORD, 0):
        least = [strip.least(long_word) for strip in strips]
        if sum(least) <= room:
            natural = [strip.natural() for strip in strips]
            if sum(natural) > room:
                # Headings wrap before cells do.
                natural = [max(low, one.longest()) for one, low in zip(strips, least, strict=True)]
            return _squeezed(natural, least, room)
    return None


def _squeezed(widths: list[int], least: Sequence[int], room: int) -> list[int]:
    """The widths, the widest taken from first, until they fit the room."""
    while (over := sum(widths) - room) > 0:
        widest = max(widths[i] for i in range(len(widths)) if widths[i] > least[i])
        index = next(i for i, w in enumerate(widths) if w == widest and w > least[i])
        others = [w for i, w in enumerate(widths) if i != index and w > least[i]]
        step = widest - max([least[index], *(w for w in others if w < widest)])
        widths[index] -= max(1, min(over, step))
    return widths


def wrapped(text: str, width: int) -> list[str]:
    """A text in lines of at most `width` places, broken inside a word only where it must be."""
    lines, line = [], ""
    for word in text.split(" "):
        joined = f"{line} {word}" if line else word
        if columns_of(joined) <= width:
            line = joined
            continue
        if line:
            lines.append(line)
        *full, line = _folded(word, width)
        lines.extend(full)
    return [*lines, line]


def _folded(word: str, width: int) -> list[str]:
    """A word in parts of at most `width` places, broken after a hyphen where it has one."""
    parts, part = [], ""
    for character in word:
        while part and columns_of(part + character) > width:
            at = part.rfind("-") + 1 or len(part)
            parts.append(part[:at])
            part = part[at:]
        part += character
    return [*parts, part]


def padded(text: str, width: int, right: bool) -> str:
    """A text filled with spaces to `width` places, to its right or its left."""
    space = " " * (width - columns_of(text))
    return space + text if right else text + space


def side_by_side(strips: Sequence[Strip], widths: Sequence[int]) -> tuple[list[str], list[str]]:
    """The lines of the headings, and those of the rows with the totals under a rule."""
    rule = (" " * GAP).join("-" * width for width in widths)
    heading = _row([strip.label for strip in strips], strips, widths)
    lines = [rule]
    for cells in zip(*(strip.cells for strip in strips), strict=True):
        lines.extend(_row(cells, strips, widths))
    if any(strip.total for strip in strips):
        lines.extend([rule, *_totals(strips, widths)])
    return heading, lines


def _totals(strips: Sequence[Strip], widths: Sequence[int]) -> list[str]:
    """The totals, their label running over the columns beside it that have none."""
    free = 1
    while free < len(strips) and not strips[free].total and not strips[0].right:
        free += 1
    joined = [sum(widths[:free]) + GAP * (free - 1), *widths[free:]]
    kept = [strips[0], *strips[free:]]
    return _row([strip.total for strip in kept], kept, joined)


def _row(cells: Sequence[str], strips: Sequence[Strip], widths: Sequence[int]) -> list[str]:
    stacks = [wrapped(cell, width) for cell, width in zip(cells, widths, strict=True)]
    lines = []
    for level in range(max(map(len, stacks))):
        parts = (
            padded(stack[level] if level < len(stack) else "", width, strip.right)
            for stack, width, strip in zip(stacks, widths, strips, strict=True)
        )
        lines.append((" " * GAP).join(parts).rstrip())
    return lines


def one_below_another(strips: Sequence[Strip], width: int) -> list[str]:
    """Each row as lines of "label: cell", for a screen too narrow to put columns abreast.

    The totals come last and name only the columns that have one.
    """
    lines: list[str] = []
    for number in range(len(strips[0].cells)):
        for strip in strips:
            lines.extend(_hung(f"{strip.label}: {strip.cells[number]}".rstrip(), width))
        lines.append("")
    titles = [strip.total for strip in strips if strip.total and not strip.right]
    sums = [f"{strip.label}: {strip.total}" for strip in strips if strip.total and strip.right]
    for text in [*titles, *sums] if sums else []:
        lines.extend(_hung(text, width))
    return lines if sums else lines[:-1]


def _hung(text: str, width: int) -> list[str]:
    first, *rest = wrapped(text, width)
    under = wrapped(" ".join(rest), max(1, width - GAP)) if rest else []
    return [first, *(" " * GAP + line for line in under)]
