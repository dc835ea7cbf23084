"""Commands that list records flat, one row each, to filter and pivot: movements, weighings, services."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import (
    Owner,
    Refrigerant,
    Since,
    Site,
    Until,
    cut_of,
    day,
    name_of,
    place_name,
    refrigerant_name,
)
from ledger.cli.common import AsCsv, AsJson, AsOf, AsXlsx, BookOption, KnownAt, open_book
from ledger.cli.output import Output

if TYPE_CHECKING:
    from collections.abc import Callable

    from ledger.book.cut import Cut
    from ledger.book.reader import Reader
    from ledger.reports.listed import Wanted
    from ledger.reports.listing import Listing

Unit = Annotated[str, typer.Option("--unit", help="Only this unit or circuit.")]
Cylinder = Annotated[str, typer.Option("--cylinder", help="Only this cylinder.")]
Person = Annotated[
    str, typer.Option("--person", help="Only where this person worked or supervised.")
]
Place = Annotated[str, typer.Option("--place", help="Only cylinders that were at this place.")]
WithReversed = Annotated[
    bool,
    typer.Option("--with-reversed", help="Also lines that were taken back; they do not count."),
]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (movements, weighings, services):
        app.command()(command)


def movements(
    site: Site = "", owner: Owner = "", refrigerant: Refrigerant = "", unit: Unit = "",
    cylinder: Cylinder = "", person: Person = "", place: Place = "", since: Since = "",
    until: Until = "", with_reversed: WithReversed = False, as_of: AsOf = "",
    known_at: KnownAt = "", as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Every movement of pounds as one row, to filter and pivot in a spreadsheet."""
    from ledger.reports.movement_list import movement_list

    words = _Words(site, owner, refrigerant, unit, cylinder, person, place, since, until,
                   with_reversed)  # fmt: skip
    _put(movement_list, words, as_of, known_at, Output(as_json, as_csv, as_xlsx), book)


def weighings(
    refrigerant: Refrigerant = "", cylinder: Cylinder = "", person: Person = "",
    place: Place = "", since: Since = "", until: Until = "", with_reversed: WithReversed = False,
    as_of: AsOf = "", known_at: KnownAt = "", as_json: AsJson = False, as_csv: AsCsv = False,
    as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Every gross weight seen on a scale as one row: before, between and after a movement, and alone."""
    from ledger.reports.other_lists import weighing_list

    words = _Words("", "", refrigerant, "", cylinder, person, place, since, until, with_reversed)
    _put(weighing_list, words, as_of, known_at, Output(as_json, as_csv, as_xlsx), book)


def services(
    site: Site = "", owner: Owner = "", refrigerant: Refrigerant = "", unit: Unit = "",
    cylinder: Cylinder = "", person: Person = "", since: Since = "", until: Until = "",
    with_reversed: WithReversed = False, as_of: AsOf = "", known_at: KnownAt = "",
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Repairs, tests, attempts, additions of unknown amount, receipts and decisions, one row each."""
    from ledger.reports.other_lists import service_list

    words = _Words(site, owner, refrigerant, unit, cylinder, person, "", since, until,
                   with_reversed)  # fmt: skip
    _put(service_list, words, as_of, known_at, Output(as_json, as_csv, as_xlsx), book)


class _Words:
    """The filters as they were typed."""

    def __init__(
        self, site: str, owner: str, refrigerant: str, unit: str, cylinder: str, person: str,
        place: str, since: str, until: str, with_reversed: bool,
    ) -> None:  # fmt: skip
        self.named = {"site": site, "owner": owner, "cylinder": cylinder, "person": person}
        self.refrigerant, self.unit, self.place = refrigerant, unit, place
        self.since, self.until, self.with_reversed = since, until, with_reversed

    def wanted(self, reader: Reader, cut: Cut) -> Wanted:
        """The filters in names of the book; refused with near matches where it has none."""
        from ledger.reports.listed import Wanted

        kinds = {"owner": "party"}
        named = {
            name: name_of(reader, kinds.get(name, name), text) if text else ""
            for name, text in self.named.items()
        }
        return Wanted(
            refrigerant=refrigerant_name(reader, self.refrigerant),
            circuits=_circuits(reader, cut, self.unit) if self.unit else frozenset(),
            place=place_name(reader, self.place), first=day(self.since), last=day(self.until),
            reversed=self.with_reversed, **named,
        )  # fmt: skip


def _circuits(reader: Reader, cut: Cut, text: str) -> frozenset[str]:
    """The circuits of a unit, or the one circuit that is named."""
    from ledger.book.reading import masters_at
    from ledger.facts.masters import folded

    masters = masters_at(reader, cut)
    unit = masters.one("unit", text)
    if unit is None:
        return frozenset({name_of(reader, "circuit", text)})
    return frozenset(
        one.name
        for one in masters.all("circuit").values()
        if folded(one.text("unit")) == folded(unit.name)
    )


def _put(
    listed: Callable[[Reader, Cut, Wanted], Listing], words: _Words, as_of: str, known_at: str,
    output: Output, place: str,
) -> None:  # fmt: skip
    """Write a list in the form asked for; long ones are never held whole but on a terminal."""
    from ledger.cli.common import now
    from ledger.facts.calendar import local_date

    with open_book(place) as book, book.reading() as reader:
        cut = cut_of(reader, as_of, known_at)
        listing = listed(reader, cut, words.wanted(reader, cut))
        listing = listing.dated(local_date(now(), book.zone).isoformat())
        if output.as_json or output.as_csv:
            from ledger.reports.listing import write_csv, write_json

            (write_json if output.as_json else write_csv)(listing, sys.stdout)
        elif output.as_xlsx:
            from ledger.reports.flat_xlsx import write_list

            write_list(listing, Path(output.as_xlsx), book.name)
            typer.echo(f"Wrote {output.as_xlsx}.")
        else:
            from ledger.cli.output import put

            put(listing.table(), output, book.zone)
