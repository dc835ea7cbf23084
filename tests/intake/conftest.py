"""The shop that the tests of imports put their sheets into, on each engine there is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from ledger.book.journal import Book
from tests.intake.shop import Shop, masters


@pytest.fixture
def shop(book: Book, tmp_path: Path, clock: Any) -> Shop:
    """A shop in Chicago on 30 March 2026, with its masters in the book."""
    made = Shop(book, tmp_path, clock())
    made.record(*masters(), key="masters")
    return made
