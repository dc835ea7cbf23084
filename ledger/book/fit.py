"""Keeps out of the journal what it could not give back exactly on both engines."""

from __future__ import annotations

from typing import Any

from ledger.book.projections import LARGEST_COUNT, Rows
from ledger.facts.entry import canonical, digest_of
from ledger.facts.facts import Body
from ledger.facts.limits import LARGEST_BODY
from ledger.facts.problems import Refused, refuse

_FREE_FORM = frozenset(("described", "setting"))
"""The fact types whose values come from outside in any shape."""


def clean(text: str) -> str:
    """The text, unless it holds what PostgreSQL or UTF-8 cannot keep."""
    if "\0" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
        raise _unfit("A text of the entry holds a character that cannot be kept.")
    return text


def _unfit(sentence: str) -> Refused:
    return refuse("text-unfit", sentence, "Type the text again, shorter or without it.")


def canonical_text(body: Body) -> str:
    """The canonical text of a body that holds only what a body may hold.

    Refused with `value-unclear` for a value that is neither text nor a whole number,
    `text-unfit` for what is too long or holds a character that cannot be kept.
    """
    for fact in body["facts"]:
        if fact["type"] in _FREE_FORM:
            _check_exact(fact)
    text = canonical(body)
    if len(text) > LARGEST_BODY:
        raise _unfit(f"The entry holds more than {LARGEST_BODY:,} characters.")
    if "\\u0000" in text:
        _check_texts(body)
    return text


def _check_exact(value: Any) -> None:
    """Only text, whole numbers, lists and objects with text keys have one canonical form."""
    if type(value) is dict:
        for name, part in value.items():
            if type(name) is not str:
                raise _inexact(name)
            _check_exact(part)
    elif type(value) is list or type(value) is tuple:
        for part in value:
            _check_exact(part)
    elif type(value) is not str and type(value) is not int:
        raise _inexact(value)


def _inexact(value: Any) -> Refused:
    return refuse(
        "value-unclear",
        f"The value {value!r} is neither text nor a whole number.",
        "Write a whole number, or the amount as text.",
    )


def _check_texts(value: Any) -> None:
    if isinstance(value, str):
        clean(value)
    elif isinstance(value, dict):
        _check_texts([*value.keys(), *value.values()])
    elif isinstance(value, (list, tuple)):
        for part in value:
            _check_texts(part)


def checked_digest(previous: str, header: tuple[Any, ...], body: str) -> str:
    """The digest of an entry whose texts both engines can keep, else Refused `text-unfit`."""
    try:
        digest = digest_of(previous, header, body)
    except UnicodeEncodeError:
        raise _unfit("A text of the entry holds half a character.") from None
    for text in header[1:9]:
        if "\0" in text:
            clean(text)
    return digest


_COUNTS = (("movement", 11), ("weighing", 6))
"""The tables that hold a mass, with its place in their rows."""


def check_counts(rows: Rows) -> None:
    """Refused with `amount-absurd` where a mass is more than 64 bits hold."""
    for table, place in _COUNTS:
        for row in rows.get(table, ()):
            if not -LARGEST_COUNT <= row[place] <= LARGEST_COUNT:
                raise refuse(
                    "amount-absurd",
                    f"The amount {row[place + 1]} is more than a book can hold.",
                    "Check the amount and its unit.",
                )
