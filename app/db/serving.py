"""One at a time: while the pages are served, no other program may write to the data folder."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

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
def alone(data: Path, address: str = "") -> Iterator[None]:
    """Hold the data folder for one program that writes; `address` is where its pages are, if it serves any.

    The lock goes with the program, however it ends.
    Raises: InUse, saying where the other one is.
    """
    with writing_to(data):
        data.mkdir(parents=True, exist_ok=True)
        held = (data / NAME).open("a+", encoding="utf-8")
    with held as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            file.seek(0)
            other = file.read(200).strip()
            raise InUse(_sentence(data, other), other) from None
        with writing_to(data):
            os.ftruncate(file.fileno(), 0)
            os.write(file.fileno(), address.encode())
        yield
        os.ftruncate(file.fileno(), 0)


def _sentence(data: Path, address: str) -> str:
    if address:
        return (
            f"Outlay is running at {address} and is writing to {data}. Do this on its pages, or stop it first "
            "(Ctrl-C where it runs). Nothing was changed."
        )
    return f"Another command is writing to {data} just now. Nothing was changed; try again when it is done."
