"""What a simulated shop leaves behind: its entries, its count sheets and the papers in its drawer.

These are all that a reconciliation may look at. Masses are as somebody wrote them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from ledger.facts.entry import Draft
from ledger.facts.mass import Quantity

SEEN_SEALED, SEEN_WEIGHED, NOT_THERE = "sealed", "weighed", "not there"


@dataclass(frozen=True, slots=True)
class Command:
    """One thing typed: the draft, the day it was typed, and how the office answers a refusal.

    `because` is the reason given where the book holds less than left a cylinder (it was weighed,
    so it is so). `provisional` where a cylinder is not in the book yet, its invoice being in a
    drawer.
    """

    typed_on: str
    draft: Draft
    because: str = ""
    provisional: bool = False


class CountRow(NamedTuple):
    """One line of a count sheet, filled in blind at the cut-off.

    `seen` is sealed (counted, not weighed), weighed, or not there (on the sheet by its last
    recorded place, and not found). `refrigerant`, `tare` and, on a disposable, the net pounds of
    its `label` are read off the cylinder.
    """

    place: str
    cylinder: str
    seen: str
    gross: Quantity | None
    scale: str
    refrigerant: str
    tare: Quantity | None
    label: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Count:
    """The count of all places at a month's end.

    `month` is "2025-03", `cut_off` its last day (end of day); what was typed by the end of
    `closed_on` was known when the month was closed.
    """

    month: str
    cut_off: str
    closed_on: str
    rows: tuple[CountRow, ...]


class Job(NamedTuple):
    """One line of the dispatch list: a job that a truck was sent to, and its ticket number.

    `nothing_used` is whether the ticket came back saying that no refrigerant was moved. A job of
    which nothing was typed and that does not say so is an open ticket.
    """

    ticket: str
    day: str
    truck: str
    technician: str
    circuit: str
    nothing_used: bool


class Invoice(NamedTuple):
    """One line of the supplier's statement: what was delivered and billed."""

    invoice: str
    day: str
    supplier: str
    refrigerant: str
    packages: int
    pounds: Quantity


class WeightTicket(NamedTuple):
    """What the reclaimer weighed of a shipped cylinder."""

    day: str
    cylinder: str
    refrigerant: str
    gross: Quantity
    tare: Quantity
    net: Quantity


@dataclass(slots=True)
class Papers:
    """Everything a shop has on paper; `commands` in the order typed."""

    commands: list[Command] = field(default_factory=list)
    counts: list[Count] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    invoices: list[Invoice] = field(default_factory=list)
    weight_tickets: list[WeightTicket] = field(default_factory=list)
