"""The command that estimates how much a circuit will take, before work: estimate."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsXlsx,
    BookOption,
    Explain,
    good,
    recording,
)
from ledger.cli.pressures import name_of, put_answer
from ledger.facts.problems import Refused, refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.facts.mass import Mass
    from ledger.reports.estimate_table import Estimate, Share


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(estimate)


def estimate(
    circuit: Annotated[str, typer.Argument(help="Unit or circuit of the book; may be left out with -r.")] = "",
    refrigerant: Annotated[str, typer.Option("--refrigerant", "-r", help="R-number, where no circuit is named.")] = "",
    nameplate: Annotated[str, typer.Option("--nameplate", help='Charge on the data plate, "8.25 lb".')] = "",
    line: Annotated[list[str], typer.Option("--line", help='Liquid line, "3/8 x 40 ft"; with --nameplate only what is beyond the plate\'s length.')] = [],  # noqa: B006
    part: Annotated[list[str], typer.Option("--part", help='Coil or receiver, "receiver 0.25 ft3 80 % at 90 F".')] = [],  # noqa: B006
    recovered: Annotated[str, typer.Option("--recovered", help="Recovered on this visit, to go back or be made up.")] = "",
    explain: Explain = False, as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """How much will it take: an estimate with a range, what it rests on, and the leak rate it makes."""
    from ledger.reports.estimate_table import Estimate, estimate_table

    typed = _typed(nameplate)
    out = None if not recovered else _pounds_of(recovered)
    if not circuit:
        if not refrigerant:
            raise refuse("field-missing", "Neither circuit nor refrigerant is given.",
                         "Name the circuit, or add -r R-410A.")  # fmt: skip
        name = name_of(refrigerant)
        made = Estimate(name, (*typed, *_computed(name, line, part)), out)
        _something(made)
        put_answer(*estimate_table(made), explain, as_json, as_csv, as_xlsx)
        return
    with recording(book) as (recorder, known):
        known_as, holds = _of_book(known, circuit)
        name = name_of(refrigerant) if refrigerant else holds
        computed = _computed(name, line, part)
        book_has = () if typed or part else _full_charge(known, known_as)
        if line and book_has and not book_has[0].rests.endswith("maker"):
            raise refuse("option-unfit", f"The full charge of {known_as} in the book has the"
                         f" {book_has[0].rests}: its lines are in it already.",
                         "Leave --line out, or give --nameplate.")  # fmt: skip
        shares = (*typed, *book_has, *computed)
        made = Estimate(name, shares, out)
        _something(made)
        table, workings = estimate_table(made)
        recorder.writer.rollback()
    leads_to = _rates(book, known_as, made)
    from dataclasses import replace

    put_answer(replace(table, notes=[*leads_to, *table.notes]), workings, explain, as_json, as_csv,
               as_xlsx)  # fmt: skip


def _something(made: Estimate) -> None:
    if not made.shares:
        raise refuse("field-missing", "Nothing is known to estimate from.",
                     "Give --nameplate, --line or --part; or enter the full charge of the"
                     " circuit.")  # fmt: skip


def _typed(nameplate: str) -> tuple[Share, ...]:
    from ledger.reports.estimate_table import known_share

    if not nameplate:
        return ()
    return (known_share("Nameplate", _pounds_of(nameplate), "data plate, without extra line"),)


def _pounds_of(text: str) -> float:
    from ledger.facts.mass import POUND
    from ledger.intake.fields import read_mass

    mass = good(read_mass(text)).mass
    if mass <= 0:
        raise refuse("amount-not-positive", f"{text} is nothing.", "Leave it out, or give pounds.")
    return mass / POUND


def _computed(name: str, lines: list[str], parts: list[str]) -> list[Share]:
    from ledger.properties.charge_estimate import read_line, read_part
    from ledger.properties.no_data import NoSoundData
    from ledger.reports.estimate_table import computed_share

    found = []
    wanted = [
        *(good(read_line(text)) for text in lines),
        *(good(read_part(text)) for text in parts),
    ]
    for one in wanted:
        share = computed_share(one, name)
        if isinstance(share, NoSoundData):
            raise refuse(
                "value-unclear", share.sentence(), "Take the density of the maker's sheet."
            )
        found.append(share)
    return found


def _of_book(known: BookKnown, circuit: str) -> tuple[str, str]:
    """The circuit as the book names it, and its refrigerant today."""
    from ledger.facts.resolve import Resolver

    resolver = Resolver(known, provisional=False, looking=True)
    name = resolver.name("circuit", circuit)
    if resolver.problems:
        raise Refused(resolver.problems)
    master = known.master("circuit", name)
    holds = master.text("refrigerant", known.today(known.shop_zone())) if master else ""
    if not holds:
        raise refuse("field-missing", f"The refrigerant of {name} is not in the book.",
                     "Add it: tarebook mend circuit, or give -r.")  # fmt: skip
    return name, holds


def _full_charge(known: BookKnown, name: str) -> tuple[Share, ...]:
    """The full charge the book has, as a line of its own; nothing where it is unknown."""
    from ledger.facts.mass import POUND
    from ledger.facts.masters import full_charge_ends
    from ledger.reports.estimate_table import range_share

    master = known.master("circuit", name)
    value = master.at("full charge", known.today(known.shop_zone())) if master else None
    bounds: tuple[Mass, Mass] | None = full_charge_ends(value)
    if bounds is None:
        return ()
    assert isinstance(value, dict)
    low, high = (one / POUND for one in bounds)
    return (range_share("Full charge of the book", low, high, f"method {value['method']}"),)


def _rates(book: str, circuit: str, made: Estimate) -> list[str]:
    """The leak rate that the low and the high end would make, as a charge would tell it."""
    if made.recovered is None:
        return ["How much of it has to go in shows at the scale: no leak rate before that."]
    low, _, high = made.total
    ends = {"low": low, "high": high} if f"{low:.2f}" != f"{high:.2f}" else {"": low}
    told = []
    for end, pounds in ends.items():
        where = f"At the {end} end" if end else "So"
        amount = f"{made.more(pounds):.2f}"
        if float(amount) <= 0:
            told.append(f"{where} nothing more than was recovered goes in.")
        else:
            lines = _rate(book, circuit, made.refrigerant, amount)
            told += [f"{where}, {amount} lb more: {line}" for line in lines]
    return told


def _rate(book: str, circuit: str, refrigerant: str, amount: str) -> list[str]:
    """The rate an addition today would make, in a unit of work that is taken back."""
    from ledger.cli.after import rate_line, rates_of
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Evidence
    from ledger.facts.verbs import charge
    from ledger.intake.fields import read_mass

    with recording(book) as (recorder, known):
        facts = charge(circuit, "", refrigerant, good(read_mass(amount)), Evidence("stated"))
        today = known.today(known.shop_zone())
        outcome = recorder.record(Draft("estimate", "charge", today, tuple(facts)))
        lines = [one.sentence for one in outcome.problems]
        if outcome.entry is not None:
            entry = outcome.entry.number
            lines = [rate_line(circuit, rate) for rate in rates_of(recorder, circuit)
                     if entry in rate.entries]  # fmt: skip
        recorder.writer.rollback()
    return lines
