"""The tables a shop keeps: which columns, and the many words that head them."""

from __future__ import annotations

import random

from tests.oracle.messy.paper import Heading

_WORDS: dict[str, tuple[str, ...]] = {
    "date": ("Date", "DATE", "Job date", "Date of service", "When", " Date ", "Day"),
    "site": ("Site", "Address", "Job site", "Customer / site", "Location"),
    "unit": ("Unit", "Equipment", "UNIT #", "Unit tag", "Which unit", "Equip."),
    "refrigerant": ("Refrigerant", "Refrig", "Gas", "Refrig type", "R-type", "Refr. type"),
    "added": ("Added", "Charged", "lbs added", "Amount added", "lbs put in", "Charge\nadded"),
    "recovered": ("Recovered", "Rec", "lbs removed", "Pulled out", "lbs out", "Reclaimed?"),
    "added kg": ("Added (kg)", "kg in", "Charged kg"),
    "recovered kg": ("Recovered (kg)", "kg out", "Removed kg"),
    "action": ("Action", "Added/Recovered", "What was done", "IN or OUT", "Activity"),
    "amount": ("Amount", "Qty", "Lbs", "Weight (lb)", "How much", "Net lbs"),
    "gross before": ("Start wt", "Gross before", "Tank before", "Scale start (lb)"),
    "gross after": ("End wt", "Gross after", "Tank after", "Scale end (lb)"),
    "cylinder": ("Cylinder", "Tank", "Cyl #", "Bottle", "Cylinder used"),
    "technician": ("Tech", "Technician", "By", "Initials", "Done by", "TECH."),
    "ticket": ("Ticket", "Ticket #", "WO", "Work order", "Invoice/ticket"),
    "note": ("Notes", "Remarks", "Comment", "Misc"),
}
_STYLES: dict[str, tuple[str, ...]] = {
    "log": ("date", "technician", "unit", "refrigerant", "added", "recovered", "cylinder",
            "ticket", "note"),
    "office": ("date", "ticket", "site", "unit", "refrigerant", "action", "amount", "technician"),
    "charges": ("ticket", "date", "unit", "refrigerant", "added", "cylinder", "technician"),
    "weights": ("date", "unit", "refrigerant", "action", "gross before", "gross after",
                "cylinder", "technician", "ticket"),
    "metric": ("date", "unit", "refrigerant", "added kg", "recovered kg", "cylinder",
               "technician", "ticket"),
    "short": ("date", "unit", "added", "recovered", "technician"),
}  # fmt: skip
"""Each kind of table with its columns in order."""
_MAY_GO = ("note", "cylinder", "technician", "site")


def headings(rng: random.Random, style: str) -> list[Heading]:
    """The columns of one table of a style, in words of its own; a few are left out at times."""
    made: list[Heading] = []
    for meaning in _STYLES[style]:
        if meaning in _MAY_GO and rng.random() < 0.2:
            continue
        words = _WORDS[meaning]
        # Most people write the plain word.
        text = words[0] if rng.random() < 0.4 else rng.choice(words)
        unit = "kg" if meaning.endswith(" kg") else ""
        made.append(Heading(text, meaning.removesuffix(" kg"), unit))
    return made


def only_added(style: str) -> bool:
    """Whether a table of this style has no place for what was recovered."""
    return style == "charges"
