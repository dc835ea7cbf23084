"""Makes docs/errors.md from pages and reproductions: `python -m tests.errors.pages_document`."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from ledger.facts.pages import codes, page
from tests.cli.shop import START

ROOT = Path(__file__).parents[2]


def _cases() -> dict[str, dict[str, Any]]:
    found = {}
    for path in sorted((Path(__file__).parent / "catalogue").glob("*.toml")):
        found[path.stem] = tomllib.loads(path.read_text(encoding="utf-8"))
    return found


CASES = _cases()
"""Every reproduction by its code."""

_HEAD = """# Refusals

Every refusal is one sentence and a next step, with its code in brackets; nothing was written.
Exit code 2: what was asked cannot be done so. Exit code 3: the book itself is in the way. Exit
code 4: an import left rows that wait for an answer; what could be recorded of the file is. Problems
that meet in one entry are told in the order of this page. `tarebook refusal CODE` prints a page.

This page is generated from the pages and the reproductions, which a test runs. Each reproduction
starts from the same small shop, on 30 June 2026:

```text
{start}
```
"""


def document() -> str:
    """The text of docs/errors.md."""
    parts = [_HEAD.format(start="\n".join(f"$ {line}" for line in START))]
    for code in codes():
        case = CASES[code]
        lines = page(code)[2:]
        parts.append(f"\n## {code}\n\n" + "\n".join(f"{line}  " for line in lines).rstrip() + "\n")
        shown = [f"$ {line}" for line in case.get("setup", ())]
        if case.get("prepare"):
            shown.append(case.get("prepared", f"(the book is made {case['prepare']})"))
        shown += [f"({name} is: {text.strip()!r})" for name, text in case.get("files", {}).items()]
        shown += [f"$ {case['command']}", case["error"]]
        parts.append("\n```text\n" + "\n".join(shown) + "\n```\n")
    return "".join(parts)


if __name__ == "__main__":
    (ROOT / "docs" / "errors.md").write_text(document(), encoding="utf-8")
