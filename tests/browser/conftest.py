"""Chromium from the machine, at the sizes the work is done at, against a real server."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from tests.browser.hand import WAIT_MS
from tests.served import Server, serving

PROGRAMS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")  # the first draws no windows
CHROMIUM = next((found for found in map(shutil.which, PROGRAMS) if found), None)
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SIZES = {"laptop": (1180, 820), "tablet": (768, 1024), "phone": (390, 844)}


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """All tests of this folder drive a browser: its event loop stays in the process, where others could begin none."""
    for item in items:
        if item.path.parent == Path(__file__).parent:
            item.add_marker("browser")


@pytest.fixture(scope="session", autouse=True)
def _patience() -> None:
    expect.set_options(timeout=WAIT_MS)


@pytest.fixture(scope="session")
def playwright_here() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(playwright_here: Playwright) -> Iterator[Browser]:
    assert CHROMIUM, "Chromium is missing: apt-get install chromium"
    browser = playwright_here.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def demo_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with serving(tmp_path_factory.mktemp("demo") / "data", demo=True) as server:
        yield server


@pytest.fixture
def empty_server(tmp_path: Path) -> Iterator[Server]:
    with serving(tmp_path / "data") as server:
        yield server


def touch_context(browser: Browser, size: str) -> BrowserContext:
    """A touch screen of a named size; a console error or a policy violation fails the test."""
    width, height = SIZES[size]
    size = {"width": width, "height": height}
    context = browser.new_context(viewport=size, has_touch=True, service_workers="block")
    context.set_default_timeout(WAIT_MS)
    return context


@pytest.fixture
def tablet(chromium: Browser) -> Iterator[Page]:
    context = touch_context(chromium, "laptop")
    page = context.new_page()
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    yield page
    context.close()
    assert [c for c in complaints if "422" not in c and "409" not in c] == []
