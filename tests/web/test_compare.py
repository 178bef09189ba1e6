"""Two revisions as a page: what was offered beside the draft, every figure a door, on paper for the firm's own file."""

import re
from html import unescape
from uuid import UUID

import pytest

from app.documents.pdf import pdf_available
from app.domain.units import format_money
from app.services import jobs
from app.services.checks import Going, settle
from app.services.comparing import compare_view
from app.services.explaining import explained
from app.services.jobs import changed
from app.services.office import Office
from app.services.sheets import sheet
from tests.offering import offer
from tests.stocked import order
from tests.web.conftest import Browser
from tests.web.test_estimate_sheet import DOOR, office, tape, yard  # noqa: F401
from tests.web.yard import text_of

pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


@pytest.fixture
def offered(office: Office, yard: UUID):  # noqa: F811
    """A proposal that was offered, and a draft whose first zone is built on a deeper base since."""
    tape(office, yard)
    for finding in sheet(office, yard).readiness.signing_stops:
        settle(office, yard, finding.key, Going(by="Maren Oduya", reason="Tried in a test"), order())
    revision = offer(office, yard)
    job = jobs.open_job(office, yard)
    way = job.job.chosen(job.job.zones[0])
    work = next(one for one in job.job.works if way and one.place_id == way.id)
    edit = changed("work", work.id, job.version("work", work.id), {"parameters": {"base": "9*inch"}})
    jobs.save(office, yard, (edit,), order())
    return revision


def test_before_anything_was_offered_the_page_says_so(web: Browser, yard: UUID):  # noqa: F811
    assert "Nothing was offered yet" in text_of(web.get(f"/jobs/{yard}/compare").text)


def test_offered_beside_the_draft_with_exact_sums(web: Browser, office: Office, yard: UUID, offered):  # noqa: F811
    view = sheet(office, yard)
    it = compare_view(office, view)
    assert it.comparison is not None
    assert it.comparison.after_cents == view.estimate.price_cents
    assert it.comparison.before_cents == offered.price_cents
    said = text_of(web.get(f"/jobs/{yard}/compare").text)
    assert format_money(it.comparison.by) in said
    assert "Other amounts" in said
    assert "A Dining terrace" in said


def test_any_two_may_be_chosen_and_another_is_refused(web: Browser, yard: UUID, offered):  # noqa: F811
    same = web.get(f"/jobs/{yard}/compare?before={offered.id}&after={offered.id}")
    assert "Both are the same, line by line." in text_of(same.text)
    turned = web.get(f"/jobs/{yard}/compare?before=draft&after={offered.id}")
    assert turned.status_code == 200
    none = web.get(f"/jobs/{yard}/compare?before={UUID(int=7)}&after=draft")
    assert none.status_code == 404
    assert web.get(f"/jobs/{yard}/compare?before=<nonsense>").status_code == 200


def test_every_figure_opens_to_both_sides(web: Browser, office: Office, yard: UUID, offered):  # noqa: F811
    page = web.get(f"/jobs/{yard}/compare").text
    doors = {unescape(one) for one in DOOR.findall(page)}
    assert len(doors) > 5
    assert [one for one in doors if web.get(one, headers={"hx-request": "true"}).status_code != 200] == []
    view = sheet(office, yard)
    it = compare_view(office, view)
    trace = explained(office, view, it.figure("price"))
    assert round(trace.result * 100) == it.comparison.by
    assert [round(step.result * 100) for step in trace.steps] == [it.comparison.before_cents, it.comparison.after_cents]


def test_on_paper_it_is_a_pdf(web: Browser, yard: UUID, offered):  # noqa: F811
    page = web.get(f"/jobs/{yard}/compare").text
    address = unescape(re.search(r'href="([^"]*compare\.pdf[^"]*)"', page).group(1))
    printed = web.get(address)
    assert printed.status_code == 200
    assert printed.content.startswith(b"%PDF")
