"""Water that runs over and comes back: spillway, pipe, head, pump, basin, what evaporates, what it costs to run.

Flows in gpm (US gallons a minute), heads and lengths in ft, diameters in in, unless a line says otherwise.
"""

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from math import log10

from app.domain.trades.validity import OutsideValidity, above_zero, within

GALLONS_A_CUBIC_FOOT = 1728 / 231  # exact: the US gallon is 231 cu in, NIST Handbook 44
FEET_OF_WATER_A_PSI = 2.31  # printed everywhere; 2.307 at 60 °F
FEET_A_SECOND = 0.4085  # velocity [ft/s] = 0.4085 Q / d²: Q in gpm, d in in (geometry)
VISCOSITY = 1.21e-5  # ft²/s: water at 60 °F (printed in tables of hydraulics, from memory)
SMOOTH = 4.92e-6  # ft: 1.5 micrometers, drawn plastic (printed with friction charts, from memory)
TURBULENT = 4000.0  # Reynolds number from which Colebrook's equation holds
GRAVITY = 32.174  # ft/s²
FASTEST = 5.0  # ft/s: guide for plastic pressure pipe (published friction tables for PVC)

# inside diameter [in] of Schedule 40 plastic pipe by nominal size: ASTM D1785, average (from memory)
SCHEDULE_40: Mapping[str, float] = {
    "1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610,
    "2": 2.067, "2-1/2": 2.469, "3": 3.068, "4": 4.026,
}  # fmt: skip
# equivalent feet of pipe of PVC fittings by nominal size: a PVC pipe engineering data sheet
FITTINGS: Mapping[str, Mapping[str, float]] = {
    "ell90": dict(zip(SCHEDULE_40, (1.5, 2.0, 2.5, 3.8, 4.0, 5.7, 6.9, 7.9, 11.4), strict=True)),
    "ell45": dict(zip(SCHEDULE_40, (0.8, 1.1, 1.4, 1.8, 2.1, 2.6, 3.1, 4.0, 5.1), strict=True)),
    "tee_run": dict(zip(SCHEDULE_40, (1.0, 1.4, 1.7, 2.3, 2.7, 4.0, 4.9, 6.1, 7.9), strict=True)),
    "tee_branch": dict(zip(SCHEDULE_40, (3.8, 4.9, 6.0, 7.3, 8.4, 12.0, 14.7, 16.4, 22.0), strict=True)),
}
# gph an inch of width by how it looks: a water garden magazine's technical tip; a rule of thumb with a wide spread
BY_LOOK: Mapping[str, tuple[str, float]] = {
    "thin": ("A thin film, 1/4 in deep", 50.0),
    "full": ("A full sheet, about 1/2 in deep", 100.0),
    "heavy": ("Heavy, 1 in deep and more", 200.0),
}


def spillway_flow(width: float, rate: float) -> float:
    """Flow over a spillway [gpm] of `width` [ft, to 50] at `rate` [gph an inch, 20 to 300].

    Raises: OutsideValidity. Source: the rate put in (rule of thumb); 60 minutes an hour.

    >>> spillway_flow(2, 100)
    40.0
    """
    within("Width of the spillway", above_zero("Width of the spillway", width, "ft"), None, 50, "ft")
    return width * 12 * within("Flow by width", rate, 20, 300, "gph/in") / 60


def weir_flow(width: float, depth: float) -> float:
    """Flow [gpm] over a sharp-crested weir as wide as its channel.

    `width` [ft], `depth` of water above it [in, 0.2 to 6].
    Q [cu ft/s] = 3.33 L H^1.5. Raises: OutsideValidity. Source: the suppressed weir in US units (from memory); a
    rounded stone edge lets less run than this or more.

    >>> round(weir_flow(1 / 12, 1) * 60, 1)
    179.8
    """
    within("Depth of water on the edge", depth, 0.2, 6, "in")
    return float(3.33 * above_zero("Width", width, "ft") * (depth / 12) ** 1.5 * GALLONS_A_CUBIC_FOOT * 60)


