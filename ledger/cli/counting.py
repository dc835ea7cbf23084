"""Commands of a count: count-sheet writes what to look for, count takes in what was found."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ledger.cli.common import BookOption, DryRun, Provisional, ask, good, now, open_book, recording
from ledger.facts.problems import refuse
from ledger.reports.words import counted as numbered

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.book.journal import Book
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader
    from ledger.facts.counts import CutOff
    from ledger.intake.count_sheet import CountRow, Told
    from ledger.intake.counting import CountReport
    from ledger.reports.count_sheet import PlaceSheet

CutOffOption = Annotated[
    str,
    typer.Option("--cut-off", help='Moment of the count: "2026-01-30 17:00", or a day: its end.'),
]
QUESTIONS_LEFT = 4
"""The exit code while rows wait for a person."""


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    app.command("count-sheet")(count_sheet)
    app.command("count")(count)


def cut_off_of(text: str, known: BookKnown) -> CutOff:
    """A cut-off as typed; refused where it is none."""
    from ledger.intake.count_sheet import read_cut_off

    order = known.setting("reading", "date order") or "mdy"
    return good(read_cut_off(text, order, int(known.today(known.shop_zone())[:4])))


def known_of(reader: Reader, book: Book) -> BookKnown:
    """What the book knows, for reading words as they are typed."""
    from ledger.book.known import BookKnown

    return BookKnown(reader.connection, now(), book.zone)


def count_sheet(
    places: Annotated[list[str], typer.Argument(help="Places to count; all that hold cylinders if left out.")] = [],  # noqa: B006
    cut_off: CutOffOption = "",
    out: Annotated[str, typer.Option("--out", help="The workbook to write.")] = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """Write blind count sheets, one for each place: what to look for, without the book's figures."""
    from ledger.reports.count_sheet import write_count_sheets
    from ledger.reports.template_lists import lists_of

    cut_off = ask(cut_off, "Cut-off", "--cut-off MOMENT")
    with open_book(book) as opened, opened.reading() as reader:
        known = known_of(reader, opened)
        moment = cut_off_of(cut_off, known)
        path = Path(out or f"count-{moment.text.replace(' ', '-').replace(':', '')}.xlsx")
        if path.suffix.casefold() != ".xlsx":
            raise refuse("option-unfit", f"{path} does not end in .xlsx.",
                         "A count sheet is a workbook; give it that ending.")  # fmt: skip
        sheets = list(_sheets(reader, places, moment))
        number, digest = reader.head()
        said = {"name": opened.name, "head": f"entry {number}, digest {digest[:12]}"}
        lists = lists_of(reader, known.today(opened.zone), opened.zone)
        write_count_sheets(sheets, lists, path, said)
    cylinders = numbered(sum(len(one.vessels) for one in sheets), "cylinder")
    typer.echo(f"Wrote {path}: {numbered(len(sheets), 'place')}, {cylinders} to look for.")
    typer.echo(f"Fill it in, save it, then: tarebook count {path}")


def _sheets(reader: Reader, wanted: list[str], moment: CutOff) -> Iterator[PlaceSheet]:
    """The sheets asked for; every place of ours with cylinders where none is named."""
    from ledger.answers.counting import expected_at
    from ledger.book.counting import vessels
    from ledger.book.reading import Cut, masters_at
    from ledger.cli.answers import place_name
    from ledger.facts.masters import RETIRED_STATES
    from ledger.reports.count_sheet import PlaceSheet

    masters = masters_at(reader, Cut())
    found = vessels(reader, Cut(), masters, moment).values()
    ours = {one.name for one in masters.all("place").values()}
    names = [place_name(reader, one) for one in wanted]
    if not names:
        names = sorted({one.place for one in found if one.place in ours})
    if not names:
        raise refuse("field-missing", "No place of the book holds cylinders at that moment.",
                     "Name the place, or put cylinders there with tarebook move.")  # fmt: skip
    for name in dict.fromkeys(names):
        yield PlaceSheet(name, moment.text, expected_at(found, name, RETIRED_STATES))


