"""Every table against direct calls of the pinned CoolProp, within the bounds it states."""

from __future__ import annotations

import random

import CoolProp
import pytest
from CoolProp import CoolProp as library

from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import Properties, properties
from ledger.properties.tables import index
from ledger.properties.units import kelvin_of
from ledger.refrigerants.register import register
from tests.properties.making.fluids import (
    LIQUID,
    VAPOUR,
    Equilibrium,
    Fluid,
    SaturationState,
    build,
    first_guess,
    saturated_by_fugacities,
)
from tests.properties.making.tables import COOLPROP

NAMES = tuple(index().records)
POINTS = 60


def _fluid(name: str) -> Fluid:
    found = register().get(name)
    assert found is not None
    fluid = build(name, found.kind)
    assert not isinstance(fluid, str)
    return fluid


def _kelvins(name: str, low: float, high: float) -> list[float]:
    """Both ends and random temperatures between, rising; the same in every run."""
    chance = random.Random(name)
    return sorted([low, high, *(chance.uniform(low, high) for _ in range(POINTS))])


class Direct:
    """CoolProp's own saturation state; by equal fugacities where its solver gives none."""

    def __init__(self, fluid: Fluid, quality: int) -> None:
        self.fluid, self.quality = fluid, quality
        self.kelvin = 0.0
        self.start: Equilibrium | None = None

    def at(self, kelvin: float) -> SaturationState | None:
        """The state; None where there is nothing to begin from. Temperatures are asked rising."""
        try:
            found = self.fluid.saturated(kelvin, self.quality)
            if self.fluid.mixture:
                self.kelvin, self.start = kelvin, first_guess(self.fluid, kelvin, self.quality)
            return found
        except ValueError:
            return None if self.start is None else self._walked(self.start, kelvin)

    def _walked(self, start: Equilibrium, kelvin: float) -> SaturationState | None:
        """In small steps from the last state; near the top some lengths of step fail."""
        for a_kelvin in (20, 4, 1, 50):
            try:
                return self._steps(start, kelvin, max(1, round((kelvin - self.kelvin) * a_kelvin)))
            except ValueError:
                continue
        return None

    def _steps(self, start: Equilibrium, kelvin: float, count: int) -> SaturationState:
        for step in range(1, count + 1):
            here = self.kelvin + (kelvin - self.kelvin) * step / count
            found, start = saturated_by_fugacities(self.fluid, here, self.quality, start)
        self.kelvin, self.start = kelvin, start
        return found


def test_the_library_is_the_pinned_one() -> None:
    assert CoolProp.__version__ == COOLPROP == index().coolprop


@pytest.mark.parametrize("name", NAMES)
def test_saturation_is_within_the_stated_bounds(name: str) -> None:
    one, fluid = properties(name), _fluid(name)
    assert isinstance(one, Properties)
    bounds, seen, unseen = one.record.bounds, 0, 0
    for quality, pressure, temperature, density, curve, of in (
        (LIQUID, one.bubble_pressure, one.bubble_temperature, one.liquid_density, "bubble",
         "liquid"),
        (VAPOUR, one.dew_pressure, one.dew_temperature, one.vapour_density, "dew", "vapour"),
    ):  # fmt: skip
        ends = one.range(curve)
        if isinstance(ends, NoSoundData):
            assert curve in one.record.dropped
            continue
        direct = Direct(fluid, quality)
        for kelvin in _kelvins(name, *ends):
            own = direct.at(kelvin)
            if own is None:
                unseen += 1
                continue
            seen += 1
            pascal, back, rho = pressure(kelvin), temperature(own.pascal), density(kelvin)
            assert not isinstance(pascal, NoSoundData)
            assert abs(pascal / own.pascal - 1) <= bounds["pressure"], (curve, kelvin)
            if not isinstance(back, NoSoundData):
                assert abs(back - kelvin) <= bounds["kelvin"], (curve, kelvin)
            if not isinstance(rho, NoSoundData):
                assert abs(rho / own.density - 1) <= bounds[of], (of, kelvin)
    assert seen >= POINTS and unseen <= 4


