"""Builds the substances and the refrigerants from their TOML, refusing what does not add up."""

from __future__ import annotations

from fractions import Fraction

from ledger.facts.mass import half_up
from ledger.refrigerants.substances import Basis, Component, Figure, GwpSet, Part, Refrigerant
from ledger.refrigerants.toml_table import Table, parse

CHEMICAL_CLASSES = (
    "CFC",
    "HCFC",
    "HFC",
    "HFO",
    "HCFO",
    "HCO",
    "HC",
    "PFC",
    "HFE",
    "halon",
    "FIC",
    "ether",
    "ester",
    "inorganic",
)
KINDS = ("pure", "zeotrope", "azeotrope")
SAFETY_CLASSES = ("A1", "A2L", "A2", "A3", "B1", "B2L", "B2", "B3")
PRESSURE_CLASSES = ("low", "medium", "high", "very high")

Sets = dict[str, GwpSet]
Figures = dict[str, Figure]


def pressure_class(psia_104f: Fraction) -> str:
    """The class of 40 CFR 82.152 for a liquid saturation pressure at 104 F, in psia.

    Low is under 45, medium 45 to 170, high over 170 to 355, very high over 355. The caller
    answers for substances with a critical temperature under 104 F, which are very high.
    """
    if psia_104f < 45:
        return "low"
    if psia_104f <= 170:
        return "medium"
    return "high" if psia_104f <= 355 else "very high"


def read_components(text: str, file: str = "components.toml") -> tuple[Sets, dict[str, Component]]:
    """The GWP sets and the pure substances by name; RegisterError naming file and key."""
    top = parse(file, text).only(("gwp_sets", "components", "odp", "gwp"))
    sets = _gwp_sets(top.table("gwp_sets"))
    rows = top.table("components")
    odps: Figures = {}
    for block in top.tables("odp"):
        block.only(("source", "evidence", "values"))
        _collect(block, rows, odps)
    gwps: dict[str, Figures] = {name: {} for name in sets}
    for block in top.tables("gwp"):
        block.only(("set", "source", "evidence", "values"))
        _collect(block, rows, gwps[block.text("set", tuple(sets))])
    by_substance = {
        name: {key: values[name] for key, values in gwps.items() if name in values}
        for name in rows.values
    }
    found = {name: _component(rows.table(name), name, odps, by_substance) for name in rows.values}
    _no_name_twice(rows, found)
    return sets, found


def _gwp_sets(table: Table) -> Sets:
    sets = {}
    for name in table.values:
        row = table.table(name).only(("title", "horizon_years"))
        sets[name] = GwpSet(name, row.text("title"), int(row.number("horizon_years")))
    return sets


def _collect(block: Table, components: Table, figures: Figures) -> None:
    """Add the values of one printed source, each substance once."""
    basis = block.basis("source")
    values = block.table("values")
    for name, value in values.numbers().items():
        if name not in components.values:
            values.wrong("is no component of this file", name)
        if name in figures:
            values.wrong(f"has a value already, from {figures[name].basis.cite!r}", name)
        figures[name] = Figure(value, basis)


def _component(row: Table, name: str, odps: Figures, gwps: dict[str, Figures]) -> Component:
    row.only(("class", "names"), ("ods", "regulated"))
    ods_class = row.text("ods", ("I", "II")) if "ods" in row.values else None
    if ods_class and name not in odps:
        row.wrong("is an ozone-depleting substance without an ODP", "ods")
    if name in odps and not ods_class:
        row.wrong("has an ODP but no class I or II (key 'ods')")
    return Component(
        name,
        row.text("class", CHEMICAL_CLASSES),
        row.texts("names"),
        ods_class,
        row.flag("regulated"),
        odps.get(name),
        gwps[name],
    )


def _no_name_twice(rows: Table, components: dict[str, Component]) -> None:
    taken: dict[str, str] = {name.casefold(): name for name in components}
    for component in components.values():
        for other in component.names:
            owner = taken.setdefault(other.casefold(), component.name)
            if owner != component.name:
                rows.table(component.name).wrong(f"{other!r} is a name of {owner}", "names")


def read_refrigerants(
    text: str, sets: Sets, components: dict[str, Component], file: str = "register.toml"
) -> dict[str, Refrigerant]:
    """The refrigerants by name; RegisterError naming file and key."""
    top = parse(file, text).only(("sources", "refrigerants"))
    sources = top.table("sources")
    bases = {
        key: sources.table(key).only(("cite", "evidence")).basis("cite") for key in sources.values
    }
    rows = top.table("refrigerants")
    return {
        name: _refrigerant(rows.table(name), name, bases, sets, components) for name in rows.values
    }


def _refrigerant(
    row: Table, name: str, bases: dict[str, Basis], sets: Sets, components: dict[str, Component]
) -> Refrigerant:
    row.only(
        ("kind", "pressure", "pressure_source"),
        ("composition", "composition_source", "safety", "safety_source", "psia_104f"),
    )
    kind = row.text("kind", KINDS)
    pressure, psia = _pressure(row)
    safety = row.text("safety", SAFETY_CLASSES) if "safety" in row.values else None
    return Refrigerant(
        name,
        kind,
        _pure(row, name, components) if kind == "pure" else _blend(row, components),
        _source(row, "composition", bases),
        safety,
        _source(row, "safety", bases),
        pressure,
        bases[row.text("pressure_source", tuple(bases))],
        psia,
        sets,
    )


def _source(row: Table, key: str, bases: dict[str, Basis]) -> Basis | None:
    """The basis of an optional property, which must come with the property and only so."""
    source = f"{key}_source"
    if (key in row.values) != (source in row.values):
        row.wrong(f"{key!r} and {source!r} go together: one is a missing key")
    return bases[row.text(source, tuple(bases))] if source in row.values else None


def _pure(row: Table, name: str, components: dict[str, Component]) -> tuple[Part, ...]:
    if "composition" in row.values:
        row.wrong("a pure refrigerant is its own composition", "composition")
    if name not in components:
        row.wrong(f"unknown component {name!r}")
    return (Part(components[name], Fraction(100)),)


def _blend(row: Table, components: dict[str, Component]) -> tuple[Part, ...]:
    if "composition" not in row.values:
        row.wrong("missing key 'composition'")
    table = row.table("composition")
    shares = table.numbers()
    for name, percent in shares.items():
        if name not in components:
            table.wrong(f"unknown component {name!r}")
        if percent == 0:
            table.wrong("must be more than 0", name)
    if len(shares) < 2:
        table.wrong("a blend has two components or more")
    if sum(shares.values()) != 100:
        table.wrong(f"adds to {_decimal(sum(shares.values(), Fraction(0)))} and not to 100")
    return tuple(Part(components[name], percent) for name, percent in shares.items())


def _pressure(row: Table) -> tuple[str, Fraction | None]:
    stated = row.text("pressure", PRESSURE_CLASSES)
    if "psia_104f" not in row.values:
        return stated, None
    psia = row.number("psia_104f")
    if pressure_class(psia) != stated:
        row.wrong(f"{_decimal(psia)} psia is {pressure_class(psia)}, not {stated}", "psia_104f")
    return stated, psia


def _decimal(value: Fraction) -> str:
    return half_up(value, 4).rstrip("0").rstrip(".")
