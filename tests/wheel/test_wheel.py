"""The built wheel works alone: installed in an empty folder, run from another, no checkout seen."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
CARRIED = {"migrations": "_migrations", "reports": "_reports", "fixtures": "_fixtures"}
CLOCK = "2026-03-30T16:05:09+00:00"


@dataclass(frozen=True, slots=True)
class Installed:
    """A wheel, the folder it was installed into, and a folder to work in."""

    wheel: Path
    site: Path
    work: Path

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run one command of the installed program, which sees nothing of the checkout."""
        environ = {
            "PATH": os.environ["PATH"], "HOME": str(self.work), "PYTHONPATH": str(self.site),
            "PYTHONDONTWRITEBYTECODE": "1", "TAREBOOK_CLOCK": CLOCK, "LANG": "C.UTF-8",
        }  # fmt: skip
        return subprocess.run(
            [sys.executable, *words], cwd=self.work, env=environ, capture_output=True, text=True,
            stdin=subprocess.DEVNULL, timeout=120, check=False,
        )  # fmt: skip

    def tarebook(self, *words: str) -> str:
        """The output of a `tarebook` command, which has to succeed in silence on stderr."""
        done = self.run(str(self.site / "bin" / "tarebook"), *words)
        assert (done.returncode, done.stderr) == (0, ""), done.stdout + done.stderr
        return done.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Installed:
    """The project built as its users get it, and installed without its dependencies."""
    home = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(home)]
    _done(subprocess.run([*build, str(ROOT)], capture_output=True, text=True, check=False))
    (wheel,) = home.glob("tarebook-*.whl")
    place = [
        sys.executable, "-m", "pip", "install", "--no-deps", "--no-index", "--quiet",
        "--disable-pip-version-check", "--target", str(home / "site"), str(wheel),
    ]  # fmt: skip
    _done(subprocess.run(place, capture_output=True, text=True, check=False))
    work = home / "elsewhere"
    work.mkdir()
    return Installed(wheel, home / "site", work)


def _done(done: subprocess.CompletedProcess[str]) -> None:
    assert done.returncode == 0, done.stdout + done.stderr


def _kept(folder: Path) -> set[str]:
    return {
        file.relative_to(folder).as_posix()
        for file in folder.rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
    }


def test_the_wheel_holds_the_program_and_the_folders_it_needs(installed: Installed) -> None:
    with zipfile.ZipFile(installed.wheel) as archive:
        names = set(archive.namelist())
    tops = {name.partition("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"ledger"}
    for folder, inside in CARRIED.items():
        carried = {name.partition(f"{inside}/")[2] for name in names if f"/{inside}/" in name}
        assert carried == _kept(ROOT / folder)
        assert carried, f"{folder} is empty"
    own = {name.removeprefix("ledger/") for name in names if name.startswith("ledger/")}
    own = {name for name in own if not name.startswith(tuple(CARRIED.values()))}
    assert own == _kept(ROOT / "ledger")


def test_the_wheel_says_what_it_needs(installed: Installed) -> None:
    with zipfile.ZipFile(installed.wheel) as archive:
        texts = {name.rpartition("/")[2]: name for name in archive.namelist()}
        about = archive.read(texts["METADATA"]).decode()
        entry = archive.read(texts["entry_points.txt"]).decode()
    assert "Requires-Python: >=3.11" in about
    assert "License-Expression: Apache-2.0" in about
    assert "Provides-Extra: postgresql" in about
    assert "Provides-Extra: test" in about
    assert "tarebook = ledger.cli.main:run" in entry
    assert "LICENSE" in texts


def test_it_runs_from_where_it_was_installed(installed: Installed) -> None:
    code = (
        "import ledger; from ledger.resources import FOLDERS, folder\n"
        "print(ledger.__file__)\n"
        "for name in FOLDERS: print(folder(name))"
    )
    done = installed.run("-c", code)
    assert done.returncode == 0, done.stderr
    places = done.stdout.split()
    assert len(places) == 4
    assert all(Path(place).is_relative_to(installed.site) for place in places)
    assert str(ROOT) not in done.stdout


def test_help_and_version(installed: Installed) -> None:
    shown = installed.tarebook("--help")
    assert "charge" in shown
    assert "Not legal advice" in shown
    assert installed.tarebook("--version").startswith("tarebook ")


def test_a_book_is_made_written_checked_and_printed(installed: Installed) -> None:
    """Migrations, register, rules and report definitions are all found inside the wheel."""
    installed.tarebook("init", "--name", "Wheel Shop", "--zone", "America/Chicago")
    installed.tarebook("add", "site", "Depot", "--state", "TX", "--method", "annualizing")
    installed.tarebook(
        "add", "unit", "RTU-1", "--site", "Depot", "--refrigerant", "R-410A",
        "--full-charge", "60 lb", "--category", "comfort cooling",
    )  # fmt: skip
    installed.tarebook("add", "person", "Dana Field", "--certification", "Universal 12345")
    installed.tarebook("add", "party", "Supply House", "--role", "supplier")
    installed.tarebook(
        "receive", "410-1", "--net", "25 lb", "--from", "Supply House", "-r", "R-410A",
        "--kind", "disposable", "--on", "2026-03-02",
    )  # fmt: skip
    said = installed.tarebook(
        "charge", "RTU-1", "2.85", "--from", "410-1", "--by", "Dana Field", "--on", "2026-03-03"
    )
    assert "Leak rate of RTU-1" in said
    assert "R-410A" in installed.tarebook("balance")
    assert "Verified: 7 entries" in installed.tarebook("verify")
    installed.tarebook("history", "RTU-1", "--xlsx", "rtu-1.xlsx")
    assert zipfile.is_zipfile(installed.work / "rtu-1.xlsx")


def test_the_demo_runs_anywhere(installed: Installed) -> None:
    """The main job on the spreadsheets that travel in the wheel."""
    before = set(installed.work.iterdir())
    said = installed.tarebook("demo")
    assert "leak rate" in said.casefold()
    made = [
        path for new in set(installed.work.iterdir()) - before for path in (new, *new.rglob("*"))
    ]
    workbooks = [path for path in made if path.suffix == ".xlsx"]
    assert workbooks
    assert all(zipfile.is_zipfile(path) for path in workbooks)
