"""What is told before a cylinder goes on a truck: past its date, damaged, in quarantine.

A recovery cylinder is aboard to be filled, so it is not loaded after its requalification date (a
house rule, common practice; the law bars filling, 49 CFR 180.205(c)); supply cylinders that were
filled before may go out until they are empty.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ledger.facts.facts import Described
from ledger.facts.known import Known
from ledger.facts.masters import Master
from ledger.facts.problems import Problem
from ledger.facts.requalification import filling_problems

TRUCK = "truck"


def loading_problems(known: Known, fact: Described) -> Iterator[Problem]:
    """Every reason not to put a cylinder on a truck, for a description that puts it there."""
    place = fact.fields.get("place")
    if fact.kind != "cylinder" or fact.new or not isinstance(place, str) or not fact.since:
        return
    where, cylinder = known.master("place", place), known.master("cylinder", fact.name)
    if where is None or where.text("kind") != TRUCK or cylinder is None:
        return
    if cylinder.at("state", fact.since) == "quarantined" and "state" not in fact.fields:
        why = cylinder.text("state because", fact.since)
        yield Problem(
            "cylinder-quarantined",
            f"Cylinder {cylinder.name} is in quarantine{f' ({why})' if why else ''} and goes on no"
            " truck.",
            "Leave it in its place, or end the quarantine once that is decided.",
        )
    if _is_filled_aboard(known, cylinder, fact.since):
        for problem in filling_problems(cylinder, fact.since):
            sentence = problem.sentence.replace(": do not fill.", f": not for {where.name}.")
            yield replace(problem, sentence=sentence)


def _is_filled_aboard(known: Known, cylinder: Master, day: str) -> bool:
    """Whether a cylinder goes out to be filled: recovery cylinders, and empty refillable ones."""
    kind = cylinder.text("kind")
    if kind == "recovery":
        return True
    return kind == "refillable" and known.contents(cylinder.name).at(day).total <= 0
