"""A client is erased from the Client sheet: what goes and stays is said before, the passcode is asked, papers wait."""

import asyncio
from uuid import UUID, uuid4

import pytest

from app.domain.sharing import Over
from app.services import erasing, passcode
from app.services.backup_folder import folder_of
from app.services.backups import back_up
from app.services.jobs import Order, open_job
from app.services.office import Office
from app.worker import passcodes
from tests.offering import offer, sign
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent

CODE = "quarry-27"
WHY = "They asked for it in writing."


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    async def here(_task: str, payload: list[bytes]) -> bytes:
        return passcodes.stretched(*payload, n=2, r=8, p=1)

    monkeypatch.setattr(passcode, "run_in_worker", here)


def with_passcode(office: Office) -> None:
    asyncio.run(passcode.set_passcode(office, CODE, CODE, Order(change_id=uuid4())))


def signed(office: Office, job_id: UUID) -> str:
    one = offer(office, job_id)
    for name in ("Linnea Whitlock", "Joss Whitlock"):
        sign(office, job_id, one.id, name)
    return one.id


def test_page_says_what_goes_what_stays_and_until_when(stocked: Office, ready: UUID) -> None:
    signed(stocked, ready)
    back_up(stocked, folder_of(stocked.settings) / "outlay-20270309-150000.zip", beside=True)
    here = Browser(stocked)
    assert f'href="/jobs/{ready}/erase"' in here.get(f"/jobs/{ready}/client").text
    page = here.get(f"/jobs/{ready}/erase").text
    for words in (
        "Erase Linnea Whitlock",
        "Signed and not done.",
        "Proposal 1, signed",
        "Backups in this machine's folder: 1, the oldest of March 9, 2027",
        "24 of the last hours, 30 of the last days, 12 of the last months",
        "must usually be kept for years",
    ):
        assert words in page, words


def test_erased_from_its_page_and_gone_from_every_page(stocked: Office, ready: UUID) -> None:
    here = Browser(stocked)
    slip = here.post(f"/jobs/{ready}/erase", {"name": "Joss Whitlock"})
    assert slip.status_code == 422
    assert 'value="Joss Whitlock"' in slip.text
    assert "by a slip" in slip.text
    done = here.post(f"/jobs/{ready}/erase", {"name": "Linnea Whitlock"})
    assert done.headers["location"] == "/firm/erased?done=yes"
    assert "A client erased: job 1" in here.get("/firm/erased?done=yes").text
    assert here.get(f"/jobs/{ready}/client").status_code == 404
    assert "Whitlock" not in here.get("/").text


def test_signed_papers_are_shown_until_they_are_erased_too(stocked: Office, ready: UUID) -> None:
    paper = signed(stocked, ready)
    here = Browser(stocked)
    without = here.post(f"/jobs/{ready}/erase", {"name": "Linnea Whitlock"})
    assert without.status_code == 422
    assert "signed and not done" in without.text
    here.post(f"/jobs/{ready}/erase", {"name": "Linnea Whitlock", "reason": WHY})
    assert f'href="/firm/erased/{paper}/paper"' in here.get("/firm/erased").text
    assert here.get(f"/firm/erased/{paper}/paper").content.startswith(b"%PDF")
    again = here.post(f"/firm/erased/{ready}/papers", {"reason": "no"})
    assert again.status_code == 422
    assert here.post(f"/firm/erased/{ready}/papers", {"reason": WHY}).status_code == 303
    assert here.get(f"/firm/erased/{paper}/paper").status_code == 404


@pytest.mark.parametrize("from_device", [False, True])
def test_passcode_is_asked_once_there_is_one(stocked: Office, ready: UUID, from_device: bool) -> None:
    with_passcode(stocked)
    form = {"name": "Linnea Whitlock"}

    def post(data: dict):
        if from_device:
            return sent(device, stocked, f"/jobs/{ready}/erase", data)
        return here.post(f"/jobs/{ready}/erase", data)

    device, here = paired(stocked, Over.SECURE), Browser(stocked)
    for wrong in ({}, {"passcode": "quarry-28"}):
        answer = post({**form, **wrong})
        assert answer.status_code == 422
        assert "quarry-28" not in answer.text
        assert open_job(stocked, ready).job.client.name == "Linnea Whitlock"
    assert post({**form, "passcode": CODE}).status_code == 303
    assert [entry.who for entry in erasing.erased(stocked)] == ["Maren's tablet" if from_device else "the owner"]


def test_device_erases_nobody_while_no_passcode_is_set(stocked: Office, ready: UUID) -> None:
    answer = sent(paired(stocked, Over.SECURE), stocked, f"/jobs/{ready}/erase", {"name": "Linnea Whitlock"})
    assert answer.status_code in {409, 422}
    assert "none is set" in answer.text
    assert open_job(stocked, ready).job.client.name == "Linnea Whitlock"
