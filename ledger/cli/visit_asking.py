"""Asks for a visit in the order things happen, and keeps the answers until it is recorded.

The answers are written beside the book after each question, so that a closed terminal loses
nothing: the next `tarebook visit` offers them again, and Enter keeps each.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any, NamedTuple

import typer

DRAFT = ".tarebook-visit.json"
"""The file that keeps the answers, beside the book or in the current folder."""


class Question(NamedTuple):
    """One question: the parameter it fills, its words, whether it may have several answers.

    `unless` names a parameter that makes it needless where it was answered.
    """

    name: str
    words: str
    several: bool = False
    unless: str = ""


QUESTIONS = (
    Question("circuit", "Unit or circuit"),
    Question("by", "Who did the work"),
    Question("ticket", "Ticket"),
    Question("arrived", "Arrived at, such as 13:40"),
    Question("complaint", "What the customer said"),
    Question("before", "A reading on arrival, such as suction=118", True),
    Question("search", "How it was looked for leaks (nothing: it was not)"),
    Question("places", "Where a leak was found", True),
    Question("declined_by", "Who did not want a leak search", unless="search"),
    Question("told", "Pounds the customer was told, such as 2 to 4"),
    Question("agreed_by", "Who said yes"),
    Question("agreed_at", "When, such as 14:05"),
    Question("charges", "Cylinder and gross weights, such as 410-17=31.4,30.2,29.15", True),
    Question("recoveries", "Into which cylinder, such as RC-2=31.2,31.5; none=0 for a try", True),
    Question("repaired", "A leak that was repaired, such as flare=remade", True),
    Question("tested", "Initial test of the repairs, pass or fail", unless=""),
    Question("work", "Part and what was done, such as contactor=replaced", True),
    Question("after", "A reading on leaving, such as subcooling=8", True),
    Question("departed", "Departed at"),
    Question("outcome", "How it was left"),
    Question("signed_by", "Who signed for the customer"),
)
"""The questions, in the order in which a job goes."""


def on_terminal() -> bool:
    """Whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def draft_file(book: str) -> Path:
    """Where the answers are kept: beside a book that is a file, else in the current folder."""
    place = Path(book) if book and "://" not in book else Path("tarebook.db")
    return place.parent / DRAFT


def kept(file: Path) -> dict[str, Any]:
    """The answers of a visit that was begun and not recorded; empty where there are none."""
    try:
        found = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    known = {question.name for question in QUESTIONS}
    return {name: value for name, value in found.items() if name in known}


def asked(book: str, given: dict[str, Any]) -> dict[str, Any]:
    """Every question that was not answered by an option, asked; the answers by parameter."""
    file = draft_file(book)
    before = kept(file)
    if before:
        typer.echo(f"A visit was begun and not recorded ({file.name}); Enter keeps an answer.")
    typer.echo("Enter passes over a question.")
    answers = dict(given)
    for question in QUESTIONS:
        if given.get(question.name) or (question.unless and answers.get(question.unless)):
            continue
        answers[question.name] = _ask(question, before.get(question.name))
        _keep(file, answers)
    return answers


def _ask(question: Question, before: Any) -> Any:
    """One answer, or a list of them where there may be several; an empty one ends the list."""
    if not question.several:
        return _line(question.words, str(before or ""))
    found: list[str] = []
    earlier = [str(part) for part in before or []]
    while True:
        default = earlier[len(found)] if len(found) < len(earlier) else ""
        answer = _line(question.words if not found else "Another", default)
        if not answer:
            return found
        found.append(answer)


def _line(words: str, default: str) -> str:
    answer: str = typer.prompt(words, default=default, show_default=bool(default))
    return answer.strip()


def _keep(file: Path, answers: dict[str, Any]) -> None:
    """Write the answers so far; a folder that cannot be written costs the draft, not the visit."""
    told = {name: value for name, value in answers.items() if value}
    draft = file.with_suffix(".part")
    try:
        draft.write_text(json.dumps(told, ensure_ascii=False, indent=1), encoding="utf-8")
        draft.replace(file)
    except OSError:
        return


def done(book: str) -> None:
    """The visit is recorded: the answers are no longer needed."""
    draft_file(book).unlink(missing_ok=True)
