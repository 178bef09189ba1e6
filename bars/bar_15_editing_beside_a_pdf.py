"""Eight clients edit one large job at once while its papers are printed: how long an edit takes them, and who lives.

A real server, the job of `bench/edit.py` (30 zones, 500 lines), eight clients that send the next edit as soon as the
one before is answered, and beside them somebody who prints without pause: plan and crew sheets, as the office and the
phone do. Milliseconds want a quiet machine; so the bare floor answers as many clients under the same printing, and
the ratio to it is said too.
"""

import asyncio
import statistics
import tempfile
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from itertools import cycle
from pathlib import Path

import httpx2 as httpx

from bars import Figure
from bench.edit import CLIENTS, Big, Call, Server, client, editor, floor_beside, ninety_fifth, prepared
from tests.served import serving

EDITS, FEW = 40, 6  # of each client
PAPERS = ("plan/print.pdf", "build/crew/all.pdf")
MOST = 100.0  # ms


@dataclass
class Printed:
    """What became of the papers: how many were made, and what was answered instead of one."""

    made: int = 0
    wrong: list[str] = field(default_factory=list)


async def print_on(address: str, big: Big, told: Printed) -> None:
    """Print one paper after the other until it is told to stop."""
    async with httpx.AsyncClient(base_url=address, timeout=120) as one:
        for paper in cycle(PAPERS):
            answer = await one.get(f"/jobs/{big.job_id}/{paper}")
            if answer.status_code == 200 and answer.content.startswith(b"%PDF-"):
                told.made += 1
            else:
                told.wrong.append(f"{paper}: {answer.status_code}")
                return


async def waits(calls: list[Call], times: int) -> tuple[list[float], list[str]]:
    """Milliseconds of every answer, all clients at once, after one that warms up; and answers that were no good one."""
    found: list[float] = []
    wrong: list[str] = []

    async def alone(call: Call) -> None:
        for at in range(times + 1):
            start = asyncio.get_running_loop().time()
            try:
                status = (await call(at)).status_code
            except httpx.TransportError as gone:
                wrong.append(type(gone).__name__)
                return
            if status != 200:
                wrong.append(str(status))
            elif at:
                found.append((asyncio.get_running_loop().time() - start) * 1000)

    await asyncio.gather(*[alone(call) for call in calls])
    return found, wrong


async def beside_printing(calls: list[Call], times: int, address: str, big: Big) -> tuple[list[float], list[str], int]:
    """As `waits`, while papers are printed; how many were."""
    told = Printed()
    printing = asyncio.create_task(print_on(address, big, told))
    found, wrong = await waits(calls, times)
    while not told.made and not told.wrong:  # few edits may be quicker than one paper
        more, strange = await waits(calls, times)
        found, wrong = found + more, wrong + strange
    printing.cancel()
    with suppress(asyncio.CancelledError):
        await printing
    return found, wrong + told.wrong, told.made


async def measured(
    ours: Server, floor: Server, big: Big, times: int
) -> tuple[list[float], list[float], list[str], int]:
    """Waits of edits and of the floor, what was answered wrongly, and how many papers were printed meanwhile."""
    clients = [client(ours.address) for _ in range(CLIENTS)]
    bare = [client(floor.address) for _ in range(CLIENTS)]
    edits = [await editor(one, ours.address, big, "estimate", at) for at, one in enumerate(clients)]
    found, wrong, made = await beside_printing(edits, times, ours.address, big)
    idle, strange, more = await beside_printing([partial(_get, one) for one in bare], times, ours.address, big)
    for one in (*clients, *bare):
        await one.aclose()
    return found, idle, wrong + strange, made + more


async def _get(one: httpx.AsyncClient, _at: int) -> httpx.Response:
    return await one.get("/")


def measure(few: bool) -> tuple[Figure, ...]:
    """The 95th of an edit, and what was not answered as it should."""
    times = FEW if few else EDITS
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        big = prepared(data)
        with serving(data) as served:
            ours = Server(served.address, served.process.pid)
            size = len(httpx.get(f"{ours.address}/jobs/{big.job_id}/estimate?lines=all", timeout=60).content)
            with floor_beside(big.lines, size) as floor:
                found, idle, wrong, made = asyncio.run(measured(ours, floor, big, times))
            dead = not served.alive
    late, bare = ninety_fifth(found), ninety_fifth(idle)
    said = (
        f"median {statistics.median(found):.0f} ms; {late / bare:.1f} × the bare floor's {bare:.0f} ms beside printing"
    )
    count = f"{len(found)} edits of {CLIENTS} clients, {made} papers printed" + "".join(f", {one}" for one in wrong[:3])
    return (
        Figure(what="95th of an edit of eight beside a PDF", value=late, limit=MOST, unit="ms", note=said),
        Figure(what="wrong answers, or a server that died", value=len(wrong) + dead, limit=0, note=count),
    )
