"""Finds what a row or a command records a second time, and keeps what a person decided about it.

Nothing is left out or taken back unasked: what looks like one job is a question, and the
answer is kept in the book for the two records, whichever of them comes first the next time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from ledger.facts.entry import Draft, Entry
from ledger.facts.facts import Attempt, Described, Fact, Movement, Reversal, Setting
from ledger.facts.mass import NOTHING
from ledger.facts.problems import Problem
from ledger.intake.job_index import Index, Row, Weeks, alike_of, pairs_of
from ledger.intake.job_records import (
    FIRST_DAY,
    LAST_DAY,
    Places,
    book_records,
    circuits_near,
    day_before,
    days_in_book,
    ordinal,
    record_of,
    records_of,
)
from ledger.intake.job_words import question, repeated, settled_away
from ledger.intake.same_job import (
    NEAR_DAYS,
    NOWHERE,
    TICKET_DAYS,
    WAYS,
    Likeness,
    Place,
    Record,
    ticket_key,
)

if TYPE_CHECKING:
    from ledger.book.reader import Reader
    from ledger.book.record import Outcome, Recorder

SETTING = "job decision"
"""The setting that keeps a decision, under a digest of the keys of the two records."""
SAME, BOTH, INSTEAD = "same", "both", "instead"
CHOICES = (SAME, BOTH, INSTEAD)
_MOST_NAMED = 5_000
"""Circuits up to which they are looked for one by one."""


@dataclass(slots=True)
class Alike:
    """An entry that may be of one job with a row: how they are alike, and in which ways."""

    like: Likeness
    ways: set[int]


Found = dict[int, Alike]
"""Entries that may be of one job with a row, the likeliest first."""


@dataclass(slots=True)
class Verdict:
    """What is to become of a row that looks like an entry.

    `entry` is that entry. With a `problem` it is asked; with a `draft` that is recorded in
    place of the row's own; else the row is a duplicate.
    """

    entry: int
    problem: Problem | None = None
    draft: Draft | None = None


def decision(one: str, other: str, answer: str, why: str) -> Setting:
    """The fact that a person decided about two records, named by their keys, in either order."""
    keys = sorted((one, other))
    name = sha256("\x1f".join(keys).encode("utf-8", "surrogatepass")).hexdigest()[:32]
    return Setting(SETTING, name, {"answer": answer, "keys": list(keys)}, why)


def decided_pairs(settings: dict[str, Any]) -> dict[str, dict[str, str]]:
    """Every decision of a book: by the key of each record, the other's key and the answer."""
    found: dict[str, dict[str, str]] = {}
    for value in settings.values():
        one, other = value["keys"]
        found.setdefault(one, {})[other] = value["answer"]
        found.setdefault(other, {})[one] = value["answer"]
    return found


