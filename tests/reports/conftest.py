"""Leaves the tests that start an office program out, unless the machine is there to run them."""

from __future__ import annotations

import os

collect_ignore = (
    []
    if os.environ.get("TAREBOOK_OFFICE") == "1" or os.environ.get("CI")
    else ["test_recalculated.py", "test_templates_in_office.py"]
)
