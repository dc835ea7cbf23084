"""The templates of what is so: sites, customers, units, circuits, people, cylinders and the rest.

Their columns are the fields of `ledger.facts.masters`, with what only a sheet says beside them.
"""

from __future__ import annotations

from ledger.facts.masters import FIELDS, Field
from ledger.reports.templates import EVERY_ROW, Shape, Template, TemplateColumn

_SHAPES: dict[str, Shape] = {"mass": "mass", "whole": "whole", "cents": "money", "day": "past"}
_LISTS = {"site": "sites", "party": "parties", "unit": "units", "place": "places"}
_ANY_DAY = ("requalification due", "left")

_HEADINGS = {
    "dot": "DOT spec", "service pressure psig": "Service pressure (psig)", "what": "Kind of unit",
    "method": "Leak rate method", "zone": "Time zone", "left": "Last day", "gas": "Other gas",
    "contents": "Net on hand (lb)", "full charge": "Full charge (lb)",
}  # fmt: skip
"""Headings that say more than the name of the field does."""

_WHAT = {
    "state": "Two-letter state.",
    "deposit": "Deposit paid, in dollars.",
    "small": "yes: factory-sealed with 5 lb or less.",
    "circuit": "Letter of the circuit where the unit has several; a row for each.",
    "contents": "What is in it on the first day; brought forward.",
    "last addition": "Day of the last addition before the book begins, or unknown.",
    "rate": "Leak rate as the older log has it.",
    "open case": "What is still open by the older log.",
    "since": "Day from which the row holds; from the beginning where left empty.",
    "certification": "Card type, then its number: I, II, III, I+II, Universal, apprentice, none.",
    "full charge": 'Pounds and method: "24 lb maker", "1350 lb measured", "150 lb calculated",'
    ' "1250 to 1450 lb range".',
}  # fmt: skip

_NEEDED = {
    "refrigerant": "the leak rate", "full charge": "the leak rate", "category": "the leak rate",
    "installed": "the leak rate", "last addition": "the first leak rate", "subsector": "HFC rules",
    "certification": "the certification check", "address": "records and reports",
    "stamped tare": "net by weight", "measured tare": "net by weight", "serial": "records",
    "water capacity": "the fill limit", "requalification due": "the fill check",
    "condition": "the fill check", "driver": "truck sheets", "owner": "records and reports",
    "method": "the leak rate",
    "contents": "opening balances", "resolution": "tolerances", "site": "records and reports",
    "country": "which rules bind", "district": "which rules bind", "state": "which rules bind",
    "reports gases": "a state's longer days", "owner kind": "more time for a plan",
    "indoors": "a state's inspections", "process share": "the category of dual use",
    "named use": "which rules bind",
    "certified by": "the machine list", "made": "the machine list",
}  # fmt: skip

_EXAMPLES = {
    "address": "12 Quay Rd, Port Arden", "state": "TX", "zone": "America/Chicago",
    "method": "annualizing", "owner": "Harbor Foods", "note": "gate code at the desk",
    "role": "customer", "contact": "the facility manager", "certificate": "RC-2201",
    "site": "Store 14", "what": "rooftop", "model": "GH-120", "serial": "4410-771",
    "location": "roof, north side", "unit": "RTU-3", "circuit": "B", "refrigerant": "R-410A",
    "full charge": "24 lb maker", "category": "comfort cooling", "subsector": "undecided",
    "installed": "2019-05-01", "retired": "2026-01-31", "small": "no",
    "certification": "Universal 4711", "initials": "DF", "left": "2026-06-30", "kind": "recovery",
    "stamped tare": "27.5", "measured tare": "27.9", "water capacity": "47.6", "nominal": "25",
    "dot": "DOT-4BA400", "service pressure psig": "400", "requalified": "2024-03-01",
    "requalification": "volumetric, A123", "requalification due": "2029-03-31",
    "deposit": "150.00", "gas": "nitrogen", "flammable": "no", "place": "Warehouse",
    "condition": "good", "contents condition": "clean", "report": "24-1187",
    "state because": "valve leaks", "driver": "Dana Field", "resolution": "0.1",
    "made": "2021-02-01", "certified by": "the label's testing laboratory",
    "acquired": "2021-04-15", "since": "2026-01-05", "contents": "18.5",
    "last addition": "2025-10-06", "rate": "12 %", "open case": "none",
    "country": "US", "district": "none", "reports gases": "no", "owner kind": "private",
    "indoors": "yes", "process share": "60", "named use": "none",
}  # fmt: skip
_NEEDED_OF_KIND = {
    ("cylinder", "refrigerant"): "the check for a second refrigerant",
    ("cylinder", "owner"): "deposits and returns", ("circuit", "unit"): EVERY_ROW,
}  # fmt: skip
_EXAMPLES_OF_KIND = {
    ("place", "kind"): "truck", ("scale", "kind"): "bench", ("cylinder", "state"): "in service",
}  # fmt: skip

