"""A book's own readings, laid over a pack: where the text is silent, a shop may choose for itself.

Only an interpretation can be overridden, and only by a reading the program knows or by a whole
number in place of one. Each overridden value says by which entry.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from ledger.law.loader import Pack, Rule, RuleError, RuleValue, Value


class Override(NamedTuple):
    """One reading as a book recorded it: rule ("net-same-event", or "PACK/RULE" for one pack
    only), value as written, reason, and the number of the entry."""

    name: str
    value: str
    why: str = ""
    entry: int = 0

    def reaches(self, pack: str, rule: str) -> bool:
        """Whether it speaks of a rule of a pack."""
        return self.name in (rule, f"{pack}/{rule}")


class _Laid(Mapping[str, Rule]):
    """The rules of a pack with the overridden ones in place; the others are read as before."""

    def __init__(self, under: Mapping[str, Rule], over: Mapping[str, Rule]) -> None:
        self._under = under
        self._over = over

    def __getitem__(self, name: str) -> Rule:
        return self._over[name] if name in self._over else self._under[name]

    def __contains__(self, name: object) -> bool:
        return name in self._under

    def __iter__(self) -> Iterator[str]:
        return iter(self._under)

    def __len__(self) -> int:
        return len(self._under)


def with_overrides(pack: Pack, overrides: Iterable[Override]) -> Pack:
    """The pack with a book's readings in place, each marked; the pack itself is not changed.

    The last of several for one rule holds. RuleError for a rule that is no interpretation or a
    reading the program does not know; a rule of another pack is passed by.
    """
    chosen: dict[str, Override] = {}
    for one in overrides:
        name = one.name.removeprefix(f"{pack.name}/")
        if name in pack.rules and one.reaches(pack.name, name):
            chosen[name] = one
    if not chosen:
        return pack
    over = {name: _overridden(pack, pack.rules[name], one) for name, one in chosen.items()}
    return replace(pack, rules=_Laid(pack.rules, over))


def check(packs: Iterable[Pack], override: Override) -> tuple[str, ...]:
    """The rules ("PACK/RULE") an override would reach; RuleError where none, or not that way."""
    reached = []
    for pack in packs:
        name = override.name.removeprefix(f"{pack.name}/")
        if name in pack.rules and override.reaches(pack.name, name):
            _overridden(pack, pack.rules[name], override)
            reached.append(f"{pack.name}/{name}")
    if not reached:
        raise RuleError(f"{override.name}: no pack has a rule of that name.")
    return tuple(reached)


def _overridden(pack: Pack, rule: Rule, override: Override) -> Rule:
    where = f"{pack.name}/{rule.name}"
    if all(value.evidence != "interpretation" for value in rule.values):
        raise RuleError(f"{where}: it is in the text ({rule.values[-1].cite}), not a reading.")
    return rule._replace(values=tuple(_marked(where, value, override) for value in rule.values))


def _marked(where: str, value: RuleValue, override: Override) -> RuleValue:
    if value.evidence != "interpretation":
        return value
    own = f"; {override.why.rstrip('.')}" if override.why else ""
    return value._replace(
        value=_read(where, value, override.value),
        reason=f"overridden by entry {override.entry}{own}",
        overridden=override.entry,
        was=None,
        corrected_on=None,
    )


def _read(where: str, value: RuleValue, text: str) -> Value:
    if value.choices:
        for choice in value.choices:
            if choice.casefold() == text.strip().casefold():
                return choice
        raise RuleError(f"{where}: {text!r} is not one of: {'; '.join(value.choices)}.")
    if isinstance(value.value, int) and not isinstance(value.value, bool):
        if text.strip().isascii() and text.strip().isdigit():
            return int(text)
        raise RuleError(f"{where}: {text!r} is not a whole number of {value.unit}.")
    raise RuleError(f"{where}: the program knows one reading of it.")
