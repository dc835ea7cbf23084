"""The tables against another library over their whole range, within the bounds they state."""

from __future__ import annotations

import random

import pytest

from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import Properties, properties
from tests.properties.peer import LIQUID, VAPOUR, Peer, Start, peer

PURE = ("R-11", "R-12", "R-22", "R-23", "R-32", "R-123", "R-125", "R-134a", "R-143a", "R-290",
        "R-600a", "R-717", "R-744", "R-1234ze(E)")  # fmt: skip
BLENDS = ("R-407A", "R-407B", "R-407D", "R-407E", "R-407F", "R-407H", "R-420A", "R-421A", "R-421B",
          "R-427A", "R-436A", "R-436B", "R-500", "R-509A")  # fmt: skip
"""Blends whose pair parameters the other library has as well, from the same publications."""

NO_PEER = {"R-407F": (322, 332), "R-407H": (324, 340)}
"""Bands in kelvin where CoolProp's own bubble solver gives up and the table is filled."""


def both(name: str) -> tuple[Properties, Peer]:
    one = properties(name)
    assert isinstance(one, Properties)
    return one, peer(name)


def near(one: Properties, other: Peer, kelvin: float, quality: int) -> Start | None:
    """The table's own figures, from which the other library is set off; None past a range."""
    pressure = (one.bubble_pressure if quality == LIQUID else one.dew_pressure)(kelvin)
    liquid = one.liquid_density(kelvin)
    vapour = one.vapour_density(kelvin)
    if any(isinstance(found, NoSoundData) for found in (pressure, liquid, vapour)):
        return None
    assert not isinstance(pressure, NoSoundData) and not isinstance(liquid, NoSoundData)
    assert not isinstance(vapour, NoSoundData)
    return pressure, liquid / other.kilograms_a_mole, vapour / other.kilograms_a_mole


@pytest.mark.parametrize("name", [*PURE, *BLENDS])
@pytest.mark.parametrize("quality", [LIQUID, VAPOUR], ids=["bubble", "dew"])
def test_another_library_agrees_over_the_whole_range(name: str, quality: int) -> None:
    one, other = both(name)
    ends = [one.range(curve) for curve in ("bubble", "dew", "liquid", "vapour")]
    low = max(end[0] for end in ends if not isinstance(end, NoSoundData))
    high = min(end[1] for end in ends if not isinstance(end, NoSoundData))
    bounds, asked, kelvin = one.record.bounds, 0, low
    while kelvin <= high:
        start = near(one, other, kelvin, quality)
        assert start is not None
        found = other.saturated(kelvin, quality, start)
        density = start[1] if quality == LIQUID else start[2]
        assert abs(start[0] / found.pascal - 1) <= bounds["pressure"], kelvin
        if len(other.feed) > 1 or quality == VAPOUR:
            kind = "liquid" if quality == LIQUID else "vapour"
            assert abs(density / found.density - 1) <= bounds[kind], kelvin
        asked += 1
        kelvin += 1.37
    assert asked > 40 and kelvin - 1.37 > high - 1.4


@pytest.mark.parametrize("name", [*PURE, *BLENDS])
def test_another_library_agrees_on_superheated_vapour(name: str) -> None:
    one, other = both(name)
    near_, hot = one.table.grids["superheated"], one.table.grids["hot"]
    chance = random.Random(name)
    for _ in range(60):
        kelvin = chance.uniform(near_.first, hot.last)
        limit = one.dew_pressure(min(kelvin, near_.last))
        assert not isinstance(limit, NoSoundData)
        pascal = limit * chance.choice((1e-5, chance.random(), 0.7 * chance.random()))
        found = one.superheated_density(kelvin, pascal)
        assert not isinstance(found, NoSoundData)
        own = other.vapour_density(kelvin, pascal)
        assert abs(found / own - 1) <= one.record.bounds["superheated"], (kelvin, pascal)


@pytest.mark.parametrize(("name", "band"), NO_PEER.items())
def test_the_filled_bands_are_among_what_agrees(name: str, band: tuple[int, int]) -> None:
    """Where CoolProp's own solver gives up, the other library has just confirmed the figures."""
    one, _ = both(name)
    low, high = one.record.filled["bubble"]
    assert low <= band[0] and band[1] <= high
    liquid = one.range("liquid")
    assert not isinstance(liquid, NoSoundData) and liquid[0] < low and band[1] < liquid[1]
