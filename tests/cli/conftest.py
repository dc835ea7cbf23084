"""A shop with a few units and cylinders, made once and copied for every test that asks."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.shop import START, Shop


@pytest.fixture(scope="session")
def started(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with the shop that is copied."""
    shop = Shop(tmp_path_factory.mktemp("started"))
    shop.all(START)
    return shop.folder


@pytest.fixture
def shop(started: Path, tmp_path: Path) -> Shop:
    """A shop of one's own, as START makes it."""
    folder = tmp_path / "shop"
    shutil.copytree(started, folder)
    return Shop(folder)
