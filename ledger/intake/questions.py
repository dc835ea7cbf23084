"""Tells a question from a rejection, and reads what a person typed as the answer.

A question is what a person can settle in a word; a row that cannot be read at all, or cannot
be true, is rejected.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import product

from ledger.facts.masters import folded
from ledger.facts.nearby import squeezed
from ledger.facts.problems import Problem
from ledger.facts.resolve import NEW
from ledger.intake.doubts import ALONE, DOUBTS, UNTAKEABLE
from ledger.intake.places import fields_for
from ledger.intake.reading import Reading

ROW, JOB = "row", "job"
"""The fields of an answer about the row itself, and about the job that it records."""
TAKE, LEAVE = "take", "leave"
SAME, BOTH, INSTEAD = "same", "both", "instead"
JOB_CHOICES = (SAME, BOTH, INSTEAD)

ASKED = frozenset((
    "quantity-unclear", "refrigerant-unknown", "unknown-id", "circuit-needed", "row-doubtful",
    "same-job",
))  # fmt: skip
"""Refusals that are always a question, whether or not answers can be offered."""

_TAKE = frozenset(("take", "yes", "y", "take it", "keep", "include", "count", "in"))
_LEAVE = frozenset(("leave", "leave out", "leave it", "leave it out", "skip", "drop", "no", "n"))
_LEAVE_ANY = frozenset(("leave", "leave out", "leave it out", "skip"))
_SAME = frozenset(("same", "same job", "the same", "keep one", "one", "duplicate", "dup"))
_BOTH = frozenset(("both", "keep both", "two", "two jobs", "not the same", "different"))
_INSTEAD = frozenset(("instead", "reverse", "replace", "this one", "this row"))
_ENTRY = re.compile(r"(?:same as |duplicate of |same job as )?entry #?([0-9]{1,12})")
_NEW = frozenset(("new", "new one", "it is new", "add", "add it"))
_YES = frozenset(("yes", "y", "ok", "correct", "right"))
_NOT_THERE = re.compile(r'No [a-z ]+ "(.*)" is in the book\.')
_ASKED_LINE = re.compile(r"([a-z][a-z ]*?)(?: \([A-Z]*[0-9]+\))?: ")
_PARTS = re.compile(r"[;\n]")
_NAMED_PART = re.compile(r"\s*([^:=]{1,60}?)\s*[:=]\s*(.*)", re.DOTALL)
_CIRCUIT = re.compile(r"\b(?:circuit|circ|ckt|cct)\b\.?", re.IGNORECASE)
_MOST_OFFERED = 12


def asks(problem: Problem) -> bool:
    """Whether a person can settle it in a word."""
    return bool(problem.choices) or problem.code in ASKED


def doubts(reading: Reading) -> Iterator[tuple[str, Problem]]:
    """The questions that the marks of a row in its sheet raise, unless an answer settled them."""
    if reading.answers and reading.answers.get(ROW) == TAKE:
        return
    for mark in reading.row.marks:
        if mark == ALONE and reading.answers and reading.day:
            continue
        sentence = f"Row {reading.row.number} {DOUBTS[mark]}."
        choices = (LEAVE,) if mark in UNTAKEABLE else (TAKE, LEAVE)
        remedy = f"Answer {' or '.join(choices)}."
        yield ROW, Problem("row-doubtful", sentence, remedy, choices=choices)


def field_about(reading: Reading, problem: Problem) -> str:
    """The field of a row that a refusal of the book is about, as far as it has one.

    A name that is not in the book is looked for in the cells, for two of them may be of one
    kind, such as the cylinder and the one it was put into.
    """
    there = [name for name in fields_for("", problem) if name in reading.values]
    found = _NOT_THERE.fullmatch(problem.sentence) if problem.code == "unknown-id" else None
    if found is not None:
        fold = folded(found[1])
        for name in there:
            if folded(str(reading.values[name])) == fold:
                return name
    return there[0] if there else ""


def asked_line(field: str, cell: str, problem: Problem) -> str:
    """A question as it stands beside its row: the field, its cell, what is asked, how to answer."""
    name = field or ROW
    end = problem.remedy
    if problem.choices:
        other = ", or its name in the book" if NEW in problem.choices else ""
        end = f"Answer {_either(problem.choices)}{other}."
    return f"{name} ({cell}): {problem.sentence} {end}"


def asked_fields(question: str, known: Collection[str]) -> list[str]:
    """The fields that the question column of a row asks about, in order."""
    found = (_ASKED_LINE.match(line) for line in question.split("\n"))
    return list(dict.fromkeys(match[1] for match in found if match and match[1] in known))


def named_parts(text: str) -> Iterator[str]:
    """The words that stand before a colon in the parts of an answer."""
    for part in _PARTS.split(text):
        if found := _NAMED_PART.fullmatch(part):
            yield found[1].strip()


def parts_of(text: str, names: dict[str, str]) -> tuple[dict[str, str], list[str]]:
    """What is typed as an answer: the parts that name their field, and the others.

    `names` gives the field of each word a person may write before the colon, folded.
    """
    named: dict[str, str] = {}
    loose: list[str] = []
    for part in _PARTS.split(text):
        if not (part := part.strip()):
            continue
        found = _NAMED_PART.fullmatch(part)
        field = names.get(folded(found[1])) if found else None
        if field and found:
            named[field] = found[2].strip()
        elif folded(part) in _LEAVE_ANY:
            named[ROW] = LEAVE
        else:
            loose.append(part)
    return named, loose


def chosen(field: str, text: str, problem: Problem | None) -> str:
    """An answer in the words that are kept: one of the choices, or the text as typed.

    Empty where the answer is about the row or the job and is none of the choices.
    """
    words = " ".join(folded(text).strip(" .!").split())
    if field == ROW:
        return TAKE if words in _TAKE else LEAVE if words in _LEAVE else ""
    if field == JOB:
        return _job(words)
    choices = problem.choices if problem else ()
    offered = [one for one in choices if one != NEW]
    if words in _YES and len(offered) == 1 and len(choices) == 1:
        return offered[0]
    if words in _NEW and (NEW in choices or not choices):
        return NEW
    if problem and problem.code == "circuit-needed":
        text = " ".join(_CIRCUIT.sub(" ", text).split()) or text
    key = squeezed(text)
    alike = [one for one in offered if squeezed(one) == key] or [
        one for one in offered if "/" in one and squeezed(one.rpartition("/")[2]) == key
    ]
    return alike[0] if key and len(alike) == 1 else text.strip()


def _job(words: str) -> str:
    if words in _SAME or _ENTRY.fullmatch(words):
        return SAME
    return BOTH if words in _BOTH else INSTEAD if words in _INSTEAD else ""


def entry_named(text: str) -> int:
    """The entry that an answer about the job names ("entry 41"), 0 where it names none."""
    found = _ENTRY.fullmatch(" ".join(folded(text).split()))
    return int(found[1]) if found else 0


def offers(asked: Sequence[tuple[str, Problem]]) -> tuple[str, ...]:
    """The answers to offer for a row: the choices, or for several questions each with its field."""
    if not asked or not all(problem.choices for _, problem in asked):
        return ()
    if len(asked) == 1:
        return asked[0][1].choices
    told = [[f"{field}: {one}" for one in problem.choices] for field, problem in asked]
    both = ["; ".join(parts) for parts in product(*told)] if len(told) < 4 else []
    return tuple(both) if len(both) <= _MOST_OFFERED else ()


def unclear_answer(text: str, problem: Problem) -> Problem:
    """The question once more, with what was wrong about the answer."""
    return Problem(
        problem.code, f'The answer "{text[:80]}" does not settle it: {problem.sentence}',
        problem.remedy, problem.where, problem.choices, problem.entry,
    )  # fmt: skip


def _either(choices: Iterable[str]) -> str:
    some = list(choices)
    return some[0] if len(some) == 1 else f"{', '.join(some[:-1])} or {some[-1]}"
