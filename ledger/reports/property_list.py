"""What is known of refrigerants' properties: one in full, or all with what is left out and why."""

from __future__ import annotations

from ledger.answers.working import Input, Working
from ledger.properties.no_data import NoSoundData
from ledger.properties.pressure_class import PressureClass, pressure_class
from ledger.properties.saturation import Properties, properties
from ledger.properties.tables import index
from ledger.properties.units import fahrenheit
from ledger.refrigerants.register import register
from ledger.reports.property_words import caution, number, provenance
from ledger.reports.table import Column, Table

COLUMNS = (
    Column("refrigerant", "Refrigerant"),
    Column("pressure_class", "Pressure class"),
    Column("psia_104f", "At 104 F", "number", "psia", places=1),
    Column("gravity", "Specific gravity at 77 F", "number", places=3),
    Column("lowest", "Lowest", "number", "F", places=0),
    Column("highest", "Highest", "number", "F", places=0),
    Column("within", "Within", "number", "% psia", places=4),
    Column("left_out", "No sound data for"),
)


def properties_table(name: str) -> tuple[Table, list[Working]]:
    """One refrigerant, or all where `name` is empty; the workings of one only."""
    names = (name,) if name else register().names()
    rows = [_row(one) for one in names]
    stamp = index().stamp
    notes = [
        "Pressure class of 40 CFR 82.152; one that the rule names goes before a computed one.",
        "Lowest and highest: saturation temperatures. Within: interpolation against CoolProp.",
        f"From {stamp}; specific gravity is of the liquid, to water at 77 F.",
    ]
    if not name:
        known = sum(1 for one in names if one in index().records)
        answer = f"{known} refrigerants with sound data, {len(names) - known} without."
        return Table("Refrigerant properties", COLUMNS, rows, answer=answer, notes=notes), []
    found, class_ = properties(name), pressure_class(name)
    assert class_ is not None
    answer = f"{name}: {class_.name} pressure."
    if isinstance(found, NoSoundData):
        answer = f"{answer} {found.sentence()}"
    if line := class_.near_a_line:
        notes.insert(0, f"The pressure is within 2 % of the line at {line} psia.")
    table = Table(
        f"Properties of {name}", COLUMNS, rows, answer=answer, notes=notes,
        cautions=[line for line in (caution(name),) if line],
    )  # fmt: skip
    return table, [_working(name, found, class_)]


def _row(name: str) -> dict[str, object]:
    class_, one = pressure_class(name), properties(name)
    assert class_ is not None
    row: dict[str, object] = {"refrigerant": name, "pressure_class": class_.name}
    if class_.psia is not None:
        row["psia_104f"] = number(class_.psia, 1)
    if isinstance(one, NoSoundData):
        row["left_out"] = f"everything: {one.reason}"
        return row
    gravity = one.specific_gravity()
    if not isinstance(gravity, NoSoundData):
        row["gravity"] = number(gravity, 3)
    ends = [found for curve in ("bubble", "dew")
            if not isinstance(found := one.range(curve), NoSoundData)]  # fmt: skip
    row["lowest"] = number(fahrenheit(min(low for low, _ in ends)), 0)
    row["highest"] = number(fahrenheit(max(high for _, high in ends)), 0)
    row["within"] = number(one.record.bounds["pressure"] * 100, 4)
    dropped = one.record.dropped
    if dropped:
        reason = next(iter(dropped.values()))
        row["left_out"] = f"{', '.join(dropped)}: {reason}"
    return row


def _working(name: str, one: Properties | NoSoundData, class_: PressureClass) -> Working:
    inputs = [Input("pressure class", f"{class_.name}, {class_.cite} [{class_.evidence}]")]
    if class_.psia is not None:
        inputs.append(Input("liquid at 104 F", f"{class_.psia:.1f} psia, {class_.computed}"))
    if not isinstance(one, NoSoundData):
        inputs += provenance(one)
    return Working(
        f"Properties of {name}",
        "class by the liquid's saturation pressure at 104 F: low under 45 psia, medium to 170,"
        " high to 355, very high over it or with a critical temperature under 104 F",
        tuple(inputs),
        f"{class_.name} pressure",
    )
