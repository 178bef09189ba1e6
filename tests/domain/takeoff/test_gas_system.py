"""The longest length of a system of gas lines, by hand and however its lines are drawn."""

from uuid import UUID

import pytest
import shapely

from app.domain.job import Run, RunKind
from app.domain.takeoff.gas_system import longest_lengths

METER = shapely.points((0.0, 0.0))
MAIN, BRANCH, SPUR = (UUID(int=number) for number in (1, 2, 3))


def gas(key: UUID, *points: tuple[float, float]) -> Run:
    return Run(id=key, kind=RunKind.GAS, points=points)


def test_every_line_of_a_system_has_the_length_to_its_farthest_end() -> None:
    """The code's method: from the meter 20 ft, a branch of 30 ft after 10: 40 ft; a spur of 5 ft at the branch's end: 45."""
    runs = [gas(MAIN, (0, 0), (20, 0)), gas(BRANCH, (10, 0), (10, 30)), gas(SPUR, (10, 30), (15, 30))]
    assert longest_lengths(runs, METER) == {MAIN: 45.0, BRANCH: 45.0, SPUR: 45.0}


@pytest.mark.parametrize("turned", [0, 1, 2, 3])
def test_order_and_direction_of_drawing_change_nothing(turned: int) -> None:
    lines = [((0, 0), (20, 0)), ((10, 0), (10, 30)), ((10, 30), (15, 30))]
    drawn = [points[::-1] if turned & 1 else points for points in lines]
    runs = [gas(key, *points) for key, points in zip((MAIN, BRANCH, SPUR), drawn, strict=True)]
    runs = runs[::-1] if turned & 2 else runs
    assert set(longest_lengths(runs, METER).values()) == {45.0}


def test_a_ring_is_walked_the_shorter_way_and_a_line_apart_is_a_system_of_its_own() -> None:
    """A square of 10 ft that is closed: the farthest corner lies 20 ft away either way."""
    ring = [gas(MAIN, (0, 0), (10, 0), (10, 10)), gas(BRANCH, (10, 10), (0, 10), (0, 0))]
    apart = gas(SPUR, (50, 0), (50, 7))
    assert longest_lengths([*ring, apart], METER) == {MAIN: 20.0, BRANCH: 20.0, SPUR: 7.0}


def test_an_end_drawn_short_of_the_line_it_was_meant_to_meet_joins_it_within_a_foot() -> None:
    runs = [gas(MAIN, (0, 0), (20, 0)), gas(BRANCH, (10, 1), (10, 31))]
    assert longest_lengths(runs, METER) == {MAIN: 41.0, BRANCH: 41.0}
    runs = [gas(MAIN, (0, 0), (20, 0)), gas(BRANCH, (10, 1.1), (10, 31))]
    assert longest_lengths(runs, METER) == {MAIN: 20.0, BRANCH: pytest.approx(29.9)}


def test_a_line_told_by_its_length_alone_has_none() -> None:
    assert longest_lengths([Run(id=MAIN, kind=RunKind.GAS, length=30.0)], METER) == {}
