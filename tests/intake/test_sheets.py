"""Files as spreadsheet programs save them: what is read of them, and one sentence for the rest."""

from __future__ import annotations

import datetime
import io
import random
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from ledger.facts.limits import LARGEST_SHEET_COLUMNS, LARGEST_WORKBOOK_PARTS
from ledger.facts.problems import Refused
from ledger.intake.sheets import Unread, cell_text, column_letter, open_sheets

NOISE = random.Random(1).randbytes(17_000_000)
SHEET_XML = "xl/worksheets/sheet1.xml"


def read(path: Path, sheet: str = "") -> list[list[object]]:
    with open_sheets(path) as file:
        return [row.cells for row in file.rows(sheet or file.sheets[0])]


def written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def refusal(path: Path) -> str:
    with pytest.raises(Refused) as caught:
        read(path)
    (problem,) = caught.value.problems
    assert problem.sentence.endswith(".") and problem.remedy
    assert str(path.parent) not in problem.sentence or problem.code == "file-missing"
    return problem.code


@pytest.mark.parametrize(
    ("data", "cells"),
    [
        (b"a,b\n1,2\n", [["a", "b"], ["1", "2"]]),
        (b"a;b\n1,5;2\n", [["a", "b"], ["1,5", "2"]]),
        (b"a\tb\n1;2\t3\n", [["a", "b"], ["1;2", "3"]]),
        (b"\xef\xbb\xbfa,b\r\n1,2\r\n", [["a", "b"], ["1", "2"]]),
        (b"a,b\r1,2\r", [["a", "b"], ["1", "2"]]),
        ("é,b\n".encode("utf-16"), [["é", "b"]]),
        (b'a,"b ""c"", d"\n"1\n2",3\n', [["a", 'b "c", d'], ["1\n2", "3"]]),
        (b'5" hose,b\n', [['5" hose', "b"]]),
        (b"one cell\n", [["one cell"]]),
        (b"a,b\n\n1,2\n", [["a", "b"], [], ["1", "2"]]),
    ],
)
def test_separated_text(tmp_path: Path, data: bytes, cells: list[list[str]]) -> None:
    assert read(written(tmp_path / "jobs.csv", data)) == cells


def test_rows_count_as_a_spreadsheet_program_counts_them(tmp_path: Path) -> None:
    path = written(tmp_path / "jobs.csv", b'a,b\n\n"1\n2",3\n4,5\n')
    with open_sheets(path) as file:
        assert [row.number for row in file.rows("")] == [1, 2, 3, 4]


def test_text_that_is_not_utf_8_is_read_as_windows_1252_and_said_so(tmp_path: Path) -> None:
    path = written(tmp_path / "jobs.csv", "Café,1\n".encode("cp1252"))
    with open_sheets(path) as file:
        assert [row.cells for row in file.rows("")] == [["Café", "1"]]
        assert "Windows-1252" in file.notes[0]


