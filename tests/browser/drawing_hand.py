"""A hand on the canvas of the plan: fingers by touch events, a mouse, a keyboard; places are told in feet."""

import json
import re
from dataclasses import dataclass, field
from pathlib import Path
from uuid import UUID, uuid4

from playwright.sync_api import CDPSession, Page, Response, expect

from app.config import Settings
from app.domain.job import Job
from app.domain.plan.outline import Outline
from app.interchange.library_file import load_library
from app.services import jobs
from app.services.jobs import NewJob, Order, begin_job
from app.services.office import Office, open_office
from app.services.zones import NewZone, add_zone

Feet = tuple[float, float]
PLACE = """([x, y]) => {
  const at = document.querySelector('.overlay [data-matrix]').getCTM();
  const box = document.querySelector('#canvas [data-view]').getBoundingClientRect();
  return [at.a * x + at.e + box.left, at.d * y + at.f + box.top];
}"""


def opened(data: Path) -> Office:
    """The office of a data folder."""
    library = load_library()
    return open_office(Settings(data=data), library.basis(), cautions=library.cautions)


def begun(data: Path, **zones: str) -> UUID:
    """A job in a new data folder, with a zone for each outline (WKT) by its title; its id."""
    office = opened(data)
    job_id = begin_job(office, NewJob(name="Linnea Whitlock", street="27 Quarry Bend"), Order(change_id=uuid4()))
    for title, wkt in zones.items():
        zone = NewZone(title=title, kind="dining", outline=Outline(wkt), measured="taped", assembly="unit-pavers")
        add_zone(office, job_id, zone, Order(change_id=uuid4()))
    office.database.close()
    return job_id


def job_in(data: Path, job_id: UUID) -> Job:
    """The job as it lies in the data folder now."""
    office = opened(data)
    try:
        return jobs.open_job(office, job_id).job
    finally:
        office.database.close()


@dataclass
class DrawingHand:
    """A hand at the plan of one job."""

    page: Page
    plan: str
    _cdp: CDPSession | None = field(default=None, repr=False)

    def open(self) -> None:
        self.page.goto(self.plan)
        self.rests()

    def rests(self) -> None:
        """The drawing is there at the size it is seen, nothing is on its way."""
        expect(self.page.locator("#canvas[data-ready][data-resting]")).to_be_attached()
        expect(self.page.locator(".htmx-request, .htmx-swapping, .htmx-settling")).to_have_count(0)

    def px(self, at: Feet) -> tuple[float, float]:
        x, y = self.page.evaluate(PLACE, list(at))
        return x, y

    @property
    def told(self) -> str:
        return self.page.locator("#canvas .told").inner_text()

    def things(self) -> list[dict]:
        return json.loads(self.page.locator("#drawing").get_attribute("data-plan") or "{}")["things"]

    def press(self, name: str) -> None:
        """A button of the strip."""
        self.page.locator("#canvas .strip").get_by_role("button", name=name, exact=True).click()

    def tap(self, at: Feet) -> None:
        self.page.touchscreen.tap(*self.px(at))

    def select(self, at: Feet, title: str) -> None:
        """Tap a thing, and wait until the margin speaks of it."""
        self.tap(at)
        expect(self.page.locator("#margin-part h2").first).to_contain_text(title)
        self.rests()

    def touch(self, kind: str, *points: tuple[float, float]) -> None:
        self._cdp = self._cdp or self.page.context.new_cdp_session(self.page)
        touches = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
        self._cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    def drag(self, start: Feet, end: Feet, *, steps: int = 6) -> None:
        """A finger put down, moved and lifted."""
        (ax, ay), (bx, by) = self.px(start), self.px(end)
        self.touch("touchStart", (ax, ay))
        for step in range(1, steps + 1):
            self.touch("touchMove", (ax + (bx - ax) * step / steps, ay + (by - ay) * step / steps))
        self.touch("touchEnd")

    def drawn(self, work: "object") -> Response:
        """Do something that is saved; the server's answer, once it is shown."""
        with self.page.expect_response(lambda one: one.request.method == "POST") as got:
            work()  # type: ignore[operator]
        self.rests()
        return got.value

    def figure(self, label: str) -> str:
        """A figure of the margin by its label."""
        row = self.page.locator(
            "#margin-part dl.rows > div", has=self.page.locator("dt", has_text=re.compile(f"^{label}"))
        )
        return row.locator("dd").first.inner_text()
