"""Saturation by another library: teqp's derivatives of the Helmholtz energy, solved here.

teqp shares no code with CoolProp. It evaluates the same published equations of state, so what
agrees is the arithmetic from the equation to our table: solvers, filled bands, generation,
storage and interpolation. Whether the equations are right is asked of published tables.

The pair parameters xi and zeta of the HFC mixture model (J. Phys. Chem. Ref. Data 33, 2004) are
turned into reducing parameters here: teqp 0.23.2 reads them a factor 2 and a factor 4 off.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import teqp

from ledger.refrigerants.register import register

NAMES = {"R-290": "n-Propane", "R-600a": "IsoButane", "R-744": "CarbonDioxide",
         "R-717": "Ammonia", "R-152a": "R152A"}  # fmt: skip
LIQUID, VAPOUR = 0, 1


def _name(component: str) -> str:
    return NAMES.get(component, component.replace("R-", "R"))


@dataclass(frozen=True, slots=True)
class State:
    """What the other library says: pascal, and the density of the asked phase in mol/m3."""

    pascal: float
    density: float


Start = tuple[float, float, float]
"""Where a search begins: pascal, and the molar densities of liquid and vapour."""


@dataclass(slots=True)
class Peer:
    """One refrigerant in the other library, with its molar composition.

    `other` is the composition of the second phase found last, from which the next search goes on.
    """

    model: Any
    feed: Any
    kilograms_a_mole: float
    other: Any = None

    def saturated(self, kelvin: float, quality: int, start: Start) -> State:
        """The saturation state; temperatures are asked rising, from a fresh peer for each curve."""
        if len(self.feed) == 1:
            return _pure(self, kelvin, start)
        return _mixture(self, kelvin, quality, start)

    def vapour_density(self, kelvin: float, pascal: float) -> float:
        """The density of superheated vapour in kg/m3."""
        ideal = pascal / (8.314462618 * kelvin)
        return self.density(self.feed, pascal, kelvin, ideal) * self.kilograms_a_mole

    def density(self, x: Any, pascal: float, kelvin: float, start: float) -> float:
        """The molar density at a pressure, by Newton from a start near the root."""
        rho = start
        for _ in range(80):
            rt = self.model.get_R(x) * kelvin
            first = self.model.get_Ar01(kelvin, rho, x)
            slope = rt * (1 + 2 * first + self.model.get_Ar02(kelvin, rho, x))
            step = (pascal - rho * rt * (1 + first)) / slope
            step = np.sign(step) * min(abs(step), 0.1 * rho)
            rho += step
            if abs(step) < 1e-12 * rho:
                return float(rho)
        raise ValueError("no density found")


def peer(name: str) -> Peer:
    """A refrigerant of the register in the other library."""
    base = Path(teqp.get_datapath())
    mixtures = base / "dev" / "mixtures"
    found = register().get(name)
    assert found is not None
    names = [_name(part.component.name) for part in found.composition]
    if len(names) == 1:
        model = teqp.build_multifluid_model(names, str(base))
    else:
        pairs = json.dumps(_pairs(base, mixtures, names))
        functions = str(mixtures / "mixture_departure_functions.json")
        model = teqp.build_multifluid_model(names, str(base), pairs, {}, functions)
    masses = np.array([_molar_mass(base, one) for one in names])
    shares = np.array([float(part.percent) for part in found.composition]) / 100 / masses
    feed = shares / shares.sum()
    return Peer(model, feed, float(feed @ masses))


def _fluid(base: Path, name: str) -> dict[str, Any]:
    text = (base / "dev" / "fluids" / f"{name}.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def _molar_mass(base: Path, name: str) -> float:
    return float(_fluid(base, name)["EOS"][0]["molar_mass"])


def _pairs(base: Path, mixtures: Path, names: list[str]) -> list[dict[str, Any]]:
    """The pairs among the components, xi and zeta turned into reducing parameters."""
    rows = json.loads((mixtures / "mixture_binary_pairs.json").read_text(encoding="utf-8"))
    wanted = {name.casefold() for name in names}
    found = []
    for row in rows:
        if {row["Name1"].casefold(), row["Name2"].casefold()} <= wanted:
            found.append(_reduced(base, row) if "xi" in row else row)
    return found


def _reduced(base: Path, row: dict[str, Any]) -> dict[str, Any]:
    reducing = [
        _fluid(base, row[key])["EOS"][0]["STATES"]["reducing"] for key in ("Name1", "Name2")
    ]
    t1, t2 = (one["T"] for one in reducing)
    v1, v2 = (1 / one["rhomolar"] for one in reducing)
    kept = {key: value for key, value in row.items() if key not in ("xi", "zeta")}
    return {
        **kept, "betaT": 1.0, "betaV": 1.0,
        "gammaT": (t1 + t2 + row["xi"]) / (2 * (t1 * t2) ** 0.5),
        "gammaV": 4 * (v1 + v2 + row["zeta"]) / (v1 ** (1 / 3) + v2 ** (1 / 3)) ** 3,
    }  # fmt: skip


def _pure(one: Peer, kelvin: float, start: Start) -> State:
    _, vapour = one.model.pure_VLE_T(kelvin, start[1] * 1.0005, start[2] * 0.9995, 50)
    rt = one.model.get_R(one.feed) * kelvin
    return State(vapour * rt * (1 + one.model.get_Ar01(kelvin, vapour, one.feed)), vapour)


def _mixture(one: Peer, kelvin: float, quality: int, start: Start) -> State:
    """Equal fugacities by successive substitution, the other phase first like the feed."""
    pascal, liquid, vapour = start[0] * 1.001, start[1] * 1.001, start[2] * 0.999
    other = one.feed.copy() if one.other is None else one.other
    for _ in range(5000):
        x, y = (one.feed, other) if quality == LIQUID else (other, one.feed)
        liquid = one.density(x, pascal, kelvin, liquid)
        vapour = one.density(y, pascal, kelvin, vapour)
        phi = one.model.get_fugacity_coefficients
        k = phi(kelvin, liquid * x) / phi(kelvin, vapour * y)
        other = one.feed * k if quality == LIQUID else one.feed / k
        total = other.sum()
        other = other / total
        pascal *= total if quality == LIQUID else 1 / total
        if abs(total - 1) < 1e-10:
            assert vapour < 0.9 * liquid
            one.other = other
            return State(float(pascal), liquid if quality == LIQUID else vapour)
    raise ValueError("fugacities do not become equal")
