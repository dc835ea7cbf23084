"""Flat lists: what they hold, what filters keep, and that they add up with the balances."""

from __future__ import annotations

import csv
import io
import json
from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
JOBS = (
    f"tarebook charge RTU-1 -g 60 -g 56.5 --from 410-1 --on 2026-02-03 --at 09:30 {DANA}"
    " --ticket 5031",
    f'tarebook charge RTU-2/A "2 lb 8 oz" --from 410-1 --on 2026-02-04 {DANA} --note "=1+1"',
    f"tarebook recover RTU-1 3.25 --to RC-01 --on 2026-02-05 {DANA}",
    f"tarebook charge RACK-A 12 --from 448-1 --on 2026-02-06 {DANA}",
    'tarebook transfer "3120 g" --from 410-1 --to RC-01 --on 2026-02-07',
    "tarebook release 1 --from 410-2 --cause hose --on 2026-02-08",
    'tarebook ship RC-01 --to "Second Life Reclaim" --on 2026-02-09',
    'tarebook added-by-others RACK-A 5 --party "Mill Lane Hotel" --on 2026-02-10',
    "tarebook weigh 448-1 140 --scale B1 --on 2026-02-11",
    f"tarebook recover CHILLER 0 --on 2026-02-12 {DANA}",
    f"tarebook repair RACK-A --location valve --how brazed --on 2026-02-13 {DANA}",
    f"tarebook charge RACK-A 44 --from 448-1 --on 2026-02-14 {DANA}",
)  # fmt: skip


@pytest.fixture
def busy(shop: Shop) -> Shop:
    """The shop after some weeks of work, the last charge taken back."""
    shop.all(JOBS)
    shop.ok(f'tarebook reverse {shop.number()} --because "wrong rack"')
    return shop


def rows(shop: Shop, line: str) -> list[dict[str, str]]:
    """The rows of a list, read as a spreadsheet reads the text file."""
    text = shop.run(f"tarebook {line} --csv").out
    assert text.startswith("\ufeff")
    return list(csv.DictReader(io.StringIO(text[1:], newline="")))


def added(found: Iterable[dict[str, str]], by: str, amount: str) -> dict[str, Fraction]:
    """What a pivot table makes of a list."""
    sums: dict[str, Fraction] = defaultdict(Fraction)
    for row in found:
        if row[amount]:
            sums[row[by]] += Fraction(row[amount])
    return {name: total for name, total in sums.items() if total}


def balance(shop: Shop, by: str, line: str = "") -> dict[str, Fraction]:
    """The balances, by what they are grouped by; exact, from the counts."""
    said = json.loads("\n".join(shop.ok(f"tarebook balance --by {by} {line} --json")))
    counts = {row[by]: int(row["pounds"]["counts"]) for row in said["rows"]}
    return {name: Fraction(mass, 362_873_896_000) for name, mass in counts.items()}


def near(one: dict[str, Fraction], other: dict[str, Fraction]) -> bool:
    """Whether sums agree: 3120 g has no finite decimal in pounds and is given to six places."""
    return one.keys() == other.keys() and all(
        abs(one[name] - other[name]) < Fraction(1, 100_000) for name in one
    )


def by_end(found: list[dict[str, str]], kind: str) -> dict[str, Fraction]:
    """What went in less what came out, by the name of each holder of a kind."""
    sums: dict[str, Fraction] = defaultdict(Fraction)
    for row in found:
        amount = Fraction(row["Amount (lb)"])
        sums[row["To"]] += amount if row["To kind"] == kind else 0
        sums[row["From"]] -= amount if row["From kind"] == kind else 0
    return {name: total for name, total in sums.items() if total}


