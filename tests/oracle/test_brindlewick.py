"""The demo shop against figures worked by hand, and against a second computation of every one.

Each row of the story stands in `expected/story.toml` with its figures; each figure has a case that
names the row, and what no command can record or answer yet stands beside it with the reason.
A-302's rolling 16.0 % is told as "at least", because the log of the firm before has the day of its
last addition and not the pounds.
"""

from __future__ import annotations

import csv
from datetime import datetime
from fractions import Fraction
from pathlib import Path

import pytest

from ledger.answers.leak_rate import Rate
from ledger.book.journal import Reader
from ledger.book.reading import Cut, inventory_of, pounds_of
from ledger.book.verify import verify
from ledger.cli.demo import BRINDLEWICK, DEMO_DAY
from ledger.cli.demo_sheets import take_count
from ledger.facts.mass import POUND, half_up
from ledger.intake.importing import run_import
from tests.oracle import brindlewick_naive as naive
from tests.oracle.brindlewick_book import (
    BALANCES,
    EXPECTED,
    RATES,
    Case,
    Demo,
    check_rate,
    label,
    made,
    mass,
)
from tests.oracle.fixtures_brindlewick import FIXTURES, contents


@pytest.fixture
def demo() -> Demo:
    """The book of the demo shop, made once."""
    return made()


# -- the sheets -------------------------------------------------------------------------------


def test_the_sheets_are_those_the_data_gives() -> None:
    typed = contents()
    assert (
        {path.name for path in FIXTURES.glob("*.[cx][sl]*")}
        == set(typed)
        == set(BRINDLEWICK.sheets)
    )
    for name, content in typed.items():
        written = (FIXTURES / name).read_bytes()
        assert _cells(written) == _cells(content) if name.endswith("x") else written == content


def _cells(workbook: bytes) -> dict[str, list[tuple[object, ...]]]:
    import io

    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(workbook), read_only=True)
    return {page.title: list(page.iter_rows(values_only=True)) for page in book}


def test_days_stand_in_the_workbooks_as_days() -> None:
    cells = _cells((FIXTURES / "jobs-2026.xlsx").read_bytes())
    days = [row[0] for row in cells["Charges"] if isinstance(row[0], datetime)]
    assert len(days) > 50 and days == sorted(days)


FLAGGED = (
    ("jobs-2025.xlsx!Charges!", "Cass Novy has card type apprentice on 2025-03-03"),
    (
        "jobs-2025.xlsx!Recoveries!",
        "RC-03 would hold 41.40 lb R-410A, 3.32 lb over its fill limit of 38.08 lb net",
    ),
    ("jobs-2025.xlsx!Moves!", "RC-06 was due for requalification by 2025-07-31: not for T6"),
    ("jobs-2025.xlsx!Recoveries!", "RC-06 was due for requalification by 2025-07-31"),
    ("jobs-2025.xlsx!Charges!", "Walt Ondricek has card type II on 2025-09-09", "type III"),
    ("jobs-2026.xlsx!Charges!", "No cylinder is named."),
)
"""What really happened and was recorded all the same, in the order of the sheets' days."""

ASKED = (
    ("Charges!", "is hidden in the sheet"),
    ("Charges!", '"Rack A"'),
    ("Charges!", '"the roof one by the hatch'),
    ("Charges!", "RTU-1 has 2 circuits: A-303/A, A-303/B"),
    ("Charges!", "2026-02-09"),
    ("Charges!", '"Walt"'),
)
"""What the import asks about jobs-2026.xlsx, all of it answered."""


def test_what_the_import_flags_and_asks_is_what_went_wrong(demo: Demo) -> None:
    said = "\n".join(demo.said)
    flagged = [line for line in demo.said if line.startswith("  flagged")]
    for line, words in zip(flagged, FLAGGED, strict=True):
        assert all(word in line for word in words), line
    asked = [line for line in demo.said if line.startswith("  question")]
    for words in ASKED:
        assert any(all(word in line for word in words) for line in asked), words
    assert "rejected" not in said and "still open" not in said
    assert said.count("corrected:") == 2


def test_taken_in_again_nothing_is_recorded_twice(demo: Demo) -> None:
    with demo.book.reading() as reader:
        head = reader.head()
    for name in BRINDLEWICK.sheets:
        if name in BRINDLEWICK.counts:
            assert "0 rows recorded" in next(take_count(demo.book, BRINDLEWICK, FIXTURES / name))
            continue
        report = run_import(demo.book, FIXTURES / name, moment=DEMO_DAY)
        assert report.recorded == 0
        assert (report.counts["rejected"], report.counts["question"]) == (0, 0), name
    with demo.book.reading() as reader:
        assert reader.head() == head


def test_no_cylinder_ever_falls_below_nothing_and_none_was_evened_out(demo: Demo) -> None:
    moves = demo.now.movement
    assert set(moves[moves.purpose == "difference"].entry) == set()
    for day in sorted(set(moves.occurred_on)):
        assert min(naive.contents(demo.now, day).values(), default=0) >= 0


