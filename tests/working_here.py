"""Heavy work done in the process of the tests: the same task on the same bytes, without a process, limits or deadline.

A test of what the process adds (it ends, it is stopped, it holds little memory) is marked `own_process`. Papers are left
blank but for one that reads what was `printed`: setting pages is most of the work of offering and signing.
"""

import asyncio
from collections.abc import Mapping
from datetime import UTC, datetime
from functools import cache
from hashlib import sha256
from typing import Any

import msgspec

from app.documents.pdf import html_to_pdf
from app.domain.errors import OutlayError
from app.worker.orders import REFUSED, Line, Order
from app.worker.running import Progress, Worker, _Heard
from app.worker.tasks import function_of, task_named

DAY = datetime(2027, 3, 9, tzinfo=UTC)


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


async def blank_here(worker: Worker, task: str, order: bytes, deadline: float, progress: Progress | None) -> _Heard:
    """As `done_here`, where a paper is one empty page that tells what would be printed on it."""
    if task != "pdf":
        return await done_here(worker, task, order, deadline, progress)
    return _Heard(code=0, result=blank(msgspec.msgpack.decode(order, type=Order).payload))


def blank(payload: Mapping[str, Any]) -> bytes:
    """The paper of an order, its page left empty: another order makes another, the same the same."""
    return _empty_page().replace(_name_of(b"empty"), _name_of(msgspec.msgpack.encode(payload)))


@cache
def _empty_page() -> bytes:
    return html_to_pdf("<h1>1</h1>", paper="letter", title="1", language="en", identifier="empty", source_date=DAY)


def _name_of(content: bytes) -> bytes:
    """What a paper is named by in its file, as `html_to_pdf` makes it of the identifier."""
    return sha256(content).hexdigest()[:32].encode()


async def never_ready(_: Worker, task: str) -> None:
    """No process stands ready for any task."""
