"""Outlines measure exactly what geometry says, survive being moved, turned and stored, and refuse what is none."""

from math import asin, cos, hypot, pi, radians, sin, sqrt
from random import Random
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan.arcs import Arc, Line, arc_through, through_of_rise
from app.domain.plan.growing import Growing, grown, grown_into_open
from app.domain.plan.measures import area, bounds, centroid, is_convex, moved, perimeter, svg_path, turned
from app.domain.plan.outline import (
    EdgeWithoutLength,
    EmptyOutline,
    Outline,
    OutlineCrossesItself,
    UnreadableOutline,
    checked,
    chords,
    segments,
)
from app.domain.plan.shapes import (
    circle,
    from_points,
    l_shape,
    outline_of_sizes,
    parse_points,
    placing,
    rectangle,
    typed_points,
)
from app.domain.plan.wkt import NotAnArc, read_rings, write_rings

STADIUM = from_points([(0, 0), (20, 0), (20, 10), (0, 10)], {1: (25, 5), 3: (-5, 5)})  # two half circles on a rectangle
BITTEN = from_points([(0, 0), (20, 0), (20, 12), (0, 12)], {0: (10, 4)})  # an arc into the rectangle
RING = Outline(
    "CURVEPOLYGON (CIRCULARSTRING (18 0, 0 18, -18 0, 0 -18, 18 0), CIRCULARSTRING (16 0, 0 16, -16 0, 0 -16, 16 0))"
)
HOUSE = l_shape(40, 30, 15, 10)
SAMPLES = [rectangle(20, 12), circle(9), HOUSE, STADIUM, BITTEN, RING]
SIZES = st.floats(0.5, 200)
PLACES = st.tuples(st.floats(-500, 500), st.floats(-500, 500))


def _fine(outline):
    return chords(outline, 1e-7).polygon


def test_rectangle_measures_by_its_sides():
    patio = rectangle(20, 12, at=(3, 4))
    assert (area(patio), perimeter(patio)) == (240, 64)
    assert centroid(patio) == (13, 10)
    assert bounds(patio) == (3, 4, 23, 16)
    assert patio.wkt == "POLYGON ((3 4, 23 4, 23 16, 3 16, 3 4))"


def test_circle_measures_by_its_radius():
    pit = circle(9, at=(100, -50))
    assert area(pit) == pytest.approx(pi * 81, rel=1e-14)
    assert perimeter(pit) == pytest.approx(18 * pi, rel=1e-14)
    assert centroid(pit) == pytest.approx((100, -50), abs=1e-10)
    assert bounds(pit) == pytest.approx((91, -59, 109, -41), abs=1e-12)


def test_l_measures_by_its_sides():
    assert area(HOUSE) == 40 * 30 - 15 * 10
    assert perimeter(HOUSE) == 140
    assert centroid(HOUSE) == pytest.approx(((1200 * 20 - 150 * 32.5) / 1050, (1200 * 15 - 150 * 25) / 1050))


def test_stadium_measures_as_rectangle_and_circle():
    assert area(STADIUM) == pytest.approx(200 + 25 * pi, rel=1e-14)
    assert perimeter(STADIUM) == pytest.approx(40 + 10 * pi, rel=1e-14)
    assert centroid(STADIUM) == pytest.approx((10, 5), abs=1e-12)
    assert bounds(STADIUM) == pytest.approx((-5, 0, 25, 10), abs=1e-12)


def test_arc_inward_takes_a_circular_segment_away():
    radius = (10**2 + 4**2) / (2 * 4)
    angle = 2 * asin(10 / radius)
    assert area(BITTEN) == pytest.approx(240 - radius**2 * (angle - sin(angle)) / 2, rel=1e-12)


def test_centroid_of_a_half_circle_is_four_thirds_of_r_over_pi_up():
    half = from_points([(6, 0), (-6, 0)], {0: (0, 6)})
    assert centroid(half) == pytest.approx((0, 4 * 6 / (3 * pi)), abs=1e-12)


