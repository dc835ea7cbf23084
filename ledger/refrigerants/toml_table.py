"""Strict reading of TOML tables: what is unknown, missing or of the wrong kind is an error."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import NoReturn

from ledger.refrigerants.substances import EVIDENCE, Basis


class RegisterError(ValueError):
    """The refrigerant data cannot be used: names the file, the key and what is wrong there."""


class Table:
    """One TOML table with the place it stands in, read key by key.

    Every reader raises RegisterError, which names the file and the key.
    """

    def __init__(self, file: str, place: str, values: Mapping[str, object]) -> None:
        self.file = file
        self.place = place
        self.values = values

    def wrong(self, what: str, key: str = "") -> NoReturn:
        """Raise the error for this table, or for one key of it."""
        place = ".".join(part for part in (self.place, key) if part)
        raise RegisterError(f"{self.file}: {place}: {what}" if place else f"{self.file}: {what}")

    def only(self, required: tuple[str, ...], optional: tuple[str, ...] = ()) -> Table:
        """This table, once it is seen to have all `required` keys and no unknown one."""
        for key in self.values:
            if key not in required and key not in optional:
                self.wrong(f"unknown key {key!r}; known are {', '.join(required + optional)}")
        for key in required:
            if key not in self.values:
                self.wrong(f"missing key {key!r}")
        return self

    def table(self, key: str) -> Table:
        """A table inside this one."""
        return self._as_table(self.values[key], key)

    def tables(self, key: str) -> list[Table]:
        """The tables of an array of tables inside this one."""
        found = self.values[key]
        if not isinstance(found, list):
            self.wrong("must be an array of tables", key)
        return [self._as_table(row, f"{key}[{n}]") for n, row in enumerate(found, start=1)]

    def _as_table(self, found: object, key: str) -> Table:
        if not isinstance(found, dict):
            self.wrong("must be a table", key)
        place = ".".join(part for part in (self.place, key) if part)
        return Table(self.file, place, found)

    def text(self, key: str, among: tuple[str, ...] = ()) -> str:
        """A text that is not empty, and where `among` is given one of it."""
        found = self.values[key]
        if not isinstance(found, str) or not found.strip():
            self.wrong("must be a text that is not empty", key)
        if among and found not in among:
            self.wrong(f"{found!r} is none of {', '.join(among)}", key)
        return found

    def texts(self, key: str) -> tuple[str, ...]:
        """An array of texts."""
        found = self.values[key]
        if not isinstance(found, list) or not all(isinstance(x, str) and x for x in found):
            self.wrong("must be an array of texts", key)
        return tuple(found)

    def flag(self, key: str) -> bool:
        """true or false; false where the key is absent."""
        found = self.values.get(key, False)
        if not isinstance(found, bool):
            self.wrong("must be true or false", key)
        return found

    def number(self, key: str) -> Fraction:
        """An exact number of at least 0, as it is written."""
        found = self.values[key]
        if isinstance(found, bool) or not isinstance(found, int | Fraction):
            self.wrong("must be a number", key)
        if found < 0:
            self.wrong("must not be below 0", key)
        return Fraction(found)

    def numbers(self) -> dict[str, Fraction]:
        """Every key of this table with its number."""
        return {key: self.number(key) for key in self.values}

    def basis(self, cite_key: str) -> Basis:
        """The citation and the evidence mark of this table."""
        return Basis(self.text(cite_key), self.text("evidence", EVIDENCE))


def parse(file: str, text: str) -> Table:
    """The top table of a TOML text, decimals kept exact; RegisterError where it is not TOML."""
    import tomllib

    try:
        return Table(file, "", tomllib.loads(text, parse_float=_exact))
    except (tomllib.TOMLDecodeError, ValueError) as error:
        raise RegisterError(f"{file}: not readable as TOML: {error}") from error


def _exact(decimal: str) -> Fraction:
    return Fraction(decimal.replace("_", ""))
