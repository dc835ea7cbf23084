"""The command that records a whole visit in one go: visit."""

from __future__ import annotations

from inspect import signature
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.case_facts import Places
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
from ledger.cli.movements import By, Circuit, Job, Note, On, Scale, Supervisor, Ticket, Unit, moved
from ledger.cli.visit_asking import asked, done, on_terminal
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact
    from ledger.facts.visit import Visit


def _text(option: str, says: str) -> Any:
    return typer.Option(f"--{option}", help=says)


Arrived = Annotated[str, _text("arrived", "Time of arrival, 13:40.")]
Departed = Annotated[str, _text("departed", "Time of departure.")]
Complaint = Annotated[str, _text("complaint", "What the customer said.")]
Before = Annotated[list[str], _text("before", 'A reading on arrival, "suction=118"; repeat.')]
After = Annotated[list[str], _text("after", 'A reading on leaving, "subcooling=8"; repeat.')]
Search = Annotated[str, _text("search", "How it was looked for leaks.")]
Searched = Annotated[str, _text("searched", "Where it was looked.")]
NoLeak = Annotated[bool, _text("no-leak", "No leak was found.")]
AllParts = Annotated[bool, _text("all-parts", "All parts that can be seen and reached were.")]
Declined = Annotated[str, _text("declined-by", "Who did not want it searched or repaired.")]
Told = Annotated[str, _text("told", 'Pounds the customer was told it takes, "2 to 4".')]
Price = Annotated[str, _text("price", "Price of a pound that was named.")]
AgreedBy = Annotated[str, _text("agreed-by", "Who said yes.")]
AgreedAt = Annotated[str, _text("agreed-at", "When, 14:05.")]
Charges = Annotated[
    list[str],
    _text("charge", 'Cylinder and gross weights, "410-17=31.4,30.2,29.15"; net alone "410-17=2".'),
]
Recoveries = Annotated[
    list[str], _text("recover", 'Into which cylinder, "RC-2=31.2,31.5"; an attempt "none=0".')
]
Waits = Annotated[list[int], _text("wait", "Minutes waited after a stage; repeat in order.")]
Vapour = Annotated[bool, _text("vapour", "Charged as vapour.")]
Repaired = Annotated[list[str], _text("repaired", 'A leak that was repaired, "flare=remade".')]
Opened = Annotated[bool, _text("opened", "The circuit was opened.")]
Evacuated = Annotated[bool, _text("evacuated", "The circuit was evacuated for the repair.")]
Tested = Annotated[str, _text("tested", "Initial test of the repairs: pass or fail.")]
Work = Annotated[list[str], _text("work", 'Part and what was done, "contactor=replaced".')]
Outcome_ = Annotated[str, _text("outcome", "How it was left.")]
SignedBy = Annotated[str, _text("signed-by", "Who signed for the customer.")]
Also = Annotated[list[str], _text("also", "Another person who worked; repeat.")]
NONE: list[Any] = []


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(visit)


