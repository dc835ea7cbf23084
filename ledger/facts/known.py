"""What the checks may ask about the book, as one small interface."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from ledger.facts.contents import Contents
from ledger.facts.fill_limit import Filling
from ledger.facts.masters import Master

if TYPE_CHECKING:
    from ledger.facts.case_checks import Earlier


class Known(Protocol):
    """What is recorded so far, as the checks see it; the book supplies it."""

    def master(self, kind: str, name: str) -> Master | None:
        """The record of that kind and name (case does not matter), joined ones resolved."""

    def settled_names(self) -> dict[tuple[str, str], str]:
        """Names that were resolved already, by kind and the name as typed; emptied whenever a
        record is begun, joined, named otherwise or taken back."""

    def near(self, kind: str, name: str) -> list[str]:
        """Names of that kind that look like `name`, best first."""

    def circuits_of(self, unit: str) -> list[str]:
        """The names of a unit's circuits."""

    def contents(self, cylinder: str) -> Contents:
        """The contents of a cylinder."""

    def services_of(self, circuit: str) -> Sequence[Earlier]:
        """The repairs, tests and other events of a circuit, in order of day, time and entry."""

    def pressure_class(self, refrigerant: str) -> str:
        """low, medium, high or very high (40 CFR 82.152); empty where unknown."""

    def flammable(self, refrigerant: str) -> bool:
        """Whether the safety class is A2L, A2, A3 or their B twins."""

    def filling(self, refrigerants: tuple[str, ...]) -> Filling:
        """What bounds a cylinder that holds these refrigerants; several are a mixture."""

    def today(self, zone: str) -> str:
        """The ISO date it is now in a time zone."""

    def shop_zone(self) -> str:
        """The time zone of warehouses and trucks."""