@pytest.mark.parametrize(
    ("name", "data", "code"),
    [
        ("jobs.csv", b"", "file-unfit"),
        ("jobs.csv", b"a\0b,c\n", "file-unfit"),
        ("jobs.csv", b"a,\x81\n", "file-unfit"),
        ("jobs.csv", b"PK\x03\x04 and more", "file-unfit"),
        ("jobs.csv", b'a,b\n"never closed,1\n2,3\n', "file-unfit"),
        ("jobs.csv", b'a,b\n"closed"too early,1\n', "file-unfit"),
        ("jobs.csv", b'a,b\n"' + b"x" * 200_000 + b'",1\n', "file-unfit"),
        ("jobs.csv", b"x," * (LARGEST_SHEET_COLUMNS + 1), "file-too-large"),
        ("jobs.xlsx", b"a,b\n1,2\n", "file-unfit"),
        ("jobs.xlsx", b"PK\x03\x04 cut off", "file-unfit"),
        ("jobs.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "file-unfit"),
        ("jobs.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "file-unfit"),
        ("jobs.pdf", b"%PDF-1.7", "file-unfit"),
    ],
)  # fmt: skip
def test_files_that_are_no_sheets(tmp_path: Path, name: str, data: bytes, code: str) -> None:
    assert refusal(written(tmp_path / name, data)) == code


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert refusal(tmp_path / "none.csv") == "file-missing"
    assert refusal(tmp_path / "bad\0name.csv") == "file-unfit"
    (tmp_path / "folder.csv").mkdir()
    assert refusal(tmp_path / "folder.csv") == "file-unfit"


def test_empty_cells_far_to_the_right_are_nothing(tmp_path: Path) -> None:
    line = "a,b" + "," * LARGEST_SHEET_COLUMNS + "\n"
    (cells,) = read(written(tmp_path / "jobs.csv", line.encode()))
    assert len(cells) == LARGEST_SHEET_COLUMNS and cells[:3] == ["a", "b", ""]


# --- workbooks ---------------------------------------------------------------------------
def saved(path: Path, fill: Callable[[Any], None]) -> Path:
    book = Workbook()
    fill(book)
    book.save(path)
    return path


def test_cells_of_a_workbook(tmp_path: Path) -> None:
    def fill(book: Any) -> None:
        sheet = book.active
        sheet.title = "Charges"
        sheet.append(["Date", None, 4.8, 5, True, datetime.date(2025, 6, 3), datetime.time(14, 5)])
        sheet["C4"] = 21.40 - 18.25
        sheet["A6"] = "  two\xa0words "

    path = saved(tmp_path / "jobs.xlsx", fill)
    with open_sheets(path) as file:
        rows = list(file.rows("Charges"))
    assert [row.number for row in rows] == [1, 4, 6]
    day = datetime.datetime(2025, 6, 3)
    assert rows[0].cells == ["Date", None, 4.8, 5, True, day, datetime.time(14, 5)]
    assert rows[1].cells == [None, None, 3.15]  # the fifteen digits a spreadsheet program shows
    assert cell_text(rows[2].cells[0]) == "two words"


def with_part(path: Path, name: str, change: Callable[[bytes], bytes]) -> Path:
    """The workbook with one of its parts changed."""
    parts = {}
    with zipfile.ZipFile(path) as archive:
        for part in archive.namelist():
            parts[part] = archive.read(part)
    parts[name] = change(parts.get(name, b""))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, data in parts.items():
            archive.writestr(part, data)
    return path


def plain(tmp_path: Path) -> Path:
    return saved(tmp_path / "jobs.xlsx", lambda book: book.active.append(["Date", "lb"]))


def test_a_formula_gives_the_result_that_is_stored_with_it(tmp_path: Path) -> None:
    def stored(xml: bytes) -> bytes:
        cells = (
            b'<c r="A1"><f>1+1</f><v>2</v></c><c r="B1"><f>A1</f></c>'
            b'<c r="C1" t="e"><v>#N/A</v></c>'
        )
        start, end = xml.index(b"<sheetData>"), xml.index(b"</sheetData>")
        return xml[:start] + b"<sheetData><row r='1'>" + cells + b"</row>" + xml[end:]

    (cells,) = read(with_part(plain(tmp_path), SHEET_XML, stored))
    assert cells[0] == 2
    assert isinstance(cells[1], Unread) and "formula" in cells[1].why
    assert isinstance(cells[2], Unread) and "#N/A" in cells[2].why


def test_hidden_sheets_are_told_apart(tmp_path: Path) -> None:
    def fill(book: Any) -> None:
        book.create_sheet("Old").sheet_state = "hidden"

    with open_sheets(saved(tmp_path / "jobs.xlsx", fill)) as file:
        assert (file.sheets, file.hidden) == (["Sheet", "Old"], ["Old"])


def test_a_sheet_that_claims_to_be_huge_is_read_as_it_is(tmp_path: Path) -> None:
    def claim(xml: bytes) -> bytes:
        return xml.replace(b'ref="A1:B1"', b'ref="A1:XFD1048576"')

    assert read(with_part(plain(tmp_path), SHEET_XML, claim)) == [["Date", "lb"]]


@pytest.mark.parametrize(
    ("part", "change", "code"),
    [
        (SHEET_XML, lambda xml: b"<!DOCTYPE x [<!ENTITY a 'b'>]>" + xml, "file-unfit"),
        ("xl/styles.xml", lambda xml: xml.decode().encode("utf-16"), "file-unfit"),
        (SHEET_XML, lambda xml: xml[: len(xml) // 2], "file-unfit"),
        (SHEET_XML, lambda _: b"<x/>" + b" " * 40_000_000, "file-too-large"),
        ("xl/styles.xml", lambda xml: xml + NOISE, "file-too-large"),
        ("[Content_Types].xml", lambda _: b"<Types/>", "file-unfit"),
        ("xl/workbook.xml", lambda _: b"<workbook/>", "file-unfit"),
        ("xl/styles.xml", lambda _: b"not xml", "file-unfit"),
    ],
)  # fmt: skip
def test_workbooks_that_are_not_safe_or_not_sound(
    tmp_path: Path, part: str, change: Callable[[bytes], bytes], code: str
) -> None:
    assert refusal(with_part(plain(tmp_path), part, change)) == code


def test_archives_that_are_no_workbooks(tmp_path: Path) -> None:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("photo.jpg", b"x")
    assert refusal(written(tmp_path / "photos.xlsx", made.getvalue())) == "file-unfit"
    many = io.BytesIO()
    with zipfile.ZipFile(many, "w") as archive:
        for number in range(LARGEST_WORKBOOK_PARTS + 1):
            archive.writestr(f"{number}", b"")
    assert refusal(written(tmp_path / "many.xlsx", many.getvalue())) == "file-too-large"


def test_every_cut_of_a_workbook_is_one_sentence(tmp_path: Path) -> None:
    whole = plain(tmp_path).read_bytes()
    for length in range(10, len(whole) - 1, 97):
        assert refusal(written(tmp_path / "cut.xlsx", whole[:length])) == "file-unfit"


def test_a_workbook_that_is_refused_is_closed(tmp_path: Path, monkeypatch: Any) -> None:
    """A sheet that is no markup stops the library before anybody holds the file."""
    opened: list[Any] = []
    whole, made = plain(tmp_path).read_bytes(), io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as old, zipfile.ZipFile(made, "w") as new:
        for part in old.infolist():
            new.writestr(part, b"<<<not markup" if part.filename == SHEET_XML else old.read(part))
    path = written(tmp_path / "unmarked.xlsx", made.getvalue())
    really = Path.open

    def noted(self: Path, *args: Any, **named: Any) -> Any:
        opened.append(really(self, *args, **named))
        return opened[-1]

    monkeypatch.setattr(Path, "open", noted)
    with pytest.raises(Refused):
        open_sheets(path)
    assert len(opened) == 2 and all(file.closed for file in opened)


# --- cells as text -----------------------------------------------------------------------
@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (None, ""), ("  a \t b\n", "a b"), (5, "5"), (5.0, "5"), (4.8, "4.8"), (True, "yes"),
        (False, "no"), (datetime.date(2025, 6, 3), "2025-06-03"),
        (datetime.datetime(2025, 6, 3), "2025-06-03"),
        (datetime.datetime(2025, 6, 3, 14, 5), "2025-06-03 14:05"), (datetime.time(9, 5), "09:05"),
        ("RTU\u200b-3\ufeff", "RTU-3"), ("'=1+1", "=1+1"), ("'tis", "'tis"), (Unread("x"), ""),
        (float("inf"), "inf"), (float("nan"), "nan"), (1e300, "1e+300"),
    ],
)  # fmt: skip
def test_a_cell_as_a_person_reads_it(cell: object, text: str) -> None:
    assert cell_text(cell) == text


@pytest.mark.parametrize(
    ("index", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (255, "IV"), (701, "ZZ")]
)
def test_the_letter_over_a_column(index: int, letter: str) -> None:
    assert column_letter(index) == letter