def test_the_book_made_of_the_sheets_verifies(demo: Demo) -> None:
    assert verify(demo.book) == []


# -- leak rates -------------------------------------------------------------------------------


@pytest.mark.parametrize("case", RATES["rate"], ids=label)
def test_a_rate_is_the_one_worked_by_hand(demo: Demo, case: Case) -> None:
    check_rate(case, demo.rates()[case["circuit"], case["on"].isoformat()])


@pytest.mark.parametrize("case", RATES["no_calculation"], ids=label)
def test_an_exempt_addition_has_no_rate(demo: Demo, case: Case) -> None:
    rate = demo.rates()[case["circuit"], case["on"].isoformat()]
    assert rate.skipped == case["claim"]
    assert rate.rate is None


@pytest.mark.parametrize("case", RATES["as_known_then"], ids=label)
def test_a_rate_as_it_was_known_before_more_came_in(demo: Demo, case: Case) -> None:
    with demo.book.reading() as reader:
        cut = Cut(known_at=_before(reader, case["before"]))
    check_rate(case, demo.rates(cut)[case["circuit"], case["on"].isoformat()])


def _before(reader: Reader, what: str) -> int:
    """The last entry before a correction, or before the other firm's invoice."""
    entry = reader.entry_by_key(f"demo:reverse:{what}")
    if entry is not None:
        return entry.number - 1
    sql = "SELECT entry FROM movement WHERE purpose = 'addition by others'"
    ((number,),) = reader.rows(sql)
    return int(number) - 1


@pytest.mark.parametrize("case", RATES["counted"], ids=label)
def test_the_misread_ticket_counts_its_weights_and_not_its_copy(demo: Demo, case: Case) -> None:
    """3.15 lb in and 0.30 lb back on one ticket are 2.85 lb, and the office's 2.50 is gone."""
    month = case["on"].isoformat()[:7]
    found = {
        day: rate.counted
        for (circuit, day), rate in demo.rates().items()
        if circuit == case["circuit"] and day.startswith(month)
    }
    assert found == {case["on"].isoformat(): mass(case["lb"])}


@pytest.mark.parametrize("case", RATES["year"], ids=label)
def test_a_year_of_additions_by_full_charge(demo: Demo, case: Case) -> None:
    moves = demo.now.movement
    chosen = moves[
        (moves.target_kind == "circuit") & (moves.target_name == case["circuit"])
        & moves.occurred_on.str.startswith(str(case["year"]))
        & (moves.refrigerant == case["refrigerant"]) & (moves.claim == "")
    ]  # fmt: skip
    total = int(chosen.mass.sum())
    assert total == mass(case["lb"])
    assert half_up(Fraction(100 * total, mass(case["charge"])), 1) == case["percent"]


def test_every_rate_is_recomputed_from_the_tables_to_the_last_digit(demo: Demo) -> None:
    _same_rates(demo.rates(), demo.now)


def test_every_rate_as_known_before_the_corrections_is_recomputed_too(demo: Demo) -> None:
    with demo.book.reading() as reader:
        known = _before(reader, "wrong unit 06-18")
    _same_rates(demo.rates(Cut(known_at=known)), naive.Tables(demo.file, known))


def _same_rates(ours: dict[tuple[str, str], Rate], tables: naive.Tables) -> None:
    computed = {key: rate for key, rate in ours.items() if not rate.skipped}
    theirs = {
        (circuit, one["on"]): one
        for circuit in {name for name, _ in ours}
        for one in naive.rates(tables, circuit)
    }
    assert set(theirs) == set(computed)
    for key, rate in computed.items():
        one = theirs[key]
        assert (one["subpart"], one["days"]) == (rate.subpart, rate.days), key
        assert one["annualizing"] == rate.rate_by("annualizing"), key
        assert one["rolling"] == rate.rate_by("rolling average"), key
        assert one["lb"] == Fraction(rate.counted, POUND), key
        if rate.subpart:
            assert (one["trigger"], one["over"]) == (rate.trigger, rate.over), key


# -- pounds -----------------------------------------------------------------------------------


@pytest.mark.parametrize("case", BALANCES["sum"], ids=label)
def test_pounds_that_moved(demo: Demo, case: Case) -> None:
    moves = demo.now.movement
    chosen = moves.entry > 0
    for name, side in (("from", "source"), ("to", "target")):
        if name in case:
            kind, _, holder = case[name].partition(":")
            chosen &= (moves[f"{side}_kind"] == kind) & (moves[f"{side}_name"] == holder)
    for name in ("refrigerant", "purpose", "stock", "claim"):
        if name in case:
            chosen &= moves[name] == case[name]
    if "sources" in case:
        chosen &= moves.source_name.isin(case["sources"])
    if "year" in case or "on" in case:
        chosen &= moves.occurred_on.str.startswith(str(case.get("year", case.get("on"))))
    if "from_day" in case:
        first, last = case["from_day"].isoformat(), case["to_day"].isoformat()
        chosen &= (moves.occurred_on >= first) & (moves.occurred_on <= last)
    if "percent" in case:
        assert half_up(Fraction(100 * mass(case["lb"]), mass(case["of"])), 1) == case["percent"]
    assert int(moves[chosen].mass.sum()) == mass(case["lb"])


