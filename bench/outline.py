"""An outline edited on the plan among 60 zones that touch, without and with a pattern laid in every second one.

A real server beside the bare floor of `bench.edit`, and held in the same way: by the processor's time the server takes,
as a multiple of the floor's. Every edit makes the outline another.
"""

import asyncio
import re
import statistics
import tempfile
from decimal import Decimal
from functools import partial
from itertools import count
from pathlib import Path
from uuid import UUID, uuid4

import httpx2 as httpx

from app.config import Settings
from app.domain.basis import Price
from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.plan.laying import Laying
from app.domain.plan.shapes import rectangle
from app.interchange.library_file import load_library
from app.services import jobs, zones
from app.services.changes import fields_of
from app.services.jobs import NewJob, changed
from app.services.office import Office, open_office
from bench import Result
from bench.edit import Server, Timed, client, floor_beside, ninety_fifth, order, timed
from tests.served import serving

ZONES, ACROSS, EDITED = 60, 10, 34
WIDTH, DEPTH = 20.0, 12.0
TIMES = 40
TARGETS = {"not laid": 25, "laid": 60}  # ms, the 95th
MOST_TIMES = {"not laid": 17.0, "laid": 21.0}


def place(number: int) -> tuple[float, float]:
    return number % ACROSS * WIDTH, number // ACROSS * DEPTH


def touching_zones(office: Office, *, laid: bool) -> UUID:
    """A job of 60 zones side by side, two thirds of them paved; all is priced."""
    prices = [Price(material=key, unit_price=Decimal("4.25")) for key in office.basis().materials]
    edits = (
        Edit(kind="price", thing_id=p.material, version=0, before=None, after=fields_of(p, "price")) for p in prices
    )
    jobs.save(office, None, tuple(edits), order())
    job_id = jobs.begin_job(office, NewJob(name="Teodor Asante", street="5 Mill Race"), order())
    for number in range(ZONES):
        recipe = "unit-pavers" if number % 3 else "planting-bed"
        outline = rectangle(WIDTH, DEPTH, at=place(number))
        zones.add_zone(office, job_id, zones.NewZone(title=f"Zone {number}", outline=outline, assembly=recipe), order())
    if laid:
        opened, pattern = jobs.open_job(office, job_id), to_plain(Laying(pattern="herringbone-45"))
        works = [work.id for work in opened.job.works if work.assembly == "unit-pavers"]
        set_to = [changed("work", one, opened.version("work", one), {"laying": pattern}) for one in works]
        jobs.save(office, job_id, tuple(set_to), order())
    return job_id


async def measured(ours: Server, floor: Server, job_id: UUID, way: UUID, version: int) -> Timed:
    """Edits of one outline, by turns with the floor."""
    async with client(ours.address) as one, client(floor.address) as bare:
        page = await one.get(f"/jobs/{job_id}/plan")
        token = re.search(r'name="token" content="([^"]*)"', page.text)
        headers = {"origin": ours.address, "x-outlay-token": token[1] if token else ""}
        headers |= {"hx-request": "true", "hx-trigger": "canvas"}
        versions, (west, south) = count(version), place(EDITED)

        async def edit(at: int) -> httpx.Response:
            east, north = west + WIDTH - 0.5 + at / 100, south + DEPTH
            drawn = f"POLYGON (({west} {south}, {east} {south}, {east} {north}, {west} {north}, {west} {south}))"
            sent = {"outline.wkt": drawn, "version": str(next(versions)), "change_id": str(uuid4())}
            path = f"/jobs/{job_id}/plan/drawn/alternative/{way}"
            return await one.post(path, data={**sent, "measured": "sketch"}, headers=headers)

        async def show(_at: int) -> httpx.Response:
            return await bare.get("/")

        return await timed(edit, show, ours, floor, TIMES)


def one_kind(kind: str) -> list[Result]:
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        office = open_office(Settings(data=data), load_library().basis())
        job_id = touching_zones(office, laid=kind == "laid")
        opened = jobs.open_job(office, job_id)
        way = opened.job.zones[EDITED].chosen_id or next(
            one.id for one in opened.job.alternatives if one.zone_id == opened.job.zones[EDITED].id
        )
        version = opened.version("alternative", way)
        office.database.close()
        with serving(data) as served:
            ours = Server(served.address, served.process.pid)
            size = len(httpx.get(f"{ours.address}/jobs/{job_id}/plan").content)
            with floor_beside(500, size) as floor:
                found = asyncio.run(partial(measured, ours, floor, job_id, way, version)())
    work, bare = statistics.median(found.worked), statistics.median(found.bare)
    name = f"outline among {ZONES}, {kind}"
    return [
        Result(name=f"{name}: median", value=statistics.median(found.waited), unit="ms", note=f"{size / 1000:.0f} kB"),
        Result(name=f"{name}: 95th", value=ninety_fifth(found.waited), unit="ms", note=f"target {TARGETS[kind]}"),
        Result(name=f"{name}: the server's work", value=work, unit="ms", note=f"the floor's {bare:.2f} ms"),
        Result(name=f"{name}: work over the floor's", value=work / bare, unit="×", most=MOST_TIMES[kind]),
    ]


def run() -> list[Result]:
    """Both kinds: what a client waits beside the target, the ratio of the medians held."""
    return [result for kind in TARGETS for result in one_kind(kind)]
