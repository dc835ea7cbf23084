"""Commands for cylinders and stock: receive, issue, move, weigh, return, empty, release."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

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
    Amount,
    At,
    By,
    Job,
    Note,
    On,
    Refrigerant,
    Scale,
    Unit,
    day_of,
    moved,
    refrigerant_of,
)
from ledger.facts.mass import Mass
from ledger.facts.problems import Refused, refuse
from ledger.facts.verbs import CAUSES

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Evidence, Fact
    from ledger.facts.mass import Quantity

Cylinder = Annotated[str, typer.Argument(help="Cylinder.")]
Cylinders = Annotated[list[str], typer.Argument(help="One or more cylinders.")]
Place = Annotated[str, typer.Option("--place", help="Warehouse, truck or site it is put at.")]
Stock = Annotated[str, typer.Option("--stock", help="virgin, reclaimed, recovered or unknown.")]
Price = Annotated[str, typer.Option("--price", help="Price of one pound, in dollars.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (receive, opening, issue, move, weigh, empty, release):
        app.command()(command)
    app.command("return")(give_back)


def stock_kind(stock: str) -> str:
    """A stock kind as typed; refused where there is none of that name."""
    from ledger.facts.masters import STOCKS

    if stock not in STOCKS:
        raise refuse(
            "value-unclear", f'"{stock}" is no stock kind.', f"Choose {', '.join(STOCKS)}."
        )
    return stock


def _described_new(
    known: BookKnown, cylinder: str, kind: str, refrigerant: str, place: str, day: str,
    tare: Quantity | None = None,
) -> list[Fact]:  # fmt: skip
    """A cylinder that arrives is described in the same entry; one in the book is put in place.

    One that was begun provisionally is completed by its kind.
    """
    from ledger.facts.facts import Described

    master = known.master("cylinder", cylinder)
    recorded = master.text("kind") if master else ""
    if kind and recorded and kind != recorded:
        raise refuse(
            "kind-mismatch", f"Cylinder {cylinder} is a {recorded} by the book, not a {kind}.",
            "Check its name, leave --kind out, or mend the cylinder.",
        )  # fmt: skip
    placed = {"place": place} if place else {}
    fields: dict[str, Any] = {"kind": kind, "refrigerant": refrigerant}
    if tare is not None:
        fields["stamped tare"] = tare.body()
    if master is None and kind:
        return [Described("cylinder", cylinder, fields | placed, new="yes")]
    facts: list[Fact] = []
    if master is not None and master.provisional and kind:
        facts.append(Described("cylinder", cylinder, fields))
    if placed:
        facts.append(Described("cylinder", cylinder, placed, since=day))
    return facts


def receive(
    cylinders: Cylinders,
    amount: Annotated[str, typer.Option("--net", help="Net in each cylinder, by label.")] = "",
    gross: Annotated[str, typer.Option("--gross", "-g", help="Gross as received, with --tare.")] = "",
    tare: Annotated[str, typer.Option("--tare", help="Tare as marked.")] = "",
    supplier: Annotated[str, typer.Option("--from", help="Supplier.")] = "",
    refrigerant: Refrigerant = "",
    kind: Annotated[
        str, typer.Option("--kind", help="Kind, for cylinders not in the book yet: disposable ...")
    ] = "",
    stock: Stock = "virgin", place: Place = "", invoice: Annotated[str, typer.Option("--invoice", help="Invoice number.")] = "",
    price: Price = "", deposit: Annotated[str, typer.Option("--deposit", help="Deposit each.")] = "",
    batch: Annotated[str, typer.Option("--batch", help="Batch or lot.")] = "",
    reclaimer: Annotated[str, typer.Option("--reclaimer", help="Who reclaimed it.")] = "",
    virgin: Annotated[str, typer.Option("--virgin-percent", help="Virgin share of what was reclaimed, percent by weight, by its label.")] = "",
    scale: Scale = "", on: On = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Take in refrigerant from a supplier, in one or more cylinders of the same size."""
    from ledger.cli.provenance import provenance, virgin_share
    from ledger.facts.facts import Receipt
    from ledger.facts.verbs import receive as facts_of
    from ledger.intake.fields import read_cents, read_mass

    supplier = ask(supplier, "Supplier", "--from SUPPLIER")
    kind = _kind_of(kind)
    net, evidence = _net_received(amount, gross, tare, scale, unit)
    marked = good(read_mass(tare, unit)) if tare else None
    job = Job("receive", key, on, "", by, "", note, unit)
    cents = good(read_cents(price)) if price else 0
    held = good(read_cents(deposit)) if deposit else 0
    share = virgin_share(virgin)

    def draft(known: BookKnown) -> Draft:
        facts: list[Fact] = []
        for cylinder in each_once(cylinders):
            begin = provisional or bool(kind)
            name = refrigerant_of(known, refrigerant, cylinder, "", on, begin)
            day = day_of(known, on)
            facts += _described_new(known, cylinder, kind, name, place, day, marked)
            receipt = Receipt(cylinder, supplier, invoice, cents, held, batch, reclaimer, share)
            facts += facts_of(cylinder, supplier, name, net, evidence, stock_kind(stock), receipt)
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        if stock == "reclaimed" and (told := provenance(
            outcome.draft.occurred_on, _received(outcome), share
        )):  # fmt: skip
            typer.echo(told)

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def _received(outcome: Outcome) -> str:
    """The refrigerant of a receipt."""
    from ledger.facts.facts import Movement

    return next((f.refrigerant for f in outcome.draft.facts if isinstance(f, Movement)), "")


