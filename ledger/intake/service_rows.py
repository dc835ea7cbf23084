"""Turns rows about repairs and verification tests into the facts a leak rate rests on.

A passed follow-up test on all identified leaks is what starts a rolling window anew (40 CFR
82.152, 84.102), so a job sheet that holds repairs and tests is taken in with its pounds.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.facts.facts import Fact, Repair, Test, split_holder
from ledger.facts.problems import Problem
from ledger.intake.actions import INITIAL

if TYPE_CHECKING:
    from ledger.intake.drafts import Drafter
    from ledger.intake.reading import Reading

_RESULTS = {
    "pass": "pass", "passed": "pass", "ok": "pass", "good": "pass", "no leak": "pass",
    "fail": "fail", "failed": "fail", "leaking": "fail", "still leaking": "fail",
}  # fmt: skip
_LEAKS = {"all": "all", "all leaks": "all", "some": "some", "some leaks": "some", "not all": "some"}
YES = {"yes": "yes", "y": "yes", "x": "yes", "no": "no", "n": "no"}


def repair_facts(drafter: Drafter, reading: Reading) -> list[Fact]:
    """The repair a row records: where, how, and whether the circuit was evacuated for it."""
    evacuated = _word(reading, "evacuated", YES, "yes or no")
    places = _places(reading)
    return [
        Repair(
            circuit_of(drafter, reading), reading.text("where"), reading.text("how"), evacuated,
            "some" if places else "all", places,
        )
    ]  # fmt: skip


def test_facts(drafter: Drafter, reading: Reading) -> list[Fact]:
    """The verification test a row records; it says pass or fail, and of which leaks.

    Where nothing is written about the leaks, all that were identified were tested, as for the
    command `test`.
    """
    result = _word(reading, "result", _RESULTS, "pass or fail")
    if not result:
        raise stop("result", "field-missing", "The row does not say how the test went.",
                   "Write pass or fail.")  # fmt: skip
    places = _places(reading)
    leaks = "some" if places else _word(reading, "leaks", _LEAKS, "all or some") or "all"
    which = "initial" if reading.action == INITIAL else "follow-up"
    return [Test(circuit_of(drafter, reading), which, result, leaks, reading.text("how"), places)]


def _places(reading: Reading) -> tuple[str, ...]:
    """The leaks a row names by their places; several are parted by a semicolon."""
    return tuple(part for one in reading.text("leak places").split(";") if (part := one.strip()))


def circuit_of(drafter: Drafter, reading: Reading) -> str:
    """The name of the circuit; work on no unit in particular is no record of one."""
    kind, name = split_holder(drafter.circuit(reading))
    if kind == "circuit":
        return name
    raise stop("unit", "field-missing", "No unit is named.", "Name the unit that was worked on.")


def folded_words(text: str) -> str:
    """A cell in one case, with single spaces and without hyphens."""
    return " ".join(text.casefold().replace("-", " ").split())


def asked_word(
    reading: Reading, name: str, words: dict[str, str], choices: tuple[str, ...]
) -> str:  # fmt: skip
    """What a cell means in one of a few words, else a question with those to choose from."""
    text = reading.text(name)
    if not text:
        return ""
    found = words.get(folded_words(text))
    if found is None:
        raise stop(name, "value-unclear", f'"{text[:80]}" can not be read as {name}.',
                   f"Write {' or '.join(choices)}.", choices)  # fmt: skip
    return found


def _word(reading: Reading, name: str, words: dict[str, str], wanted: str) -> str:
    """What a cell means in one of a few words; empty where it is empty."""
    text = reading.text(name)
    if not text:
        return ""
    found = words.get(folded_words(text))
    if found is None:
        neither = wanted.replace(" or ", " nor ")
        raise stop(name, "value-unclear", f'"{text[:80]}" says neither {neither}.',
                   f"Write {wanted}.")  # fmt: skip
    return found


def stop(
    name: str, code: str, sentence: str, remedy: str, choices: tuple[str, ...] = ()
) -> Exception:  # fmt: skip
    """The stop of a row that cannot be drafted; with choices it is a question."""
    from ledger.intake.drafts import Stop

    return Stop(name, Problem(code, sentence, remedy, choices=choices))
