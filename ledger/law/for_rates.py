"""Draws the law of leak rates out of the federal packs as the compact table the answers use."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from typing import Any

from ledger.answers.leak_law import CATEGORIES, CLAIMS, NO_RULE, LawTable, RateLaw
from ledger.answers.working import RuleRef
from ledger.law.loader import FEDERAL_82F, FEDERAL_84C, Pack, RuleError, RuleValue, load_pack

NET_CHOICES = ("net", "gross")
"""What a book may choose for the interpretation net-same-event."""

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
        evidence=found.evidence,
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
def _table(net: str, known_at: date | None) -> LawTable:
    if net not in NET_CHOICES:
        raise RuleError(f"net-same-event: {net!r} is not one of {', '.join(NET_CHOICES)}.")
    packs = load_pack(FEDERAL_82F), load_pack(FEDERAL_84C)
    starts: dict[str, tuple[int, ...]] = {}
    laws: dict[str, tuple[RateLaw, ...]] = {}
    for pack in packs:
        days = _days(pack)
        starts[pack.subpart] = tuple(day.toordinal() for day in days)
        laws[pack.subpart] = tuple(_law(pack, day, net, known_at) for day in days)
    starts[NO_RULE] = starts["82"]
    laws[NO_RULE] = tuple(_without_rule(law) for law in laws["82"])
    return LawTable(starts, laws, net == "net", tuple(pack.stamp for pack in packs))


def law_for_rates(
    interpretations: Mapping[str, str] | None = None, known_at: date | None = None
) -> LawTable:
    """The leak-rate law of both federal subparts, built once for each choice.

    `interpretations` holds a book's own choices; "net-same-event" may be "net" or "gross".
    `known_at` gives the figures as this program had them on an earlier day.
    """
    chosen = dict(interpretations or {})
    net = chosen.pop("net-same-event", "net")
    if chosen:
        raise RuleError(f"{', '.join(sorted(chosen))}: not an interpretation a book may choose.")
    return _table(net, known_at)


def _used(pack: Pack) -> list[str]:
    names = (*_NAMES, *(trigger_rule(category) for category in CATEGORIES))
    return [name for name in names if name in pack.rules]


def _days(pack: Pack) -> list[date]:
    """The days on which the pack changes, as far as it defines a leak rate on them."""
    return [day for day in pack.starts(_used(pack)) if pack.value("annual-days-cap", day)]


def _law(pack: Pack, day: date, net: str, known_at: date | None) -> RateLaw:
    found = {name: pack.value(name, day, known_at) for name in _used(pack)}
    values: dict[str, Any] = {name: value.value for name, value in found.items() if value}
    begins, days = values.get("first-calc-rolling"), values.get("first-calc-annualizing")
    triggers = {category: values.get(trigger_rule(category)) for category in CATEGORIES}
    rules = {name: rule_ref(pack, value) for name, value in found.items() if value}
    if net != rules["net-same-event"].value:
        rules["net-same-event"] = rules["net-same-event"]._replace(
            value=f"{net}, chosen in this book", reason=""
        )
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
