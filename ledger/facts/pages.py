"""The page of each refusal: why the program refuses, what to do, and what a reason leads to."""

from __future__ import annotations

from ledger.facts.problems import CATALOGUE

TO_DO: dict[str, str] = {
    "quantity-unclear": "Write the amount with its unit: 4.8 lb, 4 lb 8 oz, 2.6 kg.",
    "date-unclear": "Write the day as 2026-03-30; days before 1930 and after 2100 are not taken.",
    "refrigerant-unknown": "Write the R-number with its letter, or keep your own name for it with"
    " tarebook alias.",
    "value-unclear": "Choose one of the values named, or see the command's --help.",
    "field-missing": "Give the option named; on a terminal the program asks for it.",
    "field-unknown": "Name a field of that kind of thing, or leave the column out of the map.",
    "text-unfit": "Retype it in one line of ordinary letters, shorter where it is long.",
    "amount-not-positive": "Give what was moved. A recovery that brought nothing is recorded with"
    " the amount 0, as an attempt.",
    "amount-absurd": "Look for a slipped decimal point or the wrong unit.",
    "date-future": "Give the day it happened; record it when it has happened.",
    "date-before-unit": "Look for a wrong year or unit; mend the installation date if that is"
    " what is wrong.",
    "date-after-retired": "Look for the cylinder or unit that was really meant. One that came back"
    " into use is put in service again with tarebook change.",
    "unknown-id": "Take one of the near names, add the thing, or record with --provisional: what is"
    " begun so is listed for the office to complete.",
    "id-taken": "Use the record that is there, mend it, or choose another name.",
    "circuit-needed": "Name the circuit, such as RTU-2/B; the ticket or the data plate tells.",
    "kind-mismatch": "Look at the entry with tarebook show, then name the one that is meant.",
    "same-holder": "Name the two that are meant.",
    "not-refrigerant": "Name the refrigerant cylinder; nitrogen is not recorded as pounds moved.",
    "row-doubtful": "Answer take or leave beside the row in the answers file, or show the row again"
    " in the sheet.",
    "same-job": "Answer beside the row in the answers file: same leaves the entry and this row out,"
    " both records the row as well, instead takes the entry back and records the row.",
    "disposable-recovery": "Use a recovery or refillable cylinder. Where a delivery was entered"
    " twice, leave the second out.",
    "second-refrigerant": "Use a cylinder of that refrigerant, or a clean evacuated one.",
    "wrong-refrigerant": "Look for the unit or cylinder that was really meant. After a retrofit,"
    " change the refrigerant of the unit from that day first.",
    "stock-mixed": "Use a recovery cylinder for what was recovered, and an empty one for another"
    " kind of stock.",
    "cylinder-quarantined": "Ship it to separation or destruction, or put it in service again with"
    " tarebook change once that is decided.",
    "other-owner": "Use refrigerant of that owner, or virgin or reclaimed stock; send this one to"
    " reclaim.",
    "recovered-not-stock": "Send it to a certified reclaimer; use other stock.",
    "no-certification": "Name who did the work, the technician who supervised an apprentice, or"
    " record the card from its day on.",
    "requalification-due": "Use another cylinder; this one may be emptied and shipped.",
    "cylinder-condition": "Use another cylinder. This one may be emptied; record its"
    " requalification or that it was condemned.",
    "state-impossible": "Look for the cylinder that was really meant, or for an entry that is"
    " wrong and can be reversed. Where it happened so, the reason is kept.",
    "flammable-unmarked": "Use a cylinder with the red band and left-hand thread. If this one has"
    " them, say so with tarebook mend cylinder NAME --flammable yes.",
    "service-pressure-low": "Use a cylinder of a higher service pressure; where the mark was read"
    " wrong, mend it.",
    "weights-reversed": "A cylinder that gives gets lighter, one that takes gets heavier: look for"
    " exchanged weights or the other cylinder.",
    "weights-disagree": "Leave the amount out and let the weights count, or mend the weights.",
    "gross-below-tare": "Read the gross weight, cylinder included. A scale that went to sleep comes"
    " back at zero; a wrong tare is mended.",
    "cylinder-short": "Look for the wrong cylinder, a slip in the amount, or a delivery that is not"
    " in the book yet. A late entry is held against every later day.",
    "over-capacity": "Look for a slip in the weights. If they are right, stop and get the cylinder"
    " emptied.",
    "over-fill-limit": "Stop, and put the rest in another cylinder; tarebook room shows what each"
    " takes. What is in it already comes out with tarebook transfer. Where the water capacity is"
    " wrong, mend it.",
    "above-full-charge": "Look for a lost decimal point, another unit, or two jobs in one amount.",
    "leak-unknown": "Name the leak as it was recorded when it was found, or record that it was"
    " found, with tarebook leak or tarebook inspect.",
    "comes-first": "Record the earlier event on its own day first. Where its paper is gone, record"
    " this one with a reason.",
    "paper-twice": "Look at the entry named. A corrected paper takes the place of the first, which"
    " is reversed; what came in a second paper for other cylinders is entered for those.",
    "no-such-entry": "Find the entry with tarebook find and its lines with tarebook show.",
    "already-reversed": "Look at the entry that took it back; record what is right as a new entry.",
    "reversal-of-reversal": "Record again what was right.",
    "still-named": "Reverse those entries first; where it is a second record of one thing, join"
    " the two: tarebook join.",
    "reason-missing": 'Say why, with --because "...".',
    "key-reused": "Use a new key for a new entry; for a correction reverse the first one.",
    "already-closed": "Print the statement as it was signed with tarebook close PERIOD --as-signed."
    " What is recorded late counts in the next period and is shown there. To open a period again,"
    " reverse the entry that closed it.",
    "difference-open": "Look through the open items, enter what was late, give causes with"
    " tarebook explain; what stays open is signed with a reason (--because), over the limit by"
    " the owner, too (--signed).",
    "book-missing": "Name the book with --book or TAREBOOK_BOOK, or make one with tarebook init.",
    "book-exists": "Choose another name, or move the file away first.",
    "book-older": "Run tarebook upgrade: it makes a checked copy first.",
    "book-newer": "Install the version that wrote it, or a later one.",
    "book-damaged": "Keep the file as it is, restore the last backup, compare the two with tarebook"
    " verify. Where only the query tables differ, tarebook rebuild makes them again.",
    "book-busy": "Let the other program finish and try again, with the same key if you gave one.",
    "book-read-only": "Ask for the right to write the file and its folder.",
    "not-a-book": "Name the book's own file, or the export for tarebook restore.",
    "file-missing": "Check the name and the folder.",
    "file-exists": "Name another file, or move that one away.",
    "file-unwritable": "Check the folder, its rights and the space left.",
    "file-unfit": "Save it again as .xlsx or .csv from the program it came from.",
    "file-too-large": "Split the file.",
    "column-map-needed": "Put plain headings above the columns, or say what each holds with"
    " --column and keep that with --save-map.",
    "option-unfit": "Give the options as the message says; --help shows them.",
}
"""What to do about each refusal."""

