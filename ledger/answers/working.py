"""How any computed figure explains itself: formula, inputs with entry numbers, rules, notes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

OVERRIDE = "override"
"""The mark of a reading that a book put in place of the project's own."""

EVIDENCE_WORDS: dict[str, str] = {
    "read": "text read",
    "read-2015": "2015 edition read",
    "secondary": "from a summary, text not read",
    "memory": "from memory, text not read",
    "interpretation": "this project's choice where the text is silent",
    OVERRIDE: "this book's own choice where the text is silent",
}
"""What each evidence mark means, in print."""


class RuleRef(NamedTuple):
    """One value of the law that a figure leans on, as it is printed.

    `rule` is pack and name ("us-federal-84c/annual-days-cap"), `value` the value with its
    unit, `cite` the paragraph, `evidence` a key of EVIDENCE_WORDS, `reason` why the project
    chose so where the text is silent, `title` what the rule is about.
    """

    rule: str
    value: str
    cite: str
    evidence: str
    reason: str = ""
    title: str = ""

    def line(self) -> str:
        """The reference in one line of print."""
        about = f"{self.title}: " if self.title else ""
        mark = "" if self.evidence == "read" else f" [{EVIDENCE_WORDS[self.evidence]}]"
        reason = f" Reason: {self.reason}." if self.reason else ""
        return f"{about}{self.value}; {self.cite}{mark} ({self.rule}).{reason}"


class Input(NamedTuple):
    """One input of a figure: what it is, its value in words, the entries it was read from."""

    label: str
    value: str
    entries: tuple[int, ...] = ()

    def line(self) -> str:
        """The input in one line of print."""
        if not self.entries:
            return f"{self.label}: {self.value}"
        word = "entry" if len(self.entries) == 1 else "entries"
        return f"{self.label}: {self.value} ({word} {', '.join(map(str, self.entries))})"


@dataclass(frozen=True, slots=True)
class Working:
    """The whole explanation of one computed figure.

    `title` says which figure, `formula` the sum in words, `result` the answer in words;
    `inputs`, `rules` and `notes` are printed in the order given.
    """

    title: str
    formula: str
    inputs: tuple[Input, ...]
    result: str
    rules: tuple[RuleRef, ...] = ()
    notes: tuple[str, ...] = ()

    def to_lines(self) -> list[str]:
        """The working as lines of plain text, details indented by two spaces."""
        lines = [self.title, f"  {self.formula}"]
        lines += [f"  {part.line()}" for part in self.inputs]
        lines.append(f"  = {self.result}")
        lines += [f"  rule: {rule.line()}" for rule in self.rules]
        lines += [f"  note: {note}" for note in self.notes]
        return lines

    def to_json(self) -> dict[str, Any]:
        """The working as plain lists, objects, text and whole numbers."""
        return {
            "title": self.title,
            "formula": self.formula,
            "inputs": [{**part._asdict(), "entries": list(part.entries)} for part in self.inputs],
            "result": self.result,
            "rules": [rule._asdict() for rule in self.rules],
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True)
class Figure:
    """A computed value in words, with its working built only when somebody asks for it."""

    text: str
    explain: Callable[[], Working]

    def working(self) -> Working:
        """Build the working now."""
        return self.explain()
