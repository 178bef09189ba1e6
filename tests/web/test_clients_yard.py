"""A finished yard on the client's device: care, what lies in the ground, visits, and what they ask; notes of the yard.

Routes: app/web/routes/show_after, app/web/routes/show, app/web/routes/field_after.
"""

import re
from datetime import timedelta
from html import unescape
from urllib.parse import parse_qs, unquote, urlsplit
from uuid import UUID, uuid4

import pytest

from app.db.files import FileStore
from app.domain.devices import Face
from app.domain.job import HandedOver, Run, RunKind, WarrantyCall
from app.domain.sharing import Over
from app.services import callbacks
from app.services.clients_yard import clients_yard
from app.services.jobs import changed, made, save
from app.services.office import Office
from app.services.sheets import sheet
from tests.every_change.stock import PICTURE
from tests.offering import order
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent
from tests.web.test_doors import MONEY


@pytest.fixture
def over(stocked: Office, ready: UUID) -> UUID:
    """A yard that went over to the client 40 days ago, with a gas line in it."""
    day = sheet(stocked, ready).today - timedelta(days=40)
    gas = Run(id=uuid4(), title="Gas to the grill", kind=RunKind.GAS, points=((0.0, 0.0), (0.0, 30.0)))
    save(stocked, ready, (made("run", gas), made("handed_over", HandedOver(id=uuid4(), day=day))), order())
    return ready


def test_a_yard_that_is_not_handed_over_has_no_such_page(stocked: Office, ready: UUID) -> None:
    here = Browser(stocked)
    page = here.get(f"/show/{ready}/yard")
    assert page.status_code == 200
    assert "Your yard" not in page.text
    assert here.post(f"/show/{ready}/yard/ask", {"what": "A stone rocks"}).status_code == 422
    assert sheet(stocked, ready).job.warranty_calls == ()


def test_client_reads_care_lines_and_days_of_visits_and_no_money(stocked: Office, over: UUID) -> None:
    page = unescape(Browser(stocked).get(f"/show/{over}/yard").text)
    for said in ("Care through the year", "Sweep joint fill back in", "Gas to the grill", "call 811"):
        assert said in page
    view = sheet(stocked, over)
    at_90 = view.job.handed_over[0].day + timedelta(days=90)
    assert f"{at_90:%b} {at_90.day}, {at_90.year}" in page
    assert MONEY.findall(page) == []


def test_client_sends_what_is_wrong_with_a_visit_or_a_question_and_the_office_has_it(
    stocked: Office, over: UUID
) -> None:
    here, ask = Browser(stocked), f"/show/{over}/yard/ask"
    refused = here.post(ask, {"what": " ", "kind": "call"})
    assert refused.status_code == 422
    assert "Type what is wrong" in refused.text
    zone = str(sheet(stocked, over).job.zones[0].id)
    assert here.post(ask, {"what": "A stone rocks", "kind": "call", "zone": zone, "visit": "90"}).status_code == 303
    wrong = here.post(ask, {"what": "A stone rocks", "kind": "call", "visit": "31"})
    assert wrong.status_code == 422
    assert "A stone rocks" in wrong.text, "what was typed is kept"
    assert here.post(ask, {"what": "When do I sweep?", "kind": "question", "visit": "0"}).status_code == 303
    call, question = sorted(sheet(stocked, over).job.warranty_calls, key=lambda one: one.question)
    assert (call.visit, call.zone, call.question, call.cause) == (90, zone, False, "other")
    assert call.asked_by == question.asked_by == sheet(stocked, over).job.client.name
    page = unescape(here.get(f"/show/{over}/yard").text)
    assert "for the visit after 90 days" in page
    office = unescape(here.get(f"/jobs/{over}/after/warranty").text)
    assert "Question: When do I sweep?" in office
    assert [it.call.what for it in callbacks.known_calls(stocked).calls] == ["A stone rocks"], "a question is no call"


