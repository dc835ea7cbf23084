"""Writes a workbook's parts so that the same content gives the same bytes, formulas with results.

The library that makes the parts stamps them with the time of day and leaves formulas without
a result, so that a phone's preview or a protected view shows blanks; both are mended here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import IO, Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

MOMENT = (1980, 1, 1, 0, 0, 0)
"""The time of day every part carries: the earliest a zip file can hold."""

_EMPTY_RESULT = re.compile(rb"</f><v ?/>|</f><v></v>")
_CHUNK = 1 << 20
_TAIL = len(b"</f><v></v>") - 1


class SteadyArchive(ZipFile):
    """A zip file for a workbook: fixed times, and results put into the formulas of its sheets.

    `results` gives for each part name the results of its formulas in the order they stand,
    as plain decimals, None where there is none to give.
    """

    def __init__(self, file: IO[bytes], results: Mapping[str, Sequence[str | None]]) -> None:
        super().__init__(file, "w", ZIP_DEFLATED, allowZip64=True)
        self._results = results

    def writestr(self, zinfo_or_arcname: Any, data: Any, *_: Any, **__: Any) -> None:
        """Write a small part from memory."""
        content = data.encode("utf-8") if isinstance(data, str) else bytes(data)
        if zinfo_or_arcname == "docProps/app.xml":
            # The file names the program that wrote it, not the one that will open it.
            content = content.replace(b"Microsoft Excel", b"Tarebook")
        with self.open(part_named(str(zinfo_or_arcname)), "w") as target:
            target.write(content)

    def write(self, filename: Any, arcname: Any = None, *_: Any, **__: Any) -> None:
        """Write a sheet from a file, a piece at a time."""
        results = iter(self._results.get(arcname, ()))
        with (
            open(filename, "rb") as source,
            self.open(part_named(arcname), "w", force_zip64=True) as to,
        ):
            for piece in with_results(source, results):
                to.write(piece)


def part_named(name: str) -> ZipInfo:
    """A part of a workbook that is the same however often it is made."""
    part = ZipInfo(name, MOMENT)
    part.compress_type = ZIP_DEFLATED
    part.create_system = 3
    part.external_attr = 0o600 << 16
    return part


def with_results(source: IO[bytes], results: Iterator[str | None]) -> Iterator[bytes]:
    """The XML of a sheet with the next result in each formula cell that has none."""

    def filled(match: re.Match[bytes]) -> bytes:
        result = next(results, None)
        return match[0] if result is None else b"</f><v>" + result.encode("ascii") + b"</v>"

    held = b""
    while piece := source.read(_CHUNK):
        held += piece
        ready = _cut(held)
        yield _EMPTY_RESULT.sub(filled, held[:ready])
        held = held[ready:]
    yield _EMPTY_RESULT.sub(filled, held)


def _cut(held: bytes) -> int:
    """Where to cut so that no formula's end is torn: before a tag that begins in the tail."""
    begin = held.rfind(b"</f>", max(0, len(held) - _TAIL - 4))
    torn = held.rfind(b"<", max(0, len(held) - _TAIL))
    cuts = [place for place in (begin, torn) if place >= 0]
    return min(cuts, default=len(held))


def write_parts(book: Any, path: Path, results: Mapping[str, Sequence[str | None]]) -> None:
    """Write an openpyxl workbook to a file that must not exist yet."""
    from openpyxl.writer.excel import ExcelWriter

    with path.open("xb") as file:
        ExcelWriter(book, SteadyArchive(file, results)).save()
