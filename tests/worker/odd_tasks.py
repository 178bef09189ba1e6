"""Tasks that misbehave, run in the worker by `tests.worker.odd_tasks:name`."""

import os
import sys
import tempfile
import time
from typing import Any

from app.domain.errors import BadValue


def echo(payload: Any, tell: Any) -> bytes:
    print("a library that prints")  # noqa: T201  must not reach the result
    tell(0.5, "halfway")
    return payload["bytes"] * payload["times"]


def who(payload: Any, tell: Any) -> bytes:
    return f"{os.getpid()} {'weasyprint' in sys.modules}".encode()


def niceness(payload: Any, tell: Any) -> bytes:
    return str(os.nice(0)).encode()


def refuse(payload: Any, tell: Any) -> bytes:
    raise BadValue("The width is missing.", field="width")


def crash(payload: Any, tell: Any) -> bytes:
    os.abort()


def raise_something(payload: Any, tell: Any) -> bytes:
    raise ZeroDivisionError("a fault of ours")


def sleep(payload: Any, tell: Any) -> bytes:
    tell(0.1, str(os.getpid()))
    time.sleep(payload)
    return b"woke"


def hoard(payload: Any, tell: Any) -> bytes:
    held = bytearray(payload * 1024 * 1024)
    return str(len(held)).encode()


def environment(payload: Any, tell: Any) -> bytes:
    return "\n".join(sorted(os.environ)).encode()


def litter(payload: Any, tell: Any) -> bytes:
    folder = tempfile.mkdtemp()
    tell(0.1, folder)
    time.sleep(payload)
    return folder.encode()
