"""The worker command: `python -m app.worker [--warm TASK] [--idle SECONDS]`, one order on standard input."""

import argparse
import contextlib
import os
import resource
import select
import sys
from pathlib import Path
from typing import BinaryIO

import msgspec

from app.domain.errors import OutlayError
from app.worker.orders import IDLE, NO_MEMORY, REFUSED, Line, Order
from app.worker.tasks import function_of, get_ready, task_named

MB = 1024 * 1024
GIVES_WAY = (
    4  # niceness: whoever edits pages has two and a half times its share; more, and a busy machine prints nothing
)
GRACE_SECONDS = 5  # the parent stops us at the deadline; this holds where the parent is gone


def main() -> int:
    """Do one job and end."""
    arguments = _arguments()
    give_way()
    result_stream = _take_standard_output()
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if arguments.warm:
        get_ready(task_named(arguments.warm))
        say(Line(says="ready"))
    if not _order_came_within(arguments.idle):
        return IDLE
    written = sys.stdin.buffer.read()
    if not written:  # the parent went away
        return IDLE
    order = msgspec.msgpack.decode(written, type=Order)
    hold_to(order)
    return _do(order, result_stream)


def give_way() -> None:
    """Let whoever answers pages go first, also where the system weighs sessions against each other: ours is our own."""
    os.nice(GIVES_WAY)
    with contextlib.suppress(OSError):  # a system without groups by session
        Path("/proc/self/autogroup").write_text(str(GIVES_WAY))


def hold_to(order: Order) -> None:
    """Bind this process to the order's limits: memory of its own, and seconds of computing."""
    resource.setrlimit(resource.RLIMIT_DATA, (order.memory_mb * MB,) * 2)
    used = sum(resource.getrusage(resource.RUSAGE_SELF)[:2])
    seconds = int(used + order.deadline) + GRACE_SECONDS
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))


def say(line: Line) -> None:
    """Tell the parent something. The line is written at once and whole."""
    os.write(2, msgspec.json.encode(line) + b"\n")


def tell(share: float, words: str) -> None:
    """Report progress: a share from 0 to 1, and what is being done."""
    say(Line(says="progress", share=share, words=words))


def _do(order: Order, result_stream: BinaryIO) -> int:
    try:
        result = function_of(task_named(order.task))(order.payload, tell)
    except OutlayError as error:
        say(Line(says="refused", words=error.sentence, status=error.status, field=error.field))
        return REFUSED
    except MemoryError:
        return NO_MEMORY
    result_stream.write(result)
    result_stream.close()
    say(Line(says="done", peak_mb=_peak_mb()))
    return 0


def _peak_mb() -> float:
    """The most memory this process held. The system's own count would begin with what the parent held."""
    status = Path("/proc/self/status")
    if not status.is_file():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    held = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM:"))
    return int(held.split()[1]) / 1024


def _take_standard_output() -> BinaryIO:
    """Keep standard output for the result: whatever a library prints goes to the error stream instead."""
    result_stream = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return result_stream


def _order_came_within(seconds: float) -> bool:
    return bool(select.select([sys.stdin.buffer], [], [], seconds or None)[0])


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m app.worker", description=main.__doc__)
    parser.add_argument("--warm", default="", help="task whose libraries are loaded before the order comes")
    parser.add_argument("--idle", type=float, default=0.0, help="end after this many seconds without an order")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