def test_arc_over_half_a_turn_keeps_its_long_way():
    pac = from_points([(3, 4), (3, -4)], {0: (-5, 0)})
    (arc,) = [piece for piece in segments(pac) if isinstance(piece, Arc)]
    assert arc.radius == pytest.approx(5)
    assert arc.sweep > pi
    assert "0 1 1 3 -4" in svg_path(pac)
    assert "0 1 0 3 4" in svg_path(pac, flip=True)
    assert area(pac) == pytest.approx(_fine(pac).area, rel=1e-6)


@given(
    st.lists(st.tuples(st.floats(2, 30), st.one_of(st.none(), st.floats(-0.6, 1.2))), min_size=3, max_size=9),
    st.booleans(),
)
@settings(max_examples=80, deadline=None)
def test_any_outline_with_arcs_agrees_with_fine_chords(corners, backward):
    count = len(corners)
    points = [(r * cos(2 * pi * i / count), r * sin(2 * pi * i / count)) for i, (r, _) in enumerate(corners)]
    through = {}
    for place, (_, bulge) in enumerate(corners):
        start, end = points[place], points[(place + 1) % count]
        if bulge is not None and abs(bulge) > 1e-3:
            through[place] = through_of_rise(start, end, bulge * hypot(end[0] - start[0], end[1] - start[1]))
    if backward:
        points, through = points[::-1], {(count - 2 - place) % count: point for place, point in through.items()}
    try:
        outline = from_points(points, through)
    except OutlineCrossesItself:
        return
    fine = _fine(outline)
    assert area(outline) == pytest.approx(fine.area, rel=1e-6)
    assert perimeter(outline) == pytest.approx(fine.length, rel=1e-6)
    assert centroid(outline) == pytest.approx(fine.centroid.coords[0], abs=1e-4)
    assert bounds(outline) == pytest.approx(fine.bounds, abs=1e-5)
    if is_convex(outline):
        assert fine.convex_hull.area == pytest.approx(fine.area, rel=1e-6)
        assert grown(outline, 1) == pytest.approx(fine.buffer(1, quad_segs=64).area, rel=1e-4)


def test_hole_is_taken_out_of_area_and_added_to_the_outline():
    assert area(RING) == pytest.approx(pi * (18**2 - 16**2), rel=1e-13)
    assert perimeter(RING) == pytest.approx(2 * pi * 34, rel=1e-13)
    assert centroid(RING) == pytest.approx((0, 0), abs=1e-12)


@pytest.mark.parametrize("outline", SAMPLES)
def test_measures_agree_with_the_geometry_library_on_fine_chords(outline):
    fine = _fine(outline)
    assert area(outline) == pytest.approx(fine.area, rel=1e-6)
    assert perimeter(outline) == pytest.approx(fine.length, rel=1e-6)
    assert centroid(outline) == pytest.approx(fine.centroid.coords[0], abs=1e-5)
    assert bounds(outline) == pytest.approx(fine.bounds, abs=1e-6)


@pytest.mark.parametrize("outline", SAMPLES)
def test_chords_name_the_segment_each_stands_for(outline):
    pieces, found = segments(outline), chords(outline)
    rings = [found.polygon.exterior, *found.polygon.interiors]
    edges = [pair for ring in rings for pair in zip(ring.coords[:-1], ring.coords[1:], strict=True)]
    assert len(edges) == len(found.owners)
    for (start, end), owner in zip(edges, found.owners, strict=True):
        piece = pieces[owner]
        for point in (start, end, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)):
            off = _off(piece, point)
            assert off <= 1 / 64 / 12 + 1e-9
    assert set(found.owners) == set(range(len(pieces)))


def _off(piece, point):
    if isinstance(piece, Arc):
        return abs(hypot(point[0] - piece.center[0], point[1] - piece.center[1]) - piece.radius)
    return shapely.LineString([piece.start, piece.end]).distance(shapely.Point(point))


