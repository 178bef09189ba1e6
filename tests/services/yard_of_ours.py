"""A small yard in an office with the shipped library: a paved zone, a gas line, own hours, marked private values."""

from datetime import date
from decimal import Decimal
from uuid import UUID, uuid4

from app.domain.basis import Price, Supplier
from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.job import (
    Alternative,
    Head,
    Job,
    Phase,
    PlaceKind,
    Run,
    RunKind,
    Work,
    Zone,
    ZoneKind,
)
from app.domain.plan.shapes import rectangle
from app.interchange.library_file import load_library
from app.services import jobs
from app.services.jobs import NewJob, Order, begin_job, changed, made, save
from app.services.office import Office

LIBRARY = load_library()
MARK = "MARKED-PRIVATE"
MARKED_PRICE = Decimal("7771.2345")


def told() -> Order:
    return Order(change_id=uuid4())


def key(number: int) -> UUID:
    return UUID(int=number)


def with_library(office: Office) -> Office:
    """The shipped library behind an office of the tests."""
    office.shipped, office.cautions = LIBRARY.basis(), LIBRARY.cautions
    office._basis = None
    return office


def priced(office: Office, *keys: str) -> None:
    """A supplier, and a price of its for each material."""
    own = [("supplier", "yard", Supplier(key="yard", title="Wren Hollow Stone", phone="555 0117", note=MARK))]
    own += [("price", one, Price(material=one, unit_price=MARKED_PRICE, supplier="yard", note=MARK)) for one in keys]
    edits = []
    for kind, name, value in own:
        after = {field: plain for field, plain in to_plain(value).items() if plain != name}
        edits.append(Edit(kind=kind, thing_id=name, version=0, before=None, after=after))
    save(office, None, tuple(edits), told())


def yard(office: Office) -> UUID:
    """A job with a phase, a paved zone, an empty one and a gas line; private notes are marked."""
    job_id = begin_job(office, NewJob(name="Linnea Whitlock", street="27 Quarry Bend", town="Alder Ferry"), told())
    phase, zone, way = (uuid4() for _ in range(3))
    run = Run(id=uuid4(), title="Gas to the fire", kind=RunKind.GAS, length=42, zone_id=zone, under={"zone": 12})
    things = [
        ("phase", Phase(id=phase, number=1, title="Terrace", start=date(2027, 5, 10))),
        (
            "zone",
            Zone(id=zone, letter="A", title="Dining terrace", kind=ZoneKind.DINING, phase_id=phase, private_note=MARK),
        ),
        ("zone", Zone(id=uuid4(), letter="B", title="Herb beds", kind=ZoneKind.PLANTING, position=1)),
        ("alternative", Alternative(id=way, zone_id=zone, outline=rectangle(18, 16))),
        ("run", run),
        ("work", Work(id=uuid4(), place=PlaceKind.ALTERNATIVE, place_id=way, assembly="unit-pavers")),
        ("work", Work(id=uuid4(), place=PlaceKind.RUN, place_id=run.id, assembly="gas-run", position=1)),
        ("work", Work(id=uuid4(), place=PlaceKind.JOB, place_id=None, assembly="own-design", position=2)),
        ("work", Work(id=uuid4(), place=PlaceKind.JOB, place_id=None, assembly="mobilize", position=3)),
    ]
    save(office, job_id, tuple(made(kind, value) for kind, value in things), told())
    opened = jobs.open_job(office, job_id)
    notes = [
        changed("job", job_id, opened.version("job", job_id), {"private_note": MARK, "budget_high_cents": 777_123_45}),
        changed("client", opened.job.client.id, opened.version("client", opened.job.client.id), {"private_note": MARK}),
    ]
    save(office, job_id, tuple(notes), told())
    return job_id


def job_of(office: Office, job_id: UUID) -> Job:
    return jobs.open_job(office, job_id).job


def head_of(office: Office, job_id: UUID) -> Head:
    return job_of(office, job_id).head
