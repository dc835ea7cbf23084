"""Looks through the part of a sheet that stands around its cells: merged ranges, hidden columns.

A workbook names its merged cells below all rows, and a row cannot be read right without them.
Only what stands outside the cells goes through the parser, so that looking costs little.
"""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right
from collections.abc import Iterator
from typing import IO, Any
from xml.parsers import expat

from ledger.intake.sheets import Merged

_BLOCK = 1 << 20
_OPENS = re.compile(rb"<(?:[\w.-]+:)?sheetData\b[^>]*>")
_CLOSES = re.compile(rb"</(?:[\w.-]+:)?sheetData\s*>")
_LONGEST_TAG = 512
"""Bytes kept of a block, because a tag may be cut between two."""
_CELL = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})\Z")
_ADDED = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})(?::\$?[A-Z]{1,3}\$?([0-9]{1,7}))?")
_ONLY_ADDS = re.compile(r"[-+*/^&=<>\"!]|\b(?!(?:SUM|SUBTOTAL|AGGREGATE|ROUND)\b)[A-Z_.]{2,}\(")
LARGEST_MERGES = 200_000
"""Merged cells kept of one sheet; more is no sheet that a person made."""
_TRUE = ("1", "true", "on")
_COMMENT = re.compile(rb"<(?:[\w.-]+:)?comment\s")


class TooManyMerged(Exception):
    """A sheet with more merged cells than are kept."""


class Merges:
    """The merged cells of one sheet that are more than one cell, from the top."""

    def __init__(self) -> None:
        self._found: list[tuple[int, int, int, int]] = []
        self._tops = array("l")
        self._next = 0
        self._open: list[tuple[int, int, int, int]] = []
        self._values: dict[tuple[int, int], object] = {}

    def __len__(self) -> int:
        return len(self._found)

    def add(self, ref: str) -> None:
        """Keep a range such as A5:A7; anything else is passed over."""
        corners = [_CELL.match(part.upper()) for part in ref.split(":")]
        if len(corners) != 2 or None in corners:
            return
        (left, top), (right, bottom) = ((column_index(c[1]), int(c[2])) for c in corners if c)
        if len(self._found) >= LARGEST_MERGES:
            raise TooManyMerged
        self._found.append((min(top, bottom), max(top, bottom), min(left, right), max(left, right)))

    def sort(self) -> None:
        """Bring them into the order of rows, in which `fill` goes through them."""
        self._found.sort()
        self._tops = array("l", (one[0] for one in self._found))

    def fill(self, number: int, cells: list[object]) -> bool:
        """Put into a row what is merged into it from above; whether there was anything.

        Rows come from the top. A cell merged over rows becomes a `Merged` in each of them, in
        its first column; cells merged over columns only stay as they are.
        """
        if self._next < len(self._found) and self._tops[self._next] <= number:
            upto = bisect_right(self._tops, number)
            self._open += self._found[self._next : upto]
            self._next = upto
        if not self._open:
            return False
        still, filled = [], False
        for one in self._open:
            top, bottom, left, _ = one
            if number > bottom:
                self._values.pop((top, left), None)
                continue
            if bottom == top:
                continue
            still.append(one)
            if number == top:
                value = cells[left] if left < len(cells) else None
                self._values[top, left] = value
            value = self._values.get((top, left))
            if value is not None and value != "":
                if left >= len(cells):
                    cells.extend([None] * (left + 1 - len(cells)))
                cells[left] = Merged(value, top, bottom)
                filled = True
        self._open = still
        return filled


class Scan:
    """What stands around the cells of one sheet."""

    def __init__(self) -> None:
        self.merges = Merges()
        self.hidden_columns: list[int] = []
        self.filtered = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """Take note of one element; names come without their prefix."""
        if name == "mergeCell":
            self.merges.add(attributes.get("ref", ""))
        elif name == "col" and attributes.get("hidden", "").casefold() in _TRUE:
            first, last = int(attributes.get("min", 0)), int(attributes.get("max", 0))
            if len(self.hidden_columns) < 1000:
                self.hidden_columns += range(first - 1, min(last, first + 255))
        elif name == "autoFilter":
            self.filtered = True


def scan_sheet(source: IO[bytes]) -> Scan:
    """Read a sheet's XML past its cells; ValueError or ExpatError where it is broken."""
    found = Scan()
    parser = expat.ParserCreate()

    def start(name: str, attributes: dict[str, str]) -> None:
        found.start(name.rpartition(":")[2], attributes)

    parser.StartElementHandler = start
    for piece in _around_the_cells(source):
        parser.Parse(piece, False)
    parser.Parse(b"", True)
    found.merges.sort()
    return found


def _around_the_cells(source: IO[bytes]) -> Iterator[bytes]:
    """The XML of a sheet without what is between the tags of its cells."""
    kept, inside, past = b"", False, False
    while block := source.read(_BLOCK):
        if past:
            yield block
            continue
        kept += block
        if not inside and (tag := _OPENS.search(kept)):
            yield kept[: tag.end()]
            kept, inside = kept[tag.end() :], True
            past = tag[0].endswith(b"/>")
        if inside and not past:
            if end := _CLOSES.search(kept):
                kept, past = kept[end.start() :], True
            else:
                kept = kept[-_LONGEST_TAG:]
        elif not inside:
            yield kept[:-_LONGEST_TAG]
            kept = kept[-_LONGEST_TAG:]
        if past:
            yield kept
            kept = b""
    if not inside:
        yield kept


def count_comments(archive: Any) -> int:
    """How many comments stand at the cells of a workbook."""
    parts = [one for one in archive.namelist() if "comment" in one.casefold()]
    return sum(len(_COMMENT.findall(archive.read(one))) for one in parts if one.endswith(".xml"))


def adds_rows_up(formula: str, row: int) -> bool:
    """Whether a formula only adds up cells of several rows above its own."""
    text = formula.upper().replace(" ", "")
    plain = text.replace("+", ",")
    if "SUM" not in text and "SUBTOTAL" not in text and "AGGREGATE" not in text and plain == text:
        return False
    if _ONLY_ADDS.search(plain):
        return False
    rows: set[int] = set()
    for match in _ADDED.finditer(plain):
        first, last = int(match[2]), int(match[3] or match[2])
        if not max(first, last) < row:
            return False
        rows |= {first, last}
    return len(rows) > 1


def column_index(letters: str) -> int:
    """The place of a column, counted from 0, by its letters: A is 0, AA is 26."""
    index = 0
    for letter in letters:
        index = index * 26 + ord(letter) - 64
    return index - 1