@given(st.sampled_from(SAMPLES), PLACES, st.floats(-360, 360))
@settings(max_examples=60)
def test_move_and_turn_of_an_outline_change_no_measure(outline, by, degrees):
    placed = turned(moved(outline, *by), degrees, about=(7, -3))
    assert area(placed) == pytest.approx(area(outline), rel=1e-9)
    assert perimeter(placed) == pytest.approx(perimeter(outline), rel=1e-9)
    assert grown(placed, 0.5) == pytest.approx(grown(outline, 0.5), rel=1e-6)
    assert (placed.shape, placed.sizes) == (outline.shape, outline.sizes)


@given(SIZES, SIZES, st.floats(0.05, 0.95), PLACES)
@settings(max_examples=60)
def test_splitting_a_rectangle_keeps_its_area(width, depth, share, at):
    parts = rectangle(width * share, depth, at), rectangle(width * (1 - share), depth, (at[0] + width * share, at[1]))
    assert sum(map(area, parts)) == pytest.approx(area(rectangle(width, depth, at)), rel=1e-9)


@given(st.sampled_from(SAMPLES), st.floats(0, 3), st.floats(0.001, 1))
@settings(max_examples=60)
def test_growing_further_is_never_smaller(outline, distance, more):
    assert area(outline) <= grown(outline, distance) < grown(outline, distance + more)


def test_grown_convex_outline_follows_steiners_formula():
    assert grown(rectangle(20, 12), 0.5) == pytest.approx(240 + 32 + pi / 4, rel=1e-14)
    assert grown(circle(9), 0.5) == pytest.approx(pi * 9.5**2, rel=1e-14)
    assert grown(STADIUM, 1) == pytest.approx(20 * 12 + pi * 36, rel=1e-14)


def test_grown_l_is_its_closed_formula_with_one_square_inner_corner():
    # five round corners of a quarter circle; at the inner corner the two bands overlap in a square
    assert grown(HOUSE, 0.5) == pytest.approx(1050 + 140 * 0.5 + 5 / 4 * pi / 4 - 0.25, abs=1e-3)
    assert grown(RING, 0.5) == pytest.approx(pi * (18.5**2 - 15.5**2), rel=1e-4)


@pytest.mark.parametrize("distance", [-0.001, 100.1, float("nan"), float("inf")])
def test_grown_out_of_range_is_refused(distance):
    for grow in (grown, into_open):
        with pytest.raises(BadValue, match="0 to 100"):
            grow(rectangle(1, 1), distance)


def into_open(outline: Outline, distance: float, solid: list[Outline] | tuple[()] = (), **beside: Any) -> float:
    return grown_into_open(Growing(outline, tuple(solid)), distance, **beside)


def test_grown_into_open_leaves_the_side_at_the_house_alone():
    patio, house = rectangle(20, 12), rectangle(40, 30, at=(-10, 12))
    # three open sides; two round corners on the ground; at the house the band ends square, within the drawing noise
    expected = 240 + (20 + 2 * 12) * 0.5 + 2 * pi / 4 * 0.25
    assert into_open(patio, 0.5, [house]) == pytest.approx(expected, abs=0.02)
    assert into_open(patio, 0.5) == grown(patio, 0.5) == into_open(patio, 0.5, [rectangle(5, 5, at=(90, 0))])
    assert into_open(patio, 0, [house]) == 240


def test_grown_into_open_never_reaches_across_a_narrow_neighbor():
    patio, strip = rectangle(20, 12), rectangle(60, 0.25, at=(-20, 12))
    assert into_open(patio, 2, [strip]) == pytest.approx(240 + 44 * 2 + 2 * pi, abs=0.4)


