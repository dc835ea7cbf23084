"""The register gives back every published figure of check_values.toml, at its own tolerance."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from ledger.facts.mass import KILOGRAM, POUND, Mass, half_up, of_decimal
from ledger.refrigerants.co2e import co2e, kilograms_at, tonnes
from ledger.refrigerants.register import Refrigerant, pressure_class, register


class Check(NamedTuple):
    id: str
    what: str
    source: str
    kind: str
    tolerance: Any
    row: dict[str, Any]

    def close(self, got: Fraction, printed: int | Fraction) -> None:
        self._close(got, printed, self.tolerance)

    def each_close(self, got: list[Fraction], printed: list[int | Fraction]) -> None:
        tolerances = self.tolerance if isinstance(self.tolerance, list) else [self.tolerance]
        for n, (one, other) in enumerate(zip(got, printed, strict=True)):
            self._close(one, other, tolerances[min(n, len(tolerances) - 1)])

    def _close(self, got: Fraction, printed: int | Fraction, tolerance: int | Fraction) -> None:
        assert abs(got - printed) <= tolerance, (
            f"{self.id} ({self.kind}; {self.source}): {half_up(got, 4)} and not {printed}"
        )


def _read() -> list[Check]:
    text = Path(__file__).with_name("check_values.toml").read_text(encoding="utf-8")
    groups = tomllib.loads(text, parse_float=Fraction)["group"]
    return [
        Check(id, g["what"], g["source"], g["kind"], g["tolerance"], row)
        for g in groups
        for id, row in g["checks"].items()
    ]


CHECKS = _read()


def _named(row: dict[str, Any]) -> Refrigerant:
    found = register().get(row["refrigerant"])
    assert found is not None, f"{row['refrigerant']} is not in the register"
    return found


def composition(check: Check) -> None:
    refrigerant = _named(check.row)
    ours = {part.component.name: part.percent for part in refrigerant.composition}
    assert ours.keys() == check.row["composition"].keys()
    assert sum(ours.values()) == 100
    for name, percent in check.row["composition"].items():
        check.close(ours[name], percent)
    assert refrigerant.safety_class == check.row["safety"]


def safety(check: Check) -> None:
    assert _named(check.row).safety_class == check.row["safety"]


def component(check: Check) -> None:
    found = register().component(check.row["component"])
    assert found is not None
    for set_name, value in check.row["gwp"].items():
        check.close(found.gwps[set_name].value, value)


def blend(check: Check) -> None:
    for set_name, value in check.row["gwp"].items():
        gwp = _named(check.row).gwp(set_name)
        assert gwp.value is not None
        check.close(gwp.value, value)
        assert gwp.printed() == f"{value:,}"


def printed_half_up(check: Check) -> None:
    gwp = _named(check.row).gwp("AR4")
    assert gwp.value == check.row["unrounded"]
    assert gwp.printed() == check.row["printed"]


def library(check: Check) -> None:
    """What the library's mixture list does not carry may not be cited to it."""
    for name in check.row["disagreements"]:
        assert register().get(name) is None
    without = [r for r in map(register().get, check.row["missing"]) if r is not None]
    assert [refrigerant.name for refrigerant in without] == ["R-514A", "R-515B", "R-516A"]
    for refrigerant in without:
        assert refrigerant.composition_basis is not None
        assert refrigerant.composition_basis.evidence == "memory"


def pressure(check: Check) -> None:
    found = register().get(check.row["refrigerant"])
    assert found is not None
    assert found.pressure_class == check.row["pressure"]
    if "psia" in check.row:
        assert found.psia_104f is not None
        check.close(found.psia_104f, check.row["psia"])
        assert pressure_class(check.row["psia"]) == check.row["pressure"]


def pound(check: Check) -> None:
    check.close(Fraction(POUND, KILOGRAM), check.row["kilograms"])


def _gwp_as_printed(row: dict[str, Any]) -> None:
    """The register's own AR4 figure is the one the published conversion starts from."""
    gwp = _named(row).gwp("AR4")
    places = 0 if isinstance(row["gwp"], int) else 1
    assert gwp.printed(places) == half_up(Fraction(row["gwp"]), places)


def threshold(check: Check) -> None:
    _gwp_as_printed(check.row)
    gwp = Fraction(check.row["gwp"])
    ours = [kilograms_at(Fraction(t), gwp) for t in check.row["tonnes"]]
    check.each_close(ours, check.row["kilograms"])


def two_pages(check: Check) -> None:
    for row in check.row["rows"]:
        _gwp_as_printed(row)
        ours = [kilograms_at(Fraction(t), Fraction(row["gwp"])) for t in check.row["tonnes"]]
        check.each_close(ours, row["printed"])
        assert [half_up(kg, 2) for kg in ours] == [half_up(kg, 2) for kg in row["kilograms"]]


def mass_to_co2e(check: Check) -> None:
    _gwp_as_printed(check.row)
    masses = [of_decimal(*written.split()) for written in check.row["masses"]]
    total = Mass(sum(mass for mass in masses if mass is not None))
    check.close(tonnes(total, Fraction(check.row["gwp"])), check.row["tonnes"])
    whole = co2e(total, _named(check.row), "AR4")
    assert whole.tonnes is not None
    check.close(whole.tonnes, check.row["tonnes"])


TESTS: dict[str, Callable[[Check], None]] = {
    "composition": composition,
    "safety": safety,
    "component": component,
    "blend": blend,
    "half-up": printed_half_up,
    "library": library,
    "pressure": pressure,
    "pound": pound,
    "threshold": threshold,
    "two pages": two_pages,
    "co2e": mass_to_co2e,
}


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: f"{c.id}-{c.what}-{c.kind}")
def test_a_published_figure(check: Check) -> None:
    TESTS[check.what](check)


def test_the_table_is_whole() -> None:
    assert Counter(check.id[0] for check in CHECKS) == {"E": 84, "H": 18, "B": 26}
    assert len({check.id for check in CHECKS}) == len(CHECKS)
    assert all(check.source and check.kind for check in CHECKS)