def test_a_picture_comes_along_and_the_offices_answer_stands_on_the_page_with_its_day(
    stocked: Office, over: UUID
) -> None:
    here, ask = Browser(stocked), f"/show/{over}/yard/ask"
    no_picture = here.post(ask, {"what": "A stone rocks"}, files={"file": ("x.svg", b"<svg/>", "image/png")})
    assert no_picture.status_code == 422
    assert "A stone rocks" in no_picture.text, "what was typed is kept"
    assert sheet(stocked, over).job.warranty_calls == ()
    told = {"what": "A stone rocks", "kind": "call"}
    assert here.post(ask, told, files={"file": ("a.jpg", PICTURE, "image/jpeg")}).status_code == 303
    view = sheet(stocked, over)
    (call,) = view.job.warranty_calls
    (photo,) = (one for one in view.job.photos if one.id == call.photo_id)
    assert FileStore(stocked.settings.files).read(photo.file) != PICTURE, "drawn anew, without what hides in it"
    picture = f"/show/{over}/yard/photos/{call.id}"
    assert f'src="{picture}"' in here.get(f"/show/{over}/yard").text
    assert here.get(picture).headers["content-type"].startswith("image/")
    ours = WarrantyCall(id=uuid4(), day=view.today, what="Ours", photo_id=photo.id)
    save(stocked, over, (made("warranty_call", ours),), order())
    assert here.get(f"/show/{over}/yard/photos/{ours.id}").status_code == 404, "no other picture of the job"
    assert "Clients wait for an answer" in here.get("/").text
    office = f"/jobs/{over}/after/warranty"
    version = {"version": str(sheet(stocked, over).version("warranty_call", call.id))}
    assert here.post(f"{office}/call/{call.id}/answer", {**version, "answer": " "}, htmx=True).status_code == 422
    said = {**version, "answer": "We reset it on Tuesday.", "settles": "yes"}
    assert here.post(f"{office}/call/{call.id}/answer", said, htmx=True).status_code == 200
    by_phone = {"version": "1", "answer": "On Thursday"}
    assert here.post(f"{office}/call/{ours.id}/answer", by_phone, htmx=True).status_code == 200
    assert "Clients wait for an answer" not in here.get("/").text
    page = unescape(here.get(f"/show/{over}/yard").text)
    day = f"{view.today:%b} {view.today.day}, {view.today.year}"
    assert f"Our answer, {day}" in page
    assert "We reset it on Tuesday." in page
    assert "On Thursday" not in page, "what was told by phone is on nobody's page"
    assert f"settled {day}" in page


def test_what_a_client_sends_has_an_end(stocked: Office, over: UUID) -> None:
    here = Browser(stocked)
    for at in range(20):
        assert here.post(f"/show/{over}/yard/ask", {"what": f"Thing {at}"}).status_code == 303
    assert here.post(f"/show/{over}/yard/ask", {"what": "One more"}).status_code == 422


def test_how_it_was_built_is_written_down_in_the_yard(stocked: Office, ready: UUID) -> None:
    version = sheet(stocked, ready).version("job", ready)
    gas = Run(id=uuid4(), title="Gas to the grill", kind=RunKind.GAS, points=((0.0, 0.0), (0.0, 30.0)))
    edits = (changed("job", ready, version, {"stage": "building"}), made("run", gas))
    save(stocked, ready, edits, order())
    phone = paired(stocked, Over.SECURE, face=Face.FIELD)
    address, day = f"/field/{ready}/after/note", str(sheet(stocked, ready).today)
    refused = sent(phone, stocked, address, {"thing": str(gas.id), "day": day})
    assert refused.status_code == 422
    assert "Type a depth" in refused.text
    told = {"thing": str(gas.id), "day": day, "depth": "18 in", "words": "Valve behind the wall"}
    assert sent(phone, stocked, address, told).status_code == 303
    (note,) = sheet(stocked, ready).job.built_notes
    assert (note.depth, note.words, note.thing) == (1.5, "Valve behind the wall", str(gas.id))
    assert "Valve behind the wall" in phone.get(f"/field/{ready}/after").text
    assert "Valve behind the wall" in Browser(stocked).get(f"/jobs/{ready}/after/as-built").text


def test_an_answer_leaves_by_mail_or_text_as_a_letter_to_the_client(stocked: Office, over: UUID) -> None:
    here = Browser(stocked)
    client = sheet(stocked, over).job.client
    version = sheet(stocked, over).version("client", client.id)
    reached = {"email": "ruth@example.org", "phone": "555-0107"}
    save(stocked, over, (changed("client", client.id, version, reached),), order())
    call = WarrantyCall(id=uuid4(), day=sheet(stocked, over).today, what="A stone rocks & clicks", words="Ours alone")
    save(stocked, over, (made("warranty_call", call),), order())
    at = f"/jobs/{over}/after/warranty"
    assert "mailto:" not in here.get(at).text
    here.post(f"{at}/call/{call.id}/answer", {"version": "1", "answer": "We come on Thursday."}, htmx=True)
    page = unescape(here.get(at).text)
    mail = urlsplit(next(one for one in re.findall(r'href="([^"]+)"', page) if one.startswith("mailto:")))
    said = parse_qs(mail.query)
    assert unquote(mail.path) == "ruth@example.org"
    assert said["body"][0].splitlines()[0].startswith(client.name)
    assert "You asked on" in said["body"][0]
    assert "We come on Thursday." in said["body"][0]
    assert "A stone rocks & clicks" in said["subject"][0]
    assert "Ours alone" not in said["body"][0]
    assert 'href="sms:555-0107?body=' in page


def test_visits_that_are_past_are_not_offered_for_what_is_wrong(stocked: Office, over: UUID) -> None:
    here = Browser(stocked)
    first = clients_yard(stocked, sheet(stocked, over)).to_come[0]
    stocked.clock.now += timedelta(days=first.after_days + 5)  # type: ignore[attr-defined]
    left = clients_yard(stocked, sheet(stocked, over))
    assert first.after_days not in {one.after_days for one in left.to_come}
    assert first.after_days in {one.after_days for one in left.visits}
    told = {"what": "A stone rocks", "kind": "call", "visit": str(first.after_days)}
    assert here.post(f"/show/{over}/yard/ask", told).status_code == 422
