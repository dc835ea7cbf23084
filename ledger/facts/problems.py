"""Refusals as values: what happened, how to mend it, and the catalogue they are drawn from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Kind:
    """One row of the catalogue: a reason to refuse, with its stable code.

    `rank` orders problems that meet in one entry (lower is told first). `because` says
    whether `--because` may record it all the same. `page` is why the program refuses.
    """

    code: str
    rank: int
    because: bool
    page: str


@dataclass(frozen=True, slots=True)
class Problem:
    """One refusal or flag: stable code, one sentence, the remedy, and where it was found.

    `choices` are the answers offered where a person can settle it in a word, as they would be
    typed; `entry` is the entry of the book that the question is about, 0 for none.
    """

    code: str
    sentence: str
    remedy: str
    where: str = ""
    choices: tuple[str, ...] = ()
    entry: int = 0

    @property
    def kind(self) -> Kind:
        """The catalogue row of this problem."""
        return CATALOGUE[self.code]

    def at(self, where: str) -> Problem:
        """The same problem with the place it was found, such as `day-sheet.xlsx!Charges!C17`."""
        return replace(self, where=where)

    def line(self) -> str:
        """The problem as it is printed: where, sentence, remedy, code."""
        where = f"{self.where}: " if self.where else ""
        return f"{where}{self.sentence} {self.remedy} [{self.code}]"


class Refused(Exception):
    """Raised at the edge of the book when problems stop an entry; nothing was written."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = in_order(problems)
        super().__init__(" ".join(problem.line() for problem in self.problems))


def refuse(code: str, sentence: str, remedy: str) -> Refused:
    """A Refused with a single problem."""
    return Refused([Problem(code, sentence, remedy)])


def in_order(problems: Iterable[Problem]) -> list[Problem]:
    """Problems in their order of precedence, repeats removed."""
    found = dict.fromkeys(problems)
    if len(found) < 2:
        return list(found)
    return sorted(found, key=lambda p: (p.kind.rank, p.where, p.sentence))


