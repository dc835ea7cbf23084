"""Commands for what happens at a circuit beside pounds: inspect, leak, plan, extend, mothball, event.

Each says which duty the entry ends and what is due next.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import (
    Because,
    BookOption,
    DryRun,
    Key,
    Provisional,
    Writing,
    ask,
    good,
    headline,
    write,
)
from ledger.cli.movements import (
    At,
    By,
    Circuit,
    CylinderTo,
    Gross,
    Job,
    Note,
    On,
    Scale,
    Ticket,
    moved,
)
from ledger.cli.movements import Unit as UnitOption
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact, ServiceEvent

_GROUND = '--ground parts, --ground "other law" or --ground radiological'
Places = Annotated[
    list[str], typer.Option("--place", help="Where the leak is, such as a joint; repeat for more.")
]
How = Annotated[str, typer.Option("--how", help="Method or what was seen.")]
Signed = Annotated[bool, typer.Option("--signed", help="An authorized person signed it.")]
Complete = Annotated[
    bool, typer.Option("--complete", help="It holds everything the rule asks of it.")
]
Due = Annotated[str, typer.Option("--due", help="The estimated day.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (inspect, leak, plan, extend, mothball, event):
        app.command()(command)


def record(job: Job, facts: list[Fact], options: Writing) -> None:
    """Record service facts of one circuit or site and tell what they end and start."""
    from ledger.cli.duties_told import tell_duties

    def draft(known: BookKnown) -> Draft:
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, options.dry_run, moved(outcome))
        tell_duties(recorder, outcome)

    write(options, draft, tell)


def _day(text: str) -> str:
    from ledger.intake.fields import read_day

    return good(read_day(text)) if text else ""


def inspect(
    circuit: Circuit = "", places: Places = [],  # noqa: B006
    all_parts: Annotated[
        bool, typer.Option("--all-parts", help="All parts that can be seen and reached were.")
    ] = False,
    no_leak: Annotated[bool, typer.Option("--no-leak", help="No leak was found.")] = False,
    method: Annotated[str, typer.Option("--method", help="Bubbles, electronic, nitrogen ...")] = "",
    on: On = "", at: At = "", by: By = "", ticket: Ticket = "", note: Note = "",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record a leak inspection and the places of the leaks it found."""
    from ledger.facts.facts import ServiceEvent

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    whole = "yes" if all_parts else ""
    if places and no_leak:
        raise refuse("option-unfit", "The inspection found a leak and found none.",
                     "Give --place or --no-leak, not both.")  # fmt: skip
    facts: list[Fact] = [
        ServiceEvent(
            "leak inspection", circuit, places=tuple(places), how=method, complete=whole,
            ground="no leak" if no_leak else "",
        )
    ]  # fmt: skip
    if places:
        facts.append(ServiceEvent("leak found", circuit, places=tuple(places), how="inspection"))
    record(Job("inspect", key, on, at, by, ticket, note), facts,
           Writing(book, key, dry_run, because, provisional))  # fmt: skip


