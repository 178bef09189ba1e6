"""Moving water held against the library `fluids` (1.3), which works in SI units and by other equations than ours.

Where the two are no more than related (Hazen-Williams beside Darcy with Colebrook) the width between them is stated.
"""

from math import pi

import pytest
from fluids import Reynolds, Spitzglass_low, friction_factor
from fluids.fittings import Hooper2K
from fluids.open_flow import Q_weir_rectangular_full_Rehbock, V_Manning

from app.domain.trades import drainage, gas, water
from app.domain.trades.registry import calculation
from app.domain.trades.validity import OutsideValidity
from app.domain.trades.working_out import read_typed, worked_out

FOOT, INCH, GRAVITY = 0.3048, 0.0254, 9.80665
GPM = 231 * INCH**3 / 60  # m³/s: the US gallon is 231 cu in
DENSITY, VISCOSITY = 999.0, 1.124e-3  # kg/m³, Pa·s: water at 60 °F
SMOOTH = 1.5e-6  # m: roughness of drawn plastic


def darcy(flow: float, inside: float) -> float:
    """Head lost in 100 ft [ft] of `flow` [gpm] in `inside` [in], by Darcy-Weisbach with fluids' friction factor."""
    across = inside * INCH
    speed = flow * GPM / (pi * across**2 / 4)
    factor = friction_factor(Re=Reynolds(V=speed, D=across, rho=DENSITY, mu=VISCOSITY), eD=SMOOTH / across)
    return factor * 100 * FOOT / across * speed**2 / (2 * GRAVITY) / FOOT


@pytest.mark.parametrize(("size", "least"), [("1/2", 0.83), ("3/4", 0.85), ("1", 0.87), ("1-1/2", 0.91), ("3", 0.95)])
def test_friction_with_c_150_lies_as_far_below_darcy_as_hazen_williams_does(size: str, least: float) -> None:
    inside = water.SCHEDULE_40[size]
    for speed in (2.0, 3.0, 4.0, 5.0):  # ft/s: to the guide for plastic pressure pipe
        flow = speed * inside**2 / water.FEET_A_SECOND
        share = water.friction_rate(flow, inside, 150) / darcy(flow, inside)
        assert least <= share <= 1.03, (size, speed)


def test_darcy_s_own_rate_is_that_of_the_library_and_refuses_slow_flow() -> None:
    for size, inside in water.SCHEDULE_40.items():
        for speed in (2.0, 5.0, 10.0):
            flow = speed * inside**2 / water.FEET_A_SECOND
            assert water.darcy_rate(flow, inside) == pytest.approx(darcy(flow, inside), rel=0.005), (size, speed)
    with pytest.raises(OutsideValidity, match="Reynolds"):
        water.darcy_rate(water.least_turbulent(1.049) * 0.99, 1.049)


@pytest.mark.parametrize(("size", "more"), [("1/2", 20), ("1", 14), ("2", 8), ("3", 5), ("4", 5)])
def test_what_the_sheet_says_of_darcy_is_what_the_library_gives(size: str, more: float) -> None:
    inside = water.SCHEDULE_40[size]
    flows = [speed * inside**2 / water.FEET_A_SECOND for speed in (2.0, 3.0, 4.0, 5.0)]
    most = max(abs(darcy(flow, inside) / water.friction_rate(flow, inside, 150) - 1) for flow in flows) * 100
    assert more - 1 <= most <= more + 0.5 or (size in {"3", "4"} and most <= more + 0.5)


def test_the_sheet_says_its_own_amount_where_the_formulas_part() -> None:
    small = worked_out(calculation("friction"), read_typed(calculation("friction"), {"size": "1/2", "flow": "2"}))
    inside = water.SCHEDULE_40["1/2"]
    share = darcy(2, inside) / water.friction_rate(2, inside, 150) - 1
    assert any(f"{share * 100:.0f} % more" in note for note in small.notes)
    large = worked_out(calculation("friction"), read_typed(calculation("friction"), {"size": "3", "flow": "100"}))
    assert not any("Darcy" in note for note in large.notes)


