"""The longest length of a system of gas lines and the heat on each, by hand and however its lines are drawn."""

from uuid import UUID

import pytest
import shapely

from app.domain.job import Run, RunKind
from app.domain.takeoff.gas_system import Burner, carried_by

METER = shapely.points((0.0, 0.0))
MAIN, BRANCH, SPUR = (UUID(int=number) for number in (1, 2, 3))


def gas(key: UUID, *points: tuple[float, float]) -> Run:
    return Run(id=key, kind=RunKind.GAS, points=points)


def longest_lengths(runs, sources):
    return {key: one.longest for key, one in carried_by(runs, sources).items()}


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


def burner(name: str, x: float, y: float, heat: float | None, half: float = 0.0) -> Burner:
    return Burner(key=UUID(int=hash(name) & 0xFFFF), title=name, at=(x, y), half=half, heat=heat)


def heats(runs, burners, **told):
    return {key: one.heat for key, one in carried_by(runs, METER, burners, **told).items()}


# a published example of the longest length method: 50 ft to the farthest appliance, of 60,000, 25,000, 150,000 and
# 40,000 Btu/h 275,000 leave the meter, 235,000 go on after the first tee and 85,000 after the second (GAS-10: a page of
# a group of heating technicians; its sums alone are taken, its sizes are of another edition)
PUBLISHED = (275_000.0, 235_000.0, 85_000.0)
MIDDLE, LAST, TEE_ONE, TEE_TWO = (UUID(int=number) for number in (11, 12, 13, 14))
LINES = [
    gas(MAIN, (0, 0), (10, 0)),
    gas(TEE_ONE, (10, 0), (10, 5)),
    gas(MIDDLE, (10, 0), (30, 0)),
    gas(TEE_TWO, (30, 0), (30, 12)),
    gas(LAST, (30, 0), (50, 0)),
]
BURNERS = [
    burner("Water heater", 10, 5, 40_000),
    burner("Furnace", 30, 12, 150_000),
    burner("Range", 50, 0, 60_000),
    burner("Dryer", 42, 0, 25_000),  # at the stretch, not at its end
]


@pytest.mark.parametrize("turned", [0, 1, 2, 3])
def test_a_common_stretch_carries_all_and_a_branch_its_own_as_the_published_example_adds_up(turned: int) -> None:
    runs = [gas(one.id, *(one.points[::-1] if turned & 1 else one.points)) for one in LINES]
    runs = runs[::-1] if turned & 2 else runs
    found = carried_by(runs, METER, BURNERS)
    assert tuple(found[key].heat for key in (MAIN, MIDDLE, LAST)) == PUBLISHED
    assert (found[TEE_ONE].heat, found[TEE_TWO].heat) == (40_000.0, 150_000.0)
    assert {one.longest for one in found.values()} == {50.0}
    assert [one.title for one in found[LAST].burners] == ["Dryer", "Range"]  # the nearest to the meter first


def test_a_line_drawn_through_its_tees_is_told_by_the_most_it_carries() -> None:
    runs = [gas(MAIN, (0, 0), (50, 0)), gas(TEE_ONE, (10, 0), (10, 5)), gas(TEE_TWO, (30, 0), (30, 12))]
    assert heats(runs, BURNERS) == {MAIN: 275_000.0, TEE_ONE: 40_000.0, TEE_TWO: 150_000.0}


def test_what_nobody_said_the_heat_of_is_named_and_added_to_no_sum() -> None:
    found = carried_by(
        [gas(MAIN, (0, 0), (20, 0))], METER, [burner("Grill", 20, 0, 60_000), burner("Fire", 10, 0, None)]
    )
    assert found[MAIN].heat == 60_000.0
    assert [one.title for one in found[MAIN].unknown] == ["Fire"]


@pytest.mark.parametrize(
    ("y", "half", "fed"), [(6.0, 0.0, True), (6.01, 0.0, False), (8.5, 2.5, True), (8.51, 2.5, False)]
)
def test_a_line_feeds_what_stands_within_six_feet_of_it(y: float, half: float, fed: bool) -> None:
    found = heats([gas(MAIN, (0, 0), (20, 0))], [burner("Fire", 10, y, 65_000, half)])
    assert found == {MAIN: 65_000.0 if fed else 0.0}


def test_what_stands_nearer_to_a_bottle_than_to_the_line_is_fed_by_it() -> None:
    fire = burner("Fire", 10, 4, 65_000)
    runs = [gas(MAIN, (0, 0), (20, 0))]
    assert heats(runs, [fire], bottles=[shapely.points((10.0, 7.0))]) == {MAIN: 0.0}
    assert heats(runs, [fire], bottles=[shapely.points((10.0, 9.0))]) == {MAIN: 65_000.0}


def test_a_branch_that_ends_at_the_burner_feeds_it_although_the_common_line_passes_as_near() -> None:
    runs = [gas(MAIN, (0, 0), (40, 0)), gas(BRANCH, (10, 0), (10, 1.5))]
    assert heats(runs, [burner("Grill", 10, 2, 60_000, half=1.5), burner("Fire", 40, 0, 65_000)]) == {
        MAIN: 125_000.0,
        BRANCH: 60_000.0,
    }


def test_a_branch_drawn_a_little_short_of_its_burner_is_still_meant_for_it() -> None:
    """Its end lies 18 in from the rim, the common line 12 in."""
    runs = [gas(MAIN, (0, 0), (40, 0)), gas(BRANCH, (20, 0), (20, 3), (13.5, 3))]
    assert heats(runs, [burner("Grill", 10, 3, 60_000, half=2.0)]) == {MAIN: 60_000.0, BRANCH: 60_000.0}


def test_where_nothing_says_where_the_gas_comes_in_it_is_not_where_it_burns() -> None:
    nowhere = shapely.union_all([])
    runs = [gas(MAIN, (0, 0), (20, 0)), gas(BRANCH, (20, 0), (20, 9))]
    for grill in (burner("Grill", 0, 0, 60_000), burner("Grill", 20, 9, 60_000)):
        assert {one.heat for one in carried_by(runs, nowhere, [grill]).values()} == {60_000.0}
