"""The dated events of a circuit or a site that a rule may count from or ask for, as data.

Each has a word of the trade, the kind by which the duty answers know it, and the members of
`ServiceEvent` that say more about it. A word the table does not hold is not recorded.
"""

from __future__ import annotations

from typing import NamedTuple

CIRCUIT, SITE = "circuit", "site"


class Occasion(NamedTuple):
    """One kind of event.

    `kind` is the word of the duty answers. `says` tells in a line what it is. `takes` names the
    members that may be filled in, `needs` those that must be. `after` names events of which one
    has to be on record before. `grounds` are the words `ground` may hold (none: any text).
    """

    kind: str
    says: str
    takes: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    about: str = CIRCUIT
    grounds: tuple[str, ...] = ()


OCCASIONS: dict[str, Occasion] = {
    "leak found": Occasion("detection", "a leak was found, by whatever means", ("places", "how")),
    "leak inspection": Occasion(
        "leak-inspection", "a technician looked for leaks",
        ("places", "how", "complete", "ground"), grounds=("no leak",),
    ),
    "normal conditions": Occasion(
        "normal-conditions", "the circuit runs at its normal conditions again"
    ),
    "process shutdown": Occasion(
        "shutdown", "the repair needs an industrial process shutdown", ("how",)
    ),
    "no repair": Occasion("decline", "the owner does not want it repaired"),
    "retrofit chosen": Occasion(
        "choose-retrofit", "the owner means to retrofit", ("refrigerant",)
    ),
    "retirement chosen": Occasion(
        "choose-retire", "the owner means to retire it", ("refrigerant",)
    ),
    "plan": Occasion(
        "plan", "a signed and dated retrofit or retirement plan",
        ("signed", "contents", "refrigerant", "ground"), ("ground",),
        grounds=("retrofit", "retirement"),
    ),
    "relief request": Occasion(
        "plan-relief", "relief from the plan was asked for",
        ("signed", "complete"), after=("plan",),
    ),
    "objection": Occasion(
        "objection", "the agency objected to a relief or to more time for a plan", ("ground",),
        after=("relief request", "plan extension request"), grounds=("relief", "plan extension"),
    ),
    "retrofitted": Occasion("retrofit", "the retrofit is finished", ("refrigerant",)),
    "retired": Occasion("retire", "the circuit is retired"),
    "mothballed": Occasion(
        "mothball", "evacuated to at least atmospheric pressure and shut down", ("how",)
    ),
    "repair extension request": Occasion(
        "extension-request", "more time to repair was asked for",
        ("ground", "signed", "complete", "due"), ("ground",),
        grounds=("parts", "other law", "radiological"),
    ),
    "plan extension request": Occasion(
        "plan-extension-request", "more time for the plan was asked for",
        ("ground", "signed", "complete", "due"), ("ground",),
        grounds=("custom-built", "other law", "radiological", "procurement", "federal owner"),
    ),
    "part delivered": Occasion(
        "delivery", "the part that was waited for is there", ("how",),
        after=("repair extension request", "plan extension request"),
    ),
    "estimate slipped": Occasion(
        "new-estimate", "the estimated date will not be met", ("due", "how"),
        after=("repair extension request", "plan extension request"),
    ),
    "notice sent": Occasion("notice", "the agency was told the new date and why", ("due", "how")),
    "reasons for delay": Occasion(
        "delay-evidence", "why the repair takes longer is on paper", ("ground", "how"), ("ground",),
        grounds=("parts", "technician", "shutdown"),
    ),
    "alarm": Occasion("alarm", "an automatic leak detector gave an alert", ("part", "how")),
    "detector": Occasion(
        "monitor", "an automatic leak detector watches from now on", ("part", "required", "how")
    ),
    "detector audit": Occasion(
        "monitor-audit", "the detector was audited or calibrated", ("how",), after=("detector",)
    ),
    "system start": Occasion("start-up", "a seasonal system was started"),
    "purge exclusion": Occasion(
        "purge-exclusion", "the purge exclusion was used for the first time", ("how",)
    ),
    "record made": Occasion(
        "record", "a record or report was made or sent", ("ground", "how"), ("ground",)
    ),
    "registration": Occasion(
        "registration", "the site was registered with the agency", ("places", "how"), about=SITE
    ),
    "site report": Occasion(
        "annual-report", "the yearly report of the site was sent", ("period", "how"), ("period",),
        about=SITE,
    ),
    "fee waiver": Occasion(
        "fee-waiver", "what waives the yearly fee of the site was so", ("period", "how"),
        ("period",), about=SITE,
    ),
    "fee paid": Occasion(
        "fee", "the yearly fee of the site was paid", ("period", "how"), ("period",), about=SITE
    ),
}  # fmt: skip
"""Every event that is recorded by its word."""

LEAK_WORDS = ("leak found", "leak inspection")
"""Events that name the places of leaks."""


def kind_of(what: str) -> str:
    """The word by which the duty answers know an event; itself where the table has it not."""
    found = OCCASIONS.get(what)
    return found.kind if found else what