def test_spitzglass_is_that_of_the_library_and_as_far_off_as_the_sheet_says() -> None:
    off: dict[str, list[float]] = {}
    for size, inside in gas.INSIDE.items():
        for fuel, gravity in gas.GRAVITY.items():
            for long in (10.0, 50.0, 200.0):
                drop = 0.5 * 249.08891  # Pa in an inch of water
                exact = Spitzglass_low(
                    D=inside * INCH, L=long * FOOT, SG=gravity, P1=101_325 + drop, P2=101_325, Zavg=1, Tavg=288.7,
                    Ts=288.7, Ps=101_325, E=1.0,
                )  # fmt: skip
                ours = gas.spitzglass_capacity(inside, long, gas=fuel)
                assert ours == pytest.approx(exact / FOOT**3 * 3600, rel=0.01), (size, fuel, long)
                off.setdefault(size, []).append((ours / gas.pipe_capacity(inside, long, gas=fuel) - 1) * 100)
    for size, (least, most) in {"1/2": (-36, -22), "1": (-26, -9), "2": (-14, 5)}.items():
        assert least - 1 <= min(off[size]) <= least + 1, size
        assert most - 1 <= max(off[size]) <= most + 1, size


def test_friction_is_darcys_within_five_hundredths_where_pumps_of_a_yard_run() -> None:
    for size in ("1-1/2", "2", "2-1/2", "3", "4"):
        inside = water.SCHEDULE_40[size]
        for speed in (4.0, 5.0):
            flow = speed * inside**2 / water.FEET_A_SECOND
            assert water.friction_rate(flow, inside, 150) == pytest.approx(darcy(flow, inside), rel=0.05), (size, speed)


def test_speed_is_flow_over_section() -> None:
    for flow, inside in ((5.0, 0.824), (40.0, 2.067), (300.0, 6.0)):
        exact = flow * GPM / (pi * (inside * INCH) ** 2 / 4) / FOOT
        assert water.velocity(flow, inside) == pytest.approx(exact, rel=2e-4)


def test_fittings_count_as_long_as_their_loss_by_hoopers_two_k_within_a_quarter_less_and_half_more() -> None:
    # Source: W. Hooper, 2-K method, as the library has it: screwed elbow of 90° (800, 0.4), tee run through (150, 0.05)
    for kind, (first, last) in {"ell90": (800, 0.4), "tee_run": (150, 0.05)}.items():
        for size in ("3/4", "1", "1-1/2", "2", "3"):
            across = water.SCHEDULE_40[size] * INCH
            reynolds = Reynolds(V=4 * FOOT, D=across, rho=DENSITY, mu=VISCOSITY)
            loss = Hooper2K(Di=across / INCH, Re=reynolds, K1=first, Kinfty=last)
            length = loss * across / friction_factor(Re=reynolds, eD=SMOOTH / across) / FOOT
            printed = water.FITTINGS[kind][size]
            if kind == "ell90":
                assert 0.75 <= printed / length <= 1.5, (kind, size, length)
            else:
                assert printed > length * 0.85, (kind, size, length)


def test_weir_is_rehbocks_within_five_hundredths() -> None:
    for depth in (1.0, 2.0, 4.0, 6.0):  # in of water over a crest 1 ft high and 2 ft wide
        other = Q_weir_rectangular_full_Rehbock(h1=depth * INCH, h2=FOOT, b=2 * FOOT) / GPM
        assert water.weir_flow(2, depth) == pytest.approx(other, rel=0.05), depth


def test_full_drain_runs_as_manning_says() -> None:
    for inside, slope, roughness in ((4.0, 0.01, 0.012), (6.0, 0.005, 0.015), (3.0, 0.02, 0.009)):
        speed = V_Manning(Rh=inside * INCH / 4, S=slope, n=roughness)
        exact = speed * pi * (inside * INCH) ** 2 / 4 / GPM
        assert drainage.full_pipe_flow(inside, slope, roughness) == pytest.approx(exact, rel=1e-3)


def test_pump_meets_the_pipe_where_its_curve_and_darcys_cross() -> None:
    # one pump by three points, 60 ft of 2 in and 8 ft of lift: the point found by Hazen-Williams, and by bisection on Darcy
    curve = [(0.0, 24.0), (30.0, 19.0), (60.0, 8.5)]
    inside, lift, long = water.SCHEDULE_40["2"], 8.0, 60.0
    at = 40.0
    flow, head = water.operating_point(curve, lift, at=at, friction=water.friction_rate(at, inside, 150) * long / 100)

    def given(asked: float) -> float:
        (low, high), (far, less) = (curve[0], curve[1]) if asked <= 30 else (curve[1], curve[2])
        return high + (less - high) * (asked - low) / (far - low)

    left, right = 0.1, 60.0
    for _ in range(60):
        middle = (left + right) / 2
        left, right = (middle, right) if given(middle) > lift + darcy(middle, inside) * long / 100 else (left, middle)
    assert flow == pytest.approx(left, rel=0.01)
    assert head == pytest.approx(given(left), rel=0.01)
