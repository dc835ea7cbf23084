"""Says which field of a row a refusal is about, so that its cell can be named."""

from __future__ import annotations

import re

from ledger.facts.problems import Problem

_KINDS = {
    "circuit": ("unit", "circuit", "site"), "unit": ("unit", "name", "circuit", "site"),
    "cylinder": ("cylinder", "to cylinder", "name"), "person": ("technician", "supervised by"),
    "party": ("supplier", "party", "owner"), "customer": ("supplier", "party", "owner"),
    "site": ("site",), "place": ("place",), "scale": ("scale",), "machine": ("name",),
}  # fmt: skip
_CODES = {
    "amount-not-positive": ("amount", "added", "recovered"),
    "amount-absurd": ("amount", "added", "recovered"),
    "cylinder-short": ("amount", "added", "gross after", "cylinder"),
    "above-full-charge": ("amount", "added", "recovered", "gross after", "unit", "circuit"),
    "over-capacity": ("amount", "recovered", "gross after", "to cylinder", "cylinder"),
    "weights-reversed": ("gross after", "readings"),
    "weights-disagree": ("amount", "gross after"),
    "date-future": ("date",), "date-absurd": ("date",), "date-before-unit": ("date",),
    "date-after-retired": ("date",), "circuit-needed": ("unit", "circuit", "site"),
    "second-refrigerant": ("to cylinder", "cylinder"), "wrong-refrigerant": ("refrigerant", "unit"),
    "disposable-recovery": ("to cylinder", "cylinder"), "other-owner": ("cylinder",),
    "recovered-not-stock": ("cylinder",), "cylinder-quarantined": ("cylinder", "to cylinder"),
    "requalification-due": ("to cylinder", "cylinder"), "not-refrigerant": ("cylinder",),
    "no-certification": ("technician",), "same-holder": ("to cylinder",), "id-taken": ("name",),
}  # fmt: skip
_UNKNOWN = re.compile(r"No ([a-z]+)")


def fields_for(name: str, problem: Problem) -> tuple[str, ...]:
    """The fields a problem may be about, the likeliest first; `name` where the reader knows."""
    if name:
        # An amount may stand under a heading that says what was done with it.
        return (name, *_CODES["amount-absurd"]) if name == "amount" else (name,)
    if problem.code == "unknown-id" and (match := _UNKNOWN.match(problem.sentence)):
        return _KINDS.get(match[1], ())
    return _CODES.get(problem.code, ())
