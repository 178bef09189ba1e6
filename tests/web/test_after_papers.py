"""What follows the hand-over, as the office uses it: care, as built, release, warranty, show sheet; and Home and the feed."""

import asyncio
from datetime import timedelta
from io import BytesIO
from uuid import UUID, uuid4

import pypdf
import pytest

from app.db.files import FileStore
from app.documents.pdf import pdf_available
from app.domain.job import HandedOver, Photo, Run, RunKind
from app.services import calendar_feed, handing_over, invoicing, receiving, warranty
from app.services.billed import job_money
from app.services.jobs import made, open_job, save
from app.services.office import Office
from app.services.sheets import sheet
from tests.every_change.stock import PICTURE
from tests.offering import order
from tests.web.conftest import Browser

TOLD = {"what": "A paver rocks", "zone": "job", "assembly": "unit-pavers", "cause": "ours", "covered": "1"}


@pytest.fixture
def over(stocked: Office, ready: UUID) -> UUID:
    """A yard that went over to the client 25 days ago."""
    day = sheet(stocked, ready).today - timedelta(days=25)
    save(stocked, ready, (made("handed_over", HandedOver(id=uuid4(), day=day)),), order())
    return ready


@pytest.fixture
def here(stocked: Office, ready: UUID):
    opened = Browser(stocked)
    with opened.client:
        yield opened


def text_of(here: Browser, path: str) -> str:
    answer = here.get(path)
    assert answer.status_code == 200, answer.text
    return " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(answer.content)).pages)


def called(here: Browser, job_id: UUID, office: Office, **more: str):
    day = str(sheet(office, job_id).today)
    return here.post(f"/jobs/{job_id}/after/warranty/photo", {**TOLD, "day": day, **more}, htmx=True)


@pytest.mark.printed
def test_care_stands_on_the_page_and_on_the_clients_paper(here: Browser, ready: UUID) -> None:
    page = here.get(f"/jobs/{ready}/after/care").text
    assert "Sweep joint fill back in" in page
    if pdf_available():
        paper = text_of(here, f"/jobs/{ready}/after/care.pdf")
        assert "Care of your yard" in paper
        assert "Ice melt" in paper
        assert "$" not in paper


@pytest.mark.printed
def test_depth_and_batch_are_written_down_and_stand_on_the_as_built_sheet(
    here: Browser, stocked: Office, ready: UUID
) -> None:
    gas = Run(id=uuid4(), title="Gas to the grill", kind=RunKind.GAS, points=((0.0, 0.0), (0.0, 30.0)))
    save(stocked, ready, (made("run", gas),), order())
    day = str(sheet(stocked, ready).today)
    told = {"thing": str(gas.id), "day": day, "depth": "18 in", "words": "Beside the wall"}
    address = f"/jobs/{ready}/after/as-built/photo"
    assert here.post(address, told, htmx=True).status_code == 200
    (note,) = open_job(stocked, ready).job.built_notes
    assert (note.depth, note.words) == (1.5, "Beside the wall")
    page = here.get(f"/jobs/{ready}/after/as-built").text
    assert "Gas to the grill" in page
    assert "1&#39;-6&#34;" in page
    for wrong in (
        {**told, "thing": "nothing"},
        {"thing": str(gas.id), "day": day},
        {**told, "depth": "deep"},
        {**told, "batch": "K-7"},
    ):
        assert here.post(address, wrong, htmx=True).status_code == 422, wrong
    if pdf_available():
        assert "Gas to the grill" in text_of(here, f"/jobs/{ready}/after/as-built.pdf")
    here.post(f"/jobs/{ready}/after/as-built/{note.id}/remove", {}, htmx=True)
    assert open_job(stocked, ready).job.built_notes == ()


def test_call_is_taken_after_hand_over_only_and_its_cost_is_explained(
    here: Browser, stocked: Office, ready: UUID
) -> None:
    assert "goes on the punch list" in called(here, ready, stocked).text
    day = sheet(stocked, ready).today
    save(stocked, ready, (made("handed_over", HandedOver(id=uuid4(), day=day)),), order())
    assert called(here, ready, stocked).status_code == 200
    for wrong in ({"what": ""}, {"assembly": "nothing"}, {"zone": "nowhere"}, {"day": "2020-01-01"}):
        assert called(here, ready, stocked, **wrong).status_code == 422, wrong
    (call,) = open_job(stocked, ready).job.warranty_calls
    took = {"quarters": "2.5", "cents": "30", "done_on": str(day), "covered": "1", "version": "1"}
    assert here.post(f"/jobs/{ready}/after/warranty/call/{call.id}", took, htmx=True).status_code == 200
    held = warranty.warranty(stocked, sheet(stocked, ready))
    (cost,) = held.costs
    assert cost.call.hours == 2.5
    assert held.reserve.spent_cents == cost.cents >= 30_00
    for figure in ("spent", "left", f"call:{call.id}"):
        assert here.get(f"/jobs/{ready}/why/warranty:{figure}").status_code == 200, figure
    assert here.get(f"/jobs/{ready}/why/warranty:call:{uuid4()}").status_code == 404
    here.post(f"/jobs/{ready}/after/warranty/call/{call.id}/remove", {}, htmx=True)
    assert open_job(stocked, ready).job.warranty_calls == ()


