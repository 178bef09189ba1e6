"""The daily log: two taps on the phone, once whatever is sent twice, and held against the bid at the office."""

import re
from datetime import timedelta
from html import unescape
from uuid import UUID, uuid4

import pytest
from starlette.testclient import TestClient

from app.domain.devices import Face
from app.domain.job import LoggedHours
from app.domain.sharing import Over
from app.services import devices
from app.services.build import build_sheet
from app.services.daily_log import log_of
from app.services.jobs import Order, changed, open_job, save
from app.services.office import Office
from app.services.sheets import sheet
from tests.web.conftest import Browser
from tests.web.reaching import paired, sent


@pytest.fixture
def phone(stocked: Office, ready: UUID) -> TestClient:
    """A field device, and a job that is being built."""
    save(stocked, ready, (changed("job", ready, 1, {"stage": "building"}),), Order(change_id=uuid4()))
    return paired(stocked, Over.SECURE, face=Face.FIELD)


def taps(office: Office, job_id: UUID, **more) -> dict:
    """What the phone sends: who is ticked, the task that is tapped, the button of hours."""
    log = log_of(office, job_id)
    task = next(one for one in log.tasks if one.at.zone != "job" and not one.own)
    sent_values = {"day": log.today.isoformat(), "people": ["Ada", "Bo"], "at": task.at.text, "hours": ["", "4"]}
    return {**sent_values, "other": "", "words": "", **more}


def logged(office: Office, job_id: UUID) -> tuple[LoggedHours, ...]:
    return open_job(office, job_id).job.logged_hours


def test_two_taps_write_hours_of_everybody_ticked(stocked: Office, phone: TestClient, ready: UUID) -> None:
    devices.rename(stocked, devices.every_device(stocked)[0].id, "Ada's phone", Order(change_id=uuid4()))
    answer = sent(phone, stocked, f"/field/{ready}/log/hours", taps(stocked, ready))
    assert answer.status_code == 303, answer.text
    assert sorted((one.person, one.quarters, one.said_by) for one in logged(stocked, ready)) == [
        ("Ada", 16, "Ada's phone"),
        ("Bo", 16, "Ada's phone"),
    ]
    page = phone.get(f"/field/{ready}/log").text
    assert re.findall(r'name="people" value="(\w+)" checked', page) == ["Ada", "Bo"], "who worked last is ticked"
    tasks = page.split('log-tasks"', 1)[1]
    assert f'value="{taps(stocked, ready)["at"]}"' in tasks.split("<details", 1)[0], (
        "what was worked on last is at hand"
    )


def test_hours_sent_twice_are_written_once(stocked: Office, phone: TestClient, ready: UUID) -> None:
    same = taps(stocked, ready, change_id=str(uuid4()))
    for _ in range(3):
        assert sent(phone, stocked, f"/field/{ready}/log/hours", same).status_code == 303
    assert len(logged(stocked, ready)) == 2


def test_two_phones_write_the_same_day_without_meeting(stocked: Office, phone: TestClient, ready: UUID) -> None:
    other = paired(stocked, Over.SECURE, face=Face.FIELD)
    values = taps(stocked, ready)
    for device, who in ((phone, "Ada"), (other, "Bo")):
        assert sent(device, stocked, f"/field/{ready}/log/hours", {**values, "people": [who]}).status_code == 303
    assert {one.person for one in logged(stocked, ready)} == {"Ada", "Bo"}


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"people": []}, "Nobody is ticked."),
        ({"at": ""}, "No task is tapped."),
        ({"at": "terrace"}, "cannot be read"),
        ({"hours": ["", ""]}, "Hours is empty"),
        ({"hours": ["2.1", ""]}, "Hours are kept in quarters"),
        ({"at": "job::"}, "say in a few words what it was"),
        ({"people": ["Ada"] * 1 + [f"Hand {n}" for n in range(12)]}, "13 people are ticked"),
    ],
    ids=["nobody", "no task", "no place", "no hours", "tenths", "no words", "a crowd"],
)
def test_what_is_missing_is_said_and_what_was_typed_stays(
    stocked: Office, phone: TestClient, ready: UUID, wrong: dict, sentence: str
) -> None:
    values = {**taps(stocked, ready), "other": "", **wrong}
    values = {
        name: [one for one in value if one] or [""] if name == "hours" else value for name, value in values.items()
    }
    answer = sent(phone, stocked, f"/field/{ready}/log/hours", values)
    assert answer.status_code == 422
    assert sentence in unescape(answer.text)
    assert logged(stocked, ready) == ()


