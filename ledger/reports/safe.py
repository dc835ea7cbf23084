"""Keeps what people typed from acting as anything but text in a terminal, CSV or workbook."""

from __future__ import annotations

import re

SHEET_LIMIT = 32_767
"""The most UTF-16 units a spreadsheet cell holds; a longer text would be cut without a word."""

_BIDI = "\u202a-\u202e\u2066-\u2069"
"""Characters that turn the reading order of what follows; plain left and right marks stay."""

_TERMINAL = re.compile(
    f"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\ufeff{_BIDI}\ud800-\udfff]"
)
_JSON = re.compile(f"[\x7f-\x9f\u2028\u2029{_BIDI}\ud800-\udfff]")
_SHEET = re.compile(f"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff\ud800-\udfff{_BIDI}]")
_COMMAND = re.compile("'*[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
_ESCAPE = re.compile("_(?=x[0-9A-Fa-f]{4}_)")


def for_terminal(text: str) -> str:
    """Text with every control character and reading-order mark written out: "\\x1b[2J".

    A line feed or tab becomes a space, so that one cell stays one cell.
    """
    return _TERMINAL.sub(_written_out, text)


def _written_out(match: re.Match[str]) -> str:
    point = ord(match[0])
    if match[0] in "\t\n\r":
        return " "
    return f"\\x{point:02x}" if point < 0x100 else f"\\u{point:04x}"


def for_json(text: str) -> str:
    """JSON text with the characters a terminal would act on as \\u escapes; it reads the same."""
    return _JSON.sub(lambda match: f"\\u{ord(match[0]):04x}", text)


def for_sheet(text: str) -> str:
    """Text a workbook can hold: characters XML forbids and order marks gone, length kept in.

    A text over SHEET_LIMIT ends in a marker that says so. `_x0041_` is written so that a
    spreadsheet shows it and does not read it as the letter A.
    """
    clean = _SHEET.sub("", text)
    escaped = _ESCAPE.sub("_x005F_", clean)
    if _units(escaped) <= SHEET_LIMIT:
        return escaped
    marker = f" ... [cut here; the whole text has {len(text):,} characters]"
    return _fit(clean, SHEET_LIMIT - len(marker)) + marker


def _units(text: str) -> int:
    return len(text) + sum(character > "\uffff" for character in text)


def _fit(text: str, limit: int) -> str:
    """The longest start of a text that stays within `limit` UTF-16 units once escaped."""
    low, high = 0, min(len(text), limit)
    while low < high:
        middle = (low + high + 1) // 2
        if _units(_ESCAPE.sub("_x005F_", text[:middle])) <= limit:
            low = middle
        else:
            high = middle - 1
    return _ESCAPE.sub("_x005F_", text[:low])


def for_csv(text: str) -> str:
    """Text no spreadsheet takes for a formula when it opens the file.

    What begins with = + - @, a tab or a line end, or their wide forms, gets an apostrophe
    in front; so does what has that behind apostrophes, so `from_csv` can undo it exactly.
    """
    clean = _SHEET.sub("", text)
    return f"'{clean}" if _COMMAND.match(clean) else clean


def from_csv(text: str) -> str:
    """The text that `for_csv` guarded."""
    return text[1:] if text.startswith("'") and _COMMAND.match(text) else text


def columns_of(text: str) -> int:
    """How many character places a text takes on a screen: wide forms take two, marks none."""
    if text.isascii():
        return len(text)
    import unicodedata

    return sum(
        0
        if unicodedata.combining(character) or unicodedata.category(character) == "Cf"
        else 2
        if unicodedata.east_asian_width(character) in "WF"
        else 1
        for character in text
    )