CONSEQUENCES: dict[str, str] = {
    "leak-unknown": "the line keeps the reason and the leak's name; the leak counts as found then.",
    "comes-first": "the line keeps the reason; a rule that counts from the earlier event has no"
    " day to count from until that is recorded.",
    "date-before-unit": "The line counts from its own day, also in the leak rate of that day.",
    "date-after-retired": "The line counts; the circuit or cylinder stays retired.",
    "disposable-recovery": "The pounds count in that cylinder, which may not be shipped so"
    " (49 U.S.C. 5124); what is in it together counts as recovered.",
    "second-refrigerant": "The cylinder is mixed from that day and is put in quarantine: it can"
    " only go to separation or destruction.",
    "wrong-refrigerant": "The movement counts under the refrigerant it names; the circuit keeps"
    " the one on record until that is changed.",
    "stock-mixed": "All that is in the cylinder counts as recovered from then on, and of several"
    " owners where they differ.",
    "cylinder-quarantined": "The movement counts; the cylinder stays in quarantine.",
    "other-owner": "The movement counts, and the line shows that refrigerant went to another"
    " owner unreclaimed.",
    "recovered-not-stock": "The movement counts, and the line shows that refrigerant of several"
    " owners went into a circuit.",
    "no-certification": "The work counts, and the line shows that no card covered it that day.",
    "requalification-due": "The pounds count in the cylinder; it may be emptied and shipped, not"
    " filled again.",
    "cylinder-condition": "The pounds count in the cylinder; the damage stays on record until a"
    " requalification.",
    "state-impossible": "The state counts from its day, and the line shows what it was recorded"
    " over; what the cylinder holds by the book is not changed by it.",
    "flammable-unmarked": "The pounds count in the cylinder; get them into a marked one.",
    "service-pressure-low": "The pounds count in the cylinder; get it emptied before it warms.",
    "cylinder-short": "A named difference brings the cylinder up to what left it, and the movement"
    " follows; the difference stays in the pounds balance until it is explained.",
    "over-capacity": "The pounds count in the cylinder; get it emptied.",
    "over-fill-limit": "The pounds count in the cylinder, and its line shows that it was over the"
    " limit; move the excess out before it warms or is shipped.",
    "above-full-charge": "The pounds count at the circuit and in its leak rate.",
}
"""What `--because` leads to, for each refusal that it can pass."""


def page(code: str) -> list[str]:
    """The lines of a refusal's page; KeyError where there is no such code."""
    kind = CATALOGUE[code]
    lines = [code, "", f"Why: {kind.page}", f"What to do: {TO_DO[code]}"]
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
