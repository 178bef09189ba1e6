"""Cut and fill and walls against printed examples, and against sums worked out another way."""

from math import tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import LinearNDInterpolator

from app.domain.trades import earthwork, walls
from app.domain.trades.registry import CALCULATIONS
from app.domain.trades.validity import OutsideValidity
from app.domain.trades.working_out import read_typed, worked_out

YARD = 27.0


def values(key: str, **typed: str):
    one = CALCULATIONS[key]
    return worked_out(one, read_typed(one, typed)).values


def test_end_areas_of_a_worked_road() -> None:
    """Estimating in Building Construction, solved problem: bank cu yd by stretch 46, 271, 350, 328, 203, 35, 1,233 in all."""
    stations = (830, 850, 900, 950, 1000, 1050, 1075)
    cut = (0, 125, 168, 210, 144, 75, 0)
    found = earthwork.end_areas([(s, c, 0) for s, c in zip(stations, cut, strict=True)])
    assert [round(one) for one, _ in found] == [1250, 7325, 9450, 8850, 5475, 938]
    assert [round(one / YARD) for one, _ in found] == [46, 271, 350, 328, 203, 35]
    assert sum(one for one, _ in found) / YARD == pytest.approx(1232.87, abs=0.01)


def test_end_areas_of_two_sections_and_the_navy_s_short_constant() -> None:
    """114.3 and 232.4 sq ft over 75 ft: 481.5 cu yd; NAVEDTRA 14080: (A1 + A2) × 1.85 × L / 100 within 0.1 %."""
    [(cut, _)] = earthwork.end_areas([(0, 114.3, 0), (75, 232.4, 0)])
    assert cut / YARD == pytest.approx(481.5, abs=0.05)
    assert pytest.approx(cut / YARD, rel=0.0011) == (114.3 + 232.4) * 1.85 * 0.75


# Estimating in Building Construction, examples 9-5, 9-8 and a solved problem: cells of 50 × 50 ft, cut [bank cu ft] or fill
CELLS = [
    ((1.4, 1.4, 1.2, 1.3), 3313),
    ((0.1, 0.8, 0, 0), 563),
    ((0, 0, 0, 0.1), 62),
    ((0, 0, 0.1, 0.3), 250),
    ((0, 0, 1.1, 1.5), 1625),
    ((0, 0, 1.5, 0), 938),
    ((0.3, 0.9, 0.2, 0.4), 1125),
    ((1.1, 1.5, 0.7, 0.9), 2625),
    ((0, -0.3, 0, -0.7), -625),
]


@pytest.mark.parametrize(("corners", "printed"), CELLS)
def test_grid_cell_of_the_textbook(corners, printed) -> None:
    found = earthwork.grid_cell(corners, 50, 50)
    assert found.cut - found.fill == pytest.approx(printed, abs=0.6)


def test_soil_of_the_textbooks_grows_and_shrinks() -> None:
    """NAVEDTRA table 10-1: 100 bank cu yd of sand are 111 loose and 95 compacted. A solution manual: 817 placed of 950."""
    _, swell, shrink = earthwork.SOILS["sand"]
    assert earthwork.loose_of(100, swell) == pytest.approx(111)
    assert earthwork.placed_of(100, shrink) == pytest.approx(95)
    assert earthwork.bank_of(817, 1 - 2800 / 3256) == pytest.approx(950, abs=0.5)


def points_drawn(count: int, seed: int) -> list[tuple[float, float, float]]:
    drawn = np.random.default_rng(seed)
    places = drawn.uniform(0, 100, (count, 2))
    depths = np.sin(places[:, 0] / 20) + 0.4 * np.cos(places[:, 1] / 13)
    return [(float(x), float(y), float(z)) for (x, y), z in zip(places, depths, strict=True)]


def test_triangles_agree_with_an_interpolator_summed_on_a_fine_grid() -> None:
    points = points_drawn(60, seed=4)
    found = earthwork.triangles(points)
    surface = LinearNDInterpolator([(x, y) for x, y, _ in points], [z for _, _, z in points])
    step = 0.2
    x, y = np.meshgrid(np.arange(0, 100, step) + step / 2, np.arange(0, 100, step) + step / 2)
    depths = surface(x, y)
    assert found.area == pytest.approx(np.isfinite(depths).sum() * step**2, rel=0.002)
    assert found.cut == pytest.approx(np.nansum(np.maximum(depths, 0)) * step**2, rel=0.004)
    assert found.fill == pytest.approx(np.nansum(np.maximum(-depths, 0)) * step**2, rel=0.006)


@given(st.lists(st.floats(-5, 5), min_size=3, max_size=3))
@settings(max_examples=60)
def test_one_triangle_balances_and_turns_over(depths) -> None:
    corners = [(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)]
    up = earthwork.triangles([(x, y, z) for (x, y), z in zip(corners, depths, strict=True)])
    down = earthwork.triangles([(x, y, -z) for (x, y), z in zip(corners, depths, strict=True)])
    assert up.cut - up.fill == pytest.approx(50 * sum(depths) / 3, abs=1e-9)
    assert (up.cut, up.fill) == pytest.approx((down.fill, down.cut), abs=1e-9)
    assert min(up.cut, up.fill) >= 0


