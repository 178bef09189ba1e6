"""Worked examples of leveling and of earth between levels, each with its source beside it."""

import pytest

from app.domain.plan.leveling import LeveledMark, Rod, Setup, leveled
from app.domain.plan.shapes import rectangle
from app.domain.plan.surface import cut_and_fill, surface_of


def test_level_beside_a_rock_with_a_known_level() -> None:
    # surveying course notes on differential leveling, scribd.com/document/282803623: rock at 820.00 ft, rod 8.42, then 1.20
    marks = [LeveledMark(key="rock", level=820.0), LeveledMark(key="X", rods=(Rod("1", 1.2),))]
    found = leveled(marks, [Setup(key="1", benchmark="rock", backsight=8.42)])
    assert found.heights["1"] == pytest.approx(828.42)
    assert found.levels["X"].level == pytest.approx(827.22)


# scribd.com/document/202313858, a checkerboard of 36 points leveled from five setups, in meters: setup, the mark it
# looked back to and the rod there; then the rod at each point and the printed elevation. (Its point 9 is printed as
# 40.165 where its own numbers give 40.185; left out here.)
SETUPS = [
    ("a", "BM", 1.26),
    ("b", "1", 1.12),
    ("c", "6", 1.41),
    ("d", "5", 1.685),
    ("e", "20", 1.22),
    ("f", "20", 1.18),
]
POINTS = [
    ("1", "a", 1.12, 40.14), ("2", "a", 1.235, 40.025), ("3", "a", 1.39, 39.87), ("4", "a", 1.21, 40.05),
    ("5", "a", 1.17, 40.09), ("6", "a", 1.49, 39.77), ("7", "b", 1.24, 40.02), ("8", "b", 1.14, 40.12),
    ("10", "b", 0.94, 40.32), ("11", "c", 1.14, 40.04), ("12", "c", 1.07, 40.11), ("13", "c", 0.94, 40.24),
    ("14", "c", 0.88, 40.3), ("15", "c", 1.685, 39.495), ("16", "d", 1.39, 40.385), ("17", "d", 1.47, 40.305),
    ("18", "d", 1.52, 40.255), ("19", "d", 1.57, 40.205), ("20", "d", 1.66, 40.115), ("21", "e", 1.15, 40.185),
    ("22", "e", 1.11, 40.225), ("23", "e", 1.03, 40.305), ("24", "e", 0.97, 40.365), ("25", "f", 1.22, 40.075),
    ("26", "f", 1.16, 40.135), ("27", "f", 1.05, 40.245), ("28", "f", 0.93, 40.365),
]  # fmt: skip


def test_checkerboard_leveled_from_several_setups() -> None:
    marks = [LeveledMark(key="BM", level=40.0)]
    marks += [LeveledMark(key=key, rods=(Rod(setup, reading),)) for key, setup, reading, _ in POINTS]
    found = leveled(marks, [Setup(key=key, benchmark=at, backsight=read) for key, at, read in SETUPS])
    for key, _, _, level in POINTS:
        assert found.levels[key].level == pytest.approx(level, abs=5e-4), key


# cells of 50 x 50 ft by their corner depths and the earth in cu ft: Estimating in Building Construction, ch. 9,
# the solved grid at sciemce.com/qa/gH8Hak9hALMr; cells 3,313 and 563 from its examples 9-8 and 9-5
CELLS = [
    ((0, 0, 0, 0.1), 62, 0), ((0, 0, 0.1, 0.3), 250, 0), ((0, 0, 0.3, 0.9), 750, 0), ((0, 0, 0.9, 1.1), 1250, 0),
    ((0, 0, 1.1, 1.5), 1625, 0), ((0, 0, 1.5, 0), 938, 0), ((0.3, 0.9, 0.2, 0.4), 1125, 0),
    ((0.9, 1.1, 0.4, 0.7), 1937, 0), ((1.1, 1.5, 0.7, 0.9), 2625, 0), ((1.5, 0, 0.9, 0), 1500, 0),
    ((0, -0.3, 0, -0.7), 0, 625), ((1.4, 1.4, 1.2, 1.3), 3313, 0), ((0.1, 0.8, 0, 0), 563, 0),
]  # fmt: skip


@pytest.mark.parametrize(("depths", "cut", "fill"), CELLS)
def test_earth_of_a_grid_cell(depths: tuple[float, ...], cut: float, fill: float) -> None:
    # upper left, upper right, lower left, lower right; the middle at their mean, as the four-corner method has it
    (ul, ur, ll, lr), side = depths, 50.0
    corners = [(0, side, ul), (side, side, ur), (0, 0, ll), (side, 0, lr), (side / 2, side / 2, sum(depths) / 4)]
    found = cut_and_fill(surface_of(corners), lambda _point: 0.0, rectangle(side, side))
    assert (found.cut, found.fill) == pytest.approx((cut, fill), abs=0.51)


@pytest.mark.parametrize(("depths", "cut", "fill"), CELLS)
def test_earth_of_a_grid_cell_without_its_middle_differs_by_no_more_than_the_fold(
    depths: tuple[float, ...], cut: float, fill: float
) -> None:
    # two triangles instead of the mean of four corners: the diagonal changes the volume by area / 12 of the twist
    (ul, ur, ll, lr), side = depths, 50.0
    found = cut_and_fill(
        surface_of([(0, side, ul), (side, side, ur), (0, 0, ll), (side, 0, lr)]), lambda _p: 0.0, rectangle(side, side)
    )
    twist = abs(ul + lr - ur - ll) * side**2 / 12
    assert found.cut - found.fill == pytest.approx(cut - fill, abs=twist + 0.51)
