"""What the disk says when it does not do what was asked, as sentences that say what to do; nothing was changed then."""

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from app.domain.errors import OutlayError


class DiskTrouble(OutlayError):
    """The disk did not take it, or did not give it back."""

    status = 503


# what is said to whom the laptop's folders are no business of: a stranger, a client
ELSEWHERE = "Outlay cannot read or save its data just now. Nothing was changed; the laptop says what is wrong."


class DatabaseBusy(DiskTrouble):
    """Another program holds the database."""


def _full(where: Path) -> str:
    return (
        f"The disk that holds {where} is full. Nothing was changed. Make room on it (old downloads, the trash), then "
        "save again."
    )


def _closed(where: Path) -> str:
    return (
        f"Outlay may not write to {where}. Nothing was changed. Is it on a stick or a card that is locked, or does the "
        "folder belong to somebody else? Allow writing there, then save again."
    )


def _failing(where: Path) -> str:
    return (
        f"The disk that holds {where} gives errors. Nothing was changed. Make a backup to another disk before you go "
        "on working, and have this one looked at."
    )


def _missing(where: Path) -> str:
    if where.parent.is_dir() and not os.access(where.parent, os.W_OK):
        return _closed(where.parent)
    return f"{where} cannot be opened. Nothing was changed. Is the disk or the stick it lies on plugged in?"


def _damaged(where: Path) -> str:
    return (
        f"The database {where} is damaged. Stop Outlay, keep the folder as it is, and restore the newest backup "
        "(outlay restore FILE): it looks inside before it puts anything back."
    )


BUSY = "Another program is writing to the data just now. Nothing was changed; try again in a moment."
OF_SQLITE = {  # by the beginning of the library's name for the error
    "SQLITE_FULL": _full,
    "SQLITE_READONLY": _closed,
    "SQLITE_PERM": _closed,
    "SQLITE_AUTH": _closed,
    "SQLITE_CANTOPEN": _missing,
    "SQLITE_IOERR": _failing,
    "SQLITE_PROTOCOL": _failing,
    "SQLITE_CORRUPT": _damaged,
    "SQLITE_NOTADB": _damaged,
}
OF_SYSTEM = {
    errno.ENOSPC: _full,
    errno.EDQUOT: _full,
    errno.EFBIG: _full,
    errno.EROFS: _closed,
    errno.EACCES: _closed,
    errno.EPERM: _closed,
    errno.EIO: _failing,
    errno.ENODEV: _missing,
    errno.ENXIO: _missing,
    errno.ESTALE: _missing,
}


def of_database(wrong: BaseException | None, where: Path) -> OutlayError | None:
    """The sentence for what the database library raised; None for what is no trouble of the disk."""
    name = getattr(wrong, "sqlite_errorname", "") if isinstance(wrong, sqlite3.Error) else ""
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return DatabaseBusy(BUSY)
    words = next((words for begins, words in OF_SQLITE.items() if name.startswith(begins)), None)
    return DiskTrouble(words(where)) if words else None


def of_system(wrong: OSError, where: Path) -> OutlayError:
    """The sentence for what the system said of a file."""
    words = OF_SYSTEM.get(wrong.errno or 0)
    return DiskTrouble(
        words(where) if words else f"{where} cannot be used: {wrong.strerror or wrong}. Nothing was changed."
    )


@contextmanager
def writing_to(where: Path) -> Iterator[None]:
    """Write files; what the system refuses becomes a sentence about `where`.

    Raises: DiskTrouble.
    """
    try:
        yield
    except OSError as wrong:
        raise of_system(wrong, where) from wrong
