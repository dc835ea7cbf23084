"""One book for every message of these tests; nothing is recorded in it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.intake.texts.hearing import Listener, listening, make


@pytest.fixture(scope="session")
def listener(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Listener]:
    """A listener with the shop's book open."""
    path = tmp_path_factory.mktemp("texts") / "shop.db"
    make(path)
    with listening(path) as made:
        yield made
