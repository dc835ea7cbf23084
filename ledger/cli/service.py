"""Commands for service facts the leak rate needs: repair, test, same-leak, bring-forward, decide."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.case_facts import record
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
from ledger.cli.movements import At, By, Circuit, Job, Note, On, Ticket, moved
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact


Leaks = Annotated[
    list[str],
    typer.Option("--leak", help="A leak by the place it was recorded with; repeat. Else all."),
]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (repair, test, decide):
        app.command()(command)
    app.command("same-leak")(same_leak)
    app.command("bring-forward")(bring_forward)


def _one(job: Job, fact: Fact, options: Writing) -> None:
    def draft(known: BookKnown) -> Draft:
        return job.draft(known, [fact])

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, options.dry_run, moved(outcome))

    write(options, draft, tell)


def repair(
    circuit: Circuit = "", location: Annotated[str, typer.Option("--location", help="Where.")] = "",
    how: Annotated[str, typer.Option("--how", help="What was done.")] = "",
    evacuated: Annotated[bool, typer.Option("--evacuated", help="Evacuated for it.")] = False,
    places: Leaks = [],  # noqa: B006
    leaks: Annotated[
        str, typer.Option("--leaks", help="all identified leaks were repaired, or some.")
    ] = "all",
    on: On = "", at: At = "", by: By = "", ticket: Ticket = "", note: Note = "",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record a leak repair."""
    from ledger.facts.facts import Repair

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    _choose(leaks, ("all", "some"), "--leaks")
    fact = Repair(
        circuit, location, how, "yes" if evacuated else "", "some" if places else leaks,
        tuple(places),
    )  # fmt: skip
    record(Job("repair", key, on, at, by, ticket, note), [fact],
           Writing(book, key, dry_run, because, provisional))  # fmt: skip


def test(
    circuit: Circuit = "",
    which: Annotated[str, typer.Option("--which", help="initial or follow-up.")] = "",
    result: Annotated[str, typer.Option("--result", help="pass or fail.")] = "",
    leaks: Annotated[
        str, typer.Option("--leaks", help="all identified leaks were tested, or some.")
    ] = "all",
    places: Leaks = [],  # noqa: B006
    method: Annotated[str, typer.Option("--method", help="Bubbles, electronic ...")] = "",
    on: On = "", at: At = "", by: By = "", ticket: Ticket = "", note: Note = "",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record a verification test; a passed follow-up on all leaks resets the rolling window."""
    from ledger.facts.facts import Test

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    _choose(which, ("initial", "follow-up"), "--which")
    _choose(result, ("pass", "fail"), "--result")
    _choose(leaks, ("all", "some"), "--leaks")
    fact = Test(circuit, which, result, "some" if places else leaks, method, tuple(places))
    record(Job("test", key, on, at, by, ticket, note), [fact],
           Writing(book, key, dry_run, because, provisional))  # fmt: skip


def _choose(value: str, choices: tuple[str, ...], option: str) -> None:
    """Refuse what is none of a few words."""
    if value not in choices:
        raise refuse("value-unclear", f'{option} is "{value}".', f"Write {' or '.join(choices)}.")


def same_leak(
    circuit: Circuit,
    entries: Annotated[list[int], typer.Argument(help="The entries that are parts of one leak.")],
    dry_run: DryRun = False, key: Key = "", note: Note = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Declare that additions were made for one leak: they are rated as one."""
    from ledger.facts.facts import SameLeak

    if len(set(entries)) < 2:
        raise refuse("option-unfit", "One leak episode has at least two additions.",
                     "Give the entry numbers of all its parts.")  # fmt: skip
    fact = SameLeak(circuit, tuple(sorted(set(entries))))
    _one(Job("same leak", key, note=note), fact, Writing(book, key, dry_run))


def bring_forward(
    circuit: Circuit,
    last_addition: Annotated[
        str, typer.Option("--last-addition", help='Day of the last addition, or "unknown".')
    ] = "",
    rate: Annotated[str, typer.Option("--rate", help="Last leak rate, as the record has it.")] = "",
    open_case: Annotated[str, typer.Option("--open-case", help="An open repair, in words.")] = "",
    on: On = "", note: Note = "", dry_run: DryRun = False, provisional: Provisional = False,
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Carry in what the older records say about a circuit."""
    from ledger.facts.facts import BroughtForward
    from ledger.intake.fields import read_day

    text = ask(last_addition, "Last addition", "--last-addition DAY or unknown").strip()
    day = text if text.casefold() == "unknown" else good(read_day(text))
    fact = BroughtForward(circuit, day.casefold(), rate, open_case)
    _one(
        Job("bring forward", key, on, note=note), fact, Writing(book, key, dry_run, "", provisional)
    )


def decide(
    subject: Annotated[str, typer.Argument(help="Unit or circuit; or KIND:NAME, such as site:North.")],
    question: Annotated[str, typer.Option("--question", help="What was to be decided.")] = "",
    answer: Annotated[str, typer.Option("--answer", help="What was decided.")] = "",
    basis: Annotated[str, typer.Option("--basis", help="On what basis.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Record a decision, who made it and on what basis."""
    from ledger.facts.facts import Decision
    from ledger.facts.masters import FIELDS

    if ":" not in subject:
        subject = f"circuit:{subject}"
    if subject.partition(":")[0] not in FIELDS or not subject.partition(":")[2]:
        raise refuse("value-unclear", f'"{subject}" names nothing in the book.',
                     "Write KIND:NAME, such as circuit:RTU-1.")  # fmt: skip
    fact = Decision(subject, ask(question, "Question", "--question"),
                    ask(answer, "Answer", "--answer"), ask(basis, "Basis", "--basis"))  # fmt: skip
    _one(Job("decide", key, on, "", by, "", note), fact, Writing(book, key, dry_run))
