"""Commands at a unit: charge, recover, transfer, and additions by others."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import (
    Because,
    BookOption,
    DryRun,
    Explain,
    Key,
    Provisional,
    Writing,
    ask,
    good,
    headline,
    new_key,
    write,
)
from ledger.facts.problems import Refused, refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Evidence, Fact
    from ledger.facts.mass import Quantity

Amount = Annotated[
    str, typer.Argument(help='Net amount, such as "2.85" (lb), "4 lb 8 oz", "2.6 kg".')
]
Gross = Annotated[
    list[str],
    typer.Option("--gross", "-g", help="Gross weight; give it before, after each stage, after."),
]
Scale = Annotated[str, typer.Option("--scale", help="The scale that was used.")]


def _known_unit(text: str) -> str:
    from ledger.facts.mass import COUNTS_PER_UNIT

    if text not in COUNTS_PER_UNIT:
        raise refuse("value-unclear", f'"{text}" is no unit.',
                     f"Choose {', '.join(COUNTS_PER_UNIT)}.")  # fmt: skip
    return text


Unit = Annotated[
    str,
    typer.Option("--unit", callback=_known_unit, help="Unit of a bare number: lb, oz, kg, g."),
]
On = Annotated[str, typer.Option("--on", help="Day it was done; today where left out.")]
At = Annotated[str, typer.Option("--at", help="Time of day, such as 14:05.")]
By = Annotated[str, typer.Option("--by", envvar="TAREBOOK_PERSON", help="Who did the work.")]
Supervisor = Annotated[
    str, typer.Option("--supervised-by", help="Certified technician an apprentice works under.")
]
Ticket = Annotated[str, typer.Option("--ticket", help="Ticket or work-order number.")]
Note = Annotated[str, typer.Option("--note", help="Anything worth keeping.")]
Refrigerant = Annotated[
    str, typer.Option("--refrigerant", "-r", help="R-number, where it is not known.")
]
Circuit = Annotated[str, typer.Argument(help="Unit or circuit, such as RTU-3 or RTU-3/B.")]
CylinderFrom = Annotated[str, typer.Option("--from", help="Cylinder it came from.")]
CylinderTo = Annotated[str, typer.Option("--to", help="Cylinder it went into.")]


class Job:
    """The options of one movement, read into a draft once the book is open."""

    def __init__(
        self, verb: str, key: str, on: str = "", at: str = "", by: str = "", ticket: str = "",
        note: str = "", unit: str = "lb", supervisor: str = "",
    ) -> None:  # fmt: skip
        self.supervisor = supervisor
        self.verb, self.key, self.on, self.at = verb, new_key(key), on, at
        self.by, self.ticket, self.note, self.unit = by, ticket, note, unit

    def draft(self, known: BookKnown, facts: list[Fact]) -> Draft:
        """The draft of this job with its facts."""
        from ledger.facts.entry import Draft
        from ledger.intake.dates import parse_time
        from ledger.intake.unclear import Unclear

        time = parse_time(self.at) if self.at else ""
        if isinstance(time, Unclear):
            raise refuse("date-unclear", time.sentence(), "Write the time as 14:05.")
        return Draft(
            self.key, self.verb, day_of(known, self.on), tuple(facts), self.by, time,
            ticket=self.ticket, note=self.note, supervisor=self.supervisor,
        )  # fmt: skip

    def weights(
        self, amount: str, gross: list[str], scale: str, direction: int
    ) -> tuple[Quantity, Evidence]:
        """The net and its evidence from what was typed."""
        from ledger.facts.weights import net_of
        from ledger.intake.fields import read_mass

        net = good(read_mass(amount, self.unit)) if amount else None
        readings = tuple(good(read_mass(one, self.unit)) for one in gross)
        return good(net_of(net, readings, direction, scale))


def day_of(known: BookKnown, text: str) -> str:
    """The ISO day of what was typed; today in the shop's zone where nothing was."""
    from ledger.intake.fields import read_day

    if text.strip().casefold() in ("", "today"):
        return known.today(known.shop_zone())
    order = known.setting("reading", "date order") or "mdy"
    return good(read_day(text, order, int(known.today(known.shop_zone())[:4])))


