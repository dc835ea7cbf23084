"""The statement of a period from a book: closes, causes, stands, the parts of a difference."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from ledger.answers.chain import Reading, steps_of
from ledger.answers.counting import CountLine, Vessel, count_lines
from ledger.answers.explaining import Allowances, Part, Twins, parts_of
from ledger.answers.holdings import Closing, Placed, Row
from ledger.answers.stand import stand
from ledger.answers.statement import Given, Limits, Stands, StatementLine, limits, statement
from ledger.book.counting import recorded, spans, tallies, times_of, vessels
from ledger.book.cut import Cut, Names
from ledger.book.reader import Reader
from ledger.book.recorded import Masters
from ledger.book.shipping import levels
from ledger.book.timeline import Movements, movements, place_name, placed
from ledger.facts.counts import CutOff
from ledger.facts.mass import Quantity


class Close(NamedTuple):
    """A period that was signed and locked, by the entry that did."""

    entry: int
    day: str
    person: str
    period: str
    cut_off: CutOff
    place: str = ""
    signed: str = ""
    because: str = ""
    statement: str = ""


def closes(reader: Reader, cut: Cut, masters: Masters) -> list[Close]:
    """Every close that stands, in the order of their cut-offs."""
    found = [
        Close(
            entry, day, person, body["period"], CutOff.parse(body["cut_off"]),
            place_name(masters, body.get("place", "")), body.get("owner_signed", ""),
            body.get("because", ""), body.get("statement", ""),
        )
        for entry, _, day, _, person, body in recorded(reader, cut, "closed")
    ]  # fmt: skip
    return sorted(found, key=lambda one: (one.cut_off.order, one.entry))


def close_before(found: list[Close], cut_off: CutOff, place: str) -> Close | None:
    """The last close before a cut-off that holds for a place, or for the whole shop."""
    earlier = [one for one in found if one.cut_off.order < cut_off.order
               and one.place in ("", place)]  # fmt: skip
    return earlier[-1] if earlier else None


def given(reader: Reader, cut: Cut, masters: Masters, cut_off: CutOff) -> list[Given]:
    """The causes people gave at a count."""
    moved = {entry for (entry,) in reader.rows(
        "SELECT DISTINCT m.entry FROM movement m JOIN service s ON s.entry = m.entry"
        f" WHERE s.type = 'explained' AND {cut.counts('m', occurred=False)}", cut.params()
    )}  # fmt: skip
    return [
        Given(
            entry, person, body["refrigerant"], Quantity.from_body(body["mass"]).mass,
            body["cause"], masters.names.kept("cylinder", body.get("cylinder", "")),
            place_name(masters, body.get("place", "")), body.get("document", ""),
            body.get("why", ""), entry in moved,
        )
        for entry, _, _, _, person, body in recorded(reader, cut, "explained")
        if body["cut_off"] == cut_off.text
    ]  # fmt: skip


def weights(reader: Reader, cut: Cut, names: Names) -> dict[tuple[int, int, str], list[Reading]]:
    """Every gross weight by the entry, line and cylinder it was read at, in order."""
    rows = reader.rows(
        "SELECT w.entry, w.line, w.cylinder, w.occurred_on, w.occurred_time, w.gross, w.scale"
        f" FROM weighing w WHERE {cut.counts('w', occurred=False)}"
        " ORDER BY w.entry, w.line, w.part",
        cut.params(),
    )
    found: dict[tuple[int, int, str], list[Reading]] = {}
    for entry, line, cylinder, day, time, gross, scale in rows:
        kept = names.kept("cylinder", cylinder)
        one = Reading(entry, line, day, time, gross, scale)
        found.setdefault((entry, line, kept), []).append(one)
    return found


def tickets(reader: Reader, cut: Cut) -> dict[int, str]:
    """The ticket of each entry that moved pounds and has one."""
    rows = reader.rows(
        "SELECT DISTINCT m.entry, m.ticket FROM movement m WHERE m.ticket <> ''"
        f" AND {cut.counts('m', occurred=False)}",
        cut.params(),
    )
    return dict(rows)


def hoses(reader: Reader, cut: Cut) -> frozenset[tuple[int, int]]:
    """Entry and line of every release of what stayed in hoses."""
    rows = reader.rows(
        "SELECT m.entry, m.line FROM movement m WHERE m.cause = 'hose'"
        f" AND {cut.counts('m', occurred=False)}",
        cut.params(),
    )
    return frozenset((entry, line) for entry, line in rows)


@dataclass(frozen=True, slots=True)
class Reconciled:
    """Everything a statement is made from, read once; `lines` splits it."""

    cut_off: CutOff
    before: Close | None
    stands: Stands
    count: list[CountLine]
    parts: Mapping[str, list[Part]]
    given: list[Given]
    vessels: Mapping[str, Vessel]
    limits: Limits
    place: str = ""

    def lines(
        self, by: tuple[str, ...] = ("refrigerant",), keep: Mapping[str, str] | None = None
    ) -> list[StatementLine]:
        """The lines of the statement, split as asked."""
        wanted = {name: value for name, value in (keep or {}).items() if value}
        if self.place:
            wanted["place"] = self.place
        return statement(self.stands, self.count, self.parts, self.given, by, wanted, self.limits)


def reconciled(
    reader: Reader, cut: Cut, cut_off: CutOff, place: str = "",
    heel: Callable[[str], int] | None = None,
) -> Reconciled:  # fmt: skip
    """The count of a cut-off against the book as known at a cut, since the close before.

    `heel` tells what is left in an emptied disposable of a refrigerant, in counts.
    The workings read the movements once more: ask for them while the reader is open.
    """
    knowing = Cut("", cut.known_at)
    masters = Masters(reader, knowing, Names(reader, knowing))
    rows, moved = movements(reader, knowing, masters.names), list(placed(masters))
    causes = given(reader, knowing, masters, cut_off)
    posted = frozenset(one.entry for one in causes)
    closing = stand(rows, moved, cut_off, times_of(reader, cut_off), posted)
    found = vessels(reader, knowing, masters, cut_off)
    count = count_lines(
        tallies(reader, knowing, masters, cut_off.text), found, _without(rows, posted), closing,
        cut_off, spans(reader, knowing),
    )  # fmt: skip
    before = close_before(closes(reader, knowing, masters), cut_off, place)
    stands = Stands(closing)
    if before is not None:
        opening = stand(rows, moved, before.cut_off, times_of(reader, before.cut_off))
        signed = _as_signed(reader, before, knowing)
        stands = Stands(closing, opening, signed)
    table = levels(reader, knowing)
    bounds = {one.name: one.within.mass for one in table}
    allow = Allowances(
        heel=heel, same_scale=bounds["same-scale"], other_scale=bounds["other-scale"]
    )
    parts = _parts(reader, knowing, masters, rows, posted, count, before, allow)
    return Reconciled(cut_off, before, stands, count, parts, causes, found, limits(table), place)


def _without(rows: Movements, posted: frozenset[int]) -> Iterator[Row]:
    return (row for row in rows if row[2] not in posted)


def _as_signed(reader: Reader, before: Close, cut: Cut) -> Closing:
    """What the book had at a close, as it was known when that was signed."""
    known = min(filter(None, (before.entry, cut.known_at)))
    then = Cut("", known)
    masters = Masters(reader, then, Names(reader, then))
    moved: list[Placed] = list(placed(masters))
    rows = movements(reader, then, masters.names)
    return stand(rows, moved, before.cut_off, times_of(reader, before.cut_off))


def _parts(
    reader: Reader, cut: Cut, masters: Masters, rows: Movements, posted: frozenset[int],
    count: list[CountLine], before: Close | None, allow: Allowances,
) -> dict[str, list[Part]]:  # fmt: skip
    """The parts of the difference of every cylinder that has one."""
    apart = [line for line in count if line.difference]
    read = weights(reader, cut, masters.names)
    steps = steps_of(_without(rows, posted), read, (line.name for line in apart))
    twins = Twins(_without(rows, posted), tickets(reader, cut), hoses(reader, cut))
    since = before.cut_off if before is not None else None
    return {line.name: parts_of(line, steps[line.name], allow, twins, since) for line in apart}


def late_entries(reader: Reader, cut: Cut, before: Close) -> list[tuple[int, str, str]]:
    """Entries recorded after a close that change what was before it: number, day, verb in words.

    Movements that occurred up to its cut-off, and lines of entries before it that were taken back.
    """
    head = cut.known_at or reader.head()[0]
    rows = reader.rows(
        "SELECT m.entry, m.occurred_on, m.occurred_time, 'recorded' FROM movement m WHERE m.entry >"
        " :after AND m.entry <= :head AND m.occurred_on <= :day UNION SELECT r.entry,"
        " t.occurred_on, t.occurred_time, 'taken back' FROM reversal r JOIN movement t ON t.entry ="
        " r.target_entry AND t.line = r.target_line WHERE r.entry > :after AND r.entry <= :head AND"
        " t.occurred_on <= :day ORDER BY 1, 2, 4",
        {"after": before.entry, "head": head, "day": before.cut_off.day},
    )
    return [(entry, day, word) for entry, day, time, word in rows
            if before.cut_off.covers(day, time)]  # fmt: skip
