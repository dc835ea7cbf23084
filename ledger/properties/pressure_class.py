"""The pressure class of 40 CFR 82.152: by the liquid's saturation pressure at 104 F."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import properties
from ledger.properties.units import PSI, kelvin_of
from ledger.refrigerants.register import pressure_class as class_of
from ledger.refrigerants.register import register

LINES_PSIA = (45, 170, 355)
"""Where low ends and medium, high and very high begin."""
NEAR = 0.02
"""A figure within this share of a line could stand on its other side by another table."""


@dataclass(frozen=True, slots=True)
class PressureClass:
    """The class with what it rests on.

    `name` is the class the register gives: one that the rule itself names goes before a computed
    one. `psia` is the pressure at 104 F, from the property table where there is one, else the
    register's own figure; None where the critical temperature is under 104 F or nothing is known.
    `computed` is the class that `psia` gives, empty without one.
    """

    refrigerant: str
    name: str
    psia: float | None
    computed: str
    cite: str
    evidence: str

    @property
    def near_a_line(self) -> int | None:
        """The line, in psia, that the pressure is so near to that another table may differ."""
        return next(
            (line for line in LINES_PSIA if self.psia and abs(self.psia / line - 1) <= NEAR), None
        )


def pressure_class(refrigerant: str) -> PressureClass | None:
    """The pressure class of a refrigerant of the register; None where it has none of that name."""
    found = register().get(refrigerant)
    if found is None:
        return None
    psia = _psia(refrigerant)
    if psia is None and found.psia_104f is not None:
        psia = float(found.psia_104f)
    basis = found.pressure_basis
    computed = "" if psia is None else class_of(Fraction(psia))
    return PressureClass(
        refrigerant, found.pressure_class, psia, computed, basis.cite, basis.evidence
    )


def _psia(refrigerant: str) -> float | None:
    one = properties(refrigerant)
    if isinstance(one, NoSoundData):
        return None
    pascal = one.bubble_pressure(kelvin_of(104, "F"))
    return None if isinstance(pascal, NoSoundData) else pascal / PSI
