"""Sprinklers: how fast a valve waters what its heads really wet, how long it runs, what its pipe carries."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

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


STEP = 2.0  # degrees of arc a chord spans: the polygon is 0.02% smaller than the sector


@dataclass(frozen=True, slots=True, kw_only=True)
class Throw:
    """Where a head throws: from `at` [ft], `radius` [ft], over `arc` [°, to 360], `faces` [° clockwise from the top].

    `flow` is what it gives [gpm].
    """

    at: tuple[float, float]
    radius: float
    arc: float = 360.0
    faces: float = 0.0
    flow: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wetted:
    """What heads wet of some ground: its `area` [sq ft], the `flow` that lands there and what they give `in_all` [gpm].

    `apart` is how fast each head alone waters what it throws over [in/h], in their order.
    """

    area: float
    flow: float
    in_all: float
    apart: tuple[float, ...]

    @property
    def rate(self) -> float | None:
        """How fast water falls there [in/h]; None where none does."""
        return precipitation(self.flow, self.area) if self.area > LEAST_AREA else None

    @property
    def beside(self) -> float:
        """The share of the water that lands elsewhere."""
        return 1 - self.flow / self.in_all if self.in_all else 0.0


LEAST_AREA = 0.01  # sq ft: less is noise of the drawing


def sector(throw: Throw) -> BaseGeometry:
    """The ground a head throws over, for the geometry library.

    `radius` 0.5 to 200 ft, `arc` 1 to 360°. Raises: OutsideValidity. Source: geometry; arcs by chords of 2°.

    >>> round(sector(Throw(at=(0, 0), radius=10, arc=90)).area, 1)
    78.5
    """
    within("Throw", throw.radius, 0.5, 200, "ft")
    arc = within("Arc", throw.arc, 1, 360, "°")
    count = ceil(arc / STEP)
    ways = np.radians(throw.faces - arc / 2 + np.linspace(0, arc, count + 1))
    rim = np.column_stack((np.sin(ways), np.cos(ways))) * throw.radius + np.array(throw.at)
    points = rim[:-1] if arc == 360 else np.vstack(([throw.at], rim))
    found: BaseGeometry = shapely.polygons(points)
    return found


def wetted(throws: Sequence[Throw], ground: BaseGeometry) -> Wetted:
    """What heads wet together of a ground, as if each watered evenly all it throws over.

    Ground that several reach counts once; of each head's water what falls on the ground counts. Raises:
    OutsideValidity. Source: geometry; that a head waters evenly is an assumption (each alone does not, overlap does).

    >>> from shapely import box
    >>> half = wetted([Throw(at=(0, 0), radius=10, flow=3.0)], box(0, -20, 20, 20))
    >>> round(half.area), round(half.flow, 2), half.in_all
    (157, 1.5, 3.0)
    """
    shapes = [sector(one) for one in throws]
    here = [shape.intersection(ground) for shape in shapes]
    landed = (one.flow * part.area / shape.area for one, shape, part in zip(throws, shapes, here, strict=True))
    return Wetted(
        area=float(shapely.union_all(here).area),
        flow=float(sum(landed)),
        in_all=sum(one.flow for one in throws),
        apart=tuple(precipitation(one.flow, shape.area) for one, shape in zip(throws, shapes, strict=True)),
    )