def test_what_is_listed_adds_up_with_the_balances(busy: Shop) -> None:
    found = rows(busy, "movements")
    assert near(added(found, "Refrigerant", "Into cylinders (lb)"), balance(busy, "refrigerant"))
    assert near(added(found, "Circuit", "Into circuits (lb)"), balance(busy, "circuit"))
    assert near(added(found, "Site", "Into circuits (lb)"), balance(busy, "site"))
    assert near(by_end(found, "cylinder"), balance(busy, "cylinder"))
    assert near(by_end(found, "circuit"), balance(busy, "circuit"))
    assert near(by_end(found, "party"), balance(busy, "party"))


@pytest.mark.parametrize("line", ["--as-of 2026-02-06", "--known-at 22", "--known-at 2026-06-30"])
def test_both_times_are_those_of_the_balances(busy: Shop, line: str) -> None:
    found = rows(busy, f"movements {line}")
    assert near(by_end(found, "cylinder"), balance(busy, "cylinder", line))


def test_a_movement_says_everything_on_its_row(busy: Shop) -> None:
    row = next(row for row in rows(busy, "movements") if row["Ticket"] == "5031")
    assert {name: cell for name, cell in row.items() if cell} == {
        "Entry": "19", "Line": "1", "Day": "2026-02-03", "Time": "09:30",
        "Recorded (UTC)": "2026-06-30T16:00:00.000000Z", "Action": "charge", "Purpose": "addition",
        "From kind": "cylinder", "From": "410-1", "To kind": "circuit", "To": "RTU-1",
        "Site": "Store 14", "Owner": "Harbor Foods", "Unit": "RTU-1", "Circuit": "RTU-1",
        "Place": "Warehouse", "Refrigerant": "R-410A", "Amount (lb)": "3.50",
        "As written": "3.5 lb",
        "Written in": "lb", "Into cylinders (lb)": "-3.50", "Into circuits (lb)": "3.50",
        "Stock": "virgin", "Technician": "Dana Field", "Typed by": "office", "Ticket": "5031",
        "Evidence": "gross", "Gross before (lb)": "60.00", "Gross after (lb)": "56.50",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("line", "entries"),
    [
        ('--site "Store 14"', "19 21 22 26"),
        ('--site Hotel --from 2026-02-01', "20"),
        ('--owner "Harbor Foods"', "19 21 22 26"),
        ("--refrigerant 448a --from 2026-02-01", "22 26"),
        ("--unit RTU-2", "20"),
        ("--unit RTU-2/B", ""),
        ("--cylinder rc-01", "21 23 25"),
        ('--person "dana field"', "19 20 21 22"),
        ('--place "Second Life Reclaim"', "25"),
        ("--from 2026-02-05 --to 2/6/2026", "21 22"),
        ("--unit RACK-A --with-reversed", "22 26 30"),
    ],
)  # fmt: skip
def test_filters_keep_what_they_say(busy: Shop, line: str, entries: str) -> None:
    assert " ".join(row["Entry"] for row in rows(busy, f"movements {line}")) == entries


def test_a_reversed_line_names_what_took_it_back(busy: Shop) -> None:
    (row,) = (row for row in rows(busy, "movements --with-reversed") if row["Reversed by"])
    assert (row["Entry"], row["Reversed by"]) == ("30", "31")
    (row,) = rows(busy, "movements --with-reversed --from 2026-02-14 --known-at 30")
    assert row["Reversed by"] == ""


def test_joined_records_are_listed_under_the_name_that_was_kept(busy: Shop) -> None:
    busy.ok("tarebook receive 410-1b --net 25 --from Depot -r R-410A --kind disposable")
    busy.ok("tarebook join cylinder 410-1b 410-1")
    found = rows(busy, "movements --cylinder 410-1")
    assert found[-1]["Action"] == "receive"
    assert near(by_end(rows(busy, "movements"), "cylinder"), balance(busy, "cylinder"))


