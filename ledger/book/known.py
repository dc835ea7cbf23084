"""What the book knows, read as it is asked for and kept while one unit of work lasts."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, and_, exists, select, union_all

from ledger.book.schema import described, movement, reversal, service
from ledger.facts.calendar import local_date
from ledger.facts.checks import cylinder_line, cylinders_of
from ledger.facts.contents import Contents, line_of
from ledger.facts.entry import Draft
from ledger.facts.facts import Described, Fact, Joined, Movement, Reversal, Setting
from ledger.facts.masters import Master, folded
from ledger.facts.nearby import Nearby
from ledger.facts.settle import Ledger, Undo
from ledger.refrigerants.register import register


def _standing(table: Any) -> Any:
    """The condition that a line has not been reversed."""
    gone = select(1).where(
        reversal.c.target_entry == table.c.entry, reversal.c.target_line == table.c.line
    )
    return ~exists(gone)


class BookKnown(Ledger):
    """Masters, contents and settings of a book, read lazily through one connection.

    `moment` is now, aware; `zone` the shop's time zone. Reversed lines do not count.
    """

    def __init__(self, connection: Connection, moment: datetime, zone: str) -> None:
        self.connection = connection
        self.moment = moment
        self.zone = zone
        self._masters: dict[tuple[str, str], Master | None] = {}
        self._contents: dict[str, Contents] = {}
        self._circuits: dict[str, list[str]] = {}
        self._nearby: dict[str, Nearby] = {}
        self._today: dict[str, str] = {}
        self._gone: set[tuple[int, int]] = set()
        self._kept = self._read_joined()
        self._settings = self._read_settings()

    # -- reading -------------------------------------------------------------------------

    def _services(self, kind: str) -> Iterable[dict[str, Any]]:
        rows = self.connection.execute(
            select(service.c.body)
            .where(service.c.type == kind, _standing(service))
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

    def _read_master(self, kind: str, fold: str) -> Master | None:
        rows = self.connection.execute(
            select(
                described.c.entry, described.c.line, described.c.name, described.c.since,
                described.c.provisional, described.c.fields,
            )
            .where(described.c.kind == kind, described.c.folded == fold, _standing(described))
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
        sides = []
        for kind, name, sign in (
            (movement.c.source_kind, movement.c.source_name, -1),
            (movement.c.target_kind, movement.c.target_name, 1),
        ):
            sides.append(
                select(
                    movement.c.occurred_on, movement.c.occurred_time, movement.c.entry,
                    movement.c.line, (sign * movement.c.mass).label("change"),
                    movement.c.refrigerant, movement.c.stock, movement.c.owner,
                ).where(and_(kind == "cylinder", name.in_(self.names_of("cylinder", cylinder))),
                        _standing(movement))
            )  # fmt: skip
        rows = self.connection.execute(union_all(*sides))
        lines = [line_of(*row) for row in rows]
        return Contents.of([line for line in lines if (line.entry, line.line) not in self._gone])

    # -- Known ---------------------------------------------------------------------------

    def names_of(self, kind: str, name: str) -> list[str]:
        """The name and every record joined into it, as they were written in the journal."""
        joined = [k for (what, k), kept in self._kept.items() if what == kind and kept == name]
        if not joined:
            return [name]
        rows = self.connection.execute(
            select(described.c.name).where(
                described.c.kind == kind, described.c.folded.in_(joined)
            ).distinct()
        )  # fmt: skip
        return [name, *(row[0] for row in rows)]

    def master(self, kind: str, name: str) -> Master | None:
        fold = folded(name)
        key = (kind, fold)
        if key in self._masters:
            return self._masters[key]
        alias = self._settings.get("alias", {}).get(f"{kind}:{fold}")
        kept = self._kept.get(key) or alias
        found = self._read_master(kind, fold) if not kept else self.master(kind, kept)
        self._masters[key] = found
        return found

    def near(self, kind: str, name: str) -> list[str]:
        if kind not in self._nearby:
            rows = self.connection.execute(
                select(described.c.name).where(described.c.kind == kind).distinct()
            )
            self._nearby[kind] = Nearby(sorted(row[0] for row in rows))
        return self._nearby[kind].to(name)

    def circuits_of(self, unit: str) -> list[str]:
        master = self.master("unit", unit)
        if master is None:
            return []
        fold = folded(master.name)
        if fold not in self._circuits:
            inside = and_(described.c.folded > f"{fold}/", described.c.folded < f"{fold}0")
            rows = self.connection.execute(
                select(described.c.name)
                .where(described.c.kind == "circuit", (described.c.folded == fold) | inside)
                .distinct()
            )
            names = {m.name for (n,) in rows if (m := self.master("circuit", n)) is not None}
            self._circuits[fold] = sorted(names)
        return self._circuits[fold]

    def contents(self, cylinder: str) -> Contents:
        if cylinder not in self._contents:
            self._contents[cylinder] = self._read_contents(cylinder)
        return self._contents[cylinder]

    def pressure_class(self, refrigerant: str) -> str:
        found = register().get(refrigerant)
        return found.pressure_class if found else ""

    def flammable(self, refrigerant: str) -> bool:
        found = register().get(refrigerant)
        return bool(found and found.flammable)

    def today(self, zone: str) -> str:
        if zone not in self._today:
            self._today[zone] = local_date(self.moment, zone).isoformat()
        return self._today[zone]

    def shop_zone(self) -> str:
        return self.zone

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
                if fact.kind == "circuit":
                    self.circuits_of(fact.name.split("/")[0])

    def take(self, draft: Draft, entry: int, line: int, fact: Fact) -> list[Undo]:
        self.touch([fact])
        undo: list[Undo] = []
        if isinstance(fact, Movement):
            gone = {(entry, line)}
            for name, sign in cylinders_of(fact):
                contents = self.contents(name)
                contents.add(cylinder_line(draft, entry, line, fact, sign))
                undo.append(lambda contents=contents: contents.remove(gone))  # type: ignore[misc]
        elif isinstance(fact, Described):
            undo += self._take_described(entry, line, fact)
        elif isinstance(fact, Setting):
            self._settings[fact.setting][fact.key] = fact.value
            self._masters.clear()
        elif isinstance(fact, Reversal):
            undo.append(self._take_reversal(fact))
        elif isinstance(fact, Joined):
            undo.append(self.forget)
        return undo

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
        self._nearby.clear()

    def _take_described(self, entry: int, line: int, fact: Described) -> list[Undo]:
        key = (fact.kind, folded(fact.name))
        before = self._masters.get(key)
        after = Master(fact.kind, fact.name) if before is None else _copy(before)
        after.describe(fact.fields, fact.since, fact.provisional == "yes", entry, line)
        self._masters[key] = after
        unit = folded(fact.name.split("/")[0])
        circuits = self._circuits.pop(unit, None) if fact.kind == "circuit" else None
        if circuits is not None:
            self._circuits[unit] = sorted({*circuits, after.name})
        if fact.kind in self._nearby:
            self._nearby[fact.kind].add(fact.name)

        def undo() -> None:
            self._masters[key] = before
            if circuits is not None:
                self._circuits[unit] = circuits

        return [undo]

    def forget(self) -> None:
        """Drop everything read, after a reversal, a join or another writer's entries."""
        self._drop()
        self._gone.clear()
        self._kept = self._read_joined()
        self._settings = self._read_settings()


def _copy(master: Master) -> Master:
    history = {name: list(values) for name, values in master.history.items()}
    return Master(master.kind, master.name, master.provisional, history, list(master.entries))
