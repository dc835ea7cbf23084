"""Commands that answer for the fleet: truck sheets, last seen, attention, what is held for whom."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import (
    Place,
    Refrigerant,
    cut_of,
    day,
    name_of,
    place_name,
    refrigerant_name,
)
from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsOf,
    AsXlsx,
    BookOption,
    Explain,
    KnownAt,
    now,
    open_book,
)

if TYPE_CHECKING:
    from ledger.book.journal import Book

Since = Annotated[str, typer.Option("--from", help="From this day on.")]
Until = Annotated[str, typer.Option("--to", help="Up to this day.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command("truck-sheet")(truck_sheet)
    app.command("last-seen")(seen)
    app.command()(attention)
    app.command("held-for")(held_for)


def today_of(book: Book) -> str:
    """Today in the shop's zone, as an ISO day."""
    from ledger.facts.calendar import local_date

    return local_date(now(), book.zone).isoformat()


def truck_sheet(
    truck: Annotated[str, typer.Argument(help="Truck.")],
    since: Since = "", until: Until = "", as_of: AsOf = "", known_at: KnownAt = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """One truck: gross out and in, used by weight and by tickets, what is aboard, its gross in all."""
    from ledger.cli.output import Output, put
    from ledger.reports.custody_tables import truck_table

    with open_book(book) as opened, opened.reading() as reader:
        name = place_name(reader, truck)
        cut = cut_of(reader, as_of, known_at)
        table, workings = truck_table(reader, cut, name, day(since), day(until))
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)
        if explain and not (as_json or as_csv or as_xlsx):
            for working in workings():
                typer.echo("\n".join(("", *working.to_lines())))


def seen(
    days: Annotated[
        int, typer.Option("--days", min=0, help="Only those not seen for so many days.")
    ] = 0,
    refrigerant: Refrigerant = "", place: Place = "", as_of: AsOf = "", known_at: KnownAt = "",
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Where, when and by whom each cylinder was last seen, the longest ago first."""
    from ledger.cli.output import Output, put
    from ledger.reports.custody_tables import seen_table

    with open_book(book) as opened, opened.reading() as reader:
        keep = {
            "refrigerant": refrigerant_name(reader, refrigerant),
            "place": place_name(reader, place),
        }
        kept = {name: value for name, value in keep.items() if value}
        cut = cut_of(reader, as_of, known_at)
        table = seen_table(reader, cut, today_of(opened), kept, days)
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)


def attention(
    as_of: AsOf = "", known_at: KnownAt = "", as_json: AsJson = False, as_csv: AsCsv = False,
    as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Cylinders needing attention: not found, in quarantine, due, damaged, unseen, below nothing."""
    from ledger.cli.output import Output, put
    from ledger.reports.watching_tables import attention_table

    with open_book(book) as opened, opened.reading() as reader:
        table = attention_table(reader, cut_of(reader, as_of, known_at), today_of(opened))
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)


def held_for(
    owner: Annotated[str, typer.Argument(help="Owner whose recovered refrigerant is held.")],
    since: Since = "", until: Until = "", as_of: AsOf = "", known_at: KnownAt = "",
    as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """The custody statement of one owner: recovered refrigerant in, out and left."""
    from ledger.cli.output import Output, put
    from ledger.reports.watching_tables import held_table

    with open_book(book) as opened, opened.reading() as reader:
        name = name_of(reader, "party", owner)
        cut = cut_of(reader, as_of, known_at)
        table = held_table(reader, cut, name, day(since), day(until))
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)
