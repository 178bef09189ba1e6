"""A device is let in on two screens, keeps to its face, is named in the history, and is shut out at once."""

import re
from dataclasses import replace
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from starlette.testclient import TestClient

from app.domain.devices import Face
from app.domain.sharing import Over, Plain
from app.main import create_app
from app.services import devices, pairing
from app.services.book import own
from app.services.jobs import Order
from app.services.office import Office
from app.services.sheets import sheet
from app.web import faces, outside
from app.web.device import DEVICE
from app.web.reached import Reached
from tests.web.conftest import Browser
from tests.web.reaching import cookie, let_in, paired, sent, shared
from tests.web.test_access import routes
from tests.web.test_every_page import filled, known_words

HTMX = {"hx-request": "true"}


def code_on(page: str) -> str:
    found = re.search(r'<p class="code">([^<]+)</p>', page)
    assert found, page
    return found[1]


def words_on(page: str) -> list[str]:
    return re.findall(r"<b>(\w+)</b>", page.partition("two-words")[2].partition("</p>")[0])


def test_two_screens_from_code_to_allowed(web: Browser, office: Office) -> None:
    """As a person does it: a code here, typed there, the same two words, allowed here, in there."""
    made = web.post("/firm/devices/pair", {"face": "field"}, htmx=True).text
    device = shared(office, Over.SECURE)
    assert device.get("/").headers["location"] == "/pair"
    device.get(f"/pair?code={code_on(made).replace(' ', '')}")
    asked = sent(device, office, "/pair", {"code": code_on(made), "name": "Ada's phone"})
    assert asked.status_code == 303
    kept = asked.headers["set-cookie"]
    assert kept.startswith(f"__Host-{DEVICE}=secure.")
    assert all(word in kept for word in ("HttpOnly", "SameSite=strict", "Secure", "Path=/"))
    there, here = device.get("/pair").text, web.get("/firm/devices/pairing", headers=HTMX).text
    assert words_on(there) == words_on(here)
    assert len(words_on(here)) == 2
    assert "Ada&#39;s phone" in here
    assert device.get("/field").status_code == 403, "not in before the owner says so"
    one = pairing.newest(office)
    assert one is not None
    allowed = web.post(f"/firm/devices/pairing/{one.id}/allow", {"name": "Ada's phone"}, htmx=True)
    assert "Ada&#39;s phone" in allowed.text
    assert device.get("/pair/waiting", headers=HTMX).headers["hx-redirect"] == "/field"


def test_refused_device_reads_that_it_was_refused(web: Browser, office: Office) -> None:
    made = web.post("/firm/devices/pair", {"face": "ours"}, htmx=True).text
    device = shared(office, Over.SECURE)
    sent(device, office, "/pair", {"code": code_on(made)})
    one = pairing.newest(office)
    assert one is not None
    web.post(f"/firm/devices/pairing/{one.id}/refuse", htmx=True)
    assert "did not let this device in" in device.get("/pair").text
    assert device.get("/firm").status_code == 403


def test_wrong_code_keeps_what_was_typed_beside_its_sentence(web: Browser, office: Office) -> None:
    web.post("/firm/devices/pair", {"face": "ours"})
    device = shared(office, Over.SECURE)
    answer = sent(device, office, "/pair", {"code": "acde fgh0", "name": "Ada's phone"})
    assert answer.status_code == 422
    assert 'value="acde fgh0"' in answer.text
    assert "No code has “0” in it" in answer.text
    assert cookie(Over.SECURE, DEVICE) not in device.cookies


