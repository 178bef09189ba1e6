"""Shared edges: who meets whom, along what length; the stretches of an outline add up to its perimeter."""

from math import hypot, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan import circle, from_points, l_shape, moved, perimeter, rectangle, turned
from app.domain.plan.edges import edge_lengths, shared_edges
from app.domain.plan.outline import Outline

INCH = 1 / 12
HOUSE = rectangle(40, 30, at=(-5, 12))
LOT = rectangle(120, 100, at=(-30, -40))
RING = Outline(
    "CURVEPOLYGON (CIRCULARSTRING (18 0, 0 18, -18 0, 0 -18, 18 0), CIRCULARSTRING (16 0, 0 16, -16 0, 0 -16, 16 0))"
)
YARD = {
    "patio": rectangle(20, 12),
    "lawn": rectangle(30, 20, at=(0, -20)),
    "bed": rectangle(10, 12, at=(20, 0)),
    "fire": circle(6, at=(50, -10)),
    "walk": l_shape(12, 10, 8, 6, at=(30, -20)),
}


def _lengths(outlines, **around):
    return {pair: length for pair, (length, _) in edge_lengths(shared_edges(outlines, **around)).items()}


def test_two_rectangles_side_by_side_share_their_common_side():
    found = _lengths({"A": rectangle(20, 12), "B": rectangle(5, 8, at=(20, 2))})
    assert found == pytest.approx({("A", "ground"): 56, ("A", "B"): 8, ("B", "ground"): 18, ("B", "A"): 8})


def test_stretch_runs_on_across_the_point_where_the_outline_starts():
    found = shared_edges({"A": rectangle(20, 12), "B": rectangle(5, 8, at=(20, 2))})
    assert [(edge.neighbor, edge.length) for edge in found if edge.zone == "A"] == [
        ("ground", pytest.approx(56)),
        ("B", pytest.approx(8)),
    ]


def test_yard_edges_are_what_a_tape_would_say():
    found = _lengths(YARD, house=HOUSE, lot=LOT)
    assert found == pytest.approx(
        {
            ("patio", "lawn"): 20, ("patio", "bed"): 12, ("patio", "house"): 20, ("patio", "ground"): 12,
            ("lawn", "patio"): 20, ("lawn", "bed"): 10, ("lawn", "walk"): 10, ("lawn", "ground"): 60,
            ("bed", "patio"): 12, ("bed", "lawn"): 10, ("bed", "house"): 10, ("bed", "ground"): 12,
            ("fire", "ground"): 12 * pi, ("walk", "lawn"): 10, ("walk", "ground"): 34,
        }
    )  # fmt: skip


def test_zone_at_the_lot_line_meets_it_from_inside():
    found = _lengths({"A": rectangle(20, 12, at=(-30, -40))}, lot=LOT)
    assert found == pytest.approx({("A", "lot"): 32, ("A", "ground"): 32})


def test_zone_beyond_the_lot_line_does_not_meet_it():
    assert _lengths({"A": rectangle(20, 12, at=(-50, 0))}, lot=LOT) == pytest.approx({("A", "ground"): 64})


@pytest.mark.parametrize(
    ("gap", "meets"),
    [(0, True), (0.2 * INCH, True), (2 * INCH, True), (2.01 * INCH, False), (-0.2 * INCH, True), (-2.01 * INCH, False)],
)
def test_edges_apart_or_overlapping_by_drawing_noise_are_one_up_to_the_gap(gap, meets):
    found = shared_edges({"A": rectangle(20, 12), "B": rectangle(5, 12, at=(20 + gap, 0))})
    between = [edge for edge in found if (edge.zone, edge.neighbor) == ("A", "B")]
    assert len(between) == meets
    for edge in between:
        assert edge.length == pytest.approx(12)
        assert edge.gap == pytest.approx(abs(gap), abs=1e-9)


def test_edge_drawn_at_a_slant_meets_only_where_it_is_near():
    slanted = from_points([(0, 12), (20, 12.5), (20, 20), (0, 20)])
    found = _lengths({"A": rectangle(20, 12), "B": slanted})
    assert found["A", "B"] == pytest.approx(20 * (2 * INCH) / 0.5, abs=0.01)


def test_edges_that_cross_at_a_right_angle_do_not_meet():
    assert ("A", "B") not in _lengths({"A": rectangle(20, 12), "B": rectangle(5, 5, at=(20, 12))})


def test_nested_outlines_on_the_same_side_are_no_shared_edge():
    assert ("A", "B") not in _lengths({"A": rectangle(20, 12), "B": rectangle(10, 6)})


def test_nearer_of_two_neighbors_is_met():
    found = _lengths(
        {"A": rectangle(20, 12), "near": rectangle(0.1, 12, at=(20, 0)), "far": rectangle(5, 12, at=(20.1, 0))}
    )
    assert found["A", "near"] == pytest.approx(12)
    assert ("A", "far") not in found


def test_arc_between_two_zones_is_told_along_the_arc():
    left = from_points([(0, 0), (20, 0), (20, 10), (0, 10)], {1: (25, 5)})
    right = from_points([(20, 0), (40, 0), (40, 10), (20, 10)], {3: (25, 5)})
    edges = [edge for edge in shared_edges({"L": left, "R": right}) if {edge.zone, edge.neighbor} == {"L", "R"}]
    assert [edge.length for edge in edges] == pytest.approx([5 * pi, 5 * pi], rel=1e-9)
    assert [edge.curved_length for edge in edges] == [edge.length for edge in edges]


