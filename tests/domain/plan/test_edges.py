"""Shared edges: who meets whom, along what length; the stretches of an outline add up to its perimeter."""

from math import hypot, pi
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.errors import BadValue
from app.domain.plan import circle, edges, facing, from_points, l_shape, moved, perimeter, rectangle, turned
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
    [(0, True), (0.2 * INCH, True), (2 * INCH, True), (2.01 * INCH, False), (-0.2 * INCH, True)],
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
    found = [edge for edge in shared_edges({"L": left, "R": right}) if {edge.zone, edge.neighbor} == {"L", "R"}]
    assert [edge.length for edge in found] == pytest.approx([5 * pi, 5 * pi], rel=1e-9)
    assert [edge.curved_length for edge in found] == [edge.length for edge in found]


def test_circle_in_the_hole_of_a_ring_meets_it_all_around():
    found = edge_lengths(shared_edges({"ring": RING, "pit": circle(15.95)}))
    assert found["ring", "pit"] == pytest.approx((32 * pi, 32 * pi), rel=1e-9)
    assert found["ring", "ground"] == pytest.approx((36 * pi, 36 * pi), rel=1e-9)
    assert found["pit", "ring"] == pytest.approx((31.9 * pi, 31.9 * pi), rel=1e-9)


def test_overlap_beyond_the_gap_is_met_where_it_lies():
    found = _lengths({"A": rectangle(20, 12), "B": rectangle(10, 4, at=(18, 5))})
    assert found == pytest.approx({("A", "ground"): 60, ("A", "B"): 4, ("B", "A"): 8, ("B", "ground"): 20})


def test_zone_within_another_meets_it_all_around_but_is_not_met():
    found = edge_lengths(shared_edges({"A": rectangle(20, 12), "pit": circle(2, at=(9, 6))}))
    assert found == {
        ("A", "ground"): (pytest.approx(64), 0),
        ("pit", "A"): (pytest.approx(4 * pi, rel=1e-9), pytest.approx(4 * pi, rel=1e-9)),
    }


def test_zone_that_reaches_into_the_house_meets_it_there():
    found = _lengths({"A": rectangle(20, 12)}, house=rectangle(40, 30, at=(-5, 10)))
    assert found == pytest.approx({("A", "ground"): 40, ("A", "house"): 24})


@pytest.mark.parametrize("height", [6.6, 6.50001])
def test_stretch_under_six_inches_is_a_corner_of_the_longer_one_beside_it(height):
    yard = {"A": rectangle(20, 12), "B": rectangle(5, 5, at=(20, 0)), "C": rectangle(5, height, at=(20, 12 - height))}
    found = _lengths(yard)
    assert found["A", "C"] == pytest.approx(7)
    assert found["A", "ground"] == pytest.approx(52)
    assert found["A", "B"] == pytest.approx(5)
    assert sum(length for (zone, _), length in found.items() if zone == "A") == pytest.approx(64)


def test_stretch_of_six_inches_stands_for_itself():
    yard = {"A": rectangle(20, 12), "B": rectangle(5, 5, at=(20, 0)), "C": rectangle(5, 6.5, at=(20, 5.5))}
    found = [(edge.neighbor, edge.length) for edge in shared_edges(yard) if edge.zone == "A"]
    assert sorted(found) == [
        ("B", pytest.approx(5)),
        ("C", pytest.approx(6.5)),
        ("ground", pytest.approx(0.5)),
        ("ground", pytest.approx(52)),
    ]


def test_notch_in_a_neighbor_narrower_than_a_corner_is_nothing():
    notched = from_points([(20, 0), (30, 0), (30, 12), (20, 12), (20, 6.4), (21, 6.4), (21, 6), (20, 6)])
    assert _lengths({"A": rectangle(20, 12), "B": notched})["A", "B"] == pytest.approx(12)
    wide = from_points([(20, 0), (30, 0), (30, 12), (20, 12), (20, 7), (21, 7), (21, 6), (20, 6)])
    found = [edge.length for edge in shared_edges({"A": rectangle(20, 12), "B": wide}) if edge.neighbor == "B"]
    assert found == pytest.approx([6, 5])  # two stretches with one neighbor


def test_wall_that_runs_along_an_edge_is_met_from_both_sides_unless_a_zone_is():
    wall = ((20.4, 2), (20.4, 10))
    alone = _lengths({"A": rectangle(20, 12)}, walls=[wall])
    assert alone == pytest.approx({("A", "wall"): 8, ("A", "ground"): 56})
    beyond = _lengths({"B": rectangle(5, 12, at=(20.8, 0))}, walls=[wall])
    assert beyond == pytest.approx({("B", "wall"): 8, ("B", "ground"): 26})
    between = _lengths({"A": rectangle(20, 12), "B": rectangle(5, 12, at=(20, 0))}, walls=[wall])
    assert between["A", "B"] == pytest.approx(12)
    assert ("A", "wall") not in _lengths({"A": rectangle(20, 12)}, walls=[((20.8, 2), (20.8, 10)), ((22, 6),)])


