"""Writes the working of a leak rate out: the sum in words, every input, every rule it leans on."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from ledger.answers.leak_law import ANNUALIZING
from ledger.answers.working import OVERRIDE, Input, RuleRef, Working
from ledger.facts.mass import POUND, half_up, pounds

if TYPE_CHECKING:
    from ledger.answers.leak_result import Rate

_FORMULAS = {
    True: "pounds added / full charge, divided by days since the last addition / {cap}",
    False: "pounds added in the window / full charge",
}
_SUBPARTS = {
    "82": "40 CFR part 82 subpart F",
    "84": "40 CFR part 84 subpart C",
    "": "no federal rule asks for it",
}
_ELSEWHERE = {
    True: {"unknown-in-window", "carried-in-window"},
    False: {"no-earlier-addition"},
}
"""Codes of notes that speak of the other method."""


def working_of(rate: Rate, method: str) -> Working:
    """The working of one rate by one method."""
    annual = method == ANNUALIZING
    title = f"Leak rate, {method}, {rate.on} ({_SUBPARTS[rate.subpart]})"
    if rate.skipped:
        return Working(
            title, "no sum", _exempt(rate), rate.text(method), _refs(rate, ["calc-exempt"])
        )
    binding = method == rate.method
    inputs = [
        *(_annual_inputs(rate) if annual else _window_inputs(rate)),
        *_set_off(rate),
        *_exempt(rate),
        _charge(rate),
        *(_settings(rate) if binding else ()),
    ]
    names = [*_rules_for(rate, annual), *(_trigger_rules(rate) if binding else [])]
    notes = [note.sentence for note in rate.notes if note.code not in _ELSEWHERE[annual]]
    if not binding:
        notes.append(f"The site's method is {rate.method}: this figure is shown beside it.")
    return Working(
        title=title,
        formula=_FORMULAS[annual].format(cap=rate.terms.law.annual_days_cap),
        inputs=tuple(inputs),
        result=_result(rate, method, binding),
        rules=_refs(rate, names),
        notes=tuple(notes),
    )


def _result(rate: Rate, method: str, binding: bool) -> str:
    pair = rate.ratio(method)
    words = rate.text(method)
    if pair:
        words += f" = {_sum(rate, method)}"
    if not binding or rate.trigger is None or rate.cannot:
        return words
    if rate.over is None:
        return f"{words}; whether that is over {rate.trigger} % cannot be said"
    words += f"; {'over' if rate.over else 'not over'} {rate.trigger} %"
    if rate.repair_by:
        words += f"; repair by {rate.repair_by}"
        words += f" ({rate.repair_by_shutdown} where an industrial process shutdown is required)"
    return words


def _sum(rate: Rate, method: str) -> str:
    charge = half_up((rate.full_charge or Fraction(0)) / POUND, 2)
    if method == ANNUALIZING:
        cap = rate.terms.law.annual_days_cap
        return f"{pounds(rate.annual_pounds)} lb / {charge} lb x {cap} / {rate.days} days"
    return f"{pounds(rate.window_pounds)} lb / {charge} lb"


def _annual_inputs(rate: Rate) -> list[Input]:
    days, position = rate.columns.days, rate.position
    first, grouped = position, _group(rate)
    if grouped:
        first = grouped[0]
    entries = tuple(e for p in grouped or (position,) for e in _entries(rate, p))
    label = "pounds added for the same leak so far" if grouped else "pounds added"
    inputs = [Input(label, f"{pounds(rate.annual_pounds)} lb", entries)]
    if rate.annual_pounds and grouped:
        inputs.append(Input("first part of the leak episode", str(days.on[first])))
    if first:
        inputs.append(_last_addition(rate, first - 1))
    inputs += _unknown(rate, grouped or (position,))
    inputs.append(Input("days", f"{rate.days}, {_days_why(rate)}"))
    return inputs


def _days_why(rate: Rate) -> str:
    codes = {note.code for note in rate.notes}
    if "first-calculation" in codes:
        return "as for every first calculation"
    if "no-earlier-addition" in codes:
        return "no earlier addition on record"
    return f"at most {rate.terms.law.annual_days_cap}"


def _unknown(rate: Rate, positions: Iterable[int]) -> list[Input]:
    found = [rate.columns.days.details.get(position) for position in positions]
    entries = tuple(entry for detail in found if detail for entry in sorted(detail.unknown))
    return [Input("added besides", "amount unknown", entries)] if entries else []


def _last_addition(rate: Rate, position: int) -> Input:
    days = rate.columns.days
    detail = days.details.get(position)
    entries = _entries(rate, position)
    if detail:
        entries += tuple(part.entry for part in detail.exempt) + tuple(detail.unknown)
    words = str(days.on[position])
    if detail and detail.carried and not entries:
        words += ", from the older records"
    return Input("last addition before", words, tuple(sorted(set(entries))))


def _window_inputs(rate: Rate) -> list[Input]:
    ordinals = rate.columns.days.ordinal
    span = [p for p in range(rate.position + 1) if ordinals[p] >= rate.window_start]
    entries = tuple(e for p in span for e in _entries(rate, p))
    since = date.fromordinal(rate.window_start)
    return [
        Input("window", f"{since} to {rate.on}"),
        Input("pounds added in the window", f"{pounds(rate.window_pounds)} lb", entries),
        *_unknown(rate, span),
    ]


def _group(rate: Rate) -> tuple[int, ...]:
    """The positions of the episode up to this date, where the law in force groups one."""
    group = rate.columns.groups.get(rate.position)
    if group is None or not rate.terms.law.same_leak_grouping:
        return ()
    return tuple(p for p in group if p <= rate.position)


def _entries(rate: Rate, position: int) -> tuple[int, ...]:
    return rate.columns.entries[position]


def _set_off(rate: Rate) -> list[Input]:
    detail = rate.columns.days.details.get(rate.position)
    if not detail or not detail.set_off:
        return []
    words = f"{pounds(detail.set_off)} lb, taken off the pounds added"
    return [Input("recovered and put back in the same event", words, tuple(detail.recovered))]


def _exempt(rate: Rate) -> tuple[Input, ...]:
    detail = rate.columns.days.details.get(rate.position)
    allowed = rate.terms.law.exempt
    return tuple(
        Input(f"not counted, {part.claim}", f"{pounds(part.mass)} lb", (part.entry,))
        for part in (detail.exempt if detail else ())
        if part.claim in allowed
    )


def _charge(rate: Rate) -> Input:
    found = rate.terms.full_charge
    entries = (found.entry,) if found and found.entry else ()
    if rate.full_charge is not None and found is not None:
        words = f"{half_up(rate.full_charge / POUND, 2)} lb"
        if found.mass is None and found.low and found.high:
            words += f", midpoint of {pounds(found.low)} to {pounds(found.high)} lb"
        elif found.method:
            words += f", {found.method}"
        return Input("full charge", words, entries)
    if rate.terms.band and found and found.low and found.high:
        words = f"between {pounds(found.low)} and {pounds(found.high)} lb"
        return Input("full charge", words, entries)
    return Input("full charge", "unknown", entries)


def _settings(rate: Rate) -> list[Input]:
    """The method and the category, where the entry that recorded them is known."""
    terms, inputs = rate.terms, []
    if terms.method_entry:
        inputs.append(Input("method of the site", terms.method, (terms.method_entry,)))
    if terms.category_entry and terms.trigger is not None:
        inputs.append(Input("category", terms.category, (terms.category_entry,)))
    return inputs


def _rules_for(rate: Rate, annual: bool) -> list[str]:
    codes = {note.code for note in rate.notes}
    detail = rate.columns.days.details.get(rate.position)
    names = ["full-charge-day"]
    if annual:
        names += ["annual-days-cap", "last-addition-day"]
        names += ["same-leak-grouping", "episode"] if len(_group(rate)) > 1 else []
    else:
        names += ["rolling-window", "window-365", "rolling-reset", "followup-day-add"]
    if "first-calculation" in codes:
        names += ["first-calc-annualizing"] if annual else ["first-calc-rolling"]
        names += ["first-calc-order"] if annual else ["first-calc-rolling-pounds"]
        names += ["episode-first-calc"] if _group(rate) else []
    elif not annual:
        names.append("later-rolling")
    if "no-earlier-addition" in codes and annual:
        names.append("first-calc-82")
    net = rate.terms.law.rules.get("net-same-event")
    if (detail and detail.set_off) or (net is not None and net.evidence == OVERRIDE):
        names.append("net-same-event")
    if detail and detail.exempt:
        names.append("calc-exempt")
    if codes & {"seasonal-exceeds-held", "seasonal-nothing-held"} or _has_seasonal(rate):
        names += ["seasonal-unit", "seasonal-balance"]
    return names


def _has_seasonal(rate: Rate) -> bool:
    detail = rate.columns.days.details.get(rate.position)
    return any(part.claim == "seasonal" for part in (detail.exempt if detail else ()))


def _trigger_rules(rate: Rate) -> list[str]:
    if rate.trigger is None:
        return []
    names = [f"trigger-{rate.terms.category.replace(' ', '-')}", "trigger-test"]
    return [*names, "repair-days", "repair-anchor"] if rate.over else names


def _refs(rate: Rate, names: list[str]) -> tuple[RuleRef, ...]:
    rules = rate.terms.law.rules
    refs = [rules[name] for name in names if name in rules]
    binding = rate.terms.binding
    if binding:
        refs.append(
            RuleRef(
                rule=f"{binding.pack}/scope",
                value=f"{binding.binds}. {binding.sentence.rstrip('.')}",
                cite=binding.cite,
                evidence=binding.evidence,
                title="Whether the rule binds this circuit",
            )
        )
    return tuple(refs)
