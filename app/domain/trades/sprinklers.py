"""Sprinklers: how fast a valve waters by the area it really serves, how long it runs, what its pipe carries."""

from math import sqrt

from app.domain.trades.validity import above_zero, within

RATE = 96.25  # in/h of 1 gpm on 1 sq ft: 231 cu in a gallon ÷ 144 × 60 (96.3 rounded in print)


def precipitation(flow: float, area: float) -> float:
    """How fast water falls [in/h] of `flow` [gpm, 0 to 500] on the `area` it really wets [sq ft].

    Raises: OutsideValidity. Source: 96.25 × gpm ÷ area (utility district page; definition of the gallon).

    >>> precipitation(10, 1000)
    0.9625
    """
    return RATE * within("Flow", flow, 0, 500, "gpm") / above_zero("Area served", area, "sq ft")


def flow_at(printed: float, made_for: float, pressure: float) -> float:
    """The flow [gpm] at a `pressure` [psi] of heads that give `printed` [gpm] at the one they are `made_for` [psi].

    Pressures 5 to 120 psi. Raises: OutsideValidity. Source: orifice equation, flow by the root of pressure
    (Torricelli); a head that holds its own pressure gives what is printed.

    >>> round(flow_at(4.0, 30, 45), 2)
    4.9
    """
    within("Pressure that heads are made for", made_for, 5, 120, "psi")
    within("Pressure at a head", pressure, 5, 120, "psi")
    return within("Flow", printed, 0, 500, "gpm") * sqrt(pressure / made_for)


def matched_flow(full_circle: float, arc: float) -> float:
    """The flow [gpm] of a head of `arc` [°, 15 to 360] that waters as fast as a `full_circle` one.

    Raises: OutsideValidity. Source: proportion.

    >>> matched_flow(6, 90), matched_flow(6, 180)
    (1.5, 3.0)
    """
    return full_circle * within("Arc", arc, 15, 360, "°") / 360


def gallons_a_day(depth: float, factor: float, area: float) -> float:
    """Water a plant wants [gal/day] on the `area` below it [sq ft].

    `depth` is what the air takes [in/day, 0.02 to 0.5], `factor` the plant's share of it [0.2 to 1.5]. Raises:
    OutsideValidity. Source: Washington State University, drip design for landscapes (depth × factor); 0.623 gal a sq
    ft an inch deep.

    >>> round(gallons_a_day(0.25, 1.1, 78.5), 1)
    13.5
    """
    within("Water that the air takes", depth, 0.02, 0.5, "in/day")
    return depth * within("Plant factor", factor, 0.2, 1.5) * area * 144 / 231


def minutes_for(depth: float, rate: float, evenness: float) -> float:
    """Minutes that a valve runs for a `depth` [in].

    `rate` [in/h], `evenness` [share, 0.3 to 1]: the driest part still gets the depth.
    Raises: OutsideValidity. Source: definition.

    >>> minutes_for(0.5, 1.0, 1.0)
    30.0
    """
    return depth / above_zero("Rate", rate, "in/h") / within("Evenness", evenness, 0.3, 1) * 60