def test_plane_that_turns_in_the_middle_is_exact_by_triangles_and_near_by_the_grid() -> None:
    """From -1 to +1 over 10 ft: two wedges of 25 cu ft on a square of 10 ft; the four-point method says the same."""
    corners = [(0.0, 0.0, -1.0), (10.0, 0.0, 1.0), (10.0, 10.0, 1.0), (0.0, 10.0, -1.0)]
    found = earthwork.triangles(corners)
    assert (found.cut, found.fill) == pytest.approx((25, 25))
    cell = earthwork.grid_cell([-1, 1, -1, 1], 10, 10)
    assert (cell.cut, cell.fill) == pytest.approx((25, 25))


def test_points_as_typed_give_the_same_and_moving_them_changes_nothing() -> None:
    typed = "\n".join(f"{x:.3f}; {y:.3f}; {100 + z:.3f}; 100" for x, y, z in points_drawn(30, seed=8))
    moved = "\n".join(f"{x + 500:.3f}; {y - 0:.3f}; {100 + z:.3f}; 100" for x, y, z in points_drawn(30, seed=8))
    assert values("points-cut", points=typed)["cut"] == pytest.approx(
        values("points-cut", points=moved)["cut"], rel=1e-6
    )


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0, 1), (1, 0, 1)],
        [(0, 0, 1), (1, 0, 1), (2, 0, 1)],
        [(0, 0, 1), (0, 0, 2), (1, 0, 1), (0, 1, 1)],
        [(float(n), float(n * n % 7), 1.0) for n in range(2001)],
    ],
)
def test_points_that_make_no_surface_are_refused(points) -> None:
    with pytest.raises(OutsideValidity):
        earthwork.triangles(points)


# --- walls


def test_what_is_buried_is_a_tenth_and_six_inches_at_least() -> None:
    """Masonry Magazine, June 2001: a tenth; a trade association manual (from memory): 6 in at least. The larger is taken."""
    assert walls.buried(3) == 0.5
    assert walls.buried(5) == 0.5
    assert walls.buried(5.1) == pytest.approx(0.51)


def test_seat_wall_of_18_inches_and_six_buried_has_four_courses_and_14_caps() -> None:
    """Geometry."""
    assert walls.block_courses(1.5, 0.5, 0.5) == 4
    assert walls.pieces(14, 1) == 14


def test_forces_are_the_integral_of_the_pressure_behind_the_wall() -> None:
    share, soil, load, height = walls.active_share(32), 115.0, 60.0, 3.5
    depths = (np.arange(20_000) + 0.5) / 20_000 * height
    pressure = share * (soil * depths + load)
    found = walls.push(height=height, depth=1.5, soil=soil, wall=130, share=share, surcharge=load)
    assert found.thrust == pytest.approx(pressure.sum() * height / 20_000, rel=1e-6)
    assert found.turning == pytest.approx((pressure * (height - depths)).sum() * height / 20_000, rel=1e-6)
    assert share == pytest.approx((1 - np.sin(np.radians(32))) / (1 + np.sin(np.radians(32))))


def test_bearing_carries_the_weight_about_where_it_falls() -> None:
    one = walls.push(height=3, depth=1.5, soil=120, wall=130, share=1 / 3, surcharge=0)
    pressure = walls.bearing(one, 1.5)
    wide = one.weight / pressure
    assert wide / 2 * one.weight == pytest.approx(one.holding - one.turning)
    with pytest.raises(OutsideValidity, match="turns over"):
        walls.bearing(walls.push(height=6, depth=0.8, soil=120, wall=100, share=0.4, surcharge=100), 0.8)


def test_numbers_of_a_wall_never_say_that_it_passes() -> None:
    one = CALCULATIONS["wall-forces"]
    said = " ".join((one.words, one.validity, one.source, one.stops, *one.assumes, *(o.label for o in one.outputs)))
    answer = worked_out(one, read_typed(one, {"tier": "3 ft", "gap": "2 ft"}))
    for word in ("pass", "safe", " ok", "adequate"):
        assert word not in (said + " ".join(answer.notes)).lower()
    assert any("one wall" in note for note in answer.notes)
    assert "engineer" in one.stops


def test_higher_than_four_feet_from_the_footing_is_an_engineer_s() -> None:
    """Trade association: design by an engineer from 4 ft; the model code counts from the bottom of the footing."""
    one = CALCULATIONS["segmental-wall"]
    low, high = (worked_out(one, read_typed(one, {"seen": seen})) for seen in ("3 ft 6 in", "3 ft 7 in"))
    assert low.values["total"] == 4
    assert not low.notes
    assert "engineer" in high.notes[0]


@pytest.mark.parametrize(
    ("function", "good", "bad"),
    [
        (walls.active_share, 24, 23.9),
        (lambda x: walls.push(height=x, depth=2, soil=120, wall=130, share=0.3, surcharge=0), 6, 6.1),
        (lambda x: walls.push(height=3, depth=2, soil=120, wall=130, share=0.3, surcharge=x), 250, 251),
        (walls.buried, 20, 20.1),
        (lambda x: earthwork.loose_of(1, x), 1, 1.01),
        (lambda x: earthwork.placed_of(1, x), 0.5, 0.51),
        (lambda x: earthwork.grid_cell([1, 1, 1, 1], x, 1), 0.1, 0),
        (lambda x: earthwork.end_areas([(0, 1, 0), (x, 1, 0)]), 1, 0),
        (lambda x: earthwork.grid([[1, 1], [1] * int(x)], 1, 1), 2, 3),
    ],
)
def test_both_sides_of_where_ground_and_walls_hold(function, good, bad) -> None:
    function(good)
    with pytest.raises(OutsideValidity, match=r"\.$"):
        function(bad)


def test_rankine_in_its_other_form() -> None:
    assert walls.active_share(30) == pytest.approx(tan(np.radians(30)) ** 2)
