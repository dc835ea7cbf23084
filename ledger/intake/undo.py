"""Takes a whole import back: the entries of its rows, newest first, so that none is left short.

Every entry stays in the journal beside its reversal. The file can be imported again afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.book.known import BookKnown
from ledger.book.reader import Reader
from ledger.book.record import Recorder
from ledger.facts.entry import Draft
from ledger.facts.facts import Fact, Reversal, Setting
from ledger.facts.problems import refuse
from ledger.intake.summary import SETTING

UNDONE_KEYS = "import undone:"
"""How the keys of the entries begin that take an import back."""
ROW_KEYS = "import:"
"""How the keys of the entries begin that rows of a sheet became."""
_AT_ONCE = 500
"""Rows taken back by one entry."""


@dataclass(frozen=True, slots=True)
class ImportRun:
    """One import that recorded something: `number` is its first entry, which names it.

    `recorded` counts its rows; `undone` is the entry that began to take it back, 0 where it
    stands.
    """

    number: int
    last: int
    file: str
    sha256: str
    recorded: int
    undone: int = 0


@dataclass(frozen=True, slots=True)
class Undone:
    """What taking an import back came to: rows reversed, and by which entries."""

    run: ImportRun
    reversed: int
    kept: int
    first: int
    last: int


def import_runs(known: BookKnown) -> list[ImportRun]:
    """Every import of the book that recorded something, oldest first."""
    runs = [_run(value) for value in known.settings(SETTING).values()]
    return sorted(runs, key=lambda run: run.number)


def run_numbered(known: BookKnown, number: int) -> ImportRun:
    """The import that an entry belongs to; refused with `no-such-entry` where there is none."""
    for run in import_runs(known):
        if run.number <= number <= run.last:
            return run
    raise refuse("no-such-entry", f"Entry {number} is of no import.", "See them: tarebook imports.")


def undo(recorder: Recorder, run: ImportRun, because: str) -> Undone:
    """Reverse every row of an import that stands, or nothing and Refused.

    Refused with `already-reversed` where that was done, `reason-missing` without a reason, and
    with what any of its reversals is refused with: something later rests on a row.
    """
    if run.undone:
        raise refuse("already-reversed", f"The import of {run.file} was taken back by entry"
                     f" {run.undone}.", f"See it with tarebook show {run.undone}.")  # fmt: skip
    if not because.strip():
        raise refuse("reason-missing", "Taking an import back needs a reason.",
                     'Add --because "...".')  # fmt: skip
    known, day = recorder.known, recorder.known.today(recorder.known.shop_zone())
    numbers = _rows_of(recorder.writer, run)
    kept = reversed_rows = first = last = 0
    while numbers:
        some, numbers = numbers[:_AT_ONCE], numbers[_AT_ONCE:]
        facts: list[Fact] = []
        for number in some:
            lines = _standing(recorder.writer, number)
            if lines:
                facts.append(Reversal(number, lines, because))
            else:
                kept += 1
        reversed_rows += len(facts)
        if not first:
            value = known.setting(SETTING, str(run.number))
            undone = {**value, "undone": recorder.writer.head()[0] + 1}
            facts.append(Setting(SETTING, str(run.number), undone, because))
        if facts:
            draft = Draft(f"{UNDONE_KEYS}{run.number}:{some[0]}", "reverse", day, tuple(facts))
            last = recorder.must_record(draft).number
            first = first or last
    return Undone(run, reversed_rows, kept, first, last)


def again_under(reader: Reader, key: str, entry: int) -> tuple[str, int]:
    """The key for a row whose key stands for `entry`, and the entry that holds it then.

    A row that was taken back with its import may be recorded again under a key of its own; one
    that stands, or that a person took back by itself, is in the book already.
    """
    number, free = 1, key
    while entry and _went_with_import(reader, entry):
        number += 1
        free = f"{key}~{number}"
        entry = reader.keys_present([free]).get(free, 0)
    return free, entry


def _went_with_import(reader: Reader, number: int) -> bool:
    by = {entry for _, entry in reader.reversed_lines(number)}
    if not by:
        return False
    entries = [reader.entry(one) for one in by]
    return any(entry is not None and entry.key.startswith(UNDONE_KEYS) for entry in entries)


def _rows_of(reader: Reader, run: ImportRun) -> list[int]:
    """The entries of a run's rows, newest first; others may have written between them."""
    rows = reader.rows(
        "SELECT number FROM journal WHERE number BETWEEN ? AND ? AND substr(key, 1, ?) = ?"
        " ORDER BY number DESC",
        (run.number, run.last, len(ROW_KEYS), ROW_KEYS),
    )
    return [number for (number,) in rows]


def _standing(reader: Reader, number: int) -> tuple[int, ...]:
    """The lines of an entry that stand and can be reversed."""
    entry = reader.entry(number)
    assert entry is not None
    gone = {line for line, _ in reader.reversed_lines(number)}
    return tuple(
        line for line, fact in enumerate(entry.facts())
        if line not in gone and not isinstance(fact, Reversal)
    )  # fmt: skip


def _run(value: dict[str, object]) -> ImportRun:
    counts = value["counts"]
    assert isinstance(counts, dict)
    return ImportRun(
        int(str(value["first"])), int(str(value["last"])), str(value["file"]),
        str(value["sha256"]), sum(counts.get(name, 0) for name in ("recorded", "flagged")),
        int(str(value.get("undone", 0))),
    )  # fmt: skip
