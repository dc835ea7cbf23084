"""The facts about a circuit that are no pounds moving: leaks, repairs, tests and other events."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar


@dataclass(frozen=True, slots=True)
class SameLeak:
    """Additions declared by a person as parts of one leak episode on a circuit.

    `entries` are earlier entries; an addition to the circuit in this fact's own entry is a
    part too.
    """

    TYPE: ClassVar[str] = "same leak"
    circuit: str
    entries: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Repair:
    """A leak repair: where, how, whether the circuit was evacuated for it.

    `places` names the leaks that were repaired as they were recorded when found; none: all
    that were identified, unless `leaks` is `some`.
    """

    TYPE: ClassVar[str] = "repair"
    circuit: str
    location: str = ""
    how: str = ""
    evacuated: str = ""
    leaks: str = "all"
    places: tuple[str, ...] = ()
    because: str = ""
    although: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Test:
    """A verification test: `which` initial or follow-up, `result` pass or fail.

    `leaks` is `all` where every identified leak was shown repaired, else `some`. `places` names
    the leaks that were tested, as they were recorded when found.
    """

    TYPE: ClassVar[str] = "test"
    circuit: str
    which: str
    result: str
    leaks: str = "all"
    method: str = ""
    places: tuple[str, ...] = ()
    because: str = ""
    although: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ServiceEvent:
    """Something dated at a circuit or a site that a rule may count from or ask for.

    `what` is a word of `occasions.OCCASIONS`, which says which of the other members it takes.
    One of `circuit` and `site` is filled in. `places` names leaks. `complete` is `yes` where an
    inspection was of all parts that can be seen and reached, or where a request holds all that
    the rule asks of it. `ground` is why (of a request), which (of a plan or record). `signed`
    is `yes` where an authorized person signed. `part` is what a detector watches, `required`
    is `yes` where a rule asks for that detector. `refrigerant` is what comes instead. `contents`
    are the parts of a plan that are in it. `due` is an estimated day, `period` a year.
    """

    TYPE: ClassVar[str] = "event"
    what: str
    circuit: str = ""
    site: str = ""
    places: tuple[str, ...] = ()
    how: str = ""
    complete: str = ""
    ground: str = ""
    signed: str = ""
    part: str = ""
    required: str = ""
    refrigerant: str = ""
    contents: tuple[str, ...] = ()
    due: str = ""
    period: str = ""
    because: str = ""
    although: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BroughtForward:
    """What the shop's older records say about a circuit on the day the book starts.

    `last_addition` is an ISO date or `unknown`; `rate` and `open_case` are the words of the
    older record, kept as they were.
    """

    TYPE: ClassVar[str] = "brought forward"
    circuit: str
    last_addition: str
    rate: str = ""
    open_case: str = ""
