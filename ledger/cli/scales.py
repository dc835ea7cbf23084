"""Commands for scales and tolerances: check-weight, scales, tolerances, tolerance."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.answers import cut_of
from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsOf,
    AsXlsx,
    BookOption,
    DryRun,
    Explain,
    Key,
    KnownAt,
    Writing,
    ask,
    good,
    headline,
    new_key,
    open_book,
    write,
)
from ledger.cli.filling import tell_table
from ledger.cli.movements import By, Job, Note, On, Unit
from ledger.cli.output import Output
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.answers.tolerances import Bound
    from ledger.book.known import BookKnown
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command("check-weight")(check_weight)
    for command in (scales, tolerances, tolerance):
        app.command()(command)


def check_weight(
    scale: Annotated[str, typer.Argument(help="Scale.")],
    weight: Annotated[str, typer.Argument(help="Mass marked on the check weight.")] = "",
    reading: Annotated[str, typer.Argument(help="What the scale showed with it.")] = "",
    on: On = "", by: By = "", note: Note = "", unit: Unit = "lb", dry_run: DryRun = False,
    key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Hold a scale against a check weight: the reading is kept, no weight is changed."""
    from ledger.answers.scale_checks import Check, ScaleBias
    from ledger.facts.facts import CheckWeight
    from ledger.intake.fields import read_mass
    from ledger.reports.scale_tables import OUT
    from ledger.reports.words import in_words

    known_mass = good(read_mass(ask(weight, "Check weight", "WEIGHT"), unit))
    shown = good(read_mass(ask(reading, "Reading", "READING"), unit))
    fact = CheckWeight(scale, known_mass, shown)
    job = Job("check weight", key, on, "", by, "", note, unit)

    def draft(known: BookKnown) -> Draft:
        return job.draft(known, [fact])

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        (told,) = outcome.draft.facts
        headline(outcome, dry_run, in_words(told))
        one = Check(scale, outcome.draft.occurred_on, 0, known_mass, shown)
        if ScaleBias(scale, (one,)).out_of_use:
            typer.echo(f"It is {OUT} until it is put right (common practice, weak source).")

    write(Writing(book, key, dry_run), draft, tell)


def scales(
    as_of: AsOf = "", known_at: KnownAt = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Every scale: display step, readings, checks by weight, and its bias."""
    from ledger.answers.scale_checks import scale_biases
    from ledger.book.scale_log import scale_checks, scales_on_record
    from ledger.reports.scale_tables import scale_table
    from ledger.reports.stock_tables import common

    with open_book(book) as opened, opened.reading() as reader:
        cut = cut_of(reader, as_of, known_at)
        biases = scale_biases(scale_checks(reader, cut))
        table = scale_table(
            scales_on_record(reader, cut), {one.scale: one for one in biases},
            **common(reader, cut),
        )  # fmt: skip
        tell_table(table, [one.working() for one in biases], explain,
                   Output(as_json, as_csv, as_xlsx), opened.zone)  # fmt: skip


def tolerances(
    known_at: KnownAt = "", as_json: AsJson = False, as_csv: AsCsv = False, as_xlsx: AsXlsx = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """The table of tolerances: up to where a difference is within, to explain, for the owner."""
    from ledger.book.shipping import levels
    from ledger.reports.scale_tables import tolerance_table
    from ledger.reports.stock_tables import common

    with open_book(book) as opened, opened.reading() as reader:
        cut = cut_of(reader, "", known_at)
        table = tolerance_table(levels(reader, cut), **common(reader, cut))
        tell_table(table, (), False, Output(as_json, as_csv, as_xlsx), opened.zone)


def tolerance(
    level: Annotated[str, typer.Argument(help="Level, as tarebook tolerances lists it.")],
    within: Annotated[str, typer.Option("--within", help='Within tolerance up to: "0.1 lb", "1 %", "1 % or 5 lb".')] = "",
    explain_to: Annotated[str, typer.Option("--explain-to", help="To explain up to; beyond, the owner signs.")] = "",
    because: Annotated[str, typer.Option("--because", help="Why; needed.")] = "",
    dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Set this book's own tolerance for one level; reverse the entry to go back to ours."""
    from ledger.answers.tolerances import DEFAULTS, SETTING, setting_value
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Setting

    by_name = {one.name: one for one in DEFAULTS}
    name = level.strip().casefold().replace(" ", "-")
    if name not in by_name:
        raise refuse("value-unclear", f'"{level}" is no level.', f"Choose {', '.join(by_name)}.")
    if not because.strip():
        raise refuse("reason-missing", "A tolerance of your own needs its reason.",
                     'Add --because "what was agreed".')  # fmt: skip
    percent_of = by_name[name].of_what
    first = _bound(ask(within, "Within tolerance up to", "--within"), percent_of)
    second = _bound(ask(explain_to, "Explain up to", "--explain-to"), percent_of)
    if second.mass < first.mass or second.percent < first.percent:
        raise refuse(
            "option-unfit", f"{second.text()} is less than {first.text()}.",
            "Give --explain-to as much as --within or more, in pounds and in percent.",
        )  # fmt: skip
    fact = Setting(SETTING, name, setting_value(first, second), because.strip())

    def draft(known: BookKnown) -> Draft:
        return Draft(new_key(key), "tolerance", known.today(known.shop_zone()), (fact,))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, f"{name}: within {first.text()}, explain up to {second.text()}")

    write(Writing(book, key, dry_run), draft, tell)


def _bound(text: str, percent_of: str) -> Bound:
    """A bound as typed: a mass, a percentage, or both joined by "or" (the greater counts)."""
    import re
    from fractions import Fraction

    from ledger.answers.tolerances import Bound
    from ledger.intake.fields import read_mass

    bound = Bound()
    for part in text.split(" or "):
        percent = re.fullmatch(r"\s*(\d{1,2}(?:\.\d{1,2})?|100)\s*(?:%|percent)\s*", part)
        if percent is None:
            bound = bound._replace(mass=good(read_mass(part.strip())).mass)
        elif not percent_of:
            raise refuse("value-unclear", "This level has nothing a percentage could be of.",
                         "Give pounds.")  # fmt: skip
        else:
            bound = bound._replace(percent=Fraction(percent[1]))
    if bound.mass < 0:
        raise refuse("value-unclear", f'"{text}" is below nothing.', "Give pounds or percent.")
    return bound
