"""Hours against the bid: worked by hand, against published tables, and what never may happen."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID, uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.job import LoggedHours, SaidDone
from app.domain.joblog import AgainstBid, BidTask, TaskPlace, against_bid, at_this_pace
from app.domain.joblog.against_bid import Unsaid

MAY = [date(2027, 5, day) for day in range(1, 31)]
TERRACE, BED = str(UUID(int=1)), str(UUID(int=2))
LAY = BidTask(at=TaskPlace(TERRACE, "", "lay"), title="Lay pavers", hours=24.0, cents=96_000, per_hour=Decimal(40))
DIG = BidTask(at=TaskPlace(TERRACE, "", "dig"), title="Dig out", hours=10.0, cents=40_000, per_hour=Decimal(40))
PLANT = BidTask(at=TaskPlace(BED, "", "plant"), title="Plant", hours=6.0, cents=18_000, per_hour=Decimal(30))
BIDS = (LAY, DIG, PLANT)


def hours(task: BidTask, quarters: int, day: int = 3, person: str = "Ada") -> LoggedHours:
    at = task.at
    return LoggedHours(
        id=uuid4(), day=MAY[day - 1], person=person, quarters=quarters, zone=at.zone, phase=at.phase, task=at.task
    )


def said(task: BidTask, percent: int, day: int = 3, hour: int = 16) -> SaidDone:
    moment = datetime(2027, 5, day, hour, tzinfo=UTC)
    at = task.at
    return SaidDone(
        id=uuid4(), day=MAY[day - 1], percent=percent, zone=at.zone, phase=at.phase, task=at.task, said_at=moment
    )


def held(entries=(), sayings=()) -> AgainstBid:
    return against_bid(BIDS, entries, sayings, {"rake": "Rake out"})


def test_half_done_in_18_of_24_hours_ends_at_36_and_12_over() -> None:
    """By hand: 18 h made half of it, so all of it takes 36 h: 12 h over, 12 h × $40 = $480 over."""
    made = held([hours(LAY, 40), hours(LAY, 32, person="Bo")], [said(LAY, 50)])
    row = made.row(LAY.at)
    assert (row.hours, row.ends, row.over) == (18.0, 36.0, 12.0)
    assert (row.cents, row.expected_cents, row.expected_cents - LAY.cents) == (72_000, 144_000, 48_000)
    terrace = made.by_zone[0]
    assert (terrace.bid_hours, terrace.ends, terrace.over) == (34.0, 46.0, 12.0), "digging counts as it was bid"
    assert (made.all.bid_hours, made.all.ends, made.all.over) == (40.0, 52.0, 12.0)


# hours at the end = hours so far ÷ part done = bid ÷ cost performance index. Sources: the first from
# ceboardexamgenerator.com, construction, project control and earned value (inputs read there, outputs computed);
# the second from scribd.com/document/600303029, Earned Value (inputs read there, outputs computed)
PUBLISHED = [  # budget at completion, earned, actual, estimate at completion
    (5_000_000, 1_500_000, 1_800_000, 6_000_000),
    (500, 400, 600, 750),
]


@pytest.mark.parametrize(("bid", "earned", "actual", "ends"), PUBLISHED)
def test_end_agrees_with_published_earned_value(bid: int, earned: int, actual: int, ends: int) -> None:
    assert at_this_pace(actual, earned * 100 // bid) == pytest.approx(ends)
    assert bid / (earned / actual) == pytest.approx(ends)


@pytest.mark.parametrize("percent", [0, -25, 101])
def test_no_pace_of_a_part_that_is_none(percent: int) -> None:
    with pytest.raises(BadValue):
        at_this_pace(4.0, percent)


@pytest.mark.parametrize(
    ("entries", "sayings", "why"),
    [
        ([], [], Unsaid.NOT_BEGUN),
        ([hours(LAY, 8)], [], Unsaid.NOT_SAID),
        ([hours(LAY, 8)], [said(LAY, 0)], Unsaid.JUST_BEGUN),
        ([hours(LAY, 3)], [said(LAY, 25)], Unsaid.JUST_BEGUN),
        ([hours(LAY, 4)], [said(LAY, 25)], None),
        ([hours(LAY, 8, day=4)], [said(LAY, 50, day=3)], Unsaid.JUST_BEGUN),  # nothing was worked when it was said
        ([], [said(LAY, 50)], Unsaid.NO_HOURS),
        ([hours(LAY, 1)], [said(LAY, 100)], None),
    ],
    ids=["nothing", "hours alone", "nothing done", "minutes", "an hour", "hours later", "no hours", "done"],
)
def test_where_too_little_is_known_no_end_is_told(entries, sayings, why: Unsaid | None) -> None:
    row = held(entries, sayings).row(LAY.at)
    assert row.unsaid is why
    assert (row.ends is None) == (why is not None)


def test_hours_after_the_saying_do_not_change_the_pace_until_they_are_more() -> None:
    before = [hours(LAY, 32, day=3)]
    assert held([*before, hours(LAY, 16, day=4)], [said(LAY, 50)]).row(LAY.at).ends == 16.0
    assert held([*before, hours(LAY, 40, day=4)], [said(LAY, 50)]).row(LAY.at).ends == 18.0, (
        "never below what is worked"
    )


def test_newest_saying_counts_by_day_then_by_moment() -> None:
    entries = [hours(LAY, 40)]
    assert held(entries, [said(LAY, 75, day=4), said(LAY, 25, day=3)]).row(LAY.at).percent == 75
    assert held(entries, [said(LAY, 50, hour=17), said(LAY, 25, hour=9)]).row(LAY.at).percent == 50


def test_done_ends_at_what_was_worked() -> None:
    row = held([hours(LAY, 80)], [said(LAY, 100)]).row(LAY.at)
    assert (row.ends, row.over) == (20.0, -4.0)


def test_work_that_was_not_bid_is_all_over_at_the_mean_hour_of_the_crew() -> None:
    """By hand: (960 + 400 + 180) ÷ 40 h = $38.50 an hour; 3 h are $115.50 that nobody bid."""
    odd = LoggedHours(id=uuid4(), day=MAY[2], person="Ada", quarters=12, zone=TERRACE, words="Old footing out")
    made = held([odd])
    row = made.row(TaskPlace(TERRACE, "", ""))
    assert (row.bid.title, row.ends, row.over, row.cents) == ("Not in the bid", 3.0, 3.0, 11_550)
    assert made.by_zone[0].over == 3.0


def test_task_that_left_the_bid_keeps_its_hours_and_its_name() -> None:
    gone = LoggedHours(id=uuid4(), day=MAY[2], person="Ada", quarters=4, zone=TERRACE, task="rake")
    assert held([gone]).row(TaskPlace(TERRACE, "", "rake")).bid.title == "Rake out"


def test_hours_past_the_bid_show_even_where_nobody_said_how_far_it_is() -> None:
    made = held([hours(DIG, 52)])
    assert (made.row(DIG.at).ends, made.all.ends, made.all.over) == (None, 43.0, 3.0)
    assert [row.bid for row in made.all.untold] == [DIG]


def test_nothing_worked_tells_no_end() -> None:
    assert (held().all.ends, held().all.over) == (None, None)


def test_hours_without_a_wage_cost_nobody_knows_what() -> None:
    unpaid = replace(LAY, cents=0, per_hour=None)
    made = against_bid((unpaid,), [hours(unpaid, 8)], [], {})
    assert (made.all.cents, made.all.unpaid) == (0, 1)


def test_own_hours_stand_beside_the_crew_s() -> None:
    own = replace(PLANT, at=TaskPlace("job", "", "visit"), own=True)
    made = against_bid((*BIDS, own), [hours(own, 8)], [], {})
    assert made.all.hours == 0.0
    assert [row.hours for row in made.own] == [2.0]


@given(
    st.lists(st.tuples(st.sampled_from(BIDS), st.integers(1, 64), st.integers(1, 28)), max_size=12),
    st.lists(st.tuples(st.sampled_from(BIDS), st.sampled_from((0, 25, 50, 75, 100)), st.integers(1, 28)), max_size=6),
)
def test_sums_are_exact_and_no_end_lies_below_what_is_worked(worked, told) -> None:
    made = held([hours(one, quarters, day) for one, quarters, day in worked], [said(*one) for one in told])
    assert made.all.hours == sum(quarters for _, quarters, _ in worked) / 4
    for sums in (made.by_zone, made.by_phase):
        assert sum(one.cents for one in sums) == made.all.cents
        assert sum(one.expected_cents for one in sums) == made.all.expected_cents
        assert sum(one.hours for one in sums) == made.all.hours
    assert all(row.expected >= row.hours for row in made.rows)
    assert all(row.percent != 100 or not row.quarters or row.ends == row.hours for row in made.rows)
