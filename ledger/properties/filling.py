"""What bounds the filling of a cylinder with a refrigerant, from its densities and the law's table.

Densities are rounded down and pressures up before they become exact, so that no limit is ever
greater than its figures allow. The share of liquid is that of saturated liquid: the vapour above
it and oil in it are not in these figures.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from math import ceil, floor

from ledger.facts.fill_limit import LIQUID_FULL, Filling, Share
from ledger.facts.masters import UNKNOWN
from ledger.properties.no_data import NoSoundData
from ledger.properties.saturation import WATER_77F, Properties, properties
from ledger.properties.tables import index
from ledger.properties.units import ATMOSPHERE, PSI, fahrenheit, kelvin_of
from ledger.refrigerants.filling import FillData, fill_data

KELVIN_131F = kelvin_of(131, "F")
"""55 C, the temperature at which the law wants no cylinder liquid-full."""
CUBIC_METRES_AN_INCH3 = 0.0254**3
KILOGRAMS_A_POUND = 0.45359237

IGNORED = "vapour above the liquid and oil in it are not counted; oil is lighter and takes room"
"""Said wherever a limit is shown."""

STEP = 10_000
"""Shares and gravities are kept to four decimals."""


def water_density() -> float:
    """The density of water, in kg/m3, by which a water capacity in pounds is a volume."""
    inches = float(fill_data().cubic_inches.value)
    return KILOGRAMS_A_POUND / (inches * CUBIC_METRES_AN_INCH3)


def volume(water_pounds: Fraction) -> float:
    """The volume in cubic metres of a cylinder with a water capacity in pounds."""
    return float(water_pounds) * KILOGRAMS_A_POUND / water_density()


def _down(value: float) -> Fraction:
    return Fraction(floor(value * STEP), STEP)


@lru_cache(maxsize=512)
def filling(refrigerants: tuple[str, ...]) -> Filling:
    """What bounds a cylinder that holds these refrigerants of the register; several are a mixture.

    What is not in the register, and no refrigerant at all, counts as unknown contents.
    """
    if len(refrigerants) == 1 and _known(refrigerants[0]):
        return _of_one(refrigerants[0])
    return _of_unsure(refrigerants)


def _known(name: str) -> bool:
    return name in index().records or name in index().unsound


def _of_one(name: str) -> Filling:
    data, one = fill_data(), properties(name)
    notes: list[str] = []
    if isinstance(one, NoSoundData):
        gravity, words = data.assumed.gravity, "assumed"
        notes.append(
            f"{one.sentence()} The specific gravity is taken as {float(gravity):g}:"
            f" {data.assumed.reason}."
        )
        full, psig, at_least, stamp = None, None, False, ""
    else:
        gravity, words = _gravity(one, notes)
        full, stamp = _liquid_full(one), index().stamp
        psig, at_least = _pressure(one)
        if full is None:
            notes.append(
                f"{name} has no liquid at 131 F, where its pressure depends on the fill: the"
                " supplier's limit and the mark on the cylinder go first."
            )
    shares = [_plain(data), _weighted(data, gravity, words)]
    if name in data.densities:
        listed = data.densities[name]
        working = f"{float(listed.value):g} (by the table)"
        shares.append(
            Share("filling density", listed.value, working, listed.basis.cite,
                  listed.basis.evidence, True)
        )  # fmt: skip
    if full is not None:
        basis = data.liquid_full
        working = f"{float(full):.4f} (liquid at 131 F, to water at 60 F)"
        shares.append(Share(LIQUID_FULL, full, working, basis.cite, basis.evidence, True))
    return Filling(name, tuple(shares), psig, at_least, tuple(notes), stamp)


def _plain(data: FillData) -> Share:
    share = data.share
    return Share(f"{float(share):g} x WC", share, f"{float(share):g}", data.practice.cite,
                 data.practice.evidence, False)  # fmt: skip


def _weighted(data: FillData, gravity: Fraction, words: str) -> Share:
    share = data.share
    return Share(
        f"{float(share):g} x WC x specific gravity",
        share * gravity,
        f"{float(share):g} x {float(gravity):.4f} ({words})",
        data.practice.cite,
        data.practice.evidence if words != "assumed" else "interpretation",
        False,
    )


def _gravity(one: Properties, notes: list[str]) -> tuple[Fraction, str]:
    """The specific gravity at 77 F; of the warmest liquid that is proven, where 77 F is beyond."""
    found = one.specific_gravity()
    if not isinstance(found, NoSoundData):
        return _down(found), "liquid at 77 F, to water at 77 F"
    last = one.range("liquid")
    assert not isinstance(last, NoSoundData)
    warmest = one.liquid_density(last[1])
    assert not isinstance(warmest, NoSoundData)
    at = f"{fahrenheit(last[1]):.0f} F"
    notes.append(f"{one.name} has no proven liquid at 77 F; its gravity at {at} is taken.")
    return _down(warmest / WATER_77F), f"liquid at {at}, to water at 77 F"


def _liquid_full(one: Properties) -> Fraction | None:
    density = one.liquid_density(KELVIN_131F)
    return None if isinstance(density, NoSoundData) else _down(density / water_density())


def _pressure(one: Properties) -> tuple[Fraction | None, bool]:
    """Gauge pressure at 131 F of the liquid, and whether it is only the least it can be."""
    pascal, at_least = one.bubble_pressure(KELVIN_131F), False
    if isinstance(pascal, NoSoundData):
        ends = one.range("bubble")
        if isinstance(ends, NoSoundData):
            return None, False
        pascal, at_least = one.bubble_pressure(ends[1]), True
    if isinstance(pascal, NoSoundData):
        return None, False
    return Fraction(ceil((pascal - ATMOSPHERE) / PSI * 10), 10), at_least


def _of_unsure(refrigerants: tuple[str, ...]) -> Filling:
    """Mixed or unknown contents: the lowest gravity plausible, and less of the cylinder."""
    data = fill_data()
    named = [name for name in refrigerants if _known(name)]
    parts = [_of_one(name) for name in named]
    gravities = [(one.shares[1].share / data.share, one.refrigerant) for one in parts]
    lowest, whose = min([(data.unsure.gravity, ""), *gravities])
    words = f"that of {whose}" if whose else "assumed"
    share = data.unsure.share
    what = f"{' and '.join(named)} mixed" if len(named) > 1 else UNKNOWN
    if len(named) == 1:
        what = f"{named[0]} and what is not known"
    notes = (
        f"Contents {what}: the lowest specific gravity plausible, {float(lowest):.4f} ({words});"
        f" {data.unsure.reason}. Less again where a hydrocarbon may be in it.",
    )
    bound = Share(
        f"{float(share):g} x WC x lowest specific gravity", share * lowest,
        f"{float(share):g} x {float(lowest):.4f} ({words})", data.practice.cite, "interpretation",
        False,
    )  # fmt: skip
    psig = max((one.psig_131f for one in parts if one.psig_131f is not None), default=None)
    stamp = index().stamp if any(one.data for one in parts) else ""
    return Filling(what, (_plain(data), bound), psig, any(one.at_least for one in parts),
                   notes, stamp)  # fmt: skip
