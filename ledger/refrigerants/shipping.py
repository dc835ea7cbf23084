"""How a refrigerant is named on a shipping paper, and what a truck may carry as materials of trade.

The figures stand in shipping.toml, each with its citation and how it was checked.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from ledger.facts.mass import POUND, Mass
from ledger.refrigerants.substances import EVIDENCE, Basis
from ledger.refrigerants.toml_table import Table, parse

FILE = "shipping.toml"


@dataclass(frozen=True, slots=True)
class ShippingName:
    """Identification number, proper shipping name and hazard division of one entry."""

    un: str
    name: str
    division: str
    basis: Basis

    def text(self) -> str:
        """As it stands on a paper: "UN3163, Liquefied gas, n.o.s. (R-410A), 2.2"."""
        return f"{self.un}, {self.name}, {self.division}"


@dataclass(frozen=True, slots=True)
class ShippingData:
    """The figures: names by refrigerant, that of mixed contents, the weights of 49 CFR 173.6."""

    names: Mapping[str, ShippingName]
    mixed: ShippingName
    each: Mass
    together: Mass
    trade: Basis


def _name(table: Table) -> ShippingName:
    technical = f" ({table.text('technical')})" if "technical" in table.values else ""
    return ShippingName(
        table.text("un"), f"{table.text('name')}{technical}", table.text("division"),
        Basis(table.text("cite"), table.text("evidence", EVIDENCE)),
    )  # fmt: skip


def read(text: str) -> ShippingData:
    """The figures of a TOML text; RegisterError naming file and key where it is unfit."""
    top = parse(FILE, text).only(("materials_of_trade", "mixed", "entry"))
    trade = top.table("materials_of_trade").only(("each_lb", "together_lb", "cite", "evidence"))
    named = ("un", "name", "division", "cite", "evidence")
    names: dict[str, ShippingName] = {}
    for row in top.tables("entry"):
        row.only(("refrigerant", *named), ("technical",))
        refrigerant = row.text("refrigerant")
        if refrigerant in names:
            row.wrong(f"{refrigerant} is listed twice", "refrigerant")
        names[refrigerant] = _name(row)
    return ShippingData(
        names,
        _name(top.table("mixed").only(named)),
        Mass(int(trade.number("each_lb") * POUND)),
        Mass(int(trade.number("together_lb") * POUND)),
        Basis(trade.text("cite"), trade.text("evidence", EVIDENCE)),
    )


@lru_cache(maxsize=1)
def shipping_data() -> ShippingData:
    """The figures shipped with the program, read once."""
    return read((Path(__file__).parent / FILE).read_text(encoding="utf-8"))
