"""Takes the sheets of a demo shop in as its people did: imports, answers, corrections by hand.

The answers are typed into the copies that an import writes, and those copies are imported.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from ledger.book.journal import Book
    from ledger.intake.report import ImportReport, RowOutcome

ANSWER = "tarebook answer"
"""The heading under which a person answers in the copy of a sheet."""


@dataclass(frozen=True, slots=True)
class Shop:
    """An invented shop: its folder under `fixtures`, the moment it lives in, its sheets in order.

    `counts` are the cut-offs of those of the sheets that are counts.
    """

    folder: str
    name: str
    zone: str
    moment: datetime
    sheets: tuple[str, ...]
    counts: Mapping[str, str] = field(default_factory=dict)


class Answer(NamedTuple):
    """What a person typed beside the row of a sheet that holds all these cells."""

    file: str
    sheet: str
    cells: tuple[str, ...]
    round: int
    text: str


def take_in(book: Book, shop: Shop, folder: Path) -> Iterator[str]:
    """Import the sheets of a shop in their order, each with its answers and corrections after it.

    The copies with the answers stay in `folder`. Gives lines that tell what happened.
    """
    from ledger.resources import folder as shipped

    fixtures = shipped("fixtures") / shop.folder
    told = _read(fixtures / "corrections.toml")
    _aliases(book, shop, told.get("alias", []))
    given = answers_of(fixtures / "answers.toml")
    for name in shop.sheets:
        if name in shop.counts:
            yield from take_count(book, shop, fixtures / name)
            continue
        here = [one for one in given if one.file == name]
        yield from _import(book, shop, fixtures / name, folder, here)
        for correction in told.get("reverse", []):
            if correction["after"] == name and (told_so := _reverse(book, shop, correction)):
                yield f"  corrected: {told_so}"
    for decision in told.get("decide", []):
        yield f"decided: {_decide(book, shop, decision)}"


def answers_of(path: Path) -> list[Answer]:
    """The answers of a shop as its file has them; none where it has no such file."""
    return [
        Answer(one["file"], one["sheet"], tuple(one["row_has"]), one.get("round", 1), one["answer"])
        for one in _read(path).get("answer", [])
    ]


def _read(path: Path) -> dict[str, Any]:
    if not path.exists():
        return {}
    with path.open("rb") as file:
        return tomllib.load(file)


def _import(
    book: Book, shop: Shop, path: Path, folder: Path, given: Sequence[Answer]
) -> Iterator[str]:
    """One sheet, and its copy for as long as somebody has answers to type into it."""
    from ledger.intake.importing import run_import

    source, number = path, 1
    while True:
        mark = "" if number == 1 else f"-{number}"
        copy = folder / f"{path.stem}.answers{mark}{path.suffix}"
        report = run_import(book, source, moment=shop.moment, answers=copy)
        yield counted_rows(report)
        yield from _looked_at(report, again=number > 1)
        typed = [one for one in given if one.round == number]
        if not report.answers_file or not typed:
            return
        type_answers(copy, typed)
        texts = ", ".join(dict.fromkeys(one.text for one in typed))
        yield f"  answered in {copy.name}: {texts}"
        source, number = copy, number + 1


def take_count(book: Book, shop: Shop, path: Path) -> Iterator[str]:
    """Take in a filled count sheet of a shop; lines that tell what happened."""
    from ledger.book.known import BookKnown
    from ledger.book.record import Recorder
    from ledger.intake.count_sheet import Told, read_counts
    from ledger.intake.counting import take_counts

    cut_off = shop.counts[path.name]
    rows = read_counts(path, Told(cut_off=cut_off)).rows
    with book.writing() as writer:
        known = BookKnown(writer.connection, shop.moment, book.zone)
        report = take_counts(Recorder(writer, known, shop.moment), rows)
    yield f"{path.name}: {report.number('recorded')} rows recorded, a count for {cut_off}."
    for _, _, _, problems in report.rows:
        yield from (f"  question: {problem.where}: {problem.sentence}" for problem in problems)


def counted_rows(report: ImportReport) -> str:
    """What became of the rows of a file, in one line."""
    counts = report.counts
    parts = [f"{report.recorded} row{'' if report.recorded == 1 else 's'} recorded"]
    parts += [f"{counts['flagged']} of them flagged"] if counts["flagged"] else []
    for outcome, one, many in (
        ("already", "already recorded", "already recorded"), ("duplicate", "duplicate", "duplicates"),
        ("question", "question", "questions"), ("rejected", "rejected", "rejected"),
    ):  # fmt: skip
        if counts[outcome]:
            parts.append(f"{counts[outcome]} {one if counts[outcome] == 1 else many}")
    return f"{report.file}: {', '.join(parts)}."


def _looked_at(report: ImportReport, again: bool) -> Iterator[str]:
    """The rows a person has to look at, those that say the same on one line."""
    rows: list[RowOutcome] = [*report.rejected, *report.questions, *report.flagged]
    said: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        for problem in row.problems:
            where = problem.where or f"{report.file}!{row.sheet}!{row.row}"
            said.setdefault((row.outcome, problem.sentence), []).append(where)
    for (outcome, sentence), places in said.items():
        others = "".join(f", {place.rpartition('!')[2]}" for place in places[1:])
        word = "still open" if again and outcome in ("question", "rejected") else outcome
        yield f"  {word}: {places[0]}{others}: {sentence}"


def type_answers(path: Path, given: Sequence[Answer]) -> None:
    """Type answers into the copy of a workbook; LookupError where a row is not there once."""
    from openpyxl import load_workbook

    book = load_workbook(path)
    for answer in given:
        page = book[answer.sheet]
        rows = list(page.iter_rows())
        heads = next(row for row in rows if any(cell.value == ANSWER for cell in row))
        column = next(index for index, cell in enumerate(heads) if cell.value == ANSWER)
        found = [row for row in rows if {str(cell.value) for cell in row} >= set(answer.cells)]
        if len(found) != 1:
            raise LookupError(f"{len(found)} rows of {answer.sheet} hold {answer.cells}")
        found[0][column].value = answer.text
    book.save(path)


def _aliases(book: Book, shop: Shop, aliases: list[dict[str, Any]]) -> None:
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Setting
    from ledger.facts.masters import folded

    day = shop.moment.date().isoformat()
    for number, one in enumerate(aliases, 1):
        fact = Setting("alias", f"{one['kind']}:{folded(one['written'])}", one["means"])
        _record(book, shop, Draft(f"demo:alias:{number}", "alias", day, (fact,)))


def _decide(book: Book, shop: Shop, one: dict[str, Any]) -> str:
    """Record a decision that a person made on a day."""
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Decision

    fact = Decision(one["subject"], one["question"], one["answer"], one["basis"])
    draft = Draft(f"demo:decide:{one['name']}", "decide", one["on"].isoformat(), (fact,), one["by"])
    number = _record(book, shop, draft)
    return f"entry {number}: {one['subject'].partition(':')[2]}, {one['question']}: {one['answer']}"


def _record(book: Book, shop: Shop, draft: Any) -> int:
    from ledger.book.known import BookKnown
    from ledger.book.record import Recorder

    with book.writing() as writer:
        known = BookKnown(writer.connection, shop.moment, book.zone)
        outcome = Recorder(writer, known, shop.moment).must_record(draft)
        return outcome.entry.number if outcome.entry else outcome.already


def _reverse(book: Book, shop: Shop, correction: dict[str, Any]) -> str:
    """Reverse the addition a correction names, and record it again where it belongs.

    Empty where the addition was never recorded, because the import asked about it first.
    """
    from dataclasses import replace

    from ledger.facts.entry import Draft
    from ledger.facts.facts import Fact, Movement, Reversal, holder

    with book.reading() as reader:
        rows = list(reader.rows(
            "SELECT m.entry, m.line FROM movement m WHERE m.target_kind = 'circuit' AND"
            " m.target_name = ? AND m.occurred_on = ? AND m.ticket = ? ORDER BY m.entry",
            (correction["circuit"], correction["occurred"].isoformat(), correction["ticket"]),
        ))  # fmt: skip
        if not rows:
            return ""
        entry, line = rows[-1]
        found = reader.entry(entry)
    assert found is not None
    facts: list[Fact] = [Reversal(entry, (line,), correction["because"])]
    day, person = correction["on"].isoformat(), correction["by"]
    move = found.facts()[line]
    if "again" in correction and isinstance(move, Movement):
        facts.append(replace(move, target=holder("circuit", correction["again"]), stock="",
                             owner="", because="", although=()))  # fmt: skip
        # Who did the work stays who did it; who mended the record is in the note.
        day, person = found.occurred_on, found.person
    draft = Draft(
        f"demo:reverse:{correction['name']}", "correct" if len(facts) > 1 else "reverse", day,
        tuple(facts), person, ticket=correction["ticket"],
        note=f"put right by {correction['by']} on {correction['on'].isoformat()}",
    )  # fmt: skip
    number = _record(book, shop, draft)
    return f"entry {entry} by entry {number}: {correction['because']}"
