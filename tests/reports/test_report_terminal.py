"""Tables on a terminal: answer first, nothing dropped, nothing in the data acts on the screen."""

from __future__ import annotations

import io
import re
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.reports.layout import wrapped
from ledger.reports.safe import columns_of
from ledger.reports.table import UNKNOWN, Column, Table
from ledger.reports.terminal import plain, show, styled
from tests.reports.report_samples import lb

COLUMNS = [
    Column("date", "Date", "date"),
    Column("person", "Person"),
    Column("net", "Net", "mass", total="SUM"),
    Column("note", "Note"),
]
ROWS: list[dict[str, object]] = [
    {"date": "2026-02-09", "person": "Teodor Vance-Abara", "net": lb("1295.4"), "note": "two"},
    {
        "date": "2026-03-30",
        "person": "Priya Lindqvist-Soto",
        "net": UNKNOWN,
        "note": "a long note that has to be wrapped into several lines",
    },
]
TABLE = Table(
    "Additions",
    COLUMNS,
    ROWS,
    "A-101 is over.",
    notes=["Midpoint."],
    as_of="2026-03-30",
    head=(7, "ab" * 32),
    cautions=["Flammable."],
)


class Screen(io.StringIO):
    """A terminal that keeps what it is sent."""

    def isatty(self) -> bool:
        return True


def test_a_pipe_gets_the_answer_then_one_line_a_row() -> None:
    out = io.StringIO()
    show(TABLE, out, {})
    assert (
        out.getvalue()
        == """\
A-101 is over.

Additions
Date        Person                Net (lb)  Note
----------  --------------------  --------  -----------------------------------------------------
2026-02-09  Teodor Vance-Abara    1,295.40  two
2026-03-30  Priya Lindqvist-Soto   unknown  a long note that has to be wrapped into several lines
----------  --------------------  --------  -----------------------------------------------------
Total of what is known            1,295.40

Caution: Flammable.

Note: Midpoint.

As of 2026-03-30; entry 7, digest abababababab
"""
    )


def test_a_narrower_screen_wraps_words_and_keeps_numbers_whole() -> None:
    text = plain(TABLE, 60)
    assert max(map(columns_of, text.splitlines())) <= 60
    for piece in ("1,295.40", "2026-03-30", "Lindqvist-", "several lines"):
        assert piece in text


def test_a_very_narrow_screen_writes_rows_one_below_another() -> None:
    text = plain(TABLE, 24)
    assert max(map(columns_of, text.splitlines())) <= 24
    assert "Date: 2026-02-09\nPerson: Teodor\n  Vance-Abara\nNet (lb): 1,295.40\nNote: two" in text
    assert "Total of what is known\nNet (lb): 1,295.40" in text


def test_a_screen_gets_the_same_lines_with_bold_headings() -> None:
    out = Screen()
    show(TABLE, out, {}, 70)
    text = out.getvalue()
    assert set(re.findall(r"\x1b\[[0-9;]*m", text)) == {"\x1b[1m", "\x1b[0m"}
    assert re.sub(r"\x1b\[[0-9;]*m", "", text) == plain(TABLE, 70)
    assert text == styled(TABLE, 70)


@pytest.mark.parametrize("environ", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_a_screen_may_ask_for_plain_lines(environ: dict[str, str]) -> None:
    out = Screen()
    show(TABLE, out, environ, 70)
    assert out.getvalue() == plain(TABLE, 70)


def test_a_screen_that_does_not_tell_its_width_gets_80() -> None:
    out = Screen()
    show(TABLE, out, {"NO_COLOR": "1"})
    assert out.getvalue() == plain(TABLE, 80)


def test_no_rows_are_said_in_words() -> None:
    assert plain(Table("Gaps", COLUMNS, [], "Nothing is missing.")) == (
        "Nothing is missing.\n\nGaps\nNo rows.\n"
    )


def test_escapes_in_data_are_written_out() -> None:
    nasty = "\x1b[2J\x07\x9b31m\u202eevil\r\nnext\x00"
    row = {"date": nasty, "person": nasty, "net": nasty, "note": nasty}
    table = Table(
        nasty,
        [Column("note", nasty), *COLUMNS[:3]],
        [row],
        nasty,
        notes=[nasty],
        as_of=nasty,
        cautions=[nasty],
    )
    for text in (plain(table), plain(table, 40), plain(table, 200)):
        assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", text)
        assert "\\x1b[2J\\x07\\x9b31m\\u202eevil" in text.replace("\n", "").replace(" ", "")
    assert "\x1b[2J" not in styled(table, 200)


@settings(max_examples=60, deadline=None)
@given(
    cells=st.lists(st.tuples(st.text(max_size=30), st.text(max_size=30)), min_size=1, max_size=3),
    width=st.integers(12, 120),
)
def test_no_width_loses_a_character_or_runs_over(cells: list[tuple[str, str]], width: int) -> None:
    rows: list[dict[str, object]] = [{"left": one, "right": two} for one, two in cells]
    table = Table("T", [Column("left", "Left"), Column("right", "Right")], rows)
    wide, narrow = plain(table), plain(table, width)
    lost = Counter(re.sub(r"[\s-]", "", wide)) - Counter(re.sub(r"[\s-]", "", narrow))
    assert not lost
    assert max(map(columns_of, narrow.splitlines())) <= width


@given(st.text(alphabet="ab -\u4e2d", max_size=40), st.integers(2, 20))
def test_wrapping_keeps_every_character_in_order(text: str, width: int) -> None:
    lines = wrapped(text, width)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(columns_of(line) <= width for line in lines)


def test_wide_characters_keep_columns_aligned() -> None:
    rows: list[dict[str, object]] = [
        {"a": "\u6c34\u6c34", "b": "x"},
        {"a": "abcd", "b": "y"},
        {"a": "e\u0301", "b": "z"},
    ]
    lines = plain(Table("T", [Column("a", "A"), Column("b", "B")], rows)).splitlines()[3:]
    assert lines == ["\u6c34\u6c34  x", "abcd  y", "e\u0301     z"]
