"""Looks a workbook over before anything reads it: one that would not fit in memory is refused.

A workbook is a zip archive of XML; a small one can unpack to more than a machine holds, or
name entities that grow. Sizes in the directory of the archive are a bound, because the zip
reader stops at them.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from pathlib import Path
from zipfile import BadZipFile, ZipFile, ZipInfo

from ledger.facts.limits import (
    LARGEST_SHEET_BYTES,
    LARGEST_WORKBOOK_PARTS,
    LARGEST_WORKBOOK_RATIO,
    LARGEST_WORKBOOK_SETTINGS,
)
from ledger.facts.problems import refuse
from ledger.intake.sheets import unfit

_BLOCK = 1 << 20
_SMALL = 1 << 20
"""Bytes below which a part is not judged by how well it is packed."""
_XML = (".xml", ".rels", ".vml")
_DECLARATIONS = (b"<!DOCTYPE", b"<!ENTITY")
_READ_ERRORS = (BadZipFile, zlib.error, OSError, EOFError, NotImplementedError, RuntimeError)


def check_archive(path: Path) -> None:
    """Refuse, with `file-unfit` or `file-too-large`, an archive that is not safe to read."""
    try:
        with ZipFile(path) as archive:
            parts = archive.infolist()
            _check_sizes(path, parts)
            for part in parts:
                if part.filename.casefold().endswith(_XML):
                    _check_xml(path, archive, part)
    except _READ_ERRORS:
        raise unfit(path, "is damaged or cut off") from None


def _check_sizes(path: Path, parts: list[ZipInfo]) -> None:
    if len(parts) > LARGEST_WORKBOOK_PARTS:
        raise _too_large(path, f"more than {LARGEST_WORKBOOK_PARTS:,} parts")
    if not any(part.filename == "[Content_Types].xml" for part in parts):
        raise unfit(path, "is an archive, but not a workbook")
    if any(part.flag_bits & 1 for part in parts):
        raise unfit(path, "is protected by a password")
    if len({part.filename for part in parts}) < len(parts):
        raise unfit(path, "holds two parts of one name")
    total = 0
    for part in parts:
        total += part.file_size
        if part.file_size > _bound(part) or total > 2 * LARGEST_SHEET_BYTES:
            raise _too_large(path, "more than fits once unpacked")
        packed = max(part.compress_size, 1)
        if part.file_size > _SMALL and part.file_size > LARGEST_WORKBOOK_RATIO * packed:
            raise _too_large(path, f"a part packed more than {LARGEST_WORKBOOK_RATIO} times")


def _bound(part: ZipInfo) -> int:
    """The most a part may hold: what is read beside cells and their texts is small."""
    name = part.filename.casefold()
    if "worksheets/" in name or name.endswith("sharedstrings.xml") or not name.endswith(_XML):
        return LARGEST_SHEET_BYTES
    return LARGEST_WORKBOOK_SETTINGS


def _check_xml(path: Path, archive: ZipFile, part: ZipInfo) -> None:
    """No part declares entities, and none is written in a way that could hide them."""
    kept = b""
    for count, block in enumerate(_blocks(archive, part)):
        if count == 0 and not block.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
            raise unfit(path, f"has a part that is not plain XML ({part.filename[:60]})")
        seen = kept + block
        if any(word in seen for word in _DECLARATIONS):
            raise unfit(path, "declares entities of its own, as no spreadsheet program does")
        kept = block[-16:]


def _blocks(archive: ZipFile, part: ZipInfo) -> Iterator[bytes]:
    with archive.open(part) as stream:
        while block := stream.read(_BLOCK):
            yield block


def _too_large(path: Path, what: str) -> Exception:
    return refuse(
        "file-too-large", f"{path.name} holds {what}.", "Save the sheet alone, as .csv or .xlsx."
    )
