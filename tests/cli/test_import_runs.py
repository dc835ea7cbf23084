"""A whole import is taken back and can be taken in again; nothing is deleted."""

from __future__ import annotations

import pytest

from tests.cli.shop import Shop

ROWS = """Date,Unit,Refrigerant,Added (lb),Cylinder,Tech
2026-02-03,RTU-1,R-410A,2.5,410-1,Dana Field
2026-02-10,RTU-1,R-410A,1.5,410-1,Dana Field
2026-03-02,RACK-A,R-448A,12,448-1,Dana Field
"""


@pytest.fixture
def imported(shop: Shop) -> Shop:
    (shop.folder / "jobs.csv").write_text(ROWS)
    shop.ok("tarebook import jobs.csv")
    return shop


def balances(shop: Shop) -> object:
    return shop.rows("tarebook balance --by cylinder")


def test_every_row_is_reversed_and_every_answer_is_as_before(shop: Shop) -> None:
    before = balances(shop)
    (shop.folder / "jobs.csv").write_text(ROWS)
    shop.ok("tarebook import jobs.csv")
    said = shop.ok("tarebook reverse-import 20 --because 'wrong year'")
    assert said[0] == "Taken back: 3 rows of jobs.csv (entries 19 to 21), by entry 23."
    assert balances(shop) == before


def test_the_file_can_be_imported_again(imported: Shop) -> None:
    once = balances(imported)
    imported.ok("tarebook reverse-import 19 --because 'wrong year'")
    assert imported.ok("tarebook import jobs.csv")[0].startswith("jobs.csv: 3 rows recorded")
    assert balances(imported) == once
    assert "0 rows recorded" in imported.ok("tarebook import jobs.csv")[0]


def test_a_row_that_a_person_reversed_does_not_come_back(imported: Shop) -> None:
    imported.ok("tarebook reverse 19 --because 'not done'")
    said = imported.ok("tarebook reverse-import 19 --because 'wrong year'")
    assert said[1] == "1 row had been reversed before."
    assert "2 rows recorded, 1 already" in imported.ok("tarebook import jobs.csv")[0]


def test_what_something_later_rests_on_keeps_the_whole_import(shop: Shop) -> None:
    (shop.folder / "receipts.csv").write_text(
        "Date,Cylinder,Cylinder kind,Refrigerant,Net,Supplier\n"
        "2026-02-01,410-9,disposable,R-410A,25,Depot\n"
    )
    shop.ok("tarebook import receipts.csv --set action=receive")
    shop.ok('tarebook charge RTU-1 5 --from 410-9 --by "Dana Field" --on 2026-02-05')
    before = shop.head()
    assert "[cylinder-short]" in shop.no("tarebook reverse-import 19 --because 'wrong file'")
    assert shop.head() == before


def test_it_is_done_once_and_with_a_reason(imported: Shop) -> None:
    assert "[reason-missing]" in imported.no("tarebook reverse-import 19")
    imported.ok("tarebook reverse-import 19 --because 'wrong year'")
    again = imported.no("tarebook reverse-import 19 --because 'wrong year'")
    assert again == (
        "The import of jobs.csv was taken back by entry 23. See it with tarebook show 23."
        " [already-reversed]"
    )
    assert imported.no("tarebook reverse-import 3 --because x") == (
        "Entry 3 is of no import. See them: tarebook imports. [no-such-entry]"
    )


def test_a_dry_run_writes_nothing(imported: Shop) -> None:
    before = imported.head()
    said = imported.ok("tarebook reverse-import 19 --because 'wrong year' --dry-run")
    assert said[0].startswith("Would be taken back: 3 rows of jobs.csv")
    assert imported.head() == before


def test_imports_are_listed_with_what_became_of_them(imported: Shop) -> None:
    imported.ok("tarebook reverse-import 19 --because 'wrong year'")
    (run,) = imported.rows("tarebook imports")
    assert (run["First entry"], run["Last entry"], run["Rows recorded"]) == ("19", "21", "3")
    assert run["Taken back by entry"] == "23"
