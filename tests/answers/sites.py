"""Builds sites of invented circuits under California's programme for the facility answers."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import cache
from typing import Any

from ledger.answers.duty import Duty
from ledger.answers.facility import Facility, SiteEvent, System
from ledger.answers.facility_duties import FacilityDuties, facility_duties
from ledger.answers.facility_law import FacilityTable
from ledger.law.for_facilities import law_for_facilities, standings
from ledger.law.loader import CALIFORNIA, Pack, load_pack
from tests.law.case_subjects import subject

SIZES = {"large": "2000", "medium": "200", "small": "50.01"}
"""A full charge of each class, in pounds, on its lower edge (state rules 1.1)."""


@cache
def table(name: str = CALIFORNIA) -> FacilityTable:
    """The facility law of a shipped pack."""
    return law_for_facilities(load_pack(name))


def system(
    name: str, pounds: str, started: date | None, ended: date | None = None,
    changes: Iterable[tuple[date, str]] = (), pack: Pack | None = None, **told: Any,
) -> System:  # fmt: skip
    """A circuit with a full charge, and with others from later dates on."""
    state = told.pop("state", "CA")
    row = {"refrigerant": "R-448A", "category": "commercial refrigeration",
           "subsector": "retail food", **told}  # fmt: skip
    series: list[tuple[date | None, Any]] = [
        (since, subject({**row, "full_charge_lb": lb}, state))
        for since, lb in ((None, pounds), *changes)
    ]
    return System(name, started, standings(series, [pack or load_pack(CALIFORNIA)]), ended)


def at(
    systems: Iterable[System], as_of: date, events: Iterable[SiteEvent] = (),
    kept_from: date | None = None, law: FacilityTable | None = None,
) -> FacilityDuties:  # fmt: skip
    """What a site of some circuits owes on a day."""
    facility = Facility("Bay Market", "Bay Foods", tuple(systems), tuple(events), kept_from)
    return facility_duties(facility, [law or table()], as_of)[0]


def of(found: FacilityDuties, duty: str, year: int | None = None) -> list[Duty]:
    """The duties of a name, of a year where one is given."""
    return [d for d in found.duties if d.duty == duty and year in (None, d.year)]
