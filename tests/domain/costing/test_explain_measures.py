"""Measures of the plan open to the sides, radius and falls they come from."""

from math import pi
from uuid import UUID

import pytest

from app.domain.costing.explain_measures import measured
from app.domain.job import Alternative, Client, Head, Job, Measured, Run, Site, Zone
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import circle, from_points, l_shape, rectangle

ZONE, WAY, RUN, HEAD = (UUID(int=number) for number in range(1, 5))
FIRST = {"head": Head(id=HEAD, client_id=HEAD), "client": Client(id=HEAD), "site": Site(id=HEAD)}


def job_with(outline: Outline | None, **fields) -> Job:
    way = Alternative(id=WAY, zone_id=ZONE, outline=outline, measured=Measured.TAPED, **fields)
    return Job(**FIRST, zones=(Zone(id=ZONE, chosen_id=WAY),), alternatives=(way,))


@pytest.mark.parametrize(
    ("outline", "area", "length", "filled"),
    [
        (rectangle(20, 12), 240, 64, "20 × 12"),
        (circle(7), 49 * pi, 14 * pi, "3.1416 × 7 × 7"),
        (l_shape(20, 12, 5, 4), 220, 64, "20 × 12 − 5 × 4"),
        (from_points([(3, 3), (23, 3), (23, 15)]), 120, 20 + 12 + (20**2 + 12**2) ** 0.5, "0 + 120 + 0"),
    ],
)
def test_area_and_outline_open_to_what_was_measured(outline, area, length, filled):
    # geometry: closed formulas of the rectangle, circle, L and triangle
    found = measured(job_with(outline), f"zone:{ZONE}:area")
    assert (found.result, found.unit, found.filled) == (pytest.approx(area), "sq ft", filled)
    assert found.source == "measured by tape"
    around = measured(job_with(outline), f"zone:{ZONE}:outline")
    assert around.result == pytest.approx(length) == pytest.approx(sum(one.result for one in around.steps))


def test_area_of_sizes_that_are_not_the_outline_any_more_opens_to_its_sides():
    stale = Outline(from_points([(3, 3), (23, 3), (23, 27)]).wkt, "rectangle", (20, 13))
    found = measured(job_with(stale), f"zone:{ZONE}:area")
    assert found.result == pytest.approx(240) == pytest.approx(sum(one.result for one in found.steps))
    assert len(found.steps) == 3


def test_sides_of_an_arc_add_up_to_the_area():
    half = from_points([(0, 0), (10, 0)], {1: (5, 5)})
    found = measured(job_with(half), f"zone:{ZONE}:area")
    assert sum(one.result for one in found.steps) == pytest.approx(25 * pi / 2) == pytest.approx(found.result)


def test_fall_says_where_it_falls():
    found = measured(job_with(None, fall=1 / 48, fall_toward="the lawn"), f"zone:{ZONE}:fall")
    assert (found.result, found.filled) == (1 / 48, "1/4 in per ft (2.1%), falling toward the lawn")


def test_run_opens_to_its_pieces_or_to_what_was_typed():
    run = Run(id=RUN, points=((0, 0), (3, 4), (3, 10)))
    job = Job(**FIRST, runs=(run, Run(id=WAY, length=9.5)))
    assert [one.result for one in measured(job, f"run:{RUN}:length").steps] == [5, 6]
    assert measured(job, f"run:{WAY}:length").expression == "as typed"


@pytest.mark.parametrize(
    "name", ["zone", "zone::area", f"zone:{ZONE}:color", f"zone:{ZONE}:area", f"run:{ZONE}:length", ""]
)
def test_measure_that_is_not_on_the_plan_is_none(name):
    assert measured(job_with(None), name) is None