def velocity(flow: float, diameter: float) -> float:
    """Speed in a full pipe [ft/s] of `flow` [gpm] in `diameter` [in, 0.3 to 24].

    Raises: OutsideValidity. Source: geometry.

    >>> round(velocity(40, 2.067), 2)
    3.82
    """
    return FEET_A_SECOND * flow / within("Inside diameter", diameter, 0.3, 24, "in") ** 2


def friction_rate(flow: float, diameter: float, roughness: float) -> float:
    """Head lost in 100 ft of full pipe [ft] by Hazen-Williams: 0.2083 (100/C)^1.852 Q^1.852 / d^4.8655.

    `flow` [gpm], `diameter` inside [in, 0.3 to 24], `roughness` C [80 to 155; 150 for smooth plastic]. Water at about
    60 °F, speeds below 10 ft/s. Raises: OutsideValidity. Source: a PVC pipe engineering data sheet.

    >>> round(friction_rate(40, 2.067, 150), 2)
    2.66
    """
    within("Roughness C", roughness, 80, 155)
    within("Speed in the pipe", velocity(flow, diameter), 0, 10, "ft/s")
    return float(0.2083 * (100 / roughness) ** 1.852 * flow**1.852 / diameter**4.8655)


def least_turbulent(diameter: float) -> float:
    """The least flow [gpm] in a full pipe of `diameter` [in] that is surely turbulent: water at 60 °F, Re 4,000.

    >>> round(least_turbulent(0.622), 2)
    0.88
    """
    return TURBULENT * VISCOSITY * 12 * diameter / FEET_A_SECOND


def darcy_rate(flow: float, diameter: float) -> float:
    """Head lost in 100 ft of full smooth plastic pipe [ft] by Darcy-Weisbach with Colebrook's friction factor.

    `flow` [gpm], `diameter` inside [in, 0.3 to 24]; water at 60 °F. Beside `friction_rate`, which is what the trade's
    charts print. Raises: OutsideValidity where the flow is too slow to be turbulent. Source: Darcy-Weisbach; C. F.
    Colebrook, Journal of the ICE 11 (1939).

    >>> round(darcy_rate(40, 2.067), 2)
    2.72
    """
    speed, across = velocity(flow, diameter), diameter / 12
    reynolds = within("Reynolds number", speed * across / VISCOSITY, TURBULENT, None)
    root = 0.14  # of the friction factor; each turn brings it some ten times nearer
    for _ in range(12):
        root = -0.5 / log10(SMOOTH / across / 3.7 + 2.51 / (reynolds * root))
    return float(root**2 * 100 / across * speed**2 / (2 * GRAVITY))


def equivalent_length(size: str, counts: Mapping[str, float]) -> float:
    """Feet of pipe that fittings of a nominal `size` count as, by kind and count. Raises: OutsideValidity.

    >>> equivalent_length("2", {"ell90": 3, "tee_run": 1})
    21.1
    """
    if size not in SCHEDULE_40:
        raise OutsideValidity(f"Pipe size “{size}” is not in the table: {', '.join(SCHEDULE_40)} in are.")
    return sum(FITTINGS[kind][size] * count for kind, count in counts.items())


def operating_point(
    curve: Sequence[tuple[float, float]], static: float, *, at: float, friction: float
) -> tuple[float, float]:
    """Where a pump's curve meets the pipe's: flow [gpm] and head [ft].

    `curve` are points (flow, head) of the maker's curve, head falling; between them it is straight. The pipe asks for
    `static` [ft] and `friction` [ft] at the flow `at` [gpm], growing as flow^1.852. Raises: OutsideValidity where the
    curves do not meet within the points. Source: geometry; Hazen-Williams' exponent.

    >>> flow, head = operating_point([(0, 20), (60, 0)], 5, at=40, friction=2)
    >>> round(flow, 2), round(head, 2)
    (39.22, 6.93)
    """
    points = sorted((float(flow), float(head)) for flow, head in curve)
    if len(points) < 2 or any(b[1] >= a[1] or b[0] == a[0] for a, b in pairwise(points)):
        raise OutsideValidity(
            "A pump's curve wants two points and more, its head falling as the flow grows.", field="curve"
        )
    above_zero("Flow at which the friction was found", at, "gpm")

    def asked(flow: float) -> float:
        return float(static + friction * (flow / at) ** 1.852)

    if asked(points[0][0]) > points[0][1]:
        raise OutsideValidity(
            f"The pump gives {points[0][1]:g} ft at most by these points, the pipe asks for more. Take a stronger one.",
            field="curve",
        )
    for (low, high_head), (high, low_head) in pairwise(points):
        if asked(high) >= low_head:
            return _meeting(asked, (low, high_head), (high, low_head))
    raise OutsideValidity("The pump gives more than its last point says: type a point with more flow.", field="curve")


