"""The calendar feed: who may read it, how long, and that nothing private stands in it."""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from icalendar import Calendar

from app.domain.devices import Face
from app.domain.sharing import Over, Plain
from app.services import calendar_feed, passcode
from app.services.copying import copy_job
from app.services.jobs import NewJob, Order, changed, open_job, save
from app.services.office import Office
from app.services.sheets import sheet
from app.web import outside
from tests.offering import order
from tests.web.conftest import Browser
from tests.web.reaching import asked, paired, sent, shared


def build(office: Office, job_id: UUID, **more: object) -> None:
    """The job is being built."""
    opened = open_job(office, job_id)
    save(
        office, job_id, (changed("job", job_id, opened.version("job", job_id), {"stage": "building", **more}),), order()
    )


def made(office: Office) -> str:
    """A new address, as a path."""
    return f"/feed/{calendar_feed.make_address(office, Order(change_id=uuid4()))}.ics"


@pytest.fixture
def here(stocked: Office, ready: UUID) -> Iterator[Browser]:
    build(stocked, ready, town="Alder Ferry")
    opened = Browser(stocked)
    with opened.client:
        opened.client.cookies.clear()
        yield opened


def test_owner_switches_it_on_sees_the_address_once_and_it_is_read_without_a_cookie(
    stocked: Office, ready: UUID
) -> None:
    build(stocked, ready)
    web = Browser(stocked)
    assert "/feed/" not in re.sub("/firm/feed", "", web.get("/firm/feed").text)
    page = web.post("/firm/feed/new")
    assert (page.status_code, page.headers["cache-control"]) == (200, "no-store")
    path = re.search(r"http://127\.0\.0\.1:8137(/feed/[\w-]{43}\.ics)", page.text)[1]
    assert re.search(rf"https://[a-z]+\.local:\d+{path}", page.text)
    assert path not in web.get("/firm/feed").text
    web.client.cookies.clear()
    answer = web.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/calendar")
    assert "set-cookie" not in answer.headers
    assert Calendar.from_ical(answer.content).walk("VEVENT")


def test_what_is_kept_is_a_hash_alone(stocked: Office) -> None:
    path = made(stocked)
    token = path.removeprefix("/feed/").removesuffix(".ics")
    held = [file for file in Path(stocked.settings.data).rglob("*") if file.is_file()]
    assert any(file.name == calendar_feed.KEPT for file in held)
    assert not [file for file in held if token.encode() in file.read_bytes()]


def test_nothing_of_client_street_title_firm_or_money_stands_in_it(here: Browser, ready: UUID) -> None:
    text = here.get(made(here.office)).text.replace("\r\n ", "")
    view = sheet(here.office, ready)
    head, client = view.job.head, view.job.client
    words = [client.name, client.second_name, client.phone, client.email, head.street, head.title, head.postal_code]
    words += [here.office.firm().name, *(zone.title for zone in view.job.zones), "$", str(ready)]
    assert [word for word in words if word and word in text] == []
    allowed = re.compile(rf"{head.town} {head.number}: (Zone [A-Z]+, )?[A-Z][\w ,;’'()/-]+")
    events = Calendar.from_ical(text).walk("VEVENT")
    assert [str(one["summary"]) for one in events if not allowed.fullmatch(str(one["summary"]))] == []
    assert {name for one in events for name in one} == {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "TRANSP"}


def test_days_are_those_of_the_jobs_own_file_under_the_same_ids(here: Browser, ready: UUID) -> None:
    own = Calendar.from_ical(here.get(f"/jobs/{ready}/schedule/days.ics").content).walk("VEVENT")
    told = Calendar.from_ical(here.get(made(here.office)).content)
    assert {(str(one["uid"]), one.start, one.end) for one in told.walk("VEVENT")} == {
        (str(one["uid"]), one.start, one.end) for one in own
    }
    # RFC 7986 5.7: REFRESH-INTERVAL is a DURATION and says so
    assert told["refresh-interval"].dt == timedelta(hours=1)
    assert told["refresh-interval"].params["VALUE"] == "DURATION"
    assert told["x-published-ttl"].to_ical() == b"PT1H"
    assert str(told["x-wr-calname"]) == "Jobs under way"


def test_all_jobs_under_way_stand_in_it_each_by_its_own_town_and_number(here: Browser, ready: UUID) -> None:
    told = NewJob(name="Teodor Asante", street="9 Ferry Road", town="")
    second = copy_job(here.office, ready, told, order()).job_id
    build(here.office, second)
    text = here.get(made(here.office)).text
    events = Calendar.from_ical(text).walk("VEVENT")
    assert {str(one["summary"]).partition(":")[0] for one in events} == {"Alder Ferry 1", "Job 2"}
    assert len({str(one["uid"]) for one in events}) == len(events)
    assert "Asante" not in text
    assert "Ferry Road" not in text


@pytest.mark.parametrize("stage", ["lead", "design", "offered", "done", "lost"])
def test_only_jobs_under_way_stand_in_it(stocked: Office, ready: UUID, stage: str) -> None:
    build(stocked, ready, stage=stage)
    assert Calendar.from_ical(Browser(stocked).get(made(stocked)).content).walk("VEVENT") == []