@pytest.mark.parametrize("command", ["movements", "weighings", "services"])
def test_a_list_says_the_same_in_every_form(busy: Shop, command: str) -> None:
    found = rows(busy, command)
    told = json.loads("\n".join(busy.ok(f"tarebook {command} --json")))
    shown = busy.ok(f"tarebook {command}")
    assert told["answer"] == shown[0] == f"{len(found)} {shown[0].partition(' ')[2]}"
    assert told["head"]["number"] == 31
    assert told["as_of"] == "2026-06-30"
    assert [row["entry"] for row in told["rows"]] == [int(row["Entry"]) for row in found]
    assert busy.ok(f"tarebook {command} --xlsx out.xlsx") == ["Wrote out.xlsx."]
    sheet = load_workbook(busy.folder / "out.xlsx").active
    heads, *cells = sheet.iter_rows(values_only=True)
    assert list(heads) == list(found[0])
    assert [row[0] for row in cells] == [int(row["Entry"]) for row in found]
    assert "[file-exists]" in busy.no(f"tarebook {command} --xlsx out.xlsx")
    assert "[option-unfit]" in busy.no(f"tarebook {command} --csv --json")


def test_the_workbook_is_flat_and_holds_real_days_and_numbers(busy: Shop) -> None:
    busy.ok("tarebook movements --xlsx out.xlsx")
    sheet = load_workbook(busy.folder / "out.xlsx").active
    assert (sheet.freeze_panes, sheet.auto_filter.ref) == ("A2", f"A1:AP{sheet.max_row}")
    assert not sheet.merged_cells.ranges
    assert sheet.print_title_rows == "$1:$1"
    assert sheet.oddFooter.left.text.startswith("As of 2026-06-30; entry 31, digest ")
    heads = {cell.value: cell.column for cell in sheet[1]}
    row = next(
        row for row in sheet.iter_rows(min_row=2) if row[heads["Ticket"] - 1].value == "5031"
    )
    value = {name: row[column - 1].value for name, column in heads.items()}
    assert value["Day"] == datetime(2026, 2, 3)
    assert value["Time"].isoformat() == "09:30:00"
    assert value["Recorded (UTC)"] == datetime(2026, 6, 30, 16)
    assert (value["Amount (lb)"], value["Gross before (lb)"]) == (3.5, 60)
    note = next(row for row in sheet.iter_rows(min_row=2) if row[heads["Note"] - 1].value)
    assert note[heads["Note"] - 1].data_type == "s"
    assert note[heads["Note"] - 1].value == "=1+1"


def test_the_same_list_is_the_same_file(busy: Shop) -> None:
    made = []
    for name in ("one.xlsx", "two.xlsx"):
        busy.ok(f"tarebook movements --xlsx {name}")
        with ZipFile(busy.folder / name) as file:
            assert file.testzip() is None
        made.append((busy.folder / name).read_bytes())
    assert made[0] == made[1]


def test_weighings_and_service_facts_are_listed(busy: Shop) -> None:
    seen = [(row["Cylinder"], row["Gross (lb)"], row["Moment"]) for row in rows(busy, "weighings")]
    assert seen == [("410-1", "60.00", "before"), ("410-1", "56.50", "after"),
                    ("448-1", "140.00", "alone")]  # fmt: skip
    assert [row["Scale"] for row in rows(busy, "weighings --cylinder 448-1")] == ["B1"]
    facts = {row["Kind"]: row for row in rows(busy, "services --from 2026-02-01")}
    assert set(facts) == {"attempt", "repair", "shipped"}
    assert (facts["attempt"]["Circuit"], facts["attempt"]["Site"]) == ("CHILLER", "Hotel")
    assert (facts["repair"]["Where"], facts["repair"]["How"]) == ("valve", "brazed")
    assert [row["Party"] for row in rows(busy, "services --cylinder 410-1")] == ["Depot"]


def test_an_empty_book_gives_headings_only(shop: Shop) -> None:
    assert rows(shop, "movements --to 2025-01-01") == []
    assert shop.ok("tarebook weighings")[0] == "0 weighings."
    shop.ok("tarebook weighings --xlsx out.xlsx")
    assert load_workbook(shop.folder / "out.xlsx").active.max_row == 1