def test_gap_is_a_setting():
    yard = {"A": rectangle(20, 12), "B": rectangle(5, 12, at=(20.3, 0))}
    assert ("A", "B") not in _lengths(yard)
    assert _lengths(yard, gap=0.3)["A", "B"] == pytest.approx(12)


def test_three_zones_at_a_t_meet_along_the_parts_of_one_edge():
    yard = {"A": rectangle(20, 12), "B": rectangle(8, 5, at=(0, 12)), "C": rectangle(12, 5, at=(8, 12))}
    found = _lengths(yard)
    assert (found["A", "B"], found["A", "C"], found["B", "C"]) == pytest.approx((8, 12, 5))


def test_arcs_of_one_edge_with_other_chords_meet_all_along():
    left = from_points([(0, 0), (20, 0), (20, 10), (0, 10)], {1: (25, 5)})
    split = from_points([(20, 0), (40, 0), (40, 10), (20, 10), (24, 8)], {3: (22.2, 9.489), 4: (23.7, 1.633)})
    found = edge_lengths(shared_edges({"L": left, "R": split}))
    assert found["L", "R"][0] == pytest.approx(5 * pi, rel=1e-9)
    assert found["R", "L"][0] == pytest.approx(5 * pi, rel=2e-3)


def _tiles(count, noise, seed):
    """Square zones of 20 ft side by side, 48 points each, every point off by up to `noise` ft."""
    chance = Random(seed)
    corners = [(0, 0), (20, 0), (20, 20), (0, 20)]

    def near(x, y):
        return x + chance.uniform(-noise, noise), y + chance.uniform(-noise, noise)

    def tile(x, y):
        sides = zip(corners, [*corners[1:], corners[0]], strict=True)
        return from_points(
            [near(x + a + (c - a) * at / 12, y + b + (d - b) * at / 12) for (a, b), (c, d) in sides for at in range(12)]
        )

    return {f"{x} {y}": tile(20 * x, 20 * y) for x in range(count) for y in range(count)}


@pytest.mark.parametrize("seed", range(5))
def test_inch_of_noise_leaves_each_neighbor_one_stretch(seed):
    tiles = _tiles(3, 1 * INCH, seed)
    found = shared_edges(tiles)
    met = [(edge.zone, edge.neighbor) for edge in found if edge.neighbor != "ground"]
    assert len(met) == len(set(met)) == 24  # 12 sides between two, each told from both
    assert all(edge.length == pytest.approx(20, abs=0.8) for edge in found if edge.neighbor != "ground")
    for key, outline in tiles.items():
        assert sum(edge.length for edge in found if edge.zone == key) == pytest.approx(perimeter(outline), abs=1e-6)


def test_change_works_out_only_what_lies_near_it(monkeypatch):
    tiles = _tiles(5, 0.5 * INCH, 3)
    first = shared_edges(tiles)
    asked = []
    answer = edges._answers
    monkeypatch.setattr(edges, "_answers", lambda missing: asked.extend(missing) or answer(missing))
    assert shared_edges(tiles) == first
    assert asked == []
    changed = {**tiles, "2 2": rectangle(20, 20, at=(40, 40))}
    assert len([edge for edge in shared_edges(changed) if edge.zone == "2 2"]) == 4
    assert {question.own.name for question in asked} == {f"{x} {y}" for x in (1, 2, 3) for y in (1, 2, 3)}


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
        assert sum(own) == pytest.approx(perimeter(outline), abs=1e-6)
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


@pytest.mark.parametrize("key", ["house", "lot", "ground", "wall"])
def test_zone_called_like_a_neighbor_is_refused(key):
    with pytest.raises(BadValue, match=key):
        shared_edges({key: rectangle(1, 1)})


@pytest.mark.parametrize("seed", range(4))
def test_few_chords_and_many_are_paired_alike(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A few are held against all others, many are found by a tree of a reference library: the same pairs."""
    made = Random(seed)
    plan = {
        str(at): turned(rectangle(made.uniform(2, 9), made.uniform(2, 9), at=(made.uniform(0, 20), 5.0 * at)), at * 30)
        for at in range(8)
    }
    found = []
    for few in (0, 10**9):
        monkeypatch.setattr(facing, "_FEW_PAIRS", few)
        for kept in (edges._KEPT, edges._PLANS):
            kept.clear()
        found.append(shared_edges(plan, house=HOUSE, gap=1.0))
    assert found[0] == found[1]
