"""What holds of a circuit on a day: which limb binds it, its category, its full charge."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from ledger.answers.case_events import Story
from ledger.answers.leak_terms import BINDING

UNLESS = {
    "undecided": "a person decides that the rule does not bind this circuit",
    "unknown": "it turns out that the rule does not bind this circuit",
}
"""Under which condition nothing is due, where it is open whether the rule binds."""


def limb_on(story: Story, subpart: str, day: date) -> str | None:
    """The limb by which a subpart binds, or may bind, a circuit on a day; None: it does not."""
    found: str | None = None
    for scope in story.history.scope:
        if scope.since is None or scope.since <= day:
            rows = [o.row for o in scope.bindings if o.subpart == subpart and o.binds in BINDING]
            found = rows[0] if rows else None
    return found


def may_bind(story: Story, subpart: str) -> bool:
    """Whether a subpart binds, or may bind, a circuit on any day."""
    return any(
        one.subpart == subpart and one.binds in BINDING
        for scope in story.history.scope
        for one in scope.bindings
    )


def unless_on(story: Story, subpart: str, day: date) -> str:
    """The condition under which nothing is due on a day; empty where the rule plainly binds."""
    found = ""
    for scope in story.history.scope:
        if scope.since is None or scope.since <= day:
            binds = [one.binds for one in scope.bindings if one.subpart == subpart]
            found = UNLESS.get(binds[0], "") if binds else ""
    return found


def category_on(story: Story, day: date) -> str:
    """The equipment category of a circuit on a day; empty where it is not recorded."""
    found = ""
    for one in story.history.categories:
        if one.since is None or one.since <= day:
            found = one.category
    return found


def charge_on(story: Story, day: date) -> Fraction | None:
    """The full charge in force on a day, in counts; None where it is not one figure."""
    halves = None
    for charge in story.history.full_charges:
        if charge.since is None or charge.since <= day:
            halves = charge.halves()
    return Fraction(halves, 2) if halves is not None else None


def bound_from_to(story: Story, subpart: str, day: date) -> date | None:
    """The first day after `day` on which the subpart no longer binds; None while it does."""
    for scope in story.history.scope:
        if scope.since is None or scope.since <= day:
            continue
        binds = [one.binds for one in scope.bindings if one.subpart == subpart]
        if not any(one in BINDING for one in binds):
            return scope.since
    return None