def test_grown_into_open_counts_the_overlap_of_two_zones_once():
    left, right = rectangle(10, 10), rectangle(10, 10, at=(10.8, 0))
    both = shapely.union_all([chords(one).polygon.buffer(0.5, quad_segs=64) for one in (left, right)]).area
    each = [into_open(a, 0.5, beside=[Growing(b, (a,))]) for a, b in ((left, right), (right, left))]
    assert each[0] == pytest.approx(each[1], abs=1e-9)
    assert sum(each) == pytest.approx(both, abs=1e-2)
    assert into_open(left, 0.5, [right]) > each[0] + 0.9


def test_grown_into_open_does_not_depend_on_the_order_of_neighbors():
    patio = rectangle(20, 12)
    others = [rectangle(5, 5, at=(20.3, 0)), rectangle(5, 5, at=(20.2, 6)), circle(2, at=(10, 14.3))]
    beside = [Growing(one, (*others, patio)) for one in others]
    assert into_open(patio, 0.5, beside=beside) == into_open(patio, 0.5, beside=beside[::-1])


def test_ground_that_a_neighbor_does_not_grow_into_is_not_shared_with_it():
    left, right = rectangle(10, 10), rectangle(10, 10, at=(10.8, 0))
    base = rectangle(0.4, 10, at=(10.4, 0))  # of an edge of the right one: it grows nowhere there
    alone = into_open(left, 0.5, [base, right])
    assert into_open(left, 0.5, [base], beside=[Growing(right, (left, base))]) == pytest.approx(alone, abs=0.02)


@given(st.sampled_from(SAMPLES), PLACES)
@settings(max_examples=30)
def test_wkt_read_and_written_again_is_the_same_text(outline, by):
    placed = moved(outline, *by)
    assert write_rings(read_rings(placed.wkt)) == placed.wkt
    assert checked(Outline(placed.wkt)) == Outline(placed.wkt)


@pytest.mark.parametrize(
    ("wkt", "refusal"),
    [
        ("", UnreadableOutline),
        ("POLYGON ((" + ", ".join(["0 0"] * 2002) + "))", UnreadableOutline),
        ("LINESTRING (0 0, 1 1)", UnreadableOutline),
        ("polygon ((0 0, 1 0, 0 1, 0 0))", UnreadableOutline),
        ("POLYGON EMPTY", UnreadableOutline),
        ("POLYGON ((0 0, 1 0, 0 1, 0 0)", UnreadableOutline),
        ("POLYGON ((0 0, 1 0, 0 1, 0 0)) x", UnreadableOutline),
        ("POLYGON ((0 0, 1 0, 0 1, 1 1))", UnreadableOutline),
        ("POLYGON ((0 0 5, 1 0 5, 0 1 5, 0 0 5))", UnreadableOutline),
        ("POLYGON ((0 0, 1e9 0, 0 1, 0 0))", UnreadableOutline),
        ("POLYGON ((0 0, 1e999 0, 0 1, 0 0))", UnreadableOutline),
        ("POLYGON (CIRCULARSTRING (0 0, 1 1, 2 0, 1 -1, 0 0))", UnreadableOutline),
        ("CURVEPOLYGON (COMPOUNDCURVE ((0 0, 5 0), (6 0, 5 5, 0 0)))", UnreadableOutline),
        ("CURVEPOLYGON (CIRCULARSTRING (0 0, 1 1, 2 0, 0 0))", UnreadableOutline),
        ("CURVEPOLYGON (COMPOUNDCURVE (CIRCULARSTRING (0 0, 1 0, 2 0), (2 0, 1 1, 0 0)))", NotAnArc),
        ("POLYGON ((0 0, 10 0, 0 10, 10 10, 0 0))", OutlineCrossesItself),
        ("POLYGON ((0 0, 10 0, 10 10, 5 0, 0 10, 0 0))", OutlineCrossesItself),
        ("POLYGON ((0 0, 10 0, 10 10, 0 10, 0 0), (5 5, 15 5, 5 8, 5 5))", OutlineCrossesItself),
        ("POLYGON ((0 0, 10 0, 10 0, 0 10, 0 0))", EdgeWithoutLength),
        ("POLYGON ((0 0, 10 0, 0 0))", EmptyOutline),
        ("POLYGON ((0 0, 0.01 0, 0 0.01, 0 0))", EmptyOutline),
    ],
)
def test_outline_that_is_none_is_refused_with_a_sentence(wkt, refusal):
    with pytest.raises(refusal) as refused:
        area(Outline(wkt))
    assert refused.value.sentence.endswith(".")


