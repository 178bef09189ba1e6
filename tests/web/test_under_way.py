"""Work that a page waits for says how far it is, is stopped by the person, and begins again only when asked for."""

import asyncio
from collections.abc import Callable
from uuid import UUID

import pytest

from app.services import trials, under_way
from app.services.office import Office
from app.services.sheets import sheet
from app.services.trials import range_view
from app.worker import run_in_worker
from tests.web.conftest import Browser
from tests.web.test_estimate_sheet import office, yard  # noqa: F401

pytestmark = pytest.mark.own_process

HTMX = {"hx-request": "true"}
ENDED: list[str] = []


@pytest.fixture
def slow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Trials that take a long time, and say so."""
    ENDED.clear()

    async def run(task: str, payload: object, *, progress: Callable[[float, str], None], **limits: float) -> bytes:
        progress(0.25, "Drawing 10,000 trials")
        try:
            await asyncio.sleep(30)
        except asyncio.CancelledError:
            ENDED.append(task)
            raise
        return await run_in_worker(task, payload, progress=progress, **limits)

    monkeypatch.setattr(trials, "run_in_worker", run)


def part(web: Browser, yard: UUID, query: str = "") -> str:  # noqa: F811
    return web.get(f"/jobs/{yard}/estimate/trials{query}", headers=HTMX).text


@pytest.mark.usefixtures("slow")
def test_trials_say_how_far_they_are_and_are_stopped(web: Browser, office: Office, yard: UUID) -> None:  # noqa: F811
    going = part(web, yard)
    assert 'value="25"' in going
    assert "Drawing 10,000 trials" in going
    assert 'hx-trigger="load delay:300ms"' in going
    assert "in closed form" in going, "the closed form stands meanwhile"
    stopped = web.post(f"/jobs/{yard}/estimate/trials/stop", {}, htmx=True).text
    assert "Stopped" in stopped
    assert "hx-trigger" not in stopped.split('id="outlook"')[1].split(">")[0]
    web.get("/")  # the loop has a turn
    assert ENDED == ["trials"]
    assert range_view(office, sheet(office, yard)).drawn == 0
    assert "Stopped" in part(web, yard), "it does not begin again by itself"
    assert "Stopped" in web.get(f"/jobs/{yard}/estimate").text


@pytest.mark.usefixtures("slow")
def test_stopped_trials_are_drawn_when_they_are_asked_for(
    web: Browser,
    office: Office,  # noqa: F811
    yard: UUID,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    part(web, yard)
    web.post(f"/jobs/{yard}/estimate/trials/stop", {}, htmx=True)
    monkeypatch.setattr(trials, "run_in_worker", run_in_worker)
    part(web, yard, "?again=true")
    assert any(range_view(office, sheet(office, yard)).drawn or not part(web, yard) for _ in range(60))


def test_drivers_and_past_jobs_are_stopped_alike(web: Browser, office: Office, yard: UUID) -> None:  # noqa: F811
    for place in ("drivers/swings", "past/read"):
        answer = web.post(f"/jobs/{yard}/{place}/stop", {}, htmx=True)
        assert answer.status_code == 200, place
        assert "<section" in answer.text


def test_work_on_what_is_old_is_ended_and_begun_anew(office: Office) -> None:  # noqa: F811
    async def both() -> list[str]:
        said: list[str] = []

        async def work(name: str) -> None:
            try:
                await asyncio.sleep(0.05)
                said.append(name)
            except asyncio.CancelledError:
                said.append(f"{name} ended")
                raise

        key, old, new = ("trials", UUID(int=1)), object(), object()
        await under_way.look(office, key, old, lambda _told: work("old"), wait=0.01)
        assert under_way.now(office, key, new) is None
        await under_way.look(office, key, new, lambda _told: work("new"), wait=None)
        return said

    assert asyncio.run(both()) == ["old ended", "new"]
