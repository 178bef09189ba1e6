"""Running the worker from the web process and from the command line: a queue of one, a deadline, and no leftovers."""

import asyncio
import contextlib
import logging
import os
import shutil
import signal
import sys
from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import mkdtemp
from typing import Any
from weakref import WeakKeyDictionary

import msgspec

from app.config import HERE
from app.domain.errors import OutlayError
from app.worker.orders import IDLE, NO_MEMORY, Line, Order
from app.worker.tasks import Task, task_named

log = logging.getLogger(__name__)

Progress = Callable[[float, str], None]
DEADLINE = 60.0  # s
MEMORY_MB = 500
IDLE_SECONDS = 600.0
PASSED_ON = ("PATH", "HOME", "LANG", "LC_ALL", "XDG_CACHE_HOME", "OUTLAY_DATA", "DYLD_FALLBACK_LIBRARY_PATH")
LOGGED_BYTES = 4000


class WorkStopped(OutlayError):
    """The work ran out of time or memory, or broke. Nothing was changed by it."""

    status = 503


@dataclass(frozen=True, slots=True)
class _Child:
    """A worker process and the folder it may scratch in."""

    process: asyncio.subprocess.Process
    scratch: Path


@dataclass(slots=True)
class _Heard:
    """What a child said until it ended."""

    result: bytes = b""
    code: int = 0
    refused: Line | None = None
    peak_mb: float = 0.0
    chatter: list[bytes] = field(default_factory=list)


class Worker:
    """One queue: jobs run one after the other, each in a process of its own.

    Tasks named in `warm` have a process standing ready with its libraries loaded: it takes the next job of that task
    and ends; another is started in its place. One that waits longer than `idle` seconds ends by itself.
    """

    def __init__(self, *, warm: Collection[str] = (), idle: float = IDLE_SECONDS) -> None:
        self.peak_mb = 0.0  # of the last job that finished
        self._turn = asyncio.Lock()
        self._starting = asyncio.Lock()
        self._kept = set(warm)
        self._idle = idle
        self._standing: dict[str, _Child] = {}

    async def warm(self, task: str) -> None:
        """Have a process stand ready for `task` from now on."""
        self._kept.add(task)
        await self._stand_ready(task)

    async def run(
        self,
        task: str,
        payload: Any,
        *,
        deadline: float = DEADLINE,
        memory_mb: int = MEMORY_MB,
        progress: Progress | None = None,
    ) -> bytes:
        """Do one job when its turn comes, and give back its bytes.

        `deadline` [s] counts from the start of the job, `memory_mb` [MB] is what it may hold.
        Raises: the task's own refusal as OutlayError with its status; WorkStopped on deadline, memory or a crash.
        """
        known = task_named(task)
        order = msgspec.msgpack.encode(Order(task=task, payload=payload, deadline=deadline, memory_mb=memory_mb))
        async with self._turn:
            try:
                heard = await self._do(task, order, deadline, progress)
            finally:
                if task in self._kept:
                    await self._stand_ready(task)
        return self._judge(heard, known, memory_mb)

    async def close(self) -> None:
        """End the processes that stand ready."""
        self._kept.clear()
        while self._standing:
            _, child = self._standing.popitem()
            await _end(child)

    async def _do(self, task: str, order: bytes, deadline: float, progress: Progress | None) -> _Heard:
        heard = _Heard(code=IDLE)
        while heard.code == IDLE:  # one that stood ready may just have gone home
            child = self._standing.pop(task, None) or await _start()
            try:
                async with asyncio.timeout(deadline):
                    heard = await _converse(child.process, order, progress)
            except TimeoutError:
                raise WorkStopped(
                    f"{task_named(task).doing} took longer than {deadline:g} seconds and was stopped. "
                    "Nothing was changed. Try again, or with less at once."
                ) from None
            finally:
                await _end(child)
        return heard

    async def _stand_ready(self, task: str) -> None:
        async with self._starting:
            standing = self._standing.get(task)
            if standing is not None and standing.process.returncode is not None:
                await _end(standing)
                standing = None
            if standing is None:
                self._standing[task] = await _start("--warm", task, "--idle", str(self._idle))

    def _judge(self, heard: _Heard, task: Task, memory_mb: int) -> bytes:
        if heard.refused is not None:
            refusal = OutlayError(heard.refused.words, field=heard.refused.field)
            refusal.status = heard.refused.status
            raise refusal
        if heard.code == NO_MEMORY:
            raise WorkStopped(
                f"{task.doing} needed more than {memory_mb} MB of memory and was stopped. "
                "Nothing was changed. Try with less at once, or with smaller pictures."
            )
        if heard.code != 0:
            log.error(
                "Worker ended with %s: %s",
                heard.code,
                b"\n".join(heard.chatter)[-LOGGED_BYTES:].decode(errors="replace"),
            )
            raise WorkStopped(f"{task.doing} broke off before it was finished. Nothing was changed; try again.")
        self.peak_mb = heard.peak_mb
        return heard.result


