"""The change orders' page (`/jobs/…/change-orders`), the table, Build: prepared, offered, signed, declined, as sent."""

import re
from uuid import UUID

import pytest

from app.documents.pdf import pdf_available
from app.services import revisions
from app.services.office import Office
from app.services.sheets import sheet
from app.services.unsigned_work import RULE
from tests.offering import consents, offer, sign
from tests.services.test_change_orders import SIGNERS, agreed, larger_kitchen  # noqa: F401 - the fixture
from tests.web.conftest import Browser
from tests.web.yard import text_of

pytestmark = pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
TYPED = {"reason": "client", "words": "Room for the long table", "half_days": "1 1/2", "days_words": "More to lay", "pay": "rest", "holds_days": "10"}  # fmt: skip


@pytest.fixture
def web(stocked: Office, agreed: UUID) -> Browser:  # noqa: F811
    return Browser(stocked)


def test_before_a_signature_the_page_says_what_to_do(stocked: Office, ready: UUID) -> None:
    browser = Browser(stocked)
    page = text_of(browser.get(f"/jobs/{ready}/change-orders").text)
    assert "Nothing is signed yet" in page
    refused = browser.post(f"/jobs/{ready}/proposal/change-order/offer", htmx=True)
    assert refused.status_code == 422
    assert "A change order changes a signed proposal" in text_of(refused.text)
    offer(stocked, ready)


def test_prepared_offered_shown_signed(web: Browser, stocked: Office, agreed: UUID) -> None:  # noqa: F811
    at = f"/jobs/{agreed}/change-orders"
    assert f'href="{at}"' in web.get(f"/jobs/{agreed}/proposal").text
    assert f'href="{at}"' in web.get(f"/jobs/{agreed}/build").text
    assert "the plan is as it was signed" in text_of(web.get(at).text)
    larger_kitchen(stocked, agreed)
    assert "Not signed for" in text_of(web.get(f"/jobs/{agreed}/build").text)
    made = web.post(f"{at}/change_draft/new", TYPED, htmx=True)
    assert made.status_code == 200
    page = web.get(at).text
    assert "Room for the long table" in page
    assert 'value="1.5"' in page
    assert "120 sq ft before, 160 sq ft now" in text_of(page)
    assert "Terrace" not in re.search(r'<section id="difference">.*?</section>', page, re.DOTALL)[0]
    assert "Change order 1" in web.get(f"{at}/draft").text
    offered = web.post(f"/jobs/{agreed}/proposal/change-order/offer", htmx=True)
    assert offered.status_code == 200
    one = revisions.of_job(stocked, agreed)[0]
    assert (one.kind, one.number, one.state) == ("change order", 1, "offered")
    table = text_of(web.get(f"/show/{agreed}/sign/{one.id}").text)
    for said in ("New contract sum", "Kitchen", "Working days added: 1.5", "We do not agree to this change"):
        assert said in table
    consents(web, agreed, one)
    consents(web, agreed, one)
    for name in SIGNERS:
        sent = {"name": name, "place": "office", "agree": "1", "strokes": "[[[10,10],[50,40],[80,12]]]"}
        assert web.post(f"/show/{agreed}/sign/{one.id}", sent).status_code in (200, 303)
    assert revisions.read(stocked, one.id).state == "signed"
    build = text_of(web.get(f"/jobs/{agreed}/build").text)
    assert "From signed change order 1" in build
    assert "Not signed for" not in build
    page = text_of(web.get(at).text)
    assert "the plan is as it was signed" in page
    assert "signed by Joss Whitlock" in page


def test_declined_at_the_table_and_by_us(web: Browser, stocked: Office, agreed: UUID) -> None:  # noqa: F811
    larger_kitchen(stocked, agreed)
    at = f"/jobs/{agreed}/change-orders"
    web.post(f"/jobs/{agreed}/proposal/change-order/offer", htmx=True)
    one = revisions.of_job(stocked, agreed)[0]
    web.post(f"/show/{agreed}/decline/{one.id}", {"why": "Not this year"})
    assert "declined on" in text_of(web.get(f"/show/{agreed}/sign/{one.id}").text)
    assert "Not this year" in web.get(at).text
    again = web.post(f"/show/{agreed}/decline/{one.id}", {"why": "x"})
    assert again.status_code == 422
    web.post(f"/jobs/{agreed}/proposal/change-order/offer", htmx=True)
    two = revisions.of_job(stocked, agreed)[0]
    said = web.post(f"/jobs/{agreed}/proposal/revisions/{two.id}/decline", {"why": "Too dear"}, htmx=True)
    assert said.status_code == 200
    assert "Too dear" in said.text
    proposal = next(one for one in revisions.of_job(stocked, agreed) if one.kind == "proposal")
    wrong = web.post(f"/jobs/{agreed}/proposal/revisions/{proposal.id}/decline", {"why": "no"}, htmx=True)
    assert wrong.status_code == 422


def test_bad_input_is_said_beside_its_field_and_kept(web: Browser, stocked: Office, agreed: UUID) -> None:  # noqa: F811
    at = f"/jobs/{agreed}/change-orders"
    wrong = web.post(f"{at}/change_draft/new", {**TYPED, "half_days": "a week"}, htmx=True)
    assert wrong.status_code == 422
    assert "“a week” is no number of days" in text_of(wrong.text)
    assert 'value="a week"' in wrong.text
    found = web.post(f"{at}/found_condition/new", {"title": "Rock", "quantity": "lots", "zone": "job"}, htmx=True)
    assert found.status_code == 422
    assert "“lots” is no quantity" in text_of(found.text)
    nobody = web.post(f"{at}/found_condition/new", {"title": "Rock", "quantity": "2", "zone": "nowhere", "agreed": "nothing"}, htmx=True)  # fmt: skip
    assert nobody.status_code == 200
    assert "Without a price so far: Rock" in text_of(nobody.text)
    assert sheet(stocked, agreed).job.found_conditions[0].zone == "nowhere"


def test_work_started_unsigned_wants_a_name_and_a_reason(web: Browser, stocked: Office, agreed: UUID) -> None:  # noqa: F811
    larger_kitchen(stocked, agreed)
    [stop] = [one for one in sheet(stocked, agreed).readiness.stops if one.rule == RULE]
    at = f"/jobs/{agreed}/change-orders"
    nameless = web.post(f"{at}/start", {"finding": stop.key, "by": "", "reason": "Machine is here"}, htmx=True)
    assert nameless.status_code == 422
    assert "Your name is missing" in text_of(nameless.text)
    started = web.post(
        f"{at}/start", {"finding": stop.key, "by": "Maren Oduya", "reason": "Machine is here"}, htmx=True
    )
    assert started.status_code == 200
    assert "Started unsigned: Maren Oduya" in text_of(web.get(f"/jobs/{agreed}/build").text)
    assert sign is not None
