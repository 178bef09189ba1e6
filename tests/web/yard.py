"""What the tests of Site, Plan and Palette share: an office with the shipped library, a browser, a small yard."""

import re
from html import unescape
from pathlib import Path
from uuid import UUID, uuid4

from app.config import Settings
from app.domain.job import Job, PlaceKind, Work
from app.interchange.library_file import load_library
from app.services import jobs
from app.services.jobs import NewJob, Order, begin_job
from app.services.office import Office, open_office
from tests.conftest import TestClock
from tests.web.conftest import Browser

SHIPPED = load_library().basis()
TERRACE = {
    "title": "Dining terrace",
    "kind": "dining",
    "outline.shape": "rectangle",
    "outline.width": "20",
    "outline.depth": "12",
    "measured": "taped",
}


class Yard:
    """One job in a browser, with short ways to look at it."""

    def __init__(self, folder: Path) -> None:
        self.office: Office = open_office(Settings(data=folder / "data"), SHIPPED, TestClock())
        self.browser = Browser(self.office)
        self.id = begin_job(self.office, NewJob(name="Linnea Whitlock", street="27 Quarry Bend"), order())

    @property
    def job(self) -> Job:
        return jobs.open_job(self.office, self.id).job

    @property
    def works(self) -> tuple[Work, ...]:
        """The works on places; those of the job as a whole come with every job."""
        return tuple(work for work in self.job.works if work.place is not PlaceKind.JOB)

    @property
    def price(self) -> int:
        from app.services.sheets import sheet

        return sheet(self.office, self.id).estimate.price_cents

    def version(self, kind: str, thing_id: object) -> int:
        return jobs.open_job(self.office, self.id).version(kind, thing_id)

    def get(self, path: str):
        return self.browser.get(f"/jobs/{self.id}/{path}")

    def post(self, path: str, data: dict | None = None, **kwargs):
        return self.browser.post(
            f"/jobs/{self.id}/{path}", {"change_id": str(uuid4()), **(data or {})}, htmx=True, **kwargs
        )

    def zone(self, **fields: str) -> UUID:
        """A zone added as a person would; its id."""
        answer = self.post("plan/zone/new", {**TERRACE, **fields})
        assert answer.status_code == 200, answer.text
        return self.job.zones[-1].id

    def close(self) -> None:
        self.office.database.close()


def order(what: str = "") -> Order:
    return Order(change_id=uuid4(), what=what)


def text_of(html: str) -> str:
    """A page's words, without its markup."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())
