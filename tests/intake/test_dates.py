"""Days and times as people write them: what is read, what is asked, and the words for it."""

from __future__ import annotations

import datetime
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ledger.intake.dates import LATEST_YEAR, parse_day, parse_time
from ledger.intake.unclear import MAX_TEXT, Unclear

THIRD = date(2025, 6, 3)


def asked(value: object, order: str = "mdy", default_year: int | None = None) -> Unclear:
    answer = parse_day(value, order, default_year)
    assert isinstance(answer, Unclear), answer
    return answer


@pytest.mark.parametrize(
    "text",
    [
        *("2025-06-03", "2025-6-3", "2025/06/03", "2025.06.03", "20250603"),
        *("06-03-2025", "6/3/2025", "6/3/25", "06/03/25", "6-3-25", "6.3.25", " 6 / 3 / 25 "),
        *("Jun 3, 2025", "June 3 2025", "Jun. 3, 2025", "JUNE 3RD, 2025", "Jun 3 '25"),
        *("3 June 2025", "3 Jun 25", "3-Jun-25", "03-Jun-2025", "3rd of June, 2025", "3Jun2025"),
        *("Tue, Jun 3, 2025", "Tuesday 3 June 2025", "tues. 6/3/25"),
        *("2025-06-03 14:05", "2025-06-03T14:05:30", "2025-06-03 00:00:00", "6/3/25 2:05 pm"),
        *("6/3/25, 2:05", "2025\u201106\u201103", "6/3/25\u00a0"),
    ],
)
def test_the_third_of_june(text: str) -> None:
    assert parse_day(text) == THIRD


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("3/6/25", THIRD),
        ("03.06.2025", THIRD),
        ("31-12-2025", date(2025, 12, 31)),
        ("2025-06-03", THIRD),
        ("2025/06/03", THIRD),
        ("Jun 3, 2025", THIRD),
        ("29/2/24", date(2024, 2, 29)),
    ],
)
def test_day_first_where_the_shop_says_so(text: str, day: date) -> None:
    assert parse_day(text, "dmy") == day


@pytest.mark.parametrize(
    ("text", "year"),
    [("1/1/00", 2000), ("1/1/25", 2025), ("1/1/79", 2079), ("1/1/80", 1980), ("1/1/99", 1999)],
)
def test_two_figures_of_a_year(text: str, year: int) -> None:
    assert parse_day(text) == date(year, 1, 1)


@pytest.mark.parametrize("text", ["6/13", "06-13", "Jun 13", "13 June", "13-Jun", "June 13th"])
def test_a_day_without_a_year_needs_the_year_handed_in(text: str) -> None:
    assert asked(text).why == "has no year"
    assert parse_day(text, default_year=2025) == date(2025, 6, 13)


@pytest.mark.parametrize(
    ("value", "day"),
    [
        (THIRD, THIRD),
        (datetime.datetime(2025, 6, 3), THIRD),
        (datetime.datetime(2025, 6, 3, 23, 59), THIRD),
        (date(1930, 1, 1), date(1930, 1, 1)),
        (date(2100, 12, 31), date(2100, 12, 31)),
    ],
)
def test_date_cells(value: object, day: date) -> None:
    answer = parse_day(value)
    assert answer == day
    assert type(answer) is date


READING = "2025-06-03 (3 June 2025)"


@pytest.mark.parametrize(
    ("text", "why", "readings"),
    [
        ("6/31/25", "June has 30 days", ()),
        ("2025-06-31", "June has 30 days", ()),
        ("June 31, 2025", "June has 30 days", ()),
        ("2/29/25", "February 2025 has 28 days", ()),
        ("2/29/2100", "February 2100 has 28 days", ()),
        ("6/0/25", "there is no day 0", ()),
        ("2025-13-01", "there is no month 13", ()),
        (
            "13/6/25",
            "not a date month first, for there is no month 13",
            ("2025-06-13 (13 June 2025)",),
        ),
        ("31/12/2025", "no month 31", ("2025-12-31 (31 December 2025)",)),
        ("13/31/25", "no month 13", ()),
        ("25-06-03", "no month 25", ("2003-06-25 (25 June 2003)", READING)),
        ("1/1/1929", "year 1929, outside 1930 to 2100", ()),
        ("2101-01-01", "year 2101, outside 1930 to 2100", ()),
        ("0000-00-00", "year 0, outside", ()),
        ("45811", "is a number", (READING,)),
        ("060325", "is a number", (READING, "2065-02-27 (27 February 2065)")),
        ("06032025", "is a number", (READING,)),
        ("99999999", "is a number", ()),
        ("Jun-25", "day of the month or the year", ()),
        ("June 2025", "no day of the month", ()),
        ("6/2025", "no day of the month", ()),
        ("Wed Jun 3 2025", "that day is a Tuesday", (READING,)),
        ("2025-06-03T02:05:00Z", "time zone", (READING,)),
        ("2025-06-03 02:05+02:00", "time zone", (READING,)),
        ("6/3/25 99:99", "not a date and a time", (READING,)),
        ("O6/03/25", "letter where a figure", (READING,)),
        ("6/3-25", "not a date", ()),
        ("6/3/025", "not a date", ()),
        ("625/3/5", "not a date", ()),
        ("2025-W23-2", "not a date", ()),
        ("yesterday", "not a date", ()),
        ("٣/6/25", "another alphabet", ()),
        ("6月3日", "not a plain letter", ()),
        ("", "holds no date", ()),
        ("\u00a0", "holds no date", ()),
    ],
)
def test_what_is_not_plainly_a_day_is_asked(text: str, why: str, readings: tuple[str, ...]) -> None:
    answer = asked(text)
    assert why in answer.why
    assert answer.readings == readings
    assert answer.text == text


