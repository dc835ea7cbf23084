"""Commands that hold a count against the book: difference, explain, close."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ledger.cli.common import (
    AsCsv,
    AsJson,
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
    open_book,
    write,
)
from ledger.cli.counting import CutOffOption, cut_off_of, known_of
from ledger.cli.movements import By, Job, Unit, moved
from ledger.facts.counts import CAUSES
from ledger.facts.problems import refuse

if TYPE_CHECKING:
    from ledger.answers.periods import Period
    from ledger.answers.statement import StatementLine
    from ledger.book.closing import Close, Reconciled
    from ledger.book.cut import Cut
    from ledger.book.journal import Book
    from ledger.book.known import BookKnown
    from ledger.book.reader import Reader
    from ledger.book.record import Outcome, Recorder
    from ledger.facts.counts import CutOff
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact
    from ledger.facts.mass import Quantity
    from ledger.reports.table import Table

Place = Annotated[str, typer.Option("--place", help="Only this place; the whole shop if left out.")]
Refrigerant = Annotated[str, typer.Option("--refrigerant", "-r", help="Only this refrigerant.")]
Split = Annotated[
    list[str],
    typer.Option("--split", help="Split the lines by stock, owner or place, too; repeat for more."),
]


def register(app: typer.Typer) -> None:
    """Put the commands on the app."""
    for command in (difference, explain, close):
        app.command()(command)


@dataclass(frozen=True, slots=True)
class Form:
    """How an answer is printed."""

    as_json: bool
    as_csv: bool
    as_xlsx: str
    explain: bool = False


def difference(
    cut_off: CutOffOption = "", place: Place = "", refrigerant: Refrigerant = "",
    split: Split = [],  # noqa: B006
    cylinders: Annotated[bool, typer.Option("--cylinders", help="Also each cylinder.")] = False,
    known_at: KnownAt = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Counted minus book at a cut-off: by refrigerant and cylinder, with what it may come from."""
    from ledger.cli.answers import cut_of, place_name, refrigerant_name

    with open_book(book) as opened, opened.reading() as reader:
        moment = _moment(reader, opened, cut_off)
        cut = cut_of(reader, "", known_at)
        keep = {"refrigerant": refrigerant_name(reader, refrigerant)}
        form = Form(as_json, as_csv, as_xlsx, explain)
        _print(reader, opened, cut, moment, place_name(reader, place), _cuts(split), keep, form,
               f"Count of {moment.text}", cylinders)  # fmt: skip


def _moment(reader: Reader, book: Book, cut_off: str) -> CutOff:
    """The cut-off named, else the last one anything was counted for."""
    from ledger.book.counting import cut_offs
    from ledger.book.cut import Cut

    if cut_off:
        return cut_off_of(cut_off, known_of(reader, book))
    found = cut_offs(reader, Cut())
    if not found:
        raise refuse("field-missing", "Nothing was counted yet.",
                     "Write sheets with tarebook count-sheet, or give --cut-off.")  # fmt: skip
    return found[-1]


def _cuts(split: list[str]) -> tuple[str, ...]:
    from ledger.answers.statement import CUTS

    wrong = [name for name in split if name not in CUTS]
    if wrong:
        raise refuse("option-unfit", f"A statement is not split by {', '.join(wrong)}.",
                     "Choose of stock, owner, place.")  # fmt: skip
    return tuple(dict.fromkeys(("refrigerant", *split)))


def _print(
    reader: Reader, book: Book, cut: Cut, moment: CutOff, place: str, by: tuple[str, ...],
    keep: dict[str, str], form: Form, title: str, cylinders: bool, notes: tuple[str, ...] = (),
) -> Reconciled:  # fmt: skip
    """Print the statement of a cut-off and give what it was made from."""
    from ledger.book.closing import reconciled
    from ledger.cli.answers import put_table, report_workbook
    from ledger.reports.closing_tables import (
        closing_tables,
        short_parts,
        shown,
        whole,
        with_working,
    )

    found = reconciled(reader, cut, moment, place, heel_of)
    where = f", {place}" if place else ""
    tables, workings = closing_tables(reader, cut, found, by, keep, f"{title}{where}", notes)
    if form.as_xlsx:
        report_workbook("reconciliation", with_working(tables, workings()), form.as_xlsx, book)
        return found
    if form.as_json or form.as_csv:
        put_table(whole(tables), book, form.as_json, form.as_csv, "")
        return found
    put_table(shown(tables["statement"]), book, False, False, "")
    for key in ("parts", "cylinders"):
        table: Table = short_parts(tables[key]) if key == "parts" else tables[key]
        if table.rows and (key == "parts" or cylinders):
            typer.echo("")
            put_table(table, book, False, False, "")
    if form.explain:
        for working in workings():
            typer.echo("\n".join(("", *working.to_lines())))
    return found


