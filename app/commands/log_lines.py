"""The program's log: one JSON object a line, to the error stream and to a small file that only its owner reads.

What stands in a line is named: what happened, where (the address as declared, never as sent), over what, to which
device by its id. No line holds what a person typed: of an error its class and its places in the program are told,
not its message, which may quote what was typed.
"""

import json
import logging
import os
import traceback
from datetime import UTC, datetime
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

FOLDER, NAME = "log", "outlay.log"
MOST_BYTES, FILES = 1_000_000, 5  # of one file, and how many older ones stay
TOLD = ("why", "status", "at", "over", "device")  # what a line may say beside its event


class Lines(logging.Formatter):
    """A record as one JSON object on one line (RFC 8259); times in UTC (RFC 3339)."""

    def format(self, record: logging.LogRecord) -> str:
        """The line of a record."""
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        line: dict[str, Any] = {
            "time": at,
            "level": record.levelname.lower(),
            "of": record.name,
            "event": str(record.msg),
        }
        line |= {name: getattr(record, name) for name in TOLD if hasattr(record, name)}
        if record.exc_info and record.exc_info[0]:
            line |= {"error": record.exc_info[0].__name__, "in": _places(record.exc_info[2])}
        return json.dumps(line, default=str)


class _OwnFile(RotatingFileHandler):
    """A file that only its owner reads."""

    def _open(self) -> TextIOWrapper:
        return open(self.baseFilename, "a", encoding="utf-8", opener=_private)


def begin(data: Path) -> None:
    """From here on all that is logged goes to the error stream and to the file; where no file can be, to the stream."""
    handlers: list[logging.Handler] = [logging.StreamHandler()]
    folder = data / FOLDER
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        handlers.append(_OwnFile(folder / NAME, maxBytes=MOST_BYTES, backupCount=FILES, encoding="utf-8"))
    except OSError:
        pass  # the disk's own trouble is told where something is saved
    for one in handlers:
        one.setFormatter(Lines())
    logging.basicConfig(level=logging.WARNING, handlers=handlers, force=True)


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def _places(trace: object) -> list[str]:
    frames = traceback.extract_tb(trace)  # type: ignore[arg-type]
    return [f"{Path(one.filename).name}:{one.lineno} {one.name}" for one in frames]
