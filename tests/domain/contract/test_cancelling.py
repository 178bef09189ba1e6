"""Days to cancel, against the rule (16 CFR 429.0(f), 429.1(a)): Saturdays count, Sundays and federal holidays do not."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.contract.cancelling import may_cancel
from app.interchange.public_holidays import federal_holidays_of

HOLIDAYS = federal_holidays_of(range(2026, 2030))


@pytest.mark.parametrize(
    ("signed", "last"),
    [
        (date(2027, 3, 1), date(2027, 3, 4)),  # Monday: Tuesday, Wednesday, Thursday
        (date(2027, 3, 4), date(2027, 3, 8)),  # Thursday: Friday, Saturday, Monday
        (date(2027, 3, 5), date(2027, 3, 9)),  # Friday: Saturday, Monday, Tuesday
        (date(2027, 3, 6), date(2027, 3, 10)),  # Saturday: Monday, Tuesday, Wednesday
        (date(2027, 3, 7), date(2027, 3, 10)),  # Sunday
        (date(2027, 5, 28), date(2027, 6, 2)),  # Friday before Memorial Day: Saturday, Tuesday, Wednesday
        (date(2027, 11, 24), date(2027, 11, 29)),  # the day before Thanksgiving: Friday, Saturday, Monday
        # July 4 is a Saturday kept on Friday; neither counts, the later end is the safe one: Thursday, Monday, Tuesday
        (date(2026, 7, 1), date(2026, 7, 7)),
    ],
)
def test_last_day_of_the_rule(signed, last):
    assert may_cancel(signed, HOLIDAYS).last == last


@given(st.dates(date(2026, 2, 1), date(2029, 11, 1)), st.integers(1, 10))
def test_so_many_business_days_lie_after_signing(signed, days):
    last = may_cancel(signed, HOLIDAYS, days=days).last
    between = [signed + timedelta(days=n) for n in range(1, (last - signed).days + 1)]
    assert sum(1 for day in between if day.weekday() != 6 and day not in HOLIDAYS) == days
    assert last.weekday() != 6
    assert last not in HOLIDAYS


def test_it_runs_until_midnight_of_the_last_day():
    window = may_cancel(date(2027, 3, 5), HOLIDAYS)
    assert window.runs(date(2027, 3, 9))
    assert not window.runs(date(2027, 3, 10))


def test_no_days_are_refused():
    with pytest.raises(ValueError, match="0"):
        may_cancel(date(2027, 3, 5), HOLIDAYS, days=0)
