"""The record of an import itself: the file, its digest, the entries it made and the counts."""

from __future__ import annotations

from hashlib import file_digest
from pathlib import Path

from ledger.facts.entry import Draft
from ledger.facts.facts import Setting
from ledger.intake.report import OUTCOMES, ImportReport

SETTING = "import run"
"""The setting under which a book keeps what an import was, by the number of its first entry.

The rows of a run are the entries from `first` to `last` whose key begins with "import:";
others may have written between them.
"""


def summary_of(report: ImportReport, path: Path, today: str) -> Draft:
    """The entry that closes an import which recorded something."""
    with path.open("rb") as file:
        sha256 = file_digest(file, "sha256").hexdigest()
    value = {
        "file": report.file, "sha256": sha256, "first": report.first, "last": report.last,
        "counts": {name: report.counts[name] for name in OUTCOMES if report.counts[name]},
    }  # fmt: skip
    fact = Setting(SETTING, str(report.first), value)
    return Draft(f"imported:{report.first}", "import", today, (fact,), source=report.file)