def refrigerant_of(
    known: BookKnown, given: str, cylinder: str, circuit: str, on: str, begin: bool = False
) -> str:
    """The refrigerant of a movement: as given, else of the cylinder, else of the circuit.

    Where none is found and nothing new is to `begin`, a name that is not in the book is told
    first, for it is the likelier slip.
    """
    from ledger.facts.resolve import Resolver
    from ledger.intake.fields import read_refrigerant

    if given.strip().casefold() == "unknown":
        return "unknown"
    if given:
        return good(read_refrigerant(given, known.settings("refrigerant name")))
    day = day_of(known, on)
    master = known.master("cylinder", cylinder) if cylinder else None
    if master is not None:
        contents = known.contents(master.name)
        held = contents.at(day).refrigerant or contents.latest.refrigerant
        found = held or master.at("refrigerant", day) or master.now("refrigerant")
        if found and found != "unknown":
            return str(found)
    for name in (known.circuits_of(circuit) or [circuit])[:1] if circuit else []:
        one = known.master("circuit", name)
        if one is not None and one.text("refrigerant", day):
            return one.text("refrigerant", day)
    names = Resolver(known, provisional=begin)
    for kind, name in (("circuit", circuit), ("cylinder", cylinder)):
        if name:
            names.name(kind, name)
    if names.problems:
        raise Refused(names.problems)
    raise refuse(
        "field-missing", "The refrigerant is not known from the cylinder or the circuit.",
        "Add --refrigerant R-...",
    )  # fmt: skip


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (charge, recover, transfer):
        app.command()(command)
    app.command("added-by-others")(added_by_others)


def moved(outcome: Outcome) -> str:
    """What an entry says, in words; the one circuit of a unit is not spoken of."""
    from dataclasses import replace

    from ledger.facts.facts import Described, Joined
    from ledger.reports.words import facts_in_words

    spoken: list[Fact] = []
    units: set[str] = set()
    for fact in outcome.draft.facts:
        if isinstance(fact, (Described, Joined)) and "/" not in fact.name:
            if fact.kind == "unit":
                units.add(fact.name)
            elif fact.kind == "circuit" and fact.name in units:
                continue
            elif fact.kind == "circuit" and isinstance(fact, Described):
                fact = replace(fact, kind="unit")
        spoken.append(fact)
    return facts_in_words(spoken)


