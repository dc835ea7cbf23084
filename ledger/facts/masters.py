"""What can be known about sites, parties, units, circuits, people, cylinders and the rest.

Each kind has named fields with a value shape; some hold from a date. A `Master` is the
record as the described facts add up to it: every field a short history of values.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any
from unicodedata import normalize

from ledger.facts.mass import Mass

UNKNOWN = "unknown"
"""The value of a field that nobody knows; different from a field nobody filled in."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a kind: the shape of its value, and whether it changes over time.

    Shapes: text, choice, name (of another kind in `refers`), day, mass, full charge,
    certification, whole, cents, refrigerant, zone.
    """

    shape: str
    help: str
    dated: bool = False
    choices: tuple[str, ...] = ()
    refers: str = ""


CATEGORIES = (
    "comfort cooling",
    "commercial refrigeration",
    "industrial process refrigeration",
    "refrigerated transport",
    "other",
)
SUBSECTORS = (
    "undecided",
    "residential or light commercial",
    "chiller",
    "other comfort cooling",
    "retail food",
    "cold storage",
    "industrial process",
    "transport",
    "other",
)
METHODS = ("annualizing", "rolling average")
CYLINDER_KINDS = (
    "disposable",
    "refillable",
    "recovery",
    "half-ton",
    "ton",
    "drum",
    "other gas",
)
CYLINDER_STATES = (
    "ordered",
    "holding charge",
    "in service",
    "liquid-out",
    "evacuated",
    "ready to ship",
    "quarantined",
    "on loan",
    "not found",
    "found",
    "stolen",
    "condemned",
    "scrapped",
    "returned",
)
"""What a person says of a cylinder; where it is and how full are answers (ledger.answers.life)."""
RETIRED_STATES = ("condemned", "scrapped", "returned", "stolen")
USABLE_STATES = ("", "holding charge", "in service", "liquid-out", "evacuated", "found")
"""States in which a cylinder can be drawn from, filled or moved."""
CONDITIONS = (
    "good",
    "corrosion",
    "dents",
    "bulge",
    "crack",
    "leak",
    "damaged valve",
    "damaged relief device",
    "fire or heat",
    "accident or abuse",
    "over-pressurized",
    "tare loss",
)
"""What is seen on the outside (49 CFR 173.301(a)(2), 180.205(d)); only what is good is filled."""
CONTENTS_CONDITIONS = ("clean", "oily", "acid", "burn-out", "unknown")
"""Condition of recovered refrigerant, as far as it is known."""
CERTIFICATIONS = ("I", "II", "III", "I+II", "I+III", "II+III", "Universal", "apprentice", "none")
FULL_CHARGE_METHODS = ("maker", "calculated", "measured", "range", "unknown")
"""The four methods of 40 CFR 82.152, and that nobody wrote down which."""
PARTY_ROLES = (
    "customer",
    "supplier",
    "reclaimer",
    "destruction facility",
    "contractor",
    "other",
)
OWNER_KINDS = ("private", "federal", "state or local", "other")
STOCKS = ("virgin", "reclaimed", "recovered", "unknown")

FIELDS: dict[str, dict[str, Field]] = {
    "site": {
        "address": Field("text", "street and city"),
        "state": Field("text", "two-letter state"),
        "country": Field("text", "two-letter country"),
        "district": Field("text", "district with rules of its own"),
        "zone": Field("zone", "time zone, such as America/Chicago"),
        "method": Field("choice", "leak-rate method of the site", True, METHODS),
        "owner": Field("name", "owner or operator", True, refers="party"),
        "reports gases": Field(
            "choice", "under mandatory reporting of greenhouse gases", False, ("yes", "no")
        ),
        "note": Field("text", "anything else"),
    },
    "party": {
        "role": Field("choice", "what they are to us", False, PARTY_ROLES),
        "address": Field("text", "street and city"),
        "contact": Field("text", "who to ask for"),
        "owner kind": Field("choice", "kind of owner", False, OWNER_KINDS),
        "certificate": Field("text", "their certificate or licence number"),
        "note": Field("text", "anything else"),
    },
    "unit": {
        "site": Field("name", "where it stands", True, refers="site"),
        "owner": Field("name", "owner or operator", True, refers="party"),
        "what": Field("text", "what it is: rooftop, rack, chiller"),
        "model": Field("text", "model on the data plate"),
        "serial": Field("text", "serial on the data plate"),
        "location": Field("text", "where on the site"),
        "note": Field("text", "anything else"),
    },
    "circuit": {
        "unit": Field("name", "the unit it belongs to", refers="unit"),
        "refrigerant": Field("refrigerant", "refrigerant in it", True),
        "full charge": Field(
            "full charge",
            'full charge and its method: "150 lb maker", "150 lb measured", "150 lb calculated",'
            ' "140 to 160 lb range"',
            True,
        ),
        "category": Field("choice", "category for the leak-rate trigger", True, CATEGORIES),
        "subsector": Field("choice", "subsector, decided by a person", True, SUBSECTORS),
        "indoors": Field("choice", "stands in a building", False, ("yes", "no")),
        "process share": Field(
            "whole", "percent of its capacity that serves an industrial process", True
        ),
        "named use": Field("text", "a use that a rule leaves out, such as foam", True),
        "installed": Field("day", "date of installation"),
        "retired": Field("day", "date it was retired"),
        "small": Field("choice", "factory-sealed with 5 lb or less", False, ("yes", "no")),
        "note": Field("text", "anything else"),
    },
    "person": {
        "certification": Field("certification", "card type and number", True),
        "initials": Field("text", "initials on tickets"),
        "left": Field("day", "last day with the company"),
        "note": Field("text", "anything else"),
    },
    "cylinder": {
        "kind": Field("choice", "what kind of cylinder", False, CYLINDER_KINDS),
        "refrigerant": Field("refrigerant", "the one refrigerant assigned to it", True),
        "stamped tare": Field("mass", "tare on the collar"),
        "measured tare": Field("mass", "weighed empty and evacuated", True),
        "water capacity": Field("mass", "water that fills it"),
        "nominal": Field("mass", "net on the label when sealed"),
        "dot": Field("text", "specification mark, such as DOT-4BA400"),
        "serial": Field("text", "serial or lot"),
        "service pressure psig": Field("whole", "stamped service pressure"),
        "requalified": Field("day", "last requalification", True),
        "requalification": Field("text", "method and requalifier's number", True),
        "requalification due": Field("day", "last day it may be filled", True),
        "condition": Field("choice", "what was seen on the outside", True, CONDITIONS),
        "contents condition": Field(
            "choice", "condition of what is in it", True, CONTENTS_CONDITIONS
        ),
        "owner": Field("name", "whose cylinder it is", True, refers="party"),
        "deposit": Field("cents", "deposit paid, in cents", True),
        "gas": Field("text", "the gas, where it is not refrigerant"),
        "flammable": Field("choice", "marked for flammable refrigerant", False, ("yes", "no")),
        "place": Field("name", "warehouse, truck or site it is at", True, refers="place"),
        "state": Field("choice", "state of the cylinder", True, CYLINDER_STATES),
        "state because": Field("text", "why it is in that state", True),
        "report": Field("text", "police report number, where it was stolen", True),
        "note": Field("text", "anything else"),
    },
    "place": {
        "kind": Field("choice", "what it is", False, ("warehouse", "truck", "site", "other")),
        "driver": Field("text", "who drives it", True),
        "zone": Field("zone", "time zone"),
        "note": Field("text", "anything else"),
    },
    "scale": {
        "resolution": Field("mass", "display step"),
        "kind": Field("text", "bench, floor, hook, truck"),
        "place": Field("name", "where it is", True, refers="place"),
        "note": Field("text", "anything else"),
    },
    "machine": {
        "model": Field("text", "recovery machine model"),
        "serial": Field("text", "serial"),
        "made": Field("day", "date of manufacture"),
        "certified by": Field("text", "testing organisation on the label"),
        "acquired": Field("day", "date acquired"),
        "note": Field("text", "anything else"),
    },
}
"""Every kind of master and its fields."""

KIND_NAMES = {
    "party": "customer or other party",
    "place": "place",
}


CUSTODY = frozenset(("place", "state", "state because"))
"""Fields that say where a thing is: they do not complete one that was begun provisionally."""


@dataclass(slots=True)
class Value:
    """One value of one field: what it is, since when, and the entry that said so."""

    value: Any
    since: str
    entry: int
    line: int


@dataclass(slots=True)
class Master:
    """One record as the described facts add up to it.

    `history` maps a field to its values in the order of (since, entry): the last one whose
    `since` is not after a day holds on that day. `provisional` until a later description
    completes it.
    """

    kind: str
    name: str
    provisional: bool = False
    history: dict[str, list[Value]] = field(default_factory=dict)
    entries: list[int] = field(default_factory=list)

    def describe(
        self, fields: dict[str, Any], since: str, provisional: bool, entry: int, line: int
    ) -> None:
        """Add what one described fact says."""
        self.entries.append(entry)
        if provisional and len(self.entries) == 1:
            self.provisional = True
        elif not provisional and not (fields and fields.keys() <= CUSTODY):
            self.provisional = False
        for name, value in fields.items():
            values = self.history.setdefault(name, [])
            values.append(Value(value, since, entry, line))
            values.sort(key=lambda v: (v.since, v.entry, v.line))

    def at(self, name: str, day: str) -> Any:
        """The value of a field on an ISO day, or None where nothing is recorded for it.

        Values that hold "from the beginning" have an empty `since`; asking for a day before
        the first dated value gives None.
        """
        found = None
        for value in self.history.get(name, ()):
            if value.since > day:
                break
            found = value.value
        return found

    def now(self, name: str) -> Any:
        """The latest value of a field, whatever its date."""
        values = self.history.get(name)
        return values[-1].value if values else None

    def text(self, name: str, day: str | None = None) -> str:
        """A text-like field on a day (or the latest), empty where unset or unknown."""
        value = self.now(name) if day is None else self.at(name, day)
        return value if isinstance(value, str) and value != UNKNOWN else ""


@lru_cache(maxsize=1 << 17)
def folded(name: str) -> str:
    """The form in which names are compared: case, outer or doubled spaces and the way an accent or
    a wide letter is encoded do not matter."""
    return " ".join(normalize("NFKC", name).split()).casefold()


def full_charge_ends(value: Any) -> tuple[Mass, Mass] | None:
    """Least and greatest mass of a full-charge value (equal unless a range), None if unknown."""
    if not isinstance(value, dict):
        return None
    if value.get("method") == "range":
        return Mass(int(value["low"][0])), Mass(int(value["high"][0]))
    return Mass(int(value["charge"][0])), Mass(int(value["charge"][0]))
