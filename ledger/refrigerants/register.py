"""The register of refrigerants: one lookup for every name that may stand in the record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from ledger.refrigerants.loader import pressure_class, read_components, read_refrigerants
from ledger.refrigerants.substances import (
    EVIDENCE,
    Basis,
    Component,
    Figure,
    Gwp,
    GwpSet,
    Part,
    Refrigerant,
)
from ledger.refrigerants.toml_table import RegisterError

__all__ = [
    "EVIDENCE",
    "Basis",
    "Component",
    "Figure",
    "Gwp",
    "GwpSet",
    "Part",
    "Refrigerant",
    "Register",
    "RegisterError",
    "pressure_class",
    "read",
    "register",
]


@dataclass(frozen=True, slots=True, eq=False)
class Register:
    """All refrigerants, their constituents and the GWP sets, each by name."""

    refrigerants: Mapping[str, Refrigerant]
    components: Mapping[str, Component]
    gwp_sets: Mapping[str, GwpSet]

    def get(self, name: str) -> Refrigerant | None:
        """The refrigerant of exactly this name ("R-410A"), or None.

        What people write goes through `spelling.recognise` first.
        """
        return self.refrigerants.get(name)

    def names(self) -> tuple[str, ...]:
        """Every name in the order of the register."""
        return tuple(self.refrigerants)

    def component(self, name: str) -> Component | None:
        """The pure substance of this R-number or other name ("HFC-134a", "CO2"), or None."""
        found = self.components.get(name)
        if found is not None:
            return found
        folded = name.casefold()
        for component in self.components.values():
            if folded in map(str.casefold, (component.name, *component.names)):
                return component
        return None


def read(components: str, refrigerants: str) -> Register:
    """A register from the texts of the two TOML files; RegisterError naming file and key."""
    sets, found = read_components(components)
    return Register(read_refrigerants(refrigerants, sets, found), found, sets)


@lru_cache(maxsize=1)
def register() -> Register:
    """The register that is shipped with the program, read once."""
    folder = Path(__file__).parent
    return read(
        (folder / "components.toml").read_text(encoding="utf-8"),
        (folder / "register.toml").read_text(encoding="utf-8"),
    )