_KINDS = {
    # kind of records: template, tab, heading of the name, what to write there, example
    "site": ("sites", "Sites", "Site", "Name of the site.", "Store 14"),
    "party": ("customers", "Customers", "Name",
              "Customer, supplier, reclaimer or other contractor.", "Harbor Foods"),
    "unit": ("units", "Units", "Unit", "What the customer calls the box.", "RTU-3"),
    "circuit": ("circuits", "Circuits", "Circuit", "Unit and circuit.", "RTU-3/B"),
    "person": ("people", "People", "Name", "Name as it is on tickets.", "Dana Field"),
    "cylinder": ("cylinders", "Cylinders", "Cylinder", "Our name for the cylinder.", "RC-04"),
    "place": ("places", "Places", "Place", "Warehouse or truck.", "Truck 2"),
    "scale": ("scales", "Scales", "Scale", "Name of the scale.", "B1"),
    "machine": ("machines", "Machines", "Machine", "Name of the recovery machine.", "RM-1"),
}  # fmt: skip
_OF_A_CIRCUIT = ("refrigerant", "full charge", "category", "subsector", "installed", "retired",
                 "small", "indoors", "process share", "named use")  # fmt: skip
_EXTRAS = {
    "unit": ("circuit", *_OF_A_CIRCUIT, "last addition", "rate", "open case"),
    "circuit": ("last addition", "rate", "open case"),
    "cylinder": ("contents",),
}  # fmt: skip
_CAUTIONS = {
    "person": (("Names and card numbers stay in the record for good; enter no more than the"
                " records need.", "40 CFR 82.161"),),
    "cylinder": (("The tare on the collar may differ from the weight by half a pound and more:"
                  " weigh it empty.", "practice"),
                 ("Not to be filled after the month its requalification is due.",
                  "49 CFR 180.205")),
    "circuit": (("Each independent circuit is an appliance of its own.", "40 CFR 82.152, 84.102"),),
    "unit": (("Each independent circuit is an appliance of its own: a row for each.",
              "40 CFR 82.152, 84.102"),),
}  # fmt: skip


def _shape(name: str, field: Field | None) -> Shape:
    if name == "contents":
        return "mass"
    if name == "last addition":
        return "past or unknown"
    if name in ("since", *_ANY_DAY):
        return "day"
    return _SHAPES.get(field.shape, "text") if field else "text"


def _choices(kind: str, name: str, field: Field | None) -> tuple[str, bool]:
    """The list a field chooses from, and whether other words may be kept."""
    if field is None:
        return "", False
    if field.shape == "choice":
        return f"{kind}_{name}".replace(" ", "_"), False
    if field.shape == "refrigerant":
        return "refrigerants", False
    if field.shape == "zone":
        return "zones", True
    return _LISTS.get(field.refers, ""), True


def _column(kind: str, name: str) -> TemplateColumn:
    own = "circuit" if kind == "unit" and name in _OF_A_CIRCUIT else kind
    field = FIELDS[own].get(name)
    shape = _shape(name, field)
    choices, free = _choices(own, name, field)
    heading = _HEADINGS.get(name, name.capitalize())
    what = "" if (kind, name) == ("cylinder", "state") else _WHAT.get(name, "")
    if not what:
        assert field is not None
        what = f"{field.help[0].upper()}{field.help[1:]}."
    return TemplateColumn(
        f"{heading} (lb)" if shape == "mass" and "(lb)" not in heading else heading,
        what, _EXAMPLES_OF_KIND.get((kind, name), _EXAMPLES[name]),
        _NEEDED_OF_KIND.get((kind, name)) or _NEEDED.get(name, "if known"), shape, choices, free,
        width=24 if name in ("address", "note", "certification", "full charge") else 14,
    )  # fmt: skip


def _template(kind: str) -> Template:
    word, sheet, heading, what, example = _KINDS[kind]
    extras = _EXTRAS.get(kind, ())
    names = [*FIELDS[kind], *extras]
    names.sort(key=lambda name: name == "note")
    dated = any(field.dated for field in FIELDS[kind].values())
    # A first list holds from the beginning; the day is for changes, and stands last.
    names += ["since"] if dated and kind != "scale" else []
    columns = [TemplateColumn(heading, what, example, EVERY_ROW, width=18)]
    columns += [_column(kind, name) for name in names]
    row = "one " + ("customer or other party" if kind == "party" else kind)
    return Template(word, sheet, row, tuple(columns), _CAUTIONS.get(kind, ()))


MASTERS = tuple(_template(kind) for kind in _KINDS)
"""Every template of what is so."""
