"""Plants are placed one by one: counts against published tables, whichever way the plan is turned, whatever is cut out."""

import time
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan.measures import area, moved, turned
from app.domain.plan.outline import Outline, chords
from app.domain.plan.shapes import circle, l_shape, rectangle
from app.domain.trades.planting.placing import Alone, Fill, TooManyPlants, placed

# Source: Glover Perennials, groundcover chart (printed): plants on 100 sq ft, square, by spacing in inches
PRINTED = {4: 900, 6: 400, 8: 225, 10: 144, 12: 100, 15: 64, 24: 25}


def counts(outline, *fills, alone=()):
    return [len(one) for one in placed(outline, fills, alone)]


@pytest.mark.parametrize(("inches", "plants"), PRINTED.items())
def test_square_counts_agree_with_the_printed_chart_where_the_spacing_fits(inches, plants):
    assert counts(rectangle(10, 10), Fill(spacing=inches / 12, triangular=False)) == [plants]


def test_a_spacing_that_does_not_fit_is_placed_not_divided():
    # 18 in on 10 ft: six fit in a row; the chart's 44 is area over spacing squared
    assert counts(rectangle(10, 10), Fill(spacing=1.5, triangular=False)) == [36]


def test_triangular_counts_come_to_the_factor_of_geometry_on_wide_ground():
    # Source: geometry, 2/√3 = 1.1547 plants for each on a square grid; the edge takes its part of it
    found = counts(rectangle(100, 100), Fill(spacing=1.0))[0]
    assert found / 10_000 == pytest.approx(1.1547, rel=0.012)


def test_triangular_rows_lie_their_height_apart():
    # Source: Bloomin' Designs Nursery, plant calculator: rows 10.4 in apart at 12 in
    rows = sorted({round(y, 6) for _, y in placed(rectangle(10, 10), [Fill(spacing=1.0)])[0]})
    assert {round((b - a) * 12, 1) for a, b in pairwise(rows)} == {10.4}


BEDS = [circle(9.3), l_shape(30, 20, 11, 7.3), rectangle(40, 1.2), rectangle(17.3, 6.1)]


@pytest.mark.parametrize("bed", BEDS)
@settings(max_examples=12)
@given(degrees=st.floats(0, 360), east=st.floats(-500, 500), north=st.floats(-500, 500))
def test_moving_and_turning_a_bed_changes_no_count(bed, degrees, east, north):
    fills = (Fill(spacing=1.5, share=2.0), Fill(spacing=2.0, triangular=False), Fill(spacing=0.75, under=True))
    assert counts(moved(turned(bed, degrees), east, north), *fills) == counts(bed, *fills)


def test_openings_stay_free_and_no_two_stand_nearer_than_their_spacing():
    ring = Outline("POLYGON ((0 0, 20 0, 20 12, 0 12, 0 0), (6 4, 14 4, 14 8, 6 8, 6 4))")
    (points,) = placed(ring, [Fill(spacing=1.5)])
    ground = chords(ring).polygon
    assert len(points) > 50
    assert all(ground.exterior.distance(at) >= 0.75 - 1e-5 for at in map(point, points))
    assert all(ground.interiors[0].distance(at) >= 0.75 - 1e-5 for at in map(point, points))
    nearest = min(point(one).distance(point(two)) for n, one in enumerate(points) for two in points[:n])
    assert nearest >= 1.5 - 1e-5


def point(at):
    return shapely.Point(at)


def test_shares_part_the_bed_by_area():
    bed = rectangle(40, 10)
    one, other = counts(bed, Fill(spacing=0.5, share=3, triangular=False), Fill(spacing=0.5, triangular=False))
    assert one == pytest.approx(3 * other, rel=0.02)
    assert one + other == pytest.approx(area(bed) * 4, rel=0.02)


def test_a_plant_that_stands_alone_keeps_its_room_free():
    fill = Fill(spacing=1.0, triangular=False)
    (points,) = placed(rectangle(20, 20), [fill], [Alone((10.0, 10.0), 6.0)])
    away = [((x - 10) ** 2 + (y - 10) ** 2) ** 0.5 for x, y in points]
    assert min(away) >= 3.5 - 1e-6
    assert len(points) < 400 - 30  # π × 3.5² = 38 plants fewer, less those at its edge
    assert counts(rectangle(20, 20), Fill(spacing=1.0, triangular=False, under=True), alone=[Alone((10, 10), 6.0)]) == [
        400
    ]


def test_a_strip_narrower_than_the_spacing_takes_one_row():
    (points,) = placed(rectangle(12, 1), [Fill(spacing=1.5)])
    assert len(points) == 8  # 9 in from either end
    assert all(abs(y - 0.5) < 0.05 for _, y in points)


@pytest.mark.parametrize("inches", [1.9, 12 * 61])
def test_a_spacing_nobody_plants_at_is_refused(inches):
    with pytest.raises(BadValue, match="2 in to 60 ft"):
        placed(rectangle(10, 10), [Fill(spacing=inches / 12)])


def test_a_bed_that_would_take_too_many_is_refused_before_they_are_placed():
    with pytest.raises(TooManyPlants, match="20,000"):
        placed(rectangle(400, 400), [Fill(spacing=0.2)])


def test_two_thousand_plants_are_placed_in_half_a_second():
    begun = time.process_time()
    (points,) = placed(circle(24.0), [Fill(spacing=0.95)])
    assert len(points) > 2_000
    assert time.process_time() - begun < 0.5
