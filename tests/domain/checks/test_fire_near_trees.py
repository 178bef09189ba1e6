"""A fire keeps its distance from a tree's crown and from a fence, whether they are drawn as areas, lines or points."""

import pytest

from app.domain.checks.clearances import _away
from app.domain.job import Existing
from app.domain.plan import rectangle
from tests.plans.yards import named


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
