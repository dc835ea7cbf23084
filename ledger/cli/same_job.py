"""The command same-job: two records that may be of one job, shown together and settled."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.common import (
    AsCsv,
    AsJson,
    AsXlsx,
    BookOption,
    DryRun,
    Key,
    Writing,
    entry_of,
    good,
    headline,
    new_key,
    now,
    open_book,
    write,
)
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft, Entry
    from ledger.facts.facts import Fact
    from ledger.intake.same_job import Likeness, Record
    from ledger.reports.table import Table

BOTH = "both"


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command("same-job")(same_job)


def same_job(
    entries: Annotated[
        list[int], typer.Argument(help="Two entries to settle; one to see what is like it.")
    ] = [],  # noqa: B006
    keep: Annotated[
        str, typer.Option("--keep", help="The entry that stays, or both where they are two jobs.")
    ] = "",
    because: Annotated[str, typer.Option("--because", help="How that is known.")] = "",
    since: Annotated[str, typer.Option("--from", help="First day.")] = "",
    until: Annotated[str, typer.Option("--to", help="Last day.")] = "",
    dry_run: DryRun = False, key: Key = "", as_json: AsJson = False, as_csv: AsCsv = False,
    as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Show entries that may be of one job, two and two, and settle a pair: keep one, or both.

    The entry that is not kept is reversed, never deleted; that both stay is remembered.
    """
    if keep:
        _settle(entries, keep, because, Writing(book, key, dry_run))
        return
    if because or key or dry_run:
        raise refuse("option-unfit", "Nothing is to be settled.",
                     "Add --keep with the entry that stays, or both.")  # fmt: skip
    from ledger.cli.output import Output, put
    from ledger.intake.fields import read_day

    with open_book(book) as opened, opened.reading() as reader:
        first, last = (good(read_day(day)) if day else "" for day in (since, until))
        for number in entries:
            entry_of(reader, number)
        table = pairs_table(reader, opened.zone, first, last, entries)
        put(table, Output(as_json, as_csv, as_xlsx), opened.zone)


def pairs_table(reader: Reader, zone: str, since: str, until: str, entries: list[int]) -> Table:
    """Every two entries that may be of one job and were not decided, one below the other."""
    from ledger.book.known import BookKnown
    from ledger.intake.job_records import Places
    from ledger.intake.jobs import undecided
    from ledger.reports.table import Table
    from ledger.reports.words import counted

    places = Places(BookKnown(reader.connection, now(), zone))
    wanted = set(entries)
    found = [
        pair for pair in undecided(reader, places, since, until)
        if wanted <= {pair[0].entry, pair[1].entry}
    ]  # fmt: skip
    rows = [row for number, pair in enumerate(found, 1) for row in _rows(reader, number, *pair)]
    twice = sum(min(one.mass, other.mass) for one, other, _ in found)
    answer = "No two entries look like one job."
    if found:
        from ledger.facts.mass import pounds

        answer = f"{counted(len(found), 'pair')} may be one job each; {pounds(twice)} lb may count twice."
    notes = ["Settle a pair: tarebook same-job ENTRY ENTRY --keep ENTRY (the other is reversed), or"
             " --keep both where they are two jobs."] if found else []  # fmt: skip
    return Table("Entries that may be of one job", _columns(), rows, answer=answer, notes=notes,
                 head=reader.head())  # fmt: skip


def _columns() -> list[Any]:
    from ledger.reports.table import Column

    return [
        Column("pair", "Pair", "whole"), Column("entry", "Entry", "whole"),
        Column("day", "Day", "date"), Column("time", "Time"), Column("where", "Where"),
        Column("refrigerant", "Refrigerant"), Column("done", "Done"),
        Column("amount", "Amount as written"), Column("person", "Done by"),
        Column("ticket", "Ticket"), Column("source", "Source"), Column("alike", "Alike"),
    ]  # fmt: skip


def _rows(
    reader: Reader, number: int, one: Record, other: Record, like: Likeness
) -> list[dict[str, object]]:
    """The two rows of a pair; how they are alike stands in the first."""
    from ledger.intake.job_words import side_of_entry

    rows: list[dict[str, object]] = []
    for record in (one, other):
        side = side_of_entry(entry_of(reader, record.entry), {record.way})
        day, _, time = side.day.partition(" ")
        rows.append({
            "pair": number, "entry": side.entry, "day": day, "time": time, "where": side.where,
            "refrigerant": side.refrigerant, "done": side.done, "amount": side.amount,
            "person": side.person, "ticket": side.ticket, "source": side.source,
            "alike": "" if rows else like.words(),
        })  # fmt: skip
    return rows


def _settle(entries: list[int], keep: str, because: str, options: Writing) -> None:
    """Keep one entry and reverse the other, or remember that both are jobs of their own."""
    from ledger.intake.job_words import side_of_entry

    chosen = keep.strip().casefold()
    if len(set(entries)) != 2 or len(entries) != 2:
        raise refuse("option-unfit", "A pair is two entries.", "Give two entry numbers.")
    if chosen != BOTH and (not chosen.isdecimal() or int(chosen) not in entries):
        raise refuse("option-unfit", f'--keep "{keep}" is neither of the two entries.',
                     f"Write --keep {entries[0]}, --keep {entries[1]} or --keep both.")  # fmt: skip
    with open_book(options.book) as opened, opened.reading() as reader:
        one, other = (entry_of(reader, number) for number in entries)

    def draft(known: BookKnown) -> Draft:
        from ledger.facts.entry import Draft

        fact = _fact(known, one, other, chosen, because)
        verb = "same job" if chosen == BOTH else "reverse"
        day = known.today(known.shop_zone())
        return Draft(new_key(options.key), verb, day, (fact,))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        from ledger.cli.after import tell_correction
        from ledger.reports.words import facts_in_words

        if chosen == BOTH:
            headline(outcome, options.dry_run,
                     f"entries {one.number} and {other.number} are two jobs")  # fmt: skip
            return
        gone = other if int(chosen) == one.number else one
        headline(outcome, options.dry_run, facts_in_words(outcome.draft.facts))
        kept = one if gone is other else other
        typer.echo(f"Entry {kept.number} stays: {side_of_entry(kept).words()}.")
        if not outcome.already:
            tell_correction(recorder, outcome, gone)

    write(options, draft, tell)


def _fact(known: BookKnown, one: Entry, other: Entry, chosen: str, because: str) -> Fact:
    """What is recorded: the decision that both stay, or the reversal of the one that does not."""
    from ledger.intake.jobs import decision, job_ways, reversal_of

    gone = {entry.number: known.reversed_lines(entry.number) for entry in (one, other)}
    ways = {entry.number: job_ways(entry, gone[entry.number]) for entry in (one, other)}
    shared = ways[one.number] & ways[other.number]
    if not shared:
        lacking = [entry.number for entry in (one, other) if not ways[entry.number]]
        what = (
            f"Entry {lacking[0]} holds no charge or recovery that stands." if lacking
            else f"Entries {one.number} and {other.number} are a charge and a recovery."
        )  # fmt: skip
        raise refuse(
            "kind-mismatch", what, f"See it with tarebook show {(lacking or [one.number])[0]}."
        )
    if chosen == BOTH:
        return decision(one.key, other.key, BOTH, because)
    kept, back = (one, other) if int(chosen) == one.number else (other, one)
    why = f"the same job as entry {kept.number}" + (f": {because}" if because else "")
    return reversal_of(back, gone[back.number], shared, why)
