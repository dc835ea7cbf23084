"""What a person can settle in a word is asked, and the answers that were typed are understood."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from ledger.facts.problems import Problem
from ledger.intake.questions import (
    asked_fields,
    asked_line,
    asks,
    chosen,
    entry_named,
    offers,
    parts_of,
)
from tests.intake.answering import beside, fill
from tests.intake.shop import Shop, flags, held, new

JOBS = "Date,Unit,Refrigerant,Added,Recovered,Tank,Recovery tank,Tech"


# --- what is asked -----------------------------------------------------------------------
@pytest.mark.parametrize(
    ("row", "code", "choices"),
    [
        ("3/1/26,RTU-1,,4-8,,410-1,,TB", "quantity-unclear", ("4.8 lb", "4 lb 8 oz")),
        ("3/1/26,RTU-1,,,O.7,,RC-1,TB", "quantity-unclear", ("0.7 lb",)),
        ("3/1/26,RTU-1,,some,,410-1,,TB", "quantity-unclear", ()),
        ("3/1/26,RTU-1,407,1,,410-1,,TB", "refrigerant-unknown",
         ("R-407A", "R-407B", "R-407C", "R-407D", "R-407E", "R-407F", "R-407H")),
        ("3/1/26,RTU-1,blue stuff,1,,410-1,,TB", "refrigerant-unknown", ()),
        ("3/1/26,RTU-2,,1,,410-1,,TB", "circuit-needed", ("RTU-2/A", "RTU-2/B")),
        ("3/1/26,RTU-1,,1,,410.1,,TB", "unknown-id", ("410-1", "new")),
        ("3/1/26,RTU-1,,1,,410-1,,Nobody", "unknown-id", ("new",)),
        ("13/3/26,RTU-1,,1,,410-1,,TB", "date-unclear", ("2026-03-13",)),
    ],
)  # fmt: skip
def test_a_question_offers_its_answers(
    shop: Shop, row: str, code: str, choices: tuple[str, ...]
) -> None:
    report = shop.take(shop.csv(f"{JOBS}\n{row}"))
    assert report.counts == {"question": 1} and report.rejected == []
    (problem,) = report.questions[0].problems
    assert (problem.code, problem.choices) == (code, choices)


@pytest.mark.parametrize(
    "row",
    [
        "6/31/25,RTU-1,,1,,410-1,,TB", "6/13,RTU-1,,1,,410-1,,TB", "3/1/26,RTU-1,,,,410-1,,TB",
        "4/1/26,RTU-1,,1,,410-1,,TB", "3/1/26,RTU-1,,0,,410-1,,TB",
    ],
)  # fmt: skip
def test_what_no_word_can_settle_is_rejected(shop: Shop, row: str) -> None:
    report = shop.take(shop.csv(f"{JOBS}\n{row}"))
    assert report.counts == {"rejected": 1} and report.questions == []


def test_a_question_beside_a_rejection_is_rejected_and_both_are_told(shop: Shop) -> None:
    report = shop.take(shop.csv(f"{JOBS}\n6/31/25,RTU-1,,4-8,,410-1,,TB"))
    assert report.counts == {"rejected": 1}
    codes = [problem.code for problem in report.rejected[0].problems]
    assert codes == ["quantity-unclear", "date-unclear"]


def test_all_that_is_to_ask_about_a_row_is_asked_at_once(shop: Shop) -> None:
    report = shop.take(shop.csv(f"{JOBS}\n3/1/26,RTU 1,,4-8,,410.1,,TB"))
    assert {problem.where for problem in report.questions[0].problems} == {
        "jobs.csv!D2", "jobs.csv!B2", "jobs.csv!F2",
    }  # fmt: skip


def test_strictly_a_question_is_a_question(shop: Shop) -> None:
    path = shop.csv(f"{JOBS}\n3/1/26,RTU-1,,4-8,,410-1,,TB\n3/2/26,CH-1,,,5,,RC-1,TB")
    report = shop.take(path, strict=True)
    assert report.counts == {"question": 1, "rejected": 1}


def test_a_refrigerant_that_its_writer_doubts_goes_in_unknown_and_flagged(shop: Shop) -> None:
    rows = ["3/1/26,,22/410?,,5,,RC-1,TB", "3/2/26,RTU-1,R-410A?,1,,410-1,,TB",
            "3/3/26,RTU-1,R-22 or R-410A,2,,410-1,,TB"]  # fmt: skip
    report = shop.take(shop.csv("\n".join((JOBS, *rows))))
    assert report.counts == {"flagged": 3}, held(report)
    assert [move[3] for move in shop.moves() if move[0] != "2026-03-01"][-1] == "unknown"
    assert all(
        any(p.sentence.startswith("The refrigerant is in doubt: ") for p in one.problems)
        for one in report.flagged
    )
    again = shop.take(shop.csv("\n".join((JOBS, *rows))))
    assert again.counts == {"already": 3}
    assert shop.take(
        shop.csv(f"{JOBS}\n3/9/26,RTU-1,22/410?,1,,410-1,,TB"), strict=True
    ).counts == {"question": 1}


# --- the words of an answer --------------------------------------------------------------
LITRE = Problem("quantity-unclear", "?", "", choices=("4.8 lb", "4 lb 8 oz"))
TANK = Problem("unknown-id", "?", "", choices=("RC-4", "RC-04", "new"))
UNIT = Problem("circuit-needed", "?", "", choices=("RTU-2/A", "RTU-2/B"))
ONE = Problem("quantity-unclear", "?", "", choices=("0.7 lb",))


@pytest.mark.parametrize(
    ("field", "text", "problem", "answer"),
    [
        ("added", "4.8", LITRE, "4.8"), ("added", " 4 LB 8 OZ ", LITRE, "4 lb 8 oz"),
        ("added", "yes", LITRE, "yes"), ("added", "Yes.", ONE, "0.7 lb"),
        ("cylinder", " rc-4 ", TANK, "RC-4"), ("cylinder", "rc 04", TANK, "RC-04"),
        ("cylinder", "New", TANK, "new"), ("cylinder", "yes", TANK, "yes"),
        ("unit", "b", UNIT, "RTU-2/B"), ("unit", "rtu-2/a", UNIT, "RTU-2/A"),
        ("row", "take", None, "take"), ("row", "Yes", None, "take"), ("row", "no", None, "leave"),
        ("row", "leave it out", None, "leave"), ("row", "hm", None, ""),
        ("job", "same", None, "same"), ("job", "entry 41", None, "same"),
        ("job", "Same as entry 41", None, "same"), ("job", "keep both", None, "both"),
        ("job", "instead", None, "instead"), ("job", "yes", None, ""), ("job", "no", None, ""),
    ],
)  # fmt: skip
def test_what_is_typed_is_taken_for_the_choice_it_names(
    field: str, text: str, problem: Problem | None, answer: str
) -> None:
    assert chosen(field, text, problem) == answer


def test_an_answer_names_its_field_or_none() -> None:
    names = {"unit": "unit", "put in": "added", "added": "added"}
    assert parts_of("unit: RTU-1; put in = 4.8", names) == ({"unit": "RTU-1", "added": "4.8"}, [])
    assert parts_of("14:05", names) == ({}, ["14:05"])
    assert parts_of(" 4.8 ;\n", names) == ({}, ["4.8"])
    assert parts_of("Leave out", names) == ({"row": "leave"}, [])


def test_the_question_beside_a_row_says_what_it_is_about() -> None:
    line = asked_line("added", "D4", LITRE)
    assert line == "added (D4): ? Answer 4.8 lb or 4 lb 8 oz."
    assert asked_fields(f"{line}\n{asked_line('unit', 'B4', UNIT)}", {"added", "unit"}) == [
        "added", "unit",
    ]  # fmt: skip
    assert asked_fields("Some words.", {"added"}) == []


def test_two_questions_offer_each_answer_with_its_field() -> None:
    assert offers([("added", LITRE), ("unit", UNIT)]) == (
        "added: 4.8 lb; unit: RTU-2/A", "added: 4.8 lb; unit: RTU-2/B",
        "added: 4 lb 8 oz; unit: RTU-2/A", "added: 4 lb 8 oz; unit: RTU-2/B",
    )  # fmt: skip
    assert offers([("added", LITRE)]) == LITRE.choices and offers([]) == ()
    many = Problem("unknown-id", "?", "", choices=tuple("abcdefghijkl"))
    assert offers([("added", LITRE), ("unit", many)]) == ()


def test_an_entry_is_named_in_an_answer() -> None:
    assert [entry_named(text) for text in ("entry 41", "Same as Entry 7", "both")] == [41, 7, 0]


def test_what_asks() -> None:
    assert asks(LITRE) and asks(Problem("unknown-id", "?", ""))
    assert asks(Problem("value-unclear", "?", "", choices=("pass", "fail")))
    assert not asks(Problem("date-unclear", "?", ""))


# --- answered from end to end -------------------------------------------------------------
@pytest.mark.parametrize(
    ("row", "answer", "moved"),
    [
        ("3/1/26,RTU-1,,4-8,,410-1,,TB", "4.8", ("RTU-1", "R-410A", "4.8 lb")),
        ("3/1/26,RTU-1,,4-8,,410-1,,TB", "4 lb 8 oz", ("RTU-1", "R-410A", "4 lb 8 oz")),
        ("3/1/26,RTU-1,,4-8,,410-1,,TB", "added: 4.8 lb", ("RTU-1", "R-410A", "4.8 lb")),
        ("3/1/26,RTU-1,,O.7,,410-1,,TB", "yes", ("RTU-1", "R-410A", "0.7 lb")),
        ("3/1/26,RTU-1,some gas,1,,410-1,,TB", "R410a", ("RTU-1", "R-410A", "1 lb")),
        ("3/1/26,RTU-1,,1,,410.1,,TB", " 410-1 ", ("RTU-1", "R-410A", "1 lb")),
        ("3/1/26,RTU-2,,1,,410-1,,TB", "b", ("RTU-2/B", "R-410A", "1 lb")),
        ("3/1/26,RTU 1,,4-8,,410.1,,TB", "unit: rtu-1; 4.8; Tank: 410-1",
         ("RTU-1", "R-410A", "4.8 lb")),
        ("3/1/26,RTU-1,,4-8,,410-1,,Tam", "4.8; tamsin brandvold", ("RTU-1", "R-410A", "4.8 lb")),
        ("13/3/26,RTU-1,,1,,410-1,,TB", "3/13/26", ("RTU-1", "R-410A", "1 lb")),
        ("6/31/25,RTU-1,,1,,410-1,,TB", "date: 6/30/25", ("RTU-1", "R-410A", "1 lb")),
    ],
)  # fmt: skip
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_typed_answer_lets_the_row_in(
    shop: Shop, kind: str, row: str, answer: str, moved: tuple[str, str, str]
) -> None:
    path = sheet(shop, kind, [row])
    out = shop.folder / f"jobs.answers.{kind}"
    report = shop.take(path, answers=out)
    assert report.left == 1 and report.answers_file == str(out), held(report)
    fill(out, 2, answer)
    report = shop.take(out)
    assert report.counts == {"recorded": 1}, held(report)
    assert [(move[2][8:], *move[3:]) for move in shop.moves()] == [moved]
    head = shop.head()
    for again in (path, out):
        assert shop.take(again).counts == {"already": 1}
    assert shop.head() == head


def sheet(shop: Shop, kind: str, rows: list[str]) -> Path:
    lines: list[list[Any]] = [line.split(",") for line in (JOBS, *rows)]
    if kind == "xlsx":
        return shop.xlsx({"Charges": lines})
    return shop.csv("\n".join(",".join(line) for line in lines), "jobs.csv")


@pytest.mark.parametrize("answer", ["4-9", "hm", "yes", "leave me alone", "unit: RTU-9"])
def test_an_answer_that_settles_nothing_is_asked_again(shop: Shop, answer: str) -> None:
    out = shop.folder / "jobs.answers.csv"
    shop.take(sheet(shop, "csv", ["3/1/26,RTU-1,,4-8,,410-1,,TB"]), answers=out)
    fill(out, 2, answer)
    before, again = shop.head(), shop.folder / "jobs.answers-2.csv"
    report = shop.take(out, answers=again)
    assert report.counts == {"question": 1} and shop.head() == before
    sentences = [problem.sentence for problem in report.questions[0].problems]
    text = answer.rpartition(": ")[2]
    assert any(f'The answer "{text}" does not settle it' in one for one in sentences), sentences
    first, second = beside(out, 2), beside(again, 2)
    assert second["answer"] == answer and second["row"] == first["row"]
    fill(again, 2, "4.8")
    assert shop.take(again).counts == {"recorded": 1}


def test_an_answer_that_may_be_for_two_questions_is_asked_again(shop: Shop) -> None:
    out = shop.folder / "jobs.answers.csv"
    shop.take(sheet(shop, "csv", ["3/1/26,RTU-1,,4-8,2-2,410-1,RC-1,TB"]), answers=out)
    fill(out, 2, "4.8")
    report = shop.take(out)
    assert report.counts == {"question": 1}
    told = report.questions[0].problems
    assert any("does not say which question it is for" in one.sentence for one in told), told


def test_one_of_two_questions_answered_is_kept_and_the_other_is_asked(shop: Shop) -> None:
    out = shop.folder / "jobs.answers.csv"
    path = sheet(shop, "csv", ["3/1/26,RTU-1,,4-8,,410.1,,TB"])
    shop.take(path, answers=out)
    fill(out, 2, "added: 4.8")
    report = shop.take(out)
    assert report.counts == {"question": 1} and report.answered == 1
    assert [problem.code for problem in report.questions[0].problems] == ["unknown-id"]
    # The first sheet is asked no more than that either.
    second = shop.folder / "two.csv"
    report = shop.take(path, answers=second)
    assert [problem.code for problem in report.questions[0].problems] == ["unknown-id"]
    fill(second, 2, "410-1")
    assert shop.take(second).counts == {"recorded": 1}


def test_what_is_new_is_begun_by_its_answer_and_nothing_else_is(shop: Shop) -> None:
    rows = ["3/1/26,AC-9,R-410A,1,,410-1,,TB", "3/2/26,AC-9,R-410A,1,,410-7,,TB",
            "3/3/26,AC-9,R-410A,2,,410-1,,TB"]  # fmt: skip
    out = shop.folder / "jobs.answers.csv"
    assert shop.take(sheet(shop, "csv", rows), answers=out).counts == {"question": 3}
    fill(out, 4, "new")
    report = shop.take(out)
    assert report.counts == {"recorded": 2, "question": 1}
    assert ("unit", "AC-9") in report.begun
    assert [problem.code for problem in report.questions[0].problems] == ["unknown-id"]
    assert "410-7" in report.questions[0].problems[0].sentence
    assert shop.master("cylinder", "410-7") == {}
    assert shop.take(sheet(shop, "csv", rows)).counts == {"already": 2, "question": 1}


def test_a_site_with_several_units_is_answered_by_the_unit(shop: Shop) -> None:
    out = shop.folder / "out.csv"
    path = shop.csv("Date,Address,Added,Tank,Tech\n3/1/26,Bellmoor Tower,1,410-1,TB")
    report = shop.take(path, answers=out)
    assert report.questions[0].problems[0].choices == ("CH-1", "RTU-3")
    fill(out, 2, "rtu 3")
    assert shop.take(out).counts == {"recorded": 1}
    assert shop.moves()[0][2] == "circuit:RTU-3"
    assert shop.take(path).counts == {"already": 1}


def test_a_row_may_be_left_out_by_its_answer(shop: Shop) -> None:
    out = shop.folder / "out.csv"
    path = sheet(shop, "csv", ["3/1/26,RTU-1,,4-8,,410-1,,TB", "3/2/26,RTU-1,,1,,410-1,,TB"])
    shop.take(path, answers=out)
    fill(out, 2, "leave out")
    for again in (out, path):
        report = shop.take(again)
        assert report.counts == {"skipped": 1, "already": 1}
        assert report.skipped["left out by answer"] == 1 and report.left == 0


def test_a_sheet_of_units_is_answered_like_one_of_jobs(shop: Shop) -> None:
    out = shop.folder / "units.answers.csv"
    path = shop.csv(
        "Unit,Site,Refrigerant,Full charge\nAC-1,Ashdown Mkt,R-22,4-8\n"
        "AC-2,Ashdown Market,R-22,3 lb",
        "units.csv",
    )
    assert shop.take(path, answers=out).counts == {"recorded": 1, "question": 1}
    fill(out, 2, "full charge: 4.8")
    report = shop.take(out)
    assert report.counts == {"question": 1, "already": 1}, held(report)
    again = shop.folder / "again.csv"
    shop.take(out, answers=again)
    fill(again, 2, "site: Ashdown Market")
    report = shop.take(again)
    assert report.counts == {"recorded": 1, "already": 1}, held(report)
    assert shop.master("unit", "AC-1") == {"site": "Ashdown Market"}
    assert shop.take(path).counts == {"already": 2}


def test_hidden_and_struck_rows_are_asked_about_when_they_are_marked(shop: Shop) -> None:
    """Whatever reads the file marks the row; here the marks are put on by hand."""
    from ledger.intake.questions import doubts
    from ledger.intake.reading import Reading
    from ledger.intake.sheets import Row

    row = Row("Jobs", 14, [], ("hidden",))
    ((field, problem),) = doubts(Reading(row, None))  # type: ignore[arg-type]
    assert (field, problem.sentence) == ("row", "Row 14 is hidden in the sheet.")
    assert problem.choices == ("take", "leave")
    taken = Reading(row, None, answers={"row": "take"})  # type: ignore[arg-type]
    assert list(doubts(taken)) == []


def test_flags_stay_flags(shop: Shop) -> None:
    report = shop.take(shop.csv(f"{JOBS}\n3/1/26,RTU-1,,1,,410-1,,"))
    assert flags(report) == {2: ["No technician is named."]}
    shop.record(new("site", "12 Larkspur Ct"))


# --- which field an answer is for ---------------------------------------------------------
@pytest.mark.parametrize(
    "answer",
    ["B", "circuit: B", "Circuit B", "ckt b", "Circ. B", "circuit: RTU-2/B", "RTU-2 circuit B",
     "unit: circuit b", "ckt: b", "CIRCUIT = b", "rtu-2 b", "circuit #B"],
)  # fmt: skip
@pytest.mark.parametrize("column", [False, True])
def test_a_circuit_is_answered_by_its_letter(shop: Shop, answer: str, column: bool) -> None:
    head = "Date,Unit,Circuit,Added,Tank,Tech" if column else "Date,Unit,Added,Tank,Tech"
    row = "3/1/26,RTU-2,,1,410-1,TB" if column else "3/1/26,RTU-2,1,410-1,TB"
    path, out = shop.csv(f"{head}\n{row}"), shop.folder / "out.csv"
    assert shop.take(path, answers=out).counts == {"question": 1}
    fill(out, 2, answer)
    report = shop.take(out)
    assert report.counts == {"recorded": 1}, held(report)
    assert shop.moves()[0][2] == "circuit:RTU-2/B"
    assert shop.take(path).counts == {"already": 1}


@pytest.mark.parametrize("column", [False, True])
@pytest.mark.parametrize("answer", ["unit: RTU-2; circuit: B", "RTU-2/B", "unit: RTU-2/B"])
def test_a_unit_and_its_circuit_are_answered_at_once(shop: Shop, answer: str, column: bool) -> None:
    head = "Date,Unit,Circuit,Added,Tank,Tech" if column else "Date,Unit,Added,Tank,Tech"
    row = "3/1/26,RTU-22,,1,410-1,TB" if column else "3/1/26,RTU-22,1,410-1,TB"
    path, out = shop.csv(f"{head}\n{row}"), shop.folder / "out.csv"
    assert shop.take(path, answers=out).counts == {"question": 1}
    fill(out, 2, answer)
    report = shop.take(out)
    assert report.counts == {"recorded": 1}, held(report)
    assert shop.moves()[0][2] == "circuit:RTU-2/B"


@pytest.mark.parametrize("answer", ["circuit: C", "Circuit C", "ckt", "circuit:"])
def test_a_circuit_that_is_not_there_is_asked_again(shop: Shop, answer: str) -> None:
    path = shop.csv("Date,Unit,Added,Tank,Tech\n3/1/26,RTU-2,1,410-1,TB")
    out = shop.folder / "out.csv"
    shop.take(path, answers=out)
    fill(out, 2, answer)
    report = shop.take(out)
    assert report.counts == {"question": 1}
    assert "does not settle it" in report.questions[0].problems[0].sentence


@pytest.mark.parametrize(
    ("answer", "moved", "person"),
    [
        ("b; refrigerant: R-22", ("R-22", "RTU-2/B"), "Tamsin Brandvold"),
        ("b; gas: r22", ("R-22", "RTU-2/B"), "Tamsin Brandvold"),
        ("b; tech: Dirk Osei", ("R-410A", "RTU-2/B"), "Dirk Osei"),
        ("ckt b; Technician: DO", ("R-410A", "RTU-2/B"), "Dirk Osei"),
        ("unit: RTU-3", ("R-410A", "RTU-3"), "Tamsin Brandvold"),
        ("unit: RTU-3; mechanic = DO", ("R-410A", "RTU-3"), "Dirk Osei"),
        ("B; bottle: 410-2", ("R-410A", "RTU-2/B"), "Tamsin Brandvold"),
        ("B; site: Ashdown Market", ("R-410A", "RTU-2/B"), "Tamsin Brandvold"),
    ],
)  # fmt: skip
def test_an_answer_may_mend_another_field_of_its_row(
    shop: Shop, answer: str, moved: tuple[str, str], person: str
) -> None:
    path = sheet(shop, "csv", ["3/1/26,RTU-2,R-410A,1,,410-1,,TB"])
    out = shop.folder / "out.csv"
    shop.take(path, answers=out)
    fill(out, 2, answer)
    report = shop.take(out)
    assert report.left == 0, held(report)
    ((_, source, target, refrigerant, _),) = shop.moves()
    assert (refrigerant, target) == (moved[0], f"circuit:{moved[1]}")
    assert source == ("cylinder:410-2" if "410-2" in answer else "cylinder:410-1")
    assert shop.entries()[0]["person"] == person
    assert shop.take(path).counts == {"already": 1}


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("b; refrigerant: the blue one", 'The answer "the blue one" does not settle it'),
        ("b; tech: Xaver", 'The answer "Xaver" does not settle it'),
        ("b; lid: red", '"lid"'), ("b; and a new belt", "for no question of this row"),
        ("tank: 999; b", 'The answer "999" does not settle it'),
    ],
)  # fmt: skip
def test_no_part_of_an_answer_is_dropped_unsaid(shop: Shop, answer: str, said: str) -> None:
    out = shop.folder / "out.csv"
    shop.take(sheet(shop, "csv", ["3/1/26,RTU-2,,1,,410-1,,TB"]), answers=out)
    fill(out, 2, answer)
    before, again = shop.head(), shop.folder / "again.csv"
    report = shop.take(out, answers=again)
    assert report.counts == {"question": 1} and shop.head() == before
    sentences = [problem.sentence for problem in report.questions[0].problems]
    assert any(said in one for one in sentences), sentences
    assert beside(again, 2)["answer"] == answer


@pytest.mark.parametrize("answer", ["lb: 4.8", "amount: 4.8", "pounds = 4.8", "added: 4.8"])
def test_pounds_named_by_another_word_are_those_asked_about(shop: Shop, answer: str) -> None:
    out = shop.folder / "out.csv"
    shop.take(sheet(shop, "csv", ["3/1/26,RTU-1,,4-8,,410-1,,TB"]), answers=out)
    fill(out, 2, answer)
    assert shop.take(out).counts == {"recorded": 1}
    assert shop.moves()[0][4] == "4.8 lb"


def test_a_tank_named_by_another_word_is_the_one_asked_about(shop: Shop) -> None:
    out = shop.folder / "out.csv"
    shop.take(sheet(shop, "csv", ["3/1/26,RTU-1,,,2,,RC.1,TB"]), answers=out)
    fill(out, 2, "cylinder: RC-1")
    report = shop.take(out)
    assert report.counts == {"recorded": 1}, held(report)
    assert shop.moves()[0][2] == "cylinder:RC-1"


@pytest.mark.parametrize("answer", ["2 lb", "amount: 2 lb", "added: 2", "yes"])
def test_an_amount_marked_as_not_exact_is_asked_for_under_its_own_column(
    shop: Shop, answer: str
) -> None:
    out = shop.folder / "jobs.answers.csv"
    report = shop.take(shop.csv(f"{JOBS}\n3/1/26,RTU-1,,about 2,,410-1,,TB"), answers=out)
    assert report.counts == {"question": 1}
    assert beside(out, 2)["question"] == (
        "added (D2): The amount is marked as not exact. Answer 2 lb."
    )
    fill(out, 2, answer)
    report = shop.take(out)
    assert report.counts == {"recorded": 1}, held(report)
    assert shop.moves()[-1][-1] == "2 lb"


def test_initials_of_two_people_offer_both(shop: Shop) -> None:
    for name in ("Mara Oyelaran", "Milo Ostrander"):
        shop.record(new("person", name, initials="MO"), key=name)
    out = shop.folder / "jobs.answers.csv"
    rows = "3/1/26,RTU-1,,1,,410-1,,MO\n3/2/26,RTU-1,,5-2,,410-1,,MO"
    report = shop.take(shop.csv(f"{JOBS}\n{rows}"), answers=out)
    assert report.counts == {"question": 2}
    asked = (
        'technician (H2): Two people have the initials "MO": Mara Oyelaran and Milo Ostrander.'
        " Answer Mara Oyelaran or Milo Ostrander."
    )
    assert beside(out, 2)["question"] == asked
    assert asked.replace("H2", "H3") in beside(out, 3)["question"]
    fill(out, 2, "Milo Ostrander")
    fill(out, 3, "added: 5.2 lb; tech: Mara Oyelaran")
    report = shop.take(out)
    assert (report.recorded, report.left) == (2, 0), held(report)
    people = [one["person"] for one in shop.entries() if one["verb"] == "charge"]
    assert people == ["Milo Ostrander", "Mara Oyelaran"]


def test_an_amount_without_a_day_is_asked_about_in_words(shop: Shop) -> None:
    out = shop.folder / "jobs.answers.csv"
    rows = "3/1/26,RTU-1,,1,,410-1,,TB\n,,,7.5,,,,"
    shop.take(shop.csv(f"{JOBS}\n{rows}"), answers=out)
    question = beside(out, 3)["question"]
    assert "Row 3 holds an amount and no day, and is no sum of the rows above it" in question
    assert "fill in its day and its unit. Answer leave." in question
    fill(out, 3, "leave")
    assert shop.take(out).counts == {"already": 1, "skipped": 1}
