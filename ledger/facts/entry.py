"""An entry: what one person recorded at one moment, its canonical text and its digest."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from operator import is_
from typing import Any

import orjson

from ledger.facts.facts import Body, Fact, fact_body, fact_of

BODY_VERSION = 1
DIGEST_VERSION = "tarebook entry 1"
GENESIS = "0" * 64
"""The previous digest of the first entry."""

_PLAIN = (
    orjson.OPT_SORT_KEYS | orjson.OPT_PASSTHROUGH_DATACLASS | orjson.OPT_PASSTHROUGH_DATETIME
    | orjson.OPT_PASSTHROUGH_SUBCLASS
)  # fmt: skip
_ENCODER = json.JSONEncoder(
    # What is written holds no circles: a fact is built of what it holds.
    ensure_ascii=False, check_circular=False, sort_keys=True, separators=(",", ":"),
    allow_nan=False,
)  # fmt: skip


def canonical(value: Any) -> str:
    """The one JSON text of a value: sorted keys, no spaces, text as it is."""
    try:
        return orjson.dumps(value, option=_PLAIN).decode()
    except TypeError:
        # Whole numbers beyond 64 bits, and what has no canonical text and is told apart later.
        return _ENCODER.encode(value)


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry before it has a number: what a command or an import row asks to record.

    `key` is chosen by the caller and makes a retry safe. `occurred_on` is the ISO date at
    the site, `occurred_time` "HH:MM" or empty, `zone` the IANA zone of the place. `person`
    did it, `supervisor` is the certified technician an apprentice worked under; who typed it
    (the actor) is known to the book. `source` tells where a row came
    from and is not part of the content that a key stands for.
    """

    key: str
    verb: str
    occurred_on: str
    facts: tuple[Fact, ...]
    person: str = ""
    occurred_time: str = ""
    zone: str = ""
    ticket: str = ""
    note: str = ""
    source: str = ""
    supervisor: str = ""

    def body(self) -> Body:
        """The versioned journal body."""
        body: Body = {
            "v": BODY_VERSION,
            "verb": self.verb,
            "facts": [fact_body(fact) for fact in self.facts],
        }
        for name in ("ticket", "note", "source", "supervisor"):
            if text := getattr(self, name):
                body[name] = text
        return body


def with_facts(draft: Draft, facts: list[Fact]) -> Draft:
    """The draft with these facts; the draft itself where they are the ones it has."""
    if len(facts) == len(draft.facts) and all(map(is_, facts, draft.facts)):
        return draft
    return recast(draft, facts, draft.person, draft.supervisor, draft.zone)


def recast(draft: Draft, facts: Iterable[Fact], person: str, supervisor: str, zone: str) -> Draft:
    """The draft with its facts, people and zone as they are to be recorded."""
    # Spelled out, because every recorded draft passes here.
    return Draft(
        draft.key, draft.verb, draft.occurred_on, tuple(facts), person, draft.occurred_time,
        zone, draft.ticket, draft.note, draft.source, supervisor,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Entry:
    """A recorded entry: one row of the journal, exactly as it stands.

    `recorded_at` is UTC, "2026-03-30T16:05:09.123456Z". `origin_*` name the book where the
    entry was first recorded, its number and digest there (its own for an entry made here:
    number 0 and an empty digest).
    """

    number: int
    key: str
    occurred_on: str
    occurred_time: str
    zone: str
    recorded_at: str
    actor: str
    person: str
    origin_book: str
    origin_number: int
    origin_digest: str
    body: str
    previous: str
    digest: str

    def content(self) -> Body:
        """The body as a value."""
        content: Body = json.loads(self.body)
        return content

    def facts(self) -> tuple[Fact, ...]:
        """The facts of the entry, in line order (line 0 first)."""
        return tuple(fact_of(body) for body in self.content()["facts"])


def digest_of(previous: str, header: tuple[Any, ...], body: str) -> str:
    """SHA-256 over the versioned canonical encoding of the chain link.

    `header` is (number, key, occurred_on, occurred_time, zone, recorded_at, actor, person,
    origin_book, origin_number, origin_digest); `body` the canonical body text.
    """
    link = [DIGEST_VERSION, previous, *header, body]
    try:
        text = orjson.dumps(link, option=_PLAIN)
    except TypeError:
        text = _ENCODER.encode(link).encode("utf-8")
    return hashlib.sha256(text).hexdigest()