def charge(
    circuit: Circuit = "", amount: Amount = "", cylinder: CylinderFrom = "", gross: Gross = [],  # noqa: B006
    scale: Scale = "", refrigerant: Refrigerant = "", on: On = "", at: At = "", by: By = "",
    supervised_by: Supervisor = "", ticket: Ticket = "", note: Note = "", unit: Unit = "lb",
    reason: Annotated[
        str,
        typer.Option("--as", help='"new charge", "post-retrofit" or "seasonal", declared by you.'),
    ] = "",
    same_leak: Annotated[
        list[int], typer.Option("--same-leak", help="Earlier entry that is part of the same leak.")
    ] = [],  # noqa: B006
    explain: Explain = False, dry_run: DryRun = False, because: Because = "",
    provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Put refrigerant from a cylinder into a circuit, and answer with the leak rate."""
    from ledger.cli.after import tell_charge, tell_twice
    from ledger.facts.facts import SameLeak
    from ledger.facts.verbs import CLAIMS
    from ledger.facts.verbs import charge as facts_of
    from ledger.facts.weights import OUT

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    cylinder = ask(cylinder, "Cylinder it came from", "--from CYLINDER")
    if not gross:
        amount = ask(amount, "Amount", "AMOUNT or --gross BEFORE --gross AFTER")
    if reason and reason not in CLAIMS:
        raise refuse("value-unclear", f'"{reason}" is no reason.', f"Choose {', '.join(CLAIMS)}.")
    job = Job("charge", key, on, at, by, ticket, note, unit, supervised_by)
    net, evidence = job.weights(amount, gross, scale, OUT)

    def draft(known: BookKnown) -> Draft:
        name = refrigerant_of(known, refrigerant, cylinder, circuit, on, provisional)
        facts = facts_of(circuit, cylinder, name, net, evidence, reason)
        if same_leak:
            facts.append(SameLeak(circuit, tuple(sorted(same_leak))))
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        tell_charge(recorder, outcome, explain)
        tell_twice(recorder, outcome, dry_run)

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def recover(
    circuit: Circuit = "", amount: Amount = "", cylinder: CylinderTo = "", gross: Gross = [],  # noqa: B006
    scale: Scale = "", refrigerant: Refrigerant = "", on: On = "", at: At = "", by: By = "",
    supervised_by: Supervisor = "", ticket: Ticket = "", note: Note = "", unit: Unit = "lb",
    seasonal: Annotated[bool, typer.Option("--seasonal", help="Removed because of the season.")] = False,
    condition: Annotated[str, typer.Option("--condition", help="What came out: clean, oily, acid, burn-out or unknown; a burn-out is quarantined.")] = "",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Take refrigerant out of a circuit into a recovery cylinder; 0 records an attempt."""
    from ledger.cli.after import tell_recovery, tell_twice
    from ledger.facts.masters import CONTENTS_CONDITIONS
    from ledger.facts.verbs import condition_of_recovered
    from ledger.facts.verbs import recover as facts_of
    from ledger.facts.weights import IN

    if condition and condition not in CONTENTS_CONDITIONS:
        raise refuse("value-unclear", f'"{condition}" is no condition.',
                     f"Choose {', '.join(CONTENTS_CONDITIONS)}.")  # fmt: skip
    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    if not gross:
        amount = ask(amount, "Amount (0 where nothing came out)", "AMOUNT or --gross ...")
    job = Job("recover", key, on, at, by, ticket, note, unit, supervised_by)
    net, evidence = job.weights(amount, gross, scale, IN)
    if net.mass:
        cylinder = ask(cylinder, "Cylinder it went into", "--to CYLINDER")

    def draft(known: BookKnown) -> Draft:
        in_book = known.circuits_of(circuit) or known.master("circuit", circuit)
        name = ""  # an attempt takes what the circuit holds, where that is known
        if net.mass or refrigerant:
            name = refrigerant_of(
                known, refrigerant, "" if in_book else cylinder, circuit, on, provisional
            )
        facts = facts_of(circuit, cylinder, name, net, evidence, "seasonal" if seasonal else "")
        if net.mass:
            day = day_of(known, on)
            facts += condition_of_recovered(cylinder, condition, name, circuit, day)
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        tell_recovery(recorder, outcome)
        tell_twice(recorder, outcome, dry_run)

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def transfer(
    amount: Amount = "", source: CylinderFrom = "", target: CylinderTo = "", gross: Gross = [],  # noqa: B006
    scale: Scale = "", refrigerant: Refrigerant = "", on: On = "", at: At = "", by: By = "",
    ticket: Ticket = "", note: Note = "", unit: Unit = "lb", dry_run: DryRun = False,
    because: Because = "", provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Move refrigerant from one cylinder into another; --gross weighs the cylinder it leaves."""
    from ledger.cli.after import tell_cylinders, tell_room
    from ledger.facts.verbs import transfer as facts_of
    from ledger.facts.weights import OUT

    source = ask(source, "Cylinder it leaves", "--from CYLINDER")
    target = ask(target, "Cylinder it goes into", "--to CYLINDER")
    job = Job("transfer", key, on, at, by, ticket, note, unit)
    net, evidence = job.weights(amount, gross, scale, OUT)

    def draft(known: BookKnown) -> Draft:
        name = refrigerant_of(known, refrigerant, source, "", on, provisional)
        return job.draft(known, facts_of(source, target, name, net, evidence))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        tell_cylinders(recorder, outcome)
        tell_room(recorder, outcome)

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def added_by_others(
    circuit: Circuit = "",
    amount: Annotated[
        str, typer.Argument(help='Amount, or "unknown" where nobody can say.')
    ] = "",
    party: Annotated[str, typer.Option("--party", help="The other contractor.")] = "",
    estimated: Annotated[bool, typer.Option("--estimated", help="The amount is an estimate.")] = False,
    refrigerant: Refrigerant = "", on: On = "", ticket: Ticket = "", note: Note = "",
    unit: Unit = "lb", explain: Explain = False, dry_run: DryRun = False, because: Because = "",
    provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record what another contractor added: it counts in the leak rate, not in our stock."""
    from ledger.cli.after import tell_charge
    from ledger.facts.verbs import added_by_others as facts_of
    from ledger.intake.fields import read_mass

    circuit = ask(circuit, "Unit or circuit", "CIRCUIT")
    amount = ask(amount, 'Amount, or "unknown"', 'AMOUNT or "unknown"')
    party = ask(party, "The other contractor", "--party NAME")
    job = Job("added by others", key, on, "", "", ticket, note, unit)
    net = None if amount.strip().casefold() == "unknown" else good(read_mass(amount, unit))

    def draft(known: BookKnown) -> Draft:
        name = refrigerant_of(known, refrigerant, "", circuit, on, provisional)
        return job.draft(known, facts_of(circuit, party, name, net, estimated))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        tell_charge(recorder, outcome, explain)

    write(Writing(book, key, dry_run, because, provisional), draft, tell)
