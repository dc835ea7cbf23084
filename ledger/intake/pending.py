"""What an import carries from step to step: a row on its way, and the tools of a unit of work."""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger.book.record import Recorder
from ledger.facts.problems import Problem
from ledger.intake.directory import Directory
from ledger.intake.drafts import Drafter


@dataclass(slots=True)
class Pending:
    """A row on its way, and why it could not be recorded yet where it waits for the others."""

    index: int
    key: str
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    answered: bool = False


@dataclass(slots=True)
class Work:
    """What one unit of work shares: the recorder, its directory and its drafter."""

    recorder: Recorder
    directory: Directory
    drafter: Drafter
    today: str
