"""A short main job in another engine than Chromium's: Firefox, on an empty folder."""

from pathlib import Path

import pytest

from app.domain.plan.arcs import Arc
from app.domain.plan.outline import segments
from tests.browser.drawing_hand import begun, job_in
from tests.browser.firefox import FIREFOX, firefox
from tests.served import Server, serving

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(not FIREFOX, reason="Firefox is not on this machine: the second engine is not tested"),
]
PLACE = """(x, y) => {
  const at = document.querySelector('.overlay [data-matrix]').getCTM();
  const box = document.querySelector('#canvas [data-view]').getBoundingClientRect();
  return [at.a * Number(x) + at.e + box.left, at.d * Number(y) + at.f + box.top];
}"""
RESTS = (
    "() => !!document.querySelector('#canvas[data-ready][data-resting]') && !document.querySelector('.htmx-request')"
)
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
        page.wait("() => /more than \\$\\d+k/.test(document.querySelector('.wish.together')?.innerText ?? '')")

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


def test_zone_is_drawn_bent_moved_and_undone_in_firefox(tmp_path: Path) -> None:
    """The drawing in hand: points, an arc grabbed by its middle, a corner dragged, each kept exactly."""
    data = tmp_path / "data"
    job_id = begun(data, Terrace="POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0))")
    with serving(data) as server, firefox(tmp_path) as page:
        page.open(f"{server.address}/jobs/{job_id}/plan")
        page.press("View")
        for _ in range(2):
            page.tap("() => document.querySelector('[data-does=further]')")
        page.press("View")
        page.wait(RESTS)
        page.press("Draw")
        page.press("Zone")

        def px(x: float, y: float) -> tuple[float, float]:
            left, top = page.look(PLACE, str(x), str(y))
            return left, top

        for at in ((0, -2), (0, -7), (12, -7), (12, -2)):
            page.point(*px(*at))
        page.drag(px(6, -7), px(6, -5.4), px(6, -4.1))  # the middle of its second stretch: a bay inward of 3 ft
        page.press("Close it")
        page.wait("() => document.querySelector('#margin-part h2')?.innerText.includes('New dining zone')")
        page.wait(RESTS)
        drawn = job_in(data, job_id)
        outline = drawn.chosen(drawn.zones[-1]).outline
        (arc,) = (piece for piece in segments(outline) if isinstance(piece, Arc))
        assert {arc.start, arc.end} == {(0, -7), (12, -7)}
        assert arc.radius == pytest.approx(round(arc.radius), abs=1e-6)  # by the step of a foot
        page.tap("() => document.querySelector('#undo button')")
        page.wait("() => !document.body.innerText.includes('New dining zone')")
        assert len(job_in(data, job_id).zones) == 1
        assert page.said == []
