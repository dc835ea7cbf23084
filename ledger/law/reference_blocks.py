"""The part of a reference page that says how the rules hang together: the blocks of a pack."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ledger.law.blocks import Block, Blocks

_TITLES = {
    "scope": "What it binds",
    "clocks": "Clocks",
    "calendars": "What recurs",
    "papers": "Reports and records",
    "retention": "How long records are kept",
}
_WORDS = {
    "who": "owed by", "starts": "starts at", "length": "runs for", "longer": "longer",
    "ends": "ended by", "suspended_by": "suspended by", "cap_starts": "cap counts from",
    "given": "only if", "every": "every", "grid": "dates hang on", "stops_after": "stops after",
    "waived_by": "waived by", "upkeep": "upkeep", "apart": "at most apart", "items": "holds",
    "given_rule": "from", "first": "first", "limbs": "for", "readings": "readings",
    "not_category": "not category", "size_under": "size under", "cap_shutdown": "cap in a shutdown",
    "gwp_under": "GWP under", "not_state": "state not", "gwp": "GWP", "hfc": "HFC", "ods": "ODS",
}  # fmt: skip
"""How keys are printed; the others as they are."""
_SAID = ("title", "cite", "scope", "duty", "kind", "paper", "from", "to")


def block_lines(blocks: Blocks) -> Iterator[str]:
    """The blocks of a pack as lines of Markdown; rules are named in code type."""
    for kind, title in _TITLES.items():
        found = blocks.of(kind)
        if not found:
            continue
        yield from ("", f"## {title}")
        for name, block in found.items():
            yield from ("", f"### {kind}/{name}", "", f"{block['title']}. {block['cite']}.", "")
            yield from _rows(block) if kind == "scope" else _keys(block)


def _rows(scope: Block) -> Iterator[str]:
    yield "| limb | binds | where | from | to | says |"
    yield "| --- | --- | --- | --- | --- | --- |"
    for row in scope["rows"]:
        where = "; ".join(_said(key, value) for key, value in row.get("when", {}).items())
        cells = (row["limb"], row["binds"], where or "always", str(row.get("from", "–")),
                 str(row.get("to", "–")), row["says"])  # fmt: skip
        yield f"| {' | '.join(cell.replace('|', ' ') for cell in cells)} |"
    for name, asked in scope.get("decisions", {}).items():
        yield ""
        yield f"A person decides `{name}`: {asked['question']}."


def _keys(block: Block) -> Iterator[str]:
    span = f"in force from {block['from']}" + (f" to {block['to']}" if "to" in block else "")
    what = block.get("paper") or block.get("kind") or ""
    duty = f"; {what or 'duty'} `{block['duty']}`" if "duty" in block else ""
    yield f"- {span}{duty}"
    for key, value in block.items():
        if key not in _SAID:
            yield f"- {_said(key, value)}"


def _said(key: str, value: Any) -> str:
    word = _WORDS.get(key, key.replace("_", " "))
    if isinstance(value, bool):
        return word if value else f"not {word}"
    if isinstance(value, Mapping):
        return f"{word}: {'; '.join(_said(k, v) for k, v in value.items())}"
    if isinstance(value, tuple):
        parts = [_nested(part) if isinstance(part, Mapping) else str(part) for part in value]
        return f"{word}: {'; '.join(parts)}"
    return f"{word}: {value}"


def _nested(row: Block) -> str:
    return ", ".join(_said(key, value) for key, value in row.items())
