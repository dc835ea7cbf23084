"""Which state of a cylinder can follow which: the chain of custody of a container.

The states are the trade's (common practice, no source); that a condemned cylinder is not used
again is 49 CFR 180.205(i). What a person says is held against the state before it, the state
after it where that is known, and what the cylinder holds by the book.
"""

from __future__ import annotations

from collections.abc import Iterator

from ledger.facts.contents import MIXED, Contents
from ledger.facts.facts import Described
from ledger.facts.known import Known
from ledger.facts.mass import POUND, pounds
from ledger.facts.masters import UNKNOWN, Master, Value
from ledger.facts.problems import Problem

WORKING = frozenset(("in service", "liquid-out", "evacuated", "ready to ship"))
SIDE = frozenset(
    ("quarantined", "on loan", "not found", "stolen", "condemned", "scrapped", "returned")
)
"""States that can come over a cylinder from any state in which it is ours and at hand."""
AFTER: dict[str, frozenset[str]] = {
    "ordered": WORKING | SIDE | {"holding charge"},
    "holding charge": WORKING | SIDE,
    "in service": WORKING | SIDE,
    "liquid-out": WORKING | SIDE,
    "evacuated": WORKING | SIDE,
    "ready to ship": WORKING | SIDE,
    "quarantined": WORKING | SIDE,
    "on loan": WORKING | SIDE | {"found"},
    "found": WORKING | SIDE,
    "not found": frozenset(
        ("found", "in service", "on loan", "stolen", "scrapped", "returned", "condemned")
    ),
    "stolen": frozenset(("found", "not found")),
    "returned": frozenset(("ordered", "in service", "evacuated", "quarantined", "found")),
    "condemned": frozenset(("scrapped", "returned", "not found", "stolen")),
    "scrapped": frozenset(("found",)),
}
"""The states that can follow each; the same state again, for another reason, always can."""

EMPTY_ENOUGH = {"evacuated": POUND // 2, "liquid-out": 3 * POUND}
"""The most that a cylinder of that state can hold: half a pound is what a stamped tare is off by
(common practice, no source); three pounds is more than any heel of a 30-lb cylinder."""
_WHY = {
    "condemned": "A condemned cylinder is not used again (49 CFR 180.205(i)).",
    "scrapped": "What was scrapped is not used again.",
    "stolen": "Say first that it was found: tarebook found.",
    "not found": "Say first that it was found: tarebook found.",
}


def state_problems(known: Known, fact: Described) -> Iterator[Problem]:
    """Whether the state a description gives a cylinder can follow what the book says of it."""
    state = fact.fields.get("state")
    cylinder = known.master("cylinder", fact.name) if fact.kind == "cylinder" else None
    if cylinder is None:
        return
    if "requalified" in fact.fields and _around(cylinder, fact.since)[0] == "condemned":
        yield Problem(
            "state-impossible",
            f"Cylinder {cylinder.name} is condemned by the book and is not requalified.",
            "Check which cylinder it is (49 CFR 180.205(i)).",
        )
    if not isinstance(state, str) or state in (UNKNOWN, ""):
        return
    before, after = _around(cylinder, fact.since)
    if before and not _can_follow(before, state):
        yield _impossible(cylinder.name, before, state)
    elif after and not _can_follow(state, after):
        yield _impossible(cylinder.name, state, after)
    yield from _against_contents(known.contents(cylinder.name), cylinder, state, fact.since)


def _can_follow(before: str, after: str) -> bool:
    return before == after or before not in AFTER or after in AFTER[before]


def _around(cylinder: Master, since: str) -> tuple[str, str]:
    """The states just before and just after a day, as far as they are known."""
    before = after = ""
    values: list[Value] = cylinder.history.get("state", [])
    for value in values:
        if value.since <= since:
            before = str(value.value)
        elif not after:
            after = str(value.value)
    return before, after


def _impossible(name: str, before: str, after: str) -> Problem:
    return Problem(
        "state-impossible",
        f"Cylinder {name} is {before} by the book; {after} cannot come after that."
        f"{' ' + _WHY[before] if before in _WHY else ''}",
        "Check which cylinder it is, reverse what was entered by mistake (tarebook find), or give"
        " the reason with --because.",
    )


def _against_contents(
    contents: Contents, cylinder: Master, state: str, since: str
) -> Iterator[Problem]:
    held = contents.at(since) if since else contents.latest
    most = EMPTY_ENOUGH.get(state)
    if most is not None and held.total > most:
        yield Problem(
            "state-impossible",
            f"Cylinder {cylinder.name} holds {pounds(held.total)} lb by the book; it is not"
            f" {state}.",
            "Record first where its contents went (transfer, empty, release), or weigh it.",
        )
    elif state == "in service" and held.total > 0 and held.refrigerant == MIXED:
        yield Problem(
            "state-impossible",
            f"Cylinder {cylinder.name} holds {pounds(held.total)} lb of mixed refrigerant and stays"
            " in quarantine.",
            "Ship it to be separated or destroyed; once it is empty it can be used again.",
        )
    elif state == "holding charge" and contents.lines:
        yield Problem(
            "state-impossible",
            f"Cylinder {cylinder.name} has held refrigerant (entry {contents.lines[0].entry}); it"
            " is not new any more.",
            "Check which cylinder it is.",
        )
