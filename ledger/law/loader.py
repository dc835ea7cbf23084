"""Reads a rule pack strictly: one TOML file a rule, every value dated, cited and marked.

A mistake in a pack is an error that names the file and the key; nothing is guessed or skipped.
A shipped pack is read rule by rule as they are asked for; `read_pack` reads and checks all.
"""

from __future__ import annotations

import hashlib
import os
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache, cached_property
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from ledger.law.blocks import FILES, Block, BlockError, Blocks, read_block

PACKS = Path(__file__).parent / "packs"
FEDERAL_82F = "us-federal-82f"
FEDERAL_84C = "us-federal-84c"
CALIFORNIA = "us-california-rmp"
SHIPPED = (FEDERAL_82F, FEDERAL_84C, CALIFORNIA)
"""The packs that come with the program, in the order they are shown."""

EVIDENCE = ("read", "read-2015", "secondary", "memory", "interpretation")
"""How strong a value stands: text read, 2015 edition read, a summary, recall, our own choice."""
EDGES = ("over", "at least", "at most", "below")
"""Whether a limit itself is outside ("over", "below") or inside ("at least", "at most")."""

Value = int | bool | str | date | tuple[str, ...]
"""What a rule may hold; decimals are refused, because a rate is never a rounded number."""

_TEXTS = ("unit", "cite")
_REQUIRED = ("from", "value", "unit", "cite", "evidence", "checked_on")
_OPTIONAL = ("to", "edge", "reason", "choices", "gap", "note", "corrected_on", "was")
_PACK_KEYS = ("title", "jurisdiction", "citation", "subpart", "release")
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class RuleError(ValueError):
    """A rule pack that does not hold what it must; the text names file and key."""


class RuleValue(NamedTuple):
    """One value of one rule and the days it is in force.

    `edge` tells for a limit whether it is "over" or "at least"; empty where there is none.
    `reason` is given for an interpretation. `was` is the figure this pack showed before
    `corrected_on`, where the pack (not the law) was wrong. `choices` are the readings of an
    interpretation a book may choose from, the pack's own first; empty where the program knows
    one. `gap` says why nothing held between the value before and this one. `overridden` is the
    entry by which a book put its own reading in place, 0 where it did not.
    """

    rule: str
    value: Value
    unit: str
    cite: str
    evidence: str
    checked_on: date
    from_: date
    to: date | None
    edge: str = ""
    reason: str = ""
    note: str = ""
    corrected_on: date | None = None
    was: Value | None = None
    choices: tuple[str, ...] = ()
    gap: str = ""
    overridden: int = 0


class Rule(NamedTuple):
    """A rule by its name, what it is in words, and its values in order of date."""

    name: str
    title: str
    values: tuple[RuleValue, ...]


@dataclass(frozen=True)
class Pack:
    """One jurisdiction's rules as loaded, with the digest of the files they came from."""

    name: str
    title: str
    jurisdiction: str
    citation: str
    subpart: str
    release: str
    digest: str
    rules: Mapping[str, Rule]
    sources: Mapping[str, bytes] = field(repr=False, compare=False)

    def value(self, rule: str, on: date, known_at: date | None = None) -> RuleValue | None:
        """The value of a rule in force on a date, or None where the rule has none then.

        `known_at` gives what this program said on an earlier day, before a correction.
        KeyError where the pack has no rule of that name.
        """
        for found in self.rules[rule].values:
            if found.from_ <= on and (found.to is None or on <= found.to):
                return _as_known(found, known_at)
        return None

    def starts(self, names: Iterable[str] | None = None) -> tuple[date, ...]:
        """Every date on which a value of the pack, or of the rules named, begins or has ended."""
        days = set()
        for name in self.rules if names is None else names:
            for found in self.rules[name].values:
                days.add(found.from_)
                if found.to is not None:
                    days.add(date.fromordinal(found.to.toordinal() + 1))
        return tuple(sorted(days))

    @cached_property
    def blocks(self) -> Blocks:
        """The scopes, clocks, calendars, papers and retention, read kind by kind; RuleError."""
        return Blocks(self._blocks)

    def _blocks(self, kind: str) -> Mapping[str, Block]:
        file = f"blocks/{kind}.toml"
        if file not in self.sources:
            return {}
        where = f"{self.name}/{file}"
        try:
            return read_block(kind, _parse(self.sources[file], where), self.rules, where)
        except BlockError as wrong:
            raise RuleError(str(wrong)) from None

    @property
    def stamp(self) -> str:
        """Name, release and the head of the digest, as printed on every answer."""
        return f"{self.name} {self.release} ({self.digest[:12]})"


