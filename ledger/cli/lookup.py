"""Tables of entries and masters for `find` and `list`."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from ledger.facts.facts import Receipt
from ledger.facts.masters import FIELDS, Master, folded
from ledger.reports.table import Column, Table
from ledger.reports.words import counted, in_words, value_in_words

if TYPE_CHECKING:
    from ledger.book.reader import Reader

ENTRY_COLUMNS = (
    Column("entry", "Entry", "whole"),
    Column("day", "Day", "date"),
    Column("verb", "Verb"),
    Column("person", "Done by"),
    Column("ticket", "Ticket"),
    Column("what", "What"),
    Column("reversed", "Reversed by", "list"),
)


def find_entries(reader: Reader, text: str, since: str, until: str, most: int) -> Table:
    """Entries in which `text` is written, newest first, at most `most`."""
    needle = f"%{text.casefold().replace('%', '').replace('_', ' ')}%"
    rows = []
    sql = (
        "select number from journal where (lower(body) like ? or lower(person) like ?"
        " or occurred_on like ?) and (? = '' or occurred_on >= ?) and (? = '' or occurred_on <= ?)"
        " order by number desc limit ?"
    )
    numbers = [n for (n,) in reader.rows(
        sql, (needle, needle, needle, since, since, until, until, most + 1)
    )]  # fmt: skip
    for number in numbers[:most]:
        entry = reader.entry(number)
        if entry is None:
            continue
        content = entry.content()
        facts = [fact for fact in entry.facts() if not isinstance(fact, Receipt)]
        words = "; ".join(in_words(fact) for fact in facts[:3])
        rows.append({
            "entry": number, "day": entry.occurred_on, "verb": content["verb"],
            "person": entry.person, "ticket": content.get("ticket", ""),
            "what": words + (f"; and {len(facts) - 3} more" if len(facts) > 3 else ""),
            "reversed": sorted({str(by) for _, by in reader.reversed_lines(number)}),
        })  # fmt: skip
    more = " There are more; narrow it with words or days." if len(numbers) > most else ""
    answer = f"{counted(len(rows), 'entry', 'entries')} found.{more}"
    return Table("Entries", ENTRY_COLUMNS, rows, answer=answer, head=reader.head())


def masters_of(reader: Reader, kind: str, as_of: str, only_provisional: bool) -> Table:
    """Every record of one kind with its fields as they hold on a day."""
    masters: dict[str, Master] = {}
    sql = (
        "select d.entry, d.line, d.name, d.folded, d.since, d.provisional, d.fields"
        " from described d where d.kind = ? and not exists (select 1 from reversal r where"
        " r.target_entry = d.entry and r.target_line = d.line) order by d.entry, d.line"
    )
    for entry, line, name, fold, since, provisional, fields in reader.rows(sql, (kind,)):
        master = masters.setdefault(fold, Master(kind, name))
        master.describe(json.loads(fields), since, provisional == "yes", entry, line)
    joined = {
        folded(body["name"]): body["kept"]
        for (text,) in reader.rows(
            "select s.body from service s where s.type = ? and not exists (select 1 from reversal r"
            " where r.target_entry = s.entry and r.target_line = s.line) order by s.entry, s.line",
            ("joined",),
        )
        if (body := json.loads(text))["kind"] == kind
    }
    names = [
        name for name in FIELDS[kind]
        if any(master.now(name) not in (None, "") for master in masters.values())
    ]  # fmt: skip
    rows = [
        _row(master, names, as_of, joined.get(fold, ""))
        for fold, master in sorted(masters.items())
        if master.provisional or not only_provisional
    ]
    columns = [Column("name", "Name"), *(Column(_key(n), n.capitalize()) for n in names)]
    columns += [Column("provisional", "To complete"), Column("entry", "Entry", "whole")]
    if joined:
        columns.append(Column("joined", "Same as"))
    open_count = sum(1 for master in masters.values() if master.provisional)
    left = f", {open_count} to complete" if open_count else ""
    return Table(
        kind.capitalize(), columns, rows, answer=f"{len(rows)} of kind {kind}{left}.",
        as_of=as_of, head=reader.head(),
    )  # fmt: skip


def _key(name: str) -> str:
    return name.replace(" ", "_")


def _row(master: Master, names: list[str], as_of: str, kept: str) -> dict[str, Any]:
    row: dict[str, Any] = {
        "name": master.name, "entry": master.entries[0],
        "provisional": "yes" if master.provisional else "", "joined": kept,
    }  # fmt: skip
    for name in names:
        value = master.at(name, as_of) if as_of else master.now(name)
        row[_key(name)] = "" if value is None else value_in_words(value)
    return row
