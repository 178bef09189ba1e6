"""The network drops, the browser is closed, two tabs are open: what was typed stays on the device and goes in once."""

import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from uuid import UUID

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, expect

from app.services.jobs import open_job
from bars.saving import opened, prepared
from tests.browser.conftest import CHROMIUM, QUIET, touch_context
from tests.cutting import Line, line_to
from tests.served import serving

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, UUID, str]]:
    data = tmp_path_factory.mktemp("away") / "data"
    job_id = prepared(data)
    with serving(data) as server:
        yield data, job_id, server.address


@pytest.fixture
def line(place) -> Iterator[Line]:
    with line_to(place[2]) as opened_line:
        yield opened_line


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    made = touch_context(chromium, "laptop")
    yield made
    made.close()


def client_sheet(context: BrowserContext, line: Line, job_id: UUID) -> Page:
    page = context.new_page()
    page.goto(f"{line.address}/jobs/{job_id}/client")
    return page


def kept(page: Page) -> list[dict]:
    return page.evaluate(
        """() => new Promise((done) => { indexedDB.open('outlay').onsuccess = ({ target }) => {
        const asked = target.result.transaction('changes').objectStore('changes').getAll();
        asked.onsuccess = () => done(asked.result.map(({ id, follows, path, state, at }) => ({ id, follows, path, state, at }))); }; })"""
    )


def type_phone(page: Page, number: str) -> None:
    page.get_by_label("Phone").fill(number)
    page.get_by_label("Email").focus()


def ask_for(page: Page, words: str) -> None:
    page.get_by_label("In their words").fill(words)
    page.get_by_role("button", name="Must have", exact=True).click()


def job_of(data: Path, job_id: UUID):
    office = opened(data)
    try:
        return open_job(office, job_id).job
    finally:
        office.database.close()


def nothing_waits(page: Page) -> None:
    """Wait until nothing is kept: a page that has just opened says nothing before it has looked."""
    for _look in range(200):
        with suppress(Error):  # the page is being opened afresh
            if not kept(page):
                break
        page.wait_for_timeout(200)
    expect(page.locator("html[data-unsent]")).to_have_count(0)


def test_edit_waits_while_nothing_answers_and_goes_in_when_it_does(place, line, context) -> None:
    data, job_id, _address = place
    page = client_sheet(context, line, job_id)
    line.down = True
    type_phone(page, "570 111")
    expect(page.get_by_role("alert").first).to_contain_text("kept on this device")
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    expect(page.locator("#saved")).to_be_hidden()  # nothing is called saved that is not
    expect(page.get_by_label("Phone")).to_have_value("570 111")
    ask_for(page, "room for twelve at a table")
    expect(page.locator("#unsent")).to_have_text("2 not sent yet")
    first, second = kept(page)
    assert second["follows"] == first["id"]
    line.down = False
    nothing_waits(page)
    expect(page.locator("#unsent")).to_be_hidden()
    job = job_of(data, job_id)
    assert job.client.phone == "570 111"
    assert [need.words for need in job.needs].count("room for twelve at a table") == 1


def test_answer_that_is_lost_is_asked_about_and_nothing_is_doubled(place, line, context) -> None:
    data, job_id, _address = place
    page = client_sheet(context, line, job_id)
    line.cut = lambda method, _path: "after" if method == "POST" else ""
    ask_for(page, "a place for the dog")
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    line.cut = lambda _method, _path: ""
    nothing_waits(page)
    assert [need.words for need in job_of(data, job_id).needs].count("a place for the dog") == 1
    assert ("POST", f"/jobs/{job_id}/client/need/new", "") not in line.passed  # asked about by its id, not sent again


def test_long_chain_on_what_was_read_once_is_not_stale_against_itself(place, line, context) -> None:
    data, job_id, _address = place
    page = client_sheet(context, line, job_id)
    line.down = True
    type_phone(page, "570 201")
    page.get_by_label("What the job is called").fill("Lower yard")
    page.get_by_label("Email").focus()
    type_phone(page, "570 202")
    expect(page.locator("#unsent")).to_have_text("3 not sent yet")
    line.down = False
    nothing_waits(page)
    job = job_of(data, job_id)
    assert (job.client.phone, job.head.title) == ("570 202", "Lower yard")


@pytest.mark.parametrize("locks", ["with locks", "without locks"])
def test_two_tabs_send_each_change_once(place, line, context, locks) -> None:
    if locks == "without locks":  # as over plain HTTP
        context.add_init_script("delete Navigator.prototype.locks")
    data, job_id, _address = place
    one, two = client_sheet(context, line, job_id), client_sheet(context, line, job_id)
    line.down = True
    for number in range(3):
        ask_for(one, f"one {number} {locks}")
        expect(one.locator("#unsent")).to_have_text(f"{2 * number + 1} not sent yet")
        ask_for(two, f"two {number} {locks}")
        expect(two.locator("#unsent")).to_have_text(f"{2 * number + 2} not sent yet")
    line.down = False
    nothing_waits(one)
    nothing_waits(two)
    words = [need.words for need in job_of(data, job_id).needs]
    assert [words.count(f"{tab} {number} {locks}") for tab in ("one", "two") for number in range(3)] == [1] * 6
    sent = [path for method, path, how in line.passed if method == "POST" and not how]
    assert len(sent) == 6


