"""Workbooks as files: safe cells, live formulas with their results, pages, and whole or not."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook

from ledger.facts.problems import Refused
from ledger.reports.archive import with_results
from ledger.reports.definitions import Definition, Sheet, load
from ledger.reports.safe import SHEET_LIMIT, for_sheet
from ledger.reports.table import Column, Table
from ledger.reports.workbook import write_table, write_workbook
from ledger.reports.xlsx_page import HEADING_ROW
from tests.reports.report_samples import ALL, LAYOUTS, SETTINGS, lb, table

FIRST = HEADING_ROW + 1


def _cells(text: str, tmp_path: Path) -> tuple[object, str, bytes]:
    """Value, type and XML of a text cell once written and read back.

    What would be a formula if it were typed in is also marked as text for whoever edits it.
    """
    path = write_table(table("T", [{"what": text}]), tmp_path / "t.xlsx", {})
    cell = load_workbook(path)["Table"][f"A{FIRST}"]
    assert bool(cell.quotePrefix) == (text[0] in "=+-@")
    with ZipFile(path) as parts:
        return cell.value, cell.data_type, parts.read("xl/worksheets/sheet1.xml")


@pytest.mark.parametrize(
    ("text", "stored"),
    [
        ('=HYPERLINK("http://example.invalid","x")',) * 2,
        ("=1+1",) * 2,
        ("+1",) * 2,
        ("-1",) * 2,
        ("@SUM(A1)",) * 2,
        ("0012",) * 2,
        ("\x1b[2Jx", "[2Jx"),
        ("a\x00b", "ab"),
        ("\x9b31m", "31m"),
        ("\ufffe\uffffx", "x"),
        ("\u202eevil\u2066", "evil"),
        ("\u200fmark",) * 2,
        ("a\nb",) * 2,
        ("\ud800x", "x"),
        ("<v>&amp;</v>",) * 2,
        ("</f><v/>",) * 2,
        ("#REF!",) * 2,
        ("{=1}",) * 2,
    ],
)
def test_text_is_never_a_formula(text: str, stored: str, tmp_path: Path) -> None:
    value, kind, xml = _cells(text, tmp_path)
    assert (value, kind) == (stored, "s")
    assert b"<f>" not in xml


def test_text_that_looks_like_an_escape_is_kept() -> None:
    assert for_sheet("_x0041_ _x00_") == "_x005F_x0041_ _x00_"


@pytest.mark.parametrize("character", ["x", "\U0001f9ca", "_x0041_"])
def test_text_too_long_for_a_cell_says_that_it_was_cut(character: str, tmp_path: Path) -> None:
    text = character * 40_000
    value, _, _ = _cells(text, tmp_path)
    assert isinstance(value, str)
    assert value.endswith(f" ... [cut here; the whole text has {len(text):,} characters]")
    stored = for_sheet(text)
    assert SHEET_LIMIT - 14 < len(stored.encode("utf-16-le")) // 2 <= SHEET_LIMIT
    assert for_sheet("x" * SHEET_LIMIT) == "x" * SHEET_LIMIT


def test_numbers_and_dates_are_written_digit_for_digit(tmp_path: Path) -> None:
    columns = [
        Column("lb", "Net", "mass"),
        Column("kg", "Net", "mass", unit="kg"),
        Column("day", "Date", "date"),
        Column("n", "Left side", "whole"),
        Column("usd", "Paid", "money", unit="USD"),
    ]
    rows: list[dict[str, object]] = [
        {"lb": lb("65.4"), "kg": lb("1"), "day": "2026-03-30", "n": 42, "usd": 7550},
        {"lb": lb("-0.01"), "kg": 0, "day": "2025-08", "n": 10**15, "usd": None},
    ]
    path = write_table(Table("T", columns, rows), tmp_path / "t.xlsx", {})
    sheet = load_workbook(path)["Table"]
    assert [cell.value for cell in sheet[FIRST][:5]] == [
        65.4,
        0.45359237,
        datetime(2026, 3, 30),
        42,
        75.5,
    ]
    assert [cell.value for cell in sheet[FIRST + 1][:5]] == [
        -0.01,
        0,
        "2025-08",
        "1000000000000000",
        None,
    ]
    assert [cell.number_format for cell in sheet[FIRST][:5]] == [
        "#,##0.00",
        "#,##0.00",
        "yyyy-mm-dd",
        "0",
        "#,##0.00",
    ]
    assert [cell.value for cell in sheet[HEADING_ROW][:5]] == [
        "Net (lb)",
        "Net (kg)",
        "Date",
        "Left side",
        "Paid (USD)",
    ]
    with ZipFile(path) as parts:
        assert b"<v>65.4</v>" in parts.read("xl/worksheets/sheet1.xml")


@pytest.fixture(scope="module")
def history(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("books") / "history.xlsx"
    return write_workbook(load("circuit-history"), ALL["circuit-history"](), path, SETTINGS)


def test_derived_cells_are_formulas_and_verdicts_are_written(history: Path) -> None:
    book = load_workbook(history)
    rates = book["Leak rates"]
    assert rates[f"F{FIRST}"].value == "=C6/D6/(E6/365)"
    assert rates[f"H{FIRST}"].value == "=G6/D6"
    assert rates[f"K{FIRST + 1}"].value == "over 20 %"
    assert book["History"][f"H{FIRST}"].value == "=F6-G6"
    assert book["History"]["H13"].value == "=SUM(H6:H12)"
    working = book["Working"]
    assert working[f"D{FIRST}"].value == str(lb("95") * 365 * 100)
    assert working[f"D{FIRST}"].data_type == "s"


def test_a_formula_steps_back_where_a_figure_is_missing(history: Path) -> None:
    book = load_workbook(history)
    assert book["History"]["H11"].value == "unknown"
    assert book["History"]["H12"].value == 32
    assert book["Leak rates"]["F10"].value == "cannot be computed"


def test_formulas_carry_the_program_s_results(history: Path) -> None:
    """A preview or protected view shows stored results and computes nothing."""
    book = load_workbook(history, data_only=True)
    assert book["Leak rates"]["F7"].value == 0.391761148904006
    assert book["History"]["H8"].value == -80
    assert book["History"]["H13"].value == 282
    assert load_workbook(history).calculation.fullCalcOnLoad


@pytest.mark.parametrize("size", [1, 2, 3, 7, 11, 64, 1 << 20])
def test_results_are_put_in_whatever_the_pieces(size: int, monkeypatch: pytest.MonkeyPatch) -> None:
    import io

    monkeypatch.setattr("ledger.reports.archive._CHUNK", size)
    xml = b"<c><f>A1</f><v /></c><c><f>B1</f><v></v></c><c><v>3</v></c><c><f>C1</f><v/></c><c/>"
    made = b"".join(with_results(io.BytesIO(xml), iter(["1.5", None, "-2"])))
    assert made == (
        b"<c><f>A1</f><v>1.5</v></c><c><f>B1</f><v></v></c><c><v>3</v></c>"
        b"<c><f>C1</f><v>-2</v></c><c/>"
    )


def test_pages_are_set_up_for_print(history: Path) -> None:
    for sheet in load_workbook(history):
        assert sheet.page_setup.orientation == "landscape"
        # A short sheet is one page; a long one is as wide as a page and as tall as it is.
        assert sheet.page_setup.fitToWidth == 1
        assert sheet.page_setup.fitToHeight == int(sheet.max_row <= 42)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.print_title_rows == f"${HEADING_ROW}:${HEADING_ROW}"
        assert sheet.freeze_panes == f"A{FIRST}"
        assert sheet.auto_filter.ref.startswith(f"A{HEADING_ROW}:")
        assert sheet.oddFooter.left.text == "As of 2026-12-31; entry 1302, digest 9f2c4a7be01d"
        assert sheet.oddFooter.right.text.endswith("Page &P of &N")
        assert sheet.oddHeader.left.text == (
            "Brindlewick Mechanical, 12 Foundry && Mill Lane, Tarnbrook"
        )
        widths = [dimension.width for dimension in sheet.column_dimensions.values()]
        assert all(8 < width < 60 for width in widths)


def test_the_filter_leaves_the_totals_out(history: Path) -> None:
    assert load_workbook(history)["History"].auto_filter.ref == "A5:K12"


def test_rows_stand_in_the_order_of_the_definition(tmp_path: Path) -> None:
    columns = (Column("day", "Date", "date"), Column("n", "Entry", "whole"))
    rows: list[dict[str, object]] = [
        {"day": "2026-02-01", "n": 2},
        {"day": None, "n": 9},
        {"day": "2026-01-01", "n": 1},
        {"day": "2026-02-01", "n": 10},
        {"day": "2026-02-01", "n": "unknown"},
    ]
    plan: list[tuple[tuple[str, ...], list[object]]] = [
        (("day", "n"), [1, 2, 10, "unknown", 9]),
        (("-n",), [10, 9, 2, 1, "unknown"]),
        (("-day", "-n"), [10, 2, "unknown", 1, 9]),
        ((), [2, 9, 1, 10, "unknown"]),
    ]
    for order, expected in plan:
        definition = Definition("d", "D", (Sheet("s", "S", columns, order),))
        path = write_workbook(
            definition, {"s": Table("T", columns, rows)}, tmp_path / "o.xlsx", {}, overwrite=True
        )
        found = [load_workbook(path)["S"][f"B{FIRST + n}"].value for n in range(5)]
        assert found == expected


def test_notes_cautions_and_citations_stand_under_the_rows(history: Path) -> None:
    book = load_workbook(history)
    words = {sheet.title: [row[0] for row in sheet.values] for sheet in book}
    assert words["Circuit"][-1] == ("Rests on: 40 CFR 82.157(b) and (l); 40 CFR 84.106(b) and (l).")
    assert "Caution: An addition of unknown amount stands on 2026-09-02." in words["Leak rates"]
    assert words["Leak rates"][1].startswith("A-101 was over the 20 %")


def test_the_same_report_is_the_same_file(tmp_path: Path) -> None:
    """Also in another process, where sets and hashes fall out another way."""
    code = (
        "import sys; from pathlib import Path\n"
        "from ledger.reports.definitions import load\n"
        "from ledger.reports.workbook import write_workbook\n"
        "from tests.reports.report_samples import ALL, SETTINGS\n"
        "write_workbook(load('circuit-history'), ALL['circuit-history'](), Path(sys.argv[1]),"
        " SETTINGS)\n"
    )
    found = set()
    for seed in ("1", "2"):
        path = tmp_path / f"{seed}.xlsx"
        environ = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)}
        subprocess.run([sys.executable, "-c", code, str(path)], check=True, env=environ, timeout=60)
        found.add(path.read_bytes())
    assert len(found) == 1


def test_a_file_that_is_there_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "due.xlsx"
    path.write_bytes(b"mine")
    with pytest.raises(FileExistsError, match="left as it is"):
        write_workbook(load("due", LAYOUTS), ALL["due"](), path, {})
    assert path.read_bytes() == b"mine"
    write_workbook(load("due", LAYOUTS), ALL["due"](), path, {}, overwrite=True)
    assert load_workbook(path).sheetnames == ["Due"]
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_that_appears_meanwhile_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "due.xlsx"
    link = os.link

    def late(source: Path, target: Path) -> None:
        path.write_bytes(b"mine")
        link(source, target)

    monkeypatch.setattr(os, "link", late)
    with pytest.raises(FileExistsError, match="left as it is"):
        write_workbook(load("due", LAYOUTS), ALL["due"](), path, {})
    assert path.read_bytes() == b"mine"
    assert list(tmp_path.iterdir()) == [path]


def test_a_place_without_links_is_served(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(source: Path, target: Path) -> None:
        raise PermissionError("no links here")

    monkeypatch.setattr(os, "link", no_links)
    path = write_workbook(load("due", LAYOUTS), ALL["due"](), tmp_path / "due.xlsx", {})
    assert load_workbook(path).sheetnames == ["Due"]
    assert list(tmp_path.iterdir()) == [path]


def test_a_report_that_fails_leaves_nothing_behind(tmp_path: Path) -> None:
    path = tmp_path / "due.xlsx"
    tables = ALL["due"]()
    rows = [*tables["due"].rows, {**tables["due"].rows[0], "days_left": 1.5}]
    with pytest.raises(TypeError, match=r"1\.5"):
        write_workbook(load("due", LAYOUTS), {"due": replace(tables["due"], rows=rows)}, path, {})
    assert list(tmp_path.iterdir()) == []


def test_a_definition_may_ask_for_less_but_not_for_what_is_not_there(tmp_path: Path) -> None:
    full, tables = load("circuit-history"), ALL["circuit-history"]()
    less = replace(full, sheets=full.sheets[1:2])
    assert load_workbook(write_workbook(less, tables, tmp_path / "a.xlsx", {})).sheetnames == [
        "History"
    ]
    with pytest.raises(Refused, match=r"circuit-history\.toml: The report .* no sheet 'photos'"):
        extra = (*full.sheets, Sheet("photos", "Photos", (Column("a", "A"),)))
        write_workbook(replace(full, sheets=extra), tables, tmp_path / "b.xlsx", {})
    with pytest.raises(Refused, match="The sheet History has nothing named 'colour'"):
        columns = (*full.sheets[1].columns, Column("colour", "Colour"))
        odd = replace(full.sheets[1], columns=columns)
        write_workbook(replace(full, sheets=(odd,)), tables, tmp_path / "b.xlsx", {})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.xlsx"]


def test_a_sheet_has_a_last_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ledger.reports.xlsx_out.ROW_LIMIT", 1)
    with pytest.raises(Refused, match="would have 2 rows"):
        write_workbook(load("due", LAYOUTS), ALL["due"](), tmp_path / "due.xlsx", {})


def test_an_empty_report_says_so(tmp_path: Path) -> None:
    empty = {"due": table("Due list", [], "Nothing is due.")}
    path = write_workbook(load("due", LAYOUTS), empty, tmp_path / "d.xlsx", {})
    sheet = load_workbook(path)["Due"]
    assert sheet["A2"].value == "Nothing is due."
    assert sheet[f"A{FIRST}"].value == "No rows."


def test_paper_is_the_shop_s_choice(tmp_path: Path) -> None:
    paper = {"letter": "1", "a4": "9"}
    for name, code in paper.items():
        path = write_workbook(
            load("due", LAYOUTS), ALL["due"](), tmp_path / f"{name}.xlsx", {"paper": name}
        )
        assert str(load_workbook(path)["Due"].page_setup.paperSize) == code
    with pytest.raises(Refused, match="paper 'foolscap' is not known"):
        settings = {"paper": "foolscap"}
        write_workbook(load("due", LAYOUTS), ALL["due"](), tmp_path / "f.xlsx", settings)
    assert len(list(tmp_path.iterdir())) == 2


def test_reports_import_nothing_heavy_until_asked() -> None:
    code = (
        "import sys\n"
        "import ledger.reports.workbook, ledger.reports.terminal, ledger.reports.xlsx_out\n"
        "print([name for name in ('openpyxl', 'rich') if name in sys.modules])\n"
    )
    environ = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    found = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        env=environ,
        timeout=60,
        capture_output=True,
        text=True,
    )
    assert found.stdout.strip() == "[]"
