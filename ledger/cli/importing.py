"""What `tarebook import` does: choose the column map, take the file in, tell every outcome."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.facts.problems import refuse
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.book.journal import Book
    from ledger.intake.columns import ColumnMap
    from ledger.intake.report import ImportReport, RowOutcome

SHOWN = 20
"""Rows of one outcome that are printed; all are in the answers file and in --json."""
ROWS_LEFT = 4
"""The exit code of an import that leaves rows to answer or to mend."""
_COPY = re.compile(r"\.answers(?:-[0-9]+)?$")


@dataclass(frozen=True, slots=True)
class Choices:
    """The options of one import."""

    map_name: str = ""
    save_map: str = ""
    columns: tuple[str, ...] = ()
    sets: tuple[str, ...] = ()
    sheets: tuple[str, ...] = ()
    strict: bool = False
    provisional: bool = False
    dry_run: bool = False
    look: bool = False
    answers: Path | None = None


def importing(
    book: Book, file: Path, choices: Choices, moment: datetime, as_json: bool,
    progress: Callable[[int, int], None] | None, left: Callable[[int], None],
) -> Iterator[str]:  # fmt: skip
    """Take a file in and give the lines to print; `left` is told the rows that wait for a person."""
    from ledger.intake.importing import look_at, run_import

    chosen = _chosen(book, file, choices, moment)
    if choices.look:
        for looked in look_at(book, file, moment=moment, column_map=chosen, sheets=choices.sheets):
            yield from looked.lines()
        yield "Nothing was recorded. Change it with --column and --set, keep it with --save-map."
        return
    report = run_import(
        book, file, moment=moment, column_map=chosen, strict=choices.strict,
        provisional=choices.provisional, dry_run=choices.dry_run, progress=progress,
        sheets=choices.sheets, answers=None if choices.dry_run else _answers(file, choices),
        every_row=as_json,
    )  # fmt: skip
    left(report.left)
    if choices.save_map and chosen is not None and not choices.dry_run:
        yield _keep(book, chosen, choices.save_map, moment)
    if as_json:
        yield json.dumps(report.body(), ensure_ascii=False, indent=2)
    else:
        yield from told(report)


def _answers(file: Path, choices: Choices) -> Path:
    """Where the answers file goes: as asked, else beside the file under a free name.

    The copy of a copy has the name of the first file and a number.
    """
    if choices.answers is not None:
        return choices.answers
    stem = _COPY.sub("", file.stem)
    suffix = file.suffix if file.suffix.casefold() not in (".xlsm",) else ".xlsx"
    for number in range(1, 1000):
        mark = "" if number == 1 else f"-{number}"
        free = file.with_name(f"{stem}.answers{mark}{suffix}")
        if not free.exists():
            return free
    raise refuse("file-exists", f"{file.name} has a thousand answers files beside it.",
                 "Move them away, or name one with --answers.")  # fmt: skip


def _pairs(words: tuple[str, ...], option: str) -> dict[str, str]:
    pairs = {}
    for word in words:
        name, sign, value = word.partition("=")
        if not sign or not name.strip():
            raise refuse("option-unfit", f'{option} "{word}" is not of the form name=value.',
                         f'Write {option} "name=value".')  # fmt: skip
        pairs[name.strip()] = value.strip()
    return pairs


def _chosen(book: Book, file: Path, choices: Choices, moment: datetime) -> ColumnMap | None:
    """The map named or changed by options; None where the book's own maps and headings decide."""
    from ledger.intake.columns import ColumnMap, with_changes
    from ledger.intake.importing import look_at

    base = _saved(book, choices.map_name, moment) if choices.map_name else None
    columns, sets = _pairs(choices.columns, "--column"), _pairs(choices.sets, "--set")
    if not (columns or sets or choices.save_map):
        return base
    if base is None:
        looked = look_at(book, file, moment=moment, sheets=choices.sheets)
        found = [one.proposal.map for one in looked if one.proposal is not None]
        if len(found) > 1 and not columns and not choices.save_map:
            # What is set without a column holds for every table of the file.
            return _sound(with_changes(ColumnMap(""), {}, sets))
        if len(found) != 1:
            raise refuse("option-unfit", f"{file.name} has {len(found)} sheets with headings.",
                         "Choose the one that is meant with --sheet.")  # fmt: skip
        base = found[0]
    return _sound(with_changes(base, columns, sets))


