"""The command that writes cylinder labels with QR codes to a printable page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import Place, cut_of, name_of, place_name
from ledger.cli.common import BookOption, now, open_book

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader
    from ledger.facts.masters import Master
    from ledger.reports.labels import Label


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(labels)


def labels(
    cylinders: Annotated[list[str], typer.Argument(help="Cylinders; all that are ours if left out.")] = [],  # noqa: B006
    place: Place = "",
    out: Annotated[str, typer.Option("--out", help="File to write, a page for the browser.")] = "labels.html",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Write a page of cylinder labels: name as QR code, refrigerant, tare, limit, due date."""
    from ledger.book.known import BookKnown
    from ledger.book.reading import inventory_of
    from ledger.reports.labels import page
    from ledger.reports.workbook import drafted

    with open_book(book) as opened, opened.reading() as reader:
        cut = cut_of(reader, "", "")
        known = BookKnown(reader.connection, now(), opened.zone)
        keep = {"place": place_name(reader, place)} if place else {}
        wanted = [name_of(reader, "cylinder", one) for one in cylinders]
        found = [line.name for line in inventory_of(reader, cut, keep)]
        names = wanted or [name for name in found if not _is_away(known, name)]
        made = [_label(reader, known, master) for name in names
                if (master := known.master("cylinder", name)) is not None]  # fmt: skip
        number, digest = reader.head()
        text = page(made, f"{opened.name}: cylinder labels", f"{opened.name}; entry {number},"
                    f" digest {digest[:12]}. Limits: 49 CFR 173.304a; the marks on the cylinder"
                    " decide.")  # fmt: skip
    with drafted(Path(out)) as draft:
        draft.write_text(text, encoding="utf-8")
    typer.echo(f"Wrote {out}: {len(made)} labels.")


def _is_away(known: BookKnown, name: str) -> bool:
    """Whether a cylinder is at a party."""
    master = known.master("cylinder", name)
    place = master.text("place") if master else ""
    return bool(place) and known.master("place", place) is None and (
        known.master("party", place) is not None
    )  # fmt: skip


def _label(reader: Reader, known: BookKnown, one: Master) -> Label:
    from ledger.book.cut import Cut
    from ledger.book.rooms import room_of
    from ledger.facts.requalification import due_of
    from ledger.reports.labels import Label

    disposable = one.text("kind") == "disposable"
    room = room_of(reader, known, Cut(), one)
    refrigerant = one.text("refrigerant") or one.text("gas")
    gas = bool(one.text("gas"))
    return Label(
        one.name,
        refrigerant,
        room.tare.weight.mass if room.tare else None,
        room.tare.basis if room.tare else "",
        None if disposable or gas else room.limit,
        None if disposable or gas else room.max_gross,
        due_of(one).day,
        disposable,
        known.flammable(refrigerant),
    )
