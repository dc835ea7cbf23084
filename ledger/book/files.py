"""Files that appear whole or not at all: written under another name, synced, then published."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from ledger.facts.problems import Refused, refuse

_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EMLINK, errno.ENOSYS)


def exists_already(target: Path) -> Refused:
    """The refusal to write over a file that is there."""
    return refuse(
        "book-exists",
        f"{target} is already there and is never overwritten.",
        "Choose another name, or move the file away first.",
    )


def _no_right(target: Path) -> Refused:
    return refuse(
        "book-read-only",
        f"{target} cannot be written with your rights.",
        "Choose a folder you may write to.",
    )


@contextmanager
def appearing(target: Path) -> Iterator[Path]:
    """A path beside `target` to write to; at a normal end it becomes `target`, synced to disk.

    On an exception nothing of it is left. Refused with `book-exists` where `target` is there
    before or after, `file-missing` without its folder, `book-read-only` without the right.
    """
    if os.path.lexists(target):
        raise exists_already(target)
    if not target.parent.is_dir():
        raise refuse(
            "file-missing",
            f"There is no folder {target.parent}.",
            "Make the folder first, or name another.",
        )
    if not os.access(target.parent, os.W_OK):
        raise _no_right(target)
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        yield part
        sync(part)
        _publish(part, target)
    except PermissionError as error:
        raise _no_right(target) from error
    finally:
        for suffix in ("", "-wal", "-shm", "-journal"):
            with suppress(FileNotFoundError, PermissionError):
                part.with_name(part.name + suffix).unlink()


def _publish(part: Path, target: Path) -> None:
    """Give the finished file its name without ever replacing another."""
    try:
        # A link fails where the name is taken; a rename would replace what is there.
        os.link(part, target)
    except FileExistsError:
        raise exists_already(target) from None
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        if target.exists():
            raise exists_already(target) from None
        part.rename(target)
    sync(target.parent)


def sync(path: Path) -> None:
    """Make a file, or the names in a folder, survive a power cut."""
    folder = path.is_dir()
    if folder and os.name == "nt":
        return  # Windows keeps the names itself and has no way to ask for it.
    # Windows syncs only what is open for writing.
    handle = os.open(path, os.O_RDONLY if folder else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
