"""Checks that each entry is what was recorded: number, link, digest, order, canonical body."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NoReturn

from ledger.facts.entry import BODY_VERSION, GENESIS, canonical, digest_of
from ledger.facts.facts import Body
from ledger.facts.problems import Problem

RESTORE = "Keep the book as it is, restore the last backup and compare the two with verify."


def damage(where: str, sentence: str) -> Problem:
    """A problem of the journal itself, which nothing but a backup mends."""
    return Problem("book-damaged", sentence, RESTORE, where)


def _no_float(text: str) -> NoReturn:
    raise ValueError(f"{text} is not a whole number")


_DECODER = json.JSONDecoder(parse_float=_no_float, parse_constant=_no_float)


@dataclass(slots=True)
class Chain:
    """Walks journal rows in number order, from the row after `number`.

    `digest` and `recorded_at` are those of the entry before the first row; `problems`
    gathers what does not fit.
    """

    number: int = 0
    digest: str = GENESIS
    recorded_at: str = ""
    problems: list[Problem] = field(default_factory=list)

    def walk(self, rows: list[tuple[Any, ...]]) -> Iterator[tuple[tuple[Any, ...], Body]]:
        """Each journal row with its parsed body; rows whose body is unreadable are left out."""
        for row in rows:
            number, previous, digest = row[0], row[12], row[13]
            if number != self.number + 1:
                self._gap(number)
            if previous != self.digest:
                self._say(number, "does not continue the entry before it")
            if digest_of(previous, row[:11], row[11]) != digest:
                self._say(number, "is not what was recorded: its digest does not match")
            if row[5] < self.recorded_at:
                self._say(number, "was recorded before the entry before it")
            self.number, self.digest, self.recorded_at = number, digest, row[5]
            body = self._body(number, row[11])
            if body is not None:
                yield row, body

    def _body(self, number: int, text: str) -> Body | None:
        try:
            body: Body = _DECODER.decode(text)
            if canonical(body) != text:
                self._say(number, "has a body that is not in its canonical form")
            elif body["v"] != BODY_VERSION:
                self._say(number, f"has a body of version {body['v']}, unknown to this program")
            elif ("true" in text or "false" in text or "null" in text) and _has_other(body):
                self._say(number, "has a body with more than text and whole numbers in it")
        except (ValueError, KeyError, TypeError, RecursionError) as error:
            self._say(number, f"has a body that cannot be read ({error})")
            return None
        return body

    def _gap(self, number: int) -> None:
        first, last = self.number + 1, number - 1
        span = f"Entry {first} is" if first == last else f"Entries {first} to {last} are"
        self.problems.append(damage(f"journal entry {first}", f"{span} missing."))

    def _say(self, number: int, what: str) -> None:
        self.problems.append(damage(f"journal entry {number}", f"Entry {number} {what}."))


def _has_other(value: Any) -> bool:
    if isinstance(value, dict):
        return any(_has_other(part) for part in value.values())
    if isinstance(value, list):
        return any(_has_other(part) for part in value)
    return isinstance(value, bool) or value is None
