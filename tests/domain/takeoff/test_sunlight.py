"""What of a yard throws shadows, what is missing, what is assumed; hours of beds and the evenings of seats."""

from dataclasses import replace

import numpy as np
import pytest

from app.domain.job import Existing, Fate, Planting, RunKind, ZoneKind
from app.domain.plan.shapes import rectangle
from app.domain.takeoff.stocked import stocked
from app.domain.takeoff.sunlight import Scene, evening, grid_of, grown, mean_within, scene_of, season_hours
from tests.plans.yards import basis, empty, named, site, with_run, with_zone

OPEN = {
    "latitude": 40.0,
    "longitude": -76.0,
    "house": rectangle(40, 20, at=(0, 40)),
    "house_height": 18.0,
    "north": 0.0,
}


def yard(**fields):
    return site(with_zone(empty(), "A", rectangle(20, 10, at=(10, 10)), kind=ZoneKind.DINING), **{**OPEN, **fields})


def scene(job):
    found = scene_of(job)
    assert isinstance(found, Scene), found
    return found


@pytest.mark.parametrize(
    ("lacks", "words"),
    [
        ({"latitude": None}, "latitude and longitude"),
        ({"house": None}, "the outline"),
        ({"house_height": None}, "eaves"),
    ],
)
def test_what_is_missing_is_said(lacks, words):
    found = scene_of(yard(**lacks))
    assert not isinstance(found, Scene)
    assert words in found[0]
    wrong = scene_of(yard(latitude=66.0))
    assert "outside" in wrong[0]


def test_what_stands_throws_shadows_and_what_goes_does_not():
    fence = Existing(id=named("f"), kind="fence", title="Board fence", points=((0, 0), (0, 60)))
    tree = Existing(id=named("t"), kind="tree", title="Maple", x=5.0, y=5.0, spread=20.0, height=30.0)
    pine = Existing(id=named("p"), kind="tree", title="White pine", x=50.0, y=5.0)
    shed = Existing(id=named("s"), kind="structure", outline=rectangle(8, 8, at=(60, 0)), fate=Fate.GOES)
    job = replace(yard(), existing=(fence, tree, pine, shed))
    found = scene(with_run(job, "Wall", kind=RunKind.WALL, points=((0, 0), (10, 0)), height=3.0))
    assert [(one.high, one.low, one.leafy) for one in found.blockers] == [
        (18.0, 0.0, False),
        (6.0, 0.0, False),
        (30.0, 7.5, True),
        (25.0, 6.25, False),
        (3.0, 0.0, False),
    ]
    assert [words.partition(":")[0] for words in found.assumed] == ["Board fence", "White pine"]


def test_ground_north_of_the_house_has_less_sun_than_south_of_it():
    found = scene(yard())
    south, north = (season_hours(found, [(20.0, y)], y) for y in (36.0, 64.0))
    assert south > north + 3
    upside_down = scene(yard(north=180.0))
    assert season_hours(upside_down, [(20.0, 64.0)], "x") > season_hours(upside_down, [(20.0, 36.0)], "y") + 3


def test_the_evening_sun_comes_from_the_northwest_in_june_unless_something_stands_there():
    found = evening(scene(yard()), (60.0, 10.0), 6)
    assert found is not None
    assert 270 < found.first < found.last < 305
    assert 18 * 60 < found.until < 20.5 * 60
    wall = replace(yard(), existing=(Existing(id=named("f"), kind="fence", height=60.0, points=((55, -90), (55, 90))),))
    assert evening(scene(wall), (60.0, 10.0), 6) is None


def test_listed_trees_throw_shadows_as_grown():
    job = yard()
    row = Planting(id=named("r"), alternative_id=job.alternatives[0].id, species="cercis-canadensis", size="7-gal", pattern="placed", points=((15, 15),))  # fmt: skip
    job = replace(job, plantings=(row,))
    (tree,) = grown(job, stocked(basis(), job))
    assert (tree.high, tree.leafy) == (30.0, True)
    assert tree.shape.bounds == pytest.approx((-2.5, -2.5, 32.5, 32.5))
    assert scene_of(job) is scene_of(job)


def test_a_grid_covers_the_lot_and_an_outline_has_the_mean_of_what_lies_in_it():
    grid = grid_of(yard(lot=rectangle(80, 120)))
    assert (grid.wide, grid.deep, grid.step) == (80, 120, 1.0)
    large = grid_of(yard(lot=rectangle(900, 120)))
    assert (large.wide, large.step) == (300, 3.0)
    hours = np.stack([np.tile(np.arange(80) + 0.5, (120, 1)), np.ones((120, 80))])  # hours grow to the east
    assert mean_within(rectangle(20, 10, at=(10, 10)), grid, hours) == pytest.approx((20.0, 1.0))
    assert mean_within(rectangle(0.4, 0.3, at=(30.6, 5)), grid, hours) == pytest.approx((30.5, 1.0), abs=1)
