"""Cylinder labels: what stands on each, and that the code is the name."""

from __future__ import annotations

import re

import segno

from tests.cli.shop import Shop


def test_a_label_says_name_refrigerant_tare_limit_and_due_day(shop: Shop) -> None:
    """0.8 x 47.6 = 38.08 lb net, 65.58 lb gross with a tare of 27.5 (trade_workflow 3.6: 65.6)."""
    shop.ok("tarebook mend cylinder RC-01 --requalification-due 2028-05-31")
    assert shop.ok("tarebook labels RC-01 --out l.html") == ["Wrote l.html: 1 labels."]
    text = (shop.folder / "l.html").read_text(encoding="utf-8")
    for words in ("<h2>RC-01</h2>", "R-410A", "Tare 27.50 lb, stamped", "Limit 38.08 lb net",
                  "Stop at 65.58 lb gross", "Requalification due 2028-05-31"):  # fmt: skip
        assert words in text


def test_the_code_on_the_label_is_the_name_of_the_cylinder(shop: Shop) -> None:
    """Drawn anew by the library (ISO/IEC 18004), the squares are the same."""
    shop.ok("tarebook labels RC-01 --out l.html")
    (drawn,) = re.findall(r"<svg.*?</svg>", (shop.folder / "l.html").read_text(), re.S)
    made = segno.make("RC-01", error="q", micro=False)
    assert drawn == made.svg_inline(scale=3)
    assert drawn != segno.make("RC-02", error="q", micro=False).svg_inline(scale=3)


def test_a_disposable_says_do_not_refill_and_names_are_escaped(shop: Shop) -> None:
    shop.ok("tarebook add cylinder '<b>&1' --kind disposable --refrigerant R-410A")
    shop.ok("tarebook labels --out l.html")
    text = (shop.folder / "l.html").read_text(encoding="utf-8")
    assert "<h2>&lt;b&gt;&amp;1</h2>" in text and "<b>&1" not in text
    assert "Do not refill" in text


def test_cylinders_at_a_party_get_no_label_and_no_file_is_written_over(shop: Shop) -> None:
    shop.ok("tarebook ship RC-01 --to 'Second Life Reclaim'")
    shop.ok("tarebook labels --out l.html")
    assert "RC-01" not in (shop.folder / "l.html").read_text(encoding="utf-8")
    assert "[file-exists]" in shop.no("tarebook labels --out l.html")
