"""The trade's verbs as drafts: what each command or import row asks the book to record.

Each function builds the facts of one verb from plain values; names are resolved, stock and
owner derived, and everything checked when the book records the draft.
"""

from __future__ import annotations

from ledger.facts.facts import (
    AIR,
    Attempt,
    Described,
    Evidence,
    Fact,
    Movement,
    Receipt,
    UnknownAddition,
    Weighing,
    holder,
)
from ledger.facts.mass import Quantity
from ledger.facts.masters import UNKNOWN

NO_CYLINDER = "no cylinder named"
CAUSES = (
    "known release", "cylinder leak in storage", "hose", "purge unit discharge", "appliance leak",
    "recovery shortfall", "oil-borne", "theft", "lost cylinder",
)  # fmt: skip
"""Loss categories that a release can have; common practice, no source."""
THEFT = "theft"
"""The cause, and the named difference, of what was stolen with its cylinder."""
CLAIMS = ("new charge", "post-retrofit", "seasonal", "mothballing")


def cylinder_holder(name: str) -> str:
    """The holder of a named cylinder, or of the difference where nobody named one."""
    return holder("cylinder", name) if name else holder("difference", NO_CYLINDER)


def receive(
    cylinder: str, supplier: str, refrigerant: str, net: Quantity, evidence: Evidence,
    stock: str = "virgin", receipt: Receipt | None = None,
) -> list[Fact]:  # fmt: skip
    """Refrigerant bought or otherwise taken in, in its cylinder."""
    facts: list[Fact] = [
        Movement(
            holder("party", supplier), holder("cylinder", cylinder), refrigerant, net, "receipt",
            stock=stock, evidence=evidence,
        )
    ]  # fmt: skip
    if receipt is not None:
        facts.append(receipt)
    return facts


def charge(
    circuit: str, cylinder: str, refrigerant: str, net: Quantity, evidence: Evidence,
    claim: str = "",
) -> list[Fact]:  # fmt: skip
    """Refrigerant from a cylinder into a circuit."""
    return [
        Movement(
            cylinder_holder(cylinder), holder("circuit", circuit), refrigerant, net, "addition",
            claim=claim, evidence=evidence,
        )
    ]  # fmt: skip


def recover(
    circuit: str, cylinder: str, refrigerant: str, net: Quantity, evidence: Evidence,
    claim: str = "",
) -> list[Fact]:  # fmt: skip
    """Refrigerant out of a circuit into a cylinder; zero is an attempt that brought nothing."""
    if net.mass == 0:
        return [Attempt(circuit, refrigerant, cylinder)]
    return [
        Movement(
            holder("circuit", circuit), cylinder_holder(cylinder), refrigerant, net, "recovery",
            stock="recovered", claim=claim, evidence=evidence,
        )
    ]  # fmt: skip


def condition_of_recovered(
    cylinder: str, condition: str, refrigerant: str, circuit: str, day: str
) -> list[Fact]:
    """The condition of what was recovered; a burn-out and what nobody can name are quarantined."""
    fields = {"contents condition": condition} if condition else {}
    why = "burn-out" if condition == "burn-out" else ""
    if refrigerant == UNKNOWN:
        why = "contents unknown"
    if why:
        fields |= {"state": "quarantined", "state because": f"{why}, recovered from {circuit}"}
    return [Described("cylinder", cylinder, fields, since=day)] if fields else []


def transfer(
    source: str, target: str, refrigerant: str, net: Quantity, evidence: Evidence
) -> list[Fact]:
    """Refrigerant from one cylinder into another."""
    return [
        Movement(
            holder("cylinder", source), holder("cylinder", target), refrigerant, net, "transfer",
            evidence=evidence,
        )
    ]  # fmt: skip


def leave(
    cylinder: str, party: str, refrigerant: str, net: Quantity, evidence: Evidence, purpose: str
) -> list[Fact]:
    """Contents that leave with their cylinder: `purpose` is shipment or return."""
    return [
        Movement(
            holder("cylinder", cylinder), holder("party", party), refrigerant, net, purpose,
            evidence=evidence,
        )
    ]  # fmt: skip


def added_by_others(
    circuit: str, party: str, refrigerant: str, net: Quantity | None, estimated: bool
) -> list[Fact]:
    """An addition another contractor made: known, estimated, or of unknown amount."""
    if net is None:
        return [UnknownAddition(circuit, refrigerant, party)]
    return [
        Movement(
            holder("party", party or "another contractor"), holder("circuit", circuit),
            refrigerant, net, "addition by others", amount="estimated" if estimated else "",
            evidence=Evidence("stated"),
        )
    ]  # fmt: skip


def release(
    source: str, refrigerant: str, net: Quantity, evidence: Evidence, cause: str
) -> list[Fact]:
    """A known release to the air, with its cause."""
    return [Movement(source, AIR, refrigerant, net, "release", cause=cause, evidence=evidence)]


def write_off_heel(
    cylinder: str, refrigerant: str, net: Quantity, evidence: Evidence
) -> list[Fact]:
    """The heel left in a cylinder that goes to scrap or back."""
    return [
        Movement(
            holder("cylinder", cylinder), holder("difference", "heel"), refrigerant, net, "heel",
            cause="heel", evidence=evidence,
        )
    ]  # fmt: skip


def opening(
    cylinder: str, refrigerant: str, net: Quantity, evidence: Evidence, stock: str, owner: str
) -> list[Fact]:
    """What a cylinder held on the day the book starts, brought forward."""
    return [
        Movement(
            holder("brought-forward", "opening"), holder("cylinder", cylinder), refrigerant, net,
            "opening", stock=stock, owner=owner, evidence=evidence,
        )
    ]  # fmt: skip


def place_cylinder(cylinder: str, place: str, day: str, why: str = "") -> list[Fact]:
    """A cylinder put on a truck, in the warehouse or at a site."""
    return [Described("cylinder", cylinder, {"place": place}, since=day, why=why)]


def weigh(cylinder: str, gross: Quantity, scale: str, state: str = "") -> list[Fact]:
    """A cylinder put on a scale."""
    return [Weighing(cylinder, gross, scale, state)]
