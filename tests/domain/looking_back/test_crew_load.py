"""Crews ahead: every hour left falls somewhere once, evenly over days worked; capacity goes by those days alone."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.looking_back.crew_load import PhaseWork, crew_load

MONDAY = date(2027, 5, 3)
DAY = timedelta(days=1)


def weekdays(day: date) -> bool:
    return day.weekday() < 5


def work(hours: float, start: date | None, done: date | None = None, *, signed: bool = True) -> PhaseWork:
    return PhaseWork(job_id="j", job="Whitlock", phase="1", start=start, done=done, hours=hours, signed=signed)


def test_a_phase_over_two_weeks_by_hand() -> None:
    """Thursday to Tuesday are four days worked: 40 h are 10 h a day, so 20 h in each week."""
    load = crew_load([work(40, MONDAY + DAY * 3, MONDAY + DAY * 8)], MONDAY, weekdays, crew_day=27, crews=1)
    assert [one.signed for one in load.weeks[:3]] == [pytest.approx(20), pytest.approx(20), 0]
    assert [one.capacity for one in load.weeks[:2]] == [135, 135]
    assert load.weeks[0].full == pytest.approx(20 / 135)
    assert load.first_free is load.weeks[0]


def test_begun_phase_goes_on_from_today_and_one_without_end_at_the_pace_of_a_crew() -> None:
    thursday = MONDAY + DAY * 3
    load = crew_load([work(54, MONDAY - DAY * 14, MONDAY + DAY * 4)], thursday, weekdays, crew_day=27, crews=1)
    assert load.weeks[0].days == 2
    assert load.weeks[0].signed == pytest.approx(54)
    assert load.weeks[0].over == 0
    endless = crew_load([work(27 * 7, MONDAY)], MONDAY, weekdays, crew_day=27, crews=1)
    assert [round(one.signed / 27, 6) for one in endless.weeks[:2]] == [5, 2]


def test_too_much_is_said_and_what_is_offered_stands_apart() -> None:
    held = [work(200, MONDAY, MONDAY + DAY * 4), work(50, MONDAY, MONDAY + DAY * 4, signed=False), work(30, None)]
    load = crew_load(held, MONDAY, weekdays, crew_day=27, crews=1)
    assert load.weeks[0].over == pytest.approx(65)
    assert load.weeks[0].offered == pytest.approx(50)
    assert [one.hours for one in load.unplaced] == [30]
    two = crew_load(held, MONDAY, weekdays, crew_day=27, crews=2)
    assert two.weeks[0].over == 0
    assert load.first_free is load.weeks[1]
    shut = crew_load(held, MONDAY, lambda day: weekdays(day) and day > MONDAY + DAY * 6, crew_day=27, crews=1)
    assert shut.weeks[0].days == 0
    assert shut.weeks[0].full == 0


dates = st.dates(date(2027, 4, 1), date(2028, 6, 1))
phases = st.lists(st.tuples(st.floats(0.25, 900), st.none() | dates, st.none() | dates), max_size=12)


@given(phases)
def test_no_hour_is_lost_and_none_twice(held: list[tuple[float, date | None, date | None]]) -> None:
    works = [work(*one) for one in held]
    load = crew_load(works, MONDAY, weekdays, crew_day=27, crews=1)
    placed = sum(one.signed for one in load.weeks) + load.later + sum(one.hours for one in load.unplaced)
    assert placed == pytest.approx(sum(one.hours for one in works))
