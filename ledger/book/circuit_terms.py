"""What a circuit's leak rates are measured with, through time, drawn from its masters.

Full charge, category and refrigerant are dated values of the circuit; the leak-rate method is
that of the site where its unit stood; the scope of the rules follows from all of these.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

from ledger.answers.leak_history import CategoryFrom, FullCharge, MethodFrom, ScopeFrom
from ledger.answers.leak_law import ANNUALIZING, METHODS
from ledger.book.recorded import Masters
from ledger.facts.masters import UNKNOWN, Master, Value
from ledger.law.scope import Subject, scope_over
from ledger.refrigerants.register import register

GWP_SET = "84.64"
"""The list that 40 CFR 84.106(a) compares with."""

_RLC = {"residential or light commercial": "yes", "": "undecided", "undecided": "undecided"}
_ANY_USE = ("R-744", "R-718")
_PROCESS = ("commercial refrigeration", "industrial process refrigeration")


class Terms(NamedTuple):
    """The dated series of one circuit, as `CircuitHistory` takes them."""

    full_charges: tuple[FullCharge, ...] = ()
    methods: tuple[MethodFrom, ...] = ()
    categories: tuple[CategoryFrom, ...] = ()
    scope: tuple[ScopeFrom, ...] = ()


class TermsOf:
    """Finds the terms of circuits; what several circuits share is worked out once."""

    def __init__(self, masters: Masters) -> None:
        self.masters = masters
        self._at_sites: dict[tuple[tuple[str, str], ...], tuple[MethodFrom, ...]] = {}

    def circuit(self, circuit: Master) -> Terms:
        """The terms of one circuit."""
        charges = tuple(_full_charge(value) for value in circuit.history.get("full charge", ()))
        categories = tuple(
            CategoryFrom(day_or_none(value.since), _known(value.value), value.entry)
            for value in circuit.history.get("category", ())
        )
        return Terms(charges, self._methods(circuit), categories, scope_over(_subjects(circuit)))

    def _methods(self, circuit: Master) -> tuple[MethodFrom, ...]:
        unit = self.masters.one("unit", circuit.text("unit"))
        stays = unit.history.get("site", ()) if unit else ()
        sites = tuple((value.since, _known(value.value)) for value in stays)
        found = self._at_sites.get(sites)
        if found is None:
            found = self._at_sites[sites] = tuple(self._of_sites(sites))
        return found

    def _of_sites(self, sites: tuple[tuple[str, str], ...]) -> Iterable[MethodFrom]:
        """The methods along a series of sites, each from its ISO day on.

        Where a unit goes on to a site that has chosen none, annualizing is taken with entry 0.
        """
        chosen = False
        for place, (since, name) in enumerate(sites):
            until = sites[place + 1][0] if place + 1 < len(sites) else None
            if until == since:
                continue
            site = self.masters.one("site", name) if name else None
            values = [v for v in (site.history.get("method", ()) if site else ()) if _method(v)]
            before = [value for value in values if value.since <= since]
            if before:
                yield MethodFrom(day_or_none(since), str(before[-1].value), before[-1].entry)
            elif chosen:
                yield MethodFrom(day_or_none(since), ANNUALIZING, 0)
            for value in values:
                if value.since > since and (until is None or value.since < until):
                    yield MethodFrom(day_or_none(value.since), str(value.value), value.entry)
                    chosen = True
            chosen = chosen or bool(before)


def _method(value: Value) -> bool:
    return value.value in METHODS


class _Days(dict[str, date]):
    """The date of each ISO day, made once; there are no more of them than days in a book."""

    def __missing__(self, text: str) -> date:
        found = self[text] = date.fromisoformat(text)
        return found


DAYS = _Days()


def day_or_none(text: str) -> date | None:
    """The date of an ISO day; None for an empty one, which means from the beginning."""
    return DAYS[text] if text else None


def _known(value: Any) -> str:
    return value if isinstance(value, str) and value != UNKNOWN else ""


def _full_charge(value: Value) -> FullCharge:
    since, told = day_or_none(value.since), value.value
    if not isinstance(told, dict):
        return FullCharge(value.entry, since, None)
    charge, low, high = (_counts(told.get(name)) for name in ("charge", "low", "high"))
    return FullCharge(value.entry, since, charge, low, high, str(told.get("method", "")))


def _counts(value: Any) -> int | None:
    return int(value[0]) if isinstance(value, list) else None


def _subjects(circuit: Master) -> list[tuple[date | None, Subject]]:
    fields = ("refrigerant", "full charge", "category", "subsector")
    days = {"", *(value.since for name in fields for value in circuit.history.get(name, ()))}
    return [(day_or_none(day), subject_at(circuit, day)) for day in sorted(days)]


def subject_at(circuit: Master, day: str) -> Subject:
    """What the federal scopes look at of a circuit on an ISO day (empty: from the beginning)."""
    refrigerant = circuit.text("refrigerant", day)
    category = circuit.text("category", day)
    charge, high = _size(circuit.at("full charge", day))
    ods, hfc, gwp = _substance(refrigerant)
    return Subject(
        ods=ods,
        hfc=hfc,
        gwp_84=gwp,
        charge=charge,
        category=category,
        rlc=_RLC.get(circuit.text("subsector", day), "no"),
        exempt_substitute=exempt_substitute(refrigerant, category),
        charge_high=high,
    )


def _size(told: Any) -> tuple[int | Fraction | None, int | None]:
    """The full charge in counts, or the two ends of what it lies between."""
    if not isinstance(told, dict):
        return None, None
    charge, low, high = (_counts(told.get(name)) for name in ("charge", "low", "high"))
    if charge is not None:
        return charge, None
    if low is None or high is None:
        return None, None
    return (Fraction(low + high, 2), None) if told.get("method") == "range" else (low, high)


@lru_cache(maxsize=1024)
def _substance(refrigerant: str) -> tuple[bool | None, bool | None, Fraction | None]:
    found = register().get(refrigerant)
    if found is None:
        return None, None, None
    return found.ods, found.hfc, found.gwp(GWP_SET).value


def exempt_substitute(refrigerant: str, category: str) -> bool:
    """Whether a substitute is exempt from the venting ban whatever the appliance.

    40 CFR 82.154(a)(1), from a summary: carbon dioxide and water in any use, ammonia in
    commercial and industrial process refrigeration. Its narrower end uses are all small.
    """
    return refrigerant in _ANY_USE or (refrigerant == "R-717" and category in _PROCESS)