def heel_of(refrigerant: str) -> int:
    """What is left in a disposable emptied into a running system; 1 lb without sound data.

    By vapour density; the pound is the agency's stated figure (workflow 3.3).
    """
    from ledger.facts.mass import POUND
    from ledger.properties.heel import INTO_SYSTEM, TYPICAL_WATER, Heel, heel

    found = heel(refrigerant, INTO_SYSTEM, TYPICAL_WATER)
    return found.mass if isinstance(found, Heel) else POUND


def explain(
    amount: Annotated[str, typer.Argument(help='Pounds of the difference, with its sign: "-4.7".')] = "",
    cause: Annotated[str, typer.Option("--cause", help=f"One of: {', '.join(CAUSES)}.")] = "",
    cylinder: Annotated[str, typer.Option("--cylinder", help="The cylinder it is of.")] = "",
    refrigerant: Refrigerant = "", place: Place = "", cut_off: CutOffOption = "",
    document: Annotated[str, typer.Option("--document", help="Report or document number; a theft needs one.")] = "",
    why: Annotated[str, typer.Option("--why", help="What was found out.")] = "",
    post: Annotated[bool, typer.Option("--post", help="The book follows: the pounds leave or enter the cylinder as a named difference.")] = False,
    by: By = "", unit: Unit = "lb", dry_run: DryRun = False, key: Key = "", book: BookOption = "",
) -> None:  # fmt: skip
    """Give a cause to pounds of a difference; with --cylinder alone, to all of its difference."""
    cause = ask(cause, "Cause", "--cause CAUSE")
    if cause not in CAUSES:
        raise refuse("value-unclear", f'"{cause}" is no cause.', f"Choose {', '.join(CAUSES)}.")
    if post and not cylinder:
        raise refuse("option-unfit", "Only a cylinder's pounds can be posted.", "Add --cylinder.")
    with open_book(book) as opened, opened.reading() as reader:
        moment = _moment(reader, opened, cut_off)
        told = _told(reader, amount, unit, cylinder, refrigerant, moment)
    job = Job("explain", key, moment.day, moment.time, by, "", "", unit)

    def draft(known: BookKnown) -> Draft:
        return job.draft(known, _facts(known, told, cause, moment, place, document, why, post))

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, dry_run, moved(outcome))

    write(Writing(book, key, dry_run), draft, tell)


@dataclass(frozen=True, slots=True)
class _Told:
    """What a cause is given to."""

    mass: Quantity
    refrigerant: str
    cylinder: str = ""


def _told(
    reader: Reader, amount: str, unit: str, cylinder: str, refrigerant: str, moment: CutOff
) -> _Told:
    """The pounds and the refrigerant: as typed, or all of a cylinder's difference."""
    from ledger.book.closing import reconciled
    from ledger.book.cut import Cut
    from ledger.cli.answers import name_of, refrigerant_name
    from ledger.facts.mass import Mass, quantity

    what = refrigerant_name(reader, refrigerant)
    if not cylinder:
        if not (amount and what):
            raise refuse("field-missing", "It is not said what has this cause.",
                         "Give --cylinder, or the pounds and --refrigerant.")  # fmt: skip
        return _Told(_signed(amount, unit), what)
    name = name_of(reader, "cylinder", cylinder)
    count = {one.name: one for one in reconciled(reader, Cut(), moment).count}
    line = count.get(name)
    if line is None or line.difference is None:
        raise refuse("option-unfit", f"Cylinder {name} was not counted for {moment.text}.",
                     "Count it first: tarebook count --cylinder.")  # fmt: skip
    mass = _signed(amount, unit) if amount else quantity(Mass(line.difference))
    return _Told(mass, what or line.refrigerant, name)


def _signed(amount: str, unit: str) -> Quantity:
    """An amount with its sign."""
    from ledger.facts.mass import Mass, Quantity
    from ledger.intake.fields import read_mass

    words = amount.strip().replace("\u2212", "-")
    if not words.startswith("-"):
        return good(read_mass(words.removeprefix("+"), unit))
    found = good(read_mass(words[1:].strip(), unit))
    return Quantity(Mass(-found.mass), f"-{found.written}")


def _facts(
    known: BookKnown, told: _Told, cause: str, moment: CutOff, place: str, document: str, why: str,
    post: bool,
) -> list[Fact]:  # fmt: skip
    from ledger.facts.facts import Evidence, Explained, Movement, holder
    from ledger.facts.mass import Mass, quantity

    fact = Explained(moment.text, told.refrigerant, told.mass, cause, told.cylinder, place,
                     document, why)  # fmt: skip
    if not post:
        return [fact]
    ends = holder("cylinder", told.cylinder), holder("difference", cause)
    source, target = ends if told.mass.mass < 0 else ends[::-1]
    master = known.master("cylinder", told.cylinder)
    held = known.contents(master.name).at(moment.day) if master else None
    mass = quantity(Mass(abs(told.mass.mass)))
    move = Movement(
        source, target, told.refrigerant, mass, "difference", stock=held.stock if held else "",
        owner=held.owner if held else "", cause=cause, evidence=Evidence("stated"),
    )  # fmt: skip
    return [fact, move]


