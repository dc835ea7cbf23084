"""The dated events of a circuit or a site, in the words shops write into a sheet.

Each word means one event of `ledger.facts.occasions`; what may mean two is asked about, because
some of these events move a date. Common practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

from ledger.facts.occasions import OCCASIONS, SITE

INSPECTION, FOUND, MOTHBALLED = "leak inspection", "leak found", "mothballed"

_UNIT = ("site", "unit", "circuit")
_WHO = ("technician", "supervised by", "ticket")
_WEIGHTS = (
    "refrigerant", "amount", "gross before", "gross after", "readings", "scale", "cylinder",
    "to cylinder",
)  # fmt: skip
FIELD_OF = {
    "places": ("leak places", "where"), "how": ("how",), "complete": ("all parts",),
    "ground": ("ground",), "signed": ("signed",), "part": ("watched part",),
    "required": ("detector required",), "refrigerant": ("replacement",), "contents": (),
    "due": ("estimated day",), "period": ("report year",),
}  # fmt: skip
"""The fields of a row that fill in each member of an event.

The contents of a plan have none: what a rule wants in it is looked up by the command `plan`.
"""


class Said(NamedTuple):
    """One way a row names an event: the event, the ground the words say with it, the words."""

    what: str
    words: str = ""
    ground: str = ""


_SAID: dict[str, Said] = {
    INSPECTION: Said(
        INSPECTION, "inspection, inspected, leak check, leak checked, leak search,"
        " checked for leaks, looked for leaks",
    ),
    "no leak found": Said(
        INSPECTION, "no leaks found, inspected no leak, inspected no leaks, leak check no leak",
        "no leak",
    ),
    FOUND: Said(FOUND, "leaks found, leak detected, found leak, found a leak"),
    "normal conditions": Said(
        "normal conditions", "back to normal, normal operation, back in normal operation,"
        " back to normal operation, normal operating conditions, running normal again",
    ),
    "process shutdown": Said(
        "process shutdown", "industrial process shutdown, shutdown needed for repair,"
        " process shutdown needed",
    ),
    "no repair": Said(
        "no repair", "repair declined, declined repair, owner declined, owner declined repair",
    ),
    "retrofit chosen": Said(
        "retrofit chosen", "owner chose retrofit, chose retrofit, retrofit decided",
    ),
    "retirement chosen": Said(
        "retirement chosen", "owner chose retirement, chose retirement, retirement decided",
    ),
    "retrofit plan": Said("plan", "plan to retrofit", "retrofit"),
    "retirement plan": Said("plan", "plan to retire", "retirement"),
    "retrofitted": Said("retrofitted", "retrofit done, retrofit finished, retrofit completed"),
    "retired": Said("retired", "retired the unit, unit retired"),
    MOTHBALLED: Said(MOTHBALLED, "mothball, mothballing, evacuated and shut down"),
    "repair extension request": Said(
        "repair extension request", "repair extension, repair extension asked,"
        " more time to repair",
    ),
    "plan extension request": Said(
        "plan extension request", "plan extension, plan extension asked, more time for plan",
    ),
    "alarm": Said("alarm", "detector alarm, leak alarm"),
    "detector": Said(
        "detector", "detector installed, leak detector, leak detector installed,"
        " automatic leak detector",
    ),
    "detector audit": Said("detector audit", "detector calibrated, detector calibration"),
    "system start": Said("system start", "seasonal start, started for the season"),
}  # fmt: skip

SAID: dict[str, Said] = _SAID | {
    what: Said(what) for what in OCCASIONS if what not in _SAID and what != "plan"
}
"""Every event a row can name, by its name as an action."""

EVERYDAY = (
    INSPECTION, "no leak found", FOUND, "normal conditions", "process shutdown", "no repair",
    "retrofit chosen", "retrofit plan", "retirement plan", MOTHBALLED,
)  # fmt: skip
"""The events that are offered where the action of a row is not understood."""

TWO_WAYS: dict[str, tuple[str, ...]] = {
    "shutdown": ("process shutdown", MOTHBALLED),
    "shut down": ("process shutdown", MOTHBALLED, "retired"),
    "plan": ("retrofit plan", "retirement plan"),
    "extension": ("repair extension request", "plan extension request"),
    "extension asked": ("repair extension request", "plan extension request"),
    "extension request": ("repair extension request", "plan extension request"),
    "more time": ("repair extension request", "plan extension request"),
    "retrofit": ("retrofit chosen", "retrofit plan", "retrofitted"),
    "retirement": ("retirement chosen", "retirement plan", "retired"),
    "leak test": (INSPECTION, "initial test", "follow-up test"),
    "test": ("initial test", "follow-up test"),
    "retest": ("initial test", "follow-up test"),
    "tested": ("initial test", "follow-up test"),
    "leak": (FOUND, INSPECTION),
}
"""Words that may mean two things, each with what it may mean."""

VERBS = {
    INSPECTION: "inspect", FOUND: "leak", "plan": "plan", MOTHBALLED: "mothball",
    "repair extension request": "extend", "plan extension request": "extend",
}  # fmt: skip
"""The verb of the command that records the same; of all others `event`."""

GROUND_WORDS = {
    "part": "parts", "parts on order": "parts", "waiting for parts": "parts",
    "other law": "other law", "other rules": "other law", "custom": "custom-built",
    "custom built": "custom-built", "federal": "federal owner", "retire": "retirement",
}  # fmt: skip
"""Other ways to write a ground."""


def fields_for(said: Said) -> tuple[str, ...]:
    """The fields of a row that say something about an event."""
    row = OCCASIONS[said.what]
    found = ["site"] if row.about == SITE else list(_UNIT)
    if said.what == INSPECTION:
        found.append("result")
    for member in row.takes:
        if member != "ground" or not said.ground:
            found += FIELD_OF[member]
    if said.what == MOTHBALLED:
        found += _WEIGHTS
    return (*found, *_WHO)
