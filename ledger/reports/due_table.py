"""The list of what is due, on which circuit or site, to whom, by when, and by which paragraph."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from ledger.answers.due_list import NOT_KNOWN, OWED, Line, lines_of, next_of_each, then_and_now
from ledger.answers.duty import MISSED, OVERDUE, Duty
from ledger.reports.rules_table import override_lines
from ledger.reports.stock_tables import known_words
from ledger.reports.table import Column, Table
from ledger.reports.words import counted

if TYPE_CHECKING:
    from ledger.answers.holdings import Home
    from ledger.answers.working import Working
    from ledger.book.bound import Law
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader
    from ledger.book.recorded import Masters

DUE_COLUMNS = (
    Column("status", "Status"),
    Column("due", "Due", "date"),
    Column("days", "Days left", "whole"),
    Column("circuit", "Circuit or site"),
    Column("site", "Site"),
    Column("owner", "Owner"),
    Column("title", "What is due", width=40),
    Column("who", "Owed by"),
    Column("counted", "Counted from"),
    Column("citation", "Paragraph"),
    Column("others", "Other date"),
    Column("remark", "Remark", width=40),
    Column("ended", "Ended", "date"),
    Column("by", "Ended by"),
    Column("technician", "Last work by"),
    Column("evidence", "Evidence"),
    Column("entries", "Entries", "list"),
    Column("pack", "Rules"),
)
BRIEF = ("status", "due", "days", "circuit", "title", "who", "citation")
"""The columns of the terminal and of the page for print; every other form has all of them."""

NOTE = (
    "Computed from what is recorded and from rule data; not legal advice. The official text and"
    " licensed practice decide."
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which duties are asked for; empty members do not narrow.

    `first` and `last` are ISO days between which a duty falls due; `pack` is part of a pack's
    name, jurisdiction or paragraph. `every` also gives what is done, lapsed or superseded.
    """

    as_of: date
    circuit: str = ""
    site: str = ""
    owner: str = ""
    technician: str = ""
    pack: str = ""
    who: str = ""
    first: str = ""
    last: str = ""
    every: bool = False


def due_table(
    reader: Reader, cut: Cut, wanted: Wanted, then: Cut | None = None
) -> tuple[Table, Callable[[], list[Working]], list[Line]]:
    """The list, a callable for the workings, and its lines.

    `then` is the cut of an earlier knowledge that is set beside the answer.
    """
    from ledger.book.bound import law_of
    from ledger.book.reading import homes, masters_at

    law, masters = law_of(reader, cut), masters_at(reader, cut)
    whose = homes(masters)
    missed: list[str] = []
    now = list(_kept(_duties(reader, cut, masters, wanted, law, whose), law, wanted, missed))
    if then is None:
        lines = lines_of(now)
    else:
        before = masters_at(reader, then)
        old = _duties(reader, then, before, wanted, law_of(reader, then), homes(before))
        lines = then_and_now(now, list(_kept(old, law, wanted)))
    lines, unknown = _told_once(lines)
    later = 0
    if not (wanted.every or wanted.last):
        lines, later = next_of_each(lines)
    people = _people(reader, lines)
    lines = [one for one in lines if _by(one, people, wanted.technician)]
    owners = {one.name: one.text("owner") for one in masters.all("site").values()}
    rows = [{**_row(line, wanted.as_of, whose, people), **_of_site(line, owners)} for line in lines]
    owed = [line for line in lines if line.duty.status in OWED and not line.gone]
    overdue = sum(1 for line in owed if line.duty.status == OVERDUE)
    table = Table(
        "Due list",
        DUE_COLUMNS,
        rows,
        answer=_answer(len(owed), overdue, wanted.as_of),
        as_of=wanted.as_of.isoformat(),
        known_at=known_words(cut),
        head=reader.head(),
        notes=[
            *_all_later(unknown, wanted.as_of),
            *_missed(missed),
            *later_words(later),
            *_footnotes(lines),
            *overridden(reader, cut, lines),
        ],
    )
    return (
        table,
        lambda: [one.working() for line in lines for one in (line.duty, *line.others)],
        lines,
    )


