"""The due list on a terminal of 80 places, and as a workbook."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from openpyxl import load_workbook

from ledger.answers.due_list import NOT_KNOWN, Line
from ledger.answers.duty import OVERDUE, Duty
from ledger.answers.scope_gaps import ScopeGap, Settled
from ledger.answers.working import Input, RuleRef
from ledger.reports.definitions import load
from ledger.reports.due_sheets import due_sheets
from ledger.reports.due_table import DUE_COLUMNS, _missed, _told_once, brief
from ledger.reports.table import Table
from ledger.reports.terminal import plain
from ledger.reports.workbook import write_workbook

RULE = RuleRef("us-federal-84c/repair-days", "30 days", "40 CFR 84.106(d)", "read")
REPAIR = Duty(
    duty="repair", pack="us-federal-84c", circuit="RACK-A", who="owner", kind="duty",
    title="Repair the leaks so that the rate comes below the trigger", start=date(2026, 6, 1),
    after="30 days", due=date(2026, 7, 1), status=OVERDUE, cite="40 CFR 84.106(d)",
    as_of=date(2026, 7, 11), inputs=(Input("over the trigger", "2026-06-01", (12,)),),
    rules=(RULE,),
)  # fmt: skip
GAP = ScopeGap(
    "RTU-1", "Store 14", "us-federal-84c", date(2026, 7, 11), True, "Not decided.",
    "If it binds, by A6 (HFC): what 40 CFR part 84 subpart C asks is owed.",
    "If not, by A7 (left out): nothing is owed under 40 CFR part 84 subpart C.",
    (Settled("a decision", "tarebook mend circuit RTU-1 --subsector chiller"),),
    "40 CFR 84.106(a)", "read",
)  # fmt: skip


def row(**other: object) -> dict[str, object]:
    """One line of the list."""
    return {
        "status": "overdue", "due": "2026-07-01", "days": -10, "circuit": "RACK-A",
        "title": REPAIR.title, "who": "owner", "citation": "40 CFR 84.106(h)(1)(ii)",
        "remark": "unless decided", **other,
    }  # fmt: skip


def listed(*rows: dict[str, object]) -> Table:
    """A due list of these rows."""
    return Table("Due list", DUE_COLUMNS, rows, answer="2 open lines.", as_of="2026-07-11")


def test_eighty_places_break_no_word_and_no_paragraph() -> None:
    told = plain(brief(listed(row(), row(circuit="A-303/B"))), 80)
    assert all(len(line) <= 80 for line in told.splitlines())
    assert "40 CFR 84.106(h)(1)(ii)" in told
    assert " ".join(told.split()).count("-10 RACK-A Repair the leaks so that") == 1


def test_a_remark_stands_beside_what_is_due() -> None:
    assert f"{REPAIR.title}; unless decided" in plain(brief(listed(row())))


def test_one_who_owes_everything_is_named_once() -> None:
    told = plain(brief(listed(row(), row())))
    assert told.count("owner") == 1 and told.startswith("2 open lines; owed by the owner.")


def test_several_who_owe_are_named_line_by_line() -> None:
    told = plain(brief(listed(row(), row(who="technician"))))
    assert "Owed by" in told and "technician" in told


def test_a_status_beside_open_and_overdue_is_shown() -> None:
    assert "Status" not in plain(brief(listed(row(), row(status="open"))))
    assert "superseded" in plain(brief(listed(row(), row(status="superseded"))))


def workbook(folder: Path) -> dict[str, list[tuple[object, ...]]]:
    """The rows of every sheet of a due-list workbook with one line and one open scope."""
    blank = {column.key: None for column in DUE_COLUMNS}
    table = listed({**blank, **row()})
    path = folder / "due.xlsx"
    write_workbook(load("due-list"), due_sheets(table, [Line(REPAIR)], [GAP]), path, {})
    return {
        sheet.title: [tuple(cell for cell in row if cell is not None) for row in sheet.values]
        for sheet in load_workbook(path)
    }


def test_the_workbook_has_list_columns_scopes_and_working(tmp_path: Path) -> None:
    sheets = workbook(tmp_path)
    assert list(sheets) == ["Due", "All columns", "Open scopes", "Working"]
    assert any(REPAIR.title in cells for cells in sheets["Due"])


def test_the_working_has_a_row_for_each_input_and_rule(tmp_path: Path) -> None:
    parts = [cells[3:] for cells in workbook(tmp_path)["Working"] if cells[:2] == (1, "RACK-A")]
    assert parts == [
        ("counted", "2026-06-01 and 30 days", "40 CFR 84.106(d)"),
        ("input", "over the trigger", "2026-06-01", "12"),
        ("rule", "us-federal-84c/repair-days", "30 days", "40 CFR 84.106(d)", "text read"),
        ("note", "Owed by: owner."),
        ("result", f"{REPAIR.title}: by 2026-07-01, overdue"),
    ]


def test_an_open_scope_shows_both_consequences_and_the_command(tmp_path: Path) -> None:
    (told,) = [cells for cells in workbook(tmp_path)["Open scopes"] if cells[:1] == ("RTU-1",)]
    assert told[3:] == (
        "by A6 (HFC): what 40 CFR part 84 subpart C asks is owed.",
        "by A7 (left out): nothing is owed under 40 CFR part 84 subpart C.",
        "a decision: tarebook mend circuit RTU-1 --subsector chiller",
    )


def test_the_printed_page_is_one_wide_and_its_columns_fit_it() -> None:
    """Columns of some 145 characters are printed at four fifths on a landscape page."""
    sheet = load("due-list").sheet("due")
    assert sheet is not None
    assert sum(column.width or 10 for column in sheet.columns) <= 145


def test_what_was_recorded_later_altogether_is_said_once() -> None:
    lines, unknown = _told_once([Line(REPAIR, then=NOT_KNOWN), Line(REPAIR, then=NOT_KNOWN)])
    assert unknown and [line.then for line in lines] == ["", ""]


def test_a_line_that_was_known_keeps_the_others_apart() -> None:
    told = [Line(REPAIR, then=NOT_KNOWN), Line(REPAIR)]
    assert _told_once(told) == (told, False)


def test_missed_dates_are_counted_where_they_are_not_shown() -> None:
    assert _missed([]) == []
    assert _missed(["RK", "RK", "CH"]) == [
        "Not shown: 3 missed dates of RK, CH, which later work does not make good; tarebook due"
        " --all."
    ]