def test_circle_in_the_hole_of_a_ring_meets_it_all_around():
    found = edge_lengths(shared_edges({"ring": RING, "pit": circle(15.95)}))
    assert found["ring", "pit"] == pytest.approx((32 * pi, 32 * pi), rel=1e-9)
    assert found["ring", "ground"] == pytest.approx((36 * pi, 36 * pi), rel=1e-9)
    assert found["pit", "ring"] == pytest.approx((31.9 * pi, 31.9 * pi), rel=1e-9)


def test_stretch_under_six_inches_is_a_corner():
    found = shared_edges({"A": rectangle(20, 12), "B": rectangle(5, 11.6, at=(20, 0.4))})
    corners = [edge for edge in found if edge.corner]
    assert [(edge.zone, edge.neighbor) for edge in corners] == []  # 0.4 ft of ground runs on around the corner
    found = shared_edges(
        {"A": rectangle(20, 12), "B": rectangle(5, 5, at=(20, 0)), "C": rectangle(5, 6.6, at=(20, 5.4))}
    )
    corners = [edge for edge in found if edge.corner and edge.zone == "A"]
    assert [(edge.neighbor, edge.length) for edge in corners] == [("ground", pytest.approx(0.4))]
    found = shared_edges(
        {"A": rectangle(20, 12), "B": rectangle(5, 5, at=(20, 0)), "C": rectangle(5, 6.5, at=(20, 5.5001))}
    )
    assert not [edge for edge in found if edge.corner and edge.zone == "A"]


def test_noise_shorter_than_the_gap_between_two_parts_of_one_neighbor_is_its_own():
    notched = from_points([(20, 0), (30, 0), (30, 12), (20, 12), (20, 6.1), (21, 6.1), (21, 6), (20, 6)])
    assert _lengths({"A": rectangle(20, 12), "B": notched})["A", "B"] == pytest.approx(12)
    wide = from_points([(20, 0), (30, 0), (30, 12), (20, 12), (20, 6.2), (21, 6.2), (21, 6), (20, 6)])
    assert _lengths({"A": rectangle(20, 12), "B": wide})["A", "B"] == pytest.approx(11.8)


def test_noise_between_two_different_neighbors_stays_ground():
    yard = {"A": rectangle(20, 12), "B": rectangle(5, 5, at=(20, 0)), "C": rectangle(5, 6.9, at=(20, 5.1))}
    found = shared_edges(yard)
    between = [edge for edge in found if edge.zone == "A" and edge.corner]
    assert [(edge.neighbor, edge.length) for edge in between] == [("ground", pytest.approx(0.1))]
    assert _lengths(yard)["A", "B"] == pytest.approx(5)


def test_path_of_a_stretch_is_as_long_as_it_and_drawn_on_the_outline():
    for edge in shared_edges(YARD, house=HOUSE, lot=LOT):
        drawn = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(edge.path, edge.path[1:], strict=False))
        assert drawn == pytest.approx(edge.length, rel=2e-3)
        assert drawn <= edge.length + 1e-9


@given(
    st.lists(
        st.tuples(st.integers(0, 6), st.integers(0, 6), st.integers(1, 5), st.integers(1, 5), st.sampled_from("rcl")),
        min_size=1,
        max_size=6,
    ),
    st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
    st.floats(0, 360),
)
@settings(max_examples=60, deadline=None)
def test_stretches_of_any_yard_add_up_to_each_perimeter_and_do_not_move_with_the_plan(zones, by, degrees):
    make = {
        "r": lambda x, y, w, d: rectangle(w * 3, d * 3, at=(x * 5, y * 5)),
        "c": lambda x, y, w, _: circle(w, at=(x * 5, y * 5)),
        "l": lambda x, y, w, d: l_shape(w * 3, d * 3, w, d, at=(x * 5, y * 5)),
    }
    yard = {str(number): make[kind](x, y, w, d) for number, (x, y, w, d, kind) in enumerate(zones)}
    lengths = _lengths(yard, house=HOUSE, lot=LOT)
    for key, outline in yard.items():
        own = [length for (zone, _), length in lengths.items() if zone == key]
        assert sum(own) == pytest.approx(perimeter(outline), rel=1e-9)
        assert min(own) > 0

    def place(outline):
        return turned(moved(outline, *by), degrees)

    placed = _lengths({key: place(one) for key, one in yard.items()}, house=place(HOUSE), lot=place(LOT))
    assert {pair: length for pair, length in placed.items() if length > 1e-3} == pytest.approx(
        {pair: length for pair, length in lengths.items() if length > 1e-3}, abs=1e-3
    )


def test_order_of_zones_changes_no_length():
    assert _lengths(dict(reversed(YARD.items())), house=HOUSE) == pytest.approx(_lengths(YARD, house=HOUSE))


def test_two_neighbors_on_the_same_place_are_told_apart_by_name_not_by_order():
    twins = {"C": rectangle(5, 12, at=(20, 0)), "B": rectangle(5, 12, at=(20, 0))}
    for yard in ({"A": rectangle(20, 12), **twins}, {**dict(reversed(twins.items())), "A": rectangle(20, 12)}):
        found = _lengths(yard, house=rectangle(9, 12, at=(20, 0)))
        assert found["A", "B"] == pytest.approx(12)
        assert {neighbor for zone, neighbor in found if zone == "A"} == {"B", "ground"}


def test_no_zones_have_no_edges():
    assert shared_edges({}, house=HOUSE, lot=LOT) == ()


@pytest.mark.parametrize("key", ["house", "lot", "ground"])
def test_zone_called_like_a_neighbor_is_refused(key):
    with pytest.raises(BadValue, match=key):
        shared_edges({key: rectangle(1, 1)})