def test_who_has_the_days_already_is_sent_nothing(here: Browser, ready: UUID) -> None:
    path = made(here.office)
    first = here.get(path)
    tag, changed_at = first.headers["etag"], first.headers["last-modified"]
    for known in ({"if-none-match": tag}, {"if-none-match": f'"x", {tag}'}, {"if-modified-since": changed_at}):
        answer = here.get(path, headers=known)
        assert (answer.status_code, answer.content, answer.headers["etag"]) == (304, b"", tag)
    # RFC 9110 13.1.3: a date beside a tag is not looked at; one that is none is passed over
    for stale in ({"if-none-match": '"x"', "if-modified-since": changed_at}, {"if-modified-since": "soon"}, {}):
        assert here.get(path, headers=stale).status_code == 200
    assert here.get(path).content == first.content
    build(here.office, ready, town="Quarry Bend")
    again = here.get(path, headers={"if-none-match": tag})
    assert again.status_code == 200
    assert "Quarry Bend" in again.text
    uids = [re.findall(rb"UID:(\S+)", answer.content) for answer in (first, again)]
    assert uids[0] == uids[1]


def test_an_address_that_is_good_no_more_is_as_one_that_never_was(here: Browser) -> None:
    never = here.get(f"/feed/{'a' * 43}.ics")
    first, second = made(here.office), made(here.office)
    old = here.get(first)
    assert here.get(second).status_code == 200
    calendar_feed.switch_off(here.office, Order(change_id=uuid4()))
    off = here.get(second)
    for answer in (never, old, off):
        assert (answer.status_code, answer.text) == (404, calendar_feed.NOTHING)
        assert answer.headers["cache-control"] == "no-store"
        assert "etag" not in answer.headers


def test_who_guesses_waits_and_keeps_nobody_else_out(here: Browser) -> None:
    path = made(here.office)
    guessing = shared(here.office, Over.SECURE)
    tried = [guessing.get(f"/feed/{at:043d}.ics").status_code for at in range(12)]
    assert tried == [404] * 10 + [429] * 2
    assert guessing.get(path).status_code == 429, "also the right one, or guessing would go on behind the wait"
    assert here.get(path).status_code == 200


def test_over_a_network_only_the_shared_name_by_https_and_only_to_read(here: Browser) -> None:
    path = made(here.office)
    device = shared(here.office, Over.SECURE)
    before = device.app.app.state.sharing.share.last_asked
    assert device.get(path).status_code == 200
    assert device.app.app.state.sharing.share.last_asked == before, "it does not put the end of sharing off"
    assert asked(device, path, "evil.example:8138").status_code == 421
    for method in ("POST", "PUT", "DELETE", "PROPFIND", "OPTIONS"):
        assert device.request(method, path).status_code == 403, method
    for near in (
        path + "/",
        path.upper(),
        path[:-4],
        path.replace(".ics", "x.ics"),
        "/feed/",
        "/feed/../firm",
        "/firm/feed",
    ):
        assert device.get(near).status_code == 403, near
    for plain in (Plain.TRUST, Plain.READING):
        assert shared(here.office, Over.PLAIN, plain).get(path).status_code == 403
    assert outside.NO_FEED in paired(here.office, Over.PLAIN, Plain.READING).get(path).text
    device.app.app.state.sharing.share = None
    assert device.get(path).status_code == 421


def test_a_field_device_neither_sees_the_switch_nor_turns_it(here: Browser) -> None:
    device = paired(here.office, Over.SECURE, face=Face.FIELD)
    assert device.get("/firm/feed").status_code == 303
    assert sent(device, here.office, "/firm/feed/new").status_code == 303
    assert calendar_feed.since(here.office) is None


def test_another_device_of_ours_makes_no_address_without_a_passcode(here: Browser) -> None:
    device = paired(here.office, Over.SECURE)
    answer = sent(device, here.office, "/firm/feed/new")
    assert answer.status_code == 422
    assert "passcode" in answer.text
    assert calendar_feed.since(here.office) is None


@pytest.mark.anyio
async def test_the_passcode_is_asked_where_there_is_one(stocked: Office) -> None:
    await passcode.set_passcode(stocked, "alder 27 quarry", "alder 27 quarry", order())
    web = Browser(stocked)
    answer = web.post("/firm/feed/new", {"passcode": ""})
    assert answer.status_code == 422
    assert "Type the passcode" in answer.text
    assert calendar_feed.since(stocked) is None


def test_the_same_tap_twice_is_one_address_and_both_changes_are_on_record(stocked: Office) -> None:
    one = order()
    assert calendar_feed.make_address(stocked, one) == calendar_feed.make_address(stocked, one)
    assert calendar_feed.make_address(stocked, order()) != calendar_feed.make_address(stocked, order())
    calendar_feed.switch_off(stocked, order())
    with stocked.database.read() as connection:
        told = connection.exec_driver_sql("select what from record where kind = 'feed' order by seq").scalars().all()
    assert told == ["Calendar feed: on", *["Calendar feed: address made anew"] * 2, "Calendar feed: off"]