@dataclass(slots=True)
class Jobs:
    """What the book and a running import hold near the rows of a batch.

    `begin` before each batch, `look` before each row is recorded, `recorded` after it, and
    `forget` when somebody else wrote to the book.
    """

    _index: Index = field(default_factory=Index)
    _places: Places | None = None
    _since: str = ""
    _until: str = ""
    _start: int = 0
    _some: bool = False
    _book_days: tuple[str, str] = ("", "")
    _decided: dict[str, dict[str, str]] = field(default_factory=dict)
    _where: dict[str, tuple[Weeks, Place]] = field(default_factory=dict)
    _rows: list[tuple[Weeks, int, int, int, str, Place, int]] = field(default_factory=list)
    _looked: Draft | None = None
    _taken_back: tuple[int, set[int]] | None = None

    def begin(
        self, recorder: Recorder, days: Iterable[str], circuits: Iterable[str] = ()
    ) -> None:  # fmt: skip
        """Hold what the book has about these days; rows of this run are held as they come.

        `circuits` are those that the rows name. Where the days go back, as with rows that were
        put off, only what is near these is read again: the book has all the others by now.
        """
        if not self._since or self._places is None or self._places.known is not recorder.known:
            self._places = Places(recorder.known)
            self._where.clear()
        self._decided = decided_pairs(recorder.known.settings(SETTING))
        there = {day for day in days if day}
        if not there:
            return
        least = min(there)
        first, last = day_before(least, TICKET_DAYS), day_before(max(there), -TICKET_DAYS)
        if not self._since or first < self._since or self._some:
            names = _near(recorder, self._places, circuits) if self._since else []
            self._some = bool(names)
            last = max(last, self._until)
            self._index = Index()
            self._where.clear()
            self._start = recorder.writer.head()[0]
            self._book_days = days_in_book(recorder.writer, self._start)
            self._load(recorder, first, last, names)
        else:
            self._index.forget_before(ordinal(least))
            if last > self._until:
                self._load(recorder, day_before(self._until, -1), last)
        self._since, self._until = first, max(last, self._until)

    def _load(
        self, recorder: Recorder, first: str, last: str, circuits: Iterable[str] = ()
    ) -> None:  # fmt: skip
        """Hold what the book had before this run; nothing is read where it has nothing there."""
        since, until = max(first, self._book_days[0]), min(last, self._book_days[1])
        if since <= until and self._places is not None:
            for record in book_records(
                recorder.writer, self._places, since, until, self._start, circuits
            ):
                self._index.add(record)

    def reach(self, recorder: Recorder, day: str) -> None:
        """Hold what the book has about a day that the batch did not speak of before."""
        if not self._since <= day_before(day, TICKET_DAYS):
            recorder.append_held()
            self.begin(recorder, [day])
        elif self._until < (last := day_before(day, -TICKET_DAYS)):
            self._load(recorder, day_before(self._until, -1), last)
            self._until = last

    def forget(self) -> None:
        """Read the book anew at the next batch."""
        self._since = self._until = ""

    def look(
        self, recorder: Recorder, draft: Draft, site: str = "", answer: str = ""
    ) -> Verdict | None:
        """What is to become of a row; None where it is like nothing and is recorded.

        `draft` has the names of the book, `site` is the site the row names, `answer` one of
        CHOICES where a person gave it.
        """
        self._taken_back = None
        self._looked = draft
        rows = self._rows
        rows.clear()
        alike: list[tuple[Record, Record, Likeness]] = []
        day, ticket = ordinal(draft.occurred_on), draft.ticket
        ticket = ticket and ticket_key(ticket)
        line = -1
        for fact in draft.facts:
            line += 1
            if type(fact) is not Movement or (way := WAYS.get(fact.purpose)) is None:
                continue
            circuit = fact.source if way == 1 else fact.target
            where = self._where.get(circuit)
            if where is None:
                where = self._place(circuit, site)
            mass = fact.mass.mass
            near = self._index.near(where[0], way, day, mass, ticket)
            rows.append((where[0], way, day, mass, ticket, where[1], line))
            if near is not None:
                alike += self._compare(draft, line, where[1], near)
        again = not rows and _row_before(draft.key) > 0 and _moves(draft)
        if not alike and not again and not answer and draft.key not in self._decided:
            return None
        recorder.append_held()
        found: Found = {}
        for one, other, like in sorted(alike, key=lambda pair: (pair[2].order, pair[1].entry)):
            found.setdefault(other.entry, Alike(like, set())).ways.add(one.way)
        if again and (number := _earlier_row(recorder, draft)):
            found[number] = Alike(Likeness(0, NOTHING), set())
        return self._verdict(recorder, draft, found, answer)

    def _place(self, circuit: str, site: str) -> tuple[Weeks, Place]:
        """Where a circuit lies in the index; kept for one that is in the book."""
        assert self._places is not None
        place = self._places.at(circuit, site)
        joined = self._index.joined
        where = (self._index.weeks(place), place)
        if joined != self._index.joined:
            self._where.clear()
        if place == NOWHERE or self._places.in_book(circuit[8:]):
            self._where[circuit] = where
        return where

    def _compare(
        self, draft: Draft, line: int, place: Place, near: list[Record | Row]
    ) -> list[tuple[Record, Record, Likeness]]:
        """A record of a row with those near it that are like it."""
        assert self._places is not None
        places = self._places
        record = record_of(draft, line, place, places)
        others = (
            one if isinstance(one, Record)
            else record_of(one.draft, one.line, one.place, places, one.entry)
            for one in near
        )  # fmt: skip
        return [(record, other, like) for other, like in alike_of(record, others)]

    def _verdict(
        self, recorder: Recorder, draft: Draft, found: Found, answer: str
    ) -> Verdict | None:
        writer, decided = recorder.writer, self._decided.get(draft.key, {})
        entries = {number: entry for number in found if (entry := writer.entry(number))}
        for key, said in decided.items():
            if said == SAME:
                earlier = writer.entry_by_key(key)
                if earlier is not None and _stands(writer, earlier):
                    return Verdict(earlier.number)
        entries = {n: entry for n, entry in entries.items() if decided.get(entry.key) != BOTH}
        kept_out = SAME in decided.values() or answer == SAME
        if not entries:
            return _gone(writer, draft, decided, answer) if kept_out else None
        number, entry = next(iter(entries.items()))
        if SAME in decided.values() or answer == SAME:
            if answer == SAME and entry.key not in decided:
                self._keep(recorder, draft, entry)
            return Verdict(number)
        if answer == BOTH:
            why = f"answered for {draft.source or draft.key}"
            said_both = [decision(draft.key, one.key, BOTH, why) for one in entries.values()]
            return Verdict(number, draft=replace(draft, facts=(*draft.facts, *said_both)))
        if answer == INSTEAD:
            ways = found[number].ways
            self._taken_back = (number, ways)
            gone = {line for line, _ in writer.reversed_lines(number)}
            back = reversal_of(entry, gone, ways, f"the same job as {draft.source}, which counts")
            return Verdict(number, draft=replace(draft, facts=(back, *draft.facts)))
        shown = question(
            draft, entry, found[number].like, found[number].ways, list(entries)[1:],
            part=len(found[number].ways) < len(self._rows),
        )  # fmt: skip
        return Verdict(number, shown)

    def _keep(self, recorder: Recorder, draft: Draft, entry: Entry) -> None:
        """Record that a row is the job of an entry, for the row itself makes no entry."""
        fact = decision(draft.key, entry.key, SAME, f"answered for {draft.source or draft.key}")
        key = f"job:{fact.key}:{recorder.writer.head()[0]}"
        day = recorder.known.today(recorder.known.shop_zone())
        recorder.must_record(Draft(key, "same job", day, (fact,)))
        self._decided.setdefault(draft.key, {})[entry.key] = SAME
        self._decided.setdefault(entry.key, {})[draft.key] = SAME

    def recorded(self, key: str, entry: int) -> None:
        """Hold what was recorded under the key of the row that was looked at last."""
        draft = self._looked
        if draft is None or draft.key != key:
            return
        put = self._index.put
        for weeks, way, day, mass, ticket, place, line in self._rows:
            put(weeks, way, day, mass, ticket, Row(draft, line, way, place, entry))
        self._rows.clear()
        if self._taken_back is not None:
            self._index.remove(*self._taken_back)
            self._taken_back = None


