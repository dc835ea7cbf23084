"""The page of each refusal: why the program refuses, and what recording it anyway leads to."""

from __future__ import annotations

from ledger.facts.problems import CATALOGUE

CONSEQUENCES: dict[str, str] = {
    "date-before-unit": "The line counts from its own day, also in the leak rate of that day.",
    "date-after-retired": "The line counts; the circuit or cylinder stays retired.",
    "disposable-recovery": "The pounds count in that cylinder, which may not be shipped so"
    " (49 U.S.C. 5124); what is in it together counts as recovered.",
    "second-refrigerant": "The cylinder is mixed from that day and is put in quarantine: it can"
    " only go to separation or destruction.",
    "wrong-refrigerant": "The movement counts under the refrigerant it names; the circuit keeps"
    " the one on record until that is changed.",
    "cylinder-quarantined": "The movement counts; the cylinder stays in quarantine.",
    "other-owner": "The movement counts, and the line shows that refrigerant went to another"
    " owner unreclaimed.",
    "recovered-not-stock": "The movement counts, and the line shows that refrigerant of several"
    " owners went into a circuit.",
    "no-certification": "The work counts, and the line shows that no card covered it that day.",
    "requalification-due": "The pounds count in the cylinder; it may be emptied and shipped, not"
    " filled again.",
    "cylinder-short": "A named difference brings the cylinder up to what left it, and the movement"
    " follows; the difference stays in the pounds balance until it is explained.",
    "over-capacity": "The pounds count in the cylinder; get it emptied.",
}
"""What `--because` leads to, for each refusal that it can pass."""


def page(code: str) -> list[str]:
    """The lines of a refusal's page; KeyError where there is no such code."""
    kind = CATALOGUE[code]
    lines = [code, "", f"Why: {kind.page}"]
    if kind.because:
        lines += [
            '--because "REASON" records what really happened, and the line stays marked.',
            f"Then: {CONSEQUENCES[code]}",
        ]
    else:
        lines.append("--because does not pass it: nothing is written until it is put right.")
    return lines


def codes() -> list[str]:
    """Every code, in the order in which problems that meet in one entry are told."""
    return sorted(CATALOGUE, key=lambda code: CATALOGUE[code].rank)
