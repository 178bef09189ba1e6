"""A client of a real server that saves as a page does: each save leaves what a bar can look for afterwards."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from uuid import UUID, uuid4

import httpx2 as httpx

from app.config import Settings
from app.interchange.library_file import load_library
from app.services import jobs
from app.services.jobs import NewJob, Order
from app.services.office import Office, open_office

shipped = cache(load_library)


def opened(data: Path) -> Office:
    """The office of a data folder, in this process."""
    library = shipped()
    return open_office(Settings(data=data), library.basis(), cautions=library.cautions)


def prepared(data: Path) -> UUID:
    """A data folder with one job; its id."""
    office = opened(data)
    made = jobs.begin_job(office, NewJob(name="Priya Lindqvist", town="Alder Ferry"), Order(change_id=uuid4()))
    office.database.close()
    return made


@dataclass
class Page:
    """An opened page: its session and token, so that it may save."""

    client: httpx.Client
    token: str
    client_id: str

    @classmethod
    @contextmanager
    def of(cls, address: str, job_id: UUID) -> "Iterator[Page]":
        """Open the client sheet of a job, until the block ends."""
        with httpx.Client(base_url=address, timeout=30) as client:
            yield cls._opened(client, job_id)

    @classmethod
    def _opened(cls, client: httpx.Client, job_id: UUID) -> "Page":
        text = client.get(f"/jobs/{job_id}/client").text
        found = re.search(rf"/jobs/{job_id}/client/client/([0-9a-f-]{{36}})", text)
        token = re.search(r'name="token" content="([^"]*)"', text)
        if not found or not token:
            raise RuntimeError("the client sheet has no form to save with")
        return cls(client, token[1], found[1])

    def post(self, path: str, sent: dict[str, str]) -> int:
        """Send a form as htmx does; the status of the answer."""
        return self.sent(path, sent).status_code

    def sent(self, path: str, sent: dict[str, str]) -> httpx.Response:
        """Send a form as htmx does; the answer."""
        origin = str(self.client.base_url).rstrip("/")
        headers = {"origin": origin, "x-outlay-token": self.token, "hx-request": "true"}
        form = {"change_id": str(uuid4()), **sent}
        return self.client.post(path, data=form, headers=headers)

    def save(self, job_id: UUID, number: int) -> bool:
        """Save two fields at once, both telling the same number; whether it was acknowledged."""
        sent = {"version": "1000000", "phone": f"570 {number:06}", "private_note": f"Call {number:06}"}
        return self.post(f"/jobs/{job_id}/client/client/{self.client_id}", sent) == 200

    def begin(self, number: int) -> bool:
        """Begin a job: client, job, site and first works are one change; whether it was acknowledged."""
        return self.post("/jobs", {"name": f"Caller {number:06}", "town": "Alder Ferry"}) < 400
