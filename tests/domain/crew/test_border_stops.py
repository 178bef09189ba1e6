"""Where a border stops is staked: its inner corners, by hand on small outlines."""

from dataclasses import replace
from math import hypot

import pytest

from app.domain.crew.border_stops import border_stops
from app.domain.crew.layout import stake_out
from app.domain.plan.laying import BorderCourse, Laying
from app.domain.plan.laying.sides import stops_of
from app.domain.plan.outline import Outline
from app.domain.plan.shapes import rectangle
from tests.plans.yards import basis, empty, with_zone

ELL = Outline("POLYGON ((0 0, 20 0, 20 12, 10 12, 10 6, 0 6, 0 0))")
SLANTED = Outline("POLYGON ((0 0, 20 0, 24 12, -6 12, 0 0))")


@pytest.mark.parametrize(
    ("outline", "along", "mitered", "places"),
    [
        (rectangle(20, 12), ((10, 0), (20, 6)), False, [(0, 1), (19, 12)]),  # through to the next sides
        (rectangle(20, 12), ((10, 0),), True, [(1, 1), (19, 1)]),  # mitered: where the inner line meets the miter
        (ELL, ((10, 9),), False, [(11, 12), (11, 6)]),  # through above, square at the inward corner
        (SLANTED, ((10, 0),), False, [(-0.5, 1), (20 + 1 / 3, 1)]),  # on the slanted sides: 6 in 12, 4 in 12
    ],
    ids=["two sides", "mitered", "inward corner", "slanted"],
)
def test_inner_corners_are_where_the_border_ends(outline, along, mitered, places) -> None:
    found = stops_of(outline, along, 1.0, mitered=mitered)
    assert len(found) == len(places)
    for place in places:
        assert min(hypot(place[0] - x, place[1] - y) for x, y in found) < 1e-9, (place, found)


def test_stops_are_staked_after_everything_else_and_only_where_a_border_stops() -> None:
    job = with_zone(empty(house=None), "A", rectangle(20, 12), "unit-pavers")
    laid = Laying(pattern="stack", borders=(BorderCourse(),), along=((10, 0),))

    def stops(laying: Laying):
        one = replace(job, works=(replace(job.works[0], laying=laying),))
        return border_stops(one, basis()), stake_out(one, border_stops(one, basis()))

    spots, layout = stops(laid)
    assert [spot.title for spot in spots] == ["A Place A, border stops"] * 2
    assert len(layout.stakes) == 6
    assert [stake.of for stake in layout.stakes[-2:]] == [(("thing", "A Place A, border stops"),)] * 2
    assert spots[0].at[0] == pytest.approx(0)
    assert stops(replace(laid, along=()))[0] == ()
    assert stops(replace(laid, along=((900, 900),)))[0] == ()