def _duties(
    reader: Reader, cut: Cut, masters: Masters, wanted: Wanted, law: Law,
    whose: dict[str, tuple[Home, ...]],
) -> Iterator[Duty]:  # fmt: skip
    """Every duty of the circuits and sites that the filters leave."""
    from ledger.book.bound import duties_in, site_duties_in

    circuits = _circuits(wanted, whose)
    for _, found in duties_in(reader, cut, masters, wanted.as_of, circuits, law):
        for one in found:
            yield from one.duties
    if wanted.circuit:
        return
    sites = [wanted.site] if wanted.site else []
    for site in site_duties_in(reader, cut, masters, wanted.as_of, sites, law):
        master = masters.one("site", site.site)
        if not wanted.owner or (master is not None and master.text("owner") == wanted.owner):
            yield from site.duties


def _circuits(wanted: Wanted, whose: dict[str, tuple[Home, ...]]) -> list[str] | None:
    if wanted.circuit:
        return [wanted.circuit]
    if wanted.site or wanted.owner:
        return [name for name, homes in whose.items() if _at_home(homes, wanted)]
    return None


def circuits_wanted(reader: Reader, cut: Cut, wanted: Wanted) -> list[str] | None:
    """The circuits that circuit, site and owner leave; None where none of them narrows."""
    from ledger.book.reading import homes, masters_at

    return _circuits(wanted, homes(masters_at(reader, cut)))


def _at_home(homes: Sequence[Home], wanted: Wanted) -> bool:
    last = homes[-1] if homes else None
    return last is not None and (
        (not wanted.site or last.site == wanted.site)
        and (not wanted.owner or last.owner == wanted.owner)
    )


def _kept(
    duties: Iterable[Duty], law: Law, wanted: Wanted, missed: list[str] | None = None
) -> Iterator[Duty]:
    """The duties the other filters leave; `missed` is given where each that was missed stands."""
    packs = packs_named(law, wanted.pack)
    for duty in duties:
        lost = missed is not None and duty.status == MISSED
        if not wanted.every and duty.status not in OWED and not lost:
            continue
        if wanted.pack and duty.pack not in packs:
            continue
        if wanted.who and duty.who != wanted.who:
            continue
        due = duty.due.isoformat() if duty.due else ""
        if (wanted.first or wanted.last) and not due:
            continue
        if wanted.first <= due and (not wanted.last or due <= wanted.last):
            if lost and not wanted.every and missed is not None:
                missed.append(duty.circuit or duty.site)
            else:
                yield duty


def packs_named(law: Law, text: str) -> set[str]:
    """The packs a word stands for: part of the name, the jurisdiction or the paragraph."""
    word = text.casefold()
    return {
        pack.name
        for pack in law.packs
        if word
        and any(word in part.casefold() for part in (pack.name, pack.jurisdiction, pack.citation))
    }


def _people(reader: Reader, lines: Iterable[Line]) -> dict[int, str]:
    """Who did the work of each entry that a line was read from."""
    wanted = sorted({entry for line in lines for entry in line.duty.entries if entry})
    found: dict[int, str] = {}
    for start in range(0, len(wanted), 400):
        some = tuple(wanted[start : start + 400])
        marks = ",".join("?" * len(some))
        sql = f"SELECT number, person FROM journal WHERE number IN ({marks})"
        found.update(dict(reader.rows(sql, some)))
    return found


def _last_by(line: Line, people: dict[int, str]) -> str:
    named = [people.get(entry, "") for entry in sorted(line.duty.entries)]
    return next((name for name in reversed(named) if name), "")


def _by(line: Line, people: dict[int, str], technician: str) -> bool:
    return not technician or _last_by(line, people) == technician


def _row(
    line: Line, as_of: date, whose: dict[str, tuple[Home, ...]], people: dict[int, str]
) -> dict[str, Any]:  # fmt: skip
    duty = line.duty
    homes = whose.get(duty.circuit, ())
    home = homes[-1] if homes else None
    since = f"{duty.start.isoformat()}, {duty.after}" if duty.start else duty.after
    return {
        "status": "not due now" if line.gone else duty.status,
        "due": duty.due.isoformat() if duty.due else None,
        "days": (duty.due - as_of).days if duty.due else None,
        "circuit": duty.circuit or duty.site,
        "site": home.site if home else duty.site or None,
        "owner": home.owner if home else None,
        "title": duty.title,
        "who": duty.who,
        "counted": since or None,
        "citation": line.cites,
        "others": line.others_due or None,
        "remark": "; ".join(_remarks(line)) or None,
        "ended": duty.ended.isoformat() if duty.ended else None,
        "by": duty.by or None,
        "technician": _last_by(line, people) or None,
        "evidence": duty.evidence,
        "entries": list(duty.entries),
        "pack": duty.pack,
    }


