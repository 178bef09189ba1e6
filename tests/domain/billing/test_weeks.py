"""Client money against own spending: weeks without gaps, a running difference that loses nothing."""

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from app.domain.billing import Flow, Moved, cash_weeks, deepest

MONDAY = date(2027, 5, 3)


def moved(days: int, flow: Flow, cents: int) -> Moved:
    return Moved(day=MONDAY + timedelta(days=days), flow=flow, cents=cents)


def test_firm_finances_the_client_until_the_draw_comes_in() -> None:
    """$4,000 deposit; $2,600 wages and $3,150 of stone in week 1; nothing in week 2; $9,000 in week 3. By hand."""
    weeks = cash_weeks(
        [
            moved(0, Flow.CLIENT, 4_000_00),
            moved(4, Flow.LABOR, 2_600_00),
            moved(2, Flow.RECEIPT, 3_150_00),
            moved(20, Flow.CLIENT, 9_000_00),
            moved(20, Flow.PAID_OUT, 1_000_00),
        ],
        MONDAY + timedelta(days=22),
    )
    assert [(week.received, week.spent, week.ahead) for week in weeks] == [
        (4_000_00, 5_750_00, -1_750_00),
        (0, 0, -1_750_00),
        (9_000_00, 1_000_00, 6_250_00),
        (0, 0, 6_250_00),
    ]
    lowest = deepest(weeks)
    assert lowest is not None
    assert lowest.monday == MONDAY
    assert deepest(weeks[2:]) is None


def test_no_money_moved_is_no_week() -> None:
    assert cash_weeks([], MONDAY) == ()


@given(
    st.lists(st.tuples(st.integers(-40, 300), st.sampled_from(list(Flow)), st.integers(-5_000, 900_000)), max_size=30)
)
def test_weeks_add_up_to_all_that_moved(rows: list[tuple[int, Flow, int]]) -> None:
    money = [moved(*row) for row in rows]
    weeks = cash_weeks(money, MONDAY + timedelta(days=10))
    assert all(later.monday - week.monday == timedelta(days=7) for week, later in pairwise(weeks))
    received = sum(one.cents for one in money if one.flow is Flow.CLIENT)
    spent = sum(one.cents for one in money if one.flow is not Flow.CLIENT)
    assert sum(week.received for week in weeks) == received
    assert sum(week.spent for week in weeks) == spent
    assert (weeks[-1].ahead if weeks else 0) == received - spent
