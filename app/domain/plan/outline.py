"""Outlines: exact closed shapes of straight edges and circular arcs, in feet, y north, from the job's datum."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed outline as OGC curve WKT (`CURVEPOLYGON (COMPOUNDCURVE (…))` or `POLYGON ((…))`), feet.

    `shape` and `sizes` remember how it was typed (rectangle: width, depth; circle: radius; L: …; points: none), so
    that it can be typed again. They never decide a measure: the WKT does.
    """

    wkt: str
    shape: str = "points"
    sizes: tuple[float, ...] = ()
