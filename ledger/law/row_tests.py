"""The tests a row of a scope may ask for, each answered yes, no, or what would have to be known."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from fractions import Fraction
from typing import Any, NamedTuple

from ledger.facts.mass import KILOGRAM, POUND
from ledger.law.blocks import Block
from ledger.law.loader import Pack, RuleValue
from ledger.law.subject import Subject

REFRIGERANT = "refrigerant"
CHARGE = "full charge"
BAND = "full charge band"
DECISION = "decision "
"""What may be missing; a decision is followed by its name."""

Answer = bool | str
"""Yes, no, or the name of what is missing."""


class View(NamedTuple):
    """A subject under one scope of one pack on one day."""

    pack: Pack
    scope: Block
    subject: Subject
    on: date
    known_at: date | None = None

    def value(self, rule: str) -> RuleValue | None:
        """The value of a rule on the day."""
        return self.pack.value(rule, self.on, self.known_at)

    def gwp(self) -> Fraction | None:
        """The GWP by the set the scope names."""
        name = self.scope.get("gwp_set")
        found = self.value(name) if name else None
        sets = found.value if found else ()
        return self.subject.gwp(sets if isinstance(sets, tuple) else (str(sets),))


def answers(view: View, when: Block) -> Iterator[Answer]:
    """The answer to each test of a row; a rule without a value on the day answers no."""
    for test, asked in when.items():
        if test in _TESTS:
            yield _TESTS[test](view, asked)
        elif test in _FLAGS:
            yield _flag(getattr(view.subject, test), asked, test)
        elif test in ("country", "state", "district", "owner"):
            yield _among(getattr(view.subject, test), asked, test)
        else:
            yield test


def _flag(known: bool | None, asked: bool, test: str) -> Answer:
    missing = REFRIGERANT if test in ("ods", "hfc") else test
    return missing if known is None else known is asked


def _among(known: str, asked: Any, what: str) -> Answer:
    return known in asked if known else what


def _not_state(view: View, asked: tuple[str, ...]) -> Answer:
    found = _among(view.subject.state, asked, "state of the site")
    return found if isinstance(found, str) else not found


def _listed(view: View, asked: bool) -> Answer:
    if view.subject.ods is None:
        return REFRIGERANT
    return (view.gwp() is not None) is asked


def _category(view: View, asked: tuple[str, ...] | str) -> Answer:
    if isinstance(asked, str):
        found = view.value(asked)
        asked = found.value if found and isinstance(found.value, tuple) else ()
    return _among(view.subject.category, asked, "category")


def _refrigerant(view: View, rule: str) -> Answer:
    found = view.value(rule)
    if found is None or not isinstance(found.value, tuple):
        return False
    return _among(view.subject.refrigerant, found.value, REFRIGERANT)


def _use(view: View, asked: tuple[str, ...]) -> Answer:
    return view.subject.use in asked


def _gwp(view: View, rule: str, over: bool = True) -> Answer:
    found, gwp = view.value(rule), view.gwp()
    if found is None:
        return False
    if gwp is None:
        return REFRIGERANT if view.subject.ods is None else f"{DECISION}gwp-absent"
    return _beyond(gwp, Fraction(int(str(found.value))), found.edge) is over


def _beyond(known: Fraction | int, limit: Fraction | int, edge: str) -> bool:
    return known > limit or (known == limit and edge == "at least")


def _size(view: View, rule: str, over: bool = True) -> Answer:
    found = view.value(rule)
    if found is None:
        return False
    low, high = view.subject.charge, view.subject.charge_high
    if view.scope.get("of") == "facility":
        low, high = view.subject.largest, None
    if low is None:
        return CHARGE
    factor = _factor(view, found.unit)
    if factor is None:
        return REFRIGERANT if view.subject.ods is None else f"{DECISION}gwp-absent"
    limit = int(str(found.value))
    inside = {_beyond(Fraction(end) * factor, limit, found.edge) for end in (low, high or low)}
    return BAND if len(inside) > 1 else inside == {over}


def _factor(view: View, unit: str) -> Fraction | None:
    """What a mass in counts is multiplied by to be in the unit of the line."""
    if unit.startswith("t CO2e"):
        gwp = view.gwp()
        return None if gwp is None else gwp * Fraction(1, 1000 * KILOGRAM)
    return Fraction(1, KILOGRAM if unit.startswith("kg") else POUND)


def _decision(view: View, asked: dict[str, str]) -> Answer:
    for name, wanted in asked.items():
        question = view.scope["decisions"][name]
        known = view.subject.answer(name)
        if known not in ("yes", "no"):
            if view.subject.category in question.get("never", ()):
                known = "no"
            elif view.subject.category in question.get("always", ()):
                known = "yes"
            else:
                return DECISION + name
        if known != wanted:
            return False
    return True


def _negated(test: Callable[[View, Any], Answer]) -> Callable[[View, Any], Answer]:
    def negated(view: View, asked: Any) -> Answer:
        found = test(view, asked)
        return found if isinstance(found, str) else not found

    return negated


_FLAGS = ("ods", "hfc", "exempt_substitute", "indoors")
_TESTS: dict[str, Callable[[View, Any], Answer]] = {
    "not_state": _not_state,
    "listed": _listed,
    "category": _category,
    "not_category": _negated(_category),
    "refrigerant": _refrigerant,
    "use": _use,
    "gwp": _gwp,
    "gwp_under": lambda view, rule: _gwp(view, rule, over=False),
    "size": _size,
    "size_under": lambda view, rule: _size(view, rule, over=False),
    "decision": _decision,
}