def test_visit_due_stands_on_home_and_in_the_feed_until_it_was_made(here: Browser, stocked: Office, over: UUID) -> None:
    assert "Visit 30 days after hand-over" in here.get("/").text
    (due,) = warranty.due(stocked)
    assert (due.after_days, due.late) == (30, False)
    told = asyncio.run(calendar_feed.feed(stocked)).content.decode()
    assert "visit 30 days after hand-over" in told
    assert "Whitlock" not in told
    today = str(sheet(stocked, over).today)
    made_on = {"day": today, "done_on": today, "words": "All good"}
    assert here.post(f"/jobs/{over}/after/warranty/visit/30", made_on, htmx=True).status_code == 200
    assert warranty.due(stocked) == ()
    assert "visit 30 days" not in asyncio.run(calendar_feed.feed(stocked)).content.decode()
    far = {"day": "2031-01-01"}
    assert here.post(f"/jobs/{over}/after/warranty/visit/30", far, htmx=True).status_code == 422
    assert here.post(f"/jobs/{over}/after/warranty/visit/31", {"day": today}, htmx=True).status_code == 404


@pytest.mark.printed
def test_show_sheet_wants_a_permission_and_is_gone_when_it_is_withdrawn(
    here: Browser, stocked: Office, over: UUID
) -> None:
    file = FileStore(stocked.settings.files).keep(PICTURE)
    before, after = (Photo(id=uuid4(), file=file, when=when, caption=when) for when in ("before", "after"))
    save(stocked, over, (made("photo", before), made("photo", after)), order())
    sheet_address, page = f"/jobs/{over}/after/shown.pdf", f"/jobs/{over}/after/shown"
    assert here.get(sheet_address).status_code == 409
    told = {
        "given_by": "Linnea Whitlock",
        "day": str(sheet(stocked, over).today),
        "words": "A brick terrace",
        "photo_ids": [str(before.id), str(after.id)],
        "photo_ids.sent": "1",
    }
    for wrong in ({"words": "The Whitlock terrace"}, {"given_by": ""}, {"with_price": "1"}):
        assert here.post(page, {**told, **wrong}, htmx=True).status_code == 422, wrong
    assert here.post(page, told, htmx=True).status_code == 200
    if pdf_available():
        paper = text_of(here, sheet_address)
        assert "A brick terrace" in paper
        assert "Whitlock" not in paper
        assert "Quarry Bend" not in paper
    (one,) = open_job(stocked, over).job.show_permissions
    assert here.post(f"{page}/{one.id}/back", {"why": ""}, htmx=True).status_code == 422
    assert here.post(f"{page}/{one.id}/back", {"why": "Linnea, by phone"}, htmx=True).status_code == 200
    assert here.get(sheet_address).status_code == 409
    assert "Linnea, by phone" in here.get(page).text


@pytest.mark.printed
@pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
def test_release_of_lien_waits_for_the_money_and_completion_for_the_tests(
    here: Browser, stocked: Office, sold: UUID
) -> None:
    release, completion = (f"/jobs/{sold}/after/{name}.pdf" for name in ("release", "completion"))
    assert here.get(release).status_code == 409
    assert here.get(completion).status_code == 409
    view = sheet(stocked, sold)
    save(stocked, sold, (made("handed_over", HandedOver(id=uuid4(), day=view.today)),), order())
    conditional = text_of(here, release)
    assert "on condition of payment" in conditional
    assert "Not legal advice" in conditional
    for row in job_money(stocked, sheet(stocked, sold)).milestones:
        receiving.reach(stocked, sheet(stocked, sold), row.milestone.key, view.today, (), order())
    asked = invoicing.as_asked(job_money(stocked, sheet(stocked, sold)), sheet(stocked, sold))
    issued = asyncio.run(invoicing.issue(stocked, sheet(stocked, sold), asked, order()))
    paid = {"cents": issued.price_cents, "day": view.today, "how": "check", "invoice": issued.id}
    receiving.receive(stocked, sheet(stocked, sold), paid, order())
    assert "paid in full" in text_of(here, release)
    assert {one.what for one in handing_over.after(stocked, sheet(stocked, sold)).open} == {"tests"}
    told = {"client": "Linnea Whitlock"}
    assert here.post(f"/jobs/{sold}/after/hand-over/photo", told, htmx=True).status_code == 200
    assert open_job(stocked, sold).job.handed_over[0].client == "Linnea Whitlock"
