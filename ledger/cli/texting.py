"""The command that reads a technician's message: text.

It says what it takes each word for, and records on confirmation only.
"""

from __future__ import annotations

import sys
from collections import Counter
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ledger.cli.common import (
    Because,
    BookOption,
    DryRun,
    Explain,
    Key,
    headline,
    recording,
    stop,
)
from ledger.cli.movements import By, On, Ticket, day_of, moved
from ledger.facts.problems import Problem, Refused, refuse

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.book.record import Outcome, Recorder
    from ledger.facts.entry import Draft
    from ledger.intake.text_heard import Heard
    from ledger.intake.text_names import Names

LIKE = 'Write it like "RTU-3 added 2.25 lb from 410-017, was 31.4 now 29.15".'
MOST_LINES = 5_000


def register(app: typer.Typer) -> None:
    """Put the command on the app."""
    app.command()(text)


class Told:
    """The options that every message of one command shares."""

    def __init__(self, on: str, by: str, ticket: str, key: str, explain: bool) -> None:
        self.on, self.by, self.ticket, self.key, self.explain = on, by, ticket, key, explain


def text(
    message: Annotated[str, typer.Argument(help="The message, in quotation marks.")] = "",
    file: Annotated[str, typer.Option("--file", "-f", help="A file with one message a line.")] = "",
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Record what is understood without asking back.")] = False,
    on: On = "", by: By = "", ticket: Ticket = "", explain: Explain = False,
    dry_run: DryRun = False, because: Because = "", key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Read a message as technicians text it; record it once confirmed, ask where it is unclear."""
    if bool(message.strip()) == bool(file):
        raise refuse("field-missing", "One message, or a file of them, is wanted.", LIKE)
    if file and key:
        raise refuse("option-unfit", "A key is for one entry, a file makes several.",
                     "Leave --key out: the words of each message are its key.")  # fmt: skip
    told = Told(on, by, ticket, key, explain)
    asking = is_terminal() and not (yes or dry_run)
    if file:
        _many(_lines(file), told, book, because, yes, dry_run, asking)
    else:
        _one(message, told, book, because, yes, dry_run, asking)


def is_terminal() -> bool:
    """Whether a person sits at both ends, to be asked and to answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _one(
    message: str, told: Told, book: str, because: str, yes: bool, dry_run: bool, asking: bool
) -> None:
    while True:
        try:
            moving = _said(message, told, book, because, keep=yes and not dry_run)
        except Refused as refused:
            if not asking:
                raise
            for problem in refused.problems:
                typer.echo(problem.line(), err=True)
            message = typer.prompt("The message again, mended (empty to stop)", default="",
                                   show_default=False)  # fmt: skip
            if not message.strip():
                typer.echo("Nothing was recorded.")
                raise typer.Exit(2) from None
            continue
        break
    if not moving or yes or dry_run:
        return
    if not asking:
        _unconfirmed()
    if typer.confirm("Record this?", default=False):
        _said(message, told, book, because, keep=True)
    else:
        typer.echo("Nothing was recorded.")


def _unconfirmed() -> NoReturn:
    stop(refuse("option-unfit", "Nothing was recorded, for nobody confirmed it.",
                "Add --yes to record it, or --dry-run to look only."))  # fmt: skip


def _said(message: str, told: Told, book: str, because: str, keep: bool) -> bool:
    """Read one message and tell what it makes; whether it makes an entry.

    With `keep` the entry is recorded, else everything is taken back before the book is closed.
    """
    out = StringIO()
    with recording(book, because.strip()) as (begun, _):
        recorder = _as_first_told(begun, told.key)
        heard = _heard(recorder, message)
        if heard.questions:
            raise Refused(heard.problems)
        if heard.nothing:
            typer.echo("Nothing to record: no movement of refrigerant is told of.")
            return False
        outcome = recorder.must_record(_draft(recorder, heard, told))
        recorder.writer.flush()
        with redirect_stdout(out):
            headline(outcome, not keep, moved(outcome))
            _if_reversed(recorder, outcome)
            _tell_taken(heard)
            _tell(recorder, outcome, told, keep)
        if not keep:
            recorder.writer.rollback()
    typer.echo(out.getvalue(), nl=False)
    return True


def _as_first_told(recorder: Recorder, key: str) -> Recorder:
    """A retry under a key is read as it was the first time: "today", what the cylinder held."""
    from dataclasses import replace
    from datetime import datetime

    from ledger.book.known import BookKnown

    earlier = recorder.writer.entry_by_key(key) if key else None
    if earlier is None:
        return recorder
    moment, known = datetime.fromisoformat(earlier.recorded_at), recorder.known
    then = BookKnown(known.connection, moment, known.zone, earlier.number)
    return replace(recorder, known=then)


def _many(
    lines: list[tuple[int, str]], told: Told, book: str, because: str, yes: bool, dry_run: bool,
    asking: bool,
) -> None:  # fmt: skip
    counts = _run(lines, told, book, because, keep=yes and not dry_run)
    if asking and counts["understood"] and typer.confirm("Record what is understood?"):
        counts = _run(lines, told, book, because, keep=True)
    elif not (yes or dry_run or asking) and counts["understood"]:
        _unconfirmed()
    if counts["asked"]:
        raise typer.Exit(2)


def _run(
    lines: list[tuple[int, str]], told: Told, book: str, because: str, keep: bool
) -> Counter[str]:
    """One line for each message, and the counts at the end."""
    counts: Counter[str] = Counter()
    seen: Counter[str] = Counter()
    out = StringIO()
    with recording(book, because.strip()) as (recorder, _):
        names = _names(recorder)
        for number, message in lines:
            words = " ".join(message.split()).casefold().rstrip(" .!")
            seen[words] += 1
            with redirect_stdout(out):
                counts[_line(recorder, names, number, message, seen[words], told, keep)] += 1
        if not keep:
            recorder.writer.rollback()
    typer.echo(out.getvalue(), nl=False)
    done = "recorded" if keep else "understood"
    again = f", {counts['again']} recorded before" if counts["again"] else ""
    typer.echo(f"{len(lines)} messages: {counts['understood']} {done}{again},"
               f" {counts['asked']} asked about, {counts['nothing']} with nothing to record.")  # fmt: skip
    return counts


def _line(
    recorder: Recorder, names: Names, number: int, message: str, ordinal: int, told: Told,
    keep: bool,
) -> str:  # fmt: skip
    heard = _heard(recorder, message, names)
    problems = heard.problems
    if heard.nothing:
        print(f"{number}: nothing to record.")
        return "nothing"
    if not problems:
        outcome = recorder.record(_draft(recorder, heard, told, ordinal))
        problems = outcome.problems
        if not problems:
            print(f"{number}: ", end="")
            headline(outcome, not keep, moved(outcome))
            _if_reversed(recorder, outcome)
            return "again" if outcome.already else "understood"
    for problem in problems:
        print(f"{number}: {_printable(problem)}")
    return "asked"


def _printable(problem: Problem) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in problem.line())


