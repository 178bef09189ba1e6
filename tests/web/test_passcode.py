"""The tablet is handed over with one tap and comes back by passcode; guessing it is hopeless."""

import asyncio
import hashlib
from uuid import UUID, uuid4

import pytest
from starlette.testclient import TestClient

from app.domain.devices import BACK_AFTER, Face
from app.domain.errors import BadValue, OutlayError
from app.domain.pairing import TooManyTries
from app.domain.sharing import Over
from app.services import devices, passcode
from app.services.jobs import Order
from app.services.office import Office
from app.services.passcode import PER_DEVICE
from app.worker import passcodes
from tests.web.conftest import ORIGIN, Browser
from tests.web.reaching import paired, sent

CODE = "quarry-27"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """The hash at a small cost, and here: what it costs is looked at in a test of its own."""
    cheap = {"n": 2, "r": 8, "p": 1}

    async def here(_task: str, payload: list[bytes]) -> bytes:
        return passcodes.stretched(*payload, **cheap)

    monkeypatch.setattr(passcode, "run_in_worker", here)


@pytest.fixture
def kept(stocked: Office) -> Office:
    asyncio.run(passcode.set_passcode(stocked, CODE, CODE, Order(change_id=uuid4())))
    return stocked


def turned(device: TestClient, office: Office, job: UUID) -> TestClient:
    assert sent(device, office, f"/jobs/{job}/face").headers["location"] == f"/show/{job}"
    return device


def test_hash_is_that_of_the_standard() -> None:
    """RFC 7914, 12: test vectors for scrypt; the cost is what OWASP's Password Storage Cheat Sheet asks at least."""
    found = passcodes.stretched(b"pleaseletmein", b"SodiumChloride", n=16384, r=8, p=1, length=64)
    assert found.hex().startswith("7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2")
    assert passcodes.COST["n"] * passcodes.COST["r"] * 128 >= 128 * 2**20
    assert passcodes.passcode_task([b"a", b"b"], lambda *_: None) == hashlib.scrypt(
        b"a", salt=b"b", n=2**17, r=8, p=1, dklen=32, maxmem=2**28
    )


def test_tablet_handed_over_comes_back_by_passcode_alone(kept: Office, ready: UUID) -> None:
    device = turned(paired(kept, Over.SECURE), kept, ready)
    assert 'href="/face/ours"' in device.get(f"/show/{ready}").text
    wrong = sent(device, kept, "/face/ours", {"passcode": "quarry-28"})
    assert wrong.status_code == 422
    assert "That is not the passcode." in wrong.text
    assert "quarry-28" not in wrong.text, "it is not shown again"
    assert sent(device, kept, "/face/ours").status_code == 422
    assert device.get(f"/jobs/{ready}/estimate").status_code == 303
    right = sent(device, kept, "/face/ours", {"passcode": CODE})
    assert right.headers["location"] == f"/jobs/{ready}/proposal"
    assert device.get(f"/jobs/{ready}/estimate").status_code == 200


def test_this_machine_handed_over_comes_back_by_passcode_alone(kept: Office, ready: UUID) -> None:
    here = Browser(kept)
    here.post(f"/jobs/{ready}/face")
    assert here.post("/face/ours").status_code == 422
    assert here.post("/face/own").headers["location"] == f"/show/{ready}"
    assert here.client.get("/", follow_redirects=False).status_code == 303
    assert here.post("/face/ours", {"passcode": CODE}).status_code == 303
    assert here.client.get("/", follow_redirects=False).status_code == 200


def test_this_machine_handed_over_shows_the_client_in_every_window_without_its_cookies_too(
    kept: Office, ready: UUID
) -> None:
    here = Browser(kept)
    here.post(f"/jobs/{ready}/face")
    here.client.cookies.clear()
    other = TestClient(here.client.app, base_url=ORIGIN, follow_redirects=False)
    for window in (here.client, other):
        for path in ("/", "/firm", f"/jobs/{ready}/estimate", "/firm/devices"):
            answer = window.get(path, follow_redirects=False)
            assert (answer.status_code, answer.headers["location"]) == (303, f"/show/{ready}"), path
    assert other.get("/face/ours").status_code == 200
    here.get(f"/show/{ready}")
    assert here.post("/face/ours").status_code == 422
    assert here.post("/face/ours", {"passcode": CODE}).status_code == 303
    assert other.get("/firm").status_code == 200


