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
_YES = {"yes": "yes", "y": "yes", "x": "yes", "no": "no", "n": "no"}


def repair_facts(drafter: Drafter, reading: Reading) -> list[Fact]:
    """The repair a row records: where, how, and whether the circuit was evacuated for it."""
    evacuated = _word(reading, "evacuated", _YES, "yes or no")
    return [
        Repair(_circuit(drafter, reading), reading.text("where"), reading.text("how"), evacuated)
    ]


def test_facts(drafter: Drafter, reading: Reading) -> list[Fact]:
    """The verification test a row records; it says pass or fail, and of which leaks.

    Where nothing is written about the leaks, all that were identified were tested, as for the
    command `test`.
    """
    result = _word(reading, "result", _RESULTS, "pass or fail")
    if not result:
        raise _stop("result", "field-missing", "The row does not say how the test went.",
                    "Write pass or fail.")  # fmt: skip
    leaks = _word(reading, "leaks", _LEAKS, "all or some") or "all"
    which = "initial" if reading.action == INITIAL else "follow-up"
    return [Test(_circuit(drafter, reading), which, result, leaks, reading.text("how"))]


def _circuit(drafter: Drafter, reading: Reading) -> str:
    """The name of the circuit; work on no unit in particular is no record of one."""
    kind, name = split_holder(drafter.circuit(reading))
    if kind == "circuit":
        return name
    raise _stop("unit", "field-missing", "No unit is named.", "Name the unit that was worked on.")


def _word(reading: Reading, name: str, words: dict[str, str], wanted: str) -> str:
    """What a cell means in one of a few words; empty where it is empty."""
    text = reading.text(name)
    if not text:
        return ""
    found = words.get(" ".join(text.casefold().replace("-", " ").split()))
    if found is None:
        neither = wanted.replace(" or ", " nor ")
        raise _stop(name, "value-unclear", f'"{text[:80]}" says neither {neither}.',
                    f"Write {wanted}.")  # fmt: skip
    return found


def _stop(name: str, code: str, sentence: str, remedy: str) -> Exception:
    """The stop of a row that cannot be drafted."""
    from ledger.intake.drafts import Stop

    return Stop(name, Problem(code, sentence, remedy))
