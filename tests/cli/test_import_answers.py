"""What `tarebook import` prints of questions, where it writes them, and how it ends."""

from __future__ import annotations

import json

from tests.cli.shop import Shop

SHEET = """Date,Unit,Added,Tank,Tech
6/1/26,RTU-1,2,410-1,Dana Field
6/2/26,RTU-1,4-8,410-1,Dana Field
6/31/26,RTU-1,1,410-1,Dana Field
"""


def test_an_import_ends_with_4_while_rows_wait_and_with_0_when_all_are_settled(shop: Shop) -> None:
    (shop.folder / "jobs.csv").write_text(SHEET, encoding="utf-8")
    said = shop.run("tarebook import jobs.csv")
    assert (said.code, said.err) == (4, "")
    lines = said.out.splitlines()
    assert lines[0] == (
        "jobs.csv: 1 row recorded, 0 already recorded, 1 question, 1 rejected, 0 skipped."
    )
    assert [line for line in lines if line in ("Questions:", "Rejected:")] == [
        "Questions:", "Rejected:",
    ]  # fmt: skip
    assert lines[-1] == (
        "Answer or mend them in jobs.answers.csv, beside each row, and import that file."
    )
    copy = shop.folder / "jobs.answers.csv"
    text = copy.read_text(encoding="utf-8-sig").replace(",,r", ",4.8,r", 1)
    copy.write_text(text.replace("6/31/26", "6/30/26"), encoding="utf-8-sig")
    said = shop.run("tarebook import jobs.answers.csv")
    assert (said.code, said.err) == (0, "")
    assert "2 new answers kept in the book." in said.out
    assert not (shop.folder / "jobs.answers-2.csv").exists()
    assert shop.run("tarebook import jobs.csv").code == 0


def test_a_dry_run_writes_no_copy_and_ends_the_same(shop: Shop) -> None:
    (shop.folder / "jobs.csv").write_text(SHEET, encoding="utf-8")
    before = shop.head()
    said = shop.run("tarebook import jobs.csv --dry-run")
    assert (said.code, shop.head()) == (4, before)
    assert "answers.csv" not in said.out
    assert not list(shop.folder.glob("*answers*"))


def test_json_has_the_outcome_of_each_row(shop: Shop) -> None:
    (shop.folder / "jobs.csv").write_text(SHEET, encoding="utf-8")
    said = shop.run("tarebook import jobs.csv --json --answers out.csv")
    told = json.loads(said.out)
    assert (said.code, told["answers_file"]) == (4, "out.csv")
    rows = told["every_row"]
    assert [(one["row"], one["outcome"]) for one in rows] == [
        (2, "recorded"), (3, "question"), (4, "rejected"),
    ]  # fmt: skip
    assert rows[0]["entry"] == told["entries"][0]
    assert rows[1]["problems"][0]["choices"] == ["4.8 lb", "4 lb 8 oz"]
    assert told["rows"]["question"] == told["rows"]["rejected"] == 1
    assert shop.run("tarebook import jobs.csv --answers out.csv").code == 2
