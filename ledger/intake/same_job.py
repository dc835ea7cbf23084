"""Whether two records can be of one job: the technician's and the office's of the same pounds.

Pure and symmetric: what is known of each record goes in, and how they are alike comes out, or
None. Nothing is decided here; a person is asked. The marks of such pairs are common practice,
no source: the same unit or address, close days, about the same pounds, or pounds and ounces
read as a decimal.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from ledger.facts.mass import OUNCE, POUND, Mass, pounds
from ledger.facts.masters import UNKNOWN, folded
from ledger.intake.addresses import Address, same_address

NEAR_DAYS = 3
"""Days apart that two records of one job can be."""
TICKET_DAYS = 31
"""The same where both name one ticket: the office may key it in weeks later."""
NEAR_MASS = Mass(POUND // 2)
"""Pounds apart that two records of one job can be: a rounding, a scale of half a pound."""
FARTHEST = Mass(8 * POUND // 10)
"""No two amounts farther apart are ever alike; 4 lb 15 oz read as 4.15 is 0.79 lb."""
NEAR_MINUTES = 120
"""Minutes between two times of day that one job can have been given."""

WAYS = {"addition": 0, "recovery": 1, "addition by others": 2}
"""Purposes of movements that can be recorded twice, numbered."""


class Place(NamedTuple):
    """Where work was done, as far as a record says.

    `circuit` is the name of the circuit reduced to its letters and figures, `site` the folded
    name of its site, `own` the address that the circuit's own name is, `around` those of its
    site. `unit` says that a unit is named and not only where it stands. All empty: nowhere.
    """

    circuit: str = ""
    site: str = ""
    own: Address | None = None
    around: tuple[Address, ...] = ()
    unit: bool = False

    @property
    def addresses(self) -> tuple[Address, ...]:
        """Every address of the place."""
        return (self.own, *self.around) if self.own is not None else self.around


NOWHERE = Place()


class Record(NamedTuple):
    """One record of a charge or a recovery, with what tells jobs apart.

    `way` is a value of WAYS, `day` an ordinal, `mass` counts, `minute` the minute of the day
    or -1, `gross` the first and the last gross weight or empty, `ticket` a `ticket_key`.
    `entry` and `line` say where the book has it; 0 where it is not in the book.
    """

    way: int
    day: int
    mass: int
    refrigerant: str
    place: Place
    cylinder: str = ""
    ticket: str = ""
    minute: int = -1
    gross: tuple[int, ...] = ()
    entry: int = 0
    line: int = 0


@dataclass(frozen=True, slots=True)
class Likeness:
    """How two records are alike: days and counts apart, and what beside that points to one job.

    `ounces` is "4.8 lb and 4 lb 8 oz" where one can be the other misread; `ticket` that both
    name one ticket, `weights` that both have the same gross weights.
    """

    days: int
    apart: Mass
    ounces: str = ""
    ticket: bool = False
    weights: bool = False

    @property
    def order(self) -> tuple[bool, bool, int, int]:
        """Sorts the likeliest pair first."""
        return not self.weights, not self.ticket, self.days, int(self.apart)

    def words(self) -> str:
        """The likeness in words: "0.02 lb and 0 days apart, the same ticket"."""
        days = f"{self.days} day{'' if self.days == 1 else 's'}"
        parts = [f"{pounds(self.apart)} lb and {days} apart"]
        if self.ounces:
            parts.append(f"as {self.ounces}")
        parts += ["the same ticket"] if self.ticket else []
        parts += ["the same gross weights"] if self.weights else []
        return ", ".join(parts)


def likeness(one: Record, other: Record) -> Likeness | None:
    """How two records are alike where they can be of one job, else None."""
    if one.way != other.way or told_apart(one, other):
        return None
    days, apart = abs(one.day - other.day), Mass(abs(one.mass - other.mass))
    ticket = bool(one.ticket) and one.ticket == other.ticket
    if apart > FARTHEST or days > (TICKET_DAYS if ticket else NEAR_DAYS):
        return None
    ounces = ounces_misread(one.mass, other.mass)
    if apart > NEAR_MASS and not ounces:
        return None
    found = Likeness(days, apart, ounces, ticket, bool(one.gross) and one.gross == other.gross)
    return found if _one_place(one, other, found) else None


def told_apart(one: Record, other: Record) -> bool:
    """Whether what both records say shows two jobs: refrigerant, ticket, cylinder, weights, time.

    Only the time of day counts, for the day is what the office gets wrong. On one ticket at
    one circuit, the same pounds of another refrigerant are a slip of one record, and other
    weights are too, unless the one begin where the other end.
    """
    if one.ticket and other.ticket and one.ticket != other.ticket:
        return True
    one_visit = bool(one.ticket and other.ticket and one.place.circuit) and (
        one.place.circuit == other.place.circuit
    )
    if not (
        one.refrigerant == other.refrigerant
        or not_known(one.refrigerant)
        or not_known(other.refrigerant)
        or (one_visit and one.mass == other.mass)
    ):
        return True
    if one.cylinder and other.cylinder and one.cylinder != other.cylinder:
        return True
    if one.gross and other.gross and one.gross != other.gross:
        stages = one.gross[1] == other.gross[0] or other.gross[1] == one.gross[0]
        if stages or not one_visit:
            return True
    if one.minute < 0 or other.minute < 0:
        return False
    between = abs(one.minute - other.minute)
    return min(between, 1440 - between) > NEAR_MINUTES


def not_known(refrigerant: str) -> bool:
    """Whether a record does not say which refrigerant it was."""
    return refrigerant in ("", UNKNOWN)


def ounces_misread(one: int, other: int) -> str:
    """The two readings where one amount is the other with its ounces read as a decimal, else "".

    4 lb 8 oz is written 4.8, 4 lb 15 oz 4.15, 7 lb 10 oz 7.10 (and kept as 7.1), 4 lb 5 oz 4.5
    or 4.05.
    """
    for decimal, right in ((one, other), (other, one)):
        whole, rest = divmod(right, POUND)
        ounces, left = divmod(rest, OUNCE)
        if left or not 0 < ounces < 16 or decimal == right:
            continue
        tenths = ounces if ounces < 10 else 1 if ounces == 10 else 0
        for part, parts in ((tenths, 10), (ounces, 100)):
            if part and parts * (decimal - whole * POUND) == part * POUND:
                shown = f"{whole}.{part if parts == 10 else f'{part:02d}'}"
                return f"{shown} lb and {whole} lb {ounces} oz"
    return ""


def _one_place(one: Record, other: Record, found: Likeness) -> bool:
    """Whether the places allow one job; what is not known needs the ticket instead."""
    here, there = one.place, other.place
    if here == NOWHERE == there:
        return found.ticket or (found.days == 0 and found.apart == 0)
    where = _together(here, there)
    if where is None:
        return found.ticket
    if where and here.unit and there.unit and here.circuit != there.circuit:
        # Two units of one site are two jobs, unless one weighing stands for both.
        return found.weights
    return where


def _together(here: Place, there: Place) -> bool | None:
    """Whether two places are one; None where that cannot be told."""
    if here.own is not None and there.own is not None:
        return same_address(here.own, there.own)
    if here.site and there.site and here.site == there.site:
        return True
    ours, theirs = here.addresses, there.addresses
    if ours and theirs:
        return any(same_address(a, b) for a in ours for b in theirs)
    if here.site and there.site:
        return False
    if here.circuit and here.circuit == there.circuit:
        return True
    return None


_BEFORE_NUMBER = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ #-.:/0"


def ticket_key(text: str) -> str:
    """The form in which tickets are compared: "WO-04412", "#4412" and "4412" are one number."""
    number = text.lstrip(_BEFORE_NUMBER)
    if number.isdecimal():
        return number
    return number.casefold().rstrip() or text.casefold().strip()


def circuit_key(name: str) -> str:
    """The form in which names of units are compared: "RTU-3" and "rtu 3" are one."""
    fold = folded(name)
    return "".join(sign for sign in fold if sign.isalnum()) or fold
