"""What another device reaches before it is paired, under which names, and over plain HTTP."""

from uuid import UUID

import pytest

from app.domain.sharing import Over, Plain
from app.services.office import Office
from app.web import outside
from app.web.device import DEVICE
from tests.offering import offer
from tests.web.reaching import asked, cookie, let_in, paired, shared
from tests.web.test_access import routes
from tests.web.test_every_page import filled, known_words

NETWORKS = [(Over.SECURE, Plain.CLOSED), (Over.PLAIN, Plain.TRUST), (Over.PLAIN, Plain.READING)]


@pytest.mark.parametrize(("over", "plain"), NETWORKS)
def test_nothing_but_the_doors_answers_before_pairing(stocked: Office, ready: UUID, over: Over, plain: Plain) -> None:
    device, known = shared(stocked, over, plain), known_words(stocked, ready)
    said, doors = {}, set()
    for route in routes(stocked):
        path = filled(route.path, known)
        if path.startswith(outside.PAIR):
            assert "Brackenfold" not in device.get(path).text
            continue
        if outside.is_for_anybody(path):
            doors.add(route.path.split("/")[1])
            continue
        for method in route.methods:
            answer = device.request(method, path)
            said[method, path] = answer.status_code
            assert "Brackenfold" not in answer.text, path
    assert len(said) > 100
    assert {status for (_, path), status in said.items() if path != "/"} == {403}
    assert doors == {one.strip("/") for one in outside.FOR_ANYBODY if one != "/built/"} | {"built"}
    assert device.get("/no/such/page").status_code == 403


@pytest.mark.parametrize("path", ["/trusty", "/built", "/trust/../firm", "/trust/%2e%2e/firm", "/TRUST/"])
def test_what_only_looks_like_a_door_is_none(office: Office, path: str) -> None:
    answer = shared(office, Over.SECURE).get(path)
    alike = path in {"/trusty", "/TRUST/"}
    assert answer.status_code in ({403} if alike else {403, 404})  # 404: where nothing lies, without a word of the firm
    assert "/prices" not in answer.text


def test_while_plain_http_is_open_for_the_trust_step_it_serves_nothing_else_even_to_a_paired_device(
    office: Office,
) -> None:
    device = paired(office, Over.PLAIN, Plain.TRUST)
    assert device.get("/trust").status_code == 200
    for path in ("/", "/firm", "/pair"):
        answer = device.get(path)
        assert (answer.status_code, "trust step only" in answer.text) == (403, True), path


@pytest.mark.parametrize("host", ["evil.example:8138", "brackenfold.local", "brackenfold.local:8139", "127.0.0.1:8138",
                                  "localhost:8138", "192.168.43.8:8138", "192.168.43.7.evil.example:8138", ""])  # fmt: skip
def test_only_the_shared_names_with_their_port_are_ours(office: Office, host: str) -> None:
    device = shared(office, Over.SECURE)
    assert asked(device, "/trust", "BrackenFold.local:8138").status_code != 421
    assert asked(device, "/trust", host).status_code == 421


def test_a_shared_name_is_not_ours_on_this_machine_and_nothing_is_when_sharing_ended(office: Office) -> None:
    device = shared(office, Over.HERE)
    assert asked(device, "/", "brackenfold.local:8138").status_code == 421
    device = shared(office, Over.SECURE)
    device.app.app.state.sharing.share = None
    assert asked(device, "/trust", "brackenfold.local:8138").status_code == 421


def test_a_cookie_over_https_stays_with_https_and_this_host(office: Office) -> None:
    kept = paired(office, Over.SECURE).get("/firm").headers["set-cookie"]
    assert kept.startswith("__Host-outlay_session=")
    assert "Secure" in kept
    assert "HttpOnly" in kept
    assert "Secure" not in paired(office, Over.PLAIN, Plain.READING).get("/firm").headers["set-cookie"]


def test_over_plain_http_nothing_is_signed_and_only_notes_are_taken(stocked: Office, ready: UUID) -> None:
    device = paired(stocked, Over.PLAIN, Plain.READING)
    assert device.get(f"/jobs/{ready}/estimate").status_code == 200
    signing = device.post(f"/show/{ready}/sign/{ready}")
    assert (signing.status_code, signing.text) == (403, outside.NO_SIGNING)
    taken = set()
    for route in routes(stocked):
        if "POST" in route.methods:
            answer = device.post(filled(route.path, known_words(stocked, ready)))
            if "Over plain HTTP" not in answer.text:
                taken.add(route.path)
    assert taken == {
        "/jobs/{job_id}/face",
        "/face/ours",
        "/jobs/{job_id}/undo",
        "/jobs/{job_id}/site/photo/new",
        "/pair",
        "/field/{job_id}/note",
        "/field/{job_id}/photo",
    }
    for path in ("plan/note/new", f"plan/note/{ready}", f"plan/note/{ready}/remove"):
        assert "Over plain HTTP" not in device.post(f"/jobs/{ready}/{path}").text


def test_over_plain_http_every_page_is_marked_and_an_offer_has_nowhere_to_sign(stocked: Office, ready: UUID) -> None:
    revision = offer(stocked, ready)
    device = paired(stocked, Over.PLAIN, Plain.READING)
    mark = "Plain HTTP: anybody on this network can read along"
    for path in ("/", "/firm", f"/jobs/{ready}/plan", f"/show/{ready}/proposal"):
        assert mark in device.get(path).text, path
        assert mark not in paired(stocked, Over.SECURE).get(path).text, path
    place = f"/show/{ready}/sign/{revision.id}"
    assert outside.NO_SIGNING in device.get(place).text
    consent = f'action="/show/{ready}/consent/{revision.id}"'
    for where in ("<canvas", consent):
        assert where not in device.get(place).text
    signing = paired(stocked, Over.SECURE).get(place).text
    assert consent in signing, "what comes before the frame to sign in"
    for page in (signing, device.get(place).text):
        assert page.count(f"/file/{revision.id}/offered.pdf") == 1, "one way to read the pages"


def test_a_device_that_is_paired_puts_the_end_off_and_a_stranger_does_not(office: Office) -> None:
    device = shared(office, Over.SECURE)
    sharing = device.app.app.state.sharing
    before = sharing.share.last_asked
    device.get("/firm")
    assert sharing.share.first_asked is not None
    assert sharing.share.last_asked == before
    device.cookies.set(cookie(Over.SECURE, DEVICE), let_in(office, Over.SECURE))
    device.get("/firm")
    assert sharing.share.last_asked > before
