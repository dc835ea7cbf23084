"""Report definitions: the shipped ones load, broken ones name file and key, a shop's own win."""

from __future__ import annotations

from pathlib import Path

import pytest

from ledger.facts.problems import Refused
from ledger.reports.definitions import load, names, read
from ledger.reports.formulas import fault, filled, references
from ledger.resources import folder
from tests.reports.report_samples import ALL, LAYOUTS, SHIPPED

GOOD = """\
title = "Stock"
audience = "Shop manager"
[[sheets]]
key = "stock"
title = "Stock"
order = ["cylinder"]
columns = [
    { key = "cylinder", heading = "Cylinder" },
    { key = "gross", heading = "Gross", kind = "mass", places = 1 },
    { key = "tare", heading = "Tare", kind = "mass" },
    { key = "net", heading = "Net", kind = "mass", formula = "={gross}-{tare}", total = "SUM" },
]
"""

BROKEN = [
    ("title = ", "titel = ", ["stock.toml!titel", "is not known here", "Known: title, audience"]),
    ('title = "Stock"\na', "a", ["stock.toml!title", "is missing"]),
    ('"Shop manager"', '""', ["stock.toml!audience", "is empty"]),
    ('"Shop manager"', "3", ["stock.toml!audience", "is not text"]),
    ('"Shop manager"', '"Shop"\norientation = "upright"', ["orientation", "landscape"]),
    ('"Shop manager"', '"Shop"\ncitations = ["a", 4]', ["stock.toml!citations[1]"]),
    ('"Shop manager"', f'"Shop"\nfooter = "{"x" * 61}"', ["footer", "longer than 60"]),
    ('key = "stock"', 'key = "Stock"', ["stock.toml!sheets[0].key", "lower case"]),
    (
        'key = "stock"\ntitle = "Stock"',
        'key = "stock"\ntitle = "Stock/2"',
        ["stock.toml!sheets[0].title", "cannot name a sheet"],
    ),
    (
        '"Cylinder" }',
        '"Cylinder", color = "red" }',
        ["stock.toml!sheets[0].columns[0].color", "is not known here"],
    ),
    ('kind = "mass", places', 'kind = "weight", places', ["columns[1].kind", "'weight'"]),
    ("places = 1", 'places = "1"', ["columns[1].places", "is not a whole number"]),
    ("places = 1", 'unit = "stone"', ["columns[1]", "not a unit of mass"]),
    ('key = "tare"', 'key = "gross"', ["sheets[0].columns", "'gross' twice"]),
    ('"SUM"', '"AVERAGE"', ["columns[3]", "SUM or nothing"]),
    ('order = ["cylinder"]', 'order = ["serial"]', ["sheets[0].order", "'serial'"]),
    ("={gross}", "={grross}", ["stock.toml!sheets[0].columns[3].formula", "{grross}"]),
    ("={gross}", "={cylinders.gross}", ["columns[3].formula", "{cylinders.gross}"]),
    ("={gross}", "={net}", ["columns[3].formula", "leads back to itself"]),
    ("={gross}", "={stock.net}", ["columns[3].formula", "leads back to itself"]),
    ("={gross}", "{gross}", ["columns[3].formula", "begin with ="]),
    ("={gross}-", "=WEBSERVICE({gross})-", ["columns[3].formula", "WEBSERVICE"]),
    ("={gross}-", "=ROUND({gross}-", ["columns[3].formula", "brackets"]),
    ("columns = [", "columns = [ 3,", ["sheets[0].columns[0]", "is not a table"]),
    ('title = "Stock"\na', "title = Stock\na", ["stock.toml", "not TOML"]),
]


