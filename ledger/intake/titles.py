"""What the titles above a table say of all its rows: a year, an action, a unit of weight."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from ledger.intake.headers import header_unit, header_words, sheet_action

_YEAR = re.compile(r"(?<![\d/-])(?<!\d[.,])(19[89]\d|20\d\d)(?![\d/]|[.,-]\d)")
_SHORT_YEARS = re.compile(r"\d{4} ?[-–/&] ?'?\d{2}(?!\d)")
_FORM = re.compile(r"\b(?:rev|revised|form|version|edition|copyright|cfr|epa|since|est)\b|©", re.I)
_MONTHS = {
    name: number
    for number, names in enumerate(
        ("january jan", "february feb", "march mar", "april apr", "may", "june jun", "july jul",
         "august aug", "september sept sep", "october oct", "november nov", "december dec"), 1,
    )
    for name in names.split()
}  # fmt: skip
_LONGEST_ACTION = 4
"""Words of a title that says nothing but what was done."""


class Title(NamedTuple):
    """A title: what it says and where it stands, such as "the title in row 1"."""

    text: str
    where: str
    is_name: bool = False


class Year(NamedTuple):
    """The year that a title gives to days without one; `month` is 0 where it names none.

    `bare_name` marks the name of a sheet or file that names no month: too little to go by.
    """

    year: int
    month: int
    where: str
    bare_name: bool = False


def year_of(titles: Iterable[Title]) -> Year | None:
    """The one year that the titles name; None where they name none, or more than one."""
    found: dict[int, Year] = {}
    for title in titles:
        years = set(_YEAR.findall(title.text))
        if not years:
            continue
        if len(years) > 1 or _SHORT_YEARS.search(title.text):
            return None
        if _FORM.search(title.text):
            continue
        words = header_words(title.text).split()
        months = {_MONTHS[word] for word in words if word in _MONTHS}
        year = int(years.pop())
        month = months.pop() if len(months) == 1 else 0
        bare = title.is_name and not month
        if year not in found or found[year].bare_name:
            found[year] = Year(year, month, title.where, bare)
    return found.popitem()[1] if len(found) == 1 else None


def action_of_titles(titles: Iterable[Title]) -> tuple[str, str]:
    """The one action that short titles declare, and where; empty where none or several do."""
    found: dict[str, str] = {}
    for title in titles:
        words = [word for word in header_words(title.text).split() if not word.isdigit()]
        if len(words) <= _LONGEST_ACTION and (action := sheet_action(title.text)):
            found.setdefault(action, title.where)
    return found.popitem() if len(found) == 1 else ("", "")


def unit_of_titles(titles: Iterable[Title]) -> Title | None:
    """A title that names a unit other than pounds, which its columns may be in."""
    return next((one for one in titles if header_unit(one.text) not in ("", "lb")), None)


def is_unit(text: str) -> bool:
    """Whether a text is a unit of weight and nothing else: "(lbs)"."""
    words = header_words(text).split()
    return bool(words) and all(map(header_unit, words))