def test_other_questions_with_an_order_or_a_year() -> None:
    assert asked("6/13/25", "dmy").readings == ("2025-06-13 (13 June 2025)",)
    assert asked("6/13", "dmy", 2025).readings == ("2025-06-13 (13 June 2025)",)
    assert asked("Jun-25", default_year=2025).readings == ("2025-06-25 (25 June 2025)",)
    assert "28 days" in asked("2/29", default_year=2025).why
    assert parse_day("2/29", default_year=2024) == date(2024, 2, 29)
    assert "outside" in asked("6/13", default_year=25).why
    assert "outside" in asked("6/13", default_year=-5).why


@pytest.mark.parametrize(
    ("value", "why", "readings"),
    [
        (45811, "is a number", (READING,)),
        (45811.75, "is a number", (READING,)),
        (Decimal("45811"), "is a number", (READING,)),
        (20250603, "is a number", (READING,)),
        (0, "is a number", ()),
        (10958, "is a number", ()),
        (10959, "is a number", ("1930-01-01 (1 January 1930)",)),
        (73415, "is a number", ("2100-12-31 (31 December 2100)",)),
        (73416, "is a number", ()),
        (-4, "out of range", ()),
        (10**400, "out of range", ()),
        (1e300, "out of range", ()),
        (float("nan"), "not a date", ()),
        (Decimal("NaN"), "not a date", ()),
        (True, "not a date", ()),
        (None, "holds no date", ()),
        ([], "not a date", ()),
        (datetime.time(14, 5), "not a date", ()),
        (date(1929, 12, 31), "year 1929", ()),
        (datetime.datetime(9999, 12, 31), "year 9999", ()),
    ],
)
def test_other_cells_are_asked(value: object, why: str, readings: tuple[str, ...]) -> None:
    answer = asked(value)
    assert why in answer.why
    assert answer.readings == readings


def test_a_missing_time_of_a_data_frame_is_an_empty_cell() -> None:
    import pandas as pd

    assert asked(pd.NaT).sentence() == "An empty cell holds no date."
    assert parse_time(pd.NaT) == Unclear("", "holds no time")
    assert parse_day(pd.Timestamp("2025-06-03 02:00")) == THIRD


def test_the_question_is_one_plain_sentence() -> None:
    assert asked("6/31/25").sentence() == '"6/31/25" is not a date: June has 30 days.'
    assert asked("13/6/25").sentence() == (
        '"13/6/25" is not a date month first, for there is no month 13; '
        "if 2025-06-13 (13 June 2025) is meant, write that."
    )


def test_a_long_text_is_refused_at_once_and_cut() -> None:
    answer = asked("6" * 1_000_000)
    assert answer == Unclear("6" * MAX_TEXT + "…", "is longer than 64 characters")
    assert parse_time("1" * 65) == Unclear("1" * MAX_TEXT + "…", "is longer than 64 characters")


@pytest.mark.parametrize("value", ["2025-06-03", "", THIRD, 45811, None])
def test_another_order_is_an_error_of_the_program(value: object) -> None:
    with pytest.raises(ValueError, match="ymd"):
        parse_day(value, "ymd")


# --- for any day and any text ------------------------------------------------------------
days = st.dates(min_value=date(1930, 1, 1), max_value=date(LATEST_YEAR, 12, 31))


@given(day=days)
def test_every_spelling_of_a_day_reads_as_that_day(day: date) -> None:
    numbers = {"y": day.year, "m": day.month, "d": day.day}
    for form in ("{y}-{m:02}-{d:02}", "{y}/{m}/{d}", "{y}{m:02}{d:02}", "{m}/{d}/{y}"):
        assert parse_day(form.format(**numbers)) == day
    assert parse_day("{d}.{m}.{y}".format(**numbers), "dmy") == day
    for form in ("%b %d, %Y", "%B %d %Y", "%d %B %Y", "%d-%b-%Y", "%a, %d %b %Y", "%A %B %d, %Y"):
        assert parse_day(day.strftime(form)) == day
    assert parse_day("{m}/{d}".format(**numbers), default_year=day.year) == day
    if 1980 <= day.year < 2080:
        assert parse_day(day.strftime("%m/%d/%y")) == day


