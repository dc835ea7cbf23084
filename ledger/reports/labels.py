"""Cylinder labels as one printable page: name, refrigerant, tare, limit, and the name as a QR code.

The page is HTML with the codes drawn in it, so that it prints from any browser without fetching
anything.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import NamedTuple

from ledger.facts.fill_limit import rounded_down
from ledger.facts.mass import Mass, pounds

MODULES = 3
"""Points a square of the code is wide before the page scales it: about 1 mm in print."""
_PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>{title}</title>
<style>
@page {{ size: letter; margin: 0.5in; }}
body {{ font-family: sans-serif; margin: 0; }}
main {{ display: grid; grid-template-columns: 1fr 1fr; gap: 0.15in; }}
section {{ border: 1px solid #000; padding: 0.1in; display: flex; gap: 0.15in;
  break-inside: avoid; min-height: 1.7in; }}
section svg {{ flex: none; width: 1.5in; height: 1.5in; }}
h2 {{ font-size: 20pt; margin: 0 0 4pt; }}
p {{ margin: 2pt 0; font-size: 11pt; }}
p.flammable {{ font-weight: bold; }}
footer {{ font-size: 8pt; margin-top: 0.1in; }}
</style></head><body><main>
{labels}
</main><footer>{footer}</footer></body></html>
"""


class Label(NamedTuple):
    """What stands on one label; masses in counts, None where not recorded."""

    cylinder: str
    refrigerant: str
    tare: int | None = None
    tare_basis: str = ""
    limit: int | None = None
    most_gross: int | None = None
    due: str = ""
    disposable: bool = False
    flammable: bool = False


def page(labels: Iterable[Label], title: str, footer: str) -> str:
    """The page with every label, in the order given."""
    return _PAGE.format(
        title=escape(title), footer=escape(footer), labels="\n".join(map(_label, labels))
    )


def code_of(name: str) -> str:
    """The name of a cylinder as a QR code (ISO/IEC 18004), drawn as SVG."""
    import segno

    # Level Q: a quarter of the code may be scratched off and it still reads.
    drawn: str = segno.make(name, error="q", micro=False).svg_inline(scale=MODULES)
    return drawn


def _label(one: Label) -> str:
    what = escape(one.refrigerant or "no refrigerant assigned")
    lines = [f"<h2>{escape(one.cylinder)}</h2>", f"<p>{what}</p>"]
    if one.flammable:
        lines.append('<p class="flammable">FLAMMABLE</p>')
    if one.tare is not None:
        lines.append(f"<p>Tare {pounds(one.tare)} lb, {escape(one.tare_basis)}</p>")
    else:
        lines.append("<p>Tare not recorded</p>")
    lines += [f"<p>{escape(text)}</p>" for text in _limits(one)]
    return f"<section>{code_of(one.cylinder)}<div>{''.join(lines)}</div></section>"


def _limits(one: Label) -> list[str]:
    if one.disposable:
        return ["Do not refill (49 U.S.C. 5124)"]
    lines = []
    if one.limit is not None:
        lines.append(f"Limit {rounded_down(Mass(one.limit))} lb net")
    if one.most_gross is not None:
        lines.append(f"Stop at {rounded_down(Mass(one.most_gross))} lb gross")
    if not lines:
        lines.append("Limit not known: 80 % of water capacity")
    if one.due:
        lines.append(f"Requalification due {one.due}")
    return lines
