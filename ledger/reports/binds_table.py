"""Which rules bind which circuit on a day, by which limb, and what would settle what is open."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from ledger.answers.scope_gaps import CircuitScope, ScopeGap, scope_gaps
from ledger.reports.due_table import NOTE
from ledger.reports.stock_tables import known_words
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

BINDS_COLUMNS = (
    Column("circuit", "Circuit"),
    Column("site", "Site"),
    Column("pack", "Rules"),
    Column("binds", "Binds"),
    Column("limb", "Limb"),
    Column("sentence", "Why", width=60),
    Column("citation", "Paragraph"),
    Column("evidence", "Evidence"),
    Column("settled_by", "Settled by", width=40),
)


def scopes_of(
    reader: Reader, cut: Cut, on: date, circuits: Sequence[str] | None = None
) -> list[CircuitScope]:
    """What every pack says of circuits on a day."""
    from ledger.book.bound import law_of
    from ledger.book.circuit_subjects import Subjects, decisions_of
    from ledger.book.reading import homes, masters_at
    from ledger.facts.masters import folded
    from ledger.law.scope import scope_of

    law, masters = law_of(reader, cut), masters_at(reader, cut)
    subjects, whose = Subjects(masters), homes(masters)
    decided = decisions_of(reader, cut)
    wanted = {folded(name) for name in circuits} if circuits is not None else None
    out = []
    for fold, master in sorted(masters.all("circuit").items()):
        if wanted is not None and fold not in wanted:
            continue
        series = subjects.series(master, decided.get(fold, ()))
        subject = series[0][1]
        for since, one in series:
            if since is None or since <= on:
                subject = one
        stays = whose.get(master.name, ())
        found = scope_of(subject, on, law.packs)
        out.append(CircuitScope(master.name, stays[-1].site if stays else "", on, found))
    return out


def binds_table(
    reader: Reader, cut: Cut, on: date, circuits: Sequence[str] | None = None, gaps: bool = False
) -> tuple[Table, list[ScopeGap]]:
    """The bindings as a table, and what is open; with `gaps` only the open ones."""
    from ledger.book.bound import law_of

    scopes = scopes_of(reader, cut, on, circuits)
    found = scope_gaps(scopes, {one.name: one.citation for one in law_of(reader, cut).packs})
    by_gap = {(gap.circuit, gap.pack): gap for gap in found}
    rows: list[dict[str, Any]] = []
    for scope in scopes:
        for one in scope.findings:
            gap = by_gap.get((scope.circuit, one.pack))
            if gaps and gap is None:
                continue
            rows.append({
                "circuit": scope.circuit, "site": scope.site or None, "pack": one.pack,
                "binds": one.binds, "limb": one.limb, "sentence": one.sentence,
                "citation": one.cite, "evidence": one.evidence,
                "settled_by": "; ".join(part.command for part in gap.settled_by) if gap else None,
            })  # fmt: skip
    open_ = len({gap.circuit for gap in found})
    table = Table(
        "Rules that bind", BINDS_COLUMNS, rows,
        answer=f"{counted(len(scopes), 'circuit')} on {on}; of {open_ or 'none'} it is open"
        " whether a rule binds.",
        as_of=on.isoformat(), known_at=known_words(cut), head=reader.head(), notes=[NOTE],
    )  # fmt: skip
    return table, found
