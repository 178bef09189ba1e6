"""A device asks whether the program is there and what became of its changes."""

from uuid import UUID, uuid4

from app.services.jobs import Order, changed, save
from app.services.office import Office
from tests.web.conftest import Browser


def test_contact_names_the_changes_that_were_saved_and_the_token_to_send(
    web: Browser, office: Office, job_id: UUID
) -> None:
    order = Order(change_id=uuid4())
    save(office, job_id, (changed("job", job_id, 1, {"title": "Side yard"}),), order)
    web.get("/")
    answer = web.get(f"/contact?saved={order.change_id},{uuid4()},nonsense")
    told = answer.json()
    assert told["saved"] == [str(order.change_id)]
    assert told["token"] == web.token
    assert told["epoch"] == str(office.epoch)
    assert answer.headers["cache-control"] == "no-store"


def test_contact_says_which_face_the_device_shows_for_the_clients_sends_nothing_of_ours(
    web: Browser, job_id: UUID
) -> None:
    assert web.get("/contact").json()["face"] == "ours"
    web.post(f"/jobs/{job_id}/face", {})
    assert web.get("/contact").json()["face"] == "client"


def test_contact_says_when_a_job_was_last_changed(web: Browser, office: Office, job_id: UUID) -> None:
    page = web.get(f"/jobs/{job_id}/client").text
    before = web.get(f"/contact?job={job_id}").json()["at"]
    assert f'data-at="{before}"' in page
    save(office, job_id, (changed("job", job_id, 1, {"title": "Side yard"}),), Order(change_id=uuid4()))
    after = web.get(f"/contact?job={job_id}").json()["at"]
    assert f'data-at="{after}"' in web.get(f"/jobs/{job_id}/client").text
    assert web.get(f"/contact?job={uuid4()}").json()["at"] == ""


def test_every_page_names_its_epoch_and_can_read_what_was_not_sent(web: Browser, office: Office, job_id: UUID) -> None:
    for path in ("/", f"/jobs/{job_id}/client", "/firm"):
        text = web.get(path).text
        assert f'<meta name="epoch" content="{office.epoch}">' in text
        assert 'href="/unsent" hidden' in text
        assert 'id="unsent-dialog"' in text
    assert "data-unsent-list" in web.get("/unsent").text


def test_a_stale_save_says_both_values_so_that_a_device_can_read_them(
    web: Browser, office: Office, job_id: UUID
) -> None:
    save(office, job_id, (changed("job", job_id, 1, {"title": "Side yard"}),), Order(change_id=uuid4()))
    sent = {"version": "1", "title": "Front yard"}
    text = web.post(f"/jobs/{job_id}/client/job/{job_id}", sent, headers={"hx-request": "true"}).text
    assert "data-stale>" in text
    assert "<b data-theirs>Side yard</b>" in text
    assert "<b data-yours>Front yard</b>" in text
