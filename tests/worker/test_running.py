"""The worker command: what goes in and comes out, and that it always ends."""

import asyncio
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from app.domain.errors import NotFound, OutlayError
from app.worker import Worker, WorkStopped, run_in_worker, run_now

pytestmark = pytest.mark.own_process

ODD = "tests.worker.odd_tasks:"


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_job_bytes_in_and_out_with_progress() -> None:
    told: list[tuple[float, str]] = []
    payload = {"bytes": b"\x00\xff\n", "times": 200_000}
    result = run_now(ODD + "echo", payload, progress=lambda share, words: told.append((share, words)))
    assert result == b"\x00\xff\n" * 200_000
    assert told == [(0.5, "halfway")]


def test_worker_gives_way_to_whoever_answers_pages() -> None:
    assert int(run_now(ODD + "niceness", None)) > os.nice(0)


def test_refusal_in_the_worker_keeps_sentence_field_and_status() -> None:
    with pytest.raises(OutlayError, match="The width is missing") as refused:
        run_now(ODD + "refuse", None)
    assert (refused.value.status, refused.value.field) == (422, "width")


@pytest.mark.parametrize("task", ["crash", "raise_something"])
def test_crash_is_one_sentence(task: str, caplog: pytest.LogCaptureFixture) -> None:
    with pytest.raises(WorkStopped, match="Nothing was changed") as stopped:
        run_now(ODD + task, None)
    assert stopped.value.status == 503
    assert "Worker ended" in caplog.text


def test_memory_over_the_limit_is_one_sentence_and_below_it_works() -> None:
    with pytest.raises(WorkStopped, match="more than 150 MB"):
        run_now(ODD + "hoard", 200, memory_mb=150)
    assert run_now(ODD + "hoard", 80, memory_mb=150) == str(80 * 1024 * 1024).encode()


def test_deadline_kills_the_process() -> None:
    pids: list[int] = []
    with pytest.raises(WorkStopped, match=r"longer than 0\.7 seconds"):
        run_now(ODD + "sleep", 30, deadline=0.7, progress=lambda _, words: pids.append(int(words)))
    assert pids
    assert not alive(pids[0])


def test_what_a_job_wrote_aside_is_removed_also_when_it_was_killed() -> None:
    folders: list[str] = []
    run_now(ODD + "litter", 0, progress=lambda _, words: folders.append(words))
    with pytest.raises(WorkStopped):
        run_now(ODD + "litter", 30, deadline=0.7, progress=lambda _, words: folders.append(words))
    assert len(folders) == 2
    assert not any(Path(folder).exists() or Path(folder).parent.exists() for folder in folders)


def test_cancelled_caller_leaves_no_process() -> None:
    pids: list[int] = []

    async def go() -> None:
        started = asyncio.Event()

        def hear(_: float, words: str) -> None:
            pids.append(int(words))
            started.set()

        job = asyncio.create_task(run_in_worker(ODD + "sleep", 30, progress=hear))
        await started.wait()
        job.cancel()
        with pytest.raises(asyncio.CancelledError):
            await job

    asyncio.run(go())
    assert not alive(pids[0])


def test_jobs_take_turns() -> None:
    async def go() -> float:
        start = time.monotonic()
        await asyncio.gather(*(run_in_worker(ODD + "sleep", 0.3) for _ in range(2)))
        return time.monotonic() - start

    assert asyncio.run(go()) >= 0.6


def test_each_job_has_a_fresh_process_also_from_warm_ones() -> None:
    task = ODD + "who"

    async def go() -> list[bytes]:
        worker = Worker(warm=[task])
        try:
            await worker.warm(task)
            return [await worker.run(task, None) for _ in range(3)]
        finally:
            await worker.close()

    pids = {answer.split()[0] for answer in asyncio.run(go())}
    assert len(pids) == 3
    assert not any(alive(int(pid)) for pid in pids)


def test_asking_twice_at_once_makes_one_process_stand_ready() -> None:
    task, others = ODD + "who", children()

    async def go() -> list[int]:
        worker = Worker()
        try:
            await asyncio.gather(worker.warm(task), worker.warm(task))
            pids = [worker._standing[task].process.pid]
            await asyncio.gather(worker.run(task, None), worker.warm(task), worker.run(task, None))
            return [*pids, worker._standing[task].process.pid, *(one for one in children() if one not in others)]
        finally:
            await worker.close()

    first, standing, *rest = asyncio.run(go())
    assert first != standing
    assert rest == [standing]


def children() -> list[int]:
    """Processes this one started that still run."""
    listed = Path(f"/proc/self/task/{os.getpid()}/children").read_text()
    return [int(pid) for pid in listed.split()]


def test_warm_worker_ends_when_its_parent_does() -> None:
    command = [sys.executable, "-m", "app.worker", "--warm", ODD + "who", "--idle", "60"]
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, timeout=20, check=False)
    assert done.returncode == 75
    assert done.stdout == b""
    assert b"Traceback" not in done.stderr


def test_after_a_deadline_the_next_job_is_done() -> None:
    task = ODD + "sleep"

    async def go() -> bytes:
        worker = Worker(warm=[task])
        try:
            with pytest.raises(WorkStopped):
                await worker.run(task, 30, deadline=0.5)
            return await worker.run(task, 0.0)
        finally:
            await worker.close()

    assert asyncio.run(go()) == b"woke"


def test_warm_worker_that_went_home_is_replaced() -> None:
    task = ODD + "who"

    async def go() -> bytes:
        worker = Worker(idle=0.05)
        try:
            await worker.warm(task)
            await asyncio.wait_for(worker._standing[task].process.wait(), 10)
            return await worker.run(task, None)
        finally:
            await worker.close()

    assert asyncio.run(go())


def test_unknown_task_is_a_sentence_before_anything_starts() -> None:
    with pytest.raises(NotFound, match="no work called “paint”"):
        run_now("paint", None)


def test_worker_sees_little_of_our_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OUTLAY_TEST_PRIVATE", "secret")
    assert "OUTLAY_TEST_PRIVATE" not in run_now(ODD + "environment", None).decode().split()


def test_running_the_worker_loads_no_heavy_library_here() -> None:
    code = "import app.worker, sys; print([m for m in ('weasyprint', 'pyhanko', 'PIL', 'numpy') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
