"""Has LibreOffice compute a workbook afresh, and print one, for tests to compare with."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZipFile


def recalculate(path: Path) -> dict[str, dict[str, object]]:
    """Every cell of every sheet, by sheet title and address, as LibreOffice computes it.

    The results stored in the file are taken out first: they would be read back as they are.
    """
    from openpyxl import load_workbook

    with TemporaryDirectory() as place:
        made = _convert(_without_results(path, Path(place)), "xlsx", Path(place))
        book = load_workbook(made, data_only=True)
        found = {
            sheet.title: {
                cell.coordinate: cell.value
                for row in sheet.iter_rows()
                for cell in row
                if cell.value is not None
            }
            for sheet in book
        }
        book.close()
    return found


def _without_results(path: Path, place: Path) -> Path:
    bare = place / path.name
    with ZipFile(path) as old, ZipFile(bare, "w") as new:
        for part in old.namelist():
            new.writestr(part, re.sub(rb"</f><v>[^<]*</v>", b"</f>", old.read(part)))
    return bare


def printed(path: Path) -> list[str]:
    """The text of each page the workbook prints to."""
    with TemporaryDirectory() as place:
        made = _convert(path, "pdf", Path(place))
        text = subprocess.run(
            [_program("pdftotext"), "-layout", str(made), "-"],
            check=True,
            capture_output=True,
            timeout=60,
        ).stdout.decode("utf-8")
    return text.split("\f")[:-1]


def _convert(path: Path, ending: str, place: Path) -> Path:
    return saved_again([path], ending, place)[0]


def saved_again(paths: list[Path], ending: str, place: Path) -> list[Path]:
    """The files as LibreOffice saves them in another form or anew, in a folder under `place`."""
    target = place / "made"
    subprocess.run(
        [
            _program("soffice"),
            "--headless",
            f"-env:UserInstallation={(place / 'user').as_uri()}",
            "--convert-to",
            ending,
            "--outdir",
            str(target),
            *map(str, paths),
        ],
        check=True,
        capture_output=True,
        timeout=180,
    )
    return [target / f"{path.stem}.{ending}" for path in paths]


def _program(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        raise FileNotFoundError(f"{name} is needed: install libreoffice-calc and poppler-utils")
    return found