def count(
    file: Annotated[str, typer.Argument(help="A filled count sheet.")] = "",
    cylinder: Annotated[str, typer.Option("--cylinder", help="Or one cylinder, typed.")] = "",
    gross: Annotated[str, typer.Option("--gross", "-g", help="Its gross weight.")] = "",
    sealed: Annotated[bool, typer.Option("--sealed", help="It is unopened; counted, not weighed.")] = False,
    not_there: Annotated[bool, typer.Option("--not-there", help="It was looked for and not found.")] = False,
    place: Annotated[str, typer.Option("--place", help="The place that is counted.")] = "",
    cut_off: CutOffOption = "",
    scale: Annotated[str, typer.Option("--scale", help="The scale that was used.")] = "",
    on: Annotated[str, typer.Option("--on", help="Day it was weighed, where later than the cut-off.")] = "",
    at: Annotated[str, typer.Option("--at", help="Time of day it was weighed.")] = "",
    by: Annotated[str, typer.Option("--by", envvar="TAREBOOK_PERSON", help="Who counted.")] = "",
    dry_run: DryRun = False, provisional: Provisional = False, book: BookOption = "",
) -> None:  # fmt: skip
    """Take in a count: a filled sheet, or one cylinder with its gross weight, --sealed or --not-there."""
    from ledger.intake.count_sheet import Told, read_counts
    from ledger.intake.counting import take_counts

    if bool(file) == bool(cylinder):
        raise refuse("option-unfit", "A count is a filled sheet, or one cylinder.",
                     "Give FILE, or --cylinder with --gross, --sealed or --not-there.")  # fmt: skip
    with recording(book, "", provisional) as (recorder, known):
        order = known.setting("reading", "date order") or "mdy"
        moment = cut_off_of(cut_off, known).text if cut_off else ""
        told = Told(place, moment, by, scale, order, int(known.today(known.shop_zone())[:4]))
        if file:
            read = read_counts(Path(file), told)
            rows, notes = read.rows, read.notes
        else:
            rows, notes = [_typed(cylinder, gross, sealed, not_there, on, at, told)], []
        report = take_counts(recorder, rows)
        recorder.append_held()
        if dry_run:
            recorder.writer.rollback()
    for line in _told(report, notes, Path(file).name if file else cylinder, dry_run):
        typer.echo(line)
    if report.number("question"):
        raise typer.Exit(QUESTIONS_LEFT if file else 2)


def _typed(
    cylinder: str, gross: str, sealed: bool, not_there: bool, on: str, at: str, told: Told
) -> CountRow:
    """One cylinder from options."""
    from ledger.facts.counts import NOT_THERE, SEALED, WEIGHED
    from ledger.intake.count_sheet import CountRow
    from ledger.intake.dates import parse_time
    from ledger.intake.fields import read_day, read_mass
    from ledger.intake.unclear import Unclear

    if not_there == bool(gross or sealed):
        raise refuse("option-unfit", f"It is not clear what was found of {cylinder}.",
                     "Give --gross WEIGHT, --sealed or --not-there.")  # fmt: skip
    weight = good(read_mass(gross)) if gross else None
    time = parse_time(at) if at else ""
    if isinstance(time, Unclear):
        raise refuse("date-unclear", time.sentence(), "Write the time as 14:05.")
    found = NOT_THERE if not_there else SEALED if sealed else WEIGHED
    return CountRow(
        "", cylinder, told.place, told.cut_off, "", "", found, weight, told.scale,
        good(read_day(on, told.order, told.year)) if on else "", time, told.person,
    )  # fmt: skip


def _told(report: CountReport, notes: list[str], name: str, dry_run: bool) -> Iterator[str]:
    """What became of the rows, in plain lines."""
    lead = "Dry run, nothing written: " if dry_run else ""
    parts = [f"{numbered(report.number('recorded'), 'row')} recorded"]
    parts += [f"{number} {word}" for word, number in (
        ("already recorded", report.number("already")), ("left empty", report.number("left empty")),
    ) if number]  # fmt: skip
    if asked := report.number("question"):
        parts.append(numbered(asked, "question"))
    yield f"{lead}{name}: {', '.join(parts)}."
    if (entries := report.entries) and not dry_run:
        yield (
            f"Entries {entries[0]} to {entries[-1]}."
            if len(entries) > 1
            else f"Entry {entries[0]}."
        )
    yield from notes
    for _, outcome, _, problems in report.rows:
        if outcome == "question":
            yield from (f"  {problem.line()}" for problem in problems)
    left = [row.cylinder for row, outcome, *_ in report.rows if outcome == "left empty"]
    if left:
        shown = ", ".join(left[:12]) + (f" and {len(left) - 12} more" if len(left) > 12 else "")
        yield f"Not looked at yet: {shown}."
    for kind, thing in dict.fromkeys(report.begun):
        yield f"Begun provisionally: {kind} {thing}; complete it with tarebook mend."
    for moment in dict.fromkeys(cut_off for _, cut_off in report.counts if cut_off):
        yield f'Held against the book: tarebook difference --cut-off "{moment}"'