def test_what_waits_survives_the_browser_and_goes_in_when_it_is_opened_again(
    place, line, playwright_here: Playwright, tmp_path: Path
) -> None:
    data, job_id, _address = place
    chromium = playwright_here.chromium

    def browser() -> BrowserContext:
        return chromium.launch_persistent_context(tmp_path / "profile", executable_path=CHROMIUM, args=list(QUIET))

    away = browser()
    page = client_sheet(away, line, job_id)
    line.down = True
    type_phone(page, "570 300")
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    away.close()
    line.down = False
    back = browser()
    page = back.new_page()
    page.goto(line.address + "/firm")  # whatever page is opened first
    nothing_waits(page)
    back.close()
    assert job_of(data, job_id).client.phone == "570 300"


def test_edit_that_somebody_was_ahead_of_shows_both_values_and_asks(place, line, context) -> None:
    data, job_id, address = place
    page = client_sheet(context, line, job_id)
    line.down = True
    type_phone(page, "570 402")
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    theirs(data, job_id, address, chromium_page=context.new_page())
    line.down = False
    expect(page.locator("#unsent")).to_have_text("1 not taken: look at it")
    page.locator("#unsent").click()
    asked = page.get_by_role("dialog")
    expect(asked).to_contain_text("theirs 570 401, yours 570 402")
    asked.get_by_role("button", name="Send mine").click()
    nothing_waits(page)
    assert job_of(data, job_id).client.phone == "570 402"


def theirs(data: Path, job_id: UUID, address: str, *, chromium_page: Page) -> None:
    """Somebody else at the office itself types another number."""
    chromium_page.goto(f"{address}/jobs/{job_id}/client")
    with chromium_page.expect_response(lambda answer: answer.request.method == "POST"):
        type_phone(chromium_page, "570 401")
    chromium_page.close()


def test_what_is_not_sent_is_read_as_text_and_saved_as_a_file_without_a_network(place, line, context) -> None:
    _data, job_id, _address = place
    page = client_sheet(context, line, job_id)
    line.down = True
    type_phone(page, "570 500")
    page.locator("#unsent").click()
    shown = page.get_by_role("dialog")
    expect(shown).to_contain_text("Phone")
    expect(shown).to_contain_text("570 500")
    with page.expect_download() as got:
        shown.get_by_role("button", name="Save as a file").click()
    text = got.value.path().read_text()
    assert "Phone: 570 500" in text
    assert re.fullmatch(r"not-sent-\d{4}-\d\d-\d\d\.txt", got.value.suggested_filename)
    line.down = False
    shown.get_by_role("button", name="Send now").click()
    nothing_waits(page)
    expect(shown).to_contain_text("Everything typed on this device was sent")


def test_what_waits_for_a_day_warns(place, line, context) -> None:
    _data, job_id, _address = place
    page = client_sheet(context, line, job_id)
    line.down = True
    type_phone(page, "570 600")
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    page.evaluate(
        """() => new Promise((done) => { indexedDB.open('outlay').onsuccess = ({ target }) => {
        const store = target.result.transaction('changes', 'readwrite').objectStore('changes');
        store.openCursor().onsuccess = (event) => { const at = event.target.result;
          at.update({ ...at.value, at: new Date(Date.now() - 25 * 3600e3).toISOString() }).onsuccess = done; }; }; })"""
    )
    page.evaluate("document.dispatchEvent(new CustomEvent('outlay:unsent'))")
    expect(page.locator("#unsent")).to_have_text("1 not sent for a day")
    line.down = False
    page.reload()
    nothing_waits(page)


def test_edit_from_before_a_restore_is_asked_about(place, line, context) -> None:
    data, job_id, _address = place
    page = client_sheet(context, line, job_id)
    page.evaluate("document.querySelector('meta[name=epoch]').content = '0'")
    line.down = True
    type_phone(page, "570 700")
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    line.down = False
    expect(page.locator("#unsent")).to_have_text("1 not taken: look at it")
    page.locator("#unsent").click()
    asked = page.get_by_role("dialog")
    expect(asked).to_contain_text("A backup was put back after this was typed")
    asked.get_by_role("button", name="Leave mine out").click()
    nothing_waits(page)
    assert job_of(data, job_id).client.phone != "570 700"


def test_page_that_leads_elsewhere_waits_too_and_what_must_be_answered_at_once_says_so(place, line, context) -> None:
    _data, job_id, _address = place
    page = context.new_page()
    page.goto(line.address + "/#new")
    line.down = True
    page.get_by_label("Name", exact=True).fill("Teodor Asante")
    page.locator("form[action='/jobs'] button").last.click()
    expect(page.locator("#unsent")).to_have_text("1 not sent yet")
    expect(page.get_by_label("Name", exact=True)).to_have_value("Teodor Asante")
    line.down = False
    nothing_waits(page)
    page.goto(f"{line.address}/")
    expect(page.get_by_role("listitem").filter(has_text="Teodor Asante")).to_have_count(1)
    page.goto(f"{line.address}/jobs/{job_id}/proposal")
    line.down = True
    page.locator("form[action$='/face'] button").first.click()
    expect(page.get_by_role("alert").first).to_contain_text("cannot be turned now")
    assert kept(page) == []