def close(
    period: Annotated[str, typer.Argument(help="2026-01, 2026-Q1 or 2026.")],
    place: Place = "", cut_off: CutOffOption = "", split: Split = [],  # noqa: B006
    sign: Annotated[bool, typer.Option("--sign", help="Sign and lock the period.")] = False,
    by: By = "",
    owner: Annotated[str, typer.Option("--signed", help="The owner, who signs what is over the limit.")] = "",
    because: Annotated[str, typer.Option("--because", help="Reason for what stays open or unexplained.")] = "",
    as_signed: Annotated[bool, typer.Option("--as-signed", help="Print it again as it was signed.")] = False,
    known_at: KnownAt = "", explain: Explain = False, as_json: AsJson = False,
    as_csv: AsCsv = False, as_xlsx: AsXlsx = "", dry_run: DryRun = False, key: Key = "",
    book: BookOption = "",
) -> None:  # fmt: skip
    """The statement of a period, ten lines by refrigerant; with --sign it is signed and locked."""
    from ledger.book.closing import reconciled

    form = Form(as_json, as_csv, as_xlsx, explain)
    if sign and (as_json or as_csv or as_xlsx or as_signed):
        raise refuse("option-unfit", "Signing prints the statement that is signed.",
                     "Sign first; print it then with --as-signed.")  # fmt: skip
    with open_book(book) as opened, opened.reading() as reader:
        asked = _Asked.of(reader, opened, period, place, cut_off)
        if sign and asked.locked is not None:
            raise refuse("already-closed", f"{asked.label} was closed by entry {asked.locked.entry}.",
                         f"Print it: tarebook close {period} --as-signed.")  # fmt: skip
        cut, notes = asked.cut(reader, as_signed, known_at)
        if sign:
            ask(by, "Who signs", "--by PERSON")
            _check_open(
                asked, reconciled(reader, cut, asked.moment, asked.place, heel_of), because, owner
            )
        found = _print(reader, opened, cut, asked.moment, asked.place, _cuts(split), {}, form,
                       f"Period {asked.label}", False, notes)  # fmt: skip
        lines, head = found.lines(), reader.head()[0]
        if as_signed:
            typer.echo(_same_as_signed(asked, lines)) if not (
                as_json or as_csv or as_xlsx
            ) else None
    if sign:
        _sign(asked, lines, Writing(book, key, dry_run, because), by, owner, head)


@dataclass(frozen=True, slots=True)
class _Asked:
    """The period that is asked for: its label, cut-off, place, and its close where it has one."""

    label: str
    moment: CutOff
    place: str
    locked: Close | None
    before: Close | None

    @classmethod
    def of(cls, reader: Reader, book: Book, period: str, place: str, cut_off: str) -> _Asked:
        """Read what was typed; the cut-off is that of the close, of the count, or the last day."""
        from ledger.book.closing import close_before, closes
        from ledger.book.counting import cut_offs
        from ledger.book.cut import Cut
        from ledger.book.reading import masters_at
        from ledger.cli.answers import place_name
        from ledger.facts.counts import CutOff

        span, name = _period(period), place_name(reader, place)
        found = closes(reader, Cut(), masters_at(reader, Cut()))
        locked = next((one for one in found if (one.period, one.place) == (span.label, name)), None)
        if cut_off:
            moment = cut_off_of(cut_off, known_of(reader, book))
        elif locked is not None:
            moment = locked.cut_off
        else:
            counted = [one for one in cut_offs(reader, Cut())
                       if span.first <= one.day <= span.last]  # fmt: skip
            moment = counted[-1] if counted else CutOff(span.last)
        return cls(span.label, moment, name, locked, close_before(found, moment, name))

    def cut(self, reader: Reader, as_signed: bool, known_at: str) -> tuple[Cut, tuple[str, ...]]:
        """What is to be known, and what the statement says about it."""
        from ledger.book.closing import late_entries
        from ledger.book.cut import Cut
        from ledger.cli.answers import cut_of

        if as_signed:
            if self.locked is None:
                raise refuse("no-such-entry", f"{self.label} is not closed.",
                             "Print it without --as-signed.")  # fmt: skip
            return Cut("", self.locked.entry), (_signed_by(self.locked),)
        cut, notes = cut_of(reader, "", known_at), []
        if self.locked is not None:
            notes.append(f"{_signed_by(self.locked)} This is as known now; --as-signed prints it"
                         " as it was.")  # fmt: skip
        if self.before is not None:
            notes.append(f"Since the close of {self.before.period}, cut-off"
                         f" {self.before.cut_off.text} (entry {self.before.entry}).")  # fmt: skip
            for entry, day, word in late_entries(reader, cut, self.before)[:20]:
                notes.append(f"Late, affects prior period: entry {entry}, {word}, of {day}.")
        return cut, tuple(notes)


