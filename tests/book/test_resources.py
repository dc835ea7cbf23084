"""The folders that travel with the program are found in a checkout and in a wheel."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger import resources
from ledger.resources import FOLDERS, folder


def test_checkout_folders_are_found() -> None:
    for name in FOLDERS:
        assert folder(name).is_dir() and folder(name).name == name
    assert (folder("migrations") / "env.py").is_file()


def test_installed_folder_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "site" / "ledger"
    (package / "_reports").mkdir(parents=True)
    (tmp_path / "site" / "reports").mkdir()
    (tmp_path / "site" / "fixtures").mkdir()
    monkeypatch.setattr(resources, "__file__", str(package / "resources.py"))
    assert folder("reports") == package / "_reports"
    assert folder("fixtures") == tmp_path / "site" / "fixtures"
    with pytest.raises(FileNotFoundError, match="migrations"):
        folder("migrations")
