"""Hours as typed, and the log by day."""

from datetime import date
from uuid import uuid4

import pytest

from app.domain.errors import BadValue
from app.domain.job import LoggedHours
from app.domain.joblog import hours_text, log_days, quarters_of
from app.domain.joblog.daily_log import refuse_longer_than_a_day


def logged(person: str, quarters: int, day: int = 3) -> LoggedHours:
    return LoggedHours(id=uuid4(), day=date(2027, 5, day), person=person, quarters=quarters)


@pytest.mark.parametrize(
    ("typed", "quarters"),
    [("8", 32), ("2.75", 11), ("2,75", 11), (".5", 2), ("2 3/4", 11), ("1/2", 2), ("2:45", 11), ("0:15", 1), ("3 h", 12), ("24", 96)],
)  # fmt: skip
def test_hours_are_read_in_quarters(typed: str, quarters: int) -> None:
    assert quarters_of(typed) == quarters


@pytest.mark.parametrize(
    "typed", ["", "x", "0", "-1", "2.1", "2:50", "25", "1/0", "nan", "1e9", "1/2/3", "2:", "1:2:3"]
)
def test_what_is_no_hours_is_refused_with_what_was_typed(typed: str) -> None:
    with pytest.raises(BadValue, match=f"“{typed}”".replace("?", "")):
        quarters_of(typed)


@pytest.mark.parametrize("quarters", range(1, 97, 7))
def test_hours_shown_are_read_as_the_same(quarters: int) -> None:
    assert quarters_of(hours_text(quarters)) == quarters


def test_days_stand_newest_first_with_each_person_once() -> None:
    days = log_days([logged("Bo", 4), logged("Ada", 8), logged("Bo", 2), logged("Ada", 1, day=4)])
    assert [(one.day.day, one.quarters, one.people) for one in days] == [(4, 1, ("Ada",)), (3, 14, ("Ada", "Bo"))]


def test_nobody_works_more_than_a_day_has() -> None:
    known = [logged("Ada", 64), logged("Ada", 64, day=4)]
    refuse_longer_than_a_day(known, [logged("Ada", 32), logged("Bo", 96)])
    with pytest.raises(BadValue, match=r"Ada would have 24\.25 hours on May 3"):
        refuse_longer_than_a_day(known, [logged("Ada", 33)])