def test_a_form_without_any_field_is_refused_in_words(stocked: Office, phone: TestClient, ready: UUID) -> None:
    for path in ("hours", "done"):
        assert sent(phone, stocked, f"/field/{ready}/log/{path}", {}).status_code == 422


def test_days_to_come_and_long_gone_are_refused(stocked: Office, phone: TestClient, ready: UUID) -> None:
    today = log_of(stocked, ready).today
    for day, sentence in ((today + timedelta(days=1), "has not been yet"), (today - timedelta(days=61), "days ago")):
        answer = sent(phone, stocked, f"/field/{ready}/log/hours", taps(stocked, ready, day=day.isoformat()))
        assert (answer.status_code, sentence in answer.text) == (422, True)
    assert logged(stocked, ready) == ()


def test_more_hours_than_a_day_has_are_refused(stocked: Office, phone: TestClient, ready: UUID) -> None:
    for hours, status in (("20", 303), ("8", 422)):
        assert (
            sent(phone, stocked, f"/field/{ready}/log/hours", taps(stocked, ready, hours=hours)).status_code == status
        )


def test_hours_written_by_mistake_are_taken_out_and_the_record_keeps_them(
    stocked: Office, phone: TestClient, ready: UUID
) -> None:
    sent(phone, stocked, f"/field/{ready}/log/hours", taps(stocked, ready, people=["Ada"]))
    [one] = logged(stocked, ready)
    path = f"/field/{ready}/log/hours/{one.id}/remove"
    assert path in phone.get(f"/field/{ready}/log").text
    assert sent(phone, stocked, path, {}).status_code == 303
    assert logged(stocked, ready) == ()
    assert sent(phone, stocked, path, {}).status_code == 404
    assert "Hours of Ada taken out" in Browser(stocked).get(f"/jobs/{ready}/history").text


def test_how_far_it_is_shows_where_the_hours_end(stocked: Office, phone: TestClient, ready: UUID) -> None:
    """By hand: two people, 4 h each, made half: the task ends at 16 h."""
    values = taps(stocked, ready)
    sent(phone, stocked, f"/field/{ready}/log/hours", values)
    assert sent(phone, stocked, f"/field/{ready}/log/done", {"at": values["at"], "percent": "50"}).status_code == 303
    row = next(one for one in log_of(stocked, ready).against.rows if one.bid.at.text == values["at"])
    assert (row.hours, row.percent, row.ends) == (8.0, 50, 16.0)
    page = Browser(stocked).get(f"/jobs/{ready}/log").text
    assert "At this pace the crew ends at" in page
    for figure in ("ends", "over", "hours", "bid", "cost", "bidcost"):
        for key in ("all", f"row:{values['at']}"):
            assert f"/why/log:{figure}:{key}" in unescape(page)
    assert "/why/log:over:all" in Browser(stocked).get(f"/jobs/{ready}/build").text, "Build says it, too"
    why = Browser(stocked).get(f"/jobs/{ready}/why/log:ends:row:{values['at']}").text
    assert "8 h ÷ 50%" in unescape(why)


@pytest.mark.parametrize("percent", ["33", "", "-25", "abc", "101"])
def test_how_far_is_said_in_quarters(stocked: Office, phone: TestClient, ready: UUID, percent: str) -> None:
    at = taps(stocked, ready)["at"]
    assert sent(phone, stocked, f"/field/{ready}/log/done", {"at": at, "percent": percent}).status_code == 422
    assert open_job(stocked, ready).job.said_done == ()


def test_every_door_of_the_log_opens_to_its_figure(stocked: Office, phone: TestClient, ready: UUID) -> None:
    values = taps(stocked, ready)
    sent(phone, stocked, f"/field/{ready}/log/hours", values)
    sent(phone, stocked, f"/field/{ready}/log/hours", {**values, "at": "job::", "words": "Old footing out"})
    sent(phone, stocked, f"/field/{ready}/log/done", {"at": values["at"], "percent": "25"})
    browser, found = Browser(stocked), set()
    for by in ("task", "all", "zone", "phase", "x"):
        page = browser.get(f"/jobs/{ready}/log?by={by}").text
        found |= {unescape(one) for one in re.findall(r'class="door" href="([^"]+)"', page)}
    assert len(found) > 30
    assert [path for path in found if browser.get(path).status_code != 200] == []
    for gone in ("log:ends:row:x", "log:x:all", "log:hours:zone:x", "log:day:2020-01-01", "log:"):
        assert browser.get(f"/jobs/{ready}/why/{gone}").status_code == 404