def test_arc_that_crosses_a_far_edge_is_refused_with_the_place():
    with pytest.raises(OutlineCrossesItself, match=r"near .* east, .* north"):
        from_points([(0, 0), (20, 0), (20, 6), (0, 6)], {0: (10, 7)})
    assert area(from_points([(0, 0), (20, 0), (20, 6), (0, 6)], {0: (10, 5.9)})) > 0


@given(st.text(alphabet="POLYGNCURVEISTM 0123456789.,()e-+", max_size=60))
@settings(max_examples=100)
def test_any_wkt_text_is_read_or_refused(text):
    try:
        found = area(Outline(text))
    except BadValue as refused:
        found = refused.sentence
    assert found


def test_whole_circle_of_three_points_has_its_middle_opposite():
    assert area(Outline("CURVEPOLYGON (CIRCULARSTRING (9 0, -9 0, 9 0))")) == pytest.approx(81 * pi)


def test_typed_points_with_arcs_make_the_outline():
    typed = "0,0 / 20,0 / arc 20,10 through 25,5 / 0,10 / arc 0,0 out 5"
    assert area(parse_points(typed)) == pytest.approx(200 + 25 * pi)
    backward = parse_points("0,0 / arc 0,10 out 5 / 20,10\narc 20,0 out 5")
    assert area(backward) == pytest.approx(200 + 25 * pi)
    assert area(parse_points("0,0 / 20,0 / 20,12 / arc 0,12 in 4 / 0,0")) == pytest.approx(area(BITTEN))


def test_typed_points_read_every_form_of_length():
    assert area(parse_points("-5, -2' 6\" / 12' 6 1/2\", -2.5 / 12' 6 1/2\", 150 in / -5, 12-6")) == pytest.approx(
        (12 + 6.5 / 12 + 5) * 15
    )
    assert area(parse_points("0; 0 / 3,05; 0 / 3,05; 2 / 0; 2", system="metric")) == pytest.approx(6.1 / 0.3048**2)


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        ("", "at least three points"),
        ("0,0 / 5,5", "at least three points"),
        ("0,0 / 5 / 5,5", "Point 2"),
        ("0,0 / a,5 / 5,5", "Point 2"),
        ("arc 0,0 out 3 / 5,0 / 5,5", "Begin with a point"),
        ("0,0 / arc 5,0 over 3 / 5,5", "Point 2"),
        ("0,0 / arc 5,0 out 3", "through"),
        ("0,0 / arc 5,0 out 0 / 0,0", "at least three points"),
        ("0,0 / arc 10,0 through 5,0 / 5,5", "straight line"),
        ("0,0 / 9,0 / 0,9 / 9,9", "crosses"),
        ("0,0 / 9,0 / 9,0 / 9,9", "twice"),
        (" / ".join(["0,0"] * 501), "501 points"),
        ("arc" + " " * 100_000, "too long"),
        ("0,0 / 5,0 / " + "9" * 201, "Point 3"),
    ],
)
def test_typed_points_that_make_no_outline_are_refused(typed, part):
    with pytest.raises(BadValue) as refused:
        parse_points(typed)
    assert part in refused.value.sentence