def _meeting(
    asked: Callable[[float], float], before: tuple[float, float], after: tuple[float, float]
) -> tuple[float, float]:
    (low, low_head), (high, high_head) = before, after
    slope = (high_head - low_head) / (high - low)
    start = low
    left, right = low, high
    for _ in range(60):  # halved until nothing is left of it
        middle = (left + right) / 2
        if asked(middle) < low_head + slope * (middle - start):
            left = middle
        else:
            right = middle
    return left, low_head + slope * (left - start)


def basin_water(length: float, width: float, depth: float, porosity: float) -> float:
    """Water a basin filled with stone holds [cu ft].

    Sides [ft, to 40], `porosity` [share of the whole that is voids, 0.25 to 0.5].
    Porosity is voids by *whole* volume; a void ratio (voids by solids) is another number: e = n / (1 - n).
    Raises: OutsideValidity. Source: geometry; open stone 0.40 (published), round river stone 0.30 to 0.40 (weak).

    >>> round(basin_water(8, 6, 2.5, 0.40) * GALLONS_A_CUBIC_FOOT, 1)
    359.1
    """
    sides = (above_zero("Basin", one, "ft") for one in (length, width, depth))
    volume = 1.0
    for one in sides:
        volume *= within("A side of the basin", one, None, 40, "ft")
    return volume * within("Porosity", porosity, 0.25, 0.5)


def porosity_of(void_ratio: float) -> float:
    """The porosity (voids by whole volume) of a `void_ratio` (voids by solids, 0.2 to 1.5). Raises: OutsideValidity.

    >>> round(porosity_of(2 / 3), 6)
    0.4
    """
    return within("Void ratio", void_ratio, 0.2, 1.5) / (1 + void_ratio)


def water_in_motion(width: float, length: float, depth: float) -> float:
    """Water that falls back when the pump stops [cu ft]: what stands on a stream or weir of these sides [ft].

    >>> round(water_in_motion(3, 10, 0.1), 6)
    3.0
    """
    return width * length * depth


def make_up(surface: float, flow: float) -> tuple[float, float, float]:
    """Water to make up [gal a day] for a water `surface` [sq ft] and a pump of `flow` [gph]: three rules that disagree.

    In order: 1 in a week over the surface; 0.5 % and 1 % of the hourly flow a day. Splash, leaks, wind are not in it.
    Source: garden center and water feature pages (weak, common practice); show a range.

    >>> [round(one, 1) for one in make_up(100, 2400)]
    [8.9, 12.0, 24.0]
    """
    weekly = within("Water surface", surface, 0, 10_000, "sq ft") / 12 * GALLONS_A_CUBIC_FOOT / 7
    within("Pump", flow, 0, 50_000, "gph")
    return weekly, 0.005 * flow, 0.01 * flow


def yearly_energy(watts: float, hours: float, days: float) -> float:
    """Energy of a year [kWh] of `watts` [W] run `hours` a day [0 to 24] on `days` a year [0 to 366].

    Raises: OutsideValidity. Source: definition.

    >>> yearly_energy(250, 12, 200)
    600.0
    """
    return watts * within("Hours a day", hours, 0, 24, "h") * within("Days a year", days, 0, 366) / 1000
