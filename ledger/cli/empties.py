"""Commands for disposables that go to scrap, with or without the statement of their technician."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.answers import cut_of
from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsOf,
    AsXlsx,
    Because,
    BookOption,
    DryRun,
    Key,
    KnownAt,
    Writing,
    headline,
    open_book,
    write,
)
from ledger.cli.heels import LARGEST_HEEL
from ledger.cli.movements import By, Job, Note, On, day_of, moved, refrigerant_of
from ledger.cli.stock import all_of, each_once, named
from ledger.facts.mass import pounds
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command()(scrap)
    app.command()(empties)


def scrap(
    cylinders: Annotated[list[str], typer.Argument(help="One or more disposables.")],
    vacuum: Annotated[
        int, typer.Option("--vacuum", min=0, max=29, help="Inches of mercury they were pulled to;"
                          " makes the statement. Left out: no statement.")
    ] = 0,
    processor: Annotated[str, typer.Option("--to", help="Scrap yard or other final processor.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Scrap disposables in one batch: what is left is written off as heel, the vacuum is stated."""
    if vacuum and not by:
        raise refuse("field-missing", "A statement names its technician.", "Add --by PERSON.")
    job = Job("scrap", key, on, "", by, "", note)

    def draft(known: BookKnown) -> Draft:
        day = day_of(known, on)
        facts: list[Fact] = []
        for one in each_once(cylinders):
            facts += _scrapped(known, named(known, one, False), day, vacuum, processor)
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        _tell_statement(recorder, outcome, len(cylinders), vacuum)

    write(Writing(book, key, dry_run, because), draft, tell)


def _scrapped(known: BookKnown, cylinder: str, day: str, vacuum: int, processor: str) -> list[Fact]:
    from ledger.facts.facts import Described, Evidence
    from ledger.facts.papers import EmptyStatement
    from ledger.facts.verbs import write_off_heel

    master = known.master("cylinder", cylinder)
    if master is not None and master.text("kind") not in ("disposable", ""):
        raise refuse(
            "kind-mismatch", f"Cylinder {cylinder} is a {master.text('kind')}, not a disposable.",
            "Return or condemn it; tarebook change cylinder --state scrapped where it was scrapped.",
        )  # fmt: skip
    facts: list[Fact] = []
    net = all_of(known, cylinder)
    if net.mass > LARGEST_HEEL:
        raise refuse(
            "field-missing",
            f"Cylinder {cylinder} holds {pounds(net.mass)} lb by the book, more than a heel.",
            "Record first where it went: tarebook transfer, or tarebook empty --heel.",
        )
    if net.mass > 0:
        gas = refrigerant_of(known, "", cylinder, "", day)
        facts += write_off_heel(cylinder, gas, net, Evidence("stated"))
    if vacuum:
        facts.append(EmptyStatement(cylinder, vacuum, processor))
    if master is None or master.at("state", day) != "scrapped":
        fields: dict[str, Any] = {"state": "scrapped"}
        if processor:
            fields["place"] = processor
        facts.append(Described("cylinder", cylinder, fields, since=day))
    return facts


def _tell_statement(recorder: Recorder, outcome: Outcome, count: int, vacuum: int) -> None:
    if not vacuum:
        typer.echo(f"{count} scrapped without a statement of evacuation. Caution: evacuate to 15 in."
                   " Hg and sign where it is asked (40 CFR 84.116 from 2028; some states now).")  # fmt: skip
        return
    least = _asked_vacuum()
    typer.echo(f"Statement: {count} cylinders evacuated to {vacuum} in. Hg by {outcome.draft.person},"
               f" {outcome.draft.occurred_on}.")  # fmt: skip
    if vacuum < least:
        typer.echo(f"{vacuum} in. Hg is less than the {least} in. Hg of 40 CFR 84.116 (from 2028).")
    person = recorder.known.master("person", outcome.draft.person)
    card = person.at("certification", outcome.draft.occurred_on) if person else None
    kind = card.get("type", "") if isinstance(card, dict) else ""
    if kind in ("", "none", "apprentice"):
        typer.echo(f"{outcome.draft.person} has no certification on record for that day; the"
                   " statement asks for a certified technician.")  # fmt: skip


def _asked_vacuum() -> int:
    """The vacuum the federal rule will ask for, in inches of mercury."""
    from datetime import date

    from ledger.law.loader import FEDERAL_84C, load_pack

    value = load_pack(FEDERAL_84C).value("cyl-heel-vacuum", date(2028, 1, 1))
    asked = value.value if value is not None else 15
    return asked if isinstance(asked, int) else 15


def empties(
    entry: Annotated[int, typer.Argument(help="Entry of one statement; all if left out.")] = 0,
    as_of: AsOf = "", known_at: KnownAt = "", as_json: AsJson = False, as_csv: AsCsv = False,
    as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Statements of disposables evacuated before scrap, to print and sign."""
    from ledger.cli.output import Output, put
    from ledger.reports.watching_tables import empties_table

    with open_book(book) as opened, opened.reading() as reader:
        table = empties_table(reader, cut_of(reader, as_of, known_at), entry)
        if entry and not table.rows:
            raise refuse("no-such-entry", f"Entry {entry} holds no statement of empties.",
                         "tarebook empties lists them.")  # fmt: skip
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)
