"""The pages by which a job is taken along, looked into and brought back: seen by axe, by finger, at three sizes."""

from pathlib import Path
from uuid import UUID, uuid4

import pytest
from playwright.sync_api import Browser, Page, expect

from app.config import Settings
from app.services.jobs import Order, changed, open_job, save
from app.services.office import open_office
from app.services.opening_along import back_file, open_along, read_file
from app.services.takings import of_job
from app.services.zones import NewZone, add_zone
from bars.saving import prepared, shipped
from tests.browser.conftest import SIZES, touch_context
from tests.browser.test_accessible import FINGER, SMALL, faults
from tests.served import Server, serving


def order() -> Order:
    return Order(change_id=uuid4())


def away_and_back(along: bytes, folder: Path, job_id: UUID) -> Path:
    """The file goes to another machine, where the phone is changed and a zone drawn; the file it comes back in."""
    library = shipped()
    office = open_office(Settings(data=folder / "away"), library.basis(), cautions=library.cautions)
    open_along(office, read_file(along), order())
    opened = open_job(office, job_id)
    client = opened.job.client.id
    save(
        office,
        job_id,
        (changed("client", client, opened.version("client", client), {"phone": "570 555 0177"}),),
        order(),
    )
    add_zone(office, job_id, NewZone(title="Herb bed"), order())
    (folder / "back.zip").write_bytes(back_file(office, job_id, of_job(office, job_id)[0]))
    office.database.close()
    return folder / "back.zip"


def holds(page: Page) -> None:
    assert faults(page) == []
    assert page.evaluate(SMALL, FINGER) == []


@pytest.fixture(scope="module")
def lent(chromium: Browser, tmp_path_factory: pytest.TempPathFactory):
    """A job that is away, changed at both."""
    folder = tmp_path_factory.mktemp("along")
    job_id = prepared(folder / "data")
    with serving(folder / "data") as server:
        context = touch_context(chromium, "laptop")
        page = context.new_page()
        page.goto(f"{server.address}/jobs/{job_id}/along")
        page.get_by_label("Who or what takes it along").fill("the laptop in the bag")
        page.get_by_role("button", name="Take along").click()
        with page.expect_download() as loaded:
            page.get_by_role("link", name="The file to take along").click()
        along = Path(loaded.value.path()).read_bytes()
        page.goto(f"{server.address}/jobs/{job_id}/client")
        page.get_by_label("Phone").fill("570 555 0142")
        page.get_by_label("Email").focus()
        expect(page.locator("#undo")).to_contain_text("Undo")
        back = away_and_back(along, folder, job_id)
        context.close()
        yield server, job_id, back


@pytest.mark.parametrize("size", SIZES)
def test_pages_hold_at_each_size(chromium: Browser, lent: tuple[Server, UUID, Path], size: str) -> None:
    server, job_id, back = lent
    context = touch_context(chromium, size)
    page = context.new_page()
    page.goto(f"{server.address}/jobs/{job_id}/along")
    holds(page)
    page.get_by_label("The file made on the other machine").set_input_files(back)
    page.get_by_role("button", name="Look into it").click()
    expect(page.get_by_role("heading", name="What comes back from the laptop in the bag")).to_be_visible()
    expect(page.get_by_text("Herb bed").first).to_be_visible()
    expect(page.get_by_role("group", name="Phone")).to_be_visible()  # changed at both: asked
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    holds(page)
    if size == "phone":
        with page.expect_navigation():
            page.get_by_role("button", name="Take it in").click()
        expect(page.locator(".asked .wrong")).to_contain_text("Choose one of the two values")
        holds(page)
        page.get_by_text("570 555 0177").first.click()
        with page.expect_navigation():
            page.get_by_role("button", name="Take it in").click()
        expect(page.get_by_text("Came back").first).to_be_visible()
        holds(page)
    context.close()
