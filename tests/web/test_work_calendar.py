"""The firm's working days: typed on Firm, counted in the schedule; and what is refused."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.domain.year import Closed
from app.interchange.usual_weather import usual_weather
from app.services.scheduling import working_days
from app.web.forms.work_calendar import closed_line, closed_words
from tests.web.yard import Yard, text_of

FORM = {"calendar.crews": "2", "calendar.day.0": "1", "calendar.day.5": "1", "calendar.holidays": "1"}


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    opened = Yard(tmp_path)
    yield opened
    opened.close()


def saved(yard: Yard, **typed):
    firm_id = yard.office.firm_id
    form = {**FORM, **{f"calendar.{key.replace('_', '.')}": value for key, value in typed.items()}}
    return yard.browser.post(f"/firm/firm/{firm_id}", {"version": "0", "focus": "calendar", **form})


def test_days_and_crews_are_counted_as_typed(yard: Yard) -> None:
    assert saved(yard, closed="2027-12-24 to 2028-01-02: winter break", lost_3="2.5").status_code in (200, 303)
    firm = yard.office.firm()
    assert firm.calendar.crews == 2
    days = working_days(firm, date(2027, 3, 1))
    assert days.weekdays == {0, 5}
    assert not days.worked(date(2027, 12, 27))
    assert days.worked(date(2027, 12, 20))
    assert (days.lost[3], days.lost[1]) == (2.5, usual_weather().lost[1])
    assert not days.worked(date(2027, 7, 5))  # the Fourth falls on a Sunday: observed on Monday


def test_holidays_may_be_worked(yard: Yard) -> None:
    saved(yard, holidays="")
    assert working_days(yard.office.firm(), date(2027, 3, 1)).worked(date(2027, 7, 5))


def test_until_the_firm_says_otherwise_weather_is_the_librarys_assumption(yard: Yard) -> None:
    assert yard.office.firm().calendar is None
    assert working_days(yard.office.firm(), date(2027, 3, 1)).lost == usual_weather().lost
    assert "Assumption, no source" in text_of(yard.browser.get("/firm").text)


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("crews", "0"),
        ("crews", "1.5"),
        ("crews", "many"),
        ("lost_1", "40"),
        ("lost_1", "-1"),
        ("closed", "soon"),
        ("closed", "2027-12-24 to 2027-12-01"),
        ("closed", "2027-01-01 to 2030-01-01"),
    ],
)
def test_nonsense_is_refused_and_nothing_is_saved(yard: Yard, field, typed) -> None:
    answer = saved(yard, **{field: typed})
    assert answer.status_code == 422
    assert yard.office.firm().calendar is None
    assert typed in text_of(answer.text) or typed in answer.text


def test_a_week_without_a_day_is_refused(yard: Yard) -> None:
    form = {key: ("" if ".day." in key else value) for key, value in FORM.items()}
    answer = yard.browser.post(f"/firm/firm/{yard.office.firm_id}", {"version": "0", "focus": "calendar", **form})
    assert answer.status_code == 422
    assert "choose at least one" in text_of(answer.text)


def test_closed_days_read_back_as_they_are_written() -> None:
    one = Closed(first=date(2027, 12, 24), last=date(2028, 1, 2), words="winter break")
    assert closed_line(closed_words(one)) == one
    assert closed_line("2027-07-06") == Closed(first=date(2027, 7, 6), last=date(2027, 7, 6))
