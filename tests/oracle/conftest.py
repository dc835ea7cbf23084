"""Leaves out what needs LibreOffice where none is promised; CI always promises it."""

from __future__ import annotations

import os

collect_ignore = (
    [] if os.environ.get("TAREBOOK_OFFICE") == "1" or os.environ.get("CI")
    else ["test_demo_workbooks.py"]
)  # fmt: skip