def _as_known(found: RuleValue, known_at: date | None) -> RuleValue:
    if known_at and found.corrected_on and found.was is not None and known_at < found.corrected_on:
        return found._replace(value=found.was)
    return found


class _Rules(Mapping[str, Rule]):
    """The rules of a pack, each read when it is first asked for."""

    def __init__(self, pack: str, sources: Mapping[str, bytes]) -> None:
        self._pack = pack
        self._sources = sources
        self._read: dict[str, Rule] = {}
        self._names = tuple(
            name.removesuffix(".toml")
            for name in sources
            if "/" not in name and name != "pack.toml"
        )

    def __getitem__(self, name: str) -> Rule:
        if name not in self._read:
            where = f"{self._pack}/{name}.toml"
            content = self._sources[f"{name}.toml"]
            self._read[name] = _rule(name, _parse(content, where), where)
        return self._read[name]

    def __contains__(self, name: object) -> bool:
        return isinstance(name, str) and f"{name}.toml" in self._sources

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


@cache
def load_pack(name: str) -> Pack:
    """A shipped pack by name ("us-federal-84c"), opened once in a process, read as needed."""
    return _open(PACKS / name)


def read_pack(folder: Path) -> Pack:
    """Read and check all of the pack in a folder; RuleError on the first mistake."""
    pack = _open(folder)
    for name in pack.rules:
        pack.rules[name]
    for file in pack.sources:
        if "/" in file and file not in {f"blocks/{kind}.toml" for kind in FILES}:
            raise RuleError(f"{folder.name}/{file}: the file is no known block.")
    try:
        pack.blocks.check(folder.name)
    except BlockError as wrong:
        raise RuleError(str(wrong)) from None
    return pack


def _open(folder: Path) -> Pack:
    """The pack with its digest and head; its rules and blocks are not looked into yet."""
    if not (folder / "pack.toml").is_file():
        raise RuleError(f"{folder.name}: pack.toml is missing.")
    sources = _files(str(folder), "")
    if (folder / "blocks").is_dir():
        sources |= _files(str(folder / "blocks"), "blocks/")
    digest = hashlib.sha256()
    for name, content in sources.items():
        digest.update(f"{name}\0{len(content)}\0".encode())
        digest.update(content)
    where = f"{folder.name}/pack.toml"
    head = _head(_parse(sources["pack.toml"], where), where)
    rules = _Rules(folder.name, sources)
    return Pack(folder.name, digest=digest.hexdigest(), rules=rules, sources=sources, **head)


def _files(folder: str, prefix: str) -> dict[str, bytes]:
    """The TOML files of a folder in order of name, by the plainest calls: there are hundreds."""
    names = sorted(name for name in os.listdir(folder) if name.endswith(".toml"))
    found = {}
    for name in names:
        with open(f"{folder}/{name}", "rb", buffering=0) as file:
            found[prefix + name] = file.readall()
    return found


