"""Which subpart's leak-repair section binds a circuit on a date, by which limb, on what text.

The rows are those of the project's decision table: A1 ozone-depleting, A3 blends of both, A6
regulated substances, A7 the residential and light commercial exclusion, A8 listed substitutes,
A8x unlisted ones, A9 low listed value, A10 small circuits, A0 uses that are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from ledger.answers.leak_history import ScopeFrom
from ledger.answers.leak_law import Binding
from ledger.facts.mass import POUND
from ledger.law.loader import FEDERAL_82F, FEDERAL_84C, Pack, RuleValue, load_pack

NOT_AIR_CONDITIONING = (
    "commercial refrigeration",
    "industrial process refrigeration",
    "refrigerated transport",
)
"""Categories that cannot lie in the residential and light commercial air conditioning subsector."""


class Subject(NamedTuple):
    """What the scope of the rules looks at, as recorded for one circuit at one time.

    `ods` and `hfc` say whether the refrigerant contains a class I or II substance, or a
    regulated substance; None where the refrigerant is not known. `gwp_84` is its exchange
    value by the 84.64(b) table, None where that lists nothing of it. `charge` is the full
    charge in counts, None unknown; with `charge_high` the two are the ends of a band.
    `rlc` is the recorded decision whether the circuit lies in the residential and light
    commercial air conditioning subsector: yes, no or undecided. `use` names a use left out by
    84.114 ("foam" ...). `decided` is a person's finding for a substitute that the table does
    not list: yes, no or undecided. `exempt_substitute` marks one exempt from the venting ban.
    """

    ods: bool | None
    hfc: bool | None
    gwp_84: Fraction | None
    charge: int | Fraction | None
    category: str
    rlc: str = "undecided"
    use: str = ""
    decided: str = "undecided"
    exempt_substitute: bool = False
    charge_high: int | Fraction | None = None


class _Limb(NamedTuple):
    """The finding of one limb before it is tied to a pack."""

    binds: str
    row: str
    sentence: str
    value: RuleValue | None = None


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


def _packs() -> tuple[Pack, Pack]:
    return load_pack(FEDERAL_82F), load_pack(FEDERAL_84C)


@lru_cache(maxsize=1)
def _law_days() -> tuple[date, ...]:
    days: set[date] = set()
    for pack in _packs():
        days.update(pack.starts())
    return tuple(sorted(days))


@lru_cache(maxsize=1)
def _limits() -> tuple[int, ...]:
    """Every size line of both packs, in counts."""
    pounds: set[int] = set()
    for pack in _packs():
        for name, rule in pack.rules.items():
            if name.startswith("scope-min"):
                pounds.update(int(str(found.value)) for found in rule.values)
    return tuple(sorted(pound * POUND for pound in pounds))


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


@lru_cache(maxsize=1 << 14)
def _bindings(subject: Subject, on: date) -> tuple[Binding, ...]:
    pack_82, pack_84 = _packs()
    return (
        _tied(pack_82, _first(_limbs_82(pack_82, subject, on)), "40 CFR 82.157(a)"),
        _tied(pack_84, _first(_limbs_84(pack_84, subject, on)), "40 CFR 84.106(a)"),
    )


def _tied(pack: Pack, limb: _Limb, cite: str) -> Binding:
    value = limb.value
    return Binding(
        subpart=pack.subpart,
        pack=pack.name,
        binds=limb.binds,
        row=limb.row,
        sentence=limb.sentence,
        cite=value.cite if value else cite,
        evidence=value.evidence if value else "read",
    )


def _first(limbs: Iterable[_Limb]) -> _Limb:
    """The limb that settles it: a no from any, else what is unknown, undecided, or a yes."""
    found = list(limbs)
    for binds in ("no", "unknown", "undecided"):
        for limb in found:
            if limb.binds == binds:
                return limb
    return found[0]


def _size(subject: Subject, limit: RuleValue, yes: _Limb) -> _Limb:
    """The size limb: `yes` where the full charge is on the covered side of the limit."""
    pounds = int(str(limit.value))
    line = f"{limit.edge} {pounds} lb"
    if subject.charge is None:
        return _Limb("unknown", yes.row, f"Full charge unknown: bound if {line}.", limit)
    ends = {subject.charge, subject.charge_high or subject.charge}
    inside = {
        end > pounds * POUND or (end == pounds * POUND and limit.edge == "at least") for end in ends
    }
    if inside == {True}:
        return yes._replace(value=limit)
    if inside == {False}:
        return _Limb("no", "A10", f"The full charge is not {line}.", limit)
    return _Limb("unknown", yes.row, f"The full charge may or may not be {line}.", limit)


def _limbs_82(pack: Pack, subject: Subject, on: date) -> list[_Limb]:
    ods, substitutes = (pack.value(f"scope-min-{part}", on) for part in ("ods", "substitutes"))
    if ods is None:
        return [_Limb("no", "A1", "Before subpart F.")]
    if subject.ods is None:
        limbs = [_Limb("unknown", "A1", "Refrigerant unknown: bound if it depletes ozone.", ods)]
        size = _size(subject, substitutes or ods, limbs[0])
        return [size] if size.binds == "no" else limbs
    if subject.ods:
        row = "A3" if subject.hfc else "A1"
        what = "The refrigerant contains a class I or class II substance."
        return [_size(subject, ods, _Limb("yes", row, what))]
    if substitutes is None:
        left_out = pack.value("scope-excluded", on)
        why = (
            f"The refrigerant consists solely of substitutes, left out since {left_out.from_}."
            if left_out
            else f"Until {ods.to} leak repair covered class I and class II refrigerant only."
        )
        return [_Limb("no", "A6", why, left_out or ods)]
    if subject.exempt_substitute:
        why = "The refrigerant is a substitute exempt from the venting prohibition in this use."
        return [_Limb("no", "A9", why, substitutes)]
    what = f"Non-exempt substitutes were covered from {substitutes.from_} to {substitutes.to}."
    return [_size(subject, substitutes, _Limb("yes", "A6", what))]


def _limbs_84(pack: Pack, subject: Subject, on: date) -> list[_Limb]:
    limit = pack.value("scope-min", on)
    if limit is None:
        begins = pack.rules["scope-min"].values[0].from_
        return [_Limb("no", "A6", f"The leak-repair section applies from {begins}.")]
    substance = _substance_84(pack, subject, on)
    return [
        *_left_out_84(pack, subject, on),
        substance,
        _size(subject, limit, substance._replace(binds="yes")),
    ]


def _substance_84(pack: Pack, subject: Subject, on: date) -> _Limb:
    left_out = pack.value("scope-excluded", on)
    if subject.ods is None or subject.hfc is None:
        return _Limb("unknown", "A6", "Refrigerant unknown.")
    if subject.hfc:
        why = "The refrigerant contains a regulated substance, at any percentage."
        return _Limb("yes", "A3" if subject.ods else "A6", why)
    if subject.ods:
        return _Limb("no", "A1", "The refrigerant is solely ozone-depleting.", left_out)
    floor = pack.value("sub-gwp-min-exclusive", on)
    if subject.gwp_84 is not None and floor is not None:
        listed = f"The substitute's listed exchange value, {_plain(subject.gwp_84)},"
        if subject.gwp_84 > int(str(floor.value)):
            return _Limb("yes", "A8", f"{listed} is over {floor.value}.", floor)
        return _Limb("no", "A9", f"{listed} is not over {floor.value}.", floor)
    absent = pack.value("gwp-absent", on)
    if subject.decided in ("yes", "no"):
        why = f"The 84.64(b) table lists no value for the substitute; decided: {subject.decided}."
        return _Limb(subject.decided, "A8x", why, absent)
    why = "The 84.64(b) table lists no value for the substitute: a person decides."
    return _Limb("undecided", "A8x", why, absent)


def _left_out_84(pack: Pack, subject: Subject, on: date) -> list[_Limb]:
    left_out = pack.value("scope-excluded", on)
    if subject.use:
        return [_Limb("no", "A0", f"The use is left out: {subject.use}.", left_out)]
    if subject.rlc == "yes":
        why = "Residential and light commercial air conditioning and heat pumps are left out."
        return [_Limb("no", "A7", why, left_out)]
    if subject.rlc == "no" or subject.category in NOT_AIR_CONDITIONING:
        return []
    why = (
        "Whether the circuit is residential or light commercial air conditioning, which is left"
        " out, has not been decided."
    )
    return [_Limb("undecided", "A7", why, left_out)]


def _plain(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    return str(whole) if not rest else f"{whole}.{str(int(rest * 1000)).zfill(3).rstrip('0')}"