def _signed_by(one: Close) -> str:
    owner = f", and by {one.signed}" if one.signed else ""
    why = f" Signed although: {one.because}." if one.because else ""
    return f"Signed by {one.person} on {one.day}{owner} (entry {one.entry}).{why}"


def _period(text: str) -> Period:
    """A month, quarter or year as typed."""
    import re

    from ledger.answers.periods import period_with

    words = text.strip().upper()
    if re.fullmatch(r"(19|20)\d\d", words, re.A):
        return period_with(f"{words}-01-01", "year")
    if match := re.fullmatch(r"((?:19|20)\d\d)-?Q([1-4])", words, re.A):
        return period_with(f"{match[1]}-{3 * int(match[2]):02d}-01", "quarter")
    if re.fullmatch(r"(19|20)\d\d-(0[1-9]|1[0-2])", words, re.A):
        return period_with(f"{words}-01", "month")
    raise refuse("date-unclear", f'"{text}" is no period.', "Write 2026-01, 2026-Q1 or 2026.")


def digest_of(lines: list[StatementLine]) -> str:
    """The SHA-256 of the figures of a statement."""
    from hashlib import sha256

    from ledger.facts.entry import canonical

    told: list[Any] = [
        [list(line.key), line.opening, line.late, line.came_in, line.went_out, line.moved,
         line.book, line.counted, line.uncounted, line.difference, line.explained(), line.earlier,
         line.open, line.left, line.verdict]
        for line in lines
    ]  # fmt: skip
    return sha256(canonical(told).encode()).hexdigest()


def _same_as_signed(asked: _Asked, lines: list[StatementLine]) -> str:
    assert asked.locked is not None
    same = asked.locked.statement == digest_of(lines)
    return (
        f"These are the figures that were signed (SHA-256 {asked.locked.statement[:12]})."
        if same else "This version of the program computes other figures from what was known then"
        f" than were signed (SHA-256 {asked.locked.statement[:12]}); the changelog tells why."
    )  # fmt: skip


def _sign(
    asked: _Asked, lines: list[StatementLine], options: Writing, by: str, owner: str, head: int
) -> None:
    """Lock the period."""
    from ledger.facts.facts import Closed

    job = Job("close", options.key, asked.moment.day, "", by)
    since = asked.before.cut_off.text if asked.before is not None else ""
    because, options.because = options.because.strip(), ""

    def draft(known: BookKnown) -> Draft:
        _unchanged(known, head)
        job.on = known.today(known.shop_zone())
        fact = Closed(asked.label, asked.moment.text, since, asked.place, owner, because,
                      digest_of(lines))  # fmt: skip
        return job.draft(known, [fact])

    def tell(recorder: Recorder, outcome: Outcome) -> None:
        headline(outcome, options.dry_run, moved(outcome))

    typer.echo("")
    write(options, draft, tell)


def _unchanged(known: BookKnown, head: int) -> None:
    """What is signed is what was printed: refused where somebody recorded in between."""
    from ledger.book.driver import one_row

    row = one_row(known.connection, "SELECT MAX(number) FROM journal")
    if row is not None and row[0] != head:
        raise refuse("book-busy", f"Entry {row[0]} was recorded after the statement was printed.",
                     "Print the statement again, then sign it.")  # fmt: skip


def _check_open(asked: _Asked, found: Reconciled, because: str, owner: str) -> None:
    """Refuse to sign what nobody stands for: nothing counted, open pounds, the owner's part."""
    from ledger.answers.tolerances import OWNER_SIGNS, WITHIN
    from ledger.reports.closing_tables import label, signed

    lines, told = found.lines(), []
    if not any(one.tally for one in found.count):
        told.append("nothing was counted")
    elif left := sum(line.cylinders[2] for line in lines):
        told.append(f"{left} cylinders were not counted")
    told += [f"{label(line)} {signed(line.to_sign)} lb ({line.verdict})" for line in lines
             if line.verdict != WITHIN]  # fmt: skip
    if told and not because.strip():
        raise refuse(
            "difference-open", f"{asked.label} has no cause for: {'; '.join(told)}.",
            "Look through the open items, give causes (tarebook explain), or sign with --because.",
        )  # fmt: skip
    if any(line.verdict == OWNER_SIGNS for line in lines) and not owner:
        raise refuse(
            "difference-open", f"{asked.label} is over the limit that the owner signs.",
            "Add --signed OWNER.",
        )  # fmt: skip