def test_this_machine_handed_over_without_a_passcode_is_so_in_its_browser_alone(stocked: Office, ready: UUID) -> None:
    here = Browser(stocked)
    here.post(f"/jobs/{ready}/face")
    assert here.client.get("/firm", follow_redirects=False).status_code == 303
    other = TestClient(here.client.app, base_url=ORIGIN, follow_redirects=False)
    assert other.get("/firm").status_code == 200


def test_without_a_passcode_a_tablet_of_ours_comes_back_with_one_tap(stocked: Office, ready: UUID) -> None:
    device = turned(paired(stocked, Over.SECURE), stocked, ready)
    assert 'action="/face/ours"' in device.get(f"/show/{ready}").text
    assert sent(device, stocked, "/face/ours").headers["location"] == f"/jobs/{ready}/proposal"


@pytest.mark.parametrize("face", [Face.FIELD, Face.CLIENT])
def test_without_a_passcode_no_other_device_becomes_ours(stocked: Office, ready: UUID, face: Face) -> None:
    device = paired(stocked, Over.SECURE, face=face, job_id=ready)
    assert "No passcode is set" in device.get("/face/ours").text
    answer = sent(device, stocked, "/face/ours", {"passcode": "anything"})
    assert answer.status_code == 422
    assert "No passcode is set" in answer.text
    assert device.get("/firm").status_code == 303


@pytest.mark.parametrize("face", [Face.FIELD, Face.CLIENT])
def test_other_device_is_ours_by_passcode_until_it_is_given_back(kept: Office, ready: UUID, face: Face) -> None:
    device = paired(kept, Over.SECURE, face=face, job_id=ready)
    assert sent(device, kept, "/face/ours", {"passcode": CODE}).status_code == 303
    page = device.get("/firm")
    assert page.status_code == 200
    assert "Back to its own pages" in page.text
    home = "/field" if face is Face.FIELD else f"/show/{ready}"
    assert sent(device, kept, "/face/own").headers["location"] == home
    assert device.get("/firm").headers["location"] == home


def test_other_device_goes_back_by_itself_when_it_lay_unused(kept: Office, ready: UUID) -> None:
    device = paired(kept, Over.SECURE, face=Face.FIELD)
    sent(device, kept, "/face/ours", {"passcode": CODE})
    assert device.get("/firm").status_code == 200
    kept.clock.now += BACK_AFTER * 1.1
    assert device.get("/firm").headers["location"] == "/field"
    assert device.get("/firm").headers["location"] == "/field", "asking again does not bring it back"


def test_tablet_that_was_handed_over_is_not_given_back_without_the_passcode(kept: Office, ready: UUID) -> None:
    device = turned(paired(kept, Over.SECURE), kept, ready)
    answer = sent(device, kept, "/face/own")
    assert answer.status_code == 409
    assert device.get("/firm").status_code == 303


@pytest.mark.parametrize("face", list(Face))
def test_every_page_of_a_paired_device_has_the_way_out_and_it_is_out_then(
    stocked: Office, ready: UUID, face: Face
) -> None:
    device = paired(stocked, Over.SECURE, face=face, job_id=ready)
    pages = {
        Face.OURS: ["/", "/firm", "/prices", "/backups", f"/jobs/{ready}/estimate", f"/jobs/{ready}/plan"],
        Face.FIELD: ["/field"],
        Face.CLIENT: [f"/show/{ready}", f"/show/{ready}/phases"],
    }[face]
    assert [path for path in pages if 'href="/face/leave"' not in device.get(path).text] == []
    assert 'action="/face/leave"' in device.get("/face/leave").text
    left = sent(device, stocked, "/face/leave")
    assert left.status_code == 200
    assert "data-forget" in left.text
    assert "Brackenfold" not in left.text
    assert device.get(pages[0]).status_code in {303, 401, 403}, "out, with or without its token"
    one = devices.every_device(stocked)[0]
    assert one.revoked_at is not None


