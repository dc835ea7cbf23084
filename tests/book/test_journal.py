"""One record, two times, one chain: what a book takes in and gives back."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from ledger.book.engine import BookPlace
from ledger.book.journal import Book, Origin, utc_text
from ledger.book.verify import verify
from ledger.facts.entry import GENESIS, Draft, digest_of
from ledger.facts.facts import Decision, Described, Movement, Reversal, Setting
from ledger.facts.mass import Mass, Quantity
from ledger.facts.problems import Refused

Charge = Callable[..., Draft]


def code_of(refused: pytest.ExceptionInfo[Refused]) -> str:
    return refused.value.problems[0].code


def test_first_entry_holds_name_zone_and_id(book: Book) -> None:
    with book.reading() as reader:
        first = reader.entry(1)
        assert first is not None
        assert first.content()["verb"] == "init"
        assert [(f.key, f.value) for f in first.facts() if isinstance(f, Setting)] == [
            ("name", "Example Refrigeration"),
            ("zone", "America/Chicago"),
            ("id", book.book_id),
        ]
        assert (first.previous, first.origin_number) == (GENESIS, 0)
        assert first.recorded_at == "2026-03-30T16:05:09.123456Z"
        assert first.occurred_on == "2026-03-30"
        assert reader.head() == (1, first.digest)
    assert (book.name, book.zone) == ("Example Refrigeration", "America/Chicago")


def test_first_day_is_the_shops_day(place: BookPlace, clock: Any) -> None:
    clock.advance(9 * 3600)  # 01:05 UTC on the 31st is still the 30th in Chicago.
    with Book.create(place, "America/Chicago", "Shop", "office", clock()) as made:
        with made.reading() as reader:
            first = reader.entry(1)
        assert first is not None and first.occurred_on == "2026-03-30"
        assert len(made.book_id) == 32


def test_entry_reads_back_as_it_was_recorded(book: Book, charge: Charge, clock: Any) -> None:
    draft = charge(3)
    with book.writing() as writer:
        made = writer.append(draft, clock.text())
    with book.reading() as reader:
        assert reader.entry(2) == made == reader.entry_by_key("charge-3")
        assert reader.entry(3) is None and reader.entry_by_key("other") is None
    assert made.facts() == draft.facts
    assert (made.actor, made.person, made.zone) == ("office", "Dana Field", "America/Chicago")
    header = (
        2, "charge-3", draft.occurred_on, "09:30", "America/Chicago", clock.text(), "office",
        "Dana Field", book.book_id, 0, "",
    )  # fmt: skip
    assert made.digest == digest_of(made.previous, header, made.body)


def test_entries_chain_across_units_of_work(book: Book, charge: Charge, clock: Any) -> None:
    for number in range(3):
        with book.writing() as writer:
            for part in range(2):
                writer.append(charge(number * 2 + part), clock.advance(1))
    with book.reading() as reader:
        entries = list(reader.entries())
        assert [entry.number for entry in entries] == list(range(1, 8))
        assert [e.previous for e in entries] == [GENESIS, *(e.digest for e in entries[:-1])]
        assert [e.number for e in reader.entries(3, 5)] == [3, 4, 5]
        assert reader.head() == (7, entries[-1].digest)


def test_query_rows_come_with_the_entry(book: Book, charge: Charge, clock: Any) -> None:
    with book.writing() as writer:
        writer.append(charge(3), clock.text())
        waiting = list(writer.rows("SELECT entry, mass FROM movement WHERE entry = ?", (2,)))
    with book.reading() as reader:
        named = "SELECT entry, mass FROM movement WHERE ticket = :ticket AND '50%' = '50%'"
        assert list(reader.rows(named, {"ticket": "WO-3"})) == waiting == [(2, 1741794700800)]
        weights = list(reader.rows("SELECT line, part, moment FROM weighing ORDER BY line, part"))
    assert weights == [(0, 0, "before"), (0, 1, "after"), (1, 0, "alone")]


def test_large_unit_of_work_is_flushed_in_parts(book: Book, charge: Charge, clock: Any) -> None:
    drafts = [charge(number) for number in range(4_500)]
    with book.writing() as writer:
        assert writer.keys_present([draft.key for draft in drafts]) == {}
        for draft in drafts:
            writer.append(draft, clock.text())
        assert writer.head()[0] == 4_501
    with book.reading() as reader:
        assert list(reader.rows("SELECT count(*), sum(line) FROM movement")) == [(4_500, 0)]
        present = reader.keys_present(["charge-0", "charge-4499", "none"])
    assert present == {"charge-0": 2, "charge-4499": 4_501}


def test_many_entries_at_once_are_there_before_anything_else_is_asked(
    book: Book, charge: Charge, clock: Any
) -> None:
    drafts = [charge(number) for number in range(4_500)]
    odd = 'None\t\\N, 5\\" line\r\nof \\. a sheet'
    drafts[7] = replace(drafts[7], ticket=odd)
    with book.writing() as writer:
        writer.append_all(drafts, clock.text())
        told = list(writer.rows("SELECT count(*), max(entry) FROM movement"))
        assert told == [(4_500, 4_501)]
        with pytest.raises(Refused, match="entry 4001"):
            writer.append_all([*map(charge, range(4_500, 7_000)), charge(3_999)], clock.text())
    with book.reading() as reader:
        assert reader.head()[0] == 7_001
        entry = reader.entry(9)
        assert entry is not None and entry.content()["ticket"] == odd
        assert list(reader.rows("SELECT ticket FROM movement WHERE entry = 9")) == [(odd,)]
    assert verify(book) == []


def test_what_fails_among_many_entries_undoes_them_all(
    book: Book, charge: Charge, clock: Any
) -> None:
    taken = "INSERT INTO movement (entry, line, mass) VALUES (1000, 0, 1)"
    with pytest.raises(Exception, match=r"(?i)unique"), book.writing() as writer:
        writer.connection.exec_driver_sql(taken)
        writer.append_all([charge(number) for number in range(4_500)], clock.text())
    with book.reading() as reader:
        assert reader.head()[0] == 1
        assert list(reader.rows("SELECT entry FROM movement")) == []


def test_exception_records_nothing(book: Book, charge: Charge, clock: Any) -> None:
    with pytest.raises(ZeroDivisionError), book.writing() as writer:
        writer.append(charge(1), clock.text())
        writer.flush()
        raise ZeroDivisionError
    with book.reading() as reader:
        assert reader.head()[0] == 1
        assert list(reader.rows("SELECT entry FROM movement")) == []


def test_dry_run_records_nothing(book: Book, charge: Charge, clock: Any) -> None:
    with book.writing() as writer:
        entry = writer.append(charge(1), clock.text())
        writer.flush()
        writer.rollback()
        with pytest.raises(RuntimeError):
            writer.append(charge(2), clock.text())
    assert entry.number == 2
    with book.writing() as writer:
        assert writer.head()[0] == 1
        assert writer.append(charge(1), clock.text()) == entry


def test_reader_sees_one_moment(book: Book, charge: Charge, clock: Any) -> None:
    with book.reading() as reader:
        before = reader.head()
        with book.writing() as writer:
            writer.append(charge(1), clock.text())
        assert reader.head() == before
        assert list(reader.rows("SELECT count(*) FROM movement")) == [(0,)]
    with book.reading() as reader:
        assert reader.head()[0] == 2


@pytest.mark.parametrize("when", ["waiting", "flushed", "committed", "asked first"])
def test_key_is_recorded_once(book: Book, charge: Charge, clock: Any, when: str) -> None:
    with book.writing() as writer:
        if when == "asked first":
            writer.keys_present(["charge-1"])
        writer.append(charge(1), clock.text())
        if when == "flushed":
            writer.flush()
        if when != "committed":
            with pytest.raises(Refused, match="entry 2") as refused:
                writer.append(charge(1), clock.text())
            assert code_of(refused) == "key-reused"
            writer.append(charge(2), clock.text())
    if when == "committed":
        with book.writing() as writer, pytest.raises(Refused, match="entry 2") as refused:
            writer.append(charge(1), clock.text())
        assert code_of(refused) == "key-reused"
    with book.reading() as reader:
        assert reader.head()[0] == (2 if when == "committed" else 3)


def test_clock_going_back_keeps_the_order(book: Book, charge: Charge, clock: Any) -> None:
    with book.writing() as writer:
        late = writer.append(charge(1), clock.advance(60))
        early = writer.append(charge(2), clock.advance(-3600))
    with book.writing() as writer:
        again = writer.append(charge(3), clock.text())
        later = writer.append(charge(4), clock.advance(7200))
    assert early.recorded_at == again.recorded_at == late.recorded_at
    assert later.recorded_at == clock.text() > late.recorded_at


def test_number_at_follows_the_recording(book: Book, charge: Charge, clock: Any) -> None:
    moments = [clock.text()]
    with book.writing() as writer:
        for number in range(9):
            moments.append(clock.advance(60 if number % 3 == 0 else 0))
            writer.append(charge(number), moments[-1])
    with book.reading() as reader:
        assert reader.number_at("2026-03-30T16:05:09.123455Z") == 0
        assert [reader.number_at(moment) for moment in moments] == [
            1,
            *[4] * 3,
            *[7] * 3,
            *[10] * 3,
        ]
        assert reader.number_at("2026-03-30T16:06:30.000000Z") == 4
        assert reader.number_at("2027-01-01T00:00:00.000000Z") == 10


def test_recording_time_must_be_exact_utc(book: Book, charge: Charge) -> None:
    with book.writing() as writer, pytest.raises(Refused) as refused:
        writer.append(charge(1), "2026-03-30 11:05")
    assert code_of(refused) == "value-unclear"


def test_merged_entry_keeps_its_origin(book: Book, charge: Charge, clock: Any) -> None:
    origin = Origin("f" * 32, 17, "a" * 64)
    with book.writing() as writer:
        writer.append(charge(1), clock.text(), origin)
    with book.reading() as reader:
        entry = reader.entry(2)
    assert entry is not None
    assert (entry.origin_book, entry.origin_number, entry.origin_digest) == (
        "f" * 32, 17, "a" * 64,
    )  # fmt: skip


def test_line_is_taken_back_once(book: Book, charge: Charge, clock: Any) -> None:
    back = Draft("back", "reverse", "2026-03-30", (Reversal(2, (0, 1), "typed twice"),))
    with book.writing() as writer:
        writer.append(charge(3), clock.text())
        writer.append(back, clock.text())
        assert writer.reversed_lines(2) == [(0, 3), (1, 3)]
        with pytest.raises(Refused, match="by entry 3") as refused:
            writer.append(replace(back, key="again"), clock.text())
    assert code_of(refused) == "already-reversed"


@pytest.mark.parametrize("lines", [(0, 0), (1,), (-1,)])
def test_reversal_names_lines_that_are_there(
    book: Book, charge: Charge, clock: Any, lines: tuple[int, ...]
) -> None:
    back = Draft("back", "reverse", "2026-03-30", (Reversal(2, lines, "slip"),))
    with book.writing() as writer:
        writer.append(charge(1), clock.text())
        with pytest.raises(Refused) as refused:
            writer.append(back, clock.text())
    assert code_of(refused) == ("already-reversed" if lines == (0, 0) else "no-such-entry")


@pytest.mark.parametrize(
    ("fact", "code"),
    [
        (Setting("tolerance", "count", 0.05), "value-unclear"),
        (Setting("tolerance", "count", True), "value-unclear"),
        (Setting("map", "sheet", {1: "date"}), "value-unclear"),
        (Setting("map", "sheet", [None]), "value-unclear"),
        (Described("site", "North", {"area": 1.5}), "value-unclear"),
        (Decision("site:North", "who", "us\0", "call"), "text-unfit"),
        (Decision("site:North", "who", "us\ud800", "call"), "text-unfit"),
        (Decision("site:North", "who", "x" * 1_000_001, "call"), "text-unfit"),
        (Movement("a:", "b:", "R-22", Quantity(Mass(2**63), "much"), "heel"), "amount-absurd"),
    ],
)
def test_what_cannot_be_kept_exactly_is_refused(
    book: Book, charge: Charge, clock: Any, fact: Any, code: str
) -> None:
    with book.writing() as writer:
        with pytest.raises(Refused) as refused:
            writer.append(Draft("odd", "set", "2026-03-30", (fact,)), clock.text())
        writer.append(charge(1), clock.text())
    assert code_of(refused) == code
    with book.reading() as reader:
        assert reader.head()[0] == 2


@pytest.mark.parametrize("name", ["key", "person", "zone"])
@pytest.mark.parametrize("letter", ["\0", "\udcff"])
def test_texts_of_the_header_are_kept_or_refused(
    book: Book, charge: Charge, clock: Any, name: str, letter: str
) -> None:
    with book.writing() as writer:
        with pytest.raises(Refused) as refused:
            writer.append(replace(charge(1), **{name: f"x{letter}"}), clock.text())
        assert code_of(refused) == "text-unfit"
        writer.append(charge(2), clock.text())


def test_unusual_but_good_text_is_kept(book: Book, clock: Any) -> None:
    text = "Zoë’s café \u2028 \\u0000 \t 'quoted' \"double\" 50% :name ? 🧊"
    draft = Draft("odd ✓", "decide", "2026-03-30", (Decision("site:Zoë", "who", text, "call"),))
    with book.writing() as writer:
        made = writer.append(replace(draft, person=text), clock.text())
    with book.reading() as reader:
        assert reader.entry(2) == made
        rows = list(reader.rows("SELECT body FROM service WHERE subject = ?", ("site:Zoë",)))
    assert json.loads(rows[0][0])["answer"] == made.person == text


def test_name_and_zone_follow_their_settings(book: Book, clock: Any) -> None:
    moved = Draft(
        "moved", "set", "2026-04-01",
        (Setting("book", "name", "New Name"), Setting("book", "zone", "America/Denver")),
    )  # fmt: skip
    back = Draft("back", "reverse", "2026-04-01", (Reversal(2, (1,), "not moved"),))
    with book.writing() as writer:
        writer.append(moved, clock.text())
        writer.append(back, clock.text())
    with Book.open(book.place, "truck") as again:
        assert (again.name, again.zone) == ("New Name", "America/Chicago")
        assert (again.book_id, again.actor) == (book.book_id, "truck")


def test_book_is_never_made_over_another(book: Book, clock: Any) -> None:
    with pytest.raises(Refused) as refused:
        Book.create(book.place, "America/Chicago", "Other", "office", clock())
    assert code_of(refused) == "book-exists"
    with book.reading() as reader:
        assert reader.head()[0] == 1


@pytest.mark.parametrize(("zone", "book_id"), [("Mars/Olympus", ""), ("UTC", "not hex")])
def test_book_needs_a_zone_and_a_fit_id(
    place: BookPlace, clock: Any, zone: str, book_id: str
) -> None:
    with pytest.raises(Refused) as refused:
        Book.create(place, zone, "Shop", "office", clock(), book_id)
    assert code_of(refused) == "value-unclear"
    with pytest.raises(Refused) as refused:
        Book.open(place, "office")
    assert code_of(refused) == "book-missing"


def test_utc_text_has_six_decimals(clock: Any) -> None:
    assert utc_text(clock().replace(microsecond=0)) == "2026-03-30T16:05:09.000000Z"


def test_a_list_that_is_left_half_read_ends_with_its_reader(book: Book) -> None:
    with book.writing() as writer:
        writer.append(charge_like(), "2026-03-30T16:06:00.000000Z")
    with book.reading() as reader:
        rows, entries = reader.rows("SELECT number FROM journal"), reader.entries()
        assert (next(rows), next(entries).number) == ((1,), 1)
    # Ended before the connection was closed, so that nothing is left to end on a closed book.
    assert (next(rows, None), next(entries, None)) == (None, None)


def charge_like() -> Draft:
    """Any second entry."""
    return Draft("second", "test", "2026-03-30", (Setting("note", "a", "b"),))
