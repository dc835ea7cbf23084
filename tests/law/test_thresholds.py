"""Every value of every pack has a case on each side of its edge, and says what the case says."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from ledger.law.loader import CALIFORNIA, SHIPPED, RuleValue, load_pack
from ledger.law.scope import scope_of
from tests.law.case_subjects import subject

HERE = Path(__file__).parent
NOT_OF_THE_LAW = {"LOG_INSPECTIONS"}
"""Readings of the cases that are about a log, not about the text of a rule."""

SPLIT = {
    "ald-loss-alert": ("ald-loss-alert-lb", "ald-loss-alert-pct"),
    "disposal-rec-over": ("disposal-log-over",),
    "disposal-rec-below": ("disposal-log-up-to",),
    "disposal-rec-from": ("disposal-log-over",),
    "reclaim-sales-report": ("reclaim-sales-report-2026", "reclaim-sales-report-2027"),
    "register-first": ("register-first-large", "register-first-medium", "register-first-small"),
    "seasonal-balance": ("seasonal-balance", "seasonal-balance-months"),
    "full-charge-due": ("full-charge-due", "full-charge-due-new"),
    "trigger-change": (
        "trigger-commercial-refrigeration", "trigger-industrial-process-refrigeration",
        "trigger-comfort-cooling",
    ),
}  # fmt: skip
"""Rules of the cases that stand in a pack under other names."""

SAID = {
    "absent from the table": "a person decides, with a reason",
    "solely ODS": "solely ozone-depleting substances",
    "foam; the two uses of 84.114(b)": "foam",
    "last successful follow-up test of all identified leaks": "follow-up",
    "leaks last repaired": "repair",
    "the day of the passed follow-up": "lies before the reset",
    "declared parts are one sum": "yes",
    "not in the text": "no",
    "removed and not yet returned": "removed and not yet returned",
    "added less recovered in the same service event": "net",
    "the last addition on record, else 365 days, flagged": "first-calc-82",
    "exempt additions are not summed": "exempt additions since 2026-01-01 are left out",
    "silent": "no rule",
    "acquired facility; none over under either method; record": "only after acquiring a facility",
    "the addition that exceeded": "addition",
    "discovery of the leak": "discovery",
    "exactly the trigger": "stays verified",
    "commercial or industrial process refrigeration": "commercial refrigeration",
    "industrial process refrigeration only": "industrial process refrigeration",
    "a successful follow-up test": "follow-up",
    "the exceedance": "exceedance",
    "(d) to (f), (h), (i)": "(d); (e); (f); (h); (i)",
    "largest system on the site": "largest system",
    "detector instead of inspections": "detector",
    "large and indoors": "large, indoors",
    "medium or large facility": "medium; large",
    "50 lb or 10 % of full charge, the less": ("50", "10"),
    "post-retrofit; new installation; seasonal variance": "new charge; post-retrofit; seasonal",
    "solely ODS; residential and light commercial subsector; foam; the two uses of 84.114(b)":
        "solely ozone-depleting substances; residential and light commercial",
}  # fmt: skip
"""What a case says in words, and what the value of the pack begins with or holds."""

BY_EXAMPLE = {"mothball-carry", "first-calc-order", "later-rolling", "episode-first-calc"}
"""Readings whose case shows a figure that follows from them."""


def _rows() -> list[dict[str, Any]]:
    both = (HERE / "cases" / "thresholds.toml", HERE / "boundaries.toml")
    return [
        row for path in both for row in tomllib.loads(path.read_text(encoding="utf-8"))["threshold"]
    ]


ROWS = _rows()


def _rules(row: dict[str, Any]) -> tuple[str, ...]:
    names: tuple[str, ...] = SPLIT.get(row["rule"], (row["rule"],))
    return names


def _values(row: dict[str, Any]) -> list[RuleValue]:
    """The values of the pack a case speaks of: those in force in its days."""
    pack = load_pack(row["pack"])
    return [
        value
        for name in _rules(row)
        for value in pack.rules[name].values
        if row.get("from", value.from_) == value.from_ and row.get("to", value.to) == value.to
    ]


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "; ".join(value) if isinstance(value, tuple | list) else str(value)


def _alike(row: dict[str, Any], value: RuleValue) -> bool:
    said = _text(row["value"])
    if row["rule"] in BY_EXAMPLE:
        return value.evidence == "interpretation"
    if row["unit"].startswith("first day") and value.from_ == row["value"]:
        return True
    if row["unit"] == "last day" and value.to == row["value"]:
        return True
    own = _text(value.value)
    wanted = SAID.get(said, said)
    if isinstance(wanted, tuple):
        return own in wanted
    return own.replace(", ", "; ") == wanted.replace(", ", "; ") or (
        not wanted[:1].isdigit() and wanted in own
    )


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_the_pack_says_what_the_case_says(row: dict[str, Any]) -> None:
    found = [value for value in _values(row) if _alike(row, value)]
    assert found, f"{row['pack']}/{row['rule']}: no value {row['value']!r}"
    for value in found:
        read = row.get("interp") and value.evidence == "interpretation"
        # A case without days speaks of today's text; what came before it may stand weaker.
        ended = value.to is not None and not {"from", "to"} & set(row)
        if "evidence" in row and not read and not ended:
            assert value.evidence == row["evidence"], value
        edges = {"over", "at least", "at most", "below"}
        if value.edge and row["edge"] in edges and value.rule != "disposal-log-up-to":
            dated = row["unit"].startswith(("first day", "last day"))
            assert dated or value.edge == row["edge"], value


def _readings() -> set[str]:
    """Every reading a case or a threshold leans on, by its name in a pack."""

    def walk(value: Any) -> Iterator[str]:
        if isinstance(value, dict):
            for key, inner in value.items():
                yield from inner if key == "interp" else walk(inner)
        elif isinstance(value, list):
            for inner in value:
                yield from walk(inner)

    names: set[str] = set()
    for path in (HERE / "cases").glob("*.toml"):
        names.update(walk(tomllib.loads(path.read_text(encoding="utf-8"))))
    return {name.replace("_", "-").casefold() for name in names - NOT_OF_THE_LAW}


READINGS = _readings()


def test_every_value_has_a_case_on_each_side() -> None:
    """An interpretation may also have its cases among the worked ones, which name it."""
    seen = {
        (value.rule, row["pack"], value.from_)
        for row in ROWS
        for value in _values(row)
        if _alike(row, value)
    }
    bare = [
        f"{name}/{rule.name} from {value.from_}: {value.value}"
        for name in SHIPPED
        for rule in load_pack(name).rules.values()
        for value in rule.values
        if (rule.name, name, value.from_) not in seen
        and not (value.evidence == "interpretation" and rule.name in READINGS)
    ]
    assert not bare, "\n".join(bare)


def test_every_reading_of_the_cases_is_a_named_value() -> None:
    named = {
        rule.name
        for name in SHIPPED
        for rule in load_pack(name).rules.values()
        if all(value.evidence == "interpretation" for value in rule.values)
    }
    assert READINGS - named == set()


@pytest.mark.parametrize(
    "row", [pytest.param(row, id=row["id"]) for row in ROWS if row.get("interp")]
)
def test_the_reading_of_a_threshold_is_in_its_pack(row: dict[str, Any]) -> None:
    pack = load_pack(row["pack"])
    for name in row["interp"]:
        assert name.replace("_", "-").casefold() in pack.rules


SCOPED = ("binds", "does not bind", "undecided")
SIDES = [
    pytest.param(row, row[side], id=f"{row['id']}-{side}")
    for row in ROWS
    for side in ("a", "b")
    if row["a"]["expect"] in SCOPED and not row["rule"].startswith("evacuation")
]


@pytest.mark.parametrize(("row", "side"), SIDES)
def test_the_scope_on_each_side(row: dict[str, Any], side: dict[str, Any]) -> None:
    given = dict(side["given"])
    california = row["pack"] == CALIFORNIA
    told = {
        "refrigerant": "R-22" if row["pack"].endswith("82f") else "R-404A",
        "full_charge_lb": given.pop("lb", "300"),
        "category": "commercial refrigeration",
        "subsector": "retail food",
        **given,
    }
    if "systems_lb" in given:
        told["largest_lb"] = max(given["systems_lb"], key=float)
    if told["subsector"] != "retail food":
        told["category"] = "comfort cooling"
    circuit = subject(told, "CA" if california else "none")
    if "gwp" in given:
        circuit = _with_gwp(circuit, given, california)
    day = given.get("on", row.get("from", date(2026, 5, 4)))
    scope = "facility" if "systems_lb" in given else ""
    (found,) = scope_of(circuit, day, [load_pack(row["pack"])], scope)
    assert {"yes": "binds", "no": "does not bind"}.get(found.binds, found.binds) == side["expect"]
    if "says" in side:
        word = side["says"]
        assert word in (found.limb, found.limb.removeprefix("CA-")) or "service" in word


def _with_gwp(circuit: Any, given: dict[str, Any], california: bool) -> Any:
    from fractions import Fraction

    gwp = Fraction(given["gwp"])
    if california:
        return circuit._replace(gwps=(("AR4", gwp),))
    return circuit._replace(ods=False, hfc=given["hfc"], gwp_84=gwp)


def test_a_value_ends_the_day_before_the_next_begins() -> None:
    for name in SHIPPED:
        for rule in load_pack(name).rules.values():
            for one, other in zip(rule.values, rule.values[1:], strict=False):
                assert one.to == other.from_ - timedelta(days=1), f"{name}/{rule.name}"
