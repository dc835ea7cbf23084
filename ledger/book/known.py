"""What the book knows, read as it is asked for and kept while one unit of work lasts."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from functools import partial
from typing import Any

from sqlalchemy import Connection, and_, exists, select, union_all

from ledger.book.known_services import SERVICES, Services
from ledger.book.projections import LARGEST_COUNT
from ledger.book.schema import described, movement, reversal, service
from ledger.facts.calendar import local_date
from ledger.facts.case_checks import Earlier
from ledger.facts.checks import cylinder_line, cylinders_of
from ledger.facts.contents import Contents, Line, line_of
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Fact, Joined, Movement, Reversal, Setting
from ledger.facts.fill_guard import FILLED_HERE
from ledger.facts.fill_limit import Filling
from ledger.facts.masters import Master, folded
from ledger.facts.nearby import Nearby
from ledger.facts.settle import Ledger, Undo
from ledger.refrigerants.register import register

_ABSENT = object()


_SIDES = (
    (movement.c.source_kind, movement.c.source_name, -1),
    (movement.c.target_kind, movement.c.target_name, 1),
)
_LINE = (movement.c.occurred_on, movement.c.occurred_time, movement.c.entry, movement.c.line)
_WHAT = (movement.c.refrigerant, movement.c.stock, movement.c.owner)
_CHUNK = 400
"""Names asked for in one query; both engines take as many parameters."""


def _chunks(names: list[str]) -> Iterator[list[str]]:
    for start in range(0, len(names), _CHUNK):
        yield names[start : start + _CHUNK]


class BookKnown(Ledger):
    """Masters, contents and settings of a book, read lazily through one connection.

    `moment` is now, aware; `zone` the shop's time zone. Reversed lines do not count. With
    `before`, an entry number, only what was recorded before that entry is known: the way to
    read a retried command as it was read the first time.
    """

    def __init__(
        self, connection: Connection, moment: datetime, zone: str, before: int = 0
    ) -> None:
        self.connection = connection
        self.moment = moment
        self.zone = zone
        self._before = before or LARGEST_COUNT
        self._masters: dict[tuple[str, str], Master | None] = {}
        self._contents: dict[str, Contents] = {}
        self._circuits: dict[str, list[str]] = {}
        self._lettered: dict[str, list[str]] | None = None
        self._nearby: dict[str, Nearby] = {}
        self._today: dict[str, str] = {}
        self._names: dict[tuple[str, str], str] = {}
        self._gone: set[tuple[int, int]] = set()
        self._events = Services()
        self.unmeasured: dict[str, None] = {}
        """Cylinders that were filled and have no water capacity: no limit was looked at."""
        self._kept = self._read_joined()
        self._settings = self._read_settings()

    # -- reading -------------------------------------------------------------------------

    def _standing(self, table: Any) -> Any:
        """The condition that a line was recorded and has not been reversed."""
        gone = select(1).where(
            reversal.c.target_entry == table.c.entry, reversal.c.target_line == table.c.line,
            reversal.c.entry < self._before,
        )  # fmt: skip
        return and_(table.c.entry < self._before, ~exists(gone))

    def _services(self, kind: str) -> Iterable[dict[str, Any]]:
        rows = self.connection.execute(
            select(service.c.body)
            .where(service.c.type == kind, self._standing(service))
            .order_by(service.c.entry, service.c.line)
        )
        return [json.loads(body) for (body,) in rows]

    def _read_joined(self) -> dict[tuple[str, str], str]:
        return {
            (body["kind"], folded(body["name"])): body["kept"]
            for body in self._services(Joined.TYPE)
        }

    def _read_settings(self) -> dict[str, dict[str, Any]]:
        settings: dict[str, dict[str, Any]] = defaultdict(dict)
        for body in self._services(Setting.TYPE):
            settings[body["setting"]][body["key"]] = body["value"]
        return settings

    def read_ahead_all(self, names: Mapping[str, Iterable[str]]) -> None:
        """Read many records by kind, and the contents of the cylinders, in a few queries."""
        for kind, some in names.items():
            self.read_ahead(kind, some)
        self.read_ahead("unit", {name.split("/")[0] for name in names.get("circuit", ())})
        wanted = {
            master.name
            for name in names.get("cylinder", ())
            if (master := self.master("cylinder", name)) is not None
        }
        joined = {kept for (kind, _), kept in self._kept.items() if kind == "cylinder"}
        self._read_contents_ahead(sorted(wanted - joined - self._contents.keys()))

    def read_ahead(self, kind: str, names: Iterable[str]) -> None:
        """Read many records of a kind in a few queries; joined ones are read as they are met."""
        folds = sorted({folded(name) for name in names})
        aliases = self._settings.get("alias", {})
        new = [
            fold
            for fold in folds
            if (kind, fold) not in self._masters
            and (kind, fold) not in self._kept
            and f"{kind}:{fold}" not in aliases
        ]
        for some in _chunks(new):
            found: dict[str, Master] = {}
            rows = self.connection.execute(
                select(
                    described.c.entry, described.c.line, described.c.name, described.c.folded,
                    described.c.since, described.c.provisional, described.c.fields,
                )
                .where(
                    described.c.kind == kind,
                    described.c.folded.in_(some),
                    self._standing(described),
                )
                .order_by(described.c.entry, described.c.line)
            )  # fmt: skip
            for entry, line, name, fold, since, provisional, fields in rows:
                if (entry, line) not in self._gone:
                    master = found.setdefault(fold, Master(kind, name))
                    master.describe(json.loads(fields), since, provisional == "yes", entry, line)
            for fold in some:
                self._masters[kind, fold] = found.get(fold)

    def _read_contents_ahead(self, cylinders: list[str]) -> None:
        for some in _chunks(cylinders):
            found: dict[str, list[Line]] = {name: [] for name in some}
            for kind, name, sign in _SIDES:
                rows = self.connection.execute(
                    select(name, *_LINE, (sign * movement.c.mass).label("change"), *_WHAT).where(
                        kind == "cylinder", name.in_(some), self._standing(movement)
                    )
                )
                for cylinder, day, time, entry, line, change, *what in rows:
                    if (entry, line) not in self._gone:
                        found[cylinder].append(line_of(day, time, entry, line, change, *what))
            for cylinder, lines in found.items():
                self._contents[cylinder] = Contents.of(lines)

    def _read_master(self, kind: str, fold: str) -> Master | None:
        rows = self.connection.execute(
            select(
                described.c.entry, described.c.line, described.c.name, described.c.since,
                described.c.provisional, described.c.fields,
            )
            .where(
                described.c.kind == kind, described.c.folded == fold, self._standing(described)
            )
            .order_by(described.c.entry, described.c.line)
        )  # fmt: skip
        master: Master | None = None
        for entry, line, name, since, provisional, fields in rows:
            if (entry, line) in self._gone:
                continue
            master = master or Master(kind, name)
            master.describe(json.loads(fields), since, provisional == "yes", entry, line)
        return master

    def _read_contents(self, cylinder: str) -> Contents:
        names = self.names_of("cylinder", cylinder)
        sides = [
            select(*_LINE, (sign * movement.c.mass).label("change"), *_WHAT).where(
                and_(kind == "cylinder", name.in_(names), self._standing(movement))
            )
            for kind, name, sign in _SIDES
        ]
        rows = self.connection.execute(union_all(*sides))
        lines = [line_of(*row) for row in rows]
        return Contents.of([line for line in lines if (line.entry, line.line) not in self._gone])

    # -- Known ---------------------------------------------------------------------------

    def names_of(self, kind: str, name: str) -> list[str]:
        """The name and every record joined into it, as they were written in the journal."""
        joined: list[str] = []
        into = {folded(name)}
        while more := [
            fold for (what, fold), kept in self._kept.items()
            if what == kind and folded(kept) in into and fold not in into
        ]:  # fmt: skip
            joined += more
            into |= set(more)
        if not joined:
            return [name]
        rows = self.connection.execute(
            select(described.c.name).where(
                described.c.kind == kind, described.c.folded.in_(joined)
            ).distinct()
        )  # fmt: skip
        return [name, *(row[0] for row in rows)]

    def master(self, kind: str, name: str) -> Master | None:
        key = (kind, folded(name))
        found = None if key in self._kept else self._masters.get(key)
        return found or self._followed(key)

    def _followed(self, key: tuple[str, str]) -> Master | None:
        """The record behind a name: joined ones followed, then the user's own names."""
        seen = set()
        while key not in seen:
            seen.add(key)
            meant = self._kept.get(key)
            if meant is None:
                if key not in self._masters:
                    self._masters[key] = self._read_master(*key)
                if (found := self._masters[key]) is not None:
                    return found
                meant = self._settings.get("alias", {}).get(f"{key[0]}:{key[1]}")
            if not meant:
                return None
            key = (key[0], folded(meant))
        return None

    def settled_names(self) -> dict[tuple[str, str], str]:
        return self._names

    def near(self, kind: str, name: str) -> list[str]:
        if kind not in self._nearby:
            rows = self.connection.execute(
                select(described.c.name)
                .where(described.c.kind == kind, self._standing(described))
                .distinct()
            )
            taken = {m.name for (k, _), m in self._masters.items() if k == kind and m is not None}
            self._nearby[kind] = Nearby(sorted({row[0] for row in rows} | taken))
        found = (self.master(kind, one) for one in self._nearby[kind].to(name))
        return list(dict.fromkeys(master.name for master in found if master is not None))

    def names_where(self, kind: str, field: str, value: str) -> list[str]:
        """The names of a kind whose latest value of a text field is this one, in order."""
        rows = self.connection.execute(
            select(described.c.name)
            .where(described.c.kind == kind, self._standing(described))
            .distinct()
        )
        found = (self.master(kind, name) for (name,) in rows)
        return sorted({one.name for one in found if one is not None and one.text(field) == value})

    def circuits_of(self, unit: str) -> list[str]:
        master = self.master("unit", unit)
        if master is None:
            return []
        fold = folded(master.name)
        if fold not in self._circuits:
            names = [fold, *self._with_letters().get(fold, ())]
            found = {m.name for n in names if (m := self.master("circuit", n)) is not None}
            self._circuits[fold] = sorted(found)
        return self._circuits[fold]

    def _with_letters(self) -> dict[str, list[str]]:
        """The circuits named as UNIT/LETTER, by unit, read in one go: most units have none."""
        if self._lettered is None:
            self._lettered = defaultdict(list)
            rows = self.connection.execute(
                select(described.c.folded)
                .where(described.c.kind == "circuit", described.c.folded.contains("/"))
                .distinct()
            )
            for (fold,) in rows:
                self._lettered[fold.split("/")[0]].append(fold)
        return self._lettered

    def contents(self, cylinder: str) -> Contents:
        if cylinder not in self._contents:
            self._contents[cylinder] = self._read_contents(cylinder)
        return self._contents[cylinder]

    def services_of(self, circuit: str) -> list[Earlier]:
        names = self.names_of("circuit", circuit)
        return self._events.of(self.connection, self._standing(service), names, self._gone)

    def pressure_class(self, refrigerant: str) -> str:
        found = register().get(refrigerant)
        return found.pressure_class if found else ""

    def flammable(self, refrigerant: str) -> bool:
        found = register().get(refrigerant)
        return bool(found and found.flammable)

    def filling(self, refrigerants: tuple[str, ...]) -> Filling:
        # Most entries fill no cylinder with a water capacity: the tables are not loaded for them.
        from ledger.properties.filling import filling

        return filling(refrigerants)

    def today(self, zone: str) -> str:
        if zone not in self._today:
            self._today[zone] = local_date(self.moment, zone).isoformat()
        return self._today[zone]

    def shop_zone(self) -> str:
        return self.zone

    def reversed_lines(self, number: int) -> set[int]:
        """The lines of an entry that were taken back."""
        rows = self.connection.execute(
            select(reversal.c.target_line).where(
                reversal.c.target_entry == number, reversal.c.entry < self._before
            )
        )
        return {line for (line,) in rows}

    def setting(self, setting: str, key: str) -> Any:
        """The value of a setting in this book, or None."""
        return self._settings.get(setting, {}).get(key)

    def settings(self, setting: str) -> dict[str, Any]:
        """Every key and value of one kind of setting."""
        return self._settings.get(setting, {})

    # -- taking facts in -----------------------------------------------------------------

    def touch(self, facts: Iterable[Fact]) -> None:
        """Read what the facts will change, before they are written."""
        for fact in facts:
            if isinstance(fact, Movement):
                for name, _ in cylinders_of(fact):
                    self.contents(name)
            elif isinstance(fact, Described):
                self.master(fact.kind, fact.name)

    def take(self, draft: Draft, entry: int, line: int, fact: Fact) -> list[Undo]:
        undo: list[Undo] = []
        if isinstance(fact, Movement):
            gone = {(entry, line)}
            for name, sign in cylinders_of(fact):
                contents = self.contents(name)
                contents.add(cylinder_line(draft, entry, line, fact, sign))
                undo.append(partial(contents.remove, gone))
                if sign > 0 and fact.purpose in FILLED_HERE:
                    self._note_unmeasured(name)
            return undo
        if isinstance(fact, SERVICES):
            self._events.take(draft, entry, line, fact)
            return [partial(self._events.give_back, fact.circuit, entry, line)]
        self.touch([fact])
        if isinstance(fact, Described):
            undo += self._take_described(entry, line, fact)
        elif isinstance(fact, Setting):
            self._names.clear()
            undo += [self._names.clear, _put(self._settings[fact.setting], fact.key, fact.value)]
        elif isinstance(fact, Reversal):
            undo.append(self._take_reversal(fact))
        elif isinstance(fact, Joined) and folded(fact.name) != folded(fact.kept):
            undo += self._take_joined(fact)
        return undo

    def _note_unmeasured(self, name: str) -> None:
        cylinder = self.master("cylinder", name)
        if cylinder is not None and "water capacity" not in cylinder.history:
            self.unmeasured[cylinder.name] = None

    def _take_joined(self, fact: Joined) -> list[Undo]:
        """Two records count as one; what two cylinders hold is in the one that is kept."""
        undo = [self._drop_names]
        if fact.kind == "cylinder":
            lines = [*self.contents(fact.name).lines, *self.contents(fact.kept).lines]
            undo.append(_put(self._contents, fact.kept, Contents.of(lines)))
        undo.append(_put(self._kept, (fact.kind, folded(fact.name)), fact.kept))
        self._drop_names()
        return undo

    def _drop_names(self) -> None:
        """Drop what was worked out from names, not what was read."""
        self._circuits.clear()
        self._names.clear()

    def _take_reversal(self, fact: Reversal) -> Undo:
        """Lines about to be reversed stop counting; a reversal is the first fact of its entry."""
        lines = {(fact.entry, line) for line in fact.lines} - self._gone
        self._gone |= lines
        self._drop()

        def undo() -> None:
            self._gone -= lines
            self._drop()

        return undo

    def _drop(self) -> None:
        self._masters.clear()
        self._contents.clear()
        self._circuits.clear()
        self._lettered = None
        self._nearby.clear()
        self._names.clear()

    def _take_described(self, entry: int, line: int, fact: Described) -> list[Undo]:
        key = (fact.kind, folded(fact.name))
        before = self._masters.get(key)
        after = Master(fact.kind, fact.name) if before is None else _copy(before)
        after.describe(fact.fields, fact.since, fact.provisional == "yes", entry, line)
        self._masters[key] = after
        self._names.clear()
        undo: list[Undo] = []
        if before is None and (nearby := self._nearby.get(fact.kind)) is not None:
            nearby.add(fact.name)
            undo.append(partial(nearby.remove, fact.name))
        if before is None and fact.kind == "circuit":
            undo.append(self._take_circuit(key[1]))

        def restore() -> None:
            self._masters[key] = before
            self._names.clear()

        return [restore, *undo]

    def _take_circuit(self, fold: str) -> Undo:
        """A new circuit counts among those of its unit."""
        unit = fold.split("/")[0]
        self._circuits.pop(unit, None)
        lettered = self._with_letters().setdefault(unit, [])
        added = "/" in fold and fold not in lettered
        if added:
            lettered.append(fold)

        def undo() -> None:
            self._circuits.pop(unit, None)
            if added:
                lettered.remove(fold)

        return undo

    def forget(self) -> None:
        """Drop everything read, after a reversal, a join or another writer's entries."""
        self._drop()
        self._events.forget()
        self._gone.clear()
        self._kept = self._read_joined()
        self._settings = self._read_settings()


def _put(where: dict[Any, Any], key: Any, value: Any) -> Undo:
    """Set a value; the returned step puts back what was there."""
    before = where.get(key, _ABSENT)
    where[key] = value

    def undo() -> None:
        if before is _ABSENT:
            del where[key]
        else:
            where[key] = before

    return undo


def _copy(master: Master) -> Master:
    history = {name: list(values) for name, values in master.history.items()}
    return Master(master.kind, master.name, master.provisional, history, list(master.entries))
