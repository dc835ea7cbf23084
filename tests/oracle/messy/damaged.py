"""Files that are not what they say, cut short or hostile: a small generator for the readers."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable, Iterator

from tests.oracle.messy.workbook import archive_of

_ROWS = (
    ("Date", "Unit", "Refrigerant", "Added", "Tech"),
    ("6/3/25", "RTU-1", "R-410A", "4.8", "IC"), ("6/4/25", "RTU-1", "R-410A", "2 lb 8 oz", "BO"),
)  # fmt: skip
_TEXT = "\r\n".join(",".join(row) for row in _ROWS) + "\r\n"
_HTML = (
    "<html><body><table>"
    + "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in _ROWS)
    + "</table></body></html>"
)
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""The first bytes of the older binary kind of workbook."""

Change = Callable[[bytes], bytes]
"""What is done to the markup of the one sheet."""


def workbook() -> bytes:
    """A sound workbook of three rows."""
    return archive_of([list(row) for row in _ROWS])


def damaged_files(seed: int) -> Iterator[tuple[str, str, bytes]]:
    """What is wrong, the name of the file, and its bytes."""
    rng = random.Random(f"damaged {seed}")
    whole = workbook()
    yield "no bytes", "empty.xlsx", b""
    yield "no bytes", "empty.csv", b""
    yield "cut short", "cut.xlsx", whole[: rng.randrange(1, len(whole) - 30)]
    yield "cut at the start", "headless.xlsx", whole[rng.randrange(1, 300) :]
    yield "bytes changed", "changed.xlsx", _changed(rng, whole)
    yield "text named a workbook", "text.xlsx", _TEXT.encode()
    yield "page named a workbook", "page.xls", _HTML.encode()
    yield "page named a workbook", "page.xlsx", _HTML.encode()
    yield "old workbook named a new one", "old.xlsx", _OLD_WORKBOOK + rng.randbytes(3000)
    yield "old workbook", "old.xls", _OLD_WORKBOOK + rng.randbytes(3000)
    yield "workbook named text", "book.csv", whole
    yield "archive without sheets", "other.xlsx", _archive({"readme.txt": b"nothing here"})
    yield "utf-16 with a mark", "utf16.csv", _TEXT.encode("utf-16")
    yield "utf-16 without a mark", "utf16le.csv", _TEXT.encode("utf-16-le")
    signs = _TEXT.replace("RTU-1", "RTU\u20131 \u201croof\u201d")
    yield "cp1252 signs", "cp1252.csv", signs.encode("cp1252")
    yield "latin-1 with NUL bytes", "nul.csv", _with_nul(rng, _TEXT.replace("IC", "\xcd\xc7"))
    yield "any bytes", "noise.csv", rng.randbytes(rng.randint(1, 4000))
    yield "any bytes", "noise.xlsx", rng.randbytes(rng.randint(1, 4000))
    yield "one line without end", "line.csv", b"Date,Unit," + b"x" * 2_000_000
    yield "a quote never closed", "quote.csv", _TEXT.replace("RTU-1", '"RTU-1', 1).encode()
    yield "formulas everywhere", "formulas.xlsx", archive_of(_formulas(rng))
    yield "formulas in text", "formulas.csv", _formula_text().encode()
    yield "huge dimension", "huge.xlsx", _patched(whole, _huge)
    yield "last cell of the sheet", "far.xlsx", _patched(whole, _far)
    yield "row numbers run backwards", "backwards.xlsx", _patched(whole, _backwards)
    yield "no table of texts", "untexted.xlsx", _without(whole, "xl/sharedStrings.xml")
    yield "sheet is not markup", "unmarked.xlsx", _patched(whole, lambda _: b"<<<not markup")
    yield "entities that grow", "entities.xlsx", _patched(whole, _entities)
    yield "archive that grows", "bomb.xlsx", _patched(whole, _swollen)


def _changed(rng: random.Random, whole: bytes) -> bytes:
    made = bytearray(whole)
    for _ in range(rng.randint(1, 40)):
        made[rng.randrange(len(made))] = rng.randrange(256)
    return bytes(made)


def _with_nul(rng: random.Random, text: str) -> bytes:
    data = text.encode("latin-1")
    at = rng.randrange(len(data))
    return data[:at] + b"\x00\x00" + data[at:]


def _formulas(rng: random.Random) -> list[list[object]]:
    wild = (
        "=1/0", '=HYPERLINK("file:///x","4.8")', "=A1&A2", "=SUM(D1:D1048576)", "=INDIRECT(A9)",
        "=cmd|' /C calc'!A0", "=WEBSERVICE(A1)", "={1,2,3}", "=",
    )  # fmt: skip
    rows: list[list[object]] = [list(_ROWS[0])]
    rows += [[rng.choice(wild) for _ in _ROWS[0]] for _ in range(12)]
    return rows


def _formula_text() -> str:
    row = "=1+1,+RTU-1,@SUM(A1),=2+2.8,-IC"
    return ",".join(_ROWS[0]) + "\n" + "\n".join([row] * 12) + "\n"


def _archive(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, part in parts.items():
            made.writestr(name, part, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _parts(whole: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(whole)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _without(whole: bytes, left_out: str) -> bytes:
    return _archive({name: part for name, part in _parts(whole).items() if name != left_out})


def _patched(whole: bytes, change: Change) -> bytes:
    parts = _parts(whole)
    sheet = "xl/worksheets/sheet1.xml"
    parts[sheet] = change(parts[sheet])
    return _archive(parts)


def _huge(part: bytes) -> bytes:
    return part.replace(b'ref="A1:E3"', b'ref="A1:XFD1048576"')


def _far(part: bytes) -> bytes:
    cell = b'<row r="1048576"><c r="XFD1048576" t="n"><v>1</v></c></row></sheetData>'
    return part.replace(b"</sheetData>", cell)


def _backwards(part: bytes) -> bytes:
    return part.replace(b'r="2"', b'r="9"').replace(b'r="3"', b'r="1"')


def _entities(part: bytes) -> bytes:
    grow = b"".join(b'<!ENTITY e%d "%s">' % (n, b"&e%d;" % (n - 1) * 10) for n in range(1, 9))
    kind = b'<!DOCTYPE worksheet [<!ENTITY e0 "4.8">' + grow + b"]>"
    return kind + part.replace(b"<sheetData>", b"<sheetData><!-- -->&e8;", 1)


def _swollen(part: bytes) -> bytes:
    return part.replace(b"<sheetData>", b"<sheetData>" + b" " * 300_000_000, 1)
