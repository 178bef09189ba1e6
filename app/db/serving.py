"""One at a time: while the pages are served, no other program may write to the data folder.

Where the database lies on a server, which sees to who writes, several may go on beside each other; what needs the
folder to itself (a restore, a move, a migration) still waits for all of them.
"""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from app.db.disk import writing_to
from app.domain.errors import OutlayError

NAME = "serving"


class InUse(OutlayError):
    """The pages are being served from this data folder, at `address`; empty: another command holds it."""

    status = 409

    def __init__(self, sentence: str, address: str) -> None:
        super().__init__(sentence)
        self.address = address


@contextmanager
def alone(data: Path, address: str = "", *, beside: bool = False) -> Iterator[None]:
    """Hold the data folder for one program that writes; `address` is where its pages are, if it serves any.

    `beside`: others that say so, too, may hold it at the same time.

    The lock goes with the program, however it ends.
    Raises: InUse, saying where the other one is.
    """
    with writing_to(data):
        data.mkdir(parents=True, exist_ok=True)
        held = (data / NAME).open("a+", encoding="utf-8")
    with held as file:
        first = _held(file, fcntl.LOCK_EX)
        if not first and not (beside and _held(file, fcntl.LOCK_SH)):
            others = _written(file)
            raise InUse(_sentence(data, ", ".join(others)), others[0] if others else "")
        with writing_to(data):
            _write(file, [*([] if first else _written(file)), *([address] if address else [])])
        if beside:
            _held(file, fcntl.LOCK_SH)
        yield
        _write(file, [one for one in _written(file) if one != address] if beside else [])


def _held(file: IO[str], how: int) -> bool:
    try:
        fcntl.flock(file, how | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _written(file: IO[str]) -> list[str]:
    """The addresses of those who hold the folder and serve pages."""
    file.seek(0)
    return file.read(1000).split()


def _write(file: IO[str], addresses: list[str]) -> None:
    os.ftruncate(file.fileno(), 0)
    os.write(file.fileno(), "\n".join(addresses).encode())


def _sentence(data: Path, address: str) -> str:
    if address:
        return (
            f"Outlay is running at {address} and is writing to {data}. Do this on its pages, or stop it first "
            "(Ctrl-C where it runs). Nothing was changed."
        )
    return f"Another command is writing to {data} just now. Nothing was changed; try again when it is done."
