"""This job beside past ones, as a page: signed jobs are read by themselves, too few are said to be too few."""

from html import unescape
from uuid import UUID

import pytest

from app.documents.pdf import pdf_available
from app.services.checks import Going, settle
from app.services.office import Office
from app.services.past_jobs import past_view
from app.services.sheets import sheet
from tests.offering import offer, sign
from tests.stocked import begun_job, order
from tests.web.conftest import Browser
from tests.web.test_estimate_sheet import DOOR, measure_site, office, tape, yard  # noqa: F401
from tests.web.yard import text_of

pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")


def signed_job(office: Office) -> UUID:  # noqa: F811
    """Another job like ours, offered and signed."""
    job_id = begun_job(office)
    measure_site(office, job_id)
    tape(office, job_id)
    for finding in sheet(office, job_id).readiness.signing_stops:
        settle(office, job_id, finding.key, Going(by="Maren Oduya", reason="Tried in a test"), order())
    revision = offer(office, job_id)
    for signer in revision.signers:
        sign(office, job_id, revision.id, signer.name)
    return job_id


def test_without_signed_jobs_every_kind_says_there_are_too_few(web: Browser, yard: UUID) -> None:  # noqa: F811
    page = web.get(f"/jobs/{yard}/past").text
    assert "hx-trigger" not in page.split('id="past"')[1].split(">")[0]
    assert "too few jobs to say" in text_of(page)
    assert "<svg class=" not in page


def test_signed_jobs_are_read_by_themselves(web: Browser, office: Office, yard: UUID) -> None:  # noqa: F811
    for _ in range(3):
        signed_job(office)
    page = web.get(f"/jobs/{yard}/past").text
    assert f'hx-get="/jobs/{yard}/past/read" hx-trigger="load"' in page
    assert "3 signed jobs are being read" in text_of(page)
    part = web.part(f"/jobs/{yard}/past/read").text
    assert '<svg class="chart"' in part
    assert "too few jobs to say" not in text_of(part)
    view = sheet(office, yard)
    rows = past_view(office, view).rows
    assert all(len(one.past) == 3 and one.stands == "within" for one in rows)
    doors = {unescape(one) for one in DOOR.findall(part)}
    assert [one for one in doors if web.get(one, headers={"hx-request": "true"}).status_code != 200] == []
    assert web.get(f"/jobs/{yard}/why/past:zone:moon").status_code == 404
    answer = web.get(f"/jobs/{yard}/past/read", follow_redirects=False)
    assert answer.headers["location"] == f"/jobs/{yard}/past"