def _sound(chosen: ColumnMap) -> ColumnMap:
    from ledger.facts.problems import Refused

    if problems := chosen.problems():
        raise Refused(problems)
    return chosen


def _saved(book: Book, name: str, moment: datetime) -> ColumnMap:
    from ledger.book.known import BookKnown
    from ledger.intake.columns import SETTING, ColumnMap

    with book.reading() as reader:
        kept = BookKnown(reader.connection, moment, book.zone).settings(SETTING)
        if name not in kept:
            raise refuse("unknown-id", f'No column map "{name}" is kept in the book.',
                         f"Kept are: {', '.join(sorted(kept)) or 'none'}.")  # fmt: skip
        return ColumnMap.from_body(name, kept[name])


def _keep(book: Book, chosen: ColumnMap, name: str, moment: datetime) -> str:
    """Keep a map as a fact of the book."""
    from uuid import uuid4

    from ledger.book.known import BookKnown
    from ledger.book.record import Recorder
    from ledger.facts.entry import Draft
    from ledger.facts.facts import Setting
    from ledger.intake.columns import SETTING

    with book.writing() as writer:
        known = BookKnown(writer.connection, moment, book.zone)
        fact = Setting(SETTING, name, chosen.body())
        draft = Draft(f"map:{uuid4().hex}", "column map", known.today(book.zone), (fact,))
        outcome = Recorder(writer, known, moment).must_record(draft)
        number = outcome.entry.number if outcome.entry else 0
    return f'Column map "{name}" kept as entry {number}.'


def told(report: ImportReport) -> Iterator[str]:
    """The report in plain lines, the answer first."""
    counts = report.counts
    lead = "Dry run, nothing written: " if report.dry_run else ""
    yield f"{lead}{report.file}: {', '.join(_counted(report))}."
    if report.recorded and not report.dry_run:
        last = f" to {report.last}" if report.last > report.first else ""
        word = "Entries" if last else "Entry"
        yield f"{word} {report.first}{last}; head {report.head[1][:12]}."
    if report.answered:
        yield f"{counted(report.answered, 'new answer')} kept in the book."
    for sheet, records, rows in report.sheets:
        yield f"  {sheet or report.file}: {counted(rows, 'row')} of {records}"
    for why, count in sorted(report.skipped.items()):
        if count:
            yield f"  skipped {count}: {why}"
    yield from report.notes
    yield from _rows("Questions", report.questions, counts["question"])
    yield from _rows("Rejected", report.rejected, counts["rejected"])
    yield from _rows("Flagged", report.flagged, counts["flagged"])
    if report.begun:
        names = ", ".join(f"{kind} {name}" for kind, name in sorted(set(report.begun)))
        yield f"Begun provisionally, to be completed: {names}."
    if report.answers_file:
        yield (
            f"Answer or mend them in {report.answers_file}, beside each row, and import that file."
        )


def _counted(report: ImportReport) -> Iterator[str]:
    """How many rows came to what; every row is in one of the numbers."""
    counts = report.counts
    flagged = f", {counts['flagged']} of them flagged" if counts["flagged"] else ""
    yield f"{counted(report.recorded, 'row')} recorded{flagged}"
    yield f"{counts['already']} already recorded"
    if counts["duplicate"]:
        yield counted(counts["duplicate"], "duplicate")
    if counts["question"]:
        yield counted(counts["question"], "question")
    yield f"{counts['rejected']} rejected"
    yield f"{sum(report.skipped.values())} skipped"


def _rows(title: str, rows: list[RowOutcome], total: int) -> Iterator[str]:
    if not total:
        return
    yield f"{title}:"
    for row in rows[:SHOWN]:
        sheet = f"{row.sheet} " if row.sheet else ""
        entry = f", entry {row.entry}" if row.entry else ""
        for problem in row.problems:
            yield f"  {sheet}row {row.row}{entry}: {problem.line()}"
    if total > SHOWN:
        yield f"  ... and {total - SHOWN} more"
