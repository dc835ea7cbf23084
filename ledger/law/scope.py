"""Which packs bind a circuit on a date, by which limb, on what text.

The rows are data: the first row of a pack's scope whose tests all hold decides. A row that may
hold, because a fact is not known or a person has not decided, is walked past; where the rows
that may hold say different things the answer is unknown or undecided, with both shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from ledger.answers.leak_history import ScopeFrom
from ledger.answers.leak_law import Binding
from ledger.facts.mass import KILOGRAM, POUND
from ledger.law.blocks import Block, in_force
from ledger.law.loader import FEDERAL_82F, FEDERAL_84C, Pack, RuleError, RuleValue, load_pack
from ledger.law.row_tests import BAND, CHARGE, DECISION, REFRIGERANT, View, answers
from ledger.law.subject import Subject

INDUSTRIAL = "industrial process refrigeration"

__all__ = ["Finding", "Subject", "bindings", "category_of", "scope_of", "scope_over"]


class Finding(NamedTuple):
    """Whether one scope of one pack binds, and what decided it.

    `binds` is yes, no, undecided (a person must decide) or unknown (a fact is missing). `limb`
    names the row, `rule` the rule it leans on where it leans on one; `missing` what would settle
    it, and `either` what each answer would lead to, one sentence each.
    """

    pack: str
    scope: str
    binds: str
    limb: str
    sentence: str
    cite: str
    evidence: str
    rule: str = ""
    missing: tuple[str, ...] = ()
    either: tuple[str, ...] = ()
    overridden: int = 0


class _Possible(NamedTuple):
    """A row that holds, or may hold where `missing` names what is not known."""

    row: Block
    missing: tuple[str, ...]


def scope_of(
    subject: Subject,
    on: date,
    packs: Sequence[Pack],
    scope: str = "",
    known_at: date | None = None,
) -> tuple[Finding, ...]:
    """Whether each pack binds a circuit on a date, in the order of the packs.

    `scope` names one scope ("facility"); without it the first of each pack is taken. A pack
    without that scope is left out. Nothing of one pack bears on another.
    """
    out = []
    for pack in packs:
        scopes = pack.blocks.scopes
        name = scope or next(iter(scopes), "")
        if name in scopes:
            out.append(_found(View(pack, scopes[name], subject, on, known_at), name))
    return tuple(out)


def category_of(subject: Subject, on: date, pack: Pack) -> str:
    """The category under one pack: a dual-use appliance is industrial from its line on."""
    line = pack.value("dual-use", on) if "dual-use" in pack.rules else None
    if line is None or subject.process_share is None:
        return subject.category
    return INDUSTRIAL if subject.process_share >= int(str(line.value)) else subject.category


def _found(view: View, name: str) -> Finding:
    possible = _possible(view)
    if not possible:
        raise RuleError(f"{view.pack.name}/blocks/scope.toml: block {name}: no row fits.")
    said = {one.row["binds"] for one in possible}
    if len(said) == 1:
        row = possible[-1].row
        return _finding(view, name, row, row["binds"], _says(view, row))
    missing = tuple(dict.fromkeys(part for one in possible for part in one.missing))
    if all(part.startswith(DECISION) for part in missing):
        row = next(one.row for one in possible if one.missing)
        found = _finding(view, name, row, "undecided", _undecided(view, missing))
    else:
        row = next(one.row for one in possible if one.row["binds"] == "yes")
        found = _finding(view, name, row, "unknown", _unknown(view, row, missing))
    return found._replace(missing=missing, either=_either(view, possible))


def _possible(view: View) -> list[_Possible]:
    found = []
    for row in view.scope["rows"]:
        if not in_force(row, view.on):
            continue
        missing: list[str] = []
        for answer in answers(view, row.get("when", {})):
            if answer is False:
                break
            if isinstance(answer, str):
                missing.append(answer)
        else:
            found.append(_Possible(row, tuple(missing)))
            if not missing:
                break
    return found


def _finding(view: View, name: str, row: Block, binds: str, sentence: str) -> Finding:
    value = _value(view, row)
    return Finding(
        pack=view.pack.name,
        scope=name,
        binds=binds,
        limb=row["limb"],
        sentence=sentence,
        cite=value.cite if value else view.scope["cite"],
        evidence=value.evidence if value else "read",
        rule=value.rule if value else "",
        overridden=value.overridden if value else 0,
    )


def _value(view: View, row: Block) -> RuleValue | None:
    return view.value(row["rule"]) if "rule" in row else None


def _says(view: View, row: Block) -> str:
    value, gwp = _value(view, row), view.gwp()
    line = f"{value.edge} {value.value}" if value else ""
    if value and value.unit.startswith(("lb", "kg", "t CO2e")):
        line = _line(value)
    text: str = row["says"].format(
        value=line.strip(),
        to=value.to if value else "",
        **{"from": value.from_ if value else ""},
        use=view.subject.use,
        gwp=_plain(gwp) if gwp is not None else "not known",
    )
    return text


def _line(value: RuleValue) -> str:
    unit = next(unit for unit in ("lb", "kg", "t CO2e") if value.unit.startswith(unit))
    return f"{value.edge} {value.value} {unit}"


def _undecided(view: View, missing: tuple[str, ...]) -> str:
    questions = view.scope.get("decisions", {})
    names = [part.removeprefix(DECISION) for part in missing]
    told = [questions[name]["undecided"] for name in names if name in questions]
    return told[0] if told else "A person decides."


def _unknown(view: View, row: Block, missing: tuple[str, ...]) -> str:
    if REFRIGERANT in missing:
        return str(view.scope["unknown"])
    for when in ("size", "size_under"):
        rule = row.get("when", {}).get(when)
        value = view.value(rule) if rule else None
        if value and BAND in missing:
            return f"The full charge may or may not be {_line(value)}."
        if value and CHARGE in missing:
            return f"Full charge unknown: bound if {_line(value)}."
    return f"Not known: {', '.join(part for part in missing if not part.startswith(DECISION))}."


def _either(view: View, possible: list[_Possible]) -> tuple[str, ...]:
    """What each row that may hold would say, each limb once."""
    words = {"yes": "bound", "no": "not bound"}
    told = [f"{words[p.row['binds']]} ({p.row['limb']}): {_says(view, p.row)}" for p in possible]
    return tuple(dict.fromkeys(told))


def _plain(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    return str(whole) if not rest else f"{whole}.{str(int(rest * 1000)).zfill(3).rstrip('0')}"


# The federal leak-repair sections, as the leak rates ask for them.


def bindings(subject: Subject, on: date) -> tuple[Binding, ...]:
    """Whether 82.157 and 84.106 bind a circuit on a date: one Binding each, 82 first."""
    return _bindings(_class_of(subject), on)


def scope_over(series: Sequence[tuple[date | None, Subject]]) -> tuple[ScopeFrom, ...]:
    """The bindings of a circuit through time, for `CircuitHistory.scope`.

    `series` is in order of date, each Subject in force from its date on (None: from the
    beginning). A new member begins wherever the law or the circuit changes the finding.
    """
    return _scope_over(tuple((since, _class_of(subject)) for since, subject in series))


@lru_cache(maxsize=1 << 14)
def _scope_over(series: tuple[tuple[date | None, Subject], ...]) -> tuple[ScopeFrom, ...]:
    out: list[ScopeFrom] = []
    for place, (since, subject) in enumerate(series):
        until = series[place + 1][0] if place + 1 < len(series) else None
        days = [day for day in _law_days() if since is None or day > since]
        for day in (since, *days):
            if until is not None and day is not None and day >= until:
                break
            found = _bindings(subject, day or date.min)
            if not out or out[-1].bindings != found:
                out.append(ScopeFrom(day, found))
    return tuple(out)


@lru_cache(maxsize=1)
def _packs() -> tuple[Pack, Pack]:
    return load_pack(FEDERAL_82F), load_pack(FEDERAL_84C)


@lru_cache(maxsize=1 << 14)
def _bindings(subject: Subject, on: date) -> tuple[Binding, ...]:
    packs = _packs()
    return tuple(
        Binding(pack.subpart, pack.name, found.binds, found.limb, found.sentence, found.cite,
                found.evidence)
        for pack, found in zip(packs, scope_of(subject, on, packs), strict=True)
    )  # fmt: skip


def _rules_of(pack: Pack) -> set[str]:
    """The rules the first scope of a pack leans on."""
    scope = next(iter(pack.blocks.scopes.values()))
    rows = [{**row.get("when", {}), "rule": row.get("rule", "")} for row in scope["rows"]]
    keys = ("rule", "size", "size_under", "gwp", "gwp_under")
    return {row[key] for row in rows for key in keys if row.get(key)}


@lru_cache(maxsize=1)
def _law_days() -> tuple[date, ...]:
    """Every day on which a finding of the federal scopes may change."""
    days: set[date] = set()
    for pack in _packs():
        days.update(pack.starts(_rules_of(pack)))
        for row in next(iter(pack.blocks.scopes.values()))["rows"]:
            days.update({row["from"]} if "from" in row else ())
            days.update({date.fromordinal(row["to"].toordinal() + 1)} if "to" in row else ())
    return tuple(sorted(days))


@lru_cache(maxsize=1)
def _limits() -> tuple[int, ...]:
    """Every size line of both packs, in counts."""
    found: set[int] = set()
    for pack in _packs():
        for name in _rules_of(pack):
            for value in pack.rules[name].values:
                if value.unit.startswith(("lb", "kg")) and isinstance(value.value, int):
                    unit = POUND if value.unit.startswith("lb") else KILOGRAM
                    found.add(value.value * unit)
    return tuple(sorted(found))


def _class_of(subject: Subject) -> Subject:
    """The same subject with its charge moved to a stand-in on the same side of every size line.

    Twenty thousand circuits then fall into a few classes, each looked at once.
    """
    return subject._replace(
        charge=_stand_in(subject.charge), charge_high=_stand_in(subject.charge_high)
    )


def _stand_in(charge: int | Fraction | None) -> int | None:
    if charge is None:
        return None
    below = 0
    for limit in _limits():
        if charge < limit:
            return below
        if charge == limit:
            return limit
        below = limit + 1
    return below
