"""The stake-out of a job: from what stands already, never through the house, numbered as the plan is read."""

from dataclasses import replace

import pytest

from app.domain.crew.layout import fixed_points, stake_out
from app.domain.job import Job, Mark
from app.domain.plan import rectangle
from app.domain.plan.between import runs_inside
from tests.plans.yards import empty, named, with_feature, with_run, with_zone

HOUSE = rectangle(40, 20, at=(0, 30))


def yard() -> Job:
    job = with_zone(empty(house=HOUSE), "A", rectangle(16, 12, at=(4, 18)), level=1.0, fall=0.02, fall_bearing=180.0)
    job = with_run(job, "conduit", points=((2.0, 28.0), (2.0, 6.0)))
    return with_feature(job, "grill", x=30.0, y=12.0)


def test_zones_come_first_then_lines_then_things() -> None:
    first = [stake.of[0][0] for stake in stake_out(yard()).stakes]
    assert first == ["corner"] * 4 + ["point"] * 2 + ["thing"]


def test_a_tie_never_runs_through_the_house() -> None:
    job = yard()
    where = {one.title: one.at for one in fixed_points(job)}
    layout = stake_out(job)
    assert len(layout.ties) == len(layout.stakes)
    for stake in layout.stakes:
        ties = layout.ties[stake.number]
        for title in (ties.first, ties.second):
            assert not runs_inside([where[title], stake.at], HOUSE, 0.25)


def test_the_baseline_is_the_wall_that_the_work_lies_before() -> None:
    layout = stake_out(yard())
    assert layout.baseline is not None
    assert {one.at for one in layout.baseline} == {(0.0, 30.0), (40.0, 30.0)}
    # 12 ft into the yard is 12 ft left of the way along the wall
    corner = next(one for one in layout.stakes if one.at == (4.0, 18.0))
    assert layout.stations[corner.number].off == pytest.approx(12)


def test_a_chosen_baseline_and_marks_come_before_the_walls() -> None:
    marks = (
        Mark(id=named("pin one"), title="Pin one", x=0.0, y=0.0),
        Mark(id=named("pin two"), title="Pin two", x=40.0, y=0.0),
        Mark(id=named("corner"), title="Corner post", x=0.0, y=30.0),
    )
    job = yard()
    job = replace(job, marks=marks, site=replace(job.site, baseline_ids=(marks[0].id, marks[1].id)))
    layout = stake_out(job)
    assert layout.baseline is not None
    assert [one.title for one in layout.baseline] == ["Pin one", "Pin two"]
    titles = [one.title for one in fixed_points(job)]
    assert titles[:3] == ["Pin one", "Pin two", "Corner post"]
    assert len([one for one in fixed_points(job) if one.at == (0.0, 30.0)]) == 1  # the mark names the house corner


def test_finish_levels_follow_the_fall_of_the_zone() -> None:
    layout = stake_out(yard())
    high = next(one for one in layout.stakes if one.at == (4.0, 30.0))
    low = next(one for one in layout.stakes if one.at == (4.0, 18.0))
    # 12 ft at 2%, half of it above and below the middle, where the level holds
    assert high.levels == (("A", pytest.approx(1.12)),)
    assert low.levels == (("A", pytest.approx(0.88)),)


def test_an_empty_plan_has_no_stakes() -> None:
    layout = stake_out(empty())
    assert layout.stakes == ()
    assert layout.baseline is None
