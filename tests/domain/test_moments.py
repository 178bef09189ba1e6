"""The day on which something was is the day where it was, not the one in Greenwich."""

import pytest

from app.domain.moments import day_at

AT = "2027-03-10T03:41:00+00:00"


@pytest.mark.parametrize(
    ("moment", "zone", "day"),
    [
        (AT, "America/New_York", "2027-03-09"),
        (AT, "America/Los_Angeles", "2027-03-09"),
        (AT, "UTC", "2027-03-10"),
        ("2027-03-10T04:30:00+00:00", "America/New_York", "2027-03-09"),  # 23:30, four days before clocks go forward
        ("2027-03-15T04:30:00+00:00", "America/New_York", "2027-03-15"),  # 00:30 by then
        ("2027-03-10", "America/Los_Angeles", "2027-03-10"),
        ("2027-03-10T03:41:00", "America/New_York", "2027-03-10"),
    ],
)
def test_day_is_told_where_it_was(moment: str, zone: str, day: str) -> None:
    assert day_at(moment, zone).isoformat() == day


def test_what_is_no_moment_is_refused() -> None:
    with pytest.raises(ValueError, match="next Tuesday"):
        day_at("next Tuesday", "America/New_York")
