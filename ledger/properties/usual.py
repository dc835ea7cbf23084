"""What readings at a unit usually are: ranges as data, each with where it comes from.

A range is what the trade or a published text expects of a healthy system in steady running; a
reading outside it is a reason to look, not a fault. Where the maker gives a figure, that one goes
before. Temperatures and differences are in degrees F.
"""

from __future__ import annotations

from dataclasses import dataclass

PRACTICE = "common practice, no source"
CHOICE = "this project's choice"


@dataclass(frozen=True, slots=True)
class Usual:
    """One usual range, both ends inside it; None is an open end.

    `source` names the text or says that there is none. `note` is what to know about the range.
    """

    what: str
    low: float | None
    high: float | None
    unit: str
    source: str
    note: str = ""

    def holds(self, value: float) -> bool:
        """Whether a reading lies in the range."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)

    @property
    def text(self) -> str:
        """The range as it is printed: "18 to 22 F", "at most 500 microns"."""
        if self.low is None:
            return f"at most {_told(self.high)} {self.unit}"
        if self.high is None:
            return f"at least {_told(self.low)} {self.unit}"
        return f"{_told(self.low)} to {_told(self.high)} {self.unit}"


def _told(value: float | None) -> str:
    return f"{value:g}" if value is not None else ""


SPLIT = Usual("temperature split", 18, 22, "F", PRACTICE,
              "cooling, return air of ordinary humidity; damp air makes it smaller")  # fmt: skip
APPROACH = Usual(
    "condensing over outdoor air", 10, 25, "F", PRACTICE,
    "about 15 F for a healthy residential system; the width of the range is"
    f" {CHOICE}, older systems run further above",
)  # fmt: skip
COIL = Usual("coil saturation", 32, None, "F", "freezing point of water",
             "it falls about one degree for each degree of return air"
             f" ({PRACTICE})")  # fmt: skip
SUBCOOLING_BAND = 2.0
"""Subcooling is met within this of the maker's figure, F; common practice, no source."""
SUPERHEAT_BAND = 5.0
"""A target superheat is met within this, F; California 2008 Residential Appendix RA3.2."""
SUPERHEAT_SOURCE = "California 2008 Residential Appendices RA3.2, page RA3-14"
METERED = Usual("superheat at an expansion valve", 3, 26, "F",
                "California 2008 Residential Appendices RA3.2, page RA3-15",
                "the maker's figure goes before")  # fmt: skip
AMPS = Usual("amps against RLA", 40, 80, "%", PRACTICE,
             "about 60 % for a healthy compressor; the width of the range is"
             f" {CHOICE}")  # fmt: skip
SETTLED = Usual("wait after a stage", 5, None, "min", PRACTICE,
                "5 to 10 minutes after each stage; makers ask for about 20 before final"
                " readings")  # fmt: skip
DEEP_VACUUM = Usual("vacuum before charging", None, 500, "microns", PRACTICE,
                    "held with the pump shut off; the maker's figure goes before")  # fmt: skip
