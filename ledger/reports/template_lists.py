"""The lists a template chooses from: what the book has, and the words the importer knows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from ledger.book.cut import Cut
from ledger.book.reading import inventory_of, masters_at
from ledger.facts.masters import CYLINDER_KINDS, FIELDS, STOCKS, USABLE_STATES, Master, folded
from ledger.facts.occasions import OCCASIONS
from ledger.facts.verbs import CAUSES, CLAIMS
from ledger.refrigerants.register import register

if TYPE_CHECKING:
    from ledger.answers.inventory import CylinderLine
    from ledger.book.reader import Reader
    from ledger.book.recorded import Masters

WORDS: dict[str, tuple[str, ...]] = {
    "job_actions": ("charge", "recover"), "move_actions": ("issue", "move"),
    "ship_actions": ("ship", "return"), "loss_actions": ("release", "heel"),
    "repair_actions": ("repair", "initial test", "follow-up test"),
    "event_actions": (
        "no leak found", "retrofit plan", "retirement plan",
        *(name for name in OCCASIONS if name != "plan"),
    ),
    "inspection_results": ("leak found", "no leak"),
    "grounds": tuple(dict.fromkeys(one for row in OCCASIONS.values() for one in row.grounds)),
    "weighed_states": ("sealed", "evacuated"), "results": ("pass", "fail"),
    "leaks": ("all", "some"), "yes_no": ("yes", "no"), "stocks": STOCKS, "causes": CAUSES,
    "claims": CLAIMS, "cylinder_kinds": CYLINDER_KINDS,
}  # fmt: skip
"""Lists of fixed words."""

_ZONES = (
    "America/New_York", "America/Chicago", "America/Denver", "America/Phoenix",
    "America/Los_Angeles", "America/Anchorage", "Pacific/Honolulu", "America/Puerto_Rico",
)  # fmt: skip
_FIGURES = re.compile(r"(\d+)")


def lists_of(reader: Reader, today: str, zone: str) -> dict[str, list[str]]:
    """Every list by its name, as the book stands; a list of names may be empty.

    `today` is the ISO day for what is retired, due or gone; `zone` the shop's.
    """
    masters = masters_at(reader, Cut())
    cylinders = [one for one in inventory_of(reader, Cut()) if not one.cylinder.gas]
    circuits = [
        one for one in masters.all("circuit").values()
        if not (retired := one.text("retired")) or retired > today
    ]  # fmt: skip
    found = {name: list(words) for name, words in WORDS.items()}
    for kind, fields in FIELDS.items():
        for name, field in fields.items():
            if field.choices:
                found[f"{kind}_{name}".replace(" ", "_")] = list(field.choices)
    found |= {name: _named(line.name for line in lines) for name, lines in _usable(
        cylinders, today
    )}  # fmt: skip
    found |= {
        "circuits": _named(one.name for one in circuits),
        "units": _names(masters, "unit"),
        "sites": _names(masters, "site"),
        "people": _names(masters, "person", lambda one: not _before(one.text("left"), today)),
        "scales": _names(masters, "scale"),
        "places": _named([*_names(masters, "place"), *_names(masters, "site")]),
        "zones": list(dict.fromkeys((zone, *_ZONES))),
        "refrigerants": _refrigerants(circuits, cylinders),
        **_parties(masters),
    }
    return found


def narrowed(
    reader: Reader, lists: dict[str, list[str]], truck: str, sites: Sequence[str]
) -> dict[str, list[str]]:
    """The lists for one truck's day: its cylinders, and where sites are named those and their
    circuits."""
    from ledger.book.reading import homes

    out = dict(lists)
    aboard = {one.name for one in inventory_of(reader, Cut()) if one.cylinder.place == truck}
    for name in ("cylinders", "full_cylinders", "charge_cylinders", "refillable_cylinders",
                 "recovery_cylinders"):  # fmt: skip
        out[name] = [one for one in lists[name] if one in aboard]
    if sites:
        whose = homes(masters_at(reader, Cut()))
        there = {name for name, stays in whose.items() if stays and stays[-1].site in sites}
        out["sites"] = [one for one in lists["sites"] if one in sites]
        out["circuits"] = [one for one in lists["circuits"] if one in there]
    return out


def _before(day: str, today: str) -> bool:
    return bool(day) and day < today


def _order(name: str) -> list[tuple[int, int, str]]:
    """The order in which people look for a name: RC-2 before RC-10."""
    return [
        (0, int(part), "") if part.isdecimal() else (1, 0, part)
        for part in _FIGURES.split(folded(name))
        if part
    ]


def _named(names: Iterable[str]) -> list[str]:
    return sorted(set(names), key=_order)


def _names(
    masters: Masters, kind: str, keep: Callable[[Master], bool] = lambda _: True
) -> list[str]:
    return _named(one.name for one in masters.all(kind).values() if keep(one))


def _parties(masters: Masters) -> dict[str, list[str]]:
    """Everybody, and those of each role; of a role nobody has, everybody."""
    everybody = _names(masters, "party")
    roles = {"suppliers": ("supplier",), "contractors": ("contractor",),
             "reclaimers": ("reclaimer",)}  # fmt: skip
    return {"parties": everybody} | {
        name: _names(masters, "party", lambda one, wanted=wanted: one.text("role") in wanted)  # type: ignore[misc]
        or everybody
        for name, wanted in roles.items()
    }


def _refrigerants(circuits: list[Master], cylinders: list[CylinderLine]) -> list[str]:
    """The refrigerants of the register, those in use first."""
    every = register().names()
    used = {one.text("refrigerant") for one in circuits} | {one.refrigerant for one in cylinders}
    return [
        *(name for name in every if name in used),
        *(name for name in every if name not in used),
    ]


def _usable(cylinders: list[CylinderLine], today: str) -> Iterator[tuple[str, list[CylinderLine]]]:
    """The cylinders for each use: to draw from, to recover or pour into, to move or weigh."""
    serving = [one for one in cylinders if one.cylinder.state in USABLE_STATES]
    full = [one for one in serving if one.book > 0]
    into = [
        one
        for one in serving
        if one.cylinder.kind != "disposable"
        and not _before(one.cylinder.requalification_due, today[:7])
    ]
    bought = ("virgin", "reclaimed")
    yield "cylinders", cylinders
    yield "full_cylinders", full
    yield "charge_cylinders", full
    yield "refillable_cylinders", into
    yield "recovery_cylinders", [one for one in into if one.book <= 0 or one.stock not in bought]
