"""What custody commands answer with: weights beside the book, the load, what was used, due days."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from ledger.answers.due_warnings import due_words
from ledger.facts.facts import Described, Weighing
from ledger.facts.mass import pounds
from ledger.facts.requalification import condition_of, due_of

if TYPE_CHECKING:
    from ledger.book.record import Outcome, Recorder


def _cylinders(outcome: Outcome) -> list[str]:
    names = {
        fact.name: None
        for fact in outcome.draft.facts
        if isinstance(fact, Described) and fact.kind == "cylinder"
    }
    return list(names)


def tell_weights(recorder: Recorder, outcome: Outcome) -> None:
    """Each weighed cylinder: net by scale, book, and the difference, one line each."""
    from ledger.facts.fill_limit import tare_of

    day = outcome.draft.occurred_on
    for fact in outcome.draft.facts:
        cylinder = (
            recorder.known.master("cylinder", fact.cylinder) if isinstance(fact, Weighing) else None
        )
        if cylinder is None or not isinstance(fact, Weighing) or cylinder.text("gas"):
            continue
        tare, book = tare_of(cylinder, day), recorder.known.contents(cylinder.name).at(day).total
        if tare is None:
            typer.echo(f"{cylinder.name}: gross {fact.gross.written}; no tare in the book, so no net"
                       f" by scale; book {pounds(book)} lb.")  # fmt: skip
            continue
        net = fact.gross.mass - tare.weight.mass
        typer.echo(
            f"{cylinder.name}: {pounds(net)} lb by scale ({tare.basis} tare {tare.weight.written}),"
            f" {pounds(book)} lb by the book, difference {pounds(net - book)} lb."
        )


def tell_due(recorder: Recorder, outcome: Outcome) -> None:
    """Requalification that is due or near, and damage on record."""
    day = outcome.draft.occurred_on
    for name in _cylinders(outcome):
        cylinder = recorder.known.master("cylinder", name)
        if cylinder is None or cylinder.text("kind") == "disposable":
            continue
        words = due_words(due_of(cylinder, day).day, day)
        if words:
            typer.echo(f"Caution: {cylinder.name}: {words} (49 CFR 180.205(c)).")
        seen = condition_of(cylinder, day)
        if seen is not None:
            typer.echo(
                f"Caution: {cylinder.name}: {seen.value} on record; not to be filled (49 CFR"
                " 173.301(a)(2))."
            )


def tell_load(recorder: Recorder, truck: str, day: str) -> None:
    """What the truck carries on an ISO day against the materials-of-trade weights."""
    from ledger.book.cut import Cut
    from ledger.reports.custody_tables import load_at

    recorder.writer.flush()
    typer.echo(load_at(recorder.writer, Cut(as_of=day), truck).sentence())


def tell_used(recorder: Recorder, outcome: Outcome, truck: str) -> None:
    """What the cylinders that came back gave aboard, by weight and by the tickets."""
    from ledger.answers.truck_sheet import stints
    from ledger.book.custody import Custody
    from ledger.book.cut import Cut

    if outcome.already or outcome.entry is None:
        return
    recorder.writer.flush()
    custody = Custody(recorder.writer, Cut())
    number = outcome.entry.number
    back = [
        one for one in stints(custody.puts(), custody.drawn(), truck) if number in one.entries[1:]
    ]
    for one in back:
        if one.used is None:
            typer.echo(f"{one.cylinder}: used {pounds(one.by_tickets)} lb by tickets since {one.out};"
                       " not weighed out and in.")  # fmt: skip
            continue
        typer.echo(
            f"{one.cylinder}: used {pounds(one.used)} lb by weight since {one.out},"
            f" {pounds(one.by_tickets)} lb by tickets, difference"
            f" {pounds(one.used - one.by_tickets)} lb."
        )
    aboard = {one.cylinder for one in back}
    for name in _cylinders(outcome):
        if name not in aboard:
            typer.echo(f"{name}: was not aboard {truck} by the book.")


def tell_last_seen(recorder: Recorder, outcome: Outcome) -> None:
    """Where each cylinder of the entry was last seen, and by whom."""
    from ledger.answers.sightings import last_seen, with_drivers
    from ledger.book.custody import Custody
    from ledger.book.cut import Cut

    recorder.writer.flush()
    day = outcome.draft.occurred_on
    custody = Custody(recorder.writer, Cut())
    seen, drivers = last_seen(custody.sightings(), day), custody.drivers(day)
    for name in _cylinders(outcome):
        found = seen.get(name)
        if found is None:
            typer.echo(f"{name}: nobody is on record as having seen it.")
            continue
        one, who = found.sighting, with_drivers(found, drivers)
        typer.echo(
            f"{name}: last seen {one.day}{f' at {one.place}' if one.place else ''}"
            f"{f' by {who}' if who else ''} ({one.how}, entry {one.entry})."
        )
