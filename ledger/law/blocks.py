"""The general blocks a jurisdiction is written in: scope, clock, calendar, paper, retention.

A block names which rules, events and duties go together; the numbers stay in the rules. What a
block may hold is in `SHAPES`; a key, an event or a rule it does not know is an error that names
the file, the block and the key.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from typing import Any

FILES = ("scope", "clocks", "calendars", "papers", "retention")
"""The kinds of blocks, one file each in the folder `blocks` of a pack."""

EVENTS = frozenset({
    "addition", "alarm", "ceased", "choose-plan", "day", "delivery", "detection", "exceedance",
    "extension-request", "follow-up-test", "full-charge", "initial-test", "installation",
    "leak-inspection", "leak-rate", "monitor", "mothball", "new-estimate", "normal-conditions",
    "notice", "objection", "plan", "plan-extension", "plan-extension-request", "plan-finalized",
    "plan-relief", "plan-required", "purge-exclusion", "record", "repair", "report",
    "required-monitor", "retire", "retrofit", "start-up", "system-start",
    "registration", "annual-report", "fee", "fee-waiver", "year-end",
})  # fmt: skip
"""What starts, ends or suspends something; a test counts when it was passed."""

GROUNDS = frozenset({
    "shutdown", "evacuated", "extension-parts", "extension-other-law", "extension-radiological",
    "extension-custom-built", "extension-federal-owner", "retire-exempt-substitute",
    "delay-evidence", "delay-evidence-ghg",
})  # fmt: skip
"""What makes a clock run longer or from another day."""

GIVEN = frozenset({"choose-plan", "no-action", "verified", "cannot-repair", "exceedance"})
"""What must be so for a clock to start at all."""

WHO = frozenset({"owner", "contractor", "technician", "seller", "nobody"})
GRIDS = frozenset({"anchor", "calendar year", "last"})
"""What recurring dates hang on: the anchor, calendar years, or the last time it was done."""

KINDS = frozenset({"duty", "option"})
PAPERS = frozenset({"report", "record"})
OF = frozenset({"circuit", "facility"})
ANSWERS = frozenset({"yes", "no"})

WORDS: Mapping[str, frozenset[str]] = {
    "event": EVENTS, "ground": GROUNDS, "given": GIVEN, "who": WHO, "grid": GRIDS,
    "kind": KINDS, "paper": PAPERS, "of": OF, "answer": ANSWERS,
}  # fmt: skip
"""The words a key of each shape may hold."""

_COMMON = {"title": "text", "from": "day", "to?": "day", "cite": "text", "readings?": "rules"}
_WHOSE = {"duty": "text", "who": "who", "scope?": "scope", "limbs?": "limbs", "when?": "when"}

SHAPES: Mapping[str, Mapping[str, str]] = {
    "scope": {
        "title": "text", "cite": "text", "unknown": "text", "of?": "of", "gwp_set?": "rule",
        "decisions?": "decisions", "rows": "rows",
    },
    "clocks": {
        **_COMMON, **_WHOSE, "kind": "kind", "starts": "event", "given?": "given",
        "length?": "period", "day?": "rule", "floor?": "rule", "cap?": "period",
        "cap_starts?": "event", "also_by?": "events", "longer?": "longers", "ends": "events",
        "suspended_by?": "events",
    },
    "calendars": {
        **_COMMON, **_WHOSE, "starts": "event", "every": "rule", "grid": "grid",
        "apart?": "period", "floor?": "rule", "stops_after?": "rule", "waived_by?": "events",
        "upkeep?": "rule",
    },
    "papers": {
        **_COMMON, **_WHOSE, "paper": "paper", "items": "texts", "due?": "rule", "at?": "text",
        "channel?": "rule", "signed?": "text", "given_rule?": "rule", "first?": "rule",
        "amount?": "rule", "waiver?": "rule", "starts?": "event", "length?": "period",
        "ends?": "events", "fields?": "rules",
    },
    "retention": {**_COMMON, "years": "rule", "starts": "event"},
    "longer": {
        "when": "ground", "starts?": "event", "length?": "period", "cap?": "period",
        "cap_shutdown?": "period", "condition?": "rule", "readings?": "rules",
    },
    "decision": {
        "question": "text", "undecided": "text", "rule?": "rule", "never?": "texts",
        "always?": "texts",
    },
    "row": {
        "limb": "text", "binds": "answer", "says": "text", "from?": "day", "to?": "day",
        "rule?": "rule", "when?": "when",
    },
    "when": {
        "ods?": "flag", "hfc?": "flag", "exempt_substitute?": "flag", "listed?": "flag",
        "indoors?": "flag", "seasonal?": "flag", "category?": "texts or rule",
        "not_category?": "texts or rule", "use?": "texts", "refrigerant?": "rule",
        "country?": "texts", "state?": "texts", "not_state?": "texts", "district?": "texts",
        "owner?": "texts", "size?": "size", "size_under?": "size", "gwp?": "rule",
        "gwp_under?": "rule", "decision?": "decided", "added?": "rule", "added_pct?": "rule",
        "federal_owner?": "flag",
    },
}  # fmt: skip
"""The keys of each block and their shapes; a question mark marks what may be left out."""

PERIODS = ("hour", "day", "week", "month", "quarter", "year")
SIZES = ("lb", "kg", "t CO2e")
"""Units of a size: pounds, kilograms, metric tons of carbon dioxide equivalent."""

Block = Mapping[str, Any]
"""A block as read: keys without the question mark, lists as tuples."""


class BlockError(ValueError):
    """A block that does not hold what it must; the text names file, block and key."""


class Blocks:
    """The blocks of a pack by kind and name, each kind read when it is first asked for."""

    def __init__(self, read: Callable[[str], Mapping[str, Block]]) -> None:
        self._read = read
        self._kinds: dict[str, Mapping[str, Block]] = {}

    def __len__(self) -> int:
        return sum(len(self.of(kind)) for kind in FILES)

    def of(self, kind: str) -> Mapping[str, Block]:
        """The blocks of a kind of FILES by name."""
        if kind not in self._kinds:
            self._kinds[kind] = self._read(kind)
        return self._kinds[kind]

    @property
    def scopes(self) -> Mapping[str, Block]:
        """Which circuits and facilities the pack binds: ordered rows, the first that fits."""
        return self.of("scope")

    @property
    def clocks(self) -> Mapping[str, Block]:
        """What runs once from an event: a duty or a last day to ask."""
        return self.of("clocks")

    @property
    def calendars(self) -> Mapping[str, Block]:
        """What recurs."""
        return self.of("calendars")

    @property
    def papers(self) -> Mapping[str, Block]:
        """Reports and records with their items."""
        return self.of("papers")

    @property
    def retention(self) -> Mapping[str, Block]:
        """How long records are kept."""
        return self.of("retention")

    def check(self, pack: str) -> None:
        """Every scope and limb that a block names is there; BlockError naming file and key."""
        for kind in FILES:
            for name, block in self.of(kind).items():
                at = f"{pack}/blocks/{kind}.toml: block {name}"
                scope = block.get("scope") if kind != "scope" else None
                if scope is not None and scope not in self.scopes:
                    raise BlockError(f"{at}: key 'scope': there is no scope {scope!r}.")
                rows = self.scopes[scope]["rows"] if scope is not None else ()
                for limb in block.get("limbs", ()):
                    if limb not in {row["limb"] for row in rows}:
                        raise BlockError(f"{at}: key 'limbs': the scope has no limb {limb!r}.")

    def on(self, kind: str, day: date) -> Iterator[tuple[str, Block]]:
        """The blocks of a kind in force on a day, by name."""
        for name, block in self.of(kind).items():
            if in_force(block, day):
                yield name, block


def in_force(block: Block, day: date) -> bool:
    """Whether a block or a row holds on a day."""
    begins, ends = block.get("from"), block.get("to")
    return (begins is None or begins <= day) and (ends is None or day <= ends)


def read_block(
    kind: str, table: Mapping[str, Any], rules: Mapping[str, Any], where: str
) -> dict[str, Block]:
    """The blocks of one file, checked; BlockError naming file, block and key."""
    found: dict[str, Block] = {}
    for name, row in table.items():
        at = f"{where}: block {name}"
        if not isinstance(row, dict):
            raise BlockError(f"{at}: must be a table.")
        found[name] = _Reader(rules, row).block(kind, row, at)
    return found


class _Reader:
    """Reads one block against the rules of its pack."""

    def __init__(self, rules: Mapping[str, Any], block: Mapping[str, Any]) -> None:
        self.rules = rules
        self.decisions = block.get("decisions", {})

    def block(self, kind: str, table: Any, at: str) -> Block:
        """A table by its shape: no unknown key, nothing missing, each value as it must be."""
        if not isinstance(table, dict):
            raise BlockError(f"{at}: must be a table.")
        shape = SHAPES[kind]
        for key in table:
            if key not in shape and f"{key}?" not in shape:
                raise BlockError(f"{at}: key {key!r} is not known.")
        for key in shape:
            if not key.endswith("?") and key not in table:
                raise BlockError(f"{at}: key {key!r} is missing.")
        return {
            key: self.value(shape.get(key) or shape[f"{key}?"], value, f"{at}: key {key!r}")
            for key, value in table.items()
        }

    def value(self, shape: str, value: Any, at: str) -> Any:
        """A value by its shape."""
        if shape in WORDS:
            return self._word(shape, value, at)
        if shape in ("rows", "longers"):
            return self._several(shape.removesuffix("s"), value, at)
        if shape == "when":
            return self.block("when", value, at)
        reader = {
            "text": self._text, "texts": self._texts, "day": self._day, "flag": self._flag,
            "rule": self._rule, "rules": self._rules, "size": self._size, "period": self._period,
            "events": self._events, "scope": self._text, "limbs": self._texts,
            "decisions": self._questions, "decided": self._decided,
            "texts or rule": self._either,
        }[shape]  # fmt: skip
        return reader(value, at)

    def _word(self, shape: str, value: Any, at: str) -> str:
        if value not in WORDS[shape]:
            raise BlockError(f"{at}: {value!r} is not one of {', '.join(sorted(WORDS[shape]))}.")
        return str(value)

    def _several(self, kind: str, value: Any, at: str) -> tuple[Block, ...]:
        if not isinstance(value, list) or not value:
            raise BlockError(f"{at}: must be one or more tables.")
        return tuple(self.block(kind, row, f"{at} {n}") for n, row in enumerate(value, 1))

    def _text(self, value: Any, at: str) -> str:
        if not isinstance(value, str) or not value.strip():
            raise BlockError(f"{at}: must be text.")
        return value

    def _texts(self, value: Any, at: str) -> tuple[str, ...]:
        if not isinstance(value, list) or not value:
            raise BlockError(f"{at}: must be a list of texts.")
        return tuple(self._text(part, at) for part in value)

    def _day(self, value: Any, at: str) -> date:
        if not isinstance(value, date) or isinstance(value, datetime):
            raise BlockError(f"{at}: must be a date such as 2026-01-01.")
        return value

    def _flag(self, value: Any, at: str) -> bool:
        if not isinstance(value, bool):
            raise BlockError(f"{at}: must be true or false.")
        return value

    def _rule(self, value: Any, at: str) -> str:
        if self._text(value, at) not in self.rules:
            raise BlockError(f"{at}: there is no rule {value!r} in the pack.")
        return str(value)

    def _rules(self, value: Any, at: str) -> tuple[str, ...]:
        return tuple(self._rule(part, at) for part in self._texts(value, at))

    def _events(self, value: Any, at: str) -> tuple[str, ...]:
        return tuple(self._word("event", part, at) for part in self._texts(value, at))

    def _either(self, value: Any, at: str) -> tuple[str, ...] | str:
        return self._rule(value, at) if isinstance(value, str) else self._texts(value, at)

    def _size(self, value: Any, at: str) -> str:
        name = self._rule(value, at)
        for found in self.rules[name].values:
            if not found.unit.startswith(SIZES) or not isinstance(found.value, int):
                raise BlockError(f"{at}: the unit of {name!r} is none of {', '.join(SIZES)}.")
            if found.edge not in ("over", "at least"):
                raise BlockError(f"{at}: {name!r} must have an edge, over or at least.")
        return name

    def _period(self, value: Any, at: str) -> str:
        name = self._rule(value, at)
        for found in self.rules[name].values:
            if not isinstance(found.value, int) or not found.unit.startswith(PERIODS):
                told = f"is not a number of {', '.join(PERIODS)}s"
                raise BlockError(f"{at}: {name!r} {told}.")
        return name

    def _questions(self, value: Any, at: str) -> dict[str, Block]:
        if not isinstance(value, dict):
            raise BlockError(f"{at}: must be tables.")
        return {name: self.block("decision", row, f"{at} {name}") for name, row in value.items()}

    def _decided(self, value: Any, at: str) -> dict[str, str]:
        if not isinstance(value, dict) or not value:
            raise BlockError(f"{at}: must name a decision.")
        for name in value:
            if name not in self.decisions:
                raise BlockError(f"{at}: there is no decision {name!r} in the scope.")
        return {name: self._word("answer", answer, at) for name, answer in value.items()}
