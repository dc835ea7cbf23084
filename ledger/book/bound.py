"""What the law asks of a book's circuits: its readings in place, its facts told, its duties."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from ledger.answers.case_events import Story
from ledger.answers.duties import CircuitDuties, duties_of
from ledger.answers.duty_law import DutyTable
from ledger.answers.leak_law import LawTable
from ledger.book.cut import Cut
from ledger.book.reader import Reader
from ledger.book.readings import overrides_of
from ledger.book.recorded import Masters
from ledger.book.stories import stories
from ledger.law.for_duties import law_for_duties
from ledger.law.for_rates import law_for_rates
from ledger.law.loader import SHIPPED, Pack, load_pack
from ledger.law.overrides import Override, with_overrides
from ledger.law.scope_series import Scopes

if TYPE_CHECKING:
    from ledger.answers.facility_duties import FacilityDuties
    from ledger.answers.facility_law import FacilityTable


@dataclass(frozen=True)
class Law:
    """The packs with a book's own readings in place, as the answers take them.

    The tables of the duties are made when they are asked for: an addition to a circuit that no
    rule binds, told at the prompt, needs none.
    """

    packs: tuple[Pack, ...]
    rates: LawTable
    scopes: Scopes
    known_at: date | None = None

    @cached_property
    def tables(self) -> tuple[DutyTable, ...]:
        """The duties of circuits, pack by pack."""
        return tuple(law_for_duties(pack, self.known_at) for pack in self.packs)

    @cached_property
    def sites(self) -> tuple[FacilityTable, ...]:
        """The duties of sites, of the packs that have any."""
        from ledger.law.for_facilities import facility_scope, law_for_facilities

        asked = (pack for pack in self.packs if facility_scope(pack))
        return tuple(law_for_facilities(pack, self.known_at) for pack in asked)


def law_of(reader: Reader, cut: Cut, law_known_at: date | None = None) -> Law:
    """The law as a book reads it at a cut.

    `law_known_at` gives the figures as this program had them on an earlier day.
    """
    return _law(overrides_of(reader, cut), law_known_at)


@lru_cache(maxsize=8)
def _law(overrides: tuple[Override, ...], known_at: date | None) -> Law:
    packs = tuple(with_overrides(load_pack(name), overrides) for name in SHIPPED)
    return Law(packs, law_for_rates(overrides, known_at), Scopes(packs, known_at), known_at)


def stories_of(
    reader: Reader, cut: Cut, law: Law, masters: Masters, circuits: Sequence[str] | None = None
) -> Iterator[Story]:
    """The stories of every circuit, or of those named, with the bindings of every pack."""
    return stories(reader, cut, masters, law.scopes, circuits)


def duties_in(
    reader: Reader, cut: Cut, masters: Masters, as_of: date,
    circuits: Sequence[str] | None = None, law: Law | None = None,
) -> Iterator[tuple[Story, list[CircuitDuties]]]:  # fmt: skip
    """Story, cases and duties of circuits at the end of a date, pack by pack, in name order.

    The cut says what counts; its own `as_of` is left alone, the answers look at dates.
    """
    law = law or law_of(reader, cut)
    for story in stories_of(reader, cut, law, masters, circuits):
        yield story, duties_of(story, law.rates, law.tables, as_of)


def site_duties_in(
    reader: Reader, cut: Cut, masters: Masters, as_of: date, sites: Sequence[str] = (),
    law: Law | None = None,
) -> Iterator[FacilityDuties]:  # fmt: skip
    """What sites owe at the end of a date, pack by pack, in name order."""
    from ledger.answers.facility_duties import facility_duties
    from ledger.book.facilities import facilities

    law = law or law_of(reader, cut)
    for facility in facilities(reader, cut, masters, law.packs, sites):
        yield from facility_duties(facility, law.sites, as_of)
