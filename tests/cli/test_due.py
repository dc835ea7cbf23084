"""Due, case, preview, binds, and what a charge tells of the clocks it starts.

The days are those of 40 CFR 84.106(d) and (e): 30 days from the addition to repair and test, 10
days from the passed initial test to the follow-up (rules brief, section 11, point 9).
"""

from __future__ import annotations

import json

import pytest
from icalendar import Calendar

from tests.cli.shop import Shop

REPAIR = "Repair the leaks so that the rate comes below the trigger"
DANA = '--by "Dana Field"'


@pytest.fixture
def open_case(shop: Shop) -> Shop:
    """RACK-A goes over its trigger on 20 June 2026, ten days before the day of the tests."""
    shop.ok("tarebook mend circuit RACK-A --subsector 'retail food' --because 'a rack'")
    shop.ok(f"tarebook charge RACK-A 5 --from 448-1 {DANA} --on 2026-06-10")
    shop.ok(f"tarebook charge RACK-A 40 --from 448-1 {DANA} --on 2026-06-20")
    return shop


def started(lines: list[str]) -> list[str]:
    return [line.removeprefix("Starts: ") for line in lines if line.startswith("Starts: ")]


def test_a_charge_tells_the_clocks_it_starts(shop: Shop) -> None:
    shop.ok(f"tarebook charge RACK-A 5 --from 448-1 {DANA} --on 2026-06-10")
    said = shop.ok(f"tarebook charge RACK-A 40 --from 448-1 {DANA} --on 2026-06-20")
    assert "Over 20 % (40 CFR 84.106)" in said[1]
    assert started(said)[:3] == [
        "RACK-A, Find the places of the leaks (40 CFR 84.106(d)(1)): 2026-07-20 (in 20 days),"
        " owner.",
        "RACK-A, Repair the leaks so that the rate comes below the trigger (40 CFR 84.106(d)):"
        " 2026-07-20 (in 20 days), owner.",
        "RACK-A, Initial verification test of each repair (40 CFR 84.106(e)(1)): 2026-07-20"
        " (in 20 days), owner.",
    ]


def test_a_charge_that_starts_nothing_says_nothing_of_clocks(shop: Shop) -> None:
    said = shop.ok(f"tarebook charge RACK-A 5 --from 448-1 {DANA} --on 2026-06-10")
    assert started(said) == []


def test_what_others_added_tells_its_clocks_too(shop: Shop) -> None:
    shop.ok(f"tarebook charge RACK-A 5 --from 448-1 {DANA} --on 2026-06-10")
    said = shop.ok("tarebook added-by-others RACK-A 40 --party Depot --on 2026-06-20")
    assert started(said)[1].startswith("RACK-A, Repair the leaks")


def test_a_rate_below_the_trigger_confirms_verified_repairs(open_case: Shop) -> None:
    shop = open_case
    shop.ok(f"tarebook repair RACK-A {DANA} --on 2026-06-21")
    shop.ok(f"tarebook test RACK-A --which initial --result pass {DANA} --on 2026-06-21")
    shop.ok(f"tarebook test RACK-A --which follow-up --result pass {DANA} --on 2026-06-22")
    said = shop.ok(f"tarebook charge RACK-A 0.1 --from 448-1 {DANA} --on 2026-06-30")
    assert "Confirms: RACK-A, the repairs of the case of 2026-06-20." in said


def test_the_list_says_what_is_due_by_when_and_by_which_paragraph(open_case: Shop) -> None:
    rows = open_case.rows("tarebook due")
    repair = next(row for row in rows if row["What is due"].startswith("Repair"))
    assert (repair["Status"], repair["Due"], repair["Days left"]) == ("open", "2026-07-20", "20")
    assert (repair["Circuit or site"], repair["Site"], repair["Owner"]) == (
        "RACK-A", "Store 14", "Harbor Foods"
    )  # fmt: skip
    assert (repair["Owed by"], repair["Paragraph"]) == ("owner", "40 CFR 84.106(d)")


