"""What passes between the two processes: one order in, bytes out, and lines of JSON on the error stream."""

from typing import Any

import msgspec

IDLE = 75  # a warm worker ended by itself because no job came; start another
REFUSED = 65  # the task said no in a sentence
NO_MEMORY = 71


class Order(msgspec.Struct, kw_only=True):
    """One job: the task by name, its payload, and its limits (seconds, MB)."""

    task: str
    payload: Any
    deadline: float
    memory_mb: int


class Line(msgspec.Struct, kw_only=True, omit_defaults=True):
    """One line on the error stream. Anything else there is a library talking and goes to the log."""

    says: str  # "progress", "refused", "ready", "done"
    share: float = 0.0
    words: str = ""
    status: int = 422
    field: str = ""
    peak_mb: float = 0.0
