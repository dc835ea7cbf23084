"""The tables of a count and a close: statement, parts, cylinders and working, by sheet key."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ledger.answers.explaining import COMPUTED, EARLIER, LEFT, OPEN
from ledger.facts.mass import Mass, half_up, pounds
from ledger.reports.stock_tables import columns_of, common
from ledger.reports.table import Table
from ledger.reports.words import counted as numbered

if TYPE_CHECKING:
    from ledger.answers.counting import CountLine
    from ledger.answers.explaining import Part
    from ledger.answers.statement import Given, StatementLine
    from ledger.answers.working import Working
    from ledger.book.closing import Reconciled
    from ledger.book.cut import Cut
    from ledger.book.reader import Reader

REPORT = "reconciliation"
EXPLAINED = "explained"
_CLASSES = {EARLIER: "earlier", LEFT: "left"}
_SHORT = (
    "line", "opening", "late", "came_in", "went_out", "moved", "book", "counted", "uncounted",
    "difference", "share", "explained", "earlier", "open", "left", "verdict",
)  # fmt: skip
_IF_ANY = ("late", "moved", "uncounted", "earlier", "explained", "open", "left", "opening")


def closing_tables(
    reader: Reader, cut: Cut, found: Reconciled, by: tuple[str, ...] = ("refrigerant",),
    keep: dict[str, str] | None = None, title: str = "Reconciliation",
    notes: Sequence[str] = (),
) -> tuple[dict[str, Table], Callable[[], list[Working]]]:  # fmt: skip
    """The statement of a count split as asked, what it rests on, and its workings."""
    lines = found.lines(by, keep)
    stamp = common(reader, cut) | {"as_of": found.cut_off.day}
    statement = Table(
        title, columns_of(REPORT, "statement"), [_row(line) for line in lines],
        answer=answer_of(lines), notes=[*notes, *_notes(lines)], **stamp,
    )  # fmt: skip
    parts = [row for line in lines for row in _parts(line)]
    cylinders = [_cylinder(line, one) for line in lines for one in _placed(line, by)]
    opened = [row for row in parts if row["class"] == "open"]
    waiting = f"{numbered(len(opened), 'open item')}." if opened else ""
    tables = {
        "statement": statement,
        "movements": Table("In and out", columns_of(REPORT, "movements"), statement.rows, **stamp),
        "parts": Table("Parts", columns_of(REPORT, "parts"), parts, answer=waiting, **stamp),
        "cylinders": Table("Cylinders", columns_of(REPORT, "cylinders"), cylinders, **stamp),
    }
    return tables, lambda: list(_workings(lines))


def with_working(tables: dict[str, Table], workings: Sequence[Working]) -> dict[str, Table]:
    """The tables with the sheet Working."""
    rows = [
        {"figure": working.title if not number else "", "text": text.strip()}
        for working in workings
        for number, text in enumerate(working.to_lines()[1:])
    ]
    first = tables["statement"]
    sheet = Table(
        "Working", columns_of(REPORT, "working"), rows, as_of=first.as_of, head=first.head
    )
    return tables | {"working": sheet}


def shown(statement: Table) -> Table:
    """The statement for a terminal: the columns people look for, empty ones left out."""
    there = {column.key: column for column in statement.columns}
    wanted = [
        there[key]
        for key in _SHORT
        if key not in _IF_ANY or any(row.get(key) for row in statement.rows)
    ]
    return replace(statement, columns=wanted)


def whole(tables: dict[str, Table]) -> Table:
    """The statement with every figure of a line, for other programs."""
    statement = tables["statement"]
    there = {column.key for column in statement.columns}
    more = [column for column in tables["movements"].columns if column.key not in there]
    return replace(statement, columns=[*statement.columns, *more])


def short_parts(parts: Table) -> Table:
    """The parts for a terminal, those that lie before the last close left out."""
    rows = [row for row in parts.rows if row["class"] != "earlier"]
    wanted = ("line", "class", "what", "cylinder", "place", "pounds", "words", "entries")
    columns = [column for column in parts.columns if column.key in wanted]
    return replace(parts, columns=columns, rows=rows)


def answer_of(lines: Sequence[StatementLine]) -> str:
    """The whole in one line."""
    if not any(one.tally for line in lines for one in line.lines):
        return "Nothing was counted for this cut-off."
    difference = sum(line.difference for line in lines)
    told = [f"Counted minus book {signed(difference)} lb"]
    told += [
        f"{name} {signed(mass)}" for name, mass in (
            ("explained", sum(line.explained() for line in lines)),
            ("before the last close", sum(line.earlier for line in lines)),
            ("open items", sum(line.open for line in lines)),
            ("left", sum(line.left for line in lines)),
        ) if mass
    ]  # fmt: skip
    seen = [sum(line.cylinders[place] for line in lines) for place in range(3)]
    told.append(
        f"{numbered(seen[0], 'cylinder')} counted, {seen[1]} not there, {seen[2]} not counted"
    )
    return "; ".join(told) + "."


def signed(mass: int) -> str:
    """Pounds with their sign, as differences are read."""
    return f"+{pounds(mass)}" if mass > 0 else pounds(mass)


def label(line: StatementLine) -> str:
    """What a line is of."""
    return ", ".join(part or f"no {name}" for name, part in zip(line.by, line.key, strict=True))


def _row(line: StatementLine) -> dict[str, Any]:
    named = {name: line.value(name) for name in line.by}
    masses = {
        "opening": line.opening, "late": line.late, "received": line.amounts["received"],
        "recovered": line.amounts["recovered"], "charged": line.amounts["charged"],
        "shipped": line.amounts["shipped"], "returned": line.amounts["returned"],
        "heels": line.amounts["heel"], "losses": line.amounts["released"], "moved": line.moved,
        "book": line.book, "counted": line.counted, "uncounted": line.uncounted,
        "difference": line.difference, "explained": line.explained(), "earlier": line.earlier,
        "open": line.open, "left": line.left, "came_in": line.came_in, "went_out": line.went_out,
    }  # fmt: skip
    return {
        "line": label(line), **named, **{key: Mass(value) for key, value in masses.items()},
        "share": line.share, "verdict": line.verdict, "cylinders_counted": line.cylinders[0],
        "cylinders_missing": line.cylinders[1], "cylinders_left": line.cylinders[2],
    }  # fmt: skip


def _parts(line: StatementLine) -> Iterator[dict[str, Any]]:
    name = label(line)
    for part in line.parts:
        yield _part(name, part)
    for one in line.given:
        yield _given(name, one)


def _part(name: str, part: Part) -> dict[str, Any]:
    kind = EXPLAINED if part.what in COMPUTED else "open" if part.what in OPEN else ""
    return {
        "line": name, "class": kind or _CLASSES[part.what], "what": part.what,
        "cylinder": part.cylinder, "place": part.place, "pounds": Mass(part.mass),
        "first": part.first or None, "last": part.last or None, "words": part.words,
        "entries": tuple(dict.fromkeys(part.entries)), "person": "",
    }  # fmt: skip


def _given(name: str, one: Given) -> dict[str, Any]:
    kind = "left" if one.cause == LEFT else EXPLAINED
    posted = "the book follows" if one.posted else ""
    words = "; ".join(filter(None, (one.why, f"report {one.document}" if one.document else "",
                                    posted)))  # fmt: skip
    return {
        "line": name, "class": kind, "what": one.cause, "cylinder": one.cylinder,
        "place": one.place, "pounds": Mass(one.mass), "first": None, "last": None, "words": words,
        "entries": (one.entry,), "person": one.person,
    }  # fmt: skip


def _placed(
    line: StatementLine, by: tuple[str, ...]
) -> Iterator[tuple[CountLine, int, int | None]]:
    """Each cylinder of a line with its book and count there; one found elsewhere is in two."""
    place = line.value("place") if "place" in by else None
    for one in line.lines:
        if place is not None and one.unexpected and one.counted is not None:
            here = one.found_at == place
            yield one, 0 if here else one.book, one.counted if here else 0
        else:
            yield one, one.book, one.counted


def _cylinder(line: StatementLine, shared: tuple[CountLine, int, int | None]) -> dict[str, Any]:
    one, book, found = shared
    tally = one.tally
    tare = one.vessel.tare
    return {
        "line": label(line), "cylinder": one.name, "place": one.place, "found_at": one.found_at,
        "status": one.status, "gross": tally.gross.mass if tally and tally.gross else None,
        "tare": tare.weight.mass if tare else None, "moved_since": Mass(one.moved) or None,
        "counted": None if found is None else Mass(found), "book": Mass(book),
        "difference": None if found is None else Mass(found - book),
        "person": tally.person if tally else "", "on": tally.day if tally else None,
        "entry": tally.entry if tally else None,
    }  # fmt: skip


def _notes(lines: Sequence[StatementLine]) -> Iterator[str]:
    elsewhere = {
        one.name: f"{one.name} was found at {one.found_at}; the book has it at"
        f" {one.place or 'no place'}."
        for line in lines for one in line.lines if one.unexpected
    }  # fmt: skip
    yield from elsewhere.values()
    cannot = {one.name: one for line in lines for one in line.lines
              if one.tally is not None and one.counted is None}  # fmt: skip
    for one in cannot.values():
        yield f"{one.name} was found, and what is in it cannot be computed: {one.status}."
    left = [one.name for line in lines for one in line.lines if one.counted is None
            and one.name not in cannot]  # fmt: skip
    if left and len(left) <= 12:
        yield f"Not counted: {', '.join(dict.fromkeys(left))}."


def _workings(lines: Sequence[StatementLine]) -> Iterator[Working]:
    for line in lines:
        yield line.working()
        yield from (one.working() for one in line.lines if one.difference)


def percent(line: StatementLine) -> str:
    """The difference as a share of the pounds charged, in words."""
    share = line.share
    return "nothing was charged" if share is None else f"{half_up(100 * share, 1)} % of charged"