_ROWS = (
    # reading what was typed
    ("quantity-unclear", False, "An amount that can be read two ways is never guessed at."),
    ("date-unclear", False, "A date that is not in the calendar, or reads two ways, is asked."),
    ("refrigerant-unknown", False, "Only R-numbers of the register and your own aliases count."),
    ("value-unclear", False, "A field holds a value its kind does not have."),
    ("field-missing", False, "The entry cannot be understood without this field."),
    ("field-unknown", False, "A field or column that the program does not know is not dropped."),
    ("text-unfit", False, "Control characters and over-long text do not enter the record."),
    # amounts and dates
    (
        "amount-not-positive",
        False,
        "A movement is more than nothing; a try that brought nothing"
        " is recorded as a recovery of 0.",
    ),
    ("amount-absurd", False, "More than any cylinder, drum or plant holds: a slip of the key."),
    ("date-future", False, "An entry says what happened; a plan is not an entry."),
    ("date-before-unit", True, "A unit takes no refrigerant before it was installed."),
    ("date-after-retired", True, "A retired unit or scrapped cylinder takes nothing more."),
    # who and what
    ("unknown-id", False, "The name is not in the book; near matches are offered."),
    ("id-taken", False, "Two things of one kind cannot share a name."),
    ("circuit-needed", False, "The unit has several circuits; each is rated alone."),
    ("kind-mismatch", False, "What is named is of a kind that this cannot be done with."),
    ("same-holder", False, "A movement goes from one holder to another, a join takes two."),
    ("not-refrigerant", False, "Nitrogen and other gases stay out of refrigerant balances."),
    ("row-doubtful", False, "A row that is hidden or struck through may not be meant to count."),
    ("same-job", False, "Two records of one job are asked about; neither is left out unasked."),
    # identity and ownership
    (
        "disposable-recovery",
        True,
        "A disposable cylinder is filled once and may never be refilled or recovered into"
        " (49 U.S.C. 5124; 49 CFR 178.65).",
    ),
    (
        "second-refrigerant",
        True,
        "A cylinder holds one refrigerant; mixed refrigerant can only be destroyed or separated.",
    ),
    (
        "wrong-refrigerant",
        True,
        "The record of the circuit or cylinder names another refrigerant.",
    ),
    (
        "stock-mixed",
        True,
        "Virgin, reclaimed and recovered refrigerant are kept apart: only recovered refrigerant may"
        " not go to a new owner unreclaimed (40 CFR 82.154(d)), and what is put together is that.",
    ),
    ("cylinder-quarantined", True, "A quarantined cylinder is not used until decided."),
    (
        "other-owner",
        True,
        "Recovered refrigerant may go back only to circuits of the same owner (40 CFR 82.154(d)).",
    ),
    (
        "recovered-not-stock",
        True,
        "Recovered refrigerant of several owners is stock for none of them (40 CFR 82.154(d)).",
    ),
    (
        "no-certification",
        True,
        "Work on the circuit needs a certified technician of the right type (40 CFR 82.161).",
    ),
    (
        "requalification-due",
        True,
        "A cylinder is not filled after its requalification date (49 CFR 180.205(c)).",
    ),
    (
        "cylinder-condition",
        True,
        "A cylinder with damage outside is not filled before it is requalified (49 CFR"
        " 173.301(a)(2), 180.205(d)).",
    ),
    ("state-impossible", True, "The state of a cylinder follows from what it was and holds."),
    (
        "flammable-unmarked",
        True,
        "Flammable refrigerant goes only into a cylinder marked for it (ASHRAE 15 and 34;"
        " AHRI Guideline K).",
    ),
    (
        "service-pressure-low",
        True,
        "The pressure at 131 F is at most 5/4 of the service pressure (49 CFR 173.301(a)(8)).",
    ),
    # pounds
    ("weights-reversed", False, "The gross weights run the wrong way for this movement."),
    ("weights-disagree", False, "The amount typed and the gross weights differ."),
    ("gross-below-tare", False, "A cylinder cannot weigh less than it does empty."),
    ("cylinder-short", True, "More out of a cylinder than is in it."),
    ("over-capacity", True, "More in a cylinder than it can hold (49 CFR 173.304a)."),
    (
        "over-fill-limit",
        True,
        "A cylinder is filled to the smaller of 0.8 x its water capacity and 0.8 x that x the"
        " specific gravity at 77 F, and is never liquid-full at 131 F (AHRI Guideline K;"
        " 49 CFR 173.304(b), 173.304a).",
    ),
    ("above-full-charge", True, "More at once than the circuit holds: a slip, or another unit."),
    # service
    ("leak-unknown", True, "A repair or test of a named leak is of one that somebody recorded."),
    ("comes-first", True, "What rests on an earlier event is recorded after it."),
    # corrections
    ("paper-twice", False, "A weight ticket or analysis of a shipment counts once."),
    ("no-such-entry", False, "What is taken back or added to is an entry of this book."),
    ("already-reversed", False, "A line is reversed once."),
    ("reversal-of-reversal", False, "A reversal is not undone: record the facts again."),
    ("still-named", False, "What other entries rest on is not taken back under them."),
    ("reason-missing", False, "A correction says why."),
    ("key-reused", False, "A key names one content for ever."),
    # counts and closing
    ("already-closed", False, "A period that was signed and locked is not closed again."),
    ("difference-open", False, "Only what somebody signs for stays unexplained at a close."),
    # the book itself
    ("book-missing", False, "There is no book at this place."),
    ("book-exists", False, "A book is never overwritten."),
    (
        "book-older",
        False,
        "The book was made by an earlier version and is not written until upgraded.",
    ),
    ("book-newer", False, "The book was made by a later version."),
    ("book-damaged", False, "What is stored is not what was recorded."),
    ("book-busy", False, "Another program held the book for too long."),
    ("book-read-only", False, "The book or its folder cannot be written."),
    ("not-a-book", False, "The file is something else."),
    # files
    ("file-missing", False, "There is no such file."),
    ("file-exists", False, "A file that is there is never written over."),
    ("file-unwritable", False, "The file cannot be written at this place."),
    ("file-unfit", False, "The file cannot be read as a sheet."),
    ("file-too-large", False, "The file is over the limit set in one place."),
    ("column-map-needed", False, "The sheet's columns are not mapped."),
    ("option-unfit", False, "The options given do not fit together."),
)

CATALOGUE: dict[str, Kind] = {
    code: Kind(code, rank, because, page) for rank, (code, because, page) in enumerate(_ROWS)
}
"""Every refusal by its code, in the order of precedence."""
