"""A large picture over a line that fails: it goes in pieces, goes on where it ended, and is there once."""

import os
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect

from app.services.jobs import open_job
from app.services.pieces import PIECE
from bars.saving import opened, prepared
from tests.browser.conftest import touch_context
from tests.cutting import line_to
from tests.served import serving

pytestmark = pytest.mark.browser


def test_picture_goes_on_where_the_line_was_cut(chromium: Browser) -> None:
    with TemporaryDirectory() as folder:
        data, picture = Path(folder) / "data", Path(folder) / "gate.png"
        Image.frombytes("RGB", (900, 700), os.urandom(900 * 700 * 3)).save(picture)
        size = picture.stat().st_size
        job_id = prepared(data)
        with serving(data) as server, line_to(server.address) as line:
            sent: list[int] = []

            def cut_twice(method: str, path: str) -> str:
                if method != "POST" or not path.startswith("/pieces/"):
                    return ""
                sent.append(1)
                return {2: "before", 4: "after"}.get(len(sent), "")  # one piece never comes, one comes unheard

            line.cut = cut_twice
            context = touch_context(chromium, "laptop")
            page = context.new_page()
            page.goto(f"{line.address}/jobs/{job_id}/site")
            page.get_by_label("A picture").set_input_files(picture)
            page.get_by_role("button", name="Add the photo").click()
            expect(page.locator("img[src*='/photos/']").first).to_be_visible()
            context.close()
        pieces = -(-size // PIECE)
        assert pieces <= len(sent) <= pieces + 2  # what had come was not sent again
        office = opened(data)
        assert len(open_job(office, job_id).job.photos) == 1
        office.database.close()
