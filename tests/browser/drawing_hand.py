"""A hand on the canvas of the plan: fingers by touch events, a mouse, a keyboard; places are told in feet."""

import json
import re
from dataclasses import dataclass, field
from functools import cache
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


_library = cache(load_library)

MARK = "() => document.getElementById('drawing')?.setAttribute('data-before', '')"
POST = """async ([address, fields]) => {
  const headers = { 'X-Outlay-Token': document.querySelector('meta[name="token"]').content, 'HX-Request': 'true' };
  const body = new URLSearchParams({ ...fields, change_id: crypto.randomUUID() });
  return (await fetch(address, { method: 'POST', headers, body })).status;
}"""


def opened(data: Path) -> Office:
    """The office of a data folder."""
    library = _library()
    return open_office(Settings(data=data), library.basis(), cautions=library.cautions)


def begun_many(data: Path, count: int, **zones: str) -> list[UUID]:
    """Jobs in a new data folder, each with a zone for each outline (WKT) by its title; their ids."""
    office = opened(data)
    new = [
        NewZone(title=title, kind="dining", outline=Outline(wkt), measured="taped", assembly="unit-pavers")
        for title, wkt in zones.items()
    ]
    jobs_begun = []
    for _ in range(count):
        told = NewJob(name="Linnea Whitlock", street="27 Quarry Bend")
        jobs_begun.append(begin_job(office, told, Order(change_id=uuid4())))
        for zone in new:
            add_zone(office, jobs_begun[-1], zone, Order(change_id=uuid4()))
    office.database.close()
    return jobs_begun


def begun(data: Path, **zones: str) -> UUID:
    """One such job."""
    return begun_many(data, 1, **zones)[0]


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

    def further(self) -> None:
        """The plan further away, so that there is room around it."""
        self.page.locator("#canvas [data-view]").press("-")
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
        self.page.locator("#canvas .strip").get_by_role("button", name=name, exact=True).tap()

    def tap(self, at: Feet) -> None:
        self.page.touchscreen.tap(*self.px(at))

    def select(self, at: Feet, title: str) -> None:
        """Tap a thing, and wait until the margin speaks of it."""
        self.tap(at)
        expect(self.page.locator("#margin-part h2").first).to_contain_text(title)
        self.rests()

    def draw(self, name: str) -> None:
        """Begin to draw something new, by its name in the list."""
        self.press("Draw")
        self.page.locator("#canvas [data-panel=draw]").get_by_role("button", name=name, exact=True).tap()

    def more(self, name: str) -> None:
        """Do something with the whole of what is selected."""
        self.press("More")
        self.page.locator("#canvas [data-panel=more]").get_by_role("button", name=name, exact=True).tap()

    def post(self, path: str, **fields: str) -> None:
        """Save something of the job that is not drawn, then open the plan afresh."""
        address = f"{self.plan.removesuffix('/plan')}/{path}"
        assert self.page.evaluate(POST, [address, fields]) == 200
        self.open()

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
        self.page.evaluate(MARK)
        with self.page.expect_response(lambda one: one.request.method == "POST") as got:
            work()  # type: ignore[operator]
        expect(self.page.locator("#drawing[data-before]")).to_have_count(0)  # the answer has taken its place
        self.rests()
        return got.value

    def figure(self, label: str) -> str:
        """A figure of the margin by its label."""
        row = self.page.locator(
            "#margin-part dl.rows > div", has=self.page.locator("dt", has_text=re.compile(f"^{label}"))
        )
        return row.locator("dd").first.inner_text()
