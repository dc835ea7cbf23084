"""Handovers, shipments, reclaimers' papers, statements and deposits in a few plain words."""

from __future__ import annotations

from ledger.facts.papers import (
    DepositCredit,
    DepositLine,
    EmptyStatement,
    Handover,
    ReclaimerPaper,
    Shipped,
)

CustodyFact = Handover | Shipped | ReclaimerPaper | EmptyStatement | DepositLine | DepositCredit
CUSTODY = (Handover, Shipped, ReclaimerPaper, EmptyStatement, DepositLine, DepositCredit)
"""The facts this module speaks of."""


def custody_in_words(fact: CustodyFact) -> str:
    """One fact of custody in a few plain words."""
    if isinstance(fact, Handover):
        return f"cylinder {fact.cylinder} taken over at {fact.place} by {fact.taken_by or 'nobody'}"
    if isinstance(fact, Shipped):
        seal = f", seal {fact.seal}" if fact.seal else ""
        carrier = f", carrier {fact.carrier}" if fact.carrier else ""
        purpose = f" to {fact.purpose}" if fact.purpose not in ("", "other") else ""
        return f"cylinder {fact.cylinder} shipped to {fact.party}{purpose}{carrier}{seal}"
    if isinstance(fact, ReclaimerPaper):
        return _paper(fact)
    if isinstance(fact, EmptyStatement):
        to = f" for {fact.processor}" if fact.processor else ""
        return f"cylinder {fact.cylinder} evacuated to {fact.inches} in. Hg{to}"
    if isinstance(fact, DepositLine):
        return (
            f"{fact.supplier} lists {fact.cylinder or fact.serial} as out,"
            f" deposit {dollars(fact.deposit_cents)}"
        )
    return f"deposit of {fact.cylinder} credited by {fact.supplier}, {dollars(fact.credit_cents)}"


def _paper(fact: ReclaimerPaper) -> str:
    about = f"cylinder {fact.cylinder}" if fact.cylinder else "all of it"
    parts = [f"{fact.paper}{f' {fact.number}' if fact.number else ''} for shipment {fact.shipment}"]
    parts.append(about)
    parts += [f"net {fact.net.written}"] if fact.net else []
    parts += [f"{fact.purity} %"] if fact.purity else []
    parts += [fact.result] if fact.result else []
    parts += [f"credit {dollars(fact.credit_cents)}"] if fact.credit_cents else []
    parts += [f"charge {dollars(fact.charge_cents)}"] if fact.charge_cents else []
    parts += [fact.reason] if fact.reason else []
    return ", ".join(parts)


def dollars(cents: int) -> str:
    """Cents as dollars: "$1,250.00"."""
    return f"${cents // 100:,}.{cents % 100:02}"