def _of_site(line: Line, owners: Mapping[str, str]) -> dict[str, str | None]:
    """The owner of a site whose duty it is; a circuit's own owner stands in its row already."""
    duty = line.duty
    return {} if duty.circuit else {"owner": owners.get(duty.site) or None}


def _remarks(line: Line) -> Iterator[str]:
    duty = line.duty
    if duty.kind == "option":
        yield "last day to ask"
    if duty.no_date and duty.due is None and duty.no_date not in duty.title:
        yield duty.no_date
    if duty.portion:
        yield duty.portion
    if duty.year is not None:
        yield f"for {duty.year}"
    if duty.systems:
        yield f"on account of {', '.join(duty.systems)}"
    if duty.amount:
        yield duty.amount
    if duty.extended:
        yield f"extended: {duty.extended}"
    if line.others_due:
        yield f"also {line.others_due}"
    if duty.unless:
        yield f"unless {duty.unless}"
    if line.then:
        yield line.then


def _answer(owed: int, overdue: int, as_of: date) -> str:
    if not owed:
        return f"Nothing of what was asked for is due on {as_of}."
    return f"{counted(owed, 'open line')}, {overdue or 'none'} of them overdue, on {as_of}."


def _missed(places: Sequence[str]) -> list[str]:
    """How many dates went by that nothing can meet any more, and where."""
    if not places:
        return []
    named = list(dict.fromkeys(places))
    more = f" and {len(named) - 4} more" if len(named) > 4 else ""
    return [
        f"Not shown: {counted(len(places), 'missed date')} of {', '.join(named[:4])}{more}, which"
        " later work does not make good; tarebook due --all."
    ]


def _told_once(lines: list[Line]) -> tuple[list[Line], bool]:
    """The lines without a remark that stands on every one of them, and whether there was one."""
    if not lines or any(line.then != NOT_KNOWN or line.gone for line in lines):
        return lines, False
    return [line._replace(then="") for line in lines], True


def _all_later(unknown: bool, as_of: date) -> list[str]:
    if not unknown:
        return []
    return [f"None of this was known on {as_of}: what it rests on was recorded later."]


def later_words(number: int) -> list[str]:
    """That later dates of running inspections are not shown, and how to see them."""
    if not number:
        return []
    return [
        f"Not shown: {counted(number, 'later date')} of running inspections; tarebook due --to DAY."
    ]


def _footnotes(lines: Sequence[Line]) -> list[str]:
    """What the dates lean on that was not read in the text of the law."""
    weak = {
        f"{rule.cite} ({rule.evidence})"
        for line in lines
        for rule in line.duty.rules
        if rule.evidence in ("memory", "secondary")
    }
    notes = [NOTE]
    if weak:
        told = sorted(weak)
        more = f" and {len(told) - 8} more (tarebook rules check)" if len(told) > 8 else ""
        notes.append(
            f"Values not yet checked against the official text: {', '.join(told[:8])}{more}."
        )
    return notes


def overridden(reader: Reader, cut: Cut, lines: Iterable[Line]) -> list[str]:
    """The book's own readings that a line rests on."""
    from ledger.book.readings import overrides_of

    names = {name for line in lines for name in line.duty.readings}
    own = [
        one
        for one in overrides_of(reader, cut)
        if one.name.rpartition("/")[2].upper().replace("-", "_") in names
    ]
    return override_lines(tuple(own))


def brief(table: Table) -> Table:
    """The table with what fits a terminal or a page: remarks beside what is due.

    A status that the days left say as well, and an owner of duties who is the same throughout,
    are told once or not at all.
    """
    said: set[str] = set()
    answer = table.answer
    if {row["status"] for row in table.rows} <= OWED:
        said.add("status")
    people = {row["who"] for row in table.rows}
    if len(people) == 1 and len(table.rows) > 1:
        said.add("who")
        answer = f"{answer.removesuffix('.')}; owed by the {people.pop()}."
    kept = [column for column in table.columns if column.key in BRIEF and column.key not in said]
    rows = [{**row, "title": _with_remark(row)} for row in table.rows]
    return replace(table, answer=answer, columns=kept, rows=rows)


def _with_remark(row: Mapping[str, object]) -> str:
    return "; ".join(str(row[key]) for key in ("title", "remark") if row.get(key))
