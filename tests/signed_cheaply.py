"""A signed paper without its pages: the job as it stands, with its lines, kept as the services keep what is signed."""

import asyncio
from datetime import timedelta
from uuid import UUID, uuid4

from app.db.repositories import revisions
from app.db.repositories.revisions import Revision, Signer
from app.domain.change import Edit
from app.domain.codec import canonical_bytes, to_plain
from app.domain.costing.client_prices import tax_in
from app.domain.costing.estimate import estimate
from app.domain.job import LoggedHours, SaidDone, Stage
from app.domain.joblog import BidTask, bid_tasks
from app.interchange.job_file import write_job_file
from app.interchange.trimming import trimmed
from app.services import jobs, kept_papers
from app.services.jobs import Order, changed, made
from app.services.office import Office


def told() -> Order:
    return Order(change_id=uuid4())


def signed(office: Office, job_id: UUID, *, state: str = "signed", kind: str = "proposal", lines: bool = True) -> str:
    """Keep the job as signed (or offered), and say so on the job; returns the paper's id."""
    opened = jobs.open_job(office, job_id)
    worked = estimate(opened.job, opened.basis)
    results = {"contract_tax_cents": tax_in(opened.job, worked)}
    if lines:
        results |= {"lines": [to_plain(line) for line in worked.lines], "selling": list(worked.selling)}
    contents = {
        "job": write_job_file(opened.job, trimmed(opened.basis, opened.job)),
        "results": canonical_bytes(results),
    }
    store = kept_papers.files_of(office)
    files = {role: store.keep(content) for role, content in contents.items()}
    now = office.clock() + timedelta(seconds=1)
    one = Revision(
        id=str(uuid4()),
        job_id=str(job_id),
        number=1,
        kind=kind,
        state=state,
        issued_at=now.isoformat(),
        holds_until=None,
        price_cents=worked.price_cents,
        job_counter=opened.counter,
        signers=(Signer(name="Linnea Whitlock", signed_at=now.isoformat() if state == "signed" else ""),),
        files=files,
    )
    with office.database.write() as connection:
        one = _numbered(connection, one)
        revisions.insert_revision(connection, office.firm_id, one, {role: len(c) for role, c in contents.items()})
    to_stage(office, job_id, Stage.SIGNED if state == "signed" else Stage.OFFERED)
    return one.id


def _numbered(connection, one: Revision) -> Revision:
    from dataclasses import replace

    return replace(one, number=revisions.next_number(connection, one.job_id, one.kind))


def to_stage(office: Office, job_id: UUID, stage: Stage) -> None:
    """Say where a job stands."""
    opened = jobs.open_job(office, job_id)
    version = opened.versions["job", str(job_id)]
    jobs.save(office, job_id, (changed("job", job_id, version, {"stage": stage.value}),), told())


def bids(office: Office, job_id: UUID) -> dict[str, BidTask]:
    """The first place of each task of the crew in a job's own estimate."""
    opened = jobs.open_job(office, job_id)
    found: dict[str, BidTask] = {}
    for one in bid_tasks(opened.job, estimate(opened.job, opened.basis)):
        found.setdefault(one.at.task, one)
    return found


def logged(office: Office, job_id: UUID, hours: dict[BidTask, float], *, done: bool = True) -> None:
    """Log hours at places of the bid, and say that they are done."""
    day = office.clock().date()
    edits: list[Edit] = []
    for bid, worked in hours.items():
        at = bid.at._asdict()
        quarters = round(worked * 4)
        while quarters > 0:  # a day has an end
            part = min(quarters, 40)
            edits.append(made("logged_hours", LoggedHours(id=uuid4(), day=day, person="Ruben", quarters=part, **at)))
            quarters -= part
        if done:
            edits.append(made("said_done", SaidDone(id=uuid4(), day=day, percent=100, **at)))
    jobs.save(office, job_id, tuple(edits), told())


def read(office: Office) -> None:
    """Read all papers that have yet to be read."""
    asyncio.run(kept_papers.read_papers(office))
