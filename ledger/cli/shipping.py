"""Commands for shipments: ship, the papers that come back, and what is still open."""

from __future__ import annotations

from dataclasses import replace
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
    Explain,
    Key,
    KnownAt,
    Provisional,
    Writing,
    ask,
    good,
    headline,
    open_book,
    write,
)
from ledger.cli.custody import Weighed, weighed_list
from ledger.cli.fleet import today_of
from ledger.cli.movements import By, Job, Note, On, Scale, Unit, day_of, moved, refrigerant_of
from ledger.cli.stock import all_of
from ledger.facts.papers import PURPOSES, RESULTS, ReclaimerPaper
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.answers.shipments import Shipment
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact

Shipped = Annotated[
    str, typer.Argument(help="Shipment: its manifest number, or the entry that shipped it.")
]
OneCylinder = Annotated[
    str, typer.Option("--cylinder", help="For one cylinder of it; all of it where left out.")
]
Number = Annotated[str, typer.Option("--number", help="Number of the paper.")]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (ship, analysis, credit, destruction, sign, manifest, match):
        app.command()(command)
    app.command("weight-ticket")(weight_ticket)


def ship(
    cylinders: Weighed, party: Annotated[str, typer.Option("--to", help="Reclaimer or other.")] = "",
    amount: Annotated[str, typer.Option("--net", help="Net, where it differs from the book.")] = "",
    purpose: Annotated[str, typer.Option("--for", help=f"One of: {', '.join(PURPOSES)}.")] = "",
    carrier: Annotated[str, typer.Option("--carrier", help="Who carries it.")] = "",
    seal: Annotated[list[str], typer.Option("--seal", help="Seal number, one for each cylinder in order.")] = [],  # noqa: B006
    scale: Scale = "", on: On = "", by: By = "", ticket: Annotated[str, typer.Option("--manifest", help="Manifest or bill of lading.")] = "",
    note: Note = "", unit: Unit = "lb", dry_run: DryRun = False, because: Because = "",
    provisional: Provisional = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Ship cylinders with their contents to a reclaimer or destruction facility."""
    from ledger.intake.fields import read_mass

    party = ask(party, "Who it goes to", "--to PARTY")
    listed = weighed_list(cylinders, "", unit)
    if purpose and purpose not in PURPOSES:
        raise refuse(
            "value-unclear", f'"{purpose}" is no purpose.', f"Choose {', '.join(PURPOSES)}."
        )
    if seal and len(seal) != len(listed):
        raise refuse("option-unfit", f"{len(seal)} seals are given for {len(listed)} cylinders.",
                     "Give one for each, in the order of the cylinders.")  # fmt: skip
    net = good(read_mass(amount, unit)) if amount else None
    if net is not None and len(listed) > 1:
        raise refuse("option-unfit", "One amount cannot stand for several cylinders.",
                     "Ship them one at a time, or leave the amount out.")  # fmt: skip
    job = Job("ship", key, on, "", by, ticket, note, unit)

    def draft(known: BookKnown) -> Draft:
        from ledger.facts.facts import Described, Evidence, Weighing
        from ledger.facts.papers import Shipped
        from ledger.facts.verbs import leave

        facts: list[Fact] = []
        for one, sealed in zip(listed, seal or [""] * len(listed), strict=True):
            mass = net or all_of(known, one.cylinder)
            if mass.mass > 0:
                gas = refrigerant_of(known, "", one.cylinder, "", job.on)
                how = Evidence("net" if net else "stated")
                facts += leave(one.cylinder, party, gas, mass, how, "shipment")
            facts.append(Described("cylinder", one.cylinder, {"place": party}, day_of(known, on)))
            if one.gross is not None:
                facts.append(Weighing(one.cylinder, one.gross, scale))
            facts.append(Shipped(one.cylinder, party, purpose, carrier, sealed))
        return job.draft(known, facts)

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))

    write(Writing(book, key, dry_run, because, provisional), draft, tell)


# -- papers that come back --------------------------------------------------------------------


def _shipment(known: BookKnown, text: str) -> Shipment:
    """The shipment a paper is about; refused where there is none, or more than one."""
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader
    from ledger.book.shipping import shipments_of

    today = known.today(known.shop_zone())
    found = shipments_of(Reader(known.connection), Cut(), today)
    return the_shipment(found, text)


def the_shipment(found: list[Shipment], text: str) -> Shipment:
    """The one shipment with this manifest number or entry."""
    from ledger.facts.masters import folded

    wanted = folded(text)
    named = [one for one in found if one.ticket and folded(one.ticket) == wanted]
    if not named and wanted.isdigit():
        named = [one for one in found if int(wanted) in one.entries]
    if len(named) != 1:
        near = ", ".join(one.name for one in found[-5:]) or "nothing was shipped yet"
        what = "names several shipments" if named else "names no shipment"
        raise refuse("no-such-entry", f'"{text}" {what}.', f"The last ones: {near}.")
    return named[0]


def _of_it(known: BookKnown, shipment: Shipment, cylinder: str, paper: str) -> str:
    """The cylinder of a paper as the book has it; it was in the shipment, and is told of once."""
    master = known.master("cylinder", cylinder) if cylinder else None
    name = master.name if master else cylinder
    lines = {line.name: line for line in shipment.lines}
    if cylinder and name not in lines:
        raise refuse("kind-mismatch", f"Cylinder {name} was not in shipment {shipment.name}.",
                     f"It had {', '.join(lines)}.")  # fmt: skip
    before = (lines[name] if cylinder else shipment.total).of(paper)
    once = paper in ("weight ticket", "analysis")
    if before and once:
        raise refuse(
            "paper-twice",
            f"{'Cylinder ' + name if cylinder else 'Shipment ' + shipment.name} has its {paper}"
            f" already (entry {before[0].entry}).",
            f"Reverse that one first if this corrects it: tarebook reverse {before[0].entry}"
            ' --because "...".',
        )
    return name


def _record(verb: str, text: str, papers: Any, job: Job, options: Writing) -> None:
    """Record papers about one shipment and answer with how it stands."""

    def draft(known: BookKnown) -> Draft:
        return job.draft(known, papers(known, _shipment(known, text)))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.book.cut import Cut
        from ledger.book.shipping import shipments_of
        from ledger.reports.shipment_tables import match_table

        headline(outcome, options.dry_run, moved(outcome))
        recorder.writer.flush()
        today = recorder.known.today(recorder.known.shop_zone())
        found = the_shipment(shipments_of(recorder.writer, Cut(), today), text)
        typer.echo(match_table(recorder.writer, Cut(), [found])[0].answer)

    write(options, draft, tell)


def weight_ticket(
    shipment: Shipped,
    weights: Annotated[list[str], typer.Argument(help='Their net of each cylinder, or their gross and tare: "RC-01=37.1" "HT-1=995/380".')] = [],  # noqa: B006
    net: Annotated[str, typer.Option("--net", help="Their net of all of it, where it is told in one.")] = "",
    number: Number = "", on: On = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Enter the reclaimer's weights of a shipment, and say how they differ from ours."""
    from ledger.intake.fields import read_mass

    if not weights and not net:
        raise refuse("field-missing", "No weight is given.", 'Give "CYLINDER=NET" or --net TOTAL.')
    read = [_their_weight(one, unit) for one in weights]
    total = good(read_mass(net, unit)) if net else None
    job = Job("weight ticket", key, on, "", by, number, note, unit)

    def papers(known: BookKnown, found: Shipment) -> list[Fact]:
        facts: list[Fact] = [
            ReclaimerPaper(
                found.entry,
                "weight ticket",
                number,
                _of_it(known, found, one, "weight ticket"),
                **said,
            )
            for one, said in read
        ]
        if total is not None:
            _of_it(known, found, "", "weight ticket")
            facts.append(ReclaimerPaper(found.entry, "weight ticket", number, net=total))
        return facts

    _record("weight ticket", shipment, papers, job, Writing(book, key, dry_run))


def _their_weight(text: str, unit: str) -> tuple[str, dict[str, Any]]:
    """A cylinder with its net, or its gross and tare."""
    from ledger.intake.fields import read_mass

    name, sign, amount = text.rpartition("=")
    if not sign or not name.strip() or not amount.strip():
        raise refuse("field-missing", f'"{text}" is no cylinder with its weight.',
                     "Write it as RC-01=37.1, or HT-1=995/380 for gross and tare.")  # fmt: skip
    gross, slash, tare = amount.partition("/")
    if not slash:
        return name.strip(), {"net": good(read_mass(amount, unit))}
    whole, empty = good(read_mass(gross, unit)), good(read_mass(tare, unit))
    if whole.mass < empty.mass:
        raise refuse("gross-below-tare", f"{name}: gross {whole.written}, tare {empty.written}.",
                     "Give the gross first: HT-1=995/380.")  # fmt: skip
    return name.strip(), {"gross": whole, "tare": empty}


def analysis(
    shipment: Shipped, cylinder: OneCylinder = "",
    purity: Annotated[str, typer.Option("--purity", help="Percent of the named refrigerant, as certified.")] = "",
    result: Annotated[str, typer.Option("--result", help=f"One of: {', '.join(RESULTS)}.")] = "",
    net: Annotated[str, typer.Option("--net", help="Pounds accepted.")] = "",
    found: Annotated[str, typer.Option("--found", help="Moisture, acid, residue, other refrigerants.")] = "",
    number: Number = "", on: On = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Enter the analysis certificate of a shipment or of one cylinder."""
    from ledger.intake.fields import read_mass

    result = ask(result, "Result", f"--result {'|'.join(RESULTS)}")
    if result not in RESULTS:
        raise refuse("value-unclear", f'"{result}" is no result.', f"Choose {', '.join(RESULTS)}.")
    percent = _percent(purity) if purity else ""
    accepted = good(read_mass(net, unit)) if net else None
    job = Job("analysis", key, on, "", by, number, note, unit)

    def papers(known: BookKnown, one: Shipment) -> list[Fact]:
        name = _of_it(known, one, cylinder, "analysis")
        return [
            ReclaimerPaper(
                one.entry, "analysis", number, name, net=accepted, purity=percent, result=result,
                reason=found,
            )
        ]  # fmt: skip

    _record("analysis", shipment, papers, job, Writing(book, key, dry_run))


def _percent(text: str) -> str:
    """A percentage as it was written, at most 100."""
    import re

    words = text.replace("%", "").strip()
    if not re.fullmatch(r"\d{1,3}(\.\d{1,4})?", words) or float(words) > 100:
        raise refuse("value-unclear", f'"{text}" is no percentage.', "Write it as 96.2.")
    return words


def credit(
    shipment: Shipped,
    amount: Annotated[str, typer.Argument(help="Dollars credited, or charged with --charged.")] = "",
    charged: Annotated[bool, typer.Option("--charged", help="It is a charge to us.")] = False,
    cylinder: OneCylinder = "", number: Number = "", on: On = "", by: By = "", note: Note = "",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Enter what the reclaimer credits or charges for a shipment or one cylinder."""
    from ledger.intake.fields import read_cents

    cents = good(read_cents(ask(amount, "Amount in dollars", "AMOUNT")))
    job = Job("credit", key, on, "", by, number, note)

    def papers(known: BookKnown, found: Shipment) -> list[Fact]:
        name = _of_it(known, found, cylinder, "charge" if charged else "credit")
        paid = {"charge_cents" if charged else "credit_cents": cents}
        paper = "charge" if charged else "credit"
        return [ReclaimerPaper(found.entry, paper, number, name, **paid)]  # type: ignore[arg-type]

    _record("credit", shipment, papers, job, Writing(book, key, dry_run))


def destruction(
    shipment: Shipped, cylinder: OneCylinder = "",
    net: Annotated[str, typer.Option("--net", help="Pounds destroyed.")] = "",
    number: Number = "", on: On = "", by: By = "", note: Note = "", unit: Unit = "lb",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Enter a destruction certificate of a shipment or of one cylinder."""
    from ledger.intake.fields import read_mass

    number = ask(number, "Number of the certificate", "--number NUMBER")
    mass = good(read_mass(net, unit)) if net else None
    job = Job("destruction certificate", key, on, "", by, number, note, unit)

    def papers(known: BookKnown, found: Shipment) -> list[Fact]:
        name = _of_it(known, found, cylinder, "destruction certificate")
        return [ReclaimerPaper(found.entry, "destruction certificate", number, name, net=mass)]

    _record("destruction", shipment, papers, job, Writing(book, key, dry_run))


def sign(
    shipment: Shipped, cylinder: OneCylinder = "",
    why: Annotated[str, typer.Option("--why", help="What explains the difference.")] = "",
    on: On = "", by: By = "", note: Note = "", dry_run: DryRun = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Explain or sign a difference between the reclaimer's weights and ours."""
    why = ask(why, "What explains the difference", "--why REASON")
    by = ask(by, "Who signs", "--by PERSON")
    job = Job("sign", key, on, "", by, "", note)

    def papers(known: BookKnown, found: Shipment) -> list[Fact]:
        name = _of_it(known, found, cylinder, "signed")
        return [ReclaimerPaper(found.entry, "signed", cylinder=name, reason=why)]

    _record("sign", shipment, papers, job, Writing(book, key, dry_run))


# -- answers ----------------------------------------------------------------------------------


def manifest(
    shipment: Shipped, as_of: AsOf = "", known_at: KnownAt = "", as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """The shipping manifest: each cylinder with UN number, shipping name, gross, tare and net."""
    from ledger.book.shipping import shipments_of
    from ledger.cli.output import Output, put
    from ledger.reports.shipment_tables import manifest_table

    with open_book(book) as opened, opened.reading() as reader:
        cut = cut_of(reader, as_of, known_at)
        found = the_shipment(shipments_of(reader, cut, today_of(opened)), shipment)
        table = manifest_table(reader, cut, found, opened.name)
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)


def match(
    shipment: Annotated[str, typer.Argument(help="Shipment: manifest number or entry; all if left out.")] = "",
    still_open: Annotated[bool, typer.Option("--open", help="Only shipments with something open.")] = False,
    as_of: AsOf = "", known_at: KnownAt = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Shipments against what came back: each difference, its verdict, and what is still open."""
    from ledger.book.shipping import shipments_of
    from ledger.cli.output import Output, put
    from ledger.reports.shipment_tables import match_table

    with open_book(book) as opened, opened.reading() as reader:
        cut = cut_of(reader, as_of, known_at)
        found = shipments_of(reader, cut, as_of or today_of(opened))
        if shipment:
            found = [the_shipment(found, shipment)]
        if still_open:
            found = [one for one in found if one.open_items()]
        table, workings = match_table(reader, cut, found)
        if still_open and not found:
            table = replace(table, answer="No shipment has anything open.")
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)
        if explain and not (as_json or as_csv or as_xlsx):
            for working in workings():
                typer.echo("\n".join(("", *working.to_lines())))
