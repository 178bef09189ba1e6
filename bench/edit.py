"""One edit answered with fragment, bar and open points, and a full estimate page, on a job of 30 zones and 500 lines.

A real server on loopback, beside a bare floor: a trivial route of the same framework that renders a template of the
same rows and bytes. Times are what a client sees. Gated on the ratio; milliseconds are printed beside the targets.
Run alone: `python -m bench edit`.
"""

import asyncio
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from pathlib import Path
from uuid import UUID, uuid4

import httpx2 as httpx

from app.config import Settings
from app.domain.basis import Price
from app.domain.change import Edit
from app.domain.job import PlaceKind
from app.domain.plan.shapes import rectangle
from app.interchange.library_file import load_library
from app.services import jobs, zones
from app.services.changes import fields_of
from app.services.jobs import NewJob, Order, changed
from app.services.office import Office, open_office
from app.services.sheets import sheet
from bench import Result
from tests.served import free_port, serving

ZONES, LINES = 30, 500
PAGES, EDITS, CLIENTS = 40, 40, 8
# what is gated: at most so many times the floor
MOST_TIMES = {"page": 6.0, "edit": 11.0, "edits of eight": 14.0}
TARGETS = {"page": "median 25, 95th 60", "edit": "95th 25", "edits of eight": "95th 80"}


def order() -> Order:
    return Order(change_id=uuid4())


