"""Facts of custody: who took a cylinder over, what was shipped and what came back as paper.

Each is an observation or a paper as it is; what is still open, and whether two weights agree, is
computed from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from ledger.facts.mass import Quantity

PURPOSES = ("reclaim", "destroy", "return", "other")
"""What a cylinder is shipped for."""
PAPERS = (
    "weight ticket", "analysis", "credit", "charge", "destruction certificate", "signed",
)  # fmt: skip
"""What comes back about a shipment; `signed` is the owner's word on a difference."""
RESULTS = ("accepted", "mixed", "rejected")
"""What an analysis certificate comes to."""


@dataclass(frozen=True, slots=True)
class Handover:
    """A cylinder taken over by a second person, whose name stands beside that of the giver.

    The giver is the person of the entry; `place` is where it goes: a truck, or a party on loan.
    """

    TYPE: ClassVar[str] = "handover"
    cylinder: str
    place: str
    taken_by: str = ""


@dataclass(frozen=True, slots=True)
class Shipped:
    """One line of a shipping manifest: the cylinder, to whom, for what, by which carrier.

    `purpose` is one of PURPOSES. The gross weight is a weighing of the same entry; the number of
    the paper is the ticket of the entry, and the entry's own number names the shipment.
    """

    TYPE: ClassVar[str] = "shipped"
    cylinder: str
    party: str
    purpose: str = ""
    carrier: str = ""
    seal: str = ""


@dataclass(frozen=True, slots=True)
class ReclaimerPaper:
    """A paper that came back about a shipment, for one cylinder or (empty) for all of it.

    `shipment` is the entry that shipped it, `paper` one of PAPERS, `number` its own. A weight
    ticket has `net`, with `gross` and `tare` where given; an analysis `net` (accepted pounds),
    `purity` in percent as written and `result`; a destruction certificate `net`. Money is cents.
    """

    TYPE: ClassVar[str] = "reclaimer paper"
    shipment: int
    paper: str
    number: str = ""
    cylinder: str = ""
    gross: Quantity | None = None
    tare: Quantity | None = None
    net: Quantity | None = None
    credit_cents: int = 0
    charge_cents: int = 0
    purity: str = ""
    result: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class EmptyStatement:
    """A disposable pulled to a vacuum before scrap, as its technician states for the processor.

    `inches` of mercury below the atmosphere; the technician is the person of the entry, and the
    cylinders of one entry are one statement.
    """

    TYPE: ClassVar[str] = "empty statement"
    cylinder: str
    inches: int
    processor: str = ""


@dataclass(frozen=True, slots=True)
class DepositLine:
    """One line of a supplier's statement of cylinders out, as the supplier has it.

    `serial` is the supplier's own word for the cylinder, `cylinder` ours where it was found;
    `out` the ISO day it went out; `statement` the number or day of the statement.
    """

    TYPE: ClassVar[str] = "deposit line"
    supplier: str
    serial: str
    cylinder: str = ""
    deposit_cents: int = 0
    out: str = ""
    statement: str = ""


@dataclass(frozen=True, slots=True)
class DepositCredit:
    """A deposit that came back for a cylinder: what was credited, by which paper."""

    TYPE: ClassVar[str] = "deposit credit"
    cylinder: str
    supplier: str
    credit_cents: int = 0
    number: str = ""
