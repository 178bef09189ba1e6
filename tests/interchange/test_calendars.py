"""Holidays that are off, and the schedule for a calendar program."""

from datetime import UTC, date, datetime

from icalendar import Calendar

from app.interchange.calendar_out import CalendarDay, calendar_file
from app.interchange.public_holidays import federal_holidays


def test_federal_holidays_as_they_are_observed():
    # US Office of Personnel Management, federal holidays 2026 and 2027 (from memory): July 4, 2026 is a Saturday and
    # kept on Friday the 3rd; Juneteenth 2027 a Saturday, kept on the 18th; July 4, 2027 a Sunday, kept on Monday
    assert date(2026, 7, 3) in federal_holidays(2026)
    twenty_seven = {
        date(2027, 1, 1),
        date(2027, 1, 18),
        date(2027, 2, 15),
        date(2027, 5, 31),
        date(2027, 6, 18),
        date(2027, 7, 5),
        date(2027, 9, 6),
        date(2027, 10, 11),
        date(2027, 11, 11),
        date(2027, 11, 25),
        date(2027, 12, 24),
        date(2027, 12, 31),  # New Year's Day 2028 is a Saturday
    }
    assert twenty_seven <= federal_holidays(2027)
    assert {day for day in federal_holidays(2027) if day.weekday() < 5} == twenty_seven


def test_an_entry_of_whole_days_ends_the_day_after():
    entry = CalendarDay(key="a1", title="Job 7: Zone A, Base", first=date(2027, 6, 7), last=date(2027, 6, 8))
    made = datetime(2027, 6, 1, 12, tzinfo=UTC)
    told = calendar_file([entry], name="Job 7", made=made)
    (event,) = Calendar.from_ical(told).walk("VEVENT")
    assert (event.start, event.end) == (date(2027, 6, 7), date(2027, 6, 9))  # RFC 5545, 3.6.1
    assert event["summary"] == "Job 7: Zone A, Base"
    assert told == calendar_file([entry], name="Job 7", made=made)
