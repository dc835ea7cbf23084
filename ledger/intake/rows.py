"""Reads the cells of a movement row into values, or into the problems that keep it out.

Nothing is guessed: what can be read two ways is a problem with its readings.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from functools import lru_cache
from typing import Any

from ledger.facts.calendar import EARLIEST
from ledger.facts.mass import NOTHING, Quantity
from ledger.facts.masters import UNKNOWN
from ledger.facts.problems import Problem
from ledger.facts.verbs import CAUSES, CLAIMS
from ledger.intake.actions import ACTIONS, OFFERED, VISIT, action_of, meanings, stock_of
from ledger.intake.dates import parse_time
from ledger.intake.deciding import decide
from ledger.intake.fields import (
    read_cents,
    read_day,
    read_field,
    read_mass,
    read_refrigerant,
    typed,
)
from ledger.intake.headers import MOVEMENTS, fields_of
from ledger.intake.plan import Plan
from ledger.intake.reading import (
    EMPTY,
    NOTHING_SAID,
    UNKNOWN_AMOUNT,
    Reading,
    clean_text,
    keep_extras,
    unread,
)
from ledger.intake.sheets import Row, Unread, cell_text
from ledger.intake.unclear import Unclear

_ZERO_WITH_WORDS = re.compile(
    r"0+(?:\.0*)?(?: ?(?:lbs?|oz|kg|g))? ?[-–—,;:(/] ?([a-z][^0-9]*?)\)?", re.IGNORECASE
)
_ESTIMATE = re.compile(
    r"(?:~|about |approx\.? |est\.? |around )(.+)|(.+?)(?: est\.?| approx\.?| ?\(est\.?\))",
    re.IGNORECASE,
)
_KEPT = 20_000
"""Different days, and different texts, that are kept as they were read."""
_BETWEEN = re.compile(r" *(?:;|->|→|>|/|, ) *")
_ALTERNATIVES = re.compile(r" *(?:/|\bor\b|\|) *", re.IGNORECASE)
_NUMBERED = re.compile(r"[0-9]{2,4}")
_MASSES = frozenset((
    "amount", "added", "recovered", "gross before", "gross after", "gross", "tare",
))  # fmt: skip


class Fields:
    """Reads the cells of one sheet field by field."""

    def __init__(self, plan: Plan, aliases: dict[str, str]) -> None:
        self.plan = plan
        self.aliases = aliases
        self.order = plan.map.date_order
        self.year = plan.map.year or None
        self._days: dict[object, str | Problem] = {}
        self._ordinals: dict[str, int] = {}
        self._texts: dict[str, str] = {}
        self._masses: dict[tuple[object, str], Quantity] = {}
        self._named: dict[str, tuple[str | Problem, str]] = {}
        self._places = {
            name: plan.places.get(name, -1)
            for name in ("date", "time", "action", "added", "recovered")
        }
        readers: dict[str, Callable[[Reading, str, object, str], None]] = {
            "date": self._day, "time": self._time, "readings": self._readings,
            "refrigerant": self._refrigerant, "action": self._action, "note": self._note,
            "stock": self._stock, "claim": self._choice, "cause": self._choice,
            "state": self._text, "price": self._cents, "deposit": self._cents,
            "amount unit": self._unit, "cylinder kind": self._kind,
            "replacement": self._replacement, "estimated day": self._other_day,
        }  # fmt: skip
        readers |= dict.fromkeys(_MASSES, self._mass)
        self.readers = {name: readers.get(name, self._text) for name in fields_of(MOVEMENTS)}
        self.columns = [
            (one.index, one.field, one.unit, one.header, self.readers[one.field])
            for one in plan.columns
        ]

    def read(self, row: Row, said: Mapping[str, str] = NOTHING_SAID) -> Reading:
        """The values of a movement row; its problems are those of reading alone.

        `said` is what was answered about fields that the sheet has no column for.
        """
        reading = Reading(row, self.plan)
        for name, text in self.plan.constants.items():
            if name not in said:
                self.readers[name](reading, name, text, self.plan.map.unit)
        for name, text in said.items():
            self.readers[name](reading, name, text, self.plan.map.unit)
        cells, count = row.cells, len(row.cells)
        for index, name, unit, header, reader in self.columns:
            if index >= count:
                continue
            cell = cells[index]
            if cell is None or cell == "":
                continue
            if type(cell) is Unread:
                reading.problems.append((name, unread(header, cell)))
            else:
                reader(reading, name, cell, unit)
        keep_extras(reading)
        decide(reading)
        return reading

    def forget_names(self) -> None:
        """Read the names of refrigerants anew, after an alias was added."""
        self._named.clear()

    def moment(self, row: Row) -> int:
        """When a row happened, as a number to sort by; 0 where that cannot be told.

        Within a day without times, what came into a cylinder is before what went out.
        """
        cells, count = row.cells, len(row.cells)
        at = self._places
        if at["date"] < 0 or at["date"] >= count:
            return 0
        day = self.day(cells[at["date"]])
        if isinstance(day, Problem) or not day:
            return 0
        order = self._order(cells, count)
        minute = (0, 720, 1440)[order]
        if 0 <= at["time"] < count and cells[at["time"]] not in (None, ""):
            time = parse_time(cells[at["time"]])
            if isinstance(time, str):
                minute = 60 * int(time[:2]) + int(time[3:])
        return ((self._ordinals[day] * 1441) + minute) * 3 + order

    def _order(self, cells: list[object], count: int) -> int:
        """0 for what comes into a cylinder, 2 for what leaves one, as far as a glance tells."""
        at = self._places
        if 0 <= at["action"] < count:
            name = action_of(cell_text(cells[at["action"]]))
        else:
            name = action_of(self.plan.constants.get("action", ""))
        if name:
            return ACTIONS[name].order
        filled = [
            0 <= at[one] < count and cell_text(cells[at[one]]).strip("0. ") not in EMPTY
            for one in ("added", "recovered")
        ]
        return 1 if all(filled) else 2 if filled[0] else 0

    def day(self, cell: object) -> str | Problem:
        """The ISO day of a cell, empty where nothing is in it."""
        key = cell if type(cell) is str else repr(cell)
        found = self._days.get(key)
        if found is None:
            if len(self._days) > _KEPT:
                self._days.clear()
            empty = cell_text(cell) in EMPTY
            found = self._days[key] = "" if empty else read_day(cell, self.order, self.year)
            if isinstance(found, str) and found:
                self._ordinals[found] = (date.fromisoformat(found) - EARLIEST).days
        return found

    def _day(self, reading: Reading, name: str, cell: object, _: str) -> None:
        found = self.day(cell)
        if type(found) is str:
            reading.day = found
        else:
            reading.problems.append((name, found))  # type: ignore[arg-type]

    def _time(self, reading: Reading, name: str, cell: object, _: str) -> None:
        if cell_text(cell) in EMPTY:
            return
        found = parse_time(cell)
        if isinstance(found, Unclear):
            problem = Problem("date-unclear", found.sentence(), "Write the time as 14:05.",
                              choices=typed(found.readings))  # fmt: skip
            reading.problems.append((name, problem))
        else:
            reading.time = found

    def _text(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = self._texts.get(cell) if type(cell) is str else None
        if text is None:
            text = clean_text(reading, name, cell)
            if type(cell) is str and len(self._texts) < _KEPT and (text or not reading.problems):
                # Sheets repeat the same few names; what could not be kept is looked at again.
                self._texts[cell] = text
        if text not in EMPTY:
            reading.values[name] = text

    def _note(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = clean_text(reading, name, cell)
        if text not in EMPTY:
            reading.add_note(text)

    def _unit(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        found = read_mass(f"1 {text}", None)
        if isinstance(found, Problem):
            problem = Problem("value-unclear", f'"{text}" is no unit.', "Write lb, oz, kg or g.",
                              choices=("lb", "oz", "kg", "g"))  # fmt: skip
            reading.problems.append((name, problem))
        else:
            reading.values[name] = found.written.split()[-1]

    def _mass(self, reading: Reading, name: str, cell: object, unit: str) -> None:
        unit = reading.values.get("amount unit", unit)
        if (kept := self._masses.get((cell, unit))) is not None:
            reading.values[name] = kept
            return
        said: Any = cell
        if type(cell) is str:
            said = cell_text(cell)
            if said in EMPTY:
                return
        found = read_mass(said, unit)
        if type(found) is Quantity and type(cell) is str and len(self._masses) < _KEPT:
            self._masses[cell, unit] = found
        if isinstance(found, Problem) and type(said) is str:
            found = _in_words(reading, name, said, unit) or found
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        else:
            reading.values[name] = found

    def _readings(self, reading: Reading, name: str, cell: object, unit: str) -> None:
        found = [read_mass(part, unit) for part in _BETWEEN.split(cell_text(cell)) if part]
        bad = next((one for one in found if isinstance(one, Problem)), None)
        if bad is not None:
            reading.problems.append((name, bad))
        else:
            reading.values[name] = tuple(found)

    def _refrigerant(self, reading: Reading, name: str, cell: object, _: str) -> None:
        kept = self._named.get(cell) if type(cell) is str else None
        if kept is None:
            text = cell_text(cell)
            if text in EMPTY:
                return
            kept = (read_refrigerant(text, self.aliases), text)
            if type(cell) is str and len(self._named) < _KEPT:
                self._named[cell] = kept
        found, text = kept
        if isinstance(found, Problem):
            if not _in_doubt(text):
                reading.problems.append((name, found))
                return
            found, reading.doubt = UNKNOWN, text
        reading.values[name] = found
        reading.values["refrigerant as written"] = text

    def _action(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        if text in EMPTY:
            return
        reading.action = text if text in ACTIONS and text != VISIT else action_of(text)
        if reading.action:
            return
        if several := meanings(text):
            problem = Problem("value-unclear", f'"{text[:80]}" can mean more than one thing.',
                              f"Write {' or '.join(several)}.", choices=several)  # fmt: skip
        else:
            problem = Problem(
                "value-unclear", f'"{text[:80]}" is no action that is known here.',
                f"Write {', '.join(OFFERED)}.", choices=OFFERED,
            )  # fmt: skip
        reading.problems.append((name, problem))

    def _replacement(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        if text in EMPTY:
            return
        found = read_refrigerant(text, self.aliases)
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        else:
            reading.values[name] = found

    def _other_day(self, reading: Reading, name: str, cell: object, _: str) -> None:
        found = self.day(cell)
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        elif found:
            reading.values[name] = found

    def _stock(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        if text in EMPTY:
            return
        found = stock_of(text)
        if found:
            reading.values[name] = found
            return
        reading.values[name] = text
        problem = Problem("value-unclear", f'"{text[:80]}" is no stock kind.',
                          "Write virgin, reclaimed, recovered or unknown.",
                          choices=("virgin", "reclaimed", "recovered", "unknown"))  # fmt: skip
        reading.problems.append((name, problem))

    def _choice(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        if text in EMPTY:
            return
        choices = CLAIMS if name == "claim" else CAUSES
        if text.casefold() in choices:
            reading.values[name] = text.casefold()
            return
        reading.values[name] = text
        problem = Problem("value-unclear", f'"{text[:80]}" is no {name} that is known here.',
                          f"Write {', '.join(choices)}, or leave it empty.",
                          choices=tuple(choices))  # fmt: skip
        reading.problems.append((name, problem))

    def _kind(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        if text in EMPTY:
            return
        found = read_field("cylinder", "kind", text, {})
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        else:
            reading.values[name] = found

    def _cents(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        if text in EMPTY:
            return
        found = read_cents(f"{cell:.15g}" if isinstance(cell, float) else text)
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        else:
            reading.values[name] = found


@lru_cache(maxsize=1024)
def _in_doubt(text: str) -> bool:
    """Whether the writer did not know the refrigerant himself: "22/410?", "R-22 or R-410A"."""
    parts = [part for part in _ALTERNATIVES.split(text.strip(" ?")) if part]
    several = len(parts) > 1 and all(map(_NUMBERED.search, parts))
    return several or ("?" in text and bool(_NUMBERED.search(text))) or text.casefold() == UNKNOWN


def _in_words(reading: Reading, name: str, text: str, unit: str) -> Quantity | None:
    """Amounts that are plain to a reader although they are more than a number.

    "0 - flat" is nothing, with the reason, which goes to the note; "unknown" and "about 5" are
    what an addition by others may be.
    """
    if (match := _ZERO_WITH_WORDS.fullmatch(text)) is not None:
        reading.add_note(match[1].strip())
        reading.tried = True
        return Quantity(NOTHING, f"0 {unit}")
    if text.casefold() in ("unknown", "?", "unk"):
        return UNKNOWN_AMOUNT
    if (match := _ESTIMATE.fullmatch(text)) is not None:
        found = read_mass((match[1] or match[2]).strip(), unit)
        if isinstance(found, Quantity):
            reading.estimated = name
            return found
    return None
