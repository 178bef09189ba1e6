"""Without a network: the sheets seen last with their time, the week in the yard, and what others change, quietly."""

import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.domain.job import Phase
from app.services.jobs import Order, changed, made, open_job, save
from app.services.revisions import today_at
from bars.saving import opened, prepared
from tests.browser.conftest import SIZES
from tests.cutting import Line, line_to
from tests.served import serving

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, UUID, str]]:
    data = tmp_path_factory.mktemp("kept") / "data"
    job_id = prepared(data)
    office = opened(data)
    today = today_at(office, open_job(office, job_id).job.head.time_zone)
    phase = Phase(id=uuid4(), number=1, title="Terrace", start=today + timedelta(days=2))
    built = changed("job", job_id, 1, {"stage": "building"})
    save(office, job_id, (built, made("phase", phase)), Order(change_id=uuid4()))
    office.database.close()
    with serving(data) as server:
        yield data, job_id, server.address


@pytest.fixture
def line(place) -> Iterator[Line]:
    with line_to(place[2]) as made_line:
        yield made_line


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    width, height = SIZES["phone"]
    one = chromium.new_context(viewport={"width": width, "height": height}, has_touch=True)
    yield one
    one.close()


def saved_by_now(page: Page, is_saved: Callable[[], bool]) -> None:
    """Wait until it is: a page that has just opened has not looked yet at what is kept on the device."""
    for _look in range(200):
        if is_saved():
            return
        page.wait_for_timeout(200)
    pytest.fail("not saved")


def kept_by_the_worker(page: Page) -> None:
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    for _ in range(100):
        names = page.evaluate(
            "() => caches.open('outlay-seen').then((one) => one.keys()).then((all) => all.map((r) => r.url))"
        )
        if any(name.endswith("/unsent") for name in names):
            return
        page.wait_for_timeout(100)
    raise AssertionError("the worker keeps nothing")


def job_of(data: Path, job_id: UUID):
    office = opened(data)
    try:
        return open_job(office, job_id).job
    finally:
        office.database.close()


def test_sheet_seen_last_opens_without_a_network_with_its_time_and_takes_edits(place, line, context) -> None:
    data, job_id, _address = place
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda one: said.append(one.text) if "Content Security Policy" in one.text else None)
    page.goto(f"{line.address}/jobs/{job_id}/client")
    kept_by_the_worker(page)
    page.goto(f"{line.address}/jobs/{job_id}/site")
    line.down = True
    page.goto(f"{line.address}/jobs/{job_id}/client")
    expect(page.locator("#as-of")).to_have_text(re.compile(r"As of \d{1,2}:\d\d [AP]M, not connected"))
    page.get_by_label("Phone").fill("570 900")
    page.get_by_label("Email").focus()
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    page.goto(f"{line.address}/jobs/{job_id}/site")  # another page, still without a network
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    page.goto(f"{line.address}/unsent")
    expect(page.locator("main")).to_contain_text("570 900")
    page.goto(f"{line.address}/jobs/{job_id}/palette")  # never seen
    expect(page.locator("#as-of")).to_contain_text("not kept on this device")
    line.down = False
    page.goto(f"{line.address}/jobs/{job_id}/client")
    saved_by_now(page, lambda: job_of(data, job_id).client.phone == "570 900")
    expect(page.locator("html[data-unsent]")).to_have_count(0)
    expect(page.locator("#as-of")).to_be_hidden()
    assert said == []


def test_page_shown_as_of_then_is_made_new_when_the_program_is_back(place, line, context) -> None:
    _data, job_id, _address = place
    page = context.new_page()
    page.goto(f"{line.address}/jobs/{job_id}/client")
    kept_by_the_worker(page)
    line.down = True
    page.reload()
    expect(page.locator("#as-of")).to_be_visible()
    line.down = False
    expect(page.locator("#as-of")).to_be_hidden()