def _moves(draft: Draft) -> bool:
    """Whether a draft moves refrigerant, or tried to."""
    return any(isinstance(fact, Movement | Attempt) for fact in draft.facts)


def _row_before(key: str) -> int:
    """How many identical rows of its file stand before the row of a key."""
    parts = key.split(":")
    times = parts[3].partition("~")[0] if parts[0] == "import" and len(parts) > 3 else ""
    return int(times) - 1 if times.isdecimal() else 0


def _earlier_row(recorder: Recorder, draft: Draft) -> int:
    """The entry of the row before, among identical ones of a file; 0 where it has none."""
    head = ":".join(draft.key.split(":")[:3])
    keys = [f"{head}:{number + 1}" for number in range(_row_before(draft.key))]
    present = recorder.writer.keys_present(keys)
    standing = [
        number for number in present.values()
        if (entry := recorder.writer.entry(number)) and _stands(recorder.writer, entry)
    ]  # fmt: skip
    return max(standing, default=0)


def _stands(reader: Reader, entry: Entry) -> bool:
    """Whether any movement of an entry still counts."""
    gone = {line for line, _ in reader.reversed_lines(entry.number)}
    return any(
        line not in gone and isinstance(fact, Movement | Attempt)
        for line, fact in enumerate(entry.facts())
    )


def _gone(reader: Reader, draft: Draft, decided: dict[str, str], answer: str) -> Verdict | None:
    """The question about a row whose entry was taken back since it was said to be its job."""
    if answer == BOTH:
        return None
    for key, said in decided.items():
        earlier = reader.entry_by_key(key)
        if said == SAME and earlier is not None:
            by = sorted({by for _, by in reader.reversed_lines(earlier.number)})
            return Verdict(earlier.number, settled_away(draft, earlier.number, by))
    return Verdict(0, settled_away(draft, 0, []))


def job_ways(entry: Entry, gone: set[int]) -> set[int]:
    """The ways of the charges and recoveries of an entry but for the lines taken back."""
    return {
        WAYS[purpose] for line, fact in enumerate(entry.facts())
        if line not in gone and (purpose := _purpose(fact)) in WAYS
    }  # fmt: skip


