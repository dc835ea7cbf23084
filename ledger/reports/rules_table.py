"""The rules themselves as tables: what is in force, one rule's history, two days compared."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from datetime import date

    from ledger.law.listing import Change, Line
    from ledger.law.loader import Pack, RuleValue
    from ledger.law.overrides import Override

CAUTION = "Not legal advice. This is what the program computes with; the official text decides."

_WHAT = (Column("rule", "Rule"), Column("pack", "Pack"), Column("title", "What it is"))
_MARKS = (
    Column("cite", "Paragraph"),
    Column("evidence", "Evidence"),
    Column("checked_on", "Checked on", "date"),
)
_SPAN = (Column("from", "From", "date"), Column("to", "To", "date"))
LIST = (*_WHAT, Column("value", "Value"), *_SPAN, *_MARKS)
HISTORY = (
    Column("pack", "Pack"), *_SPAN, Column("value", "Value"), *_MARKS, Column("remark", "Remark"),
)  # fmt: skip
COMPARED = (
    *_WHAT, Column("before", "Before"), Column("after", "After"),
    Column("cite_before", "Paragraph before"), Column("cite_after", "Paragraph after"),
)  # fmt: skip


def rules_table(packs: Sequence[Pack], lines: Iterable[Line], on: date) -> Table:
    """Every rule with the value in force on a day."""
    rows = [_row(line) for line in lines]
    return Table(
        "Rules in force", LIST, rows, as_of=on.isoformat(), notes=_notes(packs), cautions=[CAUTION],
        answer=f"{counted(len(rows), 'value')} in force on {on.isoformat()}.",
    )  # fmt: skip


def history_table(packs: Sequence[Pack], name: str, lines: Iterable[Line]) -> Table:
    """Every value of one rule, in order of date, in every pack that has it."""
    found = list(lines)
    rows = [{**_row(line), "remark": remark(line.value)} for line in found if line.value]
    title = found[0].rule.title if found else ""
    return Table(
        f"History of {name}", HISTORY, rows, notes=_notes(packs), cautions=[CAUTION],
        answer=f"{name}: {title[:1].lower()}{title[1:]}.",
    )  # fmt: skip


def compared_table(
    packs: Sequence[Pack], changes: Iterable[Change], one: date, other: date
) -> Table:
    """What another day says differently."""
    rows = [
        {
            "rule": change.rule.name,
            "pack": change.pack.name,
            "title": change.rule.title,
            "before": _value(change.before),
            "after": _value(change.after),
            "cite_before": change.before.cite if change.before else None,
            "cite_after": change.after.cite if change.after else None,
        }
        for change in changes
    ]
    return Table(
        f"Rules of {one.isoformat()} and {other.isoformat()}", COMPARED, rows,
        as_of=other.isoformat(), notes=_notes(packs), cautions=[CAUTION],
        answer=f"{counted(len(rows), 'difference')} between {one.isoformat()} and"
        f" {other.isoformat()}.",
    )  # fmt: skip


def check_table(packs: Sequence[Pack], lines: Iterable[Line]) -> Table:
    """Every value that was not read in the official text, the weakest first."""
    found = list(lines)
    marks = [line.value.evidence for line in found if line.value]
    told = ", ".join(f"{mark} {marks.count(mark)}" for mark in dict.fromkeys(marks))
    return Table(
        "To check against the official text", LIST, [_row(line) for line in found],
        notes=_notes(packs), cautions=[CAUTION],
        answer=f"{counted(len(found), 'value')} to check: {told or 'none'}.",
    )  # fmt: skip


def override_lines(overrides: Iterable[Override]) -> list[str]:
    """A book's own readings, one line each, as an answer that leans on them says it."""
    return [
        f"Reading chosen in this book: {one.name} is {one.value} (entry {one.entry})."
        for one in overrides
    ]


def remark(value: RuleValue) -> str:
    """Reason, note, correction and choices of a value in a few sentences."""
    parts = [value.reason, value.note, value.gap]
    if value.choices:
        parts.append(f"a book may choose: {'; '.join(value.choices)}")
    if value.corrected_on:
        parts.append(f"corrected on {value.corrected_on}; this program said {value.was}")
    return ". ".join(part.rstrip(".") for part in parts if part)


def _row(line: Line) -> dict[str, object]:
    value = line.value
    assert value is not None
    return {
        "rule": line.rule.name,
        "pack": line.pack.name,
        "title": line.rule.title,
        "value": _value(value),
        "from": value.from_.isoformat(),
        "to": value.to.isoformat() if value.to else None,
        "cite": value.cite,
        "evidence": f"overridden by entry {value.overridden}"
        if value.overridden
        else value.evidence,
        "checked_on": value.checked_on.isoformat(),
    }


def _value(value: RuleValue | None) -> str | None:
    from ledger.law.for_rates import value_text

    return value_text(value) if value else None


def _notes(packs: Sequence[Pack]) -> list[str]:
    return [f"Rules: {', '.join(pack.stamp for pack in packs)}."]
