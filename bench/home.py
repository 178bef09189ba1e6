"""The list of 10,000 jobs, beside the bare SQL of its first page."""

import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from uuid import UUID

from sqlalchemy import insert, text

from app.config import Settings
from app.db.tables.things import TABLES
from app.domain.basis import Basis
from app.domain.job import Client, Head, Stage
from app.services.changes import fields_of
from app.services.home import home
from app.services.office import Office, open_office
from bench import Result
from bench.estimate import best

JOBS = 10_000
BARE = text(
    "SELECT job.thing_id, job.number, job.title, client.name, job.town, job.stage, job.next_step, job.next_day "
    "FROM job JOIN client ON client.firm_id = job.firm_id AND client.thing_id = job.client_id "
    "WHERE job.firm_id = :firm AND job.next_day IS NOT NULL AND job.stage NOT IN ('done', 'lost') "
    "ORDER BY job.next_day, job.number LIMIT 51"
)


def run() -> list[Result]:
    """The first page of open jobs, of a search, and the bare query."""
    with tempfile.TemporaryDirectory() as folder:
        office = open_office(Settings(data=Path(folder)), Basis())
        fill(office)
        bare, listed, searched = best(
            lambda: _bare(office), lambda: home(office), lambda: home(office, search="yard 77")
        )
        office.database.close()
    return [
        Result(name="floor: bare SQL of one page", value=bare, unit="ms"),
        Result(name="list of 10,000 jobs", value=listed, unit="ms", most=15, note="target 15 ms"),
        Result(name="list over bare SQL", value=listed / bare, unit="×", most=15),
        Result(name="search among 10,000 jobs", value=searched, unit="ms"),
    ]


def _bare(office: Office) -> int:
    with office.database.read() as connection:
        return len(connection.execute(BARE, {"firm": office.firm_id}).all())


def fill(
    office: Office, street: Callable[[int], str] = lambda _n: "", name: Callable[[int], str] = lambda n: f"Caller {n}"
) -> None:
    """10,000 jobs with their clients, as rows."""
    stages = list(Stage)
    heads, clients = [], []
    for n in range(JOBS):
        client = Client(id=UUID(int=2 * n + 1), name=name(n))
        day = date(2027, 1, 1) + timedelta(days=n % 400) if n % 3 else None
        stage = stages[n % len(stages)]
        at = {"street": street(n), "town": "Alder Ferry"} if street(n) else {}
        named = {"number": n, "title": f"Yard {n}", "stage": stage, "next_day": day}
        head = Head(id=UUID(int=2 * n + 2), client_id=client.id, **named, **at)  # type: ignore[arg-type]
        heads.append(_row(office, "job", head, str(head.id)))
        clients.append(_row(office, "client", client, None))
    with office.database.write() as connection:
        connection.execute(insert(TABLES["job"]), heads)
        connection.execute(insert(TABLES["client"]), clients)


def _row(office: Office, kind: str, value: Head | Client, job_id: str | None) -> dict[str, object]:
    own = {"firm_id": office.firm_id, "thing_id": str(value.id), "job_id": job_id, "version": 1, "last_change": ""}
    return {**own, **fields_of(value, kind)}
