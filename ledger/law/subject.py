"""What the scope of the rules looks at: one circuit, or the facility it stands in, at one time."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

EXCHANGE = "84.64"
"""The GWP set of 40 CFR 84.64, which `Subject.gwp_84` is of."""


class Subject(NamedTuple):
    """The facts of one circuit on one day.

    `ods` and `hfc` say whether the refrigerant contains a class I or II substance, or a
    regulated substance; None where the refrigerant is not known. `gwp_84` is its exchange
    value by the 84.64(b) table, None where that lists nothing of it; `gwps` holds the value by
    other sets. `charge` is the full charge in counts, None unknown; with `charge_high` the two
    are the ends of a band. `rlc` is the recorded decision whether the circuit lies in the
    residential and light commercial air conditioning subsector: yes, no or undecided. `use`
    names a use left out by 84.114 ("foam" ...). `decided` is a person's finding for a substitute
    that the table does not list: yes, no or undecided; `decisions` holds those on other
    questions by name. `exempt_substitute` marks one exempt from the venting ban.
    `largest` is the full charge of the largest circuit on the site. `state`, `district`,
    `country` and `owner` are as recorded, empty where they are not. `process_share` is the
    part of the operating capacity that serves an industrial process, in percent.
    """

    ods: bool | None
    hfc: bool | None
    gwp_84: Fraction | None
    charge: int | Fraction | None
    category: str
    rlc: str = "undecided"
    use: str = ""
    decided: str = "undecided"
    exempt_substitute: bool = False
    charge_high: int | Fraction | None = None
    refrigerant: str = ""
    gwps: tuple[tuple[str, Fraction | None], ...] = ()
    decisions: tuple[tuple[str, str], ...] = ()
    largest: int | Fraction | None = None
    country: str = ""
    state: str = ""
    district: str = ""
    owner: str = ""
    indoors: bool | None = None
    process_share: Fraction | None = None

    def gwp(self, sets: tuple[str, ...]) -> Fraction | None:
        """The value of the first of the sets that lists the refrigerant; None where none does."""
        known = {EXCHANGE: self.gwp_84, **dict(self.gwps)}
        return next((known[name] for name in sets if known.get(name) is not None), None)

    def answer(self, question: str) -> str:
        """The recorded answer to a question a person decides: yes, no or undecided."""
        own = {"rlc": self.rlc, "gwp-absent": self.decided}
        return dict(self.decisions).get(question) or own.get(question, "undecided")