def big_job(office: Office) -> UUID:
    """A job of 30 zones and at least 500 lines, all priced."""
    prices = [Price(material=key, unit_price=Decimal("4.25")) for key in office.basis().materials]
    edits = [
        Edit(kind="price", thing_id=one.material, version=0, before=None, after=fields_of(one, "price"))
        for one in prices
    ]
    jobs.save(office, None, tuple(edits), order())
    job_id = jobs.begin_job(office, NewJob(name="Teodor Asante", street="5 Mill Race"), order())
    site = jobs.open_job(office, job_id).job.site
    fields = {"seen_on": "2027-03-01", "haul_distance": 80.0, "access_width": 4.0}
    jobs.save(office, job_id, (changed("site", site.id, 1, fields),), order())
    for at in range(ZONES):
        place = (float(at % 6) * 25, float(at // 6) * 25)
        recipe = "planting-bed" if at % 3 == 2 else "unit-pavers"
        new = zones.NewZone(title=f"Zone {at}", outline=rectangle(20, 12, at=place), assembly=recipe)
        zones.add_zone(office, job_id, new, order())
    return job_id


@dataclass(frozen=True)
class Big:
    """The job to measure on: its id, a work with a depth in each paved zone, how many lines it has."""

    job_id: UUID
    works: tuple[UUID, ...]
    lines: int


def prepared(data: Path) -> Big:
    office = open_office(Settings(data=data), load_library().basis())
    job_id = big_job(office)
    view = sheet(office, job_id)
    works = [w.id for w in view.job.works if w.place is PlaceKind.ALTERNATIVE and w.assembly == "unit-pavers"]
    office.database.close()
    return Big(job_id, tuple(works), len(view.estimate.lines))


Call = Callable[[int], Awaitable[httpx.Response]]


@dataclass
class Timed:
    """Milliseconds of our calls and of the bare floor, taken in turns so that both see the same machine."""

    ours: list[float]
    bare: list[float]


async def timed(action: Call, bare: Call, times: int) -> Timed:
    """Call by turns, after two that warm up; every answer must be a good one."""
    found = Timed([], [])
    for at in range(times + 2):
        for call, to in ((action, found.ours), (bare, found.bare)):
            start = time.perf_counter()
            answer = await call(at)
            if answer.status_code != 200:
                raise RuntimeError(f"{answer.status_code}: {answer.text[:300]}")
            to.append((time.perf_counter() - start) * 1000)
    return Timed(found.ours[2:], found.bare[2:])


def client(address: str) -> httpx.AsyncClient:
    return httpx.AsyncClient(base_url=address, timeout=60)


async def measure(address: str, floor: str, big: Big, focus: str) -> dict[str, Timed]:
    """Full pages one at a time, edits one at a time, edits of eight clients at once."""
    async with client(address) as one, client(floor) as bare:
        show = partial(_get, bare, "/")
        found = {"page": await timed(partial(_get, one, f"/jobs/{big.job_id}/{focus}"), show, PAGES)}
        found["edit"] = await timed(await editor(one, address, big, focus, 0), show, EDITS)
    found["edits of eight"] = await at_once(address, floor, big, focus)
    return found


async def _get(one: httpx.AsyncClient, path: str, _at: int) -> httpx.Response:
    return await one.get(path)


async def at_once(address: str, floor: str, big: Big, focus: str) -> Timed:
    """Edits of eight clients, then as many pages of the floor by eight."""
    clients = [client(address) for _ in range(CLIENTS)]
    bare = [client(floor) for _ in range(CLIENTS)]
    edits = [await editor(one, address, big, focus, at) for at, one in enumerate(clients)]
    found = Timed([], [])
    for calls, to in ((edits, found.ours), ([partial(_get, one, "/") for one in bare], found.bare)):
        for row in await asyncio.gather(*[alone(call, EDITS // 4) for call in calls]):
            to.extend(row)
    for one in (*clients, *bare):
        await one.aclose()
    return found


async def alone(call: Call, times: int) -> list[float]:
    found = []
    for at in range(times + 2):
        start = time.perf_counter()
        if (await call(at)).status_code != 200:
            raise RuntimeError("an edit of several clients was refused")
        found.append((time.perf_counter() - start) * 1000)
    return found[2:]


async def editor(
    one: httpx.AsyncClient, address: str, big: Big, focus: str, own: int
) -> Callable[[int], Awaitable[httpx.Response]]:
    """An edit of one client: the depth of the base of its own zone, another at each call."""
    page = await one.get(f"/jobs/{big.job_id}/{focus}")
    token = re.search(r'name="token" content="([^"]*)"', page.text)
    headers = {"origin": address, "x-outlay-token": token[1] if token else "", "hx-request": "true"}
    path = f"/jobs/{big.job_id}/{focus}/work/{big.works[own % len(big.works)]}/parameter"

    async def edit(at: int) -> httpx.Response:
        sent = {"name": "base", "formula": f"{6 + at % 7} in", "change_id": str(uuid4())}
        return await one.post(path, data=sent, headers=headers)

    return edit


def serve_floor(port: int, rows: int, size: int) -> None:
    """The trivial route: as many rows as the job has lines, as many bytes as its page."""
    import jinja2
    import uvicorn
    from fastapi import FastAPI
    from fastapi.responses import HTMLResponse

    row = "<tr><th>{{ one[0] }}</th><td><a href='{{ one[1] }}'>{{ one[2] }}</a></td><td>{{ one[3] }}</td></tr>"
    source = "<table>{% for one in rows %}" + row + "{{ one[4] }}{% endfor %}</table>"
    template = jinja2.Environment(autoescape=True).from_string(source)
    padding = "x" * max(0, size // rows - 80)
    listed = [(f"Line {n}", f"/why/{n}", f"{n} sq ft", f"${n}", padding) for n in range(rows)]
    app = FastAPI(openapi_url=None)

    @app.get("/")
    async def show() -> HTMLResponse:
        return HTMLResponse(template.render(rows=listed))

    uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning", access_log=False)


@contextmanager
def floor_beside(rows: int, size: int) -> Iterator[str]:
    """The bare floor served until the block ends: its address."""
    port = free_port()
    process = subprocess.Popen([sys.executable, "-m", "bench.edit", "floor", str(port), str(rows), str(size)])
    address = f"http://127.0.0.1:{port}"
    try:
        deadline = time.monotonic() + 20
        while time.monotonic() < deadline:
            try:
                httpx.get(address, timeout=1)
                break
            except httpx.TransportError:
                time.sleep(0.05)
        yield address
    finally:
        process.terminate()
        process.wait(10)


def ninety_fifth(found: list[float]) -> float:
    return sorted(found)[int(len(found) * 0.95)]


def run() -> list[Result]:
    """Every figure with its floor. Milliseconds are shown; ratios of the medians are held."""
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        big = prepared(data)
        if big.lines < LINES:
            raise RuntimeError(f"the job has {big.lines} lines; {LINES} are wanted")
        with serving(data) as server:
            size = len(httpx.get(f"{server.address}/jobs/{big.job_id}/estimate").content)
            with floor_beside(big.lines, size) as floor:
                measured = {key: asyncio.run(measure(server.address, floor, big, key)) for key in ("estimate", "plan")}
    found: list[Result] = []
    for key, figures in measured.items():
        for what, times in figures.items():
            found += told(f"{key}, {what}", times, what, f"{big.lines} lines, {size / 1000:.0f} kB")
    return found


def told(name: str, times: Timed, what: str, note: str) -> list[Result]:
    middle, bare = statistics.median(times.ours), statistics.median(times.bare)
    return [
        Result(name=f"{name}: median", value=middle, unit="ms", note=f"bare {bare:.1f} ms; {note}"),
        Result(name=f"{name}: 95th", value=ninety_fifth(times.ours), unit="ms", note=f"target {TARGETS[what]}"),
        Result(name=f"{name}: over the floor", value=middle / bare, unit="×", most=MOST_TIMES[what]),
    ]


if __name__ == "__main__":
    serve_floor(*(int(word) for word in sys.argv[2:5]))
