"""Which backups stay and when one is due. The counts are the firm's own rule: 24 hours, 30 days, 12 months."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from app.domain.backup_plan import DAILY, HOURLY, MONTHLY, is_due, staying, went_back

NOON = datetime(2027, 3, 9, 12, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
hours = st.integers(0, 24 * 900)
moments = st.lists(hours.map(lambda hour: NOON - HOUR * hour), max_size=60)


def test_two_years_of_hourly_backups_leave_a_day_of_hours_a_month_of_days_a_year_of_months() -> None:
    kept = staying(NOON - HOUR * n for n in range(24 * 730))
    assert {NOON - HOUR * n for n in range(24)} <= kept
    assert len({one.date() for one in kept if one > NOON - 30 * DAY}) == 30
    assert len({(one.year, one.month) for one in kept}) == 12
    assert len(kept) <= HOURLY + DAILY + MONTHLY


def test_who_was_away_keeps_what_was_there_before() -> None:
    before = [NOON - 200 * DAY - HOUR * n for n in range(10)]
    assert set(before) <= staying([*before, NOON])


@given(moments)
def test_newest_stays_and_thinning_again_takes_nothing_more(made: list[datetime]) -> None:
    kept = staying(made)
    assert kept <= set(made)
    assert staying(kept) == kept
    if made:
        assert max(made) in kept
        assert min(kept, default=None) is not None


@given(moments, hours)
def test_one_more_takes_at_most_one_of_each_span(made: list[datetime], ahead: int) -> None:
    assert len(staying(made) - staying([*made, NOON + HOUR * ahead])) <= 3


def test_due_after_an_hour_of_changes_at_once_for_a_signing_never_without_a_change() -> None:
    assert not is_due(NOON, None, "a", "a", signed=True)
    assert is_due(NOON, None, "a", "", signed=False)
    assert not is_due(NOON, NOON - HOUR + timedelta(seconds=1), "b", "a", signed=False)
    assert is_due(NOON, NOON - HOUR, "b", "a", signed=False)
    assert is_due(NOON, NOON - timedelta(minutes=1), "b", "a", signed=True)


def test_clock_set_back_makes_one_due_and_is_noticed() -> None:
    assert is_due(NOON, NOON + 6 * HOUR, "b", "a", signed=False)
    assert went_back(NOON, NOON + HOUR)
    assert not went_back(NOON, NOON + timedelta(minutes=4))
    assert not went_back(NOON, None)
