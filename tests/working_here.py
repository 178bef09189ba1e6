"""Heavy work done in the process of the tests: the same task on the same bytes, without a process, limits or deadline.

A test of what the process adds (it ends, it is stopped, it holds little memory) is marked `own_process`.
"""

import asyncio

import msgspec

from app.domain.errors import OutlayError
from app.worker.orders import REFUSED, Line, Order
from app.worker.running import Progress, Worker, _Heard
from app.worker.tasks import function_of, task_named


async def done_here(_: Worker, task: str, order: bytes, deadline: float, progress: Progress | None) -> _Heard:
    """What `Worker._do` hears from a process, told by a thread of this one."""
    loop = asyncio.get_running_loop()
    read = msgspec.msgpack.decode(order, type=Order)
    heard = _Heard(code=0)

    def tell(share: float, words: str) -> None:
        if progress is not None:
            loop.call_soon_threadsafe(progress, share, words)

    def work() -> None:
        try:
            heard.result = function_of(task_named(task))(read.payload, tell)
        except OutlayError as error:
            heard.code = REFUSED
            heard.refused = Line(says="refused", words=error.sentence, status=error.status, field=error.field)

    async with asyncio.timeout(deadline):
        await asyncio.to_thread(work)
    return heard


async def never_ready(_: Worker, task: str) -> None:
    """No process stands ready for any task."""