def leak(
    circuit: Circuit = "", places: Places = [], how: How = "",  # noqa: B006
    on: On = "", at: At = "", by: By = "", ticket: Ticket = "", note: Note = "",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record that a leak was found, by whatever means; some rules count from this day."""
    from ledger.facts.facts import ServiceEvent

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    fact = ServiceEvent("leak found", circuit, places=tuple(places), how=how)
    record(Job("leak", key, on, at, by, ticket, note), [fact],
           Writing(book, key, dry_run, because, provisional))  # fmt: skip


def plan(
    circuit: Circuit = "",
    to: Annotated[str, typer.Option("--to", help="retrofit or retirement.")] = "",
    refrigerant: Annotated[
        str, typer.Option("--refrigerant", "-r", help="R-number of what comes instead.")
    ] = "",
    contents: Annotated[
        list[str], typer.Option("--holds", help="A part the plan holds, by its number; or all.")
    ] = [],  # noqa: B006
    signed: Signed = False,
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record a retrofit or retirement plan, and which of the parts asked for it holds."""
    from ledger.cli.plan_contents import chosen, tell_contents
    from ledger.facts.facts import ServiceEvent

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    to = ask(to, "Retrofit or retirement", "--to retrofit or --to retirement")
    held = chosen(book, circuit, contents)
    fact = ServiceEvent(
        "plan", circuit, ground=to, refrigerant=_refrigerant(book, refrigerant),
        contents=tuple(held), signed="yes" if signed else "",
    )  # fmt: skip
    record(Job("plan", key, on, "", by, "", note), [fact], Writing(book, key, dry_run, because))
    tell_contents(book, circuit, held, signed)


def extend(
    circuit: Circuit = "",
    what: Annotated[str, typer.Option("--for", help="repair or plan.")] = "repair",
    ground: Annotated[
        str, typer.Option("--ground", help="parts, other law, radiological; of a plan also"
                          " custom-built, federal owner.")
    ] = "",
    signed: Signed = False, complete: Complete = False, due: Due = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record that more time was asked for, to repair or to carry out a plan."""
    from ledger.facts.facts import ServiceEvent

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    if what not in ("repair", "plan"):
        raise refuse("value-unclear", f'--for is "{what}".', "Write repair or plan.")
    fact = ServiceEvent(
        f"{what} extension request", circuit, ground=ask(ground, "Ground", _GROUND),
        signed="yes" if signed else "", complete="yes" if complete else "", due=_day(due),
    )  # fmt: skip
    record(Job("extend", key, on, "", by, "", note), [fact], Writing(book, key, dry_run, because))


def mothball(
    circuit: Circuit = "",
    recovered: Annotated[
        str, typer.Option("--recovered", help="What was taken out for it; with --to.")
    ] = "",
    cylinder: CylinderTo = "", gross: Gross = [], scale: Scale = "", unit: UnitOption = "lb",  # noqa: B006
    how: How = "",
    on: On = "", at: At = "", by: By = "", ticket: Ticket = "", note: Note = "",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record that a circuit was evacuated and shut down; its clocks stand until it is charged."""
    from ledger.cli.duties_told import tell_duties
    from ledger.cli.movements import refrigerant_of
    from ledger.facts.facts import ServiceEvent
    from ledger.facts.verbs import recover
    from ledger.facts.weights import IN

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    options = Writing(book, key, dry_run, because, provisional)
    job = Job("mothball", key, on, at, by, ticket, note, unit)
    stop = ServiceEvent("mothballed", circuit, how=how)

    def draft(known: BookKnown) -> Draft:
        facts: list[Fact] = []
        if recovered or gross:
            name = refrigerant_of(known, "", cylinder, circuit, on, provisional)
            net, evidence = job.weights(recovered, gross, scale, IN)
            facts += recover(circuit, cylinder, name, net, evidence, "mothballing")
        return job.draft(known, [*facts, stop])

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        tell_duties(recorder, outcome)

    write(options, draft, tell)


def event(
    subject: Annotated[str, typer.Argument(help="Unit, circuit, or site:NAME.")] = "",
    what: Annotated[str, typer.Argument(help="What happened; see --list.")] = "",
    ground: Annotated[str, typer.Option("--ground", help="Why, or which.")] = "",
    places: Places = [], how: How = "", signed: Signed = False, complete: Complete = False,  # noqa: B006
    part: Annotated[
        str, typer.Option("--part", help="Part of the circuit that a detector watches; all.")
    ] = "",
    required: Annotated[
        bool, typer.Option("--required", help="A rule asks for this detector.")
    ] = False,
    refrigerant: Annotated[
        str, typer.Option("--refrigerant", "-r", help="R-number of what comes instead.")
    ] = "",
    due: Due = "",
    period: Annotated[str, typer.Option("--year", help="The year a report or fee is for.")] = "",
    words: Annotated[bool, typer.Option("--list", help="Show every event that is kept.")] = False,
    on: On = "", at: At = "", by: By = "", ticket: Ticket = "", note: Note = "",
    dry_run: DryRun = False, because: Because = "", key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record any other dated event a rule may count from: detector, alarm, shutdown, choice."""
    from ledger.facts.facts import ServiceEvent
    from ledger.facts.occasions import OCCASIONS

    if words:
        for name, row in OCCASIONS.items():
            takes = ", ".join(row.grounds) if row.grounds else ""
            typer.echo(f"{name}: {row.says}{f' (--ground {takes})' if takes else ''}")
        return
    subject = ask(subject, "Unit, circuit or site:NAME", "CIRCUIT or site:NAME")
    what = ask(what, "What happened", "the event, such as alarm; tarebook event --list shows all")
    site = subject.removeprefix("site:") if subject.startswith("site:") else ""
    fact = ServiceEvent(
        " ".join(what.casefold().replace("-", " ").split()), "" if site else subject, site,
        tuple(places), how, "yes" if complete else "", ground, "yes" if signed else "", part,
        "yes" if required else "", _refrigerant(book, refrigerant), (), _day(due), period,
    )  # fmt: skip
    job = Job("event", key, on, at, by, ticket, note)
    record(job, [fact, *_masters(fact, book, on)], Writing(book, key, dry_run, because))


def _masters(fact: ServiceEvent, book: str, on: str) -> list[Fact]:
    """What an event changes of the circuit itself: its last day, or its refrigerant."""
    from ledger.book.known import BookKnown
    from ledger.cli.common import now, open_book
    from ledger.cli.movements import day_of
    from ledger.facts.facts import Described

    if fact.what not in ("retired", "retrofitted") or not fact.circuit:
        return []
    with open_book(book) as opened, opened.reading() as reader:
        day = day_of(BookKnown(reader.connection, now(), opened.zone), on)
    if fact.what == "retired":
        return [Described("circuit", fact.circuit, {"retired": day}, why="retired")]
    if not fact.refrigerant:
        return []
    fields = {"refrigerant": fact.refrigerant}
    return [Described("circuit", fact.circuit, fields, since=day, why="retrofitted")]


def _refrigerant(book: str, text: str) -> str:
    """An R-number as typed, as the register writes it; empty stays empty."""
    from ledger.cli.answers import refrigerant_name
    from ledger.cli.common import open_book

    if not text:
        return ""
    with open_book(book) as opened, opened.reading() as reader:
        return refrigerant_name(reader, text)
