"""Reads one row of a sheet into values, or into the problems that keep it out: nothing is guessed.

What a row says is fixed here without looking into the book, so that its key depends on its
content alone: the same row is known again after sorting, inserting, or in another file.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from typing import Any

from ledger.facts.calendar import EARLIEST
from ledger.facts.limits import LARGEST_TEXT
from ledger.facts.mass import NOTHING, Quantity
from ledger.facts.masters import folded
from ledger.facts.problems import Problem
from ledger.facts.verbs import CLAIMS
from ledger.intake.actions import ACTIONS, CAUSES, VISIT, action_of, stock_of
from ledger.intake.dates import parse_time
from ledger.intake.fields import read_cents, read_day, read_field, read_mass, read_refrigerant
from ledger.intake.headers import MOVEMENTS, fields_of
from ledger.intake.plan import Plan
from ledger.intake.sheets import Row, Unread, cell_text
from ledger.intake.unclear import Unclear
from ledger.refrigerants.spelling import alias_key, recognise

EMPTY = frozenset(("", "-", "--", "–", "—", "n/a"))
"""What people write where there is nothing to write."""
UNKNOWN_AMOUNT = Quantity(NOTHING, "unknown")
"""Stands for an amount that nobody knows, which only an addition by others may have."""

_ZERO_WITH_WORDS = re.compile(r"0+(?:\.0*)?(?: ?(?:lbs?|oz|kg|g))? ?[-–—,;:(/] ?([a-z][^0-9]*)", re.I)
_ESTIMATE = re.compile(r"(?:~|about |approx\.? |est\.? |around )(.+)|(.+?)(?: est\.?| approx\.?|\(est\.?\))", re.I)
_BETWEEN = re.compile(r" *(?:;|->|→|>|/|, ) *")
_MASSES = frozenset((
    "amount", "added", "recovered", "gross before", "gross after", "gross", "tare",
))  # fmt: skip


@dataclass(slots=True)
class Reading:
    """What one row says: its values by field, and the problems found so far, each with its field.

    `action` is the movement (a key of ACTIONS) or the kind of masters; `day` the ISO day.
    `content` is the SHA-256 of what makes the row this row; the key of its entry is made of
    it and of how often the file has had it before.
    """

    row: Row
    plan: Plan
    action: str = ""
    day: str = ""
    time: str = ""
    note: str = ""
    values: dict[str, Any] = field(default_factory=dict)
    content: str = ""
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    estimated: bool = False

    def text(self, name: str) -> str:
        """A text field, empty where the row does not have it."""
        return self.values.get(name, "")

    def circuit(self) -> str:
        """The circuit as a name of the book: "RTU-3", or "RTU-3/B" of two columns."""
        unit, circuit = self.text("unit"), self.text("circuit")
        if not unit or not circuit or circuit == unit or circuit.startswith(f"{unit}/"):
            return circuit or unit
        return f"{unit}/{circuit}"


class Fields:
    """Reads the cells of one sheet field by field."""

    def __init__(self, plan: Plan, aliases: dict[str, str]) -> None:
        self.plan = plan
        self.aliases = aliases
        self.order = plan.map.date_order
        self.year = plan.map.year or None
        self._days: dict[object, str | Problem] = {}
        self._ordinals: dict[str, int] = {}
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
        }  # fmt: skip
        readers |= dict.fromkeys(_MASSES, self._mass)
        self.readers = {name: readers.get(name, self._text) for name in fields_of(MOVEMENTS)}
        self.columns = [
            (one.index, one.field, one.unit, one.header, self.readers[one.field])
            for one in plan.columns
        ]

    def read(self, row: Row) -> Reading:
        """The values of a movement row; its problems are those of reading alone."""
        reading = Reading(row, self.plan)
        for name, text in self.plan.constants.items():
            self.readers[name](reading, name, text, self.plan.map.unit)
        cells, count = row.cells, len(row.cells)
        for index, name, unit, header, reader in self.columns:
            if index >= count:
                continue
            cell = cells[index]
            if cell is None or cell == "":
                continue
            if type(cell) is Unread:
                reading.problems.append((name, _unread(header, cell)))
            else:
                reader(reading, name, cell, unit)
        keep_extras(reading)
        _decide(reading)
        return reading

    def moment(self, row: Row) -> int:
        """When a row happened, as a number to sort by; 0 where that cannot be told.

        Within a day without times, what came into a cylinder is before what went out.
        """
        cells, count = row.cells, len(row.cells)
        at = self._places
        if at["date"] < 0 or at["date"] >= count:
            return 0
        day = self.day(cells[at["date"]])
        if isinstance(day, Problem):
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
        """The ISO day of a cell."""
        key = cell if type(cell) is str else repr(cell)
        found = self._days.get(key)
        if found is None:
            if len(self._days) > 20_000:
                self._days.clear()
            found = self._days[key] = read_day(cell, self.order, self.year)
            if isinstance(found, str):
                self._ordinals[found] = (date.fromisoformat(found) - EARLIEST).days
        return found

    def _day(self, reading: Reading, name: str, cell: object, _: str) -> None:
        if cell_text(cell) in EMPTY:
            return
        found = self.day(cell)
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        else:
            reading.day = found

    def _time(self, reading: Reading, name: str, cell: object, _: str) -> None:
        if cell_text(cell) in EMPTY:
            return
        found = parse_time(cell)
        if isinstance(found, Unclear):
            problem = Problem("date-unclear", found.sentence(), "Write the time as 14:05.")
            reading.problems.append((name, problem))
        else:
            reading.time = found

    def _text(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = _clean(reading, name, cell)
        if text not in EMPTY:
            reading.values[name] = text

    def _note(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = _clean(reading, name, cell)
        if text:
            reading.note = f"{reading.note}; {text}" if reading.note else text

    def _unit(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        found = read_mass(f"1 {text}", None)
        if isinstance(found, Problem):
            problem = Problem("value-unclear", f'"{text}" is no unit.', "Write lb, oz, kg or g.")
            reading.problems.append((name, problem))
        else:
            reading.values[name] = found.written.split()[-1]

    def _mass(self, reading: Reading, name: str, cell: object, unit: str) -> None:
        if type(cell) is not str:
            said: object = cell
        else:
            said = cell_text(cell)
            if said in EMPTY:
                return
        found = read_mass(said, reading.values.get("amount unit", unit))  # type: ignore[arg-type]
        if isinstance(found, Problem) and type(said) is str:
            found = _in_words(reading, said, unit) or found
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
        text = cell_text(cell)
        if text in EMPTY:
            return
        found = read_refrigerant(text, self.aliases)
        if isinstance(found, Problem):
            reading.problems.append((name, found))
        else:
            reading.values[name] = found
            reading.values["refrigerant as written"] = text

    def _action(self, reading: Reading, name: str, cell: object, _: str) -> None:
        text = cell_text(cell)
        if text in EMPTY:
            return
        reading.action = text if text in ACTIONS and text != VISIT else action_of(text)
        if not reading.action:
            problem = Problem(
                "value-unclear", f'"{text[:80]}" is no action that is known here.',
                f"Write {', '.join(name for name in ACTIONS if name != VISIT)}.",
            )  # fmt: skip
            reading.problems.append((name, problem))

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
                          "Write virgin, reclaimed, recovered or unknown.")  # fmt: skip
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
                          f"Write {', '.join(choices)}, or leave it empty.")  # fmt: skip
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


def _clean(reading: Reading, name: str, cell: object) -> str:
    """The text of a cell; what cannot be kept in the record is a problem."""
    text = cell_text(cell)
    if len(text) > LARGEST_TEXT or not text.isprintable():
        problem = Problem(
            "text-unfit",
            f"The {name} is longer than {LARGEST_TEXT:,} characters or holds control characters.",
            "Shorten or retype it.",
        )
        reading.problems.append((name, problem))
        return ""
    return text


def keep_extras(reading: Reading) -> None:
    """Cells under headings that no field belongs to are kept in the note, not dropped."""
    plan, cells = reading.plan, reading.row.cells
    for index, label in plan.extras:
        if index < len(cells) and cells[index] not in (None, ""):
            cell = cells[index]
            text = cell.why if isinstance(cell, Unread) else _clean(reading, "note", cell)
            if text not in EMPTY:
                text = f"{label}: {text}"
                reading.note = f"{reading.note}; {text}" if reading.note else text
    if len(cells) > plan.width:
        beyond = [cell_text(cell) for cell in cells[plan.width :]]
        if any(beyond) and plan.strict_width:
            problem = Problem(
                "value-unclear",
                f"The row has {len(cells)} cells where the headings are {plan.width}, as when a"
                " comma stands in a cell without quotation marks.",
                "Put the cell with the comma in quotation marks.",
            )
            reading.problems.append(("", problem))
        elif any(beyond):
            text = ", ".join(text for text in beyond if text)
            reading.note = f"{reading.note}; {text}" if reading.note else text


def _unread(header: str, cell: Unread) -> Problem:
    return Problem(
        "value-unclear", f'The cell under "{header}" {cell.why}.',
        "Type the value, or open the file in a spreadsheet program and save it again.",
    )  # fmt: skip


def _in_words(reading: Reading, text: str, unit: str) -> Quantity | None:
    """Amounts that are plain to a reader although they are more than a number.

    "0 - flat" is nothing, with the reason, which goes to the note; "unknown" and "about 5" are
    what an addition by others may be.
    """
    if (match := _ZERO_WITH_WORDS.fullmatch(text)) is not None:
        reading.note = f"{reading.note}; {match[1]}" if reading.note else match[1].strip(" )")
        return Quantity(NOTHING, f"0 {unit}")
    if text.casefold() in ("unknown", "?", "unk"):
        return UNKNOWN_AMOUNT
    if (match := _ESTIMATE.fullmatch(text)) is not None:
        found = read_mass((match[1] or match[2]).strip(), unit)
        if isinstance(found, Quantity):
            reading.estimated = True
            return found
    return None


def _decide(reading: Reading) -> None:
    """Settle which movement the row is, check its amount against it, and fix its content."""
    _settle_action(reading)
    action = ACTIONS.get(reading.action)
    if action is None:
        return
    values = reading.values
    amount = values.get("amount")
    by_others = reading.action == "added by others"
    if not by_others and (amount is UNKNOWN_AMOUNT or reading.estimated):
        problem = Problem("quantity-unclear", "The amount is unknown or marked as not exact.",
                          "Write the amount, or weights before and after.")  # fmt: skip
        reading.problems.append(("amount", problem))
    wanted = set(action.fields)
    reading.problems = [
        (name, problem) for name, problem in reading.problems
        if name in wanted or name in _ALWAYS
    ]  # fmt: skip
    for name, value in values.items():
        if name not in wanted and name not in _NOT_NOTED:
            text = f"{name}: {value.written if isinstance(value, Quantity) else value}"
            reading.note = f"{reading.note}; {text}" if reading.note else text
    if not reading.day and not any(name == "date" for name, _ in reading.problems):
        problem = Problem("field-missing", "The row has no day.", "Give the day the work was done.")
        reading.problems.append(("date", problem))
    if not reading.problems:
        reading.content = _content(reading, action.fields)


_ALWAYS = ("date", "time", "action", "", "note", "amount unit", "amount", "added", "recovered")
_NOT_NOTED = ("amount unit", "refrigerant as written")


def _settle_action(reading: Reading) -> None:
    """The movement by its action, or by which of "added" and "recovered" holds an amount."""
    values = reading.values
    added, recovered = values.get("added"), values.get("recovered")
    if added is None and recovered is None:
        if not reading.action and not any(name in _AMOUNTS for name, _ in reading.problems):
            _no_action(reading)
        return
    if any(name in _AMOUNTS for name, _ in reading.problems):
        return
    meant = _meant(reading, added, recovered)
    if reading.action and meant and reading.action != meant:
        problem = Problem(
            "value-unclear",
            f"The action is {reading.action}, and the amount stands under"
            f" {'added' if meant == 'charge' else 'recovered'}.",
            "Mend the action, or move the amount.",
        )
        reading.problems.append(("action", problem))
    reading.action = meant or reading.action
    if meant in ("charge", "recover"):
        values["amount"] = values.pop("added" if meant == "charge" else "recovered")
        values.pop("recovered" if meant == "charge" else "added", None)


_AMOUNTS = ("added", "recovered", "amount", "action")


def _meant(reading: Reading, added: Quantity | None, recovered: Quantity | None) -> str:
    """What a pair of columns says; a zero beside a real amount is an empty cell of that sheet.

    A zero recovered alone is a try that brought nothing: a record, and not the same as none.
    """
    if added is None or added.mass == 0:
        if recovered is not None and (added is None or recovered.mass):
            return "recover"
        problem = Problem("amount-not-positive", "Nothing was added or recovered on this row.",
                          "Take the row out, or give the amount.")  # fmt: skip
        reading.problems.append(("added", problem))
        return ""
    if recovered is None or recovered.mass == 0:
        return "charge"
    return VISIT


def _no_action(reading: Reading) -> None:
    problem = Problem(
        "field-missing", "The row does not say what was done: added, recovered, received ...",
        "Fill in the action, or the pounds under added or recovered.",
    )  # fmt: skip
    reading.problems.append(("action", problem))


def _content(reading: Reading, fields: tuple[str, ...]) -> str:
    """The digest of what the row says, spelled in one way: days as ISO, weights as counts."""
    values = reading.values
    parts = [reading.action, reading.day, reading.time, "~" if reading.estimated else ""]
    unit = values.get("unit")
    for name in fields:
        value = values.get(name)
        if value is None or (name == "circuit" and unit):
            continue
        if name == "unit":
            parts.append(f"unit={folded(reading.circuit())}")
        elif type(value) is str:
            said = values["refrigerant as written"] if name == "refrigerant" else value
            parts.append(f"{name}={_name_key(said) if name == 'refrigerant' else folded(said)}")
        elif type(value) is Quantity:
            parts.append(f"{name}={int(value.mass)}")
        elif type(value) is tuple:
            parts.append(f"{name}={','.join(str(int(one.mass)) for one in value)}")
        else:
            parts.append(f"{name}={value}")
    return sha256("\x1f".join(parts).encode("utf-8", "surrogatepass")).hexdigest()


def _name_key(text: str) -> str:
    """A refrigerant for the key: by the register, else as written, never by a changing alias."""
    found = recognise(text)
    return found if isinstance(found, str) else alias_key(text)
