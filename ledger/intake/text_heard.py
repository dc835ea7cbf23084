"""What came of a message: proposed movements, questions, and what each word was taken for."""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.facts.facts import Evidence
from ledger.facts.mass import Quantity
from ledger.facts.problems import Problem


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that has to be asked: its kind, the words it is about, and the problem.

    Kinds: unit, circuit, cylinder, amount, weights, refrigerant, verb, word, day, person. One that
    is not `named` only says that a word is unknown.
    """

    kind: str
    about: str
    problem: Problem
    named: bool = True


@dataclass(frozen=True, slots=True)
class Move:
    """One proposed movement; `verb` is charge, recover or transfer.

    For a transfer `circuit` is empty and `target` the cylinder it goes into.
    """

    verb: str
    circuit: str
    cylinder: str
    refrigerant: str
    net: Quantity
    evidence: Evidence
    target: str = ""


@dataclass(slots=True)
class Heard:
    """What came of a message.

    `taken` says word for word what each was taken for; `aside` are readings and work that no
    entry records. Exactly one of moves, questions and nothing is there.
    """

    message: str
    moves: list[Move] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    taken: list[tuple[str, str]] = field(default_factory=list)
    aside: list[str] = field(default_factory=list)
    on: str = ""
    by: str = ""
    ticket: str = ""

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to record and nothing to ask."""
        return not (self.moves or self.questions)

    @property
    def problems(self) -> list[Problem]:
        """The questions as they are printed: words that are not understood in one."""
        words = [one for one in self.questions if one.kind == "word" and not one.named]
        told = [one.problem for one in self.questions if one not in words]
        if not words:
            return told
        listed = ", ".join(f'"{one.about}"' for one in words)
        verb = "is not understood and may" if len(words) == 1 else "are not understood and may"
        return [
            Problem("value-unclear", f"{listed} {verb} change what is meant.",
                    "Say it in other words, or leave it out."),
            *told,
        ]  # fmt: skip
