"""What a technician records of a visit beside pounds: times, readings, consent, work."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from ledger.facts.mass import Quantity

BEFORE, AFTER = "before", "after"

READINGS: dict[str, tuple[str, str]] = {
    # name: unit, what it is
    "suction": ("psig", "suction pressure"),
    "liquid": ("psig", "liquid-line or high-side pressure"),
    "suction line": ("F", "temperature of the suction line"),
    "liquid line": ("F", "temperature of the liquid line"),
    "return air": ("F", "temperature of the return air"),
    "supply air": ("F", "temperature of the supply air"),
    "return wet bulb": ("F", "wet-bulb temperature of the return air"),
    "outdoor": ("F", "outdoor temperature"),
    "superheat": ("F", "superheat as the instrument shows it"),
    "subcooling": ("F", "subcooling as the instrument shows it"),
    "split": ("F", "return less supply air, as the instrument shows it"),
    "compressor amps": ("A", "current of the compressor"),
    "volts": ("V", "supply voltage"),
    "vacuum": ("micron", "vacuum at the end of evacuation"),
    "sight glass": ("", "what the sight glass shows"),
}
"""The readings a visit can hold, each with its unit; a text where it has none."""


@dataclass(frozen=True, slots=True)
class Visit:
    """One visit to a circuit; the pounds, the leak inspection, repairs and tests are facts of the
    same entry.

    `arrived` and `departed` are "HH:MM". `also` names the other people who worked. `readings`
    are (before or after, name of READINGS, value as written). `low`, `high` bound what the
    customer was told it would take, `price_cents` is for one pound, `agreed_by` who said yes and
    `agreed_at` when. `declined_by` did not want a leak search or a repair. `waits` are minutes
    waited after each stage. `work` are (part, what was done to it).
    """

    TYPE: ClassVar[str] = "visit"
    circuit: str
    arrived: str = ""
    departed: str = ""
    also: tuple[str, ...] = ()
    complaint: str = ""
    readings: tuple[tuple[str, str, str], ...] = ()
    low: Quantity | None = None
    high: Quantity | None = None
    price_cents: int = 0
    agreed_by: str = ""
    agreed_at: str = ""
    declined_by: str = ""
    waits: tuple[int, ...] = ()
    work: tuple[tuple[str, str], ...] = ()
    outcome: str = ""
    signed_by: str = ""

    def reading(self, moment: str, name: str) -> str:
        """The last value of a reading at a moment, empty where it was not taken."""
        return next(
            (value for when, what, value in reversed(self.readings)
             if (when, what) == (moment, name)), "",
        )  # fmt: skip
