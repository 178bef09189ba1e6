"""The schedule: what a job looks like on days, and what leaves it for a calendar."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from icalendar import Calendar

from tests.web.yard import Yard, text_of


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def test_nothing_to_schedule_says_what_to_do_first(yard: Yard) -> None:
    assert "Nothing to schedule yet" in text_of(yard.get("schedule").text)
    assert Calendar.from_ical(yard.get("schedule/days.ics").content).walk("VEVENT") == []


def test_work_stands_on_days_by_phase_and_place(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    yard.post("phases/phase/new", {"title": "This spring", "start": "2027-06-07"})
    answer = yard.get("schedule")
    page = text_of(answer.text)
    assert "This spring" in page
    assert "Jun 7, 2027" in page
    assert "decides the end" in page
    assert '<svg class="lanes"' in answer.text


def test_without_a_first_day_it_says_what_stands_in(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    assert "No day given" in text_of(yard.get("schedule").text)


def test_calendar_names_no_client_and_no_money(yard: Yard) -> None:
    yard.zone(assembly="unit-pavers")
    answer = yard.get("schedule/days.ics")
    assert answer.headers["content-type"].startswith("text/calendar")
    events = Calendar.from_ical(answer.content).walk("VEVENT")
    assert events
    for word in (yard.job.client.name, yard.job.head.street, yard.job.head.title, "$"):
        assert not word or word not in answer.text


def test_days_of_an_activity_are_the_owners_word_until_taken_back(yard: Yard) -> None:
    zone = yard.zone(assembly="unit-pavers")
    yard.post("phases/phase/new", {"title": "This spring", "start": "2027-06-07"})
    phase = yard.job.phases[0]
    sent = {"stage": "surface", "trade": "", "zone_id": str(zone), "phase_id": str(phase.id)}
    page = text_of(yard.get("schedule").text)
    assert "days as typed" not in page
    answer = yard.post("schedule/typed_days/new", {**sent, "days": "7.5", "reason": "Two are away"})
    assert answer.status_code == 200
    page = text_of(yard.get("schedule").text)
    assert "days as typed" in page
    assert "7.5" in page
    focus = f"days:{phase.id}/{zone}/surface/"
    assert "Two are away" in yard.get(f"schedule?focus={focus}").text
    one = yard.job.typed_days[0]
    assert yard.post(f"schedule/typed_days/{one.id}/remove", {"version": "1"}).status_code == 200
    assert "days as typed" not in text_of(yard.get("schedule").text)


@pytest.mark.parametrize("days", ["0", "-2", "999", "soon", ""])
def test_days_that_make_no_sense_are_refused(yard: Yard, days) -> None:
    zone = yard.zone(assembly="unit-pavers")
    sent = {"stage": "surface", "trade": "", "zone_id": str(zone), "days": days}
    assert yard.post("schedule/typed_days/new", sent).status_code == 422
    assert yard.job.typed_days == ()
