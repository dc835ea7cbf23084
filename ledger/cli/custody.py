"""Commands for who has which cylinder: load-out, turn-in, lend, not found, found, stolen."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from ledger.cli.common import (
    Because,
    BookOption,
    DryRun,
    Key,
    Writing,
    ask,
    good,
    headline,
    write,
)
from ledger.cli.movements import At, By, Job, Note, On, Scale, Unit, day_of, moved
from ledger.cli.stock import each_once, named
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact, Movement
    from ledger.facts.mass import Quantity

Weighed = Annotated[
    list[str],
    typer.Argument(
        help='Cylinders, each with its gross weight where it was weighed: "410-17=21.4".'
    ),
]
Sheet = Annotated[
    str, typer.Option("--sheet", help="Or a spreadsheet with the headings Cylinder and Gross.")
]
Truck = Annotated[str, typer.Argument(help="Truck.")]
SHEET_FIELDS = {
    "cylinder": "cylinder,cyl,tank,cylinder id,id",
    "gross": "gross,gross lb,gross weight,weight,gross out,gross in,weight lb",
}


class Named(NamedTuple):
    """One cylinder of a list, with its gross where it was weighed."""

    cylinder: str
    gross: Quantity | None = None


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command("load-out")(load_out)
    app.command("turn-in")(turn_in)
    app.command()(lend)
    app.command("not-found")(not_found)
    app.command()(found)
    app.command()(stolen)


def weighed_list(typed: list[str], sheet: str, unit: str) -> list[Named]:
    """The cylinders of a command and of its sheet, each once, with their weights read."""
    from ledger.intake.fields import read_mass

    pairs = [one.rpartition("=") if "=" in one else (one, "", "") for one in typed]
    texts = [(name.strip(), gross.strip()) for name, _, gross in pairs]
    if sheet:
        from ledger.intake.short_list import read_list

        rows = read_list(Path(sheet), SHEET_FIELDS, ("cylinder", "gross"))
        texts += [(row.values["cylinder"], row.values["gross"]) for row in rows]
    if not texts:
        raise refuse("field-missing", "No cylinder is named.", "Name them: 410-17=21.4 RC-04=52.0.")
    if any(not name for name, _ in texts):
        raise refuse("field-missing", "A weight has no cylinder.", "Write it as CYLINDER=GROSS.")
    each_once([name for name, _ in texts])
    return [Named(name, good(read_mass(gross, unit)) if gross else None) for name, gross in texts]


def _facts(
    known: BookKnown, cylinders: list[Named], place: str, day: str, scale: str,
    fields: dict[str, Any] | None = None,
) -> list[Fact]:  # fmt: skip
    from ledger.facts.facts import Described, Weighing

    facts: list[Fact] = []
    for one in cylinders:
        name = named(known, one.cylinder, False)
        facts.append(Described("cylinder", name, {"place": place, **(fields or {})}, since=day))
        if one.gross is not None:
            facts.append(Weighing(name, one.gross, scale))
    return facts


def load_out(
    truck: Truck, cylinders: Weighed = [], sheet: Sheet = "", scale: Scale = "",  # noqa: B006
    on: On = "", at: At = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, because: Because = "", key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Put cylinders on a truck in the morning, with their gross weights, and say what it carries."""
    listed = weighed_list(cylinders, sheet, unit)
    job = Job("load-out", key, on, at, by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        where = _truck(known, truck)
        return job.draft(known, _facts(known, listed, where, day_of(known, on), scale))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.custody_told import tell_due, tell_load, tell_weights

        headline(outcome, dry_run, moved(outcome))
        tell_weights(recorder, outcome)
        tell_due(recorder, outcome)
        tell_load(recorder, _truck(recorder.known, truck), outcome.draft.occurred_on)

    write(Writing(book, key, dry_run, because), draft, tell)


def turn_in(
    truck: Truck, cylinders: Weighed = [], sheet: Sheet = "",  # noqa: B006
    place: Annotated[str, typer.Option("--to", help="Warehouse; the only one where left out.")] = "",
    scale: Scale = "", on: On = "", at: At = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, because: Because = "", key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Take cylinders back from a truck, with their gross weights, and say what was used."""
    listed = weighed_list(cylinders, sheet, unit)
    job = Job("turn-in", key, on, at, by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        _truck(known, truck)
        where = place or _only_warehouse(known)
        return job.draft(known, _facts(known, listed, where, day_of(known, on), scale))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.custody_told import tell_due, tell_used, tell_weights

        headline(outcome, dry_run, moved(outcome))
        tell_weights(recorder, outcome)
        tell_used(recorder, outcome, _truck(recorder.known, truck))
        tell_due(recorder, outcome)

    write(Writing(book, key, dry_run, because), draft, tell)


def _truck(known: BookKnown, truck: str) -> str:
    """The book's name of a truck; refused where there is none or it is no truck."""
    from ledger.facts.problems import Refused
    from ledger.facts.resolve import Resolver

    resolver = Resolver(known, False)
    name = resolver.name("place", truck)
    if resolver.problems:
        raise Refused(resolver.problems)
    master = known.master("place", name)
    if master is not None and master.text("kind") not in ("truck", ""):
        raise refuse(
            "kind-mismatch", f"{name} is a {master.text('kind')}, not a truck.",
            "Name the truck; tarebook move puts a cylinder anywhere else.",
        )  # fmt: skip
    return name


def _only_warehouse(known: BookKnown) -> str:
    found = known.names_where("place", "kind", "warehouse")
    if len(found) == 1:
        return found[0]
    return ask("", "Warehouse it goes back to", "--to WAREHOUSE")


def lend(
    cylinders: Weighed,
    to: Annotated[str, typer.Option("--to", help="Truck, site, or the party it is lent to.")] = "",
    taken_by: Annotated[str, typer.Option("--taken-by", help="Who takes it over.")] = "",
    scale: Scale = "", on: On = "", at: At = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, because: Because = "", key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Hand cylinders over to another truck, or lend them to another contractor, with both names."""
    to = ask(to, "Where they go", "--to TRUCK or PARTY")
    listed = weighed_list(cylinders, "", unit)
    job = Job("lend", key, on, at, by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        from ledger.facts.papers import Handover

        day = day_of(known, on)
        party = known.master("place", to) is None and known.master("party", to) is not None
        facts = _facts(known, listed, to, day, scale, {"state": "on loan"} if party else {})
        person = known.master("person", taken_by) if taken_by else None
        taker = person.name if person else taken_by
        facts += [Handover(named(known, one.cylinder, False), to, taker) for one in listed]
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.custody_told import tell_due, tell_load, tell_weights

        headline(outcome, dry_run, moved(outcome))
        tell_weights(recorder, outcome)
        tell_due(recorder, outcome)
        place = recorder.known.master("place", to)
        if place is not None and place.text("kind") == "truck":
            tell_load(recorder, place.name, outcome.draft.occurred_on)

    write(Writing(book, key, dry_run, because), draft, tell)


def not_found(
    cylinders: Annotated[list[str], typer.Argument(help="One or more cylinders.")],
    why: Annotated[str, typer.Option("--why", help="Where it was looked for, or since when.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record that cylinders were looked for and not found; their pounds stay on the book."""
    from ledger.facts.facts import Described

    job = Job("not found", key, on, "", by, "", note)

    def draft(known: BookKnown) -> Draft:
        fields = {"state": "not found"} | ({"state because": why} if why else {})
        day = day_of(known, on)
        facts: list[Fact] = [
            Described("cylinder", named(known, one, False), dict(fields), since=day)
            for one in each_once(cylinders)
        ]
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.custody_told import tell_last_seen

        headline(outcome, dry_run, moved(outcome))
        tell_last_seen(recorder, outcome)

    write(Writing(book, key, dry_run, because), draft, tell)


def found(
    cylinders: Weighed,
    place: Annotated[str, typer.Option("--at", help="Where it was found.")] = "",
    scale: Scale = "", on: On = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, because: Because = "", key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record that cylinders were found, and where; what was booked as theft comes back."""
    place = ask(place, "Where it was found", "--at PLACE")
    listed = weighed_list(cylinders, "", unit)
    job = Job("found", key, on, "", by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        fields = {"state": "found"} | ({"state because": note} if note else {})
        facts = _facts(known, listed, place, day_of(known, on), scale, fields)
        for one in listed:
            facts += _given_back(known, named(known, one.cylinder, False))
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.custody_told import tell_weights

        headline(outcome, dry_run, moved(outcome))
        tell_weights(recorder, outcome)

    write(Writing(book, key, dry_run, because), draft, tell)


def stolen(
    cylinders: Annotated[list[str], typer.Argument(help="One or more cylinders.")],
    report: Annotated[str, typer.Option("--report", help="Number of the police report.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record that cylinders were stolen; their contents leave the book as theft."""
    from ledger.facts.facts import Described

    job = Job("stolen", key, on, "", by, report, note)

    def draft(known: BookKnown) -> Draft:
        day = day_of(known, on)
        fields = {"state": "stolen"} | ({"report": report} if report else {})
        facts: list[Fact] = []
        for one in each_once(cylinders):
            name = named(known, one, False)
            facts += _taken_away(known, name, day)
            facts.append(Described("cylinder", name, dict(fields), since=day))
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.custody_told import tell_last_seen

        headline(outcome, dry_run, moved(outcome))
        tell_last_seen(recorder, outcome)
        if not report:
            typer.echo("No report number is given: it stays open until tarebook change cylinder NAME"
                       " --report NUMBER.")  # fmt: skip

    write(Writing(book, key, dry_run, because), draft, tell)


def _taken_away(known: BookKnown, cylinder: str, day: str) -> list[Movement]:
    """What a stolen cylinder held, as a loss with its cause."""
    from ledger.facts.facts import Evidence, Movement, holder
    from ledger.facts.mass import Mass, quantity
    from ledger.facts.verbs import THEFT

    held = known.contents(cylinder).latest
    if held.total <= 0:
        return []
    return [
        Movement(
            holder("cylinder", cylinder), holder("difference", THEFT), held.refrigerant,
            quantity(Mass(held.total)), "difference", cause=THEFT, evidence=Evidence("stated"),
        )
    ]  # fmt: skip


def _given_back(known: BookKnown, cylinder: str) -> list[Movement]:
    """What was booked as theft with the cylinder, coming back."""
    from ledger.facts.facts import Evidence, Movement, holder
    from ledger.facts.mass import Mass, quantity
    from ledger.facts.verbs import THEFT

    master = known.master("cylinder", cylinder)
    states = master.history.get("state", []) if master else []
    if not states or states[-1].value != "stolen":
        return []
    gone = [line for line in known.contents(cylinder).lines if line.entry == states[-1].entry]
    return [
        Movement(
            holder("difference", THEFT), holder("cylinder", cylinder), line.refrigerant,
            quantity(Mass(-line.change)), "difference", stock=line.stock, owner=line.owner,
            cause=THEFT, evidence=Evidence("stated"),
        )
        for line in gone if line.change < 0
    ]  # fmt: skip