def test_guesses_at_the_door_pair_nobody(web: Browser, office: Office) -> None:
    """With a code open whenever the guesser comes, from one address; the answers are sentences. Bar 13 tries a thousand."""
    device = shared(office, Over.SECURE)
    said = {}
    for number in range(300):
        one = pairing.newest(office)
        if number % 50 == 0 and (one is None or one.stands != "open"):
            web.post("/firm/devices/pair", {"face": "ours"})
        guess = "".join("ACDEFGHJKMNPQRTUVWXY34679"[number // 25**place % 25] for place in range(8))
        answer = sent(device, office, "/pair", {"code": guess, "name": "Guesser"})
        said[answer.status_code] = answer.text
    assert set(said) <= {422, 429}
    assert "Too many wrong tries" in said[429]
    assert devices.every_device(office) == []


def test_nobody_is_let_in_over_this_machine_by_a_code(web: Browser, office: Office) -> None:
    one = pairing.begin(office, Face.OURS, None)
    web.post("/pair", {"code": pairing.code_of(office, one), "name": "Here"})
    newest = pairing.newest(office)
    assert newest is not None
    assert newest.stands == "open"
    assert "needs no pairing" in web.get("/pair").text


def test_revoked_device_is_answered_401_in_words_from_its_next_request_on(web: Browser, office: Office) -> None:
    device = paired(office, Over.SECURE)
    assert device.get("/firm").status_code == 200
    known = devices.every_device(office)[0]
    assert "Shut out" in web.post(f"/firm/devices/{known.id}/revoke", htmx=True).text
    for answer in (device.get("/firm"), device.get("/"), sent(device, office, "/jobs", {"name": "Somebody"})):
        assert answer.status_code == 401
        assert answer.text == outside.SHUT_OUT


def test_who_is_shut_out_reads_a_page_that_tells_nothing_of_the_firm(stocked: Office) -> None:
    device = paired(stocked, Over.SECURE)
    devices.revoke(stocked, devices.every_device(stocked)[0].id, Order(change_id=uuid4()))
    asked = device.get("/firm", headers={"accept": "text/html,*/*;q=0.8"})
    assert asked.status_code == 401
    assert "<h1>Not let in any more</h1>" in asked.text
    assert outside.SHUT_OUT in asked.text
    assert 'href="/pair"' in asked.text
    assert "data-forget" in asked.text
    assert "Brackenfold" not in asked.text
    assert asked.headers["cache-control"] == "no-store"
    part = device.get("/firm", headers={"accept": "text/html", **HTMX})
    assert part.text == outside.SHUT_OUT
    assert device.get("/pair").status_code == 200


@pytest.mark.parametrize("days", [90, 7])
def test_device_not_seen_for_as_long_as_the_firm_says_is_paired_anew(web: Browser, office: Office, days: int) -> None:
    if days != office.firm().unseen_days:
        assert set_unseen(web, str(days)).status_code == 200
    unseen = timedelta(days=days)
    device = paired(office, Over.SECURE)
    assert device.get("/firm").status_code == 200
    office.clock.now += unseen - timedelta(hours=1)
    device.app.app.state.sharing.share = replace(device.app.app.state.sharing.share, last_asked=office.clock())
    assert device.get("/firm").status_code == 200, "and seen again by that"
    office.clock.now += unseen + timedelta(hours=1)
    device.app.app.state.sharing.share = replace(device.app.app.state.sharing.share, last_asked=office.clock())
    for answer in (device.get("/firm"), sent(device, office, "/jobs", {"name": "Somebody"})):
        assert (answer.status_code, answer.text) == (401, outside.LAPSED.format(days))
    assert "to be paired anew" in web.get("/firm/devices").text
    office.clock.now -= unseen / 3
    assert device.get("/firm").status_code == 200, "a clock that was wrong shut nobody out for good"


def set_unseen(web: Browser, days: str):
    version = own(web.office, "firm").version("firm", web.office.firm_id)
    return web.post("/firm/devices/unseen", {"unseen_days": days, "version": str(version)}, htmx=True)


@pytest.mark.parametrize("days", ["6", "366", "many", ""])
def test_days_until_a_device_is_paired_anew_are_seven_to_a_year(web: Browser, office: Office, days: str) -> None:
    answer = set_unseen(web, days)
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.text
    assert office.firm().unseen_days == 90


@pytest.mark.parametrize("token", ["", "secure.", "secure.x", "plain.x"])
def test_made_up_token_is_a_stranger_s(office: Office, token: str) -> None:
    let_in(office, Over.SECURE)
    device = shared(office, Over.SECURE)
    device.cookies.set(cookie(Over.SECURE, DEVICE), token)
    assert device.get("/firm").status_code == 403


def test_token_read_along_over_plain_http_is_none_over_https(office: Office) -> None:
    token = let_in(office, Over.PLAIN)
    plain = shared(office, Over.PLAIN, Plain.READING)
    plain.cookies.set(cookie(Over.PLAIN, DEVICE), token)
    assert plain.get("/firm").status_code == 200
    for stolen in (token, token.replace("plain.", "secure.")):
        device = shared(office, Over.SECURE)
        device.cookies.set(cookie(Over.SECURE, DEVICE), stolen)
        assert device.get("/firm").status_code == 403


def test_door_of_pairing_is_shut_over_plain_http_while_that_is_open_for_trust_alone(office: Office) -> None:
    assert shared(office, Over.PLAIN, Plain.TRUST).get("/pair").status_code == 403
    assert shared(office, Over.PLAIN, Plain.READING).get("/pair").status_code == 200


def test_history_names_the_device(stocked: Office, ready: UUID) -> None:
    device = paired(stocked, Over.SECURE)
    saved = sent(device, stocked, f"/jobs/{ready}/client/need/new", {"words": "Shade at noon"})
    assert saved.status_code in {200, 303}
    here = Browser(stocked)
    here.post(f"/jobs/{ready}/client/need/new", {"words": "A place for the grill"})
    page = here.get(f"/jobs/{ready}/history").text
    assert re.search(r", Maren&#39;s tablet\b", page)
    assert "the owner" in page
    assert sheet(stocked, ready).opened.undo == "A place for the grill" or "grill" in str(
        sheet(stocked, ready).opened.undo
    )


# --- faces


def test_every_route_has_a_line_and_every_line_a_route(office: Office) -> None:
    declared = {route.path for route in routes(office)}
    assert [path for path in sorted(declared) if faces.line_of(path) is None] == []
    exact = {line for line in faces.REACH if not line.endswith("*")}
    assert exact - declared == set()
    idle = [
        line for line in faces.REACH if line.endswith("*") and not any(one.startswith(line[:-1]) for one in declared)
    ]
    assert idle == []


def test_line_is_missed_where_there_is_none() -> None:
    assert faces.line_of("/ledger") is None
    assert faces.line_of("/ledger/{job_id}") is None
    assert not any(faces.may_reach("/ledger", face) for face in (*Face, None))


def test_branches_are_ours_alone() -> None:
    assert {line for path, line in faces.REACH.items() if path.endswith("*")} == {"ours"}


@pytest.mark.parametrize("face", [Face.FIELD, Face.CLIENT])
def test_face_reaches_its_own_addresses_and_is_led_home_from_every_other(
    stocked: Office, ready: UUID, face: Face
) -> None:
    device = paired(stocked, Over.SECURE, face=face, job_id=ready)
    words = known_words(stocked, ready)
    turned_away = 0
    for route in routes(stocked):
        path = filled(route.path, words)
        for method in route.methods:
            if faces.may_reach(route.path, face):
                continue
            answer = device.request(method, path)
            assert answer.status_code == 303, path
            assert answer.headers["location"] == ("/field" if face is Face.FIELD else f"/show/{ready}")
            assert len(answer.content) == 0
            turned_away += 1
    assert turned_away > 150


def test_client_s_device_opens_no_other_job(stocked: Office, ready: UUID) -> None:
    from uuid import uuid4

    from app.services.jobs import NewJob, Order, begin_job

    other = begin_job(stocked, NewJob(name="Teodor Asante", street="5 Mill Race"), Order(change_id=uuid4()))
    device = paired(stocked, Over.SECURE, face=Face.CLIENT, job_id=ready)
    assert device.get(f"/show/{ready}").status_code == 200
    assert device.get(f"/show/{other}/proposal?lift=true").headers["location"] == f"/show/{ready}"
    known = devices.every_device(stocked)[0]
    Browser(stocked).post(f"/firm/devices/{known.id}/job", {"job_id": str(other)})
    assert device.get("/").headers["location"] == f"/show/{other}"
    assert "Asante" in device.get(f"/show/{other}").text


def test_client_s_device_needs_a_job_and_says_so(web: Browser) -> None:
    answer = web.post("/firm/devices/pair", {"face": "client"}, htmx=True)
    assert answer.status_code == 422
    assert "Choose the job whose proposal" in answer.text


def test_ours_is_handed_over_with_one_tap_and_stays_there_without_its_cookies(stocked: Office, ready: UUID) -> None:
    device = paired(stocked, Over.SECURE)
    token = device.cookies.get(cookie(Over.SECURE, DEVICE))
    assert sent(device, stocked, f"/jobs/{ready}/face").headers["location"] == f"/show/{ready}"
    device.cookies.clear()
    device.cookies.set(cookie(Over.SECURE, DEVICE), token)
    assert device.get(f"/jobs/{ready}/estimate").headers["location"] == f"/show/{ready}"


def test_one_application_serves_each_device_its_own_face(stocked: Office, ready: UUID) -> None:
    app = create_app(stocked)
    client, ours = (paired(stocked, Over.SECURE, face=face, job_id=ready) for face in (Face.CLIENT, Face.OURS))
    with TestClient(Reached(app, Over.HERE), base_url="http://127.0.0.1:8137") as here:
        for _ in range(3):
            assert here.get(f"/jobs/{ready}/estimate").status_code == 200
            assert client.get(f"/jobs/{ready}/estimate", follow_redirects=False).status_code == 303
            assert ours.get(f"/jobs/{ready}/estimate").status_code == 200
