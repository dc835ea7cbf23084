"""The sheets of the due-list workbook: a page to print, all columns, open scopes, the working."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ledger.answers.working import EVIDENCE_WORDS
from ledger.reports.table import Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.due_list import Line
    from ledger.answers.duty import Duty
    from ledger.answers.scope_gaps import ScopeGap


def due_sheets(table: Table, lines: Sequence[Line], gaps: Sequence[ScopeGap]) -> dict[str, Table]:
    """The tables of the workbook by the keys of its sheets.

    `table` and `lines` are what `due_table` gives, row for line; `gaps` the circuits of which it
    is open whether a rule binds.
    """
    numbered = [{"line": number, **row} for number, row in enumerate(table.rows, 1)]
    working = [row for number, line in enumerate(lines, 1) for row in _working(number, line)]
    bare: dict[str, Any] = {"notes": (), "columns": ()}
    circuits = len({gap.circuit for gap in gaps})
    open_ = f"Of {counted(circuits, 'circuit') if circuits else 'no circuit'} it is open"
    return {
        "due": replace(table, rows=numbered),
        "all": replace(table, title="Due list, all columns", rows=numbered, **bare),
        "open": replace(
            table, title="Open scopes", rows=[_gap(gap) for gap in gaps],
            answer=f"{open_} whether a rule binds.", **bare,
        ),
        "working": replace(
            table, title="Working of the due list", rows=working,
            answer=f"What {counted(len(lines), 'line')} of the list {_rest(lines)} on.", **bare,
        ),
    }  # fmt: skip


def _rest(lines: Sequence[Line]) -> str:
    return "rests" if len(lines) == 1 else "rest"


def _gap(gap: ScopeGap) -> dict[str, Any]:
    return {
        "circuit": gap.circuit, "site": gap.site or None, "open": f"{gap.cite}: {gap.open}",
        "if_bound": gap.if_bound.removeprefix("If it binds, "),
        "if_not": gap.if_not.removeprefix("If not, "),
        "settled_by": "; ".join(f"{one.by}: {one.command}" for one in gap.settled_by),
    }  # fmt: skip


def _working(number: int, line: Line) -> Iterator[dict[str, Any]]:
    for duty in (line.duty, *line.others):
        named = {"line": number, "circuit": duty.circuit or duty.site, "title": duty.title}
        for row in _parts(duty):
            yield {**named, **row}


def _parts(duty: Duty) -> Iterable[dict[str, Any]]:
    """What one date rests on: what is counted, each input, each rule, the result."""
    working = duty.working()
    yield {"part": "counted", "value": working.formula, "citation": duty.cite}
    for part in working.inputs:
        yield {
            "part": "input", "what": part.label, "value": part.value,
            "entries": list(part.entries),
        }  # fmt: skip
    for rule in working.rules:
        yield {
            "part": "rule", "what": rule.title or rule.rule, "value": rule.value,
            "citation": rule.cite, "evidence": EVIDENCE_WORDS[rule.evidence],
        }  # fmt: skip
    for note in working.notes:
        yield {"part": "note", "value": note}
    yield {"part": "result", "value": duty.text()}
