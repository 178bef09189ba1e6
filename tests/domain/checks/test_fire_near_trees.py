"""A fire keeps its distance from a tree's crown and from a fence, whether they are drawn as areas, lines or points."""

from dataclasses import replace

import pytest

from app.domain.checks import check
from app.domain.checks.clearances import _away
from app.domain.findings import Severity
from app.domain.job import Existing
from app.domain.plan import rectangle
from app.domain.takeoff.stocked import stocked
from tests.plans.small_plans import small_plans
from tests.plans.yards import basis, named


@pytest.mark.parametrize(
    ("where", "clear"),
    [
        ({"outline": rectangle(4, 4, at=(10, -2))}, 10),
        ({"points": ((10.0, -20.0), (10.0, 20.0))}, 10),
        ({"points": ((12.0, -20.0), (12.0, 20.0)), "rises": (-2.0,)}, 10),  # bows two feet toward the fire
        ({"x": 22.0, "y": 0.0, "spread": 24.0}, 10),
        ({"x": 6.0, "y": 8.0}, 10),
        ({"x": 2.0, "y": 0.0, "spread": 24.0}, -10),  # its crown reaches 10 ft beyond the place
    ],
)
def test_distance_is_to_the_nearest_part(where, clear):
    assert _away(Existing(id=named("thing"), kind="tree", **where), (0.0, 0.0)) == pytest.approx(clear, abs=1e-2)


def test_thing_that_is_not_on_the_plan_has_no_distance():
    assert _away(Existing(id=named("thing"), kind="tree"), (0.0, 0.0)) is None


@pytest.mark.parametrize(
    ("plan", "severity"),
    [
        ("large shrub a foot nearer", Severity.WARN),  # whether a living shrub counts, the fire department says
        ("tree whose crown grows to 5 ft from the fire", Severity.STOP),
        ("tree whose crown grows over the fire", Severity.STOP),
    ],
)
def test_a_living_shrub_near_a_wood_fire_warns_where_a_tree_stops(plan, severity):
    job = next(one.job for one in small_plans() if one.name.endswith(plan))
    works = tuple(replace(one, assembly="fire-wood") if one.assembly == "fire-gas" else one for one in job.works)
    wood = replace(job, works=works)
    found = [one for one in check(wood, stocked(basis(), wood)) if one.rule == "fire-distance-wood"]
    assert {one.severity for one in found if "grown" in one.what + one.measured} == {severity}
