"""The checks a description of a site, unit, cylinder or person passes before it is recorded."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from ledger.facts.checks import quoted, retired_problems
from ledger.facts.contents import MIXED
from ledger.facts.facts import Described
from ledger.facts.known import Known
from ledger.facts.life import state_problems
from ledger.facts.limits import LARGEST_ID, LARGEST_MOVEMENT, LARGEST_TEXT
from ledger.facts.loading import loading_problems
from ledger.facts.mass import pounds
from ledger.facts.masters import (
    CERTIFICATIONS,
    FIELDS,
    FULL_CHARGE_METHODS,
    UNKNOWN,
    Field,
    folded,
)
from ledger.facts.problems import Problem

Found = Iterator[Problem]


def description_problems(known: Known, fact: Described) -> Found:
    """Every problem of one description: its name, its fields, and whether it may be new."""
    if fact.kind not in FIELDS:
        yield Problem(
            "value-unclear",
            f'"{fact.kind}" is not a kind of thing in the book.',
            f"Kinds: {', '.join(FIELDS)}.",
        )
        return
    yield from name_problems(fact.kind, fact.name)
    exists = known.master(fact.kind, fact.name)
    today = known.today(known.shop_zone())
    if fact.since > today:
        yield _future("The day it holds from", fact.since, today)
    if fact.kind == "circuit" and fact.new:
        yield from _circuit_of_unit(fact)
    if exists is not None and "place" in fact.fields and "state" not in fact.fields:
        yield from retired_problems(exists, fact.since or today)
    if fact.new and exists is not None and not exists.provisional:
        # The one circuit of a unit goes by the unit's name and is not spoken of.
        kind = "unit" if fact.kind == "circuit" and "/" not in fact.name else fact.kind
        yield Problem(
            "id-taken",
            f"{kind.capitalize()} {exists.name} is in the book (entry {exists.entries[0]}).",
            f"Use another name, or change it with tarebook mend {kind}.",
        )
    yield from _against_contents(known, fact)
    yield from state_problems(known, fact)
    yield from loading_problems(known, fact)
    if fact.new and exists is not None and exists.provisional and not fact.provisional:
        yield from _completed_short(known, fact)
    for name, value in fact.fields.items():
        field = FIELDS[fact.kind].get(name)
        if field is None:
            yield Problem(
                "field-unknown",
                f'A {fact.kind} has no field "{name}".',
                f"Fields: {', '.join(FIELDS[fact.kind])}.",
            )
        elif why := _misfit(field, value):
            yield Problem("value-unclear", f"{name}: {why}.", f"Give {field.help}.")
        elif (heaviest := _heaviest(field, value)) and heaviest[0] > LARGEST_MOVEMENT:
            yield Problem(
                "amount-absurd",
                f"{name}: {heaviest[1]} is more than {pounds(LARGEST_MOVEMENT, 0)} lb.",
                "Check the amount and its unit.",
            )
        elif name in HAPPENED and isinstance(value, str) and UNKNOWN != value > today:
            yield _future(field.help.capitalize(), value, today)


def _completed_short(known: Known, fact: Described) -> Found:
    """A cylinder begun by what was taken from it is not complete before what it held is told."""
    if fact.kind != "cylinder" or fact.fields.get("kind") == "other gas":
        return
    lowest = known.contents(fact.name).lowest_without(set())
    if lowest < 0:
        yield Problem(
            "cylinder-short",
            f"Cylinder {fact.name} is {pounds(-lowest)} lb below nothing by the book: more was"
            " taken from it than is recorded to have come in.",
            "Record what it held first, with tarebook receive or tarebook opening"
            f" {quoted(fact.name)}.",
        )


HAPPENED = frozenset(("installed", "retired", "left", "requalified", "made", "acquired"))
"""Fields with the day of something that has happened; the others may lie ahead."""


def _heaviest(field: Field, value: Any) -> list[Any] | None:
    """The weight in a field that fits, the greater one of a range."""
    if field.shape == "full charge" and isinstance(value, dict):
        value = value.get("high") or value.get("charge")
    return value if field.shape in ("mass", "full charge") and isinstance(value, list) else None


def _future(what: str, day: str, today: str) -> Problem:
    return Problem(
        "date-future", f"{what} is {day}, after today ({today}).", "Enter it when it has happened."
    )


def _circuit_of_unit(fact: Described) -> Found:
    unit = str(fact.fields.get("unit", ""))
    head, slash, letter = fact.name.partition("/")
    if "/" in unit:
        return  # the unit's own name is told
    if folded(head) != folded(unit) or (slash and not letter.strip()):
        yield Problem(
            "value-unclear",
            f"The name {fact.name} does not say that the circuit belongs to unit {unit}.",
            f"Name it {unit}/ and a letter, such as {unit}/A.",
        )


def _against_contents(known: Known, fact: Described) -> Found:
    """A cylinder is not given another refrigerant while it holds one."""
    given = fact.fields.get("refrigerant")
    if fact.kind != "cylinder" or fact.new or not isinstance(given, str) or given == UNKNOWN:
        return
    held = known.contents(fact.name).latest
    if held.total > 0 and held.refrigerant not in (given, MIXED):
        yield Problem(
            "second-refrigerant",
            f"Cylinder {fact.name} holds {pounds(held.total)} lb of {held.refrigerant} by the"
            " book.",
            "Correct what was put into it (tarebook reverse), or record it empty first.",
        )


def name_problems(kind: str, name: str) -> Found:
    """A name is one line of printable text that is not too long."""
    if not name.strip() or len(name) > LARGEST_ID or not name.isprintable():
        yield Problem(
            "text-unfit",
            f"The name of a {kind} is one printable line of 1 to {LARGEST_ID} characters.",
            "Shorten or retype it.",
        )
    elif kind in ("unit", "circuit", "cylinder") and name != name.strip():
        yield Problem("text-unfit", f"The name {name!r} begins or ends with a space.", "Retype it.")
    elif kind == "unit" and "/" in name:
        yield Problem(
            "text-unfit",
            f"The unit name {name} holds a slash, which separates a unit from its circuit.",
            "Use another sign.",
        )


def _misfit(field: Field, value: Any) -> str:
    """Why a value does not fit its field; empty where it does."""
    if value in (UNKNOWN, ""):
        return ""
    check = _SHAPES.get(field.shape)
    if field.choices and value not in field.choices:
        return f"{value!r} is none of {', '.join(field.choices)}"
    return check(value) if check else ""


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > LARGEST_TEXT:
        return f"text of up to {LARGEST_TEXT} characters is expected"
    return "" if value.replace("\n", " ").isprintable() else "it holds control characters"


def _day(value: Any) -> str:
    try:
        date.fromisoformat(value)
    except (TypeError, ValueError):
        return f"{value!r} is not a date"
    return ""


def _mass(value: Any) -> str:
    good = isinstance(value, list) and len(value) == 2 and isinstance(value[0], int)
    if good and value[0] > 0:
        return ""
    return f"{value[1] if good else repr(value)} is not a weight above zero"


def _whole(value: Any) -> str:
    return "" if isinstance(value, int) and value >= 0 else f"{value!r} is not a whole number"


def _zone(value: Any) -> str:
    try:
        ZoneInfo(value)
    except (ZoneInfoNotFoundError, ValueError, TypeError, OSError):
        return f"{value!r} is not a time zone such as America/Chicago"
    return ""


def _full_charge(value: Any) -> str:
    if not isinstance(value, dict) or value.get("method") not in FULL_CHARGE_METHODS:
        return f"the method is one of {', '.join(FULL_CHARGE_METHODS)}"
    if value["method"] != "range":
        return _mass(value.get("charge"))
    low, high = value.get("low"), value.get("high")
    if why := _mass(low) or _mass(high):
        return why
    return (
        "" if low and high and low[0] < high[0] else "the range runs from the lower to the higher"
    )


def _certification(value: Any) -> str:
    if not isinstance(value, dict) or value.get("type") not in CERTIFICATIONS:
        return f"the type is one of {', '.join(CERTIFICATIONS)}"
    return ""


_SHAPES = {
    "text": _text,
    "name": _text,
    "day": _day,
    "mass": _mass,
    "whole": _whole,
    "cents": _whole,
    "zone": _zone,
    "full charge": _full_charge,
    "certification": _certification,
    "refrigerant": _text,
}