def test_week_in_the_yard_is_taken_along_for_fourteen_hours(place, line, context) -> None:
    data, job_id, _address = place
    page = context.new_page()
    page.goto(f"{line.address}/field")
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.get_by_role("button", name="Take with you").tap()
    expect(page.get_by_role("status").filter(has_text="Taken along")).to_be_visible()
    line.down = True
    page.goto(f"{line.address}/field")
    page.locator("[data-take] a").first.tap()
    expect(page.locator("#as-of")).to_contain_text("As of")
    expect(page.get_by_text("Layout sheet")).to_be_visible()
    page.get_by_label("Note", exact=True).fill("Root of the oak in the way")
    page.get_by_role("button", name="Send the note").tap()
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    expect(page.get_by_label("Note", exact=True)).to_have_value("")  # kept: the next may be typed
    page.get_by_label("Picture").set_input_files(files=[{"name": "yard.png", "mimeType": "image/png", "buffer": PNG}])
    page.get_by_label("What it shows, or a note").fill("Oak root")
    page.get_by_role("button", name="Send the picture").tap()
    expect(page.locator("#unsent")).to_have_text("2 not sent yet")
    for path in ("plan", "layout", "orders"):  # never opened before
        page.goto(f"{line.address}/field/{job_id}/{path}")
        expect(page.locator("#as-of")).to_contain_text("As of")
    page.evaluate(OLDER, 13)
    page.goto(f"{line.address}/field/{job_id}")
    expect(page.get_by_text("Layout sheet")).to_be_visible()
    page.evaluate(OLDER, 15)
    page.goto(f"{line.address}/field/{job_id}")
    expect(page.locator("#as-of")).to_contain_text("not kept on this device")
    page.wait_for_function("caches.open('outlay-taken').then((held) => held.keys()).then((all) => all.length === 0)")
    line.down = False
    page.goto(f"{line.address}/field")
    saved_by_now(page, lambda: bool(job_of(data, job_id).photos))
    expect(page.locator("html[data-unsent]")).to_have_count(0)
    job = job_of(data, job_id)
    assert job.head.private_note.count("Root of the oak in the way") == 1
    assert [photo.caption for photo in job.photos if photo.when == "during"] == ["Oak root"]


def test_hours_tapped_without_a_network_go_in_once_when_it_is_back(place, line, context) -> None:
    data, job_id, _address = place
    page = context.new_page()
    page.goto(f"{line.address}/field")
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    page.get_by_role("button", name="Take with you").tap()
    expect(page.get_by_role("status").filter(has_text="Taken along")).to_be_visible()
    line.down = True
    page.goto(f"{line.address}/field/{job_id}/log")
    expect(page.locator("#as-of")).to_contain_text("As of")
    page.get_by_label("Name", exact=True).fill("Ada Flint")
    task = page.locator(".log-tasks details[open] label.task").first
    for count, hours in enumerate(("4 hours", "½ hours"), start=1):
        task.tap()  # one
        page.get_by_role("button", name=hours, exact=True).tap()  # two
        expect(page.locator("#unsent")).to_have_text(f"{count} not sent yet")
        page.get_by_label("Name", exact=True).fill("Bo Reyes")
    page.goto(f"{line.address}/field/{job_id}/day")
    page.get_by_text("A receipt", exact=True).tap()
    page.get_by_label("Amount paid, with tax").fill("86.40")
    page.get_by_label("Picture of it").set_input_files(
        files=[{"name": "slip.png", "mimeType": "image/png", "buffer": PNG}]
    )
    page.locator("details[open] button").tap()
    expect(page.locator("#unsent")).to_have_text("3 not sent yet")
    page.goto(f"{line.address}/unsent")
    for words in ("4 hours", "Ada Flint", "86.40"):
        expect(page.locator("main")).to_contain_text(words)
    line.down = False
    page.goto(f"{line.address}/field")
    saved_by_now(page, lambda: bool(job_of(data, job_id).logged_receipts))
    expect(page.locator("html[data-unsent]")).to_have_count(0)
    found = sorted((one.person, one.quarters) for one in job_of(data, job_id).logged_hours)
    assert found == [("Ada Flint", 16), ("Bo Reyes", 2)]
    [receipt] = job_of(data, job_id).logged_receipts
    assert receipt.cents == 8640
    assert receipt.photo_id in {photo.id for photo in job_of(data, job_id).photos}
    page.goto(f"{line.address}/field/{job_id}/log")
    short = [one for one in page.locator(".hours-bar button, .task, .chip").all() if one.is_visible()]
    assert all(one.bounding_box()["height"] >= 56 for one in short), "made for gloves"