@pytest.mark.parametrize("name", NAMES)
def test_superheated_vapour_is_within_the_stated_bound(name: str) -> None:
    one, fluid, chance = properties(name), _fluid(name), random.Random(name)
    assert isinstance(one, Properties)
    if "superheated" in one.record.dropped:
        return
    near, hot = one.table.grids["superheated"], one.table.grids["hot"]
    for _ in range(150):
        kelvin = chance.uniform(near.first, hot.last)
        limit = one.dew_pressure(min(kelvin, near.last))
        assert not isinstance(limit, NoSoundData)
        pascal = limit * chance.choice((1e-6, 1e-3, chance.random(), chance.random(), 0.999))
        found = one.superheated_density(kelvin, pascal)
        assert not isinstance(found, NoSoundData)
        own = fluid.vapour_density(kelvin, pascal)
        assert abs(found / own - 1) <= one.record.bounds["superheated"], (kelvin, pascal)


BANDS = (
    ("D-089", "R-410A", "R410A.mix", (107, 108, 109, 110, 111), 0),
    ("D-090", "R-507A", "R507A.mix", (128, 129, 130, 131, 132), 0),
    ("D-091", "R-407C", "R407C.mix", (131, 138), 0),
    ("D-094", "R-407F", "R407F.mix", (120, 130, 138), 0),
    ("D-094", "R-407H", "R407H.mix", (124, 130, 140), 0),
)


@pytest.mark.parametrize(("id", "name", "source", "degrees", "quality"), BANDS)
def test_where_a_predefined_mixture_fails_the_table_answers(
    id: str, name: str, source: str, degrees: tuple[int, ...], quality: int
) -> None:
    """Behaviour of CoolProp 8.0.0 measured when it was chosen; each failing band is covered."""
    one, failed = properties(name), 0
    assert isinstance(one, Properties)
    for degree in degrees:
        kelvin = kelvin_of(degree, "F")
        try:
            library.PropsSI("P", "T", kelvin, "Q", quality, source)
        except ValueError:
            failed += 1
        before, here, after = (one.bubble_pressure(kelvin + by) for by in (-1, 0, 1))
        assert not isinstance(before, NoSoundData) and not isinstance(after, NoSoundData)
        assert not isinstance(here, NoSoundData) and before < here < after
    assert failed, f"{id}: {source} fails nowhere here any more: look at the version"


@pytest.mark.parametrize(
    "name",
    ["R-401A", "R-402A", "R-408A", "R-409A", "R-414B", "R-438A", "R-453A", "R-458A"],
)
def test_blends_without_pair_parameters_have_no_sound_data(name: str) -> None:
    """D-092, D-096: they cannot be built, and simple mixing rules miss boiling points by 3.5 K."""
    with pytest.raises(ValueError, match="binary pair"):
        CoolProp.AbstractState("HEOS", f"{name.replace('R-', 'R')}.mix")
    found = properties(name)
    assert isinstance(found, NoSoundData) and "no interaction parameters" in found.reason


def test_a_library_that_is_silently_wrong_is_left_out() -> None:
    """D-093: R463A.mix at 100 F gives a bubble pressure under its own dew pressure."""
    kelvin = kelvin_of(100, "F")
    bubble, dew = (library.PropsSI("P", "T", kelvin, "Q", q, "R463A.mix") for q in (0, 1))
    assert bubble < dew
    found = properties("R-463A")
    assert isinstance(found, NoSoundData) and "fugacities" in found.reason


def test_blends_of_the_components_of_one_that_misses_are_left_out() -> None:
    for name in ("R-417B", "R-417C"):
        found = properties(name)
        assert isinstance(found, NoSoundData) and "R-417A" in found.reason


def test_above_the_critical_point_the_library_has_no_saturation_either() -> None:
    """D-095."""
    with pytest.raises(ValueError):
        library.PropsSI("P", "T", kelvin_of(90, "F"), "Q", 0, "R744")
