"""Commands for the container itself: requalification, and what is seen on its outside."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

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
from ledger.cli.movements import By, Job, Note, On, day_of, moved
from ledger.cli.stock import each_once, named
from ledger.facts.masters import CONDITIONS
from ledger.facts.problems import refuse
from ledger.facts.requalification import METHODS, due_from, due_of

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact

Cylinders = Annotated[list[str], typer.Argument(help="One or more cylinders.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command()(requalify)
    app.command()(condition)


def requalify(
    cylinders: Cylinders,
    method: Annotated[str, typer.Option("--method", help=f"One of: {', '.join(METHODS)}.")] = "",
    number: Annotated[str, typer.Option("--rin", help="The requalifier's identification number.")] = "",
    due: Annotated[
        str, typer.Option("--due", help="Next due by the requalifier's report; 5 years if left out.")
    ] = "",
    tare: Annotated[str, typer.Option("--tare", help="New tare, where it was marked anew.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record that cylinders were requalified: the day, the method and by whom."""
    from ledger.facts.facts import Described
    from ledger.intake.fields import read_day, read_mass

    method = _one_of(ask(method, "Method", "--method METHOD"), METHODS, "method")
    number = ask(number, "Requalifier's number", "--rin NUMBER")
    job = Job("requalify", key, on, "", by, "", note)
    options = Writing(book, key, dry_run, because)

    def draft(known: BookKnown) -> Draft:
        day = day_of(known, on)
        fields = {"requalified": day, "requalification": f"{method}, {number}"}
        if due:
            until = good(read_day(due, known.setting("reading", "date order") or "mdy"))
            fields["requalification due"] = _after(until, day)
        facts: list[Fact] = []
        for one in each_once(cylinders):
            facts.append(Described("cylinder", one, dict(fields), since=day))
            if tare:
                weight = good(read_mass(tare, "lb")).body()
                facts.append(Described("cylinder", one, {"measured tare": weight}, since=day))
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        for one in cylinders:
            master = recorder.known.master("cylinder", one)
            if master is not None and (found := due_of(master)).day:
                typer.echo(
                    f"Cylinder {master.name} may be filled until {found.day}: {found.basis}."
                )

    write(options, draft, tell)


def _one_of(text: str, choices: tuple[str, ...], what: str) -> str:
    found = text.strip().casefold()
    near = [one for one in choices if one == found or (found and one.startswith(found))]
    if len(near) != 1:
        raise refuse(
            "value-unclear", f'"{text}" is no {what}.', f"Choose {', '.join(choices)}."
        )  # fmt: skip
    return near[0]


def _after(until: str, day: str) -> str:
    if until <= day:
        raise refuse(
            "value-unclear", f"The next due day, {until}, is not after the requalification, {day}.",
            f"Give the day it is due again, or leave it out for {due_from(day)}.",
        )  # fmt: skip
    return until


def condition(
    cylinder: Annotated[str, typer.Argument(help="Cylinder.")],
    seen: Annotated[str, typer.Argument(help=f"What was seen: {', '.join(CONDITIONS)}.")] = "",
    condemn: Annotated[
        bool, typer.Option("--condemned", help="It was condemned for it and is not used again.")
    ] = False,
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record what is seen on the outside of a cylinder; all but "good" bars filling it."""
    from ledger.facts.facts import Described

    found = _one_of(ask(seen, "What was seen", "CONDITION"), CONDITIONS, "condition")
    if condemn and found == "good":
        raise refuse("option-unfit", "A good cylinder is not condemned.", "Leave one out.")
    job = Job("condition", key, on, "", by, "", note)

    def draft(known: BookKnown) -> Draft:
        day = day_of(known, on)
        fields = {"condition": found}
        if condemn:
            fields |= {"state": "condemned", "state because": found}
        return job.draft(known, [Described("cylinder", named(known, cylinder, False), fields, day)])

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        if found != "good":
            typer.echo(
                "Caution: do not fill or heat it; emptied only by a method that suits the damage"
                " (49 CFR 173.301(a)(2), 180.205(d))."
            )
        if found == "over-pressurized" and not condemn:
            typer.echo(
                "An over-pressurized cylinder is condemned (49 CFR 180.205(i)): --condemned."
            )

    write(Writing(book, key, dry_run, because), draft, tell)