def _parse(content: bytes, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise RuleError(f"{where}: cannot be read as TOML: {problem}") from None


def _head(table: dict[str, Any], where: str) -> dict[str, str]:
    _known(table, _PACK_KEYS, _PACK_KEYS, where)
    return {key: _text(table, key, where) for key in _PACK_KEYS}


def _rule(name: str, table: dict[str, Any], where: str) -> Rule:
    if not _NAME.fullmatch(name):
        raise RuleError(f"{where}: the file name must be small letters, digits and hyphens.")
    _known(table, ("title", "values"), ("title", "values"), where)
    rows = table["values"]
    if not isinstance(rows, list) or not rows or not all(isinstance(row, dict) for row in rows):
        raise RuleError(f"{where}: key 'values' must be one or more [[values]] tables.")
    values = [_value(name, row, f"{where}: value {n}") for n, row in enumerate(rows, 1)]
    for n, (earlier, later) in enumerate(pairwise(values), 2):
        if earlier.to is None or later.from_ <= earlier.to:
            raise RuleError(
                f"{where}: value {n}: key 'from': {later.from_} overlaps the value before it,"
                f" which holds {f'to {earlier.to}' if earlier.to else 'without an end'}."
            )
        apart = later.from_.toordinal() - earlier.to.toordinal() > 1
        if apart != bool(later.gap):
            told = (
                "leaves a gap; key 'gap' must say why" if apart else "has a 'gap' and leaves none"
            )
            raise RuleError(f"{where}: value {n}: key 'from': {later.from_} {told}.")
    return Rule(name, _text(table, "title", where), tuple(values))


def _value(name: str, row: dict[str, Any], where: str) -> RuleValue:
    _known(row, _REQUIRED, _REQUIRED + _OPTIONAL, where)
    evidence, edge = row["evidence"], row.get("edge", "")
    if evidence not in EVIDENCE:
        raise RuleError(
            f"{where}: key 'evidence': {evidence!r} is not one of {', '.join(EVIDENCE)}."
        )
    if edge and edge not in EDGES:
        raise RuleError(f"{where}: key 'edge': {edge!r} is not one of {', '.join(EDGES)}.")
    begins, ends = _day(row, "from", where), _day(row, "to", where) if "to" in row else None
    if ends is not None and ends < begins:
        raise RuleError(f"{where}: key 'to': {ends} is before 'from' {begins}.")
    if (evidence == "interpretation") != ("reason" in row):
        raise RuleError(f"{where}: key 'reason' belongs to an interpretation, and to no other.")
    if ("corrected_on" in row) != ("was" in row):
        raise RuleError(f"{where}: keys 'corrected_on' and 'was' go together.")
    if "choices" in row and evidence != "interpretation":
        raise RuleError(f"{where}: key 'choices' belongs to an interpretation, and to no other.")
    unit, cite = (_text(row, key, where) for key in _TEXTS)
    return RuleValue(
        rule=name,
        value=_plain(row, "value", where),
        unit=unit,
        cite=cite,
        evidence=evidence,
        checked_on=_day(row, "checked_on", where),
        from_=begins,
        to=ends,
        edge=edge,
        reason=_text(row, "reason", where) if "reason" in row else "",
        note=_text(row, "note", where) if "note" in row else "",
        corrected_on=_day(row, "corrected_on", where) if "corrected_on" in row else None,
        was=_plain(row, "was", where) if "was" in row else None,
        choices=_choices(row, where) if "choices" in row else (),
        gap=_text(row, "gap", where) if "gap" in row else "",
    )


def _choices(row: dict[str, Any], where: str) -> tuple[str, ...]:
    found = _plain(row, "choices", where)
    if not isinstance(found, tuple) or len(found) < 2 or found[0] != row["value"]:
        raise RuleError(f"{where}: key 'choices' must be two or more, the value itself first.")
    return found


def _known(
    table: dict[str, Any], required: tuple[str, ...], allowed: tuple[str, ...], where: str
) -> None:
    for key in table:
        if key not in allowed:
            raise RuleError(f"{where}: key {key!r} is not known.")
    for key in required:
        if key not in table:
            raise RuleError(f"{where}: key {key!r} is missing.")


def _text(table: dict[str, Any], key: str, where: str) -> str:
    found = table[key]
    if not isinstance(found, str) or not found.strip():
        raise RuleError(f"{where}: key {key!r} must be text.")
    return found


def _day(table: dict[str, Any], key: str, where: str) -> date:
    found = table[key]
    if not isinstance(found, date) or isinstance(found, datetime):
        raise RuleError(f"{where}: key {key!r} must be a date such as 2026-01-01.")
    return found


def _plain(table: dict[str, Any], key: str, where: str) -> Value:
    found = table[key]
    if isinstance(found, list) and found and all(isinstance(part, str) for part in found):
        return tuple(found)
    if isinstance(found, datetime) or not isinstance(found, int | str | date):
        raise RuleError(
            f"{where}: key {key!r} must be a whole number, yes or no, a date, text or a list"
            " of texts."
        )
    return found