def _kind_of(kind: str) -> str:
    from ledger.intake.fields import read_field

    return str(good(read_field("cylinder", "kind", kind, {}))) if kind else ""


def _net_received(
    amount: str, gross: str, tare: str, scale: str, unit: str
) -> tuple[Quantity, Evidence]:
    """Net by label, or gross less tare."""
    from ledger.facts.facts import Evidence
    from ledger.facts.weights import IN, net_of
    from ledger.intake.fields import read_mass

    typed = good(read_mass(amount, unit)) if amount else None
    if gross:
        if not tare:
            raise refuse("field-missing", "A gross weight needs the tare.", "Add --tare.")
        empty_weight, full = good(read_mass(tare, unit)), good(read_mass(gross, unit))
        return good(net_of(typed, (empty_weight, full), IN, scale))
    net = typed or good(read_mass(ask("", "Net in each cylinder", "--net AMOUNT"), unit))
    return net, Evidence("nominal", scale)


def opening(
    cylinder: Cylinder, amount: Amount = "",
    refrigerant: Refrigerant = "",
    kind: Annotated[str, typer.Option("--kind", help="Kind, if it is not in the book yet.")] = "",
    stock: Stock = "virgin",
    owner: Annotated[str, typer.Option("--owner", help="Whose recovered refrigerant it is.")] = "",
    place: Place = "", on: On = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Bring forward what a cylinder held on the day the book starts."""
    from ledger.facts.facts import Evidence
    from ledger.facts.verbs import opening as facts_of
    from ledger.intake.fields import read_mass

    net = good(read_mass(ask(amount, "Net in the cylinder", "AMOUNT"), unit))
    job = Job("opening", key, on, "", by, "", note, unit)
    kind = _kind_of(kind)

    def draft(known: BookKnown) -> Draft:
        begin = provisional or bool(kind)
        name = refrigerant_of(known, refrigerant, cylinder, "", on, begin)
        whose = known.master("party", owner) if owner else None
        facts = _described_new(known, cylinder, kind, name, place, day_of(known, on))
        facts += facts_of(
            cylinder, name, net, Evidence("stated"), stock_kind(stock),
            whose.name if whose else owner,
        )  # fmt: skip
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def _placed(
    verb: str, cylinders: list[str], place: str, on: str, by: str, note: str, options: Writing
) -> None:
    from ledger.facts.verbs import place_cylinder

    job = Job(verb, options.key, on, "", by, "", note)

    def draft(known: BookKnown) -> Draft:
        day = day_of(known, on)
        return job.draft(
            known,
            [fact for one in each_once(cylinders) for fact in place_cylinder(one, place, day)],
        )

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, options.dry_run, moved(outcome))

    write(options, draft, tell)


def issue(
    cylinders: Cylinders, place: Annotated[str, typer.Option("--to", help="Truck.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Put cylinders on a truck."""
    place = ask(place, "Truck", "--to TRUCK")
    options = Writing(book, key, dry_run, because, provisional)
    _placed("issue", cylinders, place, on, by, note, options)


def move(
    cylinders: Cylinders, place: Annotated[str, typer.Option("--to", help="Place or site.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, because: Because = "",
    provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Move cylinders to a warehouse, a truck or a site."""
    place = ask(place, "Place", "--to PLACE")
    options = Writing(book, key, dry_run, because, provisional)
    _placed("move", cylinders, place, on, by, note, options)


def weigh(
    cylinder: Cylinder, gross: Annotated[str, typer.Argument(help="Gross weight.")] = "",
    scale: Scale = "",
    state: Annotated[str, typer.Option("--state", help="sealed, or evacuated (empty).")] = "",
    on: On = "", at: At = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, because: Because = "", provisional: Provisional = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Put a cylinder on a scale: the weight is kept beside the book figure, never over it."""
    from ledger.cli.after import tell_weighing
    from ledger.facts.verbs import weigh as facts_of
    from ledger.intake.fields import read_mass

    weight = good(read_mass(ask(gross, "Gross weight", "GROSS"), unit))
    if state not in ("", "sealed", "evacuated"):
        raise refuse("value-unclear", f'"{state}" is no state.', "Write sealed or evacuated.")
    job = Job("weigh", key, on, at, by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        return job.draft(known, facts_of(cylinder, weight, scale, state))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        tell_weighing(recorder, outcome)

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def named(known: BookKnown, cylinder: str, begin: bool) -> str:
    """The name of a cylinder, refused where it is not in the book and is not to be begun."""
    from ledger.facts.resolve import Resolver

    resolver = Resolver(known, provisional=begin)
    found = resolver.name("cylinder", cylinder)
    if resolver.problems:
        raise Refused(resolver.problems)
    return found


def each_once(cylinders: list[str]) -> list[str]:
    """The cylinders of a command; one named twice is a slip."""
    from ledger.facts.masters import folded

    seen: set[str] = set()
    for one in cylinders:
        if folded(one) in seen:
            raise refuse("option-unfit", f"Cylinder {one} is named twice.", "Name each once.")
        seen.add(folded(one))
    return cylinders


def all_of(known: BookKnown, cylinder: str) -> Quantity:
    """Everything a cylinder holds by the book."""
    from ledger.facts.mass import quantity

    master = known.master("cylinder", cylinder)
    return quantity(Mass(max(0, known.contents(master.name).latest.total)) if master else Mass(0))


def _left(
    verb: str, purpose: str, cylinders: list[str], party: str, amount: str, job: Job, state: str,
    options: Writing,
) -> None:  # fmt: skip
    """Cylinders that leave with what is in them, by the book or as weighed."""
    from ledger.facts.facts import Described, Evidence
    from ledger.facts.verbs import leave
    from ledger.intake.fields import read_mass

    typed = good(read_mass(amount, job.unit)) if amount else None
    if typed is not None and len(cylinders) > 1:
        raise refuse("option-unfit", "One amount cannot stand for several cylinders.",
                     "Ship them one at a time, or leave the amount out.")  # fmt: skip

    def draft(known: BookKnown) -> Draft:
        facts: list[Fact] = []
        day = day_of(known, job.on)
        for one in each_once(cylinders):
            net = typed or all_of(known, one)
            if net.mass > 0:
                name = refrigerant_of(known, "", one, "", job.on)
                how = Evidence("net" if typed else "stated")
                facts += leave(one, party, name, net, how, purpose)
            fields = {"place": party} | ({"state": state} if state else {})
            facts.append(Described("cylinder", one, fields, since=day))
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, options.dry_run, moved(outcome))

    write(options, draft, tell)


def give_back(
    cylinders: Cylinders, party: Annotated[str, typer.Option("--to", help="Supplier.")] = "",
    amount: Annotated[str, typer.Option("--net", help="Net, where it differs from the book.")] = "",
    on: On = "", by: By = "", ticket: Annotated[str, typer.Option("--slip", help="Return slip.")] = "",
    note: Note = "", unit: Unit = "lb", dry_run: DryRun = False, because: Because = "",
    provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Return cylinders to their supplier with what is left in them."""
    party = ask(party, "Supplier", "--to SUPPLIER")
    job = Job("return", key, on, "", by, ticket, note, unit)
    options = Writing(book, key, dry_run, because, provisional)
    _left("return", "return", cylinders, party, amount, job, "returned", options)


def empty(
    cylinder: Cylinder,
    heel: Annotated[str, typer.Option("--heel", help="What is left in it; all the book has if not given.")] = "",
    how: Annotated[str, typer.Option("--how", help='How it was emptied, for a heel by volume: "liquid out", "into a running system", "to 0 psig", "to 15 inHg".')] = "",
    scrapped: Annotated[bool, typer.Option("--scrap", help="The cylinder goes to scrap.")] = False,
    on: On = "", by: By = "", note: Note = "", unit: Unit = "lb", dry_run: DryRun = False,
    because: Because = "", provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Write off the heel of an emptied cylinder."""
    from ledger.cli.heels import Heels
    from ledger.facts.facts import Described
    from ledger.intake.fields import read_mass

    typed = good(read_mass(heel, unit)) if heel else None
    if typed and how:
        raise refuse("option-unfit", "The heel is given twice.", "Give --heel or --how.")
    heels = Heels(cylinder, typed, how)
    job = Job("empty", key, on, "", by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        named(known, cylinder, provisional)
        facts: list[Fact] = heels.facts(known, on)
        job.note = "; ".join(filter(None, (note, heels.basis)))
        if scrapped:
            state = {"state": "scrapped"}
            facts.append(Described("cylinder", cylinder, state, since=day_of(known, on)))
        if not facts:
            raise refuse(
                "option-unfit", f"Cylinder {cylinder} holds nothing by the book.",
                "Add --scrap if it leaves, or --heel with what was left in it.",
            )  # fmt: skip
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        if heels.said:
            typer.echo(heels.said)
        typer.echo("Caution: evacuate to 15 in. Hg and sign the statement before scrap where it is"
                   " asked (40 CFR 84.116 from 2028; some states now).")  # fmt: skip

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


def release(
    amount: Amount = "",
    cylinder: Annotated[str, typer.Option("--from", help="Cylinder it left.")] = "",
    circuit: Annotated[str, typer.Option("--circuit", help="Or the circuit it left.")] = "",
    cause: Annotated[str, typer.Option("--cause", help=f"One of: {', '.join(CAUSES)}.")] = "",
    refrigerant: Refrigerant = "", on: On = "", at: At = "", by: By = "", note: Note = "",
    unit: Unit = "lb", dry_run: DryRun = False, because: Because = "",
    provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Record a known release, with its cause."""
    from ledger.facts.facts import Evidence, holder
    from ledger.facts.verbs import release as facts_of
    from ledger.intake.fields import read_mass

    if bool(cylinder) == bool(circuit):
        raise refuse("option-unfit", "A release leaves one cylinder or one circuit.",
                     "Give --from CYLINDER or --circuit CIRCUIT.")  # fmt: skip
    if cause not in CAUSES:
        raise refuse("value-unclear", f'"{cause}" is no cause.', f"Choose {', '.join(CAUSES)}.")
    net = good(read_mass(ask(amount, "Amount", "AMOUNT"), unit))
    job = Job("release", key, on, at, by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        source = holder("cylinder", cylinder) if cylinder else holder("circuit", circuit)
        name = refrigerant_of(known, refrigerant, cylinder, circuit, on, provisional)
        return job.draft(known, facts_of(source, name, net, Evidence("stated"), cause))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))
        typer.echo("Caution: knowing venting is prohibited (40 CFR 82.154(a)).")

    write(Writing(book, key, dry_run, because, provisional), draft, tell)
