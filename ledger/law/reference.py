"""Writes the reference pages of docs/rules from the packs, so that page and rule cannot differ."""

from __future__ import annotations

from pathlib import Path

from ledger.answers.working import EVIDENCE_WORDS
from ledger.law.for_rates import value_text
from ledger.law.loader import EVIDENCE, SHIPPED, Pack, Rule, RuleValue, load_pack
from ledger.law.reference_blocks import block_lines

__all__ = ["SHIPPED", "page", "reference"]

_HEADINGS = ("from", "to", "value", "unit", "paragraph", "evidence", "checked on")


def reference() -> dict[str, str]:
    """The text of every page by file name ("us-federal-84c.md")."""
    return {f"{name}.md": page(load_pack(name)) for name in SHIPPED}


def page(pack: Pack) -> str:
    """One pack as a page: what it is, then every rule with its values, marks and reasons."""
    lines = [
        f"# {pack.citation}",
        "",
        f"{pack.title}. {pack.jurisdiction}. Pack `{pack.name}`, release {pack.release}.",
        "",
        f"Digest of the rule files: `{pack.digest}`.",
        "",
        "This page is generated from the rule files. A dash under *to* means still in force."
        " It is what the program computes with, not legal advice; the text itself decides.",
        "",
        "Evidence marks: "
        + "; ".join(
            f"`{mark}` {words}" for mark, words in EVIDENCE_WORDS.items() if mark in EVIDENCE
        )
        + ".",
    ]
    for name in sorted(pack.rules):
        lines += ["", *_section(pack.rules[name])]
    lines += block_lines(pack.blocks)
    return "\n".join(lines) + "\n"


def _section(rule: Rule) -> list[str]:
    lines = [f"## {rule.name}", "", f"{rule.title}.", "", _row(_HEADINGS)]
    lines.append(_row(("---",) * len(_HEADINGS)))
    lines += [_row(_cells(found)) for found in rule.values]
    for found in rule.values:
        remarks = [f"Reason: {found.reason}." if found.reason else ""]
        if found.choices:
            remarks.append(f"A book may choose: {'; '.join(found.choices)}.")
        remarks.append(f"Note: {found.note}." if found.note else "")
        if found.corrected_on:
            remarks.append(f"Corrected on {found.corrected_on}; this program said {found.was}.")
        text = " ".join(part for part in remarks if part)
        if text:
            lines += ["", f"From {found.from_}. {text}"]
    return lines


def _cells(found: RuleValue) -> tuple[str, ...]:
    value = value_text(found).removesuffix(found.unit).strip()
    return (
        str(found.from_),
        str(found.to or "–"),
        value,
        found.unit,
        found.cite,
        found.evidence,
        str(found.checked_on),
    )


def _row(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def write(folder: Path) -> None:
    """Write every page of the reference into a folder."""
    for name, text in reference().items():
        (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write(Path("docs/rules"))