@pytest.mark.parametrize(
    ("options", "there"),
    [
        ("--circuit RACK-A", True), ("--circuit RTU-1", False),
        ("--site 'Store 14'", True), ("--site Hotel", False),
        ("--owner 'Harbor Foods'", True), ("--owner 'Mill Lane Hotel'", False),
        ("--technician 'Dana Field'", True),
        ("--rules 84", True), ("--rules California", False),
        ("--who owner", True), ("--who contractor", False),
        ("--from 2026-07-20", True), ("--from 2026-07-21", False),
        ("--to 2026-07-20", True), ("--to 2026-07-19", False),
    ],
)  # fmt: skip
def test_each_filter_keeps_what_it_names(open_case: Shop, options: str, there: bool) -> None:
    rows = open_case.rows(f"tarebook due {options}")
    found = any(row["What is due"].startswith("Repair the leaks") for row in rows)
    assert found is there


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ("--who nobody", '--who is "nobody". Write owner, contractor, technician, seller.'),
        ("--rules Mars", 'No rules are called "Mars".'),
        ("--circuit RACK-9", 'No unit or circuit "RACK-9" is in the book.'),
        ("--as-of 2026-13-01", '"2026-13-01" is not a date: there is no month 13.'),
    ],
)
def test_a_filter_that_names_nothing_is_refused(shop: Shop, options: str, said: str) -> None:
    assert said in shop.no(f"tarebook due {options}")


def test_what_is_done_is_shown_on_request(open_case: Shop) -> None:
    open_case.ok(f"tarebook repair RACK-A {DANA} --on 2026-06-21")
    done = [row for row in open_case.rows("tarebook due --all") if row["Status"] == "done"]
    found = [(row["What is due"], row["Ended"], row["Ended by"]) for row in done]
    assert (REPAIR, "2026-06-21", "repair") in found


def test_on_a_past_day_the_list_says_what_was_not_known_then(open_case: Shop) -> None:
    """The additions were recorded on 30 June: on the 25th nobody knew of any, on the 30th all."""
    told = json.loads("\n".join(open_case.ok("tarebook due --as-of 2026-06-25 --json")))
    assert "2026-07-20" in [row["due"] for row in told["rows"]]
    assert any("known" in note for note in told["notes"][:2]), told["notes"]
    today = json.loads("\n".join(open_case.ok("tarebook due --as-of 2026-06-30 --json")))
    assert not any("known" in note for note in today["notes"][:2])


def test_the_other_forms_have_the_same_lines(open_case: Shop) -> None:
    rows = open_case.rows("tarebook due")
    told = json.loads("\n".join(open_case.ok("tarebook due --json")))
    assert [row["due"] for row in told["rows"]] == [row["Due"] for row in rows]
    assert open_case.ok("tarebook due --xlsx due.xlsx") == ["Wrote due.xlsx."]
    assert (open_case.folder / "due.xlsx").stat().st_size > 1000


def test_the_calendar_file_has_a_day_for_each_line(open_case: Shop) -> None:
    """RFC 5545: an all-day event has dates without a time; UIDs are unique."""
    assert open_case.ok("tarebook due --ics due.ics") == ["Wrote due.ics."]
    content = (open_case.folder / "due.ics").read_bytes()
    events = list(Calendar.from_ical(content).walk("VEVENT"))
    rows = open_case.rows("tarebook due")
    assert sorted(str(event.decoded("dtstart")) for event in events) == sorted(
        row["Due"] for row in rows if row["Due"]
    )
    assert len({str(event["uid"]) for event in events}) == len(events)
    open_case.ok("tarebook due --ics again.ics")
    assert (open_case.folder / "again.ics").read_bytes() == content


def test_the_case_tells_each_day_once_in_order(open_case: Shop) -> None:
    open_case.ok(f"tarebook inspect RACK-A --place seal {DANA} --on 2026-06-21")
    open_case.ok(f"tarebook repair RACK-A {DANA} --on 2026-06-21")
    days = [row["Date"] for row in open_case.rows("tarebook case RACK-A")]
    assert days == sorted(set(days))
    assert {"2026-06-20", "2026-06-21"} <= set(days)
    text = open_case.ok("tarebook case RACK-A")
    assert sum(line.startswith("  2026-06-21  ") for line in text) == 1


def test_a_preview_records_nothing_and_says_what_the_charge_will(shop: Shop) -> None:
    shop.ok(f"tarebook charge RACK-A 5 --from 448-1 {DANA} --on 2026-06-10")
    before = shop.head()
    thought = shop.ok("tarebook preview RACK-A 40 --on 2026-06-20")
    assert shop.head() == before
    said = shop.ok(f"tarebook charge RACK-A 40 --from 448-1 {DANA} --on 2026-06-20")
    dates = [line.partition(": ")[2] for line in thought if "Would start" in line]
    assert [one.partition(",")[0] for one in dates] == [
        one.removeprefix("RACK-A, ").partition(" (")[0] for one in started(said)
    ]
    assert all("2026-07-20" in one for one in dates)


