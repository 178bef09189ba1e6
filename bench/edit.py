"""One edit answered with fragment, bar and open points, and a full estimate page, on a job of 30 zones and 500 lines.

A real server on loopback, beside a bare floor: a trivial route of the same framework that renders a template of the
same rows and bytes. Times are what a client sees, beside the targets. Held is the processor's time that the serving
process takes, as a multiple of the floor's: it is the same on a busy machine, and eight clients of one event loop wait
for the sum of it. What eight save at the same moment shares one estimate. Every edit sets another number. Run alone:
`python -m bench edit`.
"""

import asyncio
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from itertools import count
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
ANOTHER = count()  # every edit sets a number that was not there before
# what is held: the server's work at most so many times the floor's
MOST_TIMES: Mapping[str, Mapping[str, float]] = {
    "plan": {"page": 4.0, "edit": 7.5, "edits of eight": 4.0},
    "estimate": {"page": 4.0, "edit": 8.0, "edits of eight": 5.0},
}
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
    """The job to measure on: its id, in each paved zone a work with a depth and the zone, how many lines it has."""

    job_id: UUID
    works: tuple[tuple[UUID, UUID], ...]
    lines: int


def prepared(data: Path) -> Big:
    office = open_office(Settings(data=data), load_library().basis())
    job_id = big_job(office)
    view = sheet(office, job_id)
    zone = {way.id: way.zone_id for way in view.job.alternatives}
    paved = [w for w in view.job.works if w.place is PlaceKind.ALTERNATIVE and w.assembly == "unit-pavers"]
    works = [(one.id, zone[one.place_id]) for one in paved if one.place_id]
    office.database.close()
    return Big(job_id, tuple(works), len(view.estimate.lines))


Call = Callable[[int], Awaitable[httpx.Response]]


@dataclass(frozen=True)
class Server:
    """A serving process: its address, and its process id to read its processor time by."""

    address: str
    pid: int

    def worked(self) -> float:
        """Milliseconds of processor time that its event loop has taken since it began."""
        return int(Path(f"/proc/{self.pid}/schedstat").read_text().split()[0]) / 1e6


@dataclass
class Timed:
    """Milliseconds of our calls, what a client waits and what the server works; and the work of the bare floor."""

    waited: list[float]
    worked: list[float]
    bare: list[float]


async def timed(action: Call, bare: Call, ours: Server, floor: Server, times: int) -> Timed:
    """Call by turns, after two that warm up; every answer must be a good one."""
    found, rest = Timed([], [], []), Timed([], [], [])
    for at in range(times + 2):
        for call, server, to in ((action, ours, found), (bare, floor, rest)):
            start, before = time.perf_counter(), server.worked()
            answer = await call(at)
            if answer.status_code != 200:
                raise RuntimeError(f"{answer.status_code}: {answer.text[:300]}")
            to.waited.append((time.perf_counter() - start) * 1000)
            to.worked.append(server.worked() - before)
    return Timed(found.waited[2:], found.worked[2:], rest.worked[2:])


def client(address: str) -> httpx.AsyncClient:
    return httpx.AsyncClient(base_url=address, timeout=60)


async def measure(ours: Server, floor: Server, big: Big, focus: str) -> dict[str, Timed]:
    """Full pages one at a time, edits one at a time, edits of eight clients at once."""
    async with client(ours.address) as one, client(floor.address) as bare:
        show = partial(_get, bare, "/")
        page = partial(_get, one, f"/jobs/{big.job_id}/{focus}?lines=all")  # every line unfolded
        found = {"page": await timed(page, show, ours, floor, PAGES)}
        found["edit"] = await timed(await editor(one, ours.address, big, focus, 0), show, ours, floor, EDITS)
    found["edits of eight"] = await at_once(ours, floor, big, focus)
    return found


async def _get(one: httpx.AsyncClient, path: str, _at: int) -> httpx.Response:
    return await one.get(path)


async def at_once(ours: Server, floor: Server, big: Big, focus: str) -> Timed:
    """Edits of eight clients, then as many pages of the floor by eight."""
    clients = [client(ours.address) for _ in range(CLIENTS)]
    bare = [client(floor.address) for _ in range(CLIENTS)]
    edits = [await editor(one, ours.address, big, focus, at) for at, one in enumerate(clients)]
    waited, worked = await together(edits, ours)
    _, idle = await together([partial(_get, one, "/") for one in bare], floor)
    for one in (*clients, *bare):
        await one.aclose()
    return Timed(waited, [worked], [idle])


async def together(calls: list[Call], server: Server) -> tuple[list[float], float]:
    """What each of several clients waits, and what the server works for one answer, after two that warm up."""
    await asyncio.gather(*[alone(call, 2) for call in calls])
    before, times = server.worked(), EDITS // 4
    rows = await asyncio.gather(*[alone(call, times) for call in calls])
    return [one for row in rows for one in row], (server.worked() - before) / (times * len(calls))


async def alone(call: Call, times: int) -> list[float]:
    found = []
    for at in range(times):
        start = time.perf_counter()
        if (await call(at)).status_code != 200:
            raise RuntimeError("an edit of several clients was refused")
        found.append((time.perf_counter() - start) * 1000)
    return found


async def editor(
    one: httpx.AsyncClient, address: str, big: Big, focus: str, own: int
) -> Callable[[int], Awaitable[httpx.Response]]:
    """An edit of one client, another at each call: the depth of the base of its own zone, whose lines stand open."""
    page = await one.get(f"/jobs/{big.job_id}/{focus}")
    token = re.search(r'name="token" content="([^"]*)"', page.text)
    work, zone = big.works[own % len(big.works)]
    headers = {"origin": address, "x-outlay-token": token[1] if token else "", "hx-request": "true"}
    headers["x-outlay-lines"] = str(zone)
    path = f"/jobs/{big.job_id}/{focus}/work/{work}/parameter"

    async def edit(_at: int) -> httpx.Response:
        sent = {"name": "base", "formula": f"{6 + next(ANOTHER) % 900 / 1000:.3f} in", "change_id": str(uuid4())}
        sent["version"] = "1000000"  # of a page that has seen every change
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
def floor_beside(rows: int, size: int) -> Iterator[Server]:
    """The bare floor served until the block ends."""
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
        yield Server(address, process.pid)
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
        with serving(data) as served:
            ours = Server(served.address, served.process.pid)
            size = len(httpx.get(f"{ours.address}/jobs/{big.job_id}/estimate?lines=all").content)
            with floor_beside(big.lines, size) as floor:
                measured = {key: asyncio.run(measure(ours, floor, big, key)) for key in ("estimate", "plan")}
    found: list[Result] = []
    for key, figures in measured.items():
        for what, times in figures.items():
            found += told(key, what, times, f"{big.lines} lines, {size / 1000:.0f} kB")
    return found


def told(sheet_key: str, what: str, times: Timed, note: str) -> list[Result]:
    name, most = f"{sheet_key}, {what}", MOST_TIMES[sheet_key][what]
    middle, work, bare = (statistics.median(row) for row in (times.waited, times.worked, times.bare))
    return [
        Result(name=f"{name}: median", value=middle, unit="ms", note=note),
        Result(name=f"{name}: 95th", value=ninety_fifth(times.waited), unit="ms", note=f"target {TARGETS[what]}"),
        Result(name=f"{name}: the server's work", value=work, unit="ms", note=f"the floor's {bare:.2f} ms"),
        Result(name=f"{name}: work over the floor's", value=work / bare, unit="×", most=most),
    ]


if __name__ == "__main__":
    serve_floor(*(int(word) for word in sys.argv[2:5]))