@pytest.mark.parametrize("outline", [rectangle(20, 12.5), HOUSE, STADIUM, BITTEN, circle(9)])
@pytest.mark.parametrize("system", ["feet", "metric"])
def test_typed_points_written_and_read_again_are_the_same_outline(outline, system):
    again = parse_points(typed_points(outline, system=system), system=system)
    assert area(again) == pytest.approx(area(outline), rel=1e-6)
    assert len(segments(again)) == len(segments(outline))


@given(st.sampled_from([("rectangle", (20.0, 12.0)), ("L", (40.0, 30.0, 15.0, 10.0))]), PLACES, st.floats(0, 359.9))
@settings(max_examples=40)
def test_shape_typed_by_sizes_can_be_typed_again(typed, at, turn):
    outline = outline_of_sizes(*typed, at, turn)
    found_at, found_turn = placing(outline)
    assert found_at == pytest.approx(at)
    assert cos(radians(found_turn - turn)) == pytest.approx(1)
    assert area(outline_of_sizes(outline.shape, outline.sizes, found_at, found_turn)) == pytest.approx(area(outline))


def test_circle_typed_by_radius_can_be_typed_again():
    outline = outline_of_sizes("circle", (9.0,), (5, 6))
    assert placing(outline)[0] == pytest.approx((5, 6))


@pytest.mark.parametrize(
    ("shape", "sizes"),
    [
        ("rectangle", (0, 5)),
        ("rectangle", (5, -1)),
        ("rectangle", (5,)),
        ("circle", (0,)),
        ("L", (10, 10, 10, 2)),
        ("L", (10, 10, 2, 12)),
        ("points", ()),
        ("oval", (1,)),
        ("circle", (float("nan"),)),
    ],
)
def test_sizes_that_make_no_shape_are_refused(shape, sizes):
    with pytest.raises(BadValue):
        outline_of_sizes(shape, sizes)


def test_quarter_turn_moves_points_exactly():
    assert rectangle(20, 12, turn=90).wkt == "POLYGON ((0 0, 0 20, -12 20, -12 0, 0 0))"
    assert turned(rectangle(20, 12), -90).wkt == "POLYGON ((0 0, 0 -20, 12 -20, 12 0, 0 0))"


def test_convex_outlines_are_told_from_those_that_turn_inward():
    assert [is_convex(outline) for outline in SAMPLES] == [True, True, False, True, False, False]
    assert is_convex(Outline("POLYGON ((0 0, 0 12, 20 12, 20 0, 0 0))"))  # clockwise


def test_rise_of_an_arc_is_measured_above_its_chord():
    arc = arc_through((0, 0), through_of_rise((0, 0), (10, 0), 2), (10, 0))
    assert arc.radius == pytest.approx((5**2 + 2**2) / (2 * 2))
    assert arc.sweep > 0
    assert arc_through((0, 0), (5, 0), (10, 0)) is None
    assert arc_through((0, 0), (5, 5e-7), (10, 0)) is None
    assert arc_through((0, 0), (5, 2e-6), (10, 0)) is not None
    assert Line((0, 0), (1, 1)).length == sqrt(2)


@pytest.mark.parametrize("seed", range(4))
def test_what_lies_out_of_reach_takes_nothing_from_what_is_grown(seed: int) -> None:
    """Held against the reference library: the open ground near the edges that meet nothing, without all neighbors."""
    made = Random(seed)
    own = rectangle(10, 8)
    around = [rectangle(6, 6, at=(made.uniform(-30, 30), side * made.uniform(8.5, 30))) for side in (1, -1, 1, -1)]
    around = [one for one in around if not meets(one, own, 0.3)]
    solid = shapely.union_all([chords(one).polygon for one in around])
    band = chords(own).polygon.buffer(1.5, quad_segs=64).difference(solid)
    reached = next(part for part in shapely.get_parts(band) if part.intersects(chords(own).polygon))
    assert into_open(own, 1.5, around) == pytest.approx(reached.area, abs=0.02)


def meets(one: Outline, other: Outline, gap: float) -> bool:
    return bool(chords(one).polygon.distance(chords(other).polygon) < gap)