def test_office_corrects_and_adds_hours(stocked: Office, phone: TestClient, ready: UUID) -> None:
    values = taps(stocked, ready, people=["Ada"])
    sent(phone, stocked, f"/field/{ready}/log/hours", values)
    browser, [one] = Browser(stocked), logged(stocked, ready)
    edit = {"day": one.day.isoformat(), "person": "Ada", "quarters": "2.1", "at": values["at"], "version": "1"}
    answer = browser.post(f"/jobs/{ready}/log/logged_hours/{one.id}", edit, htmx=True)
    assert answer.status_code == 422
    assert 'value="2.1"' in answer.text
    assert (
        browser.post(f"/jobs/{ready}/log/logged_hours/{one.id}", {**edit, "quarters": "2 1/4"}, htmx=True).status_code
        == 200
    )
    assert logged(stocked, ready)[0].quarters == 9
    new = {"day": one.day.isoformat(), "person": "Cy", "quarters": "1:30", "at": "job::", "words": "Dump run"}
    assert browser.post(f"/jobs/{ready}/log/logged_hours/new", new, htmx=True).status_code == 200
    added = next(one for one in logged(stocked, ready) if one.person == "Cy")
    assert (added.quarters, added.zone, added.task, added.words) == (6, "job", "", "Dump run")
    assert browser.post(f"/jobs/{ready}/log/done", {"at": values["at"], "percent": "75"}, htmx=True).status_code == 200
    assert [one.percent for one in open_job(stocked, ready).job.said_done] == [75]
    bad = browser.post(f"/jobs/{ready}/log/logged_hours/new", {**new, "person": "", "at": "x"}, htmx=True)
    assert bad.status_code == 422


def test_own_hours_stand_beside_the_crew_s(stocked: Office, phone: TestClient, ready: UUID) -> None:
    log = log_of(stocked, ready)
    own = next(one for one in log.tasks if one.own)
    assert own.at.text not in unescape(phone.get(f"/field/{ready}/log").text), "no crew works them"
    browser = Browser(stocked)
    new = {"day": log.today.isoformat(), "person": "Maren", "quarters": "3", "at": own.at.text, "words": ""}
    assert browser.post(f"/jobs/{ready}/log/logged_hours/new", new, htmx=True).status_code == 200
    page = unescape(browser.get(f"/jobs/{ready}/log").text)
    assert "Own hours, beside the crew's" in page
    assert f"/why/log:hours:row:{own.at.text}" in page
    assert browser.get(f"/jobs/{ready}/why/log:hours:row:{own.at.text}").status_code == 200
    assert log_of(stocked, ready).against.all.hours == 0.0


def test_zone_taken_out_of_the_draft_keeps_its_hours(stocked: Office, phone: TestClient, ready: UUID) -> None:
    sent(phone, stocked, f"/field/{ready}/log/hours", taps(stocked, ready))
    zone = open_job(stocked, ready).job.zones[0].id
    before = [(one.zone, one.quarters) for one in logged(stocked, ready)]
    assert Browser(stocked).post(f"/jobs/{ready}/plan/zone/{zone}/remove", {}, htmx=True).status_code == 200
    assert [(one.zone, one.quarters) for one in logged(stocked, ready)] == before
    assert log_of(stocked, ready).against.all.hours == 8.0


def test_what_is_logged_leaves_estimate_and_crew_sheets_as_worked_out(
    stocked: Office, phone: TestClient, ready: UUID
) -> None:
    sent(phone, stocked, f"/field/{ready}/log/hours", taps(stocked, ready))
    before, built = sheet(stocked, ready), build_sheet(stocked, sheet(stocked, ready))
    sent(phone, stocked, f"/field/{ready}/log/hours", taps(stocked, ready, people=["Cy"]))
    after = sheet(stocked, ready)
    assert len(after.job.logged_hours) == 3
    assert after.estimate is before.estimate
    assert build_sheet(stocked, after).crews is built.crews


def test_log_of_an_empty_job_opens(stocked: Office, ready: UUID) -> None:
    page = Browser(stocked).get(f"/jobs/{ready}/log").text
    assert "No day is written down yet" in page
    assert "Draft, not signed" in page
