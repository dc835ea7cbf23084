"""Says in plain sentences what was found in a table, and what was left out of it and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ledger.facts.problems import Problem
from ledger.intake.plain_rows import KEPT_LEFT, NOTES, TOTALS
from ledger.intake.reading import Reading
from ledger.intake.sheet_rows import NOT_READ
from ledger.intake.sheets import Seen, cell_text, column_letter
from ledger.intake.tables import Looked, columns_said, is_summary

_LISTED = 12
"""Rows named one by one in a sentence."""
_TEXTS = 20
"""Notes that are told with their text."""
_EXAMPLES = 3
"""Cells shown of each field that cannot be read."""
_COLUMNS = 50


def told(looked: Looked) -> Iterator[str]:
    """What a person should know of the rows of a table that were left out."""
    where = _where(looked)
    totals = [one for one in looked.left if one.why == TOTALS]
    notes = [one for one in looked.left if one.why == NOTES]
    if totals:
        does = "adds others up and was" if len(totals) == 1 else "add others up and were"
        yield f"{where}{_rows([one.row for one in totals])} {does} left out."
    for one in totals:
        if one.text.startswith("it says "):
            yield f"{where}the total in row {one.row}: {one.text}."
    for one in notes[:_TEXTS]:
        yield f'{where}row {one.row} is a note and was left out: "{one.text}".'
    if len(notes) > _TEXTS:
        more = [one.row for one in notes[_TEXTS:]]
        yield f"{where}{_rows(more)} are notes and were left out."
    if len(looked.left) >= KEPT_LEFT:
        yield f"{where}more rows were left out than are named here."
    if looked.plan is None and looked.proposal is not None and (unread := looked.skipped[NOT_READ]):
        named = ", ".join(one.header for one in looked.proposal.seen[:8])
        row = looked.header_row
        its = f"its {unread} {'row was' if unread == 1 else 'rows were'} left out"
        if is_summary(looked):
            yield (
                f"the table with headings in row {row} ({named}) names neither a day nor a unit,"
                f" site or cylinder; {its}."
            )
        else:
            asked = " ".join(looked.proposal.questions)
            yield f"the table with headings in row {row} ({named}) waits, {its}: {asked}"


def seen_beside(seen: Seen) -> Iterator[str]:
    """What stands on a sheet beside its cells."""
    for index in seen.hidden_columns[:_COLUMNS]:
        yield f"column {column_letter(index)} is hidden; it was read like the others."
    if seen.filtered:
        yield "a filter is set on the sheet; rows that it hides are asked about like hidden ones."


def counted(looked: Looked, seen: Seen) -> Iterator[str]:
    """What was seen in a table, in figures, for a look before anything is taken in."""
    for title in looked.titles:
        yield f'{title.where}: "{title.text}"'
    if looked.last >= 0:
        yield f"it stands beside others, in {columns_said(looked)}"
    yield f"{looked.rows} row{'' if looked.rows == 1 else 's'} to take in"
    if seen.merged and not looked.table:
        yield f"{seen.merged} merged cell{'' if seen.merged == 1 else 's'} on the sheet"
    for why, count in sorted(looked.skipped.items()):
        if count > 0:
            yield f"{count} left out: {why}"


def examples(readings: Iterable[Reading]) -> Iterator[str]:
    """Cells that cannot be read, a few of each field, with how many more there are."""
    found: dict[str, dict[str, int]] = {}
    rows: dict[tuple[str, str], int] = {}
    for reading in readings:
        for name, problem in reading.problems:
            said = _cell(reading, name, problem)
            counts = found.setdefault(name or "row", {})
            counts[said] = counts.get(said, 0) + 1
            rows.setdefault((name or "row", said), reading.row.number)
    for name, counts in found.items():
        for said in list(counts)[:_EXAMPLES]:
            times = f", {counts[said]} times" if counts[said] > 1 else ""
            yield f"cannot be read ({name}, row {rows[name, said]}{times}): {said}"
        if len(counts) > _EXAMPLES:
            yield f"cannot be read ({name}): {len(counts) - _EXAMPLES} more of other kinds"


def _cell(reading: Reading, name: str, problem: Problem) -> str:
    place = reading.plan.places.get(name, -1)
    cells = reading.row.cells
    text = cell_text(cells[place]) if 0 <= place < len(cells) else ""
    shown = f'"{text[:60]}": ' if text and text not in problem.sentence else ""
    return f"{shown}{problem.sentence}"


def _where(looked: Looked) -> str:
    return f"{columns_said(looked)}: " if looked.last >= 0 else ""


def _rows(numbers: Sequence[int]) -> str:
    """ "row 5", "rows 5, 9 and 14", "rows 5, 9 ... and 20 more"."""
    if len(numbers) == 1:
        return f"row {numbers[0]}"
    shown = ", ".join(str(one) for one in numbers[:_LISTED])
    if len(numbers) > _LISTED:
        return f"rows {shown} and {len(numbers) - _LISTED} more"
    return f"rows {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"