def test_pages_are_dropped_when_the_device_shows_the_client(place, line, context) -> None:
    _data, job_id, _address = place
    page = context.new_page()
    page.goto(f"{line.address}/jobs/{job_id}/client")
    kept_by_the_worker(page)
    page.locator("form[action$='/face'] button").first.tap()
    expect(page).to_have_url(re.compile("/show/"))
    for _ in range(50):
        names = page.evaluate("() => caches.keys()")
        if set(names) <= {"outlay-built"}:
            break
        page.wait_for_timeout(100)
    assert set(names) <= {"outlay-built"}
    line.down = True
    page.goto(f"{line.address}/jobs/{job_id}/client")
    assert "570" not in page.content()
    assert "not kept" in page.content()


TOUCHES_WHEN_IT_COMES = """window.addEventListener('htmx:beforeSwap', () => {
  document.dispatchEvent(new PointerEvent('pointerdown'));
  document.documentElement.dataset.came = "yes";
}, { capture: true, once: true })"""


def test_what_others_change_appears_by_itself_and_never_in_a_form_somebody_is_typing_in(place, line, context) -> None:
    _data, job_id, address = place
    page, other = context.new_page(), context.new_page()
    page.goto(f"{line.address}/jobs/{job_id}/client")
    page.get_by_label("In their words").fill("half a wish")
    page.get_by_role("heading").first.tap()
    other.goto(f"{address}/jobs/{job_id}/client")
    with other.expect_response(lambda answer: answer.request.method == "POST"):
        other.get_by_label("What the job is called").fill("Yard behind the mill")
        other.get_by_label("Phone").focus()
    was = page.get_by_label("What the job is called").input_value()
    page.evaluate(TOUCHES_WHEN_IT_COMES)
    page.bring_to_front()
    expect(page.locator("html[data-came]")).to_be_attached()
    page.wait_for_timeout(200)
    assert page.get_by_label("What the job is called").input_value() == was, "not from under a finger"
    page.evaluate("document.dispatchEvent(new PointerEvent('pointerup'))")
    expect(page.get_by_label("What the job is called")).to_have_value("Yard behind the mill")
    expect(page.get_by_label("In their words")).to_have_value("half a wish")


def test_form_somebody_typed_into_keeps_the_version_it_was_read_at(place, line, context) -> None:
    data, job_id, address = place
    page, other = context.new_page(), context.new_page()
    page.goto(f"{line.address}/jobs/{job_id}/client")
    page.evaluate("() => { const note = document.querySelector('[name=private_note]'); note.value = 'mine'; }")
    version = page.locator("form:has([name=private_note]) input[name=version]").first.input_value()
    other.goto(f"{address}/jobs/{job_id}/client")
    with other.expect_response(lambda answer: answer.request.method == "POST"):
        other.get_by_label("Phone").fill("570 901")
        other.get_by_label("Email").focus()
    page.bring_to_front()
    expect(page.get_by_label("Phone")).to_have_value("570 901")
    expect(page.locator("[name=private_note]").first).to_have_value("mine")
    assert page.locator("form:has([name=private_note]) input[name=version]").first.input_value() == version
    assert job_of(data, job_id).client.private_note != "mine"


PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c4944415408d763f8cfc000000301010018dd8db0"
    "0000000049454e44ae426082"
)
# each page that was taken along, as if it had been so many hours ago
OLDER = """async (hours) => {
  const cache = await caches.open('outlay-taken');
  for (const one of await cache.keys()) {
    const found = await cache.match(one);
    const headers = new Headers(found.headers);
    headers.set('x-outlay-kept-at', new Date(Date.now() - hours * 3600e3).toISOString());
    await cache.put(one, new Response(await found.blob(), { headers }));
  }
}"""