def reversal_of(entry: Entry, gone: set[int], ways: set[int], why: str) -> Reversal:
    """What takes back the job of an entry: the movements that are alike, with what goes along.

    `gone` are the lines taken back already. Where movements of other `ways` stand in the
    entry, only those alike are taken back, and the differences posted for their cylinders.
    """
    facts = entry.facts()
    standing = [line for line in range(len(facts)) if line not in gone]
    jobs = [line for line in standing if _purpose(facts[line]) in WAYS]
    ours = [line for line in jobs if WAYS[_purpose(facts[line])] in ways] or jobs
    if len(ours) == len(jobs):
        lines = [line for line in standing if not _stays(facts[line])]
    else:
        sides = {side for line in ours for side in _sides(facts[line])}
        lines = sorted({*ours, *(
            line for line in standing
            if _purpose(facts[line]) == "difference" and sides & set(_sides(facts[line]))
        )})  # fmt: skip
    return Reversal(entry.number, tuple(lines), why)


def _purpose(fact: Fact) -> str:
    return fact.purpose if isinstance(fact, Movement) else ""


def _sides(fact: Fact) -> list[str]:
    ends = [fact.source, fact.target] if isinstance(fact, Movement) else []
    return [end for end in ends if end.startswith("cylinder:")]


def _stays(fact: Fact) -> bool:
    """What was begun or decided with a job stays: others may rest on it."""
    return isinstance(fact, Reversal | Setting) or (isinstance(fact, Described) and bool(fact.new))


def typed_twice(recorder: Recorder, outcome: Outcome, dry_run: bool = False) -> str:
    """One line where an entry just typed looks like one that is there, else empty.

    Only what an index finds is looked at: the same circuit, and houses of the same number.
    The command that settles it is named but in a dry run.
    """
    if outcome.entry is None:
        return ""
    writer, known = recorder.writer, recorder.known
    places = Places(known)
    number = outcome.entry.number
    records = records_of(outcome.draft, places, entry=number)
    if not records:
        return ""
    names = sorted({
        name for fact in outcome.draft.facts if _purpose(fact) in WAYS
        for name in _circuits(recorder, fact, places)
    })  # fmt: skip
    if not names:
        return ""
    day = outcome.draft.occurred_on
    days = TICKET_DAYS if outcome.draft.ticket else NEAR_DAYS
    index = Index()
    for record in book_records(
        writer, places, day_before(day, days), day_before(day, -days), number - 1, names
    ):
        index.add(record)
    decided = decided_pairs(known.settings(SETTING)).get(outcome.draft.key, {})
    for record in records:
        for other, like in index.like(record):
            entry = writer.entry(other.entry)
            if entry is not None and entry.key not in decided:
                return repeated(entry, other, like, 0 if dry_run else number)
    return ""


def _near(recorder: Recorder, places: Places, circuits: Iterable[str]) -> list[str]:
    """The circuits that may be meant by any of these names; empty for all of the book."""
    names: set[str] = set()
    for circuit in set(circuits):
        if not circuit or len(names) > _MOST_NAMED:
            return []
        names.update(recorder.known.names_of("circuit", circuit))
        names.update(circuits_near(recorder.writer, places.of(circuit)))
    return sorted(names)


def _circuits(recorder: Recorder, fact: Fact, places: Places) -> Iterator[str]:
    assert isinstance(fact, Movement)
    for side in (fact.source, fact.target):
        if side.startswith("circuit:"):
            yield from recorder.known.names_of("circuit", side[8:])
            yield from circuits_near(recorder.writer, places.of(side[8:]))


def undecided(
    reader: Reader, places: Places, since: str = "", until: str = ""
) -> list[tuple[Record, Record, Likeness]]:
    """Every two records of a book that may be of one job and were not decided, by day.

    `since` and `until` are days between which the later record of a pair lies.
    """
    first = day_before(since, TICKET_DAYS) if since else FIRST_DAY
    records = book_records(reader, places, first, until or LAST_DAY)
    decided = decided_pairs(places.known.settings(SETTING))
    keys: dict[int, str] = {}

    def key_of(number: int) -> str:
        if number not in keys:
            entry = reader.entry(number)
            keys[number] = entry.key if entry is not None else ""
        return keys[number]

    found = []
    for one, other, like in pairs_of(records):
        if since and max(one.day, other.day) < ordinal(since):
            continue
        if decided and key_of(other.entry) in decided.get(key_of(one.entry), {}):
            continue
        found.append((one, other, like) if one.entry < other.entry else (other, one, like))
    return found
