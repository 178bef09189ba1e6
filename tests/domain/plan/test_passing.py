"""The narrowest place of a way, against a grid that is searched by force.

The grid is its own measure: distances of cells to what stands there by the definition, paths by a flood.
"""

from itertools import product
from math import hypot

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.plan import rectangle
from app.domain.plan.passing import Ground, at, ground, width_of

CELL = 0.25  # ft
Cell = tuple[int, int]
BESIDE = tuple(one for one in product((-1, 0, 1), repeat=2) if one != (0, 0))


def by_force(free: shapely.Geometry, start: tuple[float, float], goal: tuple[float, float]) -> float:
    """The widest way over cells: the roomiest are opened first, until start and goal are joined."""
    room = _cells(free)
    first, last = (min(room, key=lambda one: hypot(one[0] * CELL - x, one[1] * CELL - y)) for x, y in (start, goal))
    joined: dict[Cell, Cell] = {}

    def root(cell: Cell) -> Cell:
        while joined[cell] != cell:
            cell = joined[cell]
        return cell

    for cell in sorted(room, key=lambda one: -room[one]):
        joined[cell] = cell
        for beside in ((cell[0] + i, cell[1] + j) for i, j in BESIDE):
            if beside in joined:
                joined[root(beside)] = root(cell)
        if first in joined and last in joined and root(first) == root(last):
            return room[cell]
    return 0.0


def _cells(free: shapely.Geometry) -> dict[Cell, float]:
    """Each cell that lies free, with the widest disk around it."""
    right, high = (int(one / CELL) + 1 for one in free.bounds[2:])
    places = {(i, j): shapely.points((i * CELL, j * CELL)) for i, j in product(range(right), range(high))}
    return {cell: 2 * free.boundary.distance(place) for cell, place in places.items() if free.contains(place)}


@settings(max_examples=12)
@given(st.tuples(st.floats(2, 4), st.floats(0, 3), st.floats(5, 7), st.floats(0, 3), st.floats(1, 3)))
def test_narrowest_place_is_that_of_a_search_by_force(sizes) -> None:
    first, low, second, high, wide = sizes
    hall = ground(
        rectangle(12, 6),
        rectangle(1, low + 1, at=(first, 0)),
        rectangle(1, high + 1, at=(second, 6 - high - 1)),
        rectangle(wide, 0.5, at=(first + 1.5, 3)),
    )
    start, goal = (1.0, 3.0), (11.0, 3.0)
    found = hall.narrowest(at(*start), at(*goal), 2.0)
    forced = min(2.0, by_force(hall.free, start, goal))
    assert found.width == pytest.approx(forced, abs=2 * CELL)
    if found.width < 2.0:
        assert found.at is None or hall.free.buffer(2.0).contains(shapely.points(found.at))


def test_way_that_is_wide_enough_says_no_place() -> None:
    found = ground(rectangle(20, 10)).narrowest(at(1, 5), at(19, 5), 3.0)
    assert (found.width, found.at) == (3.0, None)


def test_closed_off_place_has_no_way() -> None:
    hall = ground(rectangle(20, 10), rectangle(1, 10, at=(10, 0)))
    assert hall.narrowest(at(2, 5), at(18, 5), 3.0).width == 0.0


@pytest.mark.parametrize("turn", [0, 30, 90, 217])
def test_turned_ground_has_the_same_narrowest_place(turn: float) -> None:
    hall = ground(rectangle(20, 10), rectangle(1, 4, at=(10, 0)), rectangle(1, 3.5, at=(10, 6.5)))
    turned = Ground(shapely.affinity.rotate(hall.free, turn, origin=(0, 0)))
    ends = [shapely.affinity.rotate(at(*one), turn, origin=(0, 0)) for one in ((2, 5), (18, 5))]
    found = turned.narrowest(ends[0], ends[1], 6.0)
    assert found.width == pytest.approx(2.5, abs=0.02)


def test_width_of_a_bent_path_is_that_of_its_arms() -> None:
    assert width_of(rectangle(30, 3.5), 6.0) == pytest.approx(3.5, abs=0.01)
    assert width_of(rectangle(30, 8), 6.0) == 6.0
