"""Disposables to scrap, with and without a statement, and the list of cylinders to look at."""

from __future__ import annotations

from tests.cli.shop import Shop

DANA = '--by "Dana Field"'
EMPTIED = (
    f"tarebook charge RTU-1 24.2 --from 410-1 {DANA} --on 2026-06-01",
    f"tarebook charge RTU-1 24.9 --from 410-2 {DANA} --on 2026-06-02",
)


def test_a_batch_is_scrapped_with_its_heels_and_one_statement(shop: Shop) -> None:
    shop.all(EMPTIED)
    said = shop.ok(f"tarebook scrap 410-1 410-2 --vacuum 15 {DANA} --to Depot --on 2026-06-29")
    assert "Statement: 2 cylinders evacuated to 15 in. Hg by Dana Field, 2026-06-29." in said
    held = {row["Cylinder"] for row in shop.rows("tarebook balance --by cylinder")}
    assert held == {"448-1"}
    rows = shop.rows("tarebook empties 21")
    assert [(r["Cylinder"], r["Vacuum (in. Hg)"], r["Technician"], r["Card"]) for r in rows] == [
        ("410-1", "15", "Dana Field", "Universal 4711"),
        ("410-2", "15", "Dana Field", "Universal 4711"),
    ]
    assert not [r for r in shop.rows("tarebook attention") if "statement" in r["What"]]


def test_what_is_scrapped_without_a_statement_stays_to_be_looked_at(shop: Shop) -> None:
    shop.all(EMPTIED)
    said = shop.ok("tarebook scrap 410-1 --on 2026-06-29")
    assert said[1].startswith("1 scrapped without a statement of evacuation. Caution:")
    (row,) = (r for r in shop.rows("tarebook attention") if "statement" in r["What"])
    assert (row["Cylinder"], row["Since"]) == ("410-1", "2026-06-29")
    shop.ok(f"tarebook scrap 410-1 --vacuum 15 {DANA} --on 2026-06-29")
    assert not [r for r in shop.rows("tarebook attention") if "statement" in r["What"]]


def test_a_vacuum_under_the_rule_and_a_missing_card_are_told(shop: Shop) -> None:
    """40 CFR 84.116 (federal_rules.md section 5.6): 15 in. Hg, by a certified technician."""
    shop.all((*EMPTIED, "tarebook add person 'Lee Moss' --certification apprentice"))
    said = shop.ok("tarebook scrap 410-1 --vacuum 10 --by 'Lee Moss'")
    assert "10 in. Hg is less than the 15 in. Hg of 40 CFR 84.116 (from 2028)." in said
    assert said[-1].startswith("Lee Moss has no certification on record for that day")


def test_a_full_or_refillable_cylinder_is_not_scrapped_as_a_disposable(shop: Shop) -> None:
    assert "holds 25.00 lb by the book, more than a heel" in shop.no("tarebook scrap 410-1")
    assert "[kind-mismatch]" in shop.no("tarebook scrap 448-1")
    assert "[field-missing]" in shop.no("tarebook scrap 410-1 --vacuum 15")


def test_what_is_held_for_an_owner_is_told_with_where_it_is(shop: Shop) -> None:
    shop.all((
        f"tarebook recover RTU-1 9 --to RC-01 {DANA} --on 2026-06-01",
        f"tarebook charge RTU-1 5 --from RC-01 {DANA} --on 2026-06-03",
    ))  # fmt: skip
    said = shop.ok("tarebook held-for 'harbor foods'")
    assert said[0] == "Held for Harbor Foods: 4.00 lb R-410A."
    assert "Note: In cylinder RC-01: 4.00 lb R-410A." in said
    assert shop.ok("tarebook held-for 'Mill Lane Hotel'")[0].endswith(": nothing.")


def test_what_was_put_together_with_others_is_told_as_for_reclaim_only(shop: Shop) -> None:
    shop.all((
        "tarebook mend cylinder RC-01 --refrigerant R-410A",
        f"tarebook recover RTU-1 9 --to RC-01 {DANA} --on 2026-06-01",
        f"tarebook recover RTU-2/A 3 --to RC-01 {DANA} --on 2026-06-02"
        " --because 'the only cylinder aboard'",
    ))  # fmt: skip
    said = "\n".join(shop.ok("tarebook held-for 'harbor foods'"))
    assert "9.00 lb R-410A was put together with refrigerant of others" in said
