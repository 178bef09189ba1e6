"""Planting weeks and approvals that are waited for, both sides of each limit."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.costing.estimate import estimate
from app.domain.findings import Severity
from app.domain.job import Approval, Job, Stage
from app.domain.phasing import order_points
from app.domain.phasing.seasons import in_season, next_in_season, windows
from app.domain.plan import rectangle
from tests.plans.yards import basis, empty, named, with_phase, with_zone

TODAY = date(2027, 1, 4)


def points(job: Job, rule: str, today: date = TODAY, **rules):
    on = basis(**rules)
    return [one for one in order_points(job, on, estimate(job, on).requirements, today) if one.rule == rule]


def lawn(start: date, done: date | None = None, assembly: str = "sod-lawn") -> Job:
    job = with_phase(empty(), 1, start=start, done=done)
    return with_zone(job, "L", rectangle(20, 10, at=(0, 30)), assembly, phase="1")


def test_seed_goes_in_from_mid_august_to_mid_october() -> None:
    """K-State Research and Extension, Johnson County: early September is best, good results up to October 15."""
    weeks = windows(basis(), "seed")
    assert in_season(date(2027, 9, 7), weeks)
    assert in_season(date(2027, 10, 15), weeks)
    assert not in_season(date(2027, 11, 1), weeks)
    assert not in_season(date(2027, 7, 4), weeks)
    assert next_in_season(date(2027, 7, 4), weeks) == date(2027, 8, 17)


@pytest.mark.parametrize(
    ("start", "done", "found"),
    [
        (date(2027, 7, 1), date(2027, 8, 10), 1),  # all of it in the heat
        (date(2027, 7, 1), date(2027, 8, 20), 0),  # its end is in season
        (date(2027, 7, 1), None, 1),  # 45 days on it is August 15
        (date(2027, 7, 10), None, 0),
        (date(2027, 12, 1), date(2028, 2, 20), 1),
    ],
)
def test_sod_is_laid_while_a_day_of_its_phase_is_in_season(start, done, found) -> None:
    assert len(points(lawn(start, done), "out-of-season")) == found


def test_next_good_day_is_said_and_the_weeks_are_the_firms_own() -> None:
    (one,) = points(lawn(date(2027, 12, 1), date(2027, 12, 20)), "out-of-season")
    assert "April 1, 2028" in one.what
    assert points(lawn(date(2027, 12, 1), date(2027, 12, 20)), "out-of-season", plant_sod_fall_last=12.9) == []


def test_what_is_paved_has_no_season() -> None:
    assert points(lawn(date(2027, 12, 1), assembly="unit-pavers"), "out-of-season") == []


def test_weeks_that_are_not_in_the_rules_are_said() -> None:
    on = basis()
    on = replace(on, rules={key: one for key, one in on.rules.items() if not key.startswith("plant-sod")})
    job = lawn(date(2027, 12, 1))
    found = order_points(job, on, estimate(job, on).requirements, TODAY)
    assert [one.severity for one in found if one.rule == "out-of-season"] == [Severity.NOT_CHECKED]


def asked(job: Job, **approval) -> Job:
    return replace(job, approvals=(Approval(id=named("board"), title="The board's yes", **approval),))


@pytest.mark.parametrize(("start", "found"), [(date(2027, 1, 25), 1), (date(2027, 1, 26), 0)])
def test_phase_begins_after_the_approval_is_due(start, found) -> None:
    job = asked(lawn(start), submitted=TODAY, days=21)
    assert len(points(job, "starts-before-approval")) == found


def test_approved_is_nothing_to_settle_and_overdue_is() -> None:
    job = lawn(date(2027, 2, 15))
    assert points(asked(job, submitted=TODAY, approved=TODAY), "starts-before-approval") == []
    late = TODAY + timedelta(days=22)
    assert len(points(asked(job, submitted=TODAY, days=21), "approval-overdue", late)) == 1
    assert points(asked(job, submitted=TODAY, days=22), "approval-overdue", late) == []


def test_comments_wait_for_an_answer_and_the_whole_time_before_it_once_more() -> None:
    job = lawn(date(2027, 3, 1))
    came = TODAY + timedelta(days=10)
    (found,) = points(
        asked(job, submitted=TODAY, commented=came, comments="Lower the wall."), "approval-comments", came
    )
    assert (found.severity, found.measured) == (Severity.WARN, "Lower the wall.")
    one = Approval(id=named("board"), submitted=TODAY, commented=came, days=21)
    assert one.there_on(came) == came + timedelta(days=21)
    again = replace(one, submitted=came + timedelta(days=1))
    assert (again.has_comments, again.there_on(came)) == (False, came + timedelta(days=22))
    assert not replace(one, approved=came).has_comments


@pytest.mark.parametrize(("after", "found"), [(0, 0), (1, 1)])
def test_approval_that_ran_out_stops_the_crew_from_the_day_after(after, found) -> None:
    last = TODAY + timedelta(days=30)
    job = asked(lawn(date(2027, 2, 15)), submitted=TODAY, approved=TODAY, expires=last)
    stops = points(job, "approval-run-out", last + timedelta(days=after))
    assert [one.severity for one in stops] == [Severity.STOP] * found


def test_a_lost_job_waits_for_nothing() -> None:
    job = asked(lawn(date(2027, 1, 5)), submitted=TODAY)
    assert points(replace(job, head=replace(job.head, stage=Stage.LOST)), "starts-before-approval") == []


def test_approval_of_a_later_phase_holds_up_that_phase_only() -> None:
    job = with_phase(lawn(date(2027, 1, 5)), 2, start=date(2027, 6, 1))
    assert points(asked(job, phase_id=named("phase 2"), days=30), "starts-before-approval") == []
    assert len(points(asked(job, days=30), "starts-before-approval")) == 1


def test_a_phase_without_a_last_day_says_how_many_days_are_taken_and_that_it_is_assumed() -> None:
    (ends,) = points(lawn(date(2027, 12, 1), date(2027, 12, 20)), "out-of-season")
    (open_ended,) = points(lawn(date(2027, 12, 1)), "out-of-season")
    assert open_ended.source == f"{ends.source}. The phase has no last day: 45 days are taken. Assumption, no source"