_of_loop: WeakKeyDictionary[asyncio.AbstractEventLoop, dict[str, Worker]] = WeakKeyDictionary()


def worker_of_this_loop(queue: str = "") -> Worker:
    """The one queue of the running event loop; another by name for what nobody at the table waits for."""
    loop = asyncio.get_running_loop()
    return _of_loop.setdefault(loop, {}).setdefault(queue, Worker())


_turns: WeakKeyDictionary[asyncio.AbstractEventLoop, dict[str, asyncio.Lock]] = WeakKeyDictionary()


def turn_of_this_loop(name: str) -> asyncio.Lock:
    """To be held by one after the other of those that ask for this name in the running event loop."""
    return _turns.setdefault(asyncio.get_running_loop(), {}).setdefault(name, asyncio.Lock())


async def run_in_worker(
    task: str,
    payload: Any,
    *,
    deadline: float = DEADLINE,
    memory_mb: int = MEMORY_MB,
    progress: Progress | None = None,
) -> bytes:
    """Do one job in this event loop's queue. See `Worker.run`."""
    worker = worker_of_this_loop()
    return await worker.run(task, payload, deadline=deadline, memory_mb=memory_mb, progress=progress)


def run_now(
    task: str,
    payload: Any,
    *,
    deadline: float = DEADLINE,
    memory_mb: int = MEMORY_MB,
    progress: Progress | None = None,
) -> bytes:
    """Do one job and wait for it: for the command line, where no event loop runs. See `Worker.run`."""
    return asyncio.run(run_in_worker(task, payload, deadline=deadline, memory_mb=memory_mb, progress=progress))


async def _start(*arguments: str) -> _Child:
    """Start the worker command: a new interpreter, no shell, little of our environment, a session of its own."""
    scratch = Path(mkdtemp(prefix="outlay-worker-"))
    environment = {name: os.environ[name] for name in PASSED_ON if name in os.environ}
    environment |= {"PYTHONPATH": str(HERE.parent), "TMPDIR": str(scratch)}
    pipe = asyncio.subprocess.PIPE
    process = await asyncio.create_subprocess_exec(
        sys.executable,
        "-P",
        "-m",
        "app.worker",
        *arguments,
        stdin=pipe,
        stdout=pipe,
        stderr=pipe,
        env=environment,
        start_new_session=True,
    )
    return _Child(process, scratch)


async def _converse(process: asyncio.subprocess.Process, order: bytes, progress: Progress | None) -> _Heard:
    assert process.stdin is not None
    assert process.stdout is not None
    assert process.stderr is not None
    heard = _Heard()
    _, heard.result, _ = await asyncio.gather(
        _speak(process.stdin, order), process.stdout.read(), _listen(process.stderr, heard, progress)
    )
    heard.code = await process.wait()
    return heard


async def _speak(stream: asyncio.StreamWriter, order: bytes) -> None:
    with contextlib.suppress(BrokenPipeError, ConnectionResetError):  # its ending says what happened
        stream.write(order)
        await stream.drain()
        stream.close()
        await stream.wait_closed()


async def _listen(stream: asyncio.StreamReader, heard: _Heard, progress: Progress | None) -> None:
    rest = b""
    while piece := await stream.read(65536):
        *lines, rest = (rest + piece).split(b"\n")
        for line in lines:
            _hear(line, heard, progress)
        rest = rest[-LOGGED_BYTES:]
    heard.chatter.append(rest)


def _hear(line: bytes, heard: _Heard, progress: Progress | None) -> None:
    try:
        said = msgspec.json.decode(line, type=Line)
    except msgspec.DecodeError:
        heard.chatter = [*heard.chatter[-20:], line]
        return
    if said.says == "progress" and progress is not None:
        progress(said.share, said.words)
    elif said.says == "refused":
        heard.refused = said
    elif said.says == "done":
        heard.peak_mb = said.peak_mb


async def _end(child: _Child) -> None:
    """Leave nothing behind: neither the process nor what it started or wrote aside."""
    process = child.process
    with contextlib.suppress(ProcessLookupError):
        if process.returncode is None:
            os.killpg(process.pid, signal.SIGKILL)
    await process.wait()
    if process.stdin is not None:
        process.stdin.close()
    shutil.rmtree(child.scratch, ignore_errors=True)