def test_tablet_handed_over_does_not_leave_and_this_machine_has_no_way_out(kept: Office, ready: UUID) -> None:
    device = turned(paired(kept, Over.SECURE), kept, ready)
    assert "/face/leave" not in device.get(f"/show/{ready}").text
    assert sent(device, kept, "/face/leave").status_code == 409
    assert devices.every_device(kept)[0].revoked_at is None
    here = Browser(kept)
    assert "/face/leave" not in here.get("/").text
    assert here.post("/face/leave").status_code == 409


@pytest.mark.parametrize("at_once", [False, True])
def test_a_thousand_guesses_open_nothing(kept: Office, at_once: bool) -> None:
    """One after the other, and all at once: a try counts before it is looked at."""
    looked_at: list[str] = []

    async def guess(number: int) -> None:
        try:
            await passcode.check(kept, f"guess-{number}", "a tablet")
        except TooManyTries:
            return
        except OutlayError as wrong:
            looked_at.append(wrong.sentence)

    async def all_of_them() -> None:
        if at_once:
            await asyncio.gather(*(guess(number) for number in range(1_000)))
        else:
            for number in range(1_000):
                await guess(number)

    asyncio.run(all_of_them())
    assert set(looked_at) == {"That is not the passcode."}
    assert len(looked_at) <= PER_DEVICE.most * 3, "the clock of tests steps a second a look"


def test_right_one_is_taken_after_four_wrong_and_refused_after_five(kept: Office) -> None:
    for _ in range(PER_DEVICE.most - 1):
        with pytest.raises(BadValue):
            asyncio.run(passcode.check(kept, "wrong one", "a tablet"))
    for _ in range(3):
        asyncio.run(passcode.check(kept, CODE, "a tablet"))
    with pytest.raises(BadValue):
        asyncio.run(passcode.check(kept, "wrong one", "a tablet"))
    with pytest.raises(TooManyTries):
        asyncio.run(passcode.check(kept, CODE, "a tablet"))
    asyncio.run(passcode.check(kept, CODE, "another tablet"))
    kept.clock.now += PER_DEVICE.within
    asyncio.run(passcode.check(kept, CODE, "a tablet"))


@pytest.mark.parametrize(
    ("typed", "again", "field", "said"),
    [
        ("12345", "12345", "new", "6 to 64 characters; this has 5"),
        ("x" * 65, "x" * 65, "new", "6 to 64"),
        ("111111", "111111", "new", "anybody would try"),
        ("passcode1", "passcode1", "new", "anybody would try"),
        (CODE, "quarry-28", "again", "do not agree"),
    ],
)
def test_poor_passcode_is_refused_beside_its_field(web: Browser, typed: str, again: str, field: str, said: str) -> None:
    answer = web.post("/firm/devices/passcode", {"new": typed, "again": again}, htmx=True)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'name="{field}"' in answer.text
    assert typed not in answer.text
    assert not passcode.is_set(web.office)


def test_passcode_is_set_and_taken_away_on_record_and_stands_nowhere(web: Browser, office: Office) -> None:
    assert web.post("/firm/devices/passcode", {"new": CODE, "again": CODE}, htmx=True).status_code == 200
    assert passcode.is_set(office)
    assert web.post("/firm/devices/passcode/remove").status_code == 422
    assert passcode.is_set(office)
    web.post("/firm/devices/passcode/remove", {"current": CODE})
    assert not passcode.is_set(office)
    web.post("/firm/devices/passcode", {"new": CODE, "again": CODE})
    with office.database.read() as connection:
        said = (
            connection.exec_driver_sql("SELECT what FROM record WHERE kind = 'passcode' ORDER BY seq").scalars().all()
        )
    assert said == ["Passcode set", "Passcode taken away", "Passcode set"]
    office.database.close()
    held = b"".join(path.read_bytes() for path in office.settings.data.rglob("*") if path.is_file())
    assert CODE.encode() not in held


def test_field_and_client_reach_no_page_of_devices(kept: Office, ready: UUID) -> None:
    for face in (Face.FIELD, Face.CLIENT):
        device = paired(kept, Over.SECURE, face=face, job_id=ready)
        for path in ("/firm/devices/passcode", "/firm/devices/passcode/remove", "/firm/devices/pair"):
            assert sent(device, kept, path, {"passcode": "another-1", "again": "another-1"}).status_code == 303
    asyncio.run(passcode.check(kept, CODE, "here"))
    assert len(devices.every_device(kept)) == 2
