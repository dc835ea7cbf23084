"""Tells a row that was mended in its sheet from a new one: asked about, never recorded beside.

A row is known again by what it says, so a mended one looks new. What gives it away is an entry
that an earlier import of the file made and that no row of the file says any more.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import NamedTuple

from ledger.book.reader import Reader
from ledger.facts.entry import Draft, Entry
from ledger.facts.facts import Fact, Movement
from ledger.facts.problems import Problem
from ledger.intake.questions import JOB_CHOICES
from ledger.intake.undo import ROW_KEYS, ImportRun

_STILL_THERE = 2
"""A file of this name is the same sheet if at least one in so many of its rows are still there."""
_SHOWN = 8
_COPY = re.compile(r"\.answers(?:-[0-9]+)?(?=\.[^.]+$)")


class Said(NamedTuple):
    """What a row said of one movement, as far as it tells one job from another."""

    way: str
    circuit: str
    day: str
    mass: int
    ticket: str


class Revised:
    """The entries of earlier imports of a file that no row of it says any more."""

    def __init__(self, entries: Iterable[Entry] = (), same_sheet: bool = True) -> None:
        self._same_sheet = same_sheet
        self._left: dict[int, tuple[Entry, list[Said]]] = {}
        for entry in entries:
            content = entry.content()
            said = list(_said(entry.facts(), entry.occurred_on, content.get("ticket", "")))
            if said:
                self._left[entry.number] = (entry, said)

    def __bool__(self) -> bool:
        return bool(self._left)

    def like(self, draft: Draft) -> Problem | None:
        """The question whether a row that is new to the book is one of these, mended."""
        if not self._left:
            return None
        ours = list(_said(draft.facts, draft.occurred_on, draft.ticket))
        best, found = 1, 0
        for number, (_, said) in self._left.items():
            alike = max(
                (_alike(one, other, self._same_sheet) for one in ours for other in said), default=0
            )
            if alike > best:
                best, found = alike, number
        if not found:
            return None
        was = self._left[found][0].content().get("source", "")
        return Problem(
            "same-job",
            f"This may be {was.rpartition('!')[0]} row {was.rpartition('!')[2]} of before, mended:"
            f" entry {found} is what no row of the file says any more.",
            f"Answer instead to take entry {found} back and record the row as it is now, both to"
            " record it beside, same to leave it.",
            choices=JOB_CHOICES, entry=found,
        )  # fmt: skip

    def settled(self, entry: int) -> None:
        """A row was found to say this entry after all, or it was taken back."""
        self._left.pop(entry, None)

    def note(self, file: str) -> str:
        """What to know about the entries that are left; empty where there are none."""
        if not self._left or not self._same_sheet:
            return ""
        numbers = sorted(self._left)
        shown = ", ".join(map(str, numbers[:_SHOWN])) + (" ..." if numbers[_SHOWN:] else "")
        what = "Entry {} is" if len(numbers) == 1 else "Entries {} are"
        return (
            f"{what.format(shown)} of rows that are no longer in {file}. Nothing was taken back;"
            " where a row was wrong, use tarebook reverse."
        )


def revised(
    reader: Reader, runs: Sequence[ImportRun], file: str, sheets: Collection[str], keys: set[str]
) -> Revised:
    """What earlier runs of a file made of rows that are not among its rows now.

    `sheets` are those that are read now, `keys` those of their rows. A file that holds few of
    its earlier rows may be another one under the same name, and is asked about more seldom.
    """
    gone: list[Entry] = []
    there = 0
    for run in runs:
        if origin(run.file) != origin(file) or run.undone:
            continue
        for number, key in _rows_of(reader, run):
            if key in keys or key.partition("~")[0] in keys:
                there += 1
                continue
            entry = reader.entry(number)
            if entry is not None and _of_sheets(entry, file, sheets) and _stands(reader, entry):
                gone.append(entry)
    return Revised(gone, there * _STILL_THERE >= there + len(gone))


def origin(file: str) -> str:
    """The name of the sheet that a file is, or is an answered copy of."""
    return _COPY.sub("", file)


def _rows_of(reader: Reader, run: ImportRun) -> list[tuple[int, str]]:
    sql = (
        "SELECT number, key FROM journal WHERE number BETWEEN ? AND ? AND substr(key, 1, ?) = ?"
        " ORDER BY number"
    )
    rows = reader.rows(sql, (run.number, run.last, len(ROW_KEYS), ROW_KEYS))
    return [(number, key) for number, key in rows]


def _of_sheets(entry: Entry, file: str, sheets: Collection[str]) -> bool:
    source = str(entry.content().get("source", ""))
    name, _, place = source.partition("!")
    return origin(name) == origin(file) and place.rpartition("!")[0] in sheets


def _stands(reader: Reader, entry: Entry) -> bool:
    gone = {line for line, _ in reader.reversed_lines(entry.number)}
    facts = enumerate(entry.facts())
    return any(line not in gone for line, fact in facts if isinstance(fact, Movement))


def _said(facts: Iterable[Fact], day: str, ticket: str) -> Iterator[Said]:
    for fact in facts:
        if isinstance(fact, Movement):
            for circuit in (fact.source, fact.target):
                if circuit.startswith("circuit:"):
                    yield Said(fact.purpose, circuit, day, fact.mass.mass, ticket.casefold())


def _alike(one: Said, other: Said, same_sheet: bool) -> int:
    """How many of circuit, day, pounds and ticket are the same; 0 where it is another work.

    In what may be another sheet of the same name, such as next week's, the day or the ticket
    has to be one of them, and the circuit too.
    """
    if one.way != other.way:
        return 0
    ticket = bool(one.ticket and one.ticket == other.ticket)
    if not same_sheet and (one.circuit != other.circuit or not (one.day == other.day or ticket)):
        return 0
    same = (one.circuit == other.circuit, one.day == other.day, one.mass == other.mass)
    return sum(same) + ticket
