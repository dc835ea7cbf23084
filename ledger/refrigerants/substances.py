"""What a refrigerant is made of, and what follows from that: GWP, ODP, ozone and HFC flags."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from ledger.facts.mass import half_up

EVIDENCE = ("read", "read-2015", "secondary", "memory")
"""How well a figure is known, best first: the text was read; its 2015 edition was read;
someone else's transcription; from memory."""


@dataclass(frozen=True, slots=True)
class Basis:
    """Where a figure comes from: the citation, and one of the EVIDENCE marks."""

    cite: str
    evidence: str


@dataclass(frozen=True, slots=True)
class Figure:
    """An exact published number with its basis."""

    value: Fraction
    basis: Basis


@dataclass(frozen=True, slots=True)
class GwpSet:
    """One published list of global warming potentials, such as `84.64` or `AR5`."""

    name: str
    title: str
    horizon_years: int


@dataclass(frozen=True, slots=True, eq=False)
class Component:
    """A pure substance.

    `name` is its R-number, `names` its other names in law and trade, the legal one first;
    `ods_class` is "I" or "II" under the Clean Air Act, None where it is neither;
    `regulated` says whether it is an HFC listed in 42 USC 7675(c).
    """

    name: str
    chemical_class: str
    names: tuple[str, ...]
    ods_class: str | None
    regulated: bool
    odp: Figure | None
    gwps: Mapping[str, Figure] = field(repr=False)


class Part(NamedTuple):
    """One constituent of a refrigerant and its exact share in mass percent."""

    component: Component
    percent: Fraction


@dataclass(frozen=True, slots=True)
class Gwp:
    """The global warming potential of a refrigerant in one set, with what stands behind it.

    `value` is the exact mass-weighted sum over the constituents that the set lists, and None
    where it lists none of them: then there is no figure, which is not the same as 0.
    `left_out` names the constituents that the set does not list; `bases` are the sources of
    the rest, each once.
    """

    set_name: str
    horizon_years: int
    value: Fraction | None
    left_out: tuple[str, ...]
    bases: tuple[Basis, ...]

    @property
    def evidence(self) -> str | None:
        """The weakest evidence mark among the sources; None where nothing is listed."""
        marks = [basis.evidence for basis in self.bases]
        return max(marks, key=EVIDENCE.index) if marks else None

    def printed(self, places: int = 0) -> str:
        """The value as agencies print it, rounded half up: 1,824.5 prints 1,825.

        `no listed GWP` where there is none.
        """
        return "no listed GWP" if self.value is None else half_up(self.value, places)


@dataclass(frozen=True, slots=True, eq=False)
class Refrigerant:
    """One refrigerant of the register.

    `kind` is pure, zeotrope or azeotrope; `safety_class` is that of ASHRAE 34, None where
    none is published; `pressure_class` is low, medium, high or very high as defined in
    40 CFR 82.152, and `psia_104f` the liquid saturation pressure at 104 F behind it, where
    one is known. Each property has its basis beside it.
    """

    name: str
    kind: str
    composition: tuple[Part, ...]
    composition_basis: Basis | None
    safety_class: str | None
    safety_basis: Basis | None
    pressure_class: str
    pressure_basis: Basis
    psia_104f: Fraction | None
    gwp_sets: Mapping[str, GwpSet] = field(repr=False)

    @property
    def zeotropic(self) -> bool:
        """Whether liquid and vapour differ in composition (a 400-series blend)."""
        return self.kind == "zeotrope"

    @property
    def ods_classes(self) -> tuple[str, ...]:
        """The classes, "I" and "II", of the ozone-depleting substances in it."""
        classes = {part.component.ods_class for part in self.composition}
        return tuple(name for name in ("I", "II") if name in classes)

    @property
    def ods(self) -> bool:
        """Whether it contains any class I or II substance."""
        return bool(self.ods_classes)

    @property
    def hfc(self) -> bool:
        """Whether it contains any regulated substance of 42 USC 7675(c), however little."""
        return any(part.component.regulated for part in self.composition)

    @property
    def toxicity(self) -> str | None:
        """The first letter of the safety class: A lower, B higher toxicity."""
        return self.safety_class[0] if self.safety_class else None

    @property
    def flammability(self) -> str | None:
        """The rest of the safety class: 1, 2L, 2 or 3."""
        return self.safety_class[1:] if self.safety_class else None

    @property
    def flammable(self) -> bool | None:
        """Whether the safety class is other than 1; None where no class is published."""
        return None if self.safety_class is None else self.flammability != "1"

    def gwp(self, set_name: str) -> Gwp:
        """The GWP in one set, by mass; constituents that the set does not list are left out.

        That is the rule of 40 CFR 84.64(c) for `84.64`; in the other sets the caller says
        what was left out. Raises ValueError for a set the register does not have.
        """
        if set_name not in self.gwp_sets:
            known = ", ".join(self.gwp_sets)
            raise ValueError(f"There is no GWP set {set_name!r}: the sets are {known}.")
        return _gwp(self, set_name)

    def odp(self) -> Fraction:
        """The ozone depletion potential by mass; substances of neither class count 0."""
        values = ((part.component.odp, part.percent) for part in self.composition)
        return sum((f.value * percent / 100 for f, percent in values if f), Fraction(0))

    def odp_bases(self) -> tuple[Basis, ...]:
        """The sources of the ODP, each once."""
        return _each_once(p.component.odp for p in self.composition)


@lru_cache(maxsize=4096)
def _gwp(refrigerant: Refrigerant, set_name: str) -> Gwp:
    parts = [(part, part.component.gwps.get(set_name)) for part in refrigerant.composition]
    listed = [figure.value * part.percent / 100 for part, figure in parts if figure]
    return Gwp(
        set_name,
        refrigerant.gwp_sets[set_name].horizon_years,
        sum(listed, Fraction(0)) if listed else None,
        tuple(part.component.name for part, figure in parts if figure is None),
        _each_once(figure for _, figure in parts),
    )


def _each_once(figures: Iterable[Figure | None]) -> tuple[Basis, ...]:
    return tuple(dict.fromkeys(figure.basis for figure in figures if figure))
