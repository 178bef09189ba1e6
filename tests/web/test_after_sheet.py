"""After, as the office and the crew use it: tests signed by name, punch list, hand-over, closing; what each waits for."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest

from app.documents.pdf import pdf_available
from app.domain.job import Feature, PlaceKind, Stage
from app.domain.plan.shapes import rectangle
from app.services import jobs, signed_tests
from app.services.jobs import changed, made, open_job
from app.services.office import Office
from app.services.sheets import sheet
from app.services.zones import NewZone, add_zone, new_work
from tests.offering import order
from tests.web.conftest import Browser

DAY = "2027-03-02"
ELECTRICIAN = {"name": "Bo Stoltz", "license": "EL 0417", "passed": "passed"}


@pytest.fixture
def office(stocked: Office) -> Office:
    """An office with the library and prices."""
    return stocked


@pytest.fixture
def built(office: Office) -> UUID:
    """A job with a paved terrace and four lights on a transformer, of which nothing is signed."""
    job_id = jobs.begin_job(office, jobs.NewJob(name="Linnea Whitlock"), order())
    terrace = NewZone(
        title="Terrace", kind="dining", outline=rectangle(18, 14), measured="taped", assembly="unit-pavers"
    )
    add_zone(office, job_id, terrace, order())
    opened = open_job(office, job_id)
    lights = Feature(id=uuid4(), title="Path lights", zone_id=opened.job.zones[0].id, count=4, x=2.0, y=2.0)
    box = Feature(id=uuid4(), title="Transformer", zone_id=opened.job.zones[0].id, x=2.0, y=13.0)
    works = [new_work(opened, PlaceKind.FEATURE, one.id, key) for one, key in ((lights, "path-light"), (box, "light-transformer"))]  # fmt: skip
    edits = (made("feature", lights), made("feature", box), *(made("work", one) for one in works))
    jobs.save(office, job_id, (*edits, changed("job", job_id, opened.version("job", job_id), {"stage": "building"})), order())  # fmt: skip
    return job_id


def rows(office: Office, job_id: UUID) -> dict[str, signed_tests.SignedRow]:
    return {one.needed.kind.key: one for one in signed_tests.yard_tests(office, sheet(office, job_id)).rows}


def sign(web: Browser, office: Office, job_id: UUID, test: str, **more: str):
    key = rows(office, job_id)[test].needed.key
    sent = {"change_id": str(uuid4()), "test": key, "day": DAY, "name": "Ada Fenn", **more}
    return web.post(f"/jobs/{job_id}/after/tests/result", sent, htmx=True)


def sign_all(web: Browser, office: Office, job_id: UUID) -> None:
    told = {"slope": "2%", "length": "1/16 in", "percent": "99", "volt": "11.6, 11.5, 11.3, 11.2"}
    for key, row in rows(office, job_id).items():
        kind = row.needed.kind
        most = {"values": "70"} if key == "transformer-load" else {"values": told.get(kind.measured, "")}
        answer = sign(web, office, job_id, key, passed="passed", license="EL 0417" if kind.trade else "", **most)
        assert answer.status_code == 200, (key, answer.text)


def test_tests_follow_from_what_was_built_and_a_bare_job_has_none(office: Office, built: UUID) -> None:
    found = rows(office, built)
    wanted = {"surface-fall", "water-runs-off", "base-compacted", "light-voltage", "transformer-load", "lights-come-on"}
    assert found.keys() == wanted | {"line-voltage", "yard-clean"}
    assert found["light-voltage"].needed.readings == 4
    bare = jobs.begin_job(office, jobs.NewJob(name="Priya Lindqvist"), order())
    assert rows(office, bare) == {}


def test_measured_value_decides_and_a_failed_test_is_on_the_punch_list_until_it_passes(
    web: Browser, office: Office, built: UUID
) -> None:
    answer = sign(web, office, built, "light-voltage", values="11.6, 11.5, 11.3, 10.2")
    assert "not passed" in answer.text
    (item,) = open_job(office, built).job.punch_items
    assert item.what == "Not passed: voltage at each light, Path lights"
    assert web.post(f"/jobs/{built}/after/punch/{item.id}/photo", {"who": "Ada"}, htmx=True).status_code == 422
    sign(web, office, built, "light-voltage", values="11.6, 11.5, 11.3, 11.0")
    job = open_job(office, built).job
    assert (job.punch_items[0].done_by, len(job.signed_tests)) == ("Ada Fenn", 2)
    assert job.signed_tests[-1].limit == "10.8 V to 12.6 V"


@pytest.mark.parametrize(
    ("test", "sent", "said"),
    [
        ("light-voltage", {"values": "11.6, 11.5"}, "Type one reading for each"),
        ("light-voltage", {"values": "lots"}, "is no voltage"),
        ("light-voltage", {"values": ""}, "Type what was measured"),
        ("surface-fall", {"values": "steep"}, "slope"),
        ("base-compacted", {"passed": "passed"}, "what was looked at"),
        ("yard-clean", {}, "Say whether it passed"),
        ("yard-clean", {"name": ""}, "signed by name"),
        ("line-voltage", {"passed": "passed"}, "number of their license"),
        ("yard-clean", {"day": "2030-01-01", "passed": "passed"}, "has not been yet"),
    ],
)
def test_what_is_missing_is_said_beside_its_field_and_nothing_is_signed(
    web: Browser, office: Office, built: UUID, test: str, sent: dict[str, str], said: str
) -> None:
    answer = sign(web, office, built, test, **sent)
    assert (answer.status_code, said in answer.text) == (422, True), answer.text
    assert open_job(office, built).job.signed_tests == ()


def test_line_voltage_has_no_way_round_and_another_test_wants_a_reason(
    web: Browser, office: Office, built: UUID
) -> None:
    def leave(test: str, words: str):
        sent = {"test": rows(office, built)[test].needed.key, "name": "Maren Oduya", "words": words}
        return web.post(f"/jobs/{built}/after/tests/left-out", sent, htmx=True)

    assert "no way round" in leave("line-voltage", "The inspector has seen it").text
    assert leave("base-compacted", "no").status_code == 422
    assert leave("base-compacted", "Old base kept, proof-rolled last year").status_code == 200
    waiting = {one.needed.kind.key for one in signed_tests.yard_tests(office, sheet(office, built)).waiting}
    assert "line-voltage" in waiting
    assert "base-compacted" not in waiting


def test_hand_over_waits_for_every_test_and_closing_for_hand_over(web: Browser, office: Office, built: UUID) -> None:
    early = web.post(f"/jobs/{built}/after/hand-over", {"day": DAY}, htmx=True)
    assert (early.status_code, "Hand-over waits for" in early.text) == (422, True)
    assert web.post(f"/jobs/{built}/after/close", {"reason": "They moved away"}, htmx=True).status_code == 422
    sign_all(web, office, built)
    web.post(f"/jobs/{built}/after/punch/photo", {"what": "Touch up the cap", "zone": "job"}, htmx=True)
    assert web.post(f"/jobs/{built}/after/hand-over", {"day": DAY, "by": "Maren Oduya"}, htmx=True).status_code == 200
    assert sign(web, office, built, "yard-clean", passed="passed").status_code == 422
    unsaid = web.post(f"/jobs/{built}/after/close", {"reason": ""}, htmx=True)
    assert (unsaid.status_code, "say why the job is closed" in unsaid.text) == (422, True)
    told = {"reason": "The cap is done in spring", "by": "Maren Oduya"}
    assert web.post(f"/jobs/{built}/after/close", told, htmx=True).status_code == 200
    job = open_job(office, built).job
    assert (job.head.stage, job.closings[0].open) == (Stage.DONE, ("Punch list: Touch up the cap",))
    assert "Touch up the cap" in web.get(f"/jobs/{built}/after").text
    web.post(f"/jobs/{built}/after/open-again", {}, htmx=True)
    job = open_job(office, built).job
    assert (job.head.stage, job.closings) == (Stage.BUILDING, ())
    web.post(f"/jobs/{built}/undo", {"sheet": "after"}, htmx=True)
    assert open_job(office, built).job.head.stage is Stage.DONE


def test_punch_item_goes_from_the_phone_to_done_to_the_clients_word(web: Browser, office: Office, built: UUID) -> None:
    zone = str(open_job(office, built).job.zones[0].id)
    sent = {"what": "Reset the corner paver", "zone": zone, "who": "Ada", "due": "2027-03-09"}
    assert web.post(f"/field/{built}/after/punch", sent).status_code == 303
    (item,) = open_job(office, built).job.punch_items
    assert web.post(f"/jobs/{built}/after/punch/{item.id}/accepted", {}, htmx=True).status_code == 422
    assert web.post(f"/field/{built}/after/punch/{item.id}", {"who": "Ada"}).status_code == 303
    web.post(f"/jobs/{built}/after/punch/{item.id}/accepted", {"words": "Looks right now"}, htmx=True)
    page = web.get(f"/jobs/{built}/after/punch").text
    assert "Looks right now" in page
    assert (item.due, open_job(office, built).job.punch_items[0].client_on is not None) == (
        office.clock().date() + timedelta(days=(item.due - office.clock().date()).days),
        True,
    )
    web.post(f"/jobs/{built}/after/punch/{item.id}/not-done", {}, htmx=True)
    assert open_job(office, built).job.punch_items[0].client_on is None
    web.post(f"/jobs/{built}/after/punch/{item.id}/remove", {}, htmx=True)
    assert open_job(office, built).job.punch_items == ()
    for wrong in ({"what": ""}, {"what": "Sweep", "zone": str(uuid4())}, {"what": "Sweep", "due": "2031-03-09"}):
        assert web.post(f"/field/{built}/after/punch", wrong).status_code == 422


def test_crew_signs_on_its_phone_and_sees_no_money(web: Browser, office: Office, built: UUID) -> None:
    key = rows(office, built)["yard-clean"].needed.key
    sent = {"test": key, "day": DAY, "name": "Ada Fenn", "passed": "passed"}
    assert web.post(f"/field/{built}/after/result", sent).status_code == 303
    page = web.get(f"/field/{built}/after").text
    assert "signed by Ada Fenn" in page
    assert "$" not in page
    assert web.post(f"/field/{built}/after/result", {**sent, "name": ""}).status_code == 422


@pytest.mark.skipif(not pdf_available(), reason="Pango is not installed")
def test_hand_over_reaches_the_last_payment_and_says_what_is_owed(web: Browser, stocked: Office, sold: UUID) -> None:
    sign_all(web, stocked, sold)
    told = web.get(f"/jobs/{sold}/after").text
    assert "to invoice" in told
    web.post(f"/jobs/{sold}/after/hand-over", {"day": DAY, "last_draw": "1"}, htmx=True)
    job = open_job(stocked, sold).job
    assert len(job.handed_over) == 1
    page = web.get(f"/jobs/{sold}/after").text
    closing = page[page.index('id="closing"') :]
    assert "On no invoice yet" in closing
    assert f"/jobs/{sold}/why/money:left" in closing  # what is still open is a door, too
    web.post(f"/jobs/{sold}/after/hand-over/back", {}, htmx=True)
    assert open_job(stocked, sold).job.handed_over == ()
