"""The checks a reversal passes: it names lines that stand, and leaves no cylinder short."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from ledger.book.journal import Reader
from ledger.book.known import BookKnown
from ledger.facts.checks import cylinders_of, quoted
from ledger.facts.contents import Contents, Line, line_of
from ledger.facts.entry import Entry
from ledger.facts.facts import Described, Movement, Reversal, SameLeak
from ledger.facts.mass import pounds
from ledger.facts.problems import Problem

_SHOWN = 5
"""Entries named in one sentence."""
_STANDING = (
    "SELECT entry, line FROM movement WHERE {side}_kind = 'circuit' AND {side}_name = ?"
    " AND NOT EXISTS (SELECT 1 FROM reversal WHERE target_entry = entry AND target_line = line)"
)


def reversal_problems(reader: Reader, known: BookKnown, fact: Reversal) -> list[Problem]:
    """Every problem of one reversal, unordered."""
    last = reader.head()[0]
    entry = reader.entry(fact.entry) if 0 < fact.entry <= last else None
    if entry is None:
        return [_no_entry(fact.entry, last)]
    found = []
    if not fact.reason.strip():
        found.append(
            Problem("reason-missing", "A reversal needs a reason.", 'Add --because "...".')
        )
    facts = entry.facts()
    beyond = [line for line in fact.lines if not 0 <= line < len(facts)]
    if beyond or not fact.lines:
        found.append(
            Problem(
                "no-such-entry",
                f"Entry {fact.entry} has lines 1 to {len(facts)}.",
                f"See them with tarebook show {fact.entry}.",
            )
        )
        return found
    found += _standing(reader, entry, fact)
    return found or [
        *_still_named(reader, known, entry, fact),
        *_contents(known, last, entry, fact),
    ]


def _standing(reader: Reader, entry: Entry, fact: Reversal) -> list[Problem]:
    facts = entry.facts()
    if entry.number == 1:
        return [
            Problem(
                "kind-mismatch",
                "Entry 1 founds the book with its name, time zone and id, and stays.",
                "Start another book with tarebook init.",
            )
        ]
    if any(isinstance(facts[line], Reversal) for line in fact.lines):
        others = [n for n, part in enumerate(facts, 1) if not isinstance(part, Reversal)]
        how = " ".join(f"--line {n}" for n in others)
        rest = f"Its other lines can be taken back ({how}); record" if others else "Record"
        return [
            Problem(
                "reversal-of-reversal",
                f"Entry {entry.number} is itself a reversal.",
                f"{rest} what is right as a new entry.",
            )
        ]
    taken: dict[int, list[str]] = defaultdict(list)
    for line, by in reader.reversed_lines(entry.number):
        if line in fact.lines:
            taken[by].append(str(line + 1))
    return [
        Problem(
            "already-reversed",
            f"Line {', '.join(lines)} of entry {entry.number} was reversed by entry {by}.",
            f"See it with tarebook show {by}.",
        )
        for by, lines in taken.items()
    ]


def _still_named(
    reader: Reader, known: BookKnown, entry: Entry, fact: Reversal
) -> Iterator[Problem]:
    """A circuit is not taken out of the book under the pounds that moved through it."""
    facts = entry.facts()
    taken = {(entry.number, line) for line in fact.lines}
    for line in fact.lines:
        part = facts[line]
        if not isinstance(part, Described) or part.kind != "circuit":
            continue
        if known.master("circuit", part.name) is not None:
            continue
        standing = [
            found for side in ("source", "target")
            for found in reader.rows(_STANDING.format(side=side), (part.name,))
        ]  # fmt: skip
        if numbers := sorted({one[0] for one in standing if one not in taken}):
            # The one circuit of a unit goes by the unit's name and is not spoken of.
            kind = "circuit" if "/" in part.name else "unit"
            shown = ", ".join(map(str, numbers[:_SHOWN])) + (" ..." if numbers[_SHOWN:] else "")
            word = "entry" if len(numbers) == 1 else "entries"
            yield Problem(
                "still-named",
                f"Refrigerant of {word} {shown} moved through {kind} {part.name}.",
                "Reverse that first, or join it to the record that is right: tarebook join"
                f" {kind} {quoted(part.name)} RIGHT.",
            )


def _contents(known: BookKnown, last: int, entry: Entry, fact: Reversal) -> list[Problem]:
    """A cylinder is not left with less than was taken from it; `last` is the last entry."""
    facts = entry.facts()
    gone: dict[str, list[Line]] = defaultdict(list)
    for line in fact.lines:
        move = facts[line]
        if isinstance(move, Movement):
            for name, sign in cylinders_of(move):
                # A cylinder whose record is reversed with its receipt is none any more.
                master = known.master("cylinder", name)
                if sign > 0 and (master is None or not master.provisional):
                    gone[master.name if master else name].append(
                        line_of(entry.occurred_on, entry.occurred_time, entry.number, line,
                                move.mass.mass, move.refrigerant, move.stock, move.owner)
                    )  # fmt: skip
    problems = []
    for name, lines in gone.items():
        # The lines may already have stopped counting while the entry is settled, and what
        # replaces them may count.
        left = known.contents(name)
        lowest = left.lowest_without({(line.entry, line.line) for line in lines})
        recorded = {line for line in left.lines if line.entry <= last} | set(lines)
        if lowest < min(0, Contents.of(list(recorded)).lowest_without(set())):
            problems.append(
                Problem(
                    "cylinder-short",
                    f"Without entry {entry.number}, cylinder {name} would have held"
                    f" {pounds(-lowest)} lb less than was taken from it.",
                    "Reverse what was taken from it first.",
                )
            )
    return problems


def same_leak_problems(reader: Reader, known: BookKnown, fact: SameLeak) -> list[Problem]:
    """The parts of a leak episode are additions to its circuit that stand in the book."""
    found = []
    last = reader.head()[0]
    targets = {f"circuit:{name}" for name in known.names_of("circuit", fact.circuit)}
    for number in fact.entries:
        entry = reader.entry(number) if 0 < number <= last else None
        if entry is None:
            found.append(_no_entry(number, last))
            continue
        gone = {line for line, _ in reader.reversed_lines(number)}
        parts = [part for line, part in enumerate(entry.facts()) if line not in gone]
        if not any(isinstance(part, Movement) and part.target in targets for part in parts):
            taken = " (it was reversed)" if gone else ""
            found.append(
                Problem(
                    "kind-mismatch",
                    f"Entry {number} is no addition to {fact.circuit}{taken}.",
                    f"See the additions with tarebook history {quoted(fact.circuit)}.",
                )
            )
    return found


def _no_entry(number: int, last: int) -> Problem:
    return Problem(
        "no-such-entry",
        f"Entry {number} is not in this book (the last is {last}).",
        "Find the entry with tarebook find, and give its number.",
    )
