"""What is said beside a property figure: where it comes from, how good it is, what can hurt."""

from __future__ import annotations

from fractions import Fraction

from ledger.answers.working import Input
from ledger.properties.saturation import Properties
from ledger.properties.tables import Comparison, index
from ledger.refrigerants.register import register

PLACES = {"psig": 1, "psia": 1, "inHg": 1, "barg": 2, "bara": 2, "kPag": 0, "kPaa": 0}
"""Decimals a pressure is printed with, by unit."""

VACUUM_NOTE = "inHg: inches of mercury of vacuum, under the air."
"""Said wherever inHg is shown."""

POUNDS_A_FOOT3 = 0.3048**3 / 0.45359237
"""lb/ft3 in a kg/m3."""


def number(value: float, places: int) -> Fraction:
    """A physical figure as the exact decimal it is printed as."""
    return Fraction(round(value * 10**places), 10**places)


def told(value: float, places: int = 1) -> str:
    """A physical figure in print, without a minus before nothing."""
    text = f"{value:,.{places}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.,") else text


def source_note(one: Properties) -> str:
    """Where a figure comes from, in one line."""
    return f"{one.name} from {index().stamp}; more with --explain."


def caution(name: str) -> str:
    """The one-line caution for a refrigerant at the gauge; empty where none is usual."""
    found = register().get(name)
    if found is None:
        return ""
    parts = []
    if found.pressure_class in ("high", "very high"):
        parts.append(f"{found.pressure_class} pressure (40 CFR 82.152), rated gauges and hoses")
    if found.flammable:
        parts.append(f"flammable ({found.safety_class}), no source of ignition, ventilate")
    if found.toxicity == "B":
        parts.append(f"toxic ({found.safety_class}), ventilate, mind the detector")
    if not parts:
        return ""
    return f"{name}: {'; '.join(parts)}; check the gauge and local code."


def provenance(one: Properties) -> tuple[Input, ...]:
    """The versions and bounds behind a figure, as a working prints them."""
    record, bounds = one.record, one.record.bounds
    parts = [
        Input("data", f"{index().stamp} (as {record.source} there)"),
        Input("interpolation, against CoolProp", _bounds(bounds)),
    ]
    compared = [_compared(found) for found in record.compared]
    parts.append(
        Input("CoolProp, against published tables", "; ".join(compared) or "none to compare with")
    )
    for curve, (low, high) in record.filled.items():
        parts.append(
            Input(
                f"{curve} point, {_f(low)} to {_f(high)}",
                "CoolProp's own solver gives up at some of these; found at equal fugacities",
            )
        )
    return tuple(parts)


def _f(kelvin: float) -> str:
    return f"{(kelvin - 273.15) * 1.8 + 32:.0f} F"


def _bounds(bounds: dict[str, float] | object) -> str:
    assert isinstance(bounds, dict)
    words = [f"pressure within {bounds['pressure']:.4%}".replace("%", " %")]
    words.append(f"temperature within {bounds['kelvin'] * 1.8:.4f} F")
    for kind, what in (("liquid", "liquid"), ("vapour", "vapour"), ("superheated", "superheated")):
        if kind in bounds:
            words.append(f"{what} density within {bounds[kind]:.3%}".replace("%", " %"))
    return ", ".join(words)


def _compared(found: Comparison) -> str:
    return f"{found.curve} {found.deviation} ({found.source}; {found.kind})"
