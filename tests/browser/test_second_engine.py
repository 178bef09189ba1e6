"""A short main job in another engine than Chromium's: Firefox, on an empty folder."""

from pathlib import Path

import pytest

from tests.browser.firefox import FIREFOX, firefox
from tests.served import Server

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(not FIREFOX, reason="Firefox is not on this machine: the second engine is not tested"),
]
TEXT = "selector => document.querySelector(selector)?.innerText ?? ''"


def test_caller_range_zone_and_refusal_in_firefox(empty_server: Server, tmp_path: Path) -> None:
    with firefox(tmp_path) as page:
        page.open(empty_server.address + "/")
        page.type("Name of the firm", "Brackenfold Yards")
        page.type("Owner", "Maren Oduya")
        page.press("Begin")
        page.wait("() => location.pathname === '/' && !!document.querySelector('#new')")

        page.type("Name", "Teodor Asante")
        page.type("Street", "5 Mill Race")
        page.press("Begin this job")
        page.wait("() => location.pathname.endsWith('/client') && document.readyState === 'complete'")
        page.tap("() => document.querySelector('#f-dining-medium').closest('label')")
        page.wait("() => /\\$\\d+k to \\$\\d+k/.test(document.querySelector('.wish.together')?.innerText ?? '')")

        page.tap("() => [...document.querySelectorAll('ol.index a')].find(one => one.innerText.includes('Plan'))")
        page.wait("() => location.pathname.endsWith('/plan') && document.readyState === 'complete'")
        page.type("What the zone is called", "Terrace")
        page.look("() => { document.querySelector('#f-newassembly').value = 'unit-pavers'; return true }")
        page.type("Width", "12-6 q")
        page.type("Depth", "3.81 m")
        page.press("Add the zone")
        page.wait("() => !!document.querySelector('#margin-part [aria-invalid=true]')")
        assert page.look("() => document.querySelector('#margin-part [aria-invalid=true]').value") == "12-6 q"
        page.type("Width", "12-6")
        page.press("Add the zone")
        # 12.5 × 12.5 ft = 156.25 sq ft
        page.wait("() => document.querySelector('#margin-part dl.rows dd')?.innerText === '156 sq ft'")
        assert "$" in page.look(TEXT, "#bar")

        page.tap("() => document.querySelector('#undo button')")
        page.wait("() => !document.body.innerText.includes('156 sq ft')")
        assert [one for one in page.said if "422" not in one] == []


def test_every_sheet_of_the_demo_stands_in_firefox(demo_server: Server, tmp_path: Path) -> None:
    """Nothing on the console, nothing wider than the screen, our own type loaded."""
    with firefox(tmp_path) as page:
        page.open(demo_server.address + "/")
        page.tap(
            "() => [...document.querySelectorAll('a[href^=\"/jobs/\"]')].find(one => one.innerText.includes('Whitlock'))"
        )
        page.wait("() => location.pathname.endsWith('/client') && document.readyState === 'complete'")
        sheets = page.look("() => [...document.querySelectorAll('ol.index a')].map(one => one.href)")
        assert len(sheets) > 8
        for sheet in sheets:
            page.open(sheet)
            assert page.look("() => document.documentElement.scrollWidth <= innerWidth"), sheet
            assert page.look("async () => { await document.fonts.ready; return document.fonts.size > 0 }"), sheet
        assert page.said == []
