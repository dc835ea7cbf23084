"""What can be asked of the rules themselves: a list, a history, a comparison, what to check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import NamedTuple

from ledger.law.for_rates import value_text
from ledger.law.loader import Pack, Rule, RuleValue


class Line(NamedTuple):
    """A rule with one of its values; None where it has none on the day asked."""

    pack: Pack
    rule: Rule
    value: RuleValue | None


class Change(NamedTuple):
    """A rule whose value differs between two days."""

    pack: Pack
    rule: Rule
    before: RuleValue | None
    after: RuleValue | None


def in_force(packs: Sequence[Pack], on: date, known_at: date | None = None) -> Iterator[Line]:
    """Every rule with the value in force on a day; rules without one are left out."""
    for pack in packs:
        for name in sorted(pack.rules):
            found = pack.value(name, on, known_at)
            if found is not None:
                yield Line(pack, pack.rules[name], found)


def history(packs: Sequence[Pack], name: str) -> Iterator[Line]:
    """Every value of a rule in every pack that has it; `name` may be "PACK/RULE"."""
    for pack in packs:
        short = name.removeprefix(f"{pack.name}/")
        if short in pack.rules:
            for value in pack.rules[short].values:
                yield Line(pack, pack.rules[short], value)


def compared(packs: Sequence[Pack], one: date, other: date) -> Iterator[Change]:
    """Every rule that says something else on the second day than on the first.

    A value that only moved to another paragraph, or whose mark changed, is no change.
    """
    for pack in packs:
        for name in sorted(pack.rules):
            before, after = pack.value(name, one), pack.value(name, other)
            if _said(before) != _said(after):
                yield Change(pack, pack.rules[name], before, after)


def to_check(packs: Sequence[Pack], on: date | None = None) -> Iterator[Line]:
    """Every value not marked `read`, weakest first; only those in force on a day if given."""
    order = ("memory", "secondary", "read-2015", "interpretation")
    found = [
        Line(pack, pack.rules[name], value)
        for pack in packs
        for name in sorted(pack.rules)
        for value in pack.rules[name].values
        if value.evidence != "read" and (on is None or _holds(value, on))
    ]
    yield from sorted(found, key=lambda line: _rank(line, order))


def _rank(line: Line, order: tuple[str, ...]) -> int:
    return order.index(line.value.evidence) if line.value else len(order)


def _said(value: RuleValue | None) -> str:
    return value_text(value) if value else ""


def _holds(value: RuleValue, on: date) -> bool:
    return value.from_ <= on and (value.to is None or on <= value.to)
