"""The book against cylinders on scales: after any commands it holds what the scales say.

The normal run takes 500 commands a seed; TAREBOOK_SOAK=1 in the environment takes 10,000.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ledger.answers.balances import Asked
from ledger.book.engine import BookPlace
from ledger.book.journal import Book
from ledger.book.known import BookKnown
from ledger.book.reading import Cut, balances_of, inventory_of, pounds_of
from ledger.book.record import Outcome, Recorder
from ledger.facts.facts import Movement, Reversal
from ledger.facts.mass import Mass, Quantity
from tests.oracle.cylinder_world import Command, Cylinder, World

COMMANDS = 10_000 if os.environ.get("TAREBOOK_SOAK") == "1" else 500
NOW = datetime(2026, 6, 30, 16, tzinfo=UTC)


class Office:
    """Types the commands of a world into a book: late, twice, wrongly, and puts them right."""

    def __init__(self, world: World, recorder: Recorder) -> None:
        self.world = world
        self.recorder = recorder
        self.keys = 0
        self.waiting: list[Command] = []
        self.slips: list[int] = []
        self.refused = self.reversed = self.corrected = self.late = 0

    def type(self, command: Command, *before: Reversal) -> Outcome:
        """Record one command under a key of its own."""
        self.keys += 1
        return self.recorder.record(command.draft(f"k{self.keys}", *before))

    def run(self) -> None:
        """All commands of the world, and what else a shop types meanwhile."""
        choose, held_back = self.world.random, list[tuple[int, Command]]()
        for number in range(self.world.commands):
            command = self.world.next()
            if choose.random() < 0.15:
                held_back.append((number + choose.randrange(1, 40), command))
                self.late += 1
            else:
                self._true(command)
            if choose.random() < 0.1:
                self._refuse(self.world.nonsense(command.day))
            if choose.random() < 0.1:
                self._slip(self.world.slip(command.day))
            due = [one for at, one in held_back if at <= number]
            held_back = [(at, one) for at, one in held_back if at > number]
            for one in due:
                self._true(one)
            self._catch_up()
        for _, one in held_back:
            self._true(one)
        while self.waiting or self.slips:
            left = len(self.waiting) + len(self.slips)
            self._catch_up(everything=True)
            assert len(self.waiting) + len(self.slips) < left, "what really happened is refused"

    def _true(self, command: Command) -> None:
        """Record what happened, now and then with a wrong amount first."""
        if self.world.random.random() < 0.1 and self._wrong_first(command):
            return
        outcome = self.type(command)
        if outcome.problems:
            # Something that happened before is not in the book yet, or never happened.
            assert {problem.code for problem in outcome.problems} == {"cylinder-short"}
            self.waiting.append(command)

    def _wrong_first(self, command: Command) -> bool:
        """Record a command with half its amount, then correct it in one entry."""
        (move,) = command.facts
        assert isinstance(move, Movement)
        half = Mass(move.mass.mass // 2)
        wrong = replace(move, mass=Quantity(half, "half"), evidence=None)
        outcome = self.type(replace(command, facts=(wrong,))) if half else None
        if outcome is None or outcome.entry is None:
            return False
        undo = Reversal(outcome.entry.number, (0,), "half of it was keyed")
        if self.type(command, undo).problems:
            self.slips.append(outcome.entry.number)
            self.waiting.append(command)
        self.corrected += 1
        return True

    def _refuse(self, command: Command) -> None:
        head = self.recorder.writer.head()
        outcome = self.type(command)
        assert outcome.problems and outcome.entry is None
        assert self.recorder.writer.head() == head
        self.refused += 1

    def _slip(self, command: Command) -> None:
        outcome = self.type(command)
        if outcome.entry is not None:
            self.slips.append(outcome.entry.number)

    def _catch_up(self, everything: bool = False) -> None:
        """Try again what was refused, and take back slips that were noticed."""
        again, self.waiting = self.waiting, []
        for command in again:
            if self.type(command).problems:
                self.waiting.append(command)
        noticed, self.slips = self.slips, []
        for entry in noticed:
            if not everything and self.world.random.random() < 0.9:
                self.slips.append(entry)
                continue
            self.keys += 1
            undo = Command("2026-06-01", "", "reverse", (Reversal(entry, (0,), "a slip"),))
            if self.type(undo).problems:
                self.slips.append(entry)
            else:
                self.reversed += 1


@pytest.fixture(scope="module", params=[11, 12, 13])
def shop(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Office, Book]]:
    """A world and the book its office kept."""
    file: Path = tmp_path_factory.mktemp("world") / "shop.db"
    world = World(request.param, COMMANDS)
    with Book.create(BookPlace(file=file), "UTC", "Shop", "office", NOW) as book:
        with book.writing() as writer:
            recorder = Recorder(writer, BookKnown(writer.connection, NOW, "UTC"), NOW)
            office = Office(world, recorder)
            masters = Command("2024-01-01", "", "add", tuple(world.masters()))
            assert not office.type(masters).problems
            office.run()
        yield office, book


def test_the_office_made_every_kind_of_trouble(shop: tuple[Office, Book]) -> None:
    office, _ = shop
    assert min(office.refused, office.reversed, office.corrected, office.late) > COMMANDS // 40


def test_every_cylinder_holds_what_its_scale_says(shop: tuple[Office, Book]) -> None:
    office, book = shop
    with book.reading() as reader:
        held = {one.key[0]: one.closing for one in balances_of(reader, Cut(), Asked(("cylinder",)))}
    for one in office.world.cylinders:
        assert held.get(one.name, 0) == one.net * one.pool.step, one.name


@pytest.mark.parametrize("day", ["2024-02-01", "2024-09-15", "2025-03-31", "2025-08-08"])
def test_it_held_what_the_scale_said_on_any_day(shop: tuple[Office, Book], day: str) -> None:
    office, book = shop
    with book.reading() as reader:
        held = {
            one.key[0]: one.closing for one in balances_of(reader, Cut(day), Asked(("cylinder",)))
        }
    for one in office.world.cylinders:
        assert held.get(one.name, 0) == one.truth(day), one.name


def test_the_list_finds_no_difference_to_the_last_weighing(shop: tuple[Office, Book]) -> None:
    """Where several things were done on that day and the times are not known, it cannot tell."""
    office, book = shop
    cylinders, looked_at = {one.name: one for one in office.world.cylinders}, 0
    with book.reading() as reader:
        lines = inventory_of(reader, Cut())
    for line in lines:
        one, weighed = cylinders[line.name], line.cylinder.weighed
        if weighed is not None and one.changes[weighed.day] == 1:
            looked_at += 1
            assert weighed.gross.mass - line.book_then == one.tare * one.pool.step, one.name
    assert looked_at > len(cylinders) // 3


def test_contents_belong_to_one_owner_and_never_mix(shop: tuple[Office, Book]) -> None:
    office, book = shop
    owners = {one.name: one for one in office.world.cylinders}
    asked = Asked(("cylinder", "refrigerant", "stock", "owner"))
    with book.reading() as reader:
        found = [one for one in balances_of(reader, Cut(), asked) if one.closing]
    for balance in found:
        one: Cylinder = owners[balance.key[0]]
        assert balance.key[1:] == (
            one.pool.refrigerant, "recovered" if one.owner else "virgin", one.owner
        )  # fmt: skip


def test_the_pounds_balance_closes_on_the_scales(shop: tuple[Office, Book]) -> None:
    office, book = shop
    with book.reading() as reader:
        lines = pounds_of(reader, Cut())
    assert all(line.difference == 0 for line in lines)
    for line in lines:
        if line.period == "2025":
            pool = [
                one for one in office.world.cylinders if one.pool.refrigerant == line.refrigerant
            ]
            assert line.closing == sum(one.net * one.pool.step for one in pool)
