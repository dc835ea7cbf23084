"""Draws the law of leak rates out of the federal packs as the compact table the answers use."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import lru_cache
from typing import Any

from ledger.answers.leak_law import CATEGORIES, CLAIMS, NO_RULE, LawTable, RateLaw
from ledger.answers.working import OVERRIDE, RuleRef
from ledger.law.loader import FEDERAL_82F, FEDERAL_84C, Pack, RuleError, RuleValue, load_pack
from ledger.law.overrides import Override, with_overrides

NET_SAME_EVENT = "net-same-event"
"""The reading a book may choose that leak rates lean on."""

_NAMES = (
    "annual-days-cap", "rolling-window", "rolling-reset", "same-leak-grouping", "calc-exempt",
    "first-calc-annualizing", "first-calc-rolling", "repair-days", "repair-days-shutdown",
    "repair-anchor", "trigger-test", "net-same-event", "last-addition-day", "seasonal-unit",
    "seasonal-balance", "window-365", "full-charge-day", "episode", "followup-day-add",
    "first-calc-82", "first-calc-order", "first-calc-rolling-pounds", "later-rolling",
    "episode-first-calc",
)  # fmt: skip


def trigger_rule(category: str) -> str:
    """The name of the rule that holds a category's applicable leak rate."""
    return f"trigger-{category.replace(' ', '-')}"


def rule_ref(pack: Pack, found: RuleValue) -> RuleRef:
    """A value of the law as a working prints it."""
    return RuleRef(
        rule=f"{pack.name}/{found.rule}",
        value=value_text(found),
        cite=found.cite,
        evidence=OVERRIDE if found.overridden else found.evidence,
        reason=found.reason,
        title=pack.rules[found.rule].title,
    )


def value_text(found: RuleValue) -> str:
    """A value with its edge and unit in words: "at least 15 lb", "20 % a year"."""
    value = found.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(value)
    if isinstance(value, int):
        return f"{found.edge} {value} {found.unit}".strip()
    return str(value)


@lru_cache(maxsize=16)
def _table(overrides: tuple[Override, ...], known_at: date | None) -> LawTable:
    packs = [with_overrides(load_pack(name), overrides) for name in (FEDERAL_82F, FEDERAL_84C)]
    starts: dict[str, tuple[int, ...]] = {}
    laws: dict[str, tuple[RateLaw, ...]] = {}
    for pack in packs:
        days = _days(pack)
        starts[pack.subpart] = tuple(day.toordinal() for day in days)
        laws[pack.subpart] = tuple(_law(pack, day, known_at) for day in days)
    starts[NO_RULE] = starts["82"]
    laws[NO_RULE] = tuple(_without_rule(law) for law in laws["82"])
    net = laws["82"][-1].rules[NET_SAME_EVENT].value == "net"
    return LawTable(starts, laws, net, tuple(pack.stamp for pack in packs))


def law_for_rates(overrides: Iterable[Override] = (), known_at: date | None = None) -> LawTable:
    """The leak-rate law of both federal subparts, built once for each choice.

    `overrides` holds a book's own readings; those that no leak rate leans on are passed by.
    `known_at` gives the figures as this program had them on an earlier day.
    """
    chosen = leaned_on(overrides)
    if any("/" in one.name for one in chosen):
        raise RuleError(f"{NET_SAME_EVENT}: one reading for both subparts, without a pack's name.")
    return _table(chosen, known_at)


def leaned_on(overrides: Iterable[Override]) -> tuple[Override, ...]:
    """The readings of a book that leak rates lean on; of several for one rule the last."""
    found = {one.name: one for one in overrides if one.name.split("/")[-1] == NET_SAME_EVENT}
    return tuple(found.values())


def _used(pack: Pack) -> list[str]:
    names = (*_NAMES, *(trigger_rule(category) for category in CATEGORIES))
    return [name for name in names if name in pack.rules]


def _days(pack: Pack) -> list[date]:
    """The days on which the pack changes, as far as it defines a leak rate on them."""
    return [day for day in pack.starts(_used(pack)) if pack.value("annual-days-cap", day)]


def _law(pack: Pack, day: date, known_at: date | None) -> RateLaw:
    found = {name: pack.value(name, day, known_at) for name in _used(pack)}
    values: dict[str, Any] = {name: value.value for name, value in found.items() if value}
    begins, days = values.get("first-calc-rolling"), values.get("first-calc-annualizing")
    triggers = {category: values.get(trigger_rule(category)) for category in CATEGORIES}
    rules = {name: rule_ref(pack, value) for name, value in found.items() if value}
    return RateLaw(
        subpart=pack.subpart,
        pack=pack.name,
        annual_days_cap=values["annual-days-cap"],
        rolling_window=values["rolling-window"],
        rolling_reset=values["rolling-reset"],
        same_leak_grouping=values["same-leak-grouping"],
        exempt=frozenset(values["calc-exempt"]),
        first_from=begins if isinstance(begins, date) else None,
        first_days=days if isinstance(days, int) else 0,
        triggers={category: rate for category, rate in triggers.items() if rate is not None},
        repair_days=values["repair-days"],
        repair_days_shutdown=values["repair-days-shutdown"],
        repair_anchor=values["repair-anchor"],
        rules=rules,
    )


def _without_rule(law: RateLaw) -> RateLaw:
    """The same arithmetic for a circuit that no subpart binds: all claims hold, no trigger."""
    return law._replace(subpart=NO_RULE, pack="", exempt=frozenset(CLAIMS), triggers={})
