"""Makes the rows of the query tables from the body of an entry: pure, one entry at a time.

The functions read the parsed canonical body, not the fact records, because verify makes every
row of the book again and compares it. Each row is a tuple in the column order of the schema.
"""

from __future__ import annotations

from typing import Any

from ledger.facts.entry import canonical
from ledger.facts.facts import Body
from ledger.facts.masters import folded

Row = tuple[Any, ...]
Rows = dict[str, list[Row]]

LARGEST_COUNT = 2**63 - 1
"""The largest whole number that both engines can keep in a column."""


def project(number: int, occurred_on: str, occurred_time: str, person: str, body: Body) -> Rows:
    """The rows of one entry by query table, in line order; tables without a row are left out.

    KeyError, TypeError or ValueError where the body is not one that this version can write.
    """
    rows: Rows = {}
    ticket = body.get("ticket", "")
    for line, fact in enumerate(body["facts"]):
        kind = fact["type"]
        if kind == "movement":
            head = (number, line, occurred_on, occurred_time, person, ticket)
            rows.setdefault("movement", []).append(_movement(head, fact))
            if "evidence" in fact:
                seen = _weights(number, line, occurred_on, occurred_time, fact)
                if seen:
                    rows.setdefault("weighing", []).extend(seen)
        elif kind == "weighing":
            counts, written = fact["gross"]
            rows.setdefault("weighing", []).append((
                number, line, 0, occurred_on, occurred_time, fact["cylinder"], counts, written,
                fact.get("scale", ""), "alone", fact.get("state", ""),
            ))  # fmt: skip
        elif kind == "described":
            name = fact["name"]
            rows.setdefault("described", []).append((
                number, line, occurred_on, fact["kind"], name, folded(name),
                fact.get("since", ""), fact.get("provisional", ""), canonical(fact["fields"]),
            ))  # fmt: skip
        elif kind == "reversal":
            target = fact["entry"]
            lines = sorted(fact["lines"])
            rows.setdefault("reversal", []).extend((number, target, part) for part in lines)
        else:
            subject = _subject(kind, number, fact)
            rows.setdefault("service", []).append(
                (number, line, occurred_on, occurred_time, kind, subject, canonical(fact))
            )
            if kind == "counted" and "gross" in fact:
                # A count puts the cylinder on a scale: its weight is a weighing like any other.
                counts, written = fact["gross"]
                rows.setdefault("weighing", []).append((
                    number, line, 0, occurred_on, occurred_time, fact["cylinder"], counts,
                    written, fact.get("scale", ""), "alone", "",
                ))  # fmt: skip
    if len(rows.get("reversal", ())) > 1:
        rows["reversal"].sort()
    return rows


def _movement(head: Row, fact: Body) -> Row:
    source_kind, _, source_name = fact["source"].partition(":")
    target_kind, _, target_name = fact["target"].partition(":")
    counts, written = fact["mass"]
    get = fact.get
    evidence = get("evidence")
    return (
        *head, source_kind, source_name, target_kind, target_name, fact["refrigerant"],
        counts, written, get("stock", ""), get("owner", ""), fact["purpose"], get("claim", ""),
        get("amount", ""), get("cause", ""), evidence["how"] if evidence else "",
        ",".join(get("although", ())),
    )  # fmt: skip


def _weights(number: int, line: int, occurred_on: str, occurred_time: str, fact: Body) -> list[Row]:
    """The gross weights behind a movement, in the order they were read.

    The cylinder on the scale is the one drawn from, else the one filled.
    """
    for end in (fact["source"], fact["target"]):
        kind, _, cylinder = end.partition(":")
        if kind == "cylinder":
            break
    else:
        return []
    evidence = fact["evidence"]
    seen = [("before", evidence["before"])] if "before" in evidence else []
    seen += [("reading", reading) for reading in evidence.get("readings", ())]
    seen += [("after", evidence["after"])] if "after" in evidence else []
    scale = evidence.get("scale", "")
    return [
        (
            number, line, part, occurred_on, occurred_time, cylinder, counts, written, scale,
            moment, "",
        )
        for part, (moment, (counts, written)) in enumerate(seen)
    ]  # fmt: skip


_SUBJECTS = {
    "attempt": ("circuit", "circuit"),
    "unknown addition": ("circuit", "circuit"),
    "same leak": ("circuit", "circuit"),
    "repair": ("circuit", "circuit"),
    "test": ("circuit", "circuit"),
    "visit": ("circuit", "circuit"),
    "brought forward": ("circuit", "circuit"),
    "receipt": ("cylinder", "cylinder"),
    "check weight": ("scale", "scale"),
    "handover": ("cylinder", "cylinder"),
    "shipped": ("cylinder", "cylinder"),
    "empty statement": ("cylinder", "cylinder"),
    "deposit credit": ("cylinder", "cylinder"),
    "deposit line": ("party", "supplier"),
    "reclaimer paper": ("shipment", "shipment"),
    "counted": ("cylinder", "cylinder"),
    "explained": ("cut-off", "cut_off"),
    "closed": ("cut-off", "cut_off"),
}
"""Fact types that are about one thing: its kind, and the member that names it."""


def _subject(kind: str, number: int, fact: Body) -> str:
    """What a service fact is about, as the text its row is found by."""
    about = _SUBJECTS.get(kind)
    if about is not None:
        return f"{about[0]}:{fact[about[1]]}"
    if kind == "joined":
        return f"{fact['kind']}:{fact['name']}"
    if kind == "setting":
        return f"setting:{fact['setting']}/{fact['key']}"
    if kind == "decision":
        return str(fact["subject"])
    if kind == "event":
        about_kind = "site" if "site" in fact else "circuit"
        return f"{about_kind}:{fact[about_kind]}"
    if kind == "attachment":
        return f"entry:{fact.get('about', 0) or number}"
    raise KeyError(kind)