@pytest.mark.parametrize(
    ("subsector", "binds"),
    [("other comfort cooling", "yes"), ("residential or light commercial", "no")],
)
def test_the_command_an_open_scope_names_settles_it(
    shop: Shop, subsector: str, binds: str
) -> None:  # fmt: skip
    """Whether RTU-1 is light commercial is open (84.106(a)(3)); both answers are shown."""
    told = shop.ok("tarebook binds RTU-1 --open")
    assert any(line.startswith("  If it binds, by A6") for line in told)
    assert any(line.startswith("  If not, by A7") for line in told)
    (row,) = shop.rows("tarebook binds RTU-1 --open")
    command = row["Settled by"].replace("SUBSECTOR", subsector).replace("REASON", "the plate")
    shop.ok(command)
    assert shop.rows("tarebook binds RTU-1 --open") == []
    answers = {row["Rules"]: row["Binds"] for row in shop.rows("tarebook binds RTU-1")}
    assert answers["us-federal-84c"] == binds


def test_a_reading_of_ones_own_shows_wherever_a_date_rests_on_it(open_case: Shop) -> None:
    shop = open_case
    shop.ok(f"tarebook repair RACK-A {DANA} --on 2026-06-21")
    shop.ok(f"tarebook test RACK-A --which initial --result pass {DANA} --on 2026-06-21")
    shop.ok(f"tarebook test RACK-A --which follow-up --result pass {DANA} --on 2026-06-22")
    said = shop.ok(
        "tarebook rules override QUARTER_CHAIN 'from the last inspection' --because 'counsel'"
    )
    entry = said[0].split()[3].rstrip(":")
    words = f"quarter-chain is from the last inspection (entry {entry})"
    for command in ("due", "case RACK-A"):
        told = json.loads("\n".join(shop.ok(f"tarebook {command} --json")))
        assert any(words in note for note in told["notes"]), command
    shop.ok(f"tarebook reverse {entry} --because 'withdrawn'")
    told = json.loads("\n".join(shop.ok("tarebook due --json")))
    assert not any(words in note for note in told["notes"])


@pytest.fixture
def in_california(shop: Shop) -> Shop:
    """A site in California whose circuit of 1,350 lb is of the medium class."""
    shop.ok("tarebook mend site 'Store 14' --state CA --because 'its address'")
    shop.ok(f"tarebook charge RACK-A 1 --from 448-1 {DANA} --on 2026-01-10")
    return shop


def test_what_was_sent_and_paid_ends_what_the_site_owes(in_california: Shop) -> None:
    shop = in_california

    def owed() -> list[tuple[str, str]]:
        rows = shop.rows("tarebook due --site 'Store 14' --rules California --from 2026-01-01")
        return [(row["What is due"], row["Remark"]) for row in rows if row["Status"] != "done"]

    def there(word: str) -> int:
        return sum(word in what.casefold() for what, _ in owed())

    reports, fees = there("annual report"), there("fee")
    assert reports and fees
    shop.ok("tarebook event site:'Store 14' 'site report' --year 2025 --on 2026-02-20")
    assert there("annual report") == reports - 1
    shop.ok("tarebook event site:'Store 14' 'fee paid' --year 2025 --on 2026-02-20")
    assert there("fee") == fees - 1


def test_a_unit_that_moves_to_a_site_with_another_method_changes_no_method(shop: Shop) -> None:
    shop.ok('tarebook add site Annex --method "rolling average" --owner "Harbor Foods"')
    shop.ok("tarebook change unit RACK-A --site Annex --from 2026-05-01")
    rows = shop.rows("tarebook due --all --circuit RACK-A")
    assert not [row for row in rows if "method" in row["What is due"].casefold()]


def test_a_site_that_changes_its_method_has_a_record_to_make(shop: Shop) -> None:
    shop.ok('tarebook change site "Store 14" --method "rolling average" --from 2026-05-01')
    rows = shop.rows("tarebook due --all --circuit RACK-A")
    assert [row["Due"] for row in rows if "method" in row["What is due"].casefold()]


def test_a_state_s_rules_are_left_aside_where_the_state_is_not_on_record(shop: Shop) -> None:
    said = "\n".join(shop.ok("tarebook case RACK-A"))
    assert "is left aside: The state of the site is not on record." in said


def test_a_report_is_for_a_calendar_year(shop: Shop) -> None:
    line = 'tarebook event "site:Store 14" "fee paid" --on 2026-03-01 --year'
    assert shop.no(f"{line} last").startswith('"last" is no calendar year. Write it as 2026.')
    shop.ok(f"{line} 2025")