@pytest.mark.parametrize(("old", "new", "words"), BROKEN)
def test_a_broken_definition_names_file_and_key(
    old: str, new: str, words: list[str], tmp_path: Path
) -> None:
    path = tmp_path / "stock.toml"
    path.write_text(GOOD.replace(old, new, 1), encoding="utf-8")
    assert path.read_text(encoding="utf-8") != GOOD
    with pytest.raises(Refused) as refused:
        read(path)
    for word in words:
        assert word in str(refused.value)


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "stock.toml"
    path.write_text(GOOD.replace("title", "titel").replace("places", "place"), encoding="utf-8")
    with pytest.raises(Refused) as refused:
        read(path)
    assert {problem.where for problem in refused.value.problems} == {
        "stock.toml!titel",
        "stock.toml!title",
        "stock.toml!sheets[0].titel",
        "stock.toml!sheets[0].title",
        "stock.toml!sheets[0].columns[1].place",
    }


def test_a_definition_without_sheets_or_columns_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "stock.toml"
    path.write_text('title = "S"\naudience = "A"\nsheets = []\n', encoding="utf-8")
    with pytest.raises(Refused, match="names no sheet"):
        read(path)
    head = GOOD[: GOOD.index("columns")].replace('"cylinder"', "")
    path.write_text(f"{head}columns = []\n", encoding="utf-8")
    with pytest.raises(Refused, match="names no column"):
        read(path)


def test_a_good_definition_is_read_as_written(tmp_path: Path) -> None:
    path = tmp_path / "stock.toml"
    path.write_text(GOOD, encoding="utf-8")
    definition = read(path)
    assert (definition.name, definition.orientation) == ("stock", "landscape")
    sheet = definition.sheets[0]
    assert [column.key for column in sheet.columns] == ["cylinder", "gross", "tare", "net"]
    assert (sheet.columns[1].places, sheet.columns[3].total) == (1, "SUM")


def test_every_shipped_definition_loads_and_has_sample_tables() -> None:
    assert names() == sorted(SHIPPED)
    assert names(LAYOUTS) == sorted(ALL)
    for name in names():
        definition = load(name)
        assert definition == read(folder("reports") / f"{name}.toml")
        assert [sheet.key for sheet in definition.sheets] == list(ALL[name]())


def test_a_shop_s_own_definition_wins(tmp_path: Path) -> None:
    shipped = (folder("reports") / "pounds-balance.toml").read_text(encoding="utf-8")
    own = shipped.replace('title = "Pounds balance"', 'title = "Where it went"')
    (tmp_path / "pounds-balance.toml").write_text(own, encoding="utf-8")
    (tmp_path / "stock.toml").write_text(GOOD, encoding="utf-8")
    assert load("pounds-balance", tmp_path).title == "Where it went"
    assert load("pounds-balance").title == "Pounds balance"
    assert load("circuit-history", tmp_path) == load("circuit-history")
    assert names(tmp_path) == sorted([*SHIPPED, "stock"])


@pytest.mark.parametrize("name", ["nothing", "../due", "Due", ""])
def test_a_name_that_is_no_report_is_refused(name: str) -> None:
    with pytest.raises(Refused, match="There are: circuit-history, cylinder-inventory"):
        load(name)


def test_formulas_name_cells_and_columns() -> None:
    formula = "=SUMIF({cylinders.refrigerant},{refrigerant},{cylinders.book})/{days}*2.5"
    assert fault(formula) == ""
    assert references(formula) == [
        ("cylinders", "refrigerant"),
        ("", "refrigerant"),
        ("cylinders", "book"),
        ("", "days"),
    ]
    made = filled(formula, lambda key: f"<{key}>", lambda sheet, key: f"<{sheet}!{key}>")
    assert made == "=SUMIF(<cylinders!refrigerant>,<refrigerant>,<cylinders!book>)/<days>*2.5"


@pytest.mark.parametrize(
    "formula",
    [
        "",
        "=",
        "{a}",
        "={a",
        "={A}",
        "=(1",
        "=1)",
        "=)(",
        "=SUM(A1)",
        "=INDIRECT({a})",
        '="x"&{a}',
        "=cmd|' /C calc'!A0",
        "=[book.xlsx]S!A1",
        "={a}!B1",
        "=HYPERLINK({a})",
        "=SUM ({a})\n;",
    ],
)
def test_formulas_reach_nothing_else(formula: str) -> None:
    assert fault(formula)
