"""The refrigerants as CoolProp knows them, and a phase-equilibrium solver beside its own.

CoolProp is only asked for single states of a given phase here (density, fugacity coefficients)
and for its own saturation states; `equilibrium` brings liquid and vapour to equal fugacities by
successive substitution, so that every saturation state of a blend is checked by other means, and
the bands where CoolProp's own solver gives up are filled.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

LIQUID, VAPOUR = 0, 1
"""The saturation curves: bubble point (quality 0) and dew point (quality 1)."""

PURE_NAMES = {
    "R-170": "Ethane", "R-290": "n-Propane", "R-600": "n-Butane", "R-600a": "IsoButane",
    "R-717": "Ammonia", "R-718": "Water", "R-744": "CarbonDioxide", "R-1150": "Ethylene",
    "R-1270": "Propylene",
}  # fmt: skip
"""CoolProp's name where it is not the R-number without its hyphen."""

PSEUDO_PURE = {"R-404A": "R404A", "R-407C": "R407C", "R-410A": "R410A", "R-507A": "R507A"}
"""Blends with an equation of their own; their predefined mixtures fail in bands."""


@dataclass(frozen=True, slots=True)
class SaturationState:
    """One saturation state: kelvin, pascal, and the density of its own phase in kg/m3."""

    kelvin: float
    pascal: float
    density: float


@dataclass(slots=True)
class Fluid:
    """One refrigerant in CoolProp: its name there and whether it is a mixture of pure ones."""

    name: str
    source: str
    mixture: bool
    state: Any
    phases: tuple[Any, Any] = field(default=(None, None))

    @property
    def lowest(self) -> float:
        """The lowest temperature of the equation of state, in kelvin."""
        return float(self.state.Tmin())

    def saturated(self, kelvin: float, quality: int) -> SaturationState:
        """CoolProp's own saturation state; ValueError where it gives none."""
        import CoolProp

        self.state.update(CoolProp.QT_INPUTS, quality, kelvin)
        return SaturationState(kelvin, self.state.p(), self.state.rhomass())

    def vapour_density(self, kelvin: float, pascal: float) -> float:
        """The density of superheated vapour in kg/m3; ValueError where CoolProp gives none."""
        import CoolProp

        gas = self.phases[VAPOUR]
        gas.update(CoolProp.PT_INPUTS, pascal, kelvin)
        return float(gas.rhomass())

    @property
    def kilograms_a_mole(self) -> float:
        """The mean molar mass."""
        return float(self.state.molar_mass())

    @property
    def critical(self) -> float:
        """The critical temperature in kelvin; infinite for a mixture, where it is not asked."""
        return math.inf if self.mixture else float(self.state.T_critical())


def build(name: str, kind: str) -> Fluid | str:
    """A refrigerant of the register, or why CoolProp has none."""
    import CoolProp

    plain = name.replace("R-", "R")
    if kind == "pure" or name in PSEUDO_PURE:
        source, mixture = PURE_NAMES.get(name, plain), False
    else:
        source, mixture = f"{plain}.mix", True
    try:
        states = [CoolProp.AbstractState("HEOS", source) for _ in range(3)]
    except ValueError as error:
        if "binary pair" in str(error):
            return "CoolProp has no interaction parameters for a pair of its components"
        return "CoolProp does not know it"
    gas, liquid = states[1], states[2]
    gas.specify_phase(CoolProp.iphase_gas)
    liquid.specify_phase(CoolProp.iphase_liquid)
    return Fluid(name, source, mixture, states[0], (liquid, gas))


@dataclass(slots=True)
class Equilibrium:
    """Where a search for equal fugacities has come to: pressure, and the K-values y/x."""

    pascal: float
    k: list[float]


def equilibrium(
    fluid: Fluid, kelvin: float, quality: int, start: Equilibrium, tries: int = 400
) -> Equilibrium:
    """Liquid and vapour of equal fugacities with the blend's composition in one of them.

    Successive substitution from `start`; ValueError where it does not settle, or settles where
    liquid and vapour are the same.
    """
    import CoolProp

    liquid, gas = fluid.phases
    feed = fluid.state.get_mole_fractions()
    pascal, k = start.pascal, list(start.k)
    for _ in range(tries):
        other = [z * v if quality == LIQUID else z / v for z, v in zip(feed, k, strict=True)]
        total = sum(other)
        other = [x / total for x in other]
        liquid.set_mole_fractions(feed if quality == LIQUID else other)
        gas.set_mole_fractions(other if quality == LIQUID else feed)
        liquid.update(CoolProp.PT_INPUTS, pascal, kelvin)
        gas.update(CoolProp.PT_INPUTS, pascal, kelvin)
        count = range(len(feed))
        k = [liquid.fugacity_coefficient(i) / gas.fugacity_coefficient(i) for i in count]
        step = sum(z * v if quality == LIQUID else z / v for z, v in zip(feed, k, strict=True))
        pascal *= step if quality == LIQUID else 1 / step
        if abs(step - 1) < 1e-11:
            if gas.rhomass() > 0.8 * liquid.rhomass():
                raise ValueError("liquid and vapour have become the same")
            return Equilibrium(pascal, k)
    raise ValueError("fugacities do not become equal")


def saturated_by_fugacities(
    fluid: Fluid, kelvin: float, quality: int, start: Equilibrium
) -> tuple[SaturationState, Equilibrium]:
    """The saturation state by `equilibrium`, with the density of its own phase."""
    found = equilibrium(fluid, kelvin, quality, start)
    density = float(fluid.phases[quality].rhomass())
    fluid.phases[VAPOUR].set_mole_fractions(fluid.state.get_mole_fractions())
    return SaturationState(kelvin, found.pascal, density), found


def first_guess(fluid: Fluid, kelvin: float, quality: int) -> Equilibrium:
    """Where to begin: CoolProp's own pressure, and K-values from its saturated compositions."""
    import CoolProp

    fluid.state.update(CoolProp.QT_INPUTS, quality, kelvin)
    x = fluid.state.mole_fractions_liquid()
    y = fluid.state.mole_fractions_vapor()
    return Equilibrium(fluid.state.p(), [b / a for a, b in zip(x, y, strict=True)])
