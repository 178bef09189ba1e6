"""When the machine cannot save: a sentence soon, what was typed still there, and the same form saves once it can."""

import re
import time
from contextlib import closing
from datetime import timedelta
from html import unescape
from uuid import uuid4

import pytest

from app.db.disk import ELSEWHERE
from app.db.session import database_of
from app.domain.devices import Face
from app.domain.sharing import Over
from app.services import jobs, pairing
from app.services.jobs import Order, changed, save
from app.services.office import Office
from app.web.access import SESSION, token_for
from bars.faulting import no_commit
from tests.db.test_disk import largest_file
from tests.web.conftest import ORIGIN, Browser
from tests.web.reaching import cookie, paired, sent, shared

NOTE = "Mrs. W. wants <quiet> pavers & no lights"


def client_form(web: Browser, job_id) -> tuple[str, dict[str, str]]:
    text = web.get(f"/jobs/{job_id}/client").text
    found = re.search(rf"/jobs/{job_id}/client/client/[0-9a-f-]{{36}}", text)
    return found[0], {"version": "1", "private_note": NOTE, "change_id": "7e6f3b1e-0000-4000-8000-000000000001"}


def plain(web: Browser, path: str, sent: dict[str, str]):
    return web.client.post(path, data={**sent, "token": web.token}, headers={"origin": ORIGIN}, follow_redirects=False)


def sent_again(web: Browser, page: str, path: str):
    """The form of the page about the trouble, sent as it stands."""
    assert f'action="{path}"' in page
    fields = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', page)
    return web.client.post(
        path, data={n: unescape(v) for n, v in fields}, headers={"origin": ORIGIN}, follow_redirects=False
    )


def test_lock_held_by_another_ends_after_a_moment_and_the_text_is_kept(web: Browser, office: Office, job_id) -> None:
    path, sent = client_form(web, job_id)
    with closing(database_of(office.settings)) as other, other.write():
        began = time.monotonic()
        answer = plain(web, path, sent)
        waited = time.monotonic() - began
        part = web.post(path, sent, htmx=True)
    assert 0.2 < waited < 2
    assert answer.status_code == part.status_code == 503
    assert "Another program is writing" in answer.text
    assert "Mrs. W. wants &lt;quiet&gt; pavers &amp; no lights" in answer.text
    assert "data-said" in part.text  # the form beneath is left alone
    assert jobs.open_job(office, job_id).job.client.private_note == ""
    assert sent_again(web, answer.text, path).status_code == 303
    assert jobs.open_job(office, job_id).job.client.private_note == NOTE


@pytest.mark.sqlite_file("the log beside the file is cut short")
def test_disk_that_fails_at_the_commit_says_so_and_the_text_is_kept(web: Browser, office: Office, job_id) -> None:
    path, sent = client_form(web, job_id)
    wal = office.settings.data / "outlay.db-wal"
    with largest_file(wal.stat().st_size + 100):
        answer = plain(web, path, sent)
    assert answer.status_code == 503
    assert "gives errors" in answer.text
    assert sent_again(web, answer.text, path).status_code == 303
    assert jobs.open_job(office, job_id).job.client.private_note == NOTE


@pytest.mark.sqlite_file("the file is taken away")
def test_trouble_that_leaves_nothing_readable_is_still_a_sentence(
    web: Browser, office: Office, job_id, monkeypatch: pytest.MonkeyPatch
) -> None:
    database = office.settings.database
    office.database.close()
    database.rename(database.with_name("away"))
    database.mkdir()  # the place is taken by something that cannot be opened
    answer = web.get("/")
    assert answer.status_code == 503
    assert "cannot be opened. Nothing was changed" in answer.text


def test_device_reads_on_though_nobody_can_write_down_that_it_was_seen(office: Office, job_id) -> None:
    save(office, job_id, (changed("job", job_id, 1, {"stage": "building"}),), Order(change_id=uuid4()))
    phone = paired(office, Over.SECURE, face=Face.FIELD)
    office.clock.now += timedelta(minutes=5)  # long enough for it to be written down again
    with closing(database_of(office.settings)) as other, other.write():
        assert phone.get("/field").status_code == 200
        note = sent(phone, office, f"/field/{job_id}/note", {"words": NOTE})
    assert note.status_code == 503
    assert "Another program is writing" in note.text


def test_stranger_at_the_door_reads_why_keeps_the_name_and_learns_nothing_of_the_firm(office: Office) -> None:
    one = pairing.begin(office, Face.FIELD, None)
    firm = changed("firm", office.firm_id, 1, {"name": "Brackenfold Yards"})
    save(office, None, (firm,), Order(change_id=uuid4()))
    stranger = shared(office, Over.SECURE)
    stranger.get("/pair")
    code, token = pairing.code_of(office, one), token_for(office, stranger.cookies[cookie(Over.SECURE, SESSION)])
    typed = {"code": code, "name": "Ada's phone", "token": token}
    with closing(database_of(office.settings)) as other, other.write():
        answer = stranger.post("/pair", data=typed, headers={"origin": str(stranger.base_url).rstrip("/")})
    assert answer.status_code == 503
    assert "Another program is writing" in answer.text
    assert "Ada&#39;s phone" in answer.text
    assert code not in answer.text
    assert "Brackenfold" not in answer.text
    assert 'href="/pair"' in answer.text


@pytest.mark.sqlite_file("the file is put aside")
def test_device_is_told_when_the_database_cannot_be_read(office: Office) -> None:
    tablet = paired(office, Over.SECURE)
    database = office.settings.database
    office.database.close()
    database.rename(database.with_name("away"))
    database.mkdir()
    answer = tablet.get("/")
    assert answer.status_code == 503
    assert answer.text == ELSEWHERE  # who it is cannot be read either


@pytest.mark.sqlite_file("a full disk is told by the file's own error")
@pytest.mark.parametrize("who", ["stranger", "client"])
def test_who_is_no_crew_of_ours_hears_no_folder_of_the_laptop(office: Office, job_id, who: str) -> None:
    device = (
        shared(office, Over.SECURE)
        if who == "stranger"
        else paired(office, Over.SECURE, face=Face.CLIENT, job_id=job_id)
    )
    code = pairing.code_of(office, pairing.begin(office, Face.FIELD, None))
    with no_commit(office, "SQLITE_FULL", "database or disk is full"):
        if who == "stranger":
            answer = sent(device, office, "/pair", {"code": code, "name": "A phone"})
        else:
            answer = sent(device, office, "/face/leave")
    assert answer.status_code == 503, answer.text
    assert str(office.settings.data) not in answer.text
    assert ELSEWHERE in answer.text
