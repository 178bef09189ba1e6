"""Painter's order against rays: whatever a ray from the eye meets first is drawn last."""

from math import cos, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.seen.bodies import box_around
from app.domain.seen.convex import polygon_of
from app.domain.seen.ordering import back_to_front
from app.domain.seen.solids import CORNERS, FIRST, Solid, projected, turned


def box(key: str, x: float, y: float, wide: float, deep: float, bottom: float, top: float) -> Solid:
    return Solid(key, ((x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep)), bottom, top, "#808080")


def order(solids: list[Solid], corner: int) -> list[str]:
    return [solids[place].key for place in back_to_front(solids, corner)]


def depth_along(one: Solid, across: float, up: float, corner: int) -> float | None:
    """How near to the eye a solid is first met by the ray through a point of the drawing; None where it is missed.

    The ray's points are (across, away, height) = (across, away, up - away): nearer is smaller away.
    """
    ring = [turned(corner).of(point) for point in one.base]
    cuts = []
    for (u1, v1), (u2, v2) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (u1 - across) * (u2 - across) < 0:
            cuts.append(v1 + (v2 - v1) * (across - u1) / (u2 - u1))
    if len(cuts) < 2:
        return None
    near, far = max(min(cuts), up - one.top), min(max(cuts), up - one.bottom)
    return near if near < far - 1e-6 else None


COORDINATE = st.integers(0, 24).map(float)
SIZE = st.integers(1, 8).map(float)
BOXES = st.lists(
    st.tuples(COORDINATE, COORDINATE, SIZE, SIZE, st.integers(0, 3).map(float), SIZE), min_size=2, max_size=8
)


def apart(solids: list[Solid]) -> bool:
    """Whether no two stand into one another."""
    return not any(
        one.bottom < other.top
        and other.bottom < one.top
        and polygon_of(one.base).intersection(polygon_of(other.base)).area > 0
        for place, one in enumerate(solids)
        for other in solids[:place]
    )


@settings(max_examples=120)
@given(BOXES, st.integers(0, CORNERS - 1))
def test_what_a_ray_meets_first_is_drawn_last(rows: list, corner: int) -> None:
    solids = [box(str(n), x, y, w, d, b, b + h) for n, (x, y, w, d, b, h) in enumerate(rows)]
    kept: list[Solid] = []
    for one in solids:  # those that stand into an earlier one are left out
        if apart([*kept, one]):
            kept.append(one)
    place_of = {key: place for place, key in enumerate(order(kept, corner))}
    for one in kept:
        for sx, sy, high in ((0.3, 0.4, 0.5), (0.7, 0.2, 0.99), (0.5, 0.9, 0.01)):
            (x0, y0), (x1, y1) = one.base[0], one.base[2]
            point = (x0 + (x1 - x0) * sx + 0.013, y0 + (y1 - y0) * sy + 0.007)
            across, up = projected(point, one.bottom + (one.top - one.bottom) * high, corner)
            met = [
                (depth, place_of[other.key])
                for other in kept
                if (depth := depth_along(other, across, up, corner)) is not None
            ]
            if met:
                nearest = min(met)[0]
                assert max(place for _, place in met) in {place for depth, place in met if depth < nearest + 1e-6}


def test_the_nearer_of_two_boxes_is_drawn_last_from_every_corner() -> None:
    solids = [box("a", 0, 0, 4, 4, 0, 3), box("b", 6, 1, 4, 4, 0, 3)]
    for corner in range(CORNERS):
        away = {one.key: min(turned(corner).of(point)[1] for point in one.base) for one in solids}
        drawn = order(solids, corner)
        spans = [[turned(corner).of(point)[0] for point in one.base] for one in solids]
        if min(max(span) for span in spans) > max(min(span) for span in spans):
            assert drawn[-1] == min(away, key=lambda key: away[key])


def test_what_stands_on_something_is_drawn_after_it() -> None:
    for corner in range(CORNERS):
        assert order([box("on", 3, 3, 2, 2, 1, 4), box("slab", 0, 0, 10, 10, 0, 1)], corner) == ["slab", "on"]


def test_a_raised_slab_in_front_hides_the_foot_of_what_stands_behind() -> None:
    for corner in range(CORNERS):
        back = turned(corner).away
        post = Solid("post", box_around((5 + back[0] * 9, 5 + back[1] * 9), 1, 1, 0.0), 0, 6, "#000000")
        assert order([post, box("slab", 0, 0, 10, 10, 0, 3)], corner)[-1] == "slab"


def test_the_order_is_one_whatever_the_order_of_entry() -> None:
    solids = [box(str(n), n * 3 % 11, n * 5 % 13, 1, 1, 0, n % 4 + 1) for n in range(12)]
    for corner in range(CORNERS):
        assert set(order(solids, corner)) == set(order(solids[::-1], corner))
        assert order(solids, corner) == order(list(solids), corner)


def test_bodies_that_stand_into_one_another_are_all_drawn() -> None:
    ring = [
        box("a", 0, 0, 10, 2, 0, 5),
        box("b", 8, 0, 2, 10, 0, 5),
        box("c", 0, 8, 10, 2, 0, 5),
        box("d", 0, 0, 2, 10, 0, 5),
    ]
    assert sorted(order(ring, 1)) == ["a", "b", "c", "d"]
    assert order([], 0) == []


@pytest.mark.parametrize("corner", range(CORNERS))
def test_ten_feet_measure_ten_feet_along_every_axis_and_upward(corner: int) -> None:
    origin = projected((0.0, 0.0), 0.0, corner)
    for point, height in (((10.0, 0.0), 0.0), ((0.0, 10.0), 0.0), ((6.0, 8.0), 0.0), ((0.0, 0.0), 10.0)):
        x, y = projected(point, height, corner)
        assert ((x - origin[0]) ** 2 + (y - origin[1]) ** 2) ** 0.5 == pytest.approx(10.0)
    angle = radians(FIRST + 45 * corner)
    assert turned(corner).of((1.0, 0.0)) == pytest.approx((cos(angle), -sin(angle)))