def _names(recorder: Recorder) -> Names:
    from ledger.intake.text_names import Names

    return Names(recorder.writer, recorder.known)


def _heard(recorder: Recorder, message: str, names: Names | None = None) -> Heard:
    from ledger.intake.text_reading import hear

    known = recorder.known
    today = known.today(known.shop_zone())
    return hear(message, names or _names(recorder), today, known.settings("refrigerant name"))


def _draft(recorder: Recorder, heard: Heard, told: Told, ordinal: int = 1) -> Draft:
    from dataclasses import replace

    from ledger.intake.text_drafts import draft_of

    day = day_of(recorder.known, told.on)
    draft = draft_of(heard, day, told.by, told.ticket, told.key, ordinal)
    earlier = None if told.key else recorder.writer.entry_by_key(draft.key)
    # The same words in capitals, or with a space more, are the same message.
    return replace(draft, note=earlier.content()["note"]) if earlier else draft


def _tell_taken(heard: Heard) -> None:
    taken = dict.fromkeys(f'"{words}" as {meaning}' for words, meaning in heard.taken)
    if taken:
        typer.echo(f"Taken: {'; '.join(taken)}.")
    if heard.aside:
        typer.echo(f"In the note only: {', '.join(dict.fromkeys(heard.aside))}.")


def _tell(recorder: Recorder, outcome: Outcome, told: Told, keep: bool) -> None:
    """What the entry leads to; what two of its movements lead to is told once."""
    lines: dict[str, None] = {}
    for line in _led_to(recorder, outcome, told, keep):
        lines[line.removeprefix("Now: ")] = None
    for line in lines:
        typer.echo(line)


def _led_to(recorder: Recorder, outcome: Outcome, told: Told, keep: bool) -> Iterator[str]:
    from ledger.cli.after import tell_charge, tell_cylinders, tell_recovery, tell_twice
    from ledger.facts.facts import Attempt, Movement

    purposes = {fact.purpose for fact in outcome.draft.facts if isinstance(fact, Movement)}
    tried = any(isinstance(fact, Attempt) for fact in outcome.draft.facts)
    out = StringIO()
    with redirect_stdout(out):
        if "addition" in purposes:
            tell_charge(recorder, outcome, told.explain)
        if "recovery" in purposes or tried:
            tell_recovery(recorder, outcome)
        if "transfer" in purposes:
            tell_cylinders(recorder, outcome)
        tell_twice(recorder, outcome, not keep)
    yield from out.getvalue().splitlines()


def _if_reversed(recorder: Recorder, outcome: Outcome) -> None:
    """A message whose entry was taken back since is recorded anew under a key of its own."""
    if outcome.already and recorder.writer.reversed_lines(outcome.already):
        typer.echo(
            f"Entry {outcome.already} was reversed since; to record the message anew, give --key."
        )


def _lines(file: str) -> list[tuple[int, str]]:
    """The messages of a file with their line numbers; empty lines are passed over."""
    path = Path(file)
    if not path.is_file():
        raise refuse("file-missing", f"There is no file {file}.", "Check the name.")
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise refuse("file-unfit", f"{file} is not text in UTF-8.", "Save it as UTF-8.") from None
    found = [(number, line) for number, line in enumerate(lines, 1) if line.strip()]
    if len(found) > MOST_LINES:
        raise refuse("file-too-large", f"{file} holds {len(found)} messages.",
                     f"Give up to {MOST_LINES} at a time.")  # fmt: skip
    return found
