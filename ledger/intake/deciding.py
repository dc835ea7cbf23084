"""Settles what a movement row is from all its cells, and the content by which it is known again.

The book is not asked, so that the key of a row depends on what the row says alone.
"""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256

from ledger.facts.mass import Quantity
from ledger.facts.problems import Problem
from ledger.intake.actions import ACTIONS, VISIT
from ledger.intake.reading import UNKNOWN_AMOUNT, Reading
from ledger.refrigerants.spelling import alias_key, recognise


def decide(reading: Reading) -> None:
    """Settle which movement the row is, check its amount against it, and fix its content."""
    _settle_action(reading)
    action = ACTIONS.get(reading.action)
    if action is None:
        return
    values = reading.values
    amount = values.get("amount")
    by_others = reading.action == "added by others"
    if not by_others and (amount is UNKNOWN_AMOUNT or reading.estimated):
        reading.problems.append(_not_exact(reading))
    wanted = action.known
    if reading.problems:
        reading.problems = [
            (name, problem) for name, problem in reading.problems
            if name in wanted or name in _ALWAYS
        ]  # fmt: skip
    if not reading.day and not any(name == "date" for name, _ in reading.problems):
        problem = Problem("field-missing", "The row has no day.", "Give the day the work was done.")
        reading.problems.append(("date", problem))
    reading.content = _content(reading, wanted)


def _not_exact(reading: Reading) -> tuple[str, Problem]:
    """The question about an amount that nobody weighed, under the column it stands in."""
    way_out = "Write the amount, or weights before and after."
    values, name = reading.values, reading.estimated
    if not name:
        return "amount", Problem("quantity-unclear", "The amount is not known.", way_out)
    found = values.get(name, values.get("amount"))
    choices = (found.written,) if isinstance(found, Quantity) else ()
    return name, Problem("quantity-unclear", "The amount is marked as not exact.", way_out,
                         choices=choices)  # fmt: skip


def _said(value: object) -> str:
    """A value as it goes into a note."""
    if isinstance(value, tuple):
        return ", ".join(map(_said, value))
    return value.written if isinstance(value, Quantity) else str(value)


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
    if "amount" in values:
        problem = Problem("value-unclear", "The row has an amount beside one added or recovered.",
                          "Leave one of them empty.")  # fmt: skip
        reading.problems.append(("amount", problem))
    if reading.action == "added by others" and added is not None and recovered is None:
        values["amount"] = values.pop("added")
        return
    if UNKNOWN_AMOUNT in (added, recovered):
        problem = Problem("quantity-unclear", "The amount is not known.",
                          "Write the amount, or weights before and after.")  # fmt: skip
        reading.problems.append(("recovered" if added != UNKNOWN_AMOUNT else "added", problem))
        return
    meant = _meant(reading, added, recovered)
    if reading.action and meant and reading.action != meant:
        problem = Problem(
            "value-unclear",
            f"The action is {reading.action}, and an amount stands under {_UNDER[meant]}.",
            "Mend the action, or move the amount.",
        )
        reading.problems.append(("action", problem))
    reading.action = meant or reading.action
    if meant in ("charge", "recover"):
        values["amount"] = values.pop("added" if meant == "charge" else "recovered")
        values.pop("recovered" if meant == "charge" else "added", None)


_UNDER = {"charge": "added", "recover": "recovered", VISIT: "added and recovered"}
_AMOUNTS = ("added", "recovered", "amount", "action")


def _meant(reading: Reading, added: Quantity | None, recovered: Quantity | None) -> str:
    """What a pair of columns says; a zero beside a real amount is an empty cell of that sheet.

    A zero recovered alone is a try that brought nothing: a record, and not the same as none.
    """
    if added is None or added.mass == 0:
        if recovered is not None and (added is None or recovered.mass or reading.tried):
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


def _content(reading: Reading, wanted: frozenset[str]) -> str:
    """The digest of what the row says, spelled in one way: days as ISO, weights as counts.

    What says nothing about this movement goes to the note, which is no part of it. Spaces
    are single already, so that only the case of a text is left to fold.
    """
    values = reading.values
    parts = []
    for name, value in values.items():
        if name not in wanted:
            if name not in _NOT_NOTED:
                reading.add_note(f"{name}: {_said(value)}")
        elif name == "unit" or name == "circuit":
            if name == "unit" or "unit" not in values:
                parts.append(f"unit={reading.circuit().casefold()}")
        elif name == "refrigerant":
            parts.append(f"refrigerant={_name_key(values['refrigerant as written'])}")
        elif type(value) is str:
            parts.append(f"{name}={value.casefold()}")
        elif type(value) is Quantity:
            parts.append(f"{name}={value.mass}")
        elif type(value) is tuple:
            parts.append(f"{name}={','.join(str(one.mass) for one in value)}")
        else:
            parts.append(f"{name}={value}")
    parts.sort()
    guess = "~" if reading.estimated else ""
    said = "\x1f".join((reading.action, reading.day, reading.time, guess, *parts))
    return sha256(said.encode("utf-8", "surrogatepass")).hexdigest()


@lru_cache(maxsize=1024)
def _name_key(text: str) -> str:
    """A refrigerant for the key: by the register, else as written, never by a changing alias."""
    found = recognise(text)
    return found if isinstance(found, str) else alias_key(text)
