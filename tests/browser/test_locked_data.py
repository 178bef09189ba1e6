"""Another program holds the data for a while: the sentence comes soon, the text stays, and it goes in afterwards."""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from app.services.jobs import open_job
from bars.saving import opened, prepared
from tests.browser.conftest import touch_context
from tests.served import serving

pytestmark = pytest.mark.browser


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    made = touch_context(chromium, "laptop")
    yield made
    made.close()


def phone_of(data: Path, job_id) -> str:
    office = opened(data)
    try:
        return open_job(office, job_id).job.client.phone
    finally:
        office.database.close()


def test_locked_data_is_said_the_text_stays_and_is_saved_once_it_is_free(
    context: BrowserContext, tmp_path: Path
) -> None:
    data = tmp_path / "data"
    job_id = prepared(data)
    with serving(data) as server:
        page = context.new_page()
        page.goto(f"{server.address}/jobs/{job_id}/client")
        phone = page.get_by_label("Phone").first
        with closing(sqlite3.connect(data / "outlay.db", isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            phone.fill("570 555 0142")
            phone.press("Tab")
            expect(page.locator("#said")).to_contain_text("Another program is writing")
            expect(phone).to_have_value("570 555 0142")
            assert phone_of(data, job_id) == ""
        deadline = time.monotonic() + 60
        while phone_of(data, job_id) != "570 555 0142" and time.monotonic() < deadline:
            page.wait_for_timeout(500)  # what was kept on the device is sent again by itself
        assert phone_of(data, job_id) == "570 555 0142"
