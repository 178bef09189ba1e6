"""What a release wrote, kept small: a database as text, a job file, a signed proposal; and how it is put back.

`scripts/keep-release VERSION` makes the set of the program as it is. A set is never made again: it is what users have.
"""

import asyncio
import gzip
import json
import sqlite3
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID, uuid4

from app.config import Settings
from app.db.files import FileStore
from app.domain.job import Measured, Phase
from app.domain.plan.shapes import rectangle
from app.interchange.job_file import write_job_file
from app.services import jobs, proposals, revisions, zones
from app.services.job_files import taken_along
from app.services.jobs import NewJob, Order, changed, made
from app.services.office import Office
from app.services.revisions import Act
from app.services.sheets import sheet
from tests.stocked import stocked_office

HERE = Path(__file__).parent
SIGNERS = ("Linnea Whitlock", "Joss Whitlock")
STROKES = (((10.0, 10.0), (60.0, 40.0), (90.0, 12.0)),)


def order(what: str) -> Order:
    return Order(change_id=uuid4(), what=what)


def small_yard(office: Office) -> UUID:
    """A job with an edit in its record: two zones in two phases, papers, two signers (all invented)."""
    papers = {
        "title": "Terms",
        "text": "Changes are agreed in writing.",
        "reviewed_by": "R. Alder",
        "reviewed_on": "2027-01-04",
        "file": "",
    }
    firm = {"license": "none asked for", "terms": papers, "notices": [{**papers, "title": "Notice of cancellation"}]}
    jobs.save(office, None, (changed("firm", office.firm_id, 1, firm),), order("papers"))
    job_id = jobs.begin_job(
        office, NewJob(name=SIGNERS[0], street="27 Quarry Bend", town="Alder Ferry"), order("New caller")
    )
    phases = [Phase(id=uuid4(), number=n, title=title) for n, title in ((1, "This spring"), (2, "Next year"))]
    jobs.save(office, job_id, tuple(made("phase", one) for one in phases), order("Phases"))
    for title, kind, assembly, at in (
        ("Terrace", "dining", "unit-pavers", 0),
        ("Long bed", "planting", "mulch-layer", 40),
    ):
        new = zones.NewZone(
            title=title,
            kind=kind,
            outline=rectangle(18.5, 12.25, at=(at, 0)),
            measured=Measured.TAPED,
            assembly=assembly,
        )
        zones.add_zone(office, job_id, new, order("New zone"))
    job = jobs.open_job(office, job_id).job
    edits = (
        changed("client", job.client.id, 1, {"second_name": SIGNERS[1]}),
        changed("site", job.site.id, 1, {"seen_on": "2027-03-01", "haul_distance": 40.0, "access_width": 6.0}),
    )
    jobs.save(office, job_id, edits, order("Seen"))
    return job_id


def keep(version: str, into: Path = HERE) -> Path:
    """Write the set of this program."""
    folder = into / version
    folder.mkdir(parents=True)
    with TemporaryDirectory() as data:
        office = stocked_office(Path(data))
        job_id = small_yard(office)
        one = asyncio.run(proposals.offer(office, sheet(office, job_id), order("Offer")))
        for name in SIGNERS:
            one = asyncio.run(
                revisions.sign(office, sheet(office, job_id), one.id, Act(name=name, strokes=STROKES), order("Signed"))
            )
        opened = jobs.open_job(office, job_id)
        signed, offered = (revisions.hand_out(office, one.id, role) for role in ("signed", "offered"))
        (folder / "signed.pdf").write_bytes(signed)
        (folder / "job.json").write_bytes(write_job_file(*taken_along(opened.job, opened.basis)))
        store, others = FileStore(office.settings.files), {}
        for role, name in one.files.items():
            content = store.read(name)
            others[role] = {"bytes": len(content)} if signed.startswith(content) else {"file": f"{role}.gz"}
            if "file" in others[role]:
                (folder / f"{role}.gz").write_bytes(gzip.compress(content, 9, mtime=0))
        told = {
            "version": version,
            "job": str(job_id),
            "revision": one.id,
            "price_cents": one.price_cents,
            "draft_cents": sheet(office, job_id).estimate.price_cents,
            "offered_bytes": len(offered),
            "counter": opened.counter,
            "zones": [zone.title for zone in opened.job.zones],
            "files": others,
        }
        (folder / "told.json").write_text(json.dumps(told, indent=1, sort_keys=True) + "\n")
        office.database.close()
        with sqlite3.connect(office.settings.database) as database:
            text = "\n".join(database.iterdump())
        database.close()
        (folder / "database.sql.gz").write_bytes(gzip.compress(text.encode(), 9, mtime=0))
    return folder


def put_back(folder: Path, data: Path) -> Settings:
    """The data folder a user of that release has."""
    told, signed = json.loads((folder / "told.json").read_text()), (folder / "signed.pdf").read_bytes()
    settings = Settings(data=data)
    data.mkdir(parents=True)
    database = sqlite3.connect(settings.database)
    database.executescript(gzip.decompress((folder / "database.sql.gz").read_bytes()).decode())
    database.close()
    store = FileStore(settings.files)
    for kept in told["files"].values():
        store.keep(gzip.decompress((folder / kept["file"]).read_bytes()) if "file" in kept else signed[: kept["bytes"]])
    return settings


if __name__ == "__main__":
    sys.stdout.write(f"kept in {keep(sys.argv[1])}\n")