@given(day=days)
def test_a_spreadsheet_day_number_is_spelled_out(day: date) -> None:
    number = (day - date(1900, 3, 1)).days + 61  # 1 March 1900 is day 61; from memory
    reading = asked(number).readings[0]
    assert parse_day(reading.partition(" (")[0]) == day


near_dates = st.text("0123456789/-. :,TZapmJunMrOl'", max_size=16)


@given(
    text=st.one_of(st.text(max_size=80), near_dates),
    order=st.sampled_from(["mdy", "dmy"]),
    year=st.one_of(st.none(), st.integers()),
)
@example("2025-06-0\ud800", "mdy", None)
def test_any_text_is_a_day_or_asked(text: str, order: str, year: int | None) -> None:
    answer = parse_day(text, order, year)
    if isinstance(answer, Unclear):
        assert answer.sentence().endswith(".")
        for reading in answer.readings:
            assert isinstance(parse_day(reading.partition(" (")[0]), date)
    else:
        assert 1930 <= answer.year <= LATEST_YEAR


@given(
    value=st.one_of(
        st.integers(),
        st.floats(),
        st.decimals(),
        st.dates(),
        st.datetimes(),
        st.times(),
        st.binary(),
        st.lists(st.none()),
        st.builds(object),
    )
)
def test_any_cell_is_a_day_or_asked(value: object) -> None:
    for answer in (parse_day(value), parse_time(value)):
        if isinstance(answer, Unclear):
            assert answer.sentence().endswith(".")


# --- times of day ------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("value", "clock"),
    [
        ("14:05", "14:05"),
        ("14:05:59", "14:05"),
        ("02:05", "02:05"),
        ("00:00", "00:00"),
        ("0:05", "00:05"),
        ("23:59", "23:59"),
        ("2:05 pm", "14:05"),
        ("2:05PM", "14:05"),
        ("2:05 p.m.", "14:05"),
        ("2:05a", "02:05"),
        ("02:05 am", "02:05"),
        ("12:05 am", "00:05"),
        ("12:05 pm", "12:05"),
        ("2 pm", "14:00"),
        ("noon", "12:00"),
        (" 14:05\u00a0", "14:05"),
        (datetime.time(14, 5, 30), "14:05"),
        (datetime.datetime(2025, 6, 3, 0, 7), "00:07"),
    ],
)
def test_times_of_day(value: object, clock: str) -> None:
    assert parse_time(value) == clock


@pytest.mark.parametrize(
    ("value", "why", "readings"),
    [
        ("2:05", "two ways", ("02:05", "14:05")),
        ("9:30", "two ways", ("09:30", "21:30")),
        ("9.30", "two ways", ("09:30", "21:30")),
        ("1405", "no colon", ("14:05",)),
        ("0700 h", "no colon", ("07:00",)),
        ("2.05 pm", "no colon", ("14:05",)),
        ("13:05 pm", "24-hour day", ("13:05",)),
        ("0:05 am", "24-hour day", ("00:05",)),
        ("24:00", "not a time", ()),
        ("14:60", "not a time", ()),
        ("14:05:60", "not a time", ()),
        ("14:5", "not a time", ()),
        ("midnight", "not a time", ()),
        ("after lunch", "not a time", ()),
        ("٢:05", "another alphabet", ()),
        ("", "holds no time", ()),
        (None, "holds no time", ()),
        (0.5868, "not a time", ()),
        (True, "not a time", ()),
    ],
)
def test_what_is_not_plainly_a_time_is_asked(
    value: object, why: str, readings: tuple[str, ...]
) -> None:
    answer = parse_time(value)
    assert isinstance(answer, Unclear)
    assert why in answer.why
    assert answer.readings == readings
    for reading in readings:
        assert parse_time(reading) == reading


@given(hour=st.integers(0, 23), minute=st.integers(0, 59))
def test_both_clocks_agree(hour: int, minute: int) -> None:
    half = "am" if hour < 12 else "pm"
    assert parse_time(f"{hour:02}:{minute:02}") == f"{hour:02}:{minute:02}"
    assert parse_time(f"{(hour - 1) % 12 + 1}:{minute:02} {half}") == f"{hour:02}:{minute:02}"


@given(text=st.one_of(st.text(max_size=80), st.text("0123456789:. apmh", max_size=9)))
def test_any_text_is_a_time_or_asked(text: str) -> None:
    answer = parse_time(text)
    if isinstance(answer, Unclear):
        assert answer.sentence().endswith(".")
    else:
        assert datetime.time.fromisoformat(answer).strftime("%H:%M") == answer
