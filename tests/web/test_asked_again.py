"""Before somebody is let in or shut out, or sharing is widened, the passcode is asked again (ASVS 5.0.0, 7.5.1)."""

import asyncio
from uuid import uuid4

import pytest
from starlette.testclient import TestClient

from app.domain.devices import Face
from app.domain.sharing import Over
from app.services import devices, pairing, passcode
from app.services.jobs import Order
from app.services.office import Office
from app.web.sharing import Sharing
from app.worker import passcodes
from tests.web.conftest import Browser
from tests.web.reaching import let_in, paired, sent, shared

CODE, OTHER = "quarry-27", "terrace-14"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    async def here(_task: str, payload: list[bytes]) -> bytes:
        return passcodes.stretched(*payload, n=2, r=8, p=1)

    monkeypatch.setattr(passcode, "run_in_worker", here)


def with_passcode(office: Office) -> None:
    asyncio.run(passcode.set_passcode(office, CODE, CODE, Order(change_id=uuid4())))


def asking(office: Office) -> str:
    """A device that has typed the code and waits for the owner's word."""
    one = pairing.begin(office, Face.OURS, None)
    pairing.ask(office, pairing.code_of(office, one), "Stranger", "192.168.43.51", "secure")
    return f"/firm/devices/pairing/{one.id}/allow"


def inside(office: Office) -> set[str]:
    return {one.name for one in devices.every_device(office) if one.revoked_at is None}


@pytest.mark.parametrize("from_device", [False, True])
def test_nobody_is_let_in_or_shut_out_without_it(office: Office, from_device: bool) -> None:
    with_passcode(office)
    ours, here = paired(office, Over.SECURE), Browser(office)

    def post(path: str, data: dict | None = None):
        return sent(ours, office, path, data) if from_device else here.post(path, data)

    allow = asking(office)
    refused = post(allow, {"name": "Stranger"})
    assert refused.status_code == 422
    assert "Type the passcode." in refused.text
    assert post(allow, {"name": "Stranger", "passcode": OTHER}).status_code == 422
    assert inside(office) == {"Maren's tablet"}
    assert post(allow, {"name": "Stranger", "passcode": CODE}).status_code == 303
    assert inside(office) == {"Maren's tablet", "Stranger"}
    stranger = next(one for one in devices.every_device(office) if one.name == "Stranger")
    out = f"/firm/devices/{stranger.id}/revoke"
    wrong = post(out, {"focus": f"device:{stranger.id}"})
    assert wrong.status_code == 422
    assert f'id="device-{stranger.id}" open' in wrong.text
    assert post(out, {"passcode": CODE}).status_code == 303
    assert inside(office) == {"Maren's tablet"}


def test_another_passcode_wants_the_one_so_far(office: Office) -> None:
    with_passcode(office)
    here = Browser(office)
    again = {"new": OTHER, "again": OTHER}
    for so_far in ("", OTHER):
        answer = here.post("/firm/devices/passcode", {**again, "current": so_far}, htmx=True)
        assert answer.status_code == 422
        assert OTHER not in answer.text
    here.post("/firm/devices/passcode", {**again, "current": CODE})
    asyncio.run(passcode.check(office, OTHER, "here"))


def test_without_a_passcode_this_machine_goes_on_and_no_device_does(office: Office) -> None:
    """A tablet left lying open lets nobody in, and sets no passcode of its own either."""
    ours = paired(office, Over.SECURE)
    allow = asking(office)
    known = devices.every_device(office)[0]
    own = {"new": OTHER, "again": OTHER}
    for path, data in (
        (allow, {"name": "Stranger"}),
        (f"/firm/devices/{known.id}/revoke", {}),
        ("/firm/devices/passcode", own),
    ):
        answer = sent(ours, office, path, data)
        assert answer.status_code == 422, path
        assert "none is set" in answer.text, path
    assert not passcode.is_set(office)
    assert inside(office) == {"Maren's tablet"}
    assert Browser(office).post(allow, {"name": "Stranger"}).status_code == 303
    assert inside(office) == {"Maren's tablet", "Stranger"}


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was done to the switch, in place of opening ports."""
    told: list[str] = []

    def noted(name: str):
        async def do(_self: Sharing, *_all: object) -> None:
            told.append(name)

        return do

    for name in ("begin", "end", "open_plain"):
        monkeypatch.setattr(Sharing, name, noted(name))
    return told


def test_sharing_is_widened_with_it_and_ended_without(office: Office, done: list[str]) -> None:
    with_passcode(office)
    here = Browser(office)
    for path, data in (("on", {}), ("plain", {"use": "trust"}), ("plain", {"use": "reading"})):
        assert here.post(f"/firm/share/{path}", data).status_code == 422
        assert here.post(f"/firm/share/{path}", {**data, "passcode": OTHER}).status_code == 422
    assert done == []
    here.post("/firm/share/plain", {"use": "closed"})
    here.post("/firm/share/off")
    assert done == ["open_plain", "end"]
    office.clock.now += passcode.PER_DEVICE.within * 2  # type: ignore[attr-defined]
    here.post("/firm/share/on", {"passcode": CODE})
    assert done[2:] == ["begin"]


def test_guessing_there_is_limited_as_on_the_way_back(office: Office) -> None:
    with_passcode(office)
    ours: TestClient = paired(office, Over.SECURE)
    allow = asking(office)
    answers = [sent(ours, office, allow, {"passcode": f"guess-{n}"}) for n in range(8)]
    assert "Too many wrong tries" in answers[-1].text
    assert sent(ours, office, allow, {"passcode": CODE}).status_code in {422, 429}
    assert inside(office) == {"Maren's tablet"}
    assert shared(office, Over.SECURE).get("/firm").status_code == 403
    assert let_in(office, Over.SECURE, name="Ada")