def visit(
    circuit: Circuit = "", arrived: Arrived = "", departed: Departed = "", complaint: Complaint = "",
    before: Before = NONE, search: Search = "", searched: Searched = "", places: Places = NONE,
    no_leak: NoLeak = False, all_parts: AllParts = False, declined_by: Declined = "",
    told: Told = "", price: Price = "", agreed_by: AgreedBy = "", agreed_at: AgreedAt = "",
    charges: Charges = NONE, recoveries: Recoveries = NONE, waits: Waits = NONE,
    vapour: Vapour = False, scale: Scale = "", unit: Unit = "lb", repaired: Repaired = NONE,
    opened: Opened = False, evacuated: Evacuated = False, tested: Tested = "", work: Work = NONE,
    after: After = NONE, outcome: Outcome_ = "", signed_by: SignedBy = "", also: Also = NONE,
    on: On = "", by: By = "", supervised_by: Supervisor = "", ticket: Ticket = "", note: Note = "",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record a whole visit as one entry: readings, consent, stages, recoveries, repairs, work."""
    from ledger.cli.after import tell_charge
    from ledger.cli.duties_told import tell_duties
    from ledger.facts.visit import AFTER, BEFORE, Visit
    from ledger.intake.fields import read_cents
    from ledger.intake.visit_words import readings as readings_of
    from ledger.intake.visit_words import told as told_of
    from ledger.intake.visit_words import work as work_of

    if not circuit and on_terminal():
        _in_turn(dict(locals()))
        return
    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    _fits(tested, places, no_leak)
    low, high = told_of(told, unit) if told else (None, None)
    fact = Visit(
        circuit, _time(arrived), _time(departed), tuple(also), complaint,
        (*readings_of(BEFORE, before), *readings_of(AFTER, after)), low, high,
        good(read_cents(price)) if price else 0, agreed_by, _time(agreed_at), declined_by,
        tuple(waits), tuple(work_of(work)), outcome, signed_by,
    )  # fmt: skip
    job = Job("visit", key, on, arrived, by, ticket, note, unit, supervised_by)

    def draft(known: BookKnown) -> Draft:
        facts: list[Fact] = [fact]
        facts += _moved(known, circuit, recoveries, charges, scale, unit, on, provisional)
        how = "; ".join(part for part in (search, searched and f"at {searched}") if part)
        facts += _service(circuit, how, places, no_leak, all_parts)
        facts += _repairs(circuit, repaired, evacuated, tested)
        return job.draft(known, facts)

    def tell(recorder: Recorder, made: Outcome) -> None:
        headline(made, dry_run, moved(made))
        tell_charge(recorder, made, False)
        tell_duties(recorder, made, told=True)
        for line in _remarks(recorder, made, fact, opened or evacuated, vapour):
            typer.echo(f"Note: {line}")

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def _in_turn(given: dict[str, Any]) -> None:
    """Ask for what no option gave, in the order of a job, then record it."""
    options = {name: value for name, value in given.items() if name in signature(visit).parameters}
    answers = asked(options["book"], options)
    if not answers["circuit"]:
        raise refuse("field-missing", "Unit or circuit is not given.",
                     "The answers are kept: tarebook visit goes on with them.")  # fmt: skip
    visit(**answers)
    if not options["dry_run"]:
        done(options["book"])


def _fits(tested: str, places: list[str], no_leak: bool) -> None:
    """Refuse words and options that do not go together."""
    if tested and tested not in ("pass", "fail"):
        raise refuse("value-unclear", f'--tested is "{tested}".', "Write pass or fail.")
    if places and no_leak:
        raise refuse("option-unfit", "A leak was found and none was.",
                     "Give --place or --no-leak, not both.")  # fmt: skip


def _time(text: str) -> str:
    """A time of day as typed; empty stays empty."""
    from ledger.intake.dates import parse_time
    from ledger.intake.unclear import Unclear

    if not text:
        return ""
    found = parse_time(text)
    if isinstance(found, Unclear):
        raise refuse("date-unclear", found.sentence(), "Write the time as 14:05.")
    return found


def _moved(
    known: BookKnown, circuit: str, recoveries: list[str], charges: list[str], scale: str,
    unit: str, on: str, provisional: bool,
) -> list[Fact]:  # fmt: skip
    """The movements of the visit: what was recovered, then what was charged."""
    from ledger.cli.movements import refrigerant_of
    from ledger.facts.verbs import charge, recover
    from ledger.facts.weights import IN, OUT
    from ledger.intake.visit_words import weighed

    facts: list[Fact] = []
    for text in charges:
        cylinder, net, evidence = weighed(text, OUT, scale, unit)
        name = refrigerant_of(known, "", cylinder, circuit, on, provisional)
        facts += charge(circuit, cylinder, name, net, evidence)
    for text in recoveries:
        cylinder, net, evidence = weighed(text, IN, scale, unit)
        name = refrigerant_of(known, "", "", circuit, on, provisional) if net.mass else ""
        facts += recover(circuit, cylinder if net.mass else "", name, net, evidence)
    return facts


def _service(
    circuit: str, search: str, places: list[str], no_leak: bool, all_parts: bool
) -> list[Fact]:
    """The leak inspection and the leaks it found."""
    from ledger.facts.facts import ServiceEvent

    facts: list[Fact] = []
    if search or places or no_leak:
        facts.append(
            ServiceEvent(
                "leak inspection", circuit, places=tuple(places), how=search,
                complete="yes" if all_parts else "", ground="no leak" if no_leak else "",
            )
        )  # fmt: skip
    if places:
        facts.append(ServiceEvent("leak found", circuit, places=tuple(places), how=search))
    return facts


def _repairs(circuit: str, repaired: list[str], evacuated: bool, tested: str) -> list[Fact]:
    """The repairs, each of a leak by its place, and the initial test of all of them."""
    from ledger.facts.facts import Repair, Test
    from ledger.intake.visit_words import parted

    parts = [parted(text, "repair", '"flare=remade"') for text in repaired]
    facts: list[Fact] = [
        Repair(circuit, place, how, "yes" if evacuated else "", "some", (place,))
        for place, how in parts
    ]
    if tested:
        places = tuple(place for place, _ in parts)
        facts.append(Test(circuit, "initial", tested, "some" if places else "all", "", places))
    return facts


def _remarks(
    recorder: Recorder, outcome: Outcome, visit: Visit, opened: bool, vapour: bool
) -> list[str]:  # fmt: skip
    """What is worth saying about the visit as it was recorded."""
    from ledger.answers.named_leaks import left
    from ledger.answers.visit_checks import Seen, remarks
    from ledger.book.reading import Cut, masters_at
    from ledger.book.stories import named_leaks
    from ledger.facts.facts import Attempt, Movement, Repair, ServiceEvent
    from ledger.refrigerants.register import register

    facts = outcome.draft.facts
    name = next((part.circuit for part in facts if isinstance(part, type(visit))), visit.circuit)
    moves = [part for part in facts if isinstance(part, Movement)]
    added = [part for part in moves if part.target == f"circuit:{name}"]
    taken = [part for part in moves if part.source == f"circuit:{name}"]
    circuit = recorder.known.master("circuit", name)
    charge = circuit.at("full charge", outcome.draft.occurred_on) if circuit else None
    substance = register().get(added[0].refrigerant) if added else None
    recorder.writer.flush()
    told = named_leaks(recorder.writer, Cut(), masters_at(recorder.writer, Cut()), name)
    waiting = tuple(place for place, what in left(told) if what == "repair")
    return list(
        remarks(
            Seen(
                added=sum(part.mass.mass for part in added),
                recovered=sum(part.mass.mass for part in taken),
                full_charge=int(charge["charge"][0])
                if isinstance(charge, dict) and "charge" in charge
                else None,
                low=visit.low.mass if visit.low else None,
                high=visit.high.mass if visit.high else None,
                opened=opened,
                attempted=bool(taken) or any(isinstance(part, Attempt) for part in facts),
                leaks=waiting,
                repaired=any(isinstance(part, Repair) for part in facts),
                declined=bool(visit.declined_by),
                searched=any(isinstance(part, ServiceEvent) for part in facts),
                glide=substance is not None and len(substance.composition) > 1,
                vapour=vapour,
                waits=visit.waits,
            )
        )
    )