@pytest.mark.parametrize("case", BALANCES["contents"], ids=label)
def test_what_a_cylinder_held(demo: Demo, case: Case) -> None:
    day, name = case["on"].isoformat(), case["cylinder"]
    assert naive.contents(demo.now, day)[name] == mass(case["lb"])
    with demo.book.reading() as reader:
        (line,) = [one for one in inventory_of(reader, Cut(day), gone=True) if one.name == name]
    assert line.book == mass(case["lb"])


@pytest.mark.parametrize("case", BALANCES["scrapped"], ids=label)
def test_disposables_scrapped_by_how_they_were_emptied(demo: Demo, case: Case) -> None:
    day, said = case["on"].isoformat(), case["said"]
    found = [
        name
        for name in sorted(set(demo.now.described[demo.now.described.kind == "cylinder"].name))
        if demo.now.dated("cylinder", name, "state", day) == "scrapped"
        and said in demo.now.dated("cylinder", name, "state because", day)
        and not demo.now.dated("cylinder", name, "state", "2026-10-29")
    ]
    assert len(found) == case["count"]


def _table(name: str) -> list[dict[str, str]]:
    with (EXPECTED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_pounds_balance_of_both_years(demo: Demo) -> None:
    """By the program, by pandas, and by hand: three columns that agree."""
    with demo.book.reading() as reader:
        lines = {(one.period[:4], one.refrigerant): one for one in pounds_of(reader, Cut())}
    by_pandas = naive.pounds_by_year(demo.now)
    expected = _table("pounds.csv")
    assert {(row["year"], row["refrigerant"]) for row in expected} == set(lines)
    closing: dict[str, int] = {}
    for row in expected:
        key = row["year"], row["refrigerant"]
        line, year = lines[key], int(key[0])
        worked = {name: mass(text) for name, text in list(row.items())[2:]}
        heels = worked.pop("heels")
        assert {name: getattr(line, name) for name in worked} == worked, key
        assert (line.heel, line.difference) == (heels, 0), key
        before = closing.get(key[1], 0)
        change = 0
        if (year, key[1]) in by_pandas.index:
            found = by_pandas.loc[(year, key[1])]
            change = int(found.change)
            moved = {name: int(found[name]) for name in worked if name in by_pandas.columns}
            assert moved == {name: worked[name] for name in moved}, key
            assert int(found.heels) == heels
        closing[key[1]] = before + change
        assert (worked["opening"], worked["closing"]) == (before, closing[key[1]]), key


def test_what_every_cylinder_holds_at_the_end(demo: Demo) -> None:
    rows = _table("cylinders.csv")
    expected = {row["cylinder"]: (row["refrigerant"], mass(row["lb"])) for row in rows}
    with demo.book.reading() as reader:
        lines = [one for one in inventory_of(reader, Cut(), gone=True) if one.book]
    assert {one.name: (one.refrigerant, one.book) for one in lines} == expected
    held = {name: what for name, what in naive.contents(demo.now).items() if what}
    assert held == {name: what for name, (_, what) in expected.items()}


def test_recovered_refrigerant_keeps_its_owner(demo: Demo) -> None:
    """Tarnbrook's gas in RC-11 is Tarnbrook's; what several homes put together is shared."""
    with demo.book.reading() as reader:
        owners = {one.name: (one.stock, one.owner) for one in inventory_of(reader, Cut())}
    assert owners["RC-11"] == ("recovered", "Tarnbrook Markets")
    assert owners["RC-05"] == ("recovered", "shared")
    moves = demo.now.movement
    home = moves[(moves.source_name == "RC-11") & (moves.purpose == "addition")]
    assert set(home.owner) == {"Tarnbrook Markets"}


# -- the command ------------------------------------------------------------------------------


def test_the_command_shows_a_day_and_writes_the_workbooks(tmp_path: Path) -> None:
    from tests.cli.shop import Shop

    shop = Shop(tmp_path)
    said = shop.run("tarebook demo shop")
    assert said.code == 0, said.err
    assert len(said.lines()) <= 72
    for words in (
        "39.2 % a year", "92.9 % a year (rolling at least 16.0 %)", "617.50",
        "RC-05: quarantined", "Try next",
    ):  # fmt: skip
        assert words in said.out
    files = sorted(path.name for path in (tmp_path / "shop").iterdir())
    assert files == [
        "A-101-history.xlsx", "A-302-history.xlsx", "cylinders.xlsx", "jobs-2026.answers.xlsx",
        "pounds-balance.xlsx", "tarebook.db",
    ]  # fmt: skip
    again = shop.run("tarebook demo shop")
    assert again.code == 2
    assert "holds a demo shop already" in again.err
    (tmp_path / "letter").write_text("not a folder", encoding="utf-8")
    other = shop.run("tarebook demo letter")
    assert other.code == 2
    assert "[file-exists]" in other.err
