"""The way of a 12 V cable along a drawn line: straight to it, along it as it bends, straight on to the light.

A cable takes the line where that is at most `DETOUR` times as long as the straight way; else it goes straight. What
several cables share of a line is one trench. Arcs are chords within 1/64 in. Source: geometry.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist
from typing import Any

import numpy as np

from app.domain.basis import Assembly, Basis
from app.domain.job import Job, PlaceKind, Run, RunKind
from app.domain.plan.arcs import Point
from app.domain.plan.open_lines import fine_points

DETOUR = 2.0  # times the straight way that a cable may be longer along the line. Assumption
NEAR = 1e-6  # ft
CONDUIT = "conduit"  # the part that makes a recipe one of line voltage


@dataclass(frozen=True, slots=True)
class Way:
    """The way of one cable: its points, what of it lies off the line [ft], the stretch of the line it takes [ft]."""

    points: tuple[Point, ...]
    off: float
    on: tuple[float, float] | None = None  # from the line's beginning; None: straight

    @property
    def length(self) -> float:
        """How long it is [ft]."""
        return self.off + (self.on[1] - self.on[0] if self.on else 0.0)


@dataclass(frozen=True, slots=True)
class Line:
    """A drawn line that cables follow: its points and how far along it each lies [ft]."""

    points: tuple[Point, ...]
    marks: tuple[float, ...]


def may_be_followed(job: Job, basis: Basis) -> tuple[Run, ...]:
    """The drawn runs that 12 V cables may follow: no gas line, and no conduit of line voltage.

    Those keep their distance: local code and their fitter or electrician say how far.
    """
    powered = {
        work.place_id
        for work in job.works
        if work.place is PlaceKind.RUN and (found := basis.assemblies.get(work.assembly)) and _is_conduit(found)
    }
    return tuple(
        run for run in job.runs if len(run.points) > 1 and run.kind is not RunKind.GAS and run.id not in powered
    )


def _is_conduit(assembly: Assembly) -> bool:
    return any(part.role == CONDUIT for part in assembly.parts)


def line_of(run: Run) -> Line | None:
    """A run as a line to follow; None for one without a line."""
    points = tuple(fine_points(run.points, run.rises)) if len(run.points) > 1 else ()
    if len(points) < 2:
        return None
    marks = [0.0]
    for one, other in pairwise(points):
        marks.append(marks[-1] + dist(one, other))
    return Line(points, tuple(marks)) if marks[-1] > NEAR else None


def met(line: Line, places: Sequence[Point]) -> tuple[Any, Any]:
    """Where each place is nearest to a line: how far along it, and how far from it [ft, arrays]."""
    starts, ends = np.array(line.points[:-1]), np.array(line.points[1:])
    across, at = ends - starts, np.array(places, dtype=float).reshape(-1, 2)
    squared = np.maximum((across**2).sum(axis=1), NEAR**2)
    share = np.clip(((at[:, None, :] - starts[None]) * across[None]).sum(axis=2) / squared[None], 0.0, 1.0)
    foot = starts[None] + share[:, :, None] * across[None]
    away = np.hypot(*(at[:, None, :] - foot).transpose(2, 0, 1))
    nearest = away.argmin(axis=1)
    every = np.arange(len(at))
    marks = np.array(line.marks)
    along = marks[nearest] + share[every, nearest] * (marks[nearest + 1] - marks[nearest])
    return along, away[every, nearest]


def lengths(line: Line | None, places: Sequence[Point], others: Sequence[Point]) -> Any:
    """The cable between each place and each other one [ft, array], along the line where it takes it."""
    one, two = (np.array(group, dtype=float).reshape(-1, 2) for group in (places, others))
    straight = np.hypot(*(one[:, None, :] - two[None]).transpose(2, 0, 1))
    if line is None:
        return straight
    (along, away), (further, beside) = met(line, places), met(line, others)
    on = np.abs(along[:, None] - further[None])
    routed = away[:, None] + beside[None] + on
    return np.where(takes(on, routed, straight), routed, straight)


def takes(on: Any, routed: Any, straight: Any) -> Any:
    """Whether a cable takes the line: something of it, and not too long a way round."""
    return (on > NEAR) & (routed <= straight * DETOUR)


def way_between(line: Line | None, start: Point, end: Point) -> Way:
    """The way of a cable from one place to another.

    >>> line = Line(((0, 0), (10, 0), (10, 10)), (0, 10, 20))
    >>> way = way_between(line, (0, 1), (11, 10))
    >>> way.points, way.length, way.on
    (((0, 1), (0.0, 0.0), (10, 0), (10.0, 10.0), (11, 10)), 22.0, (0.0, 20.0))
    """
    straight = Way((start, end), dist(start, end))
    if line is None:
        return straight
    (first, last), (off, beyond) = (found.tolist() for found in met(line, (start, end)))
    routed = off + beyond + abs(last - first)
    if not takes(abs(last - first), routed, straight.off):
        return straight
    low, high = min(first, last), max(first, last)
    between = [point for point, mark in zip(line.points, line.marks, strict=True) if low + NEAR < mark < high - NEAR]
    inner = between if first < last else between[::-1]
    points = (start, _at(line, first), *inner, _at(line, last), end)
    return Way(tuple(points), off + beyond, (low, high))


def _at(line: Line, along: float) -> Point:
    """The point of a line that far along it."""
    place = next((at for at in range(1, len(line.marks) - 1) if line.marks[at] >= along), len(line.marks) - 1)
    low, high = line.marks[place - 1], line.marks[place]
    share = (along - low) / (high - low) if high > low else 0.0
    (x, y), (to_x, to_y) = line.points[place - 1], line.points[place]
    return x + (to_x - x) * share, y + (to_y - y) * share


def trench(ways: Iterable[Way]) -> float:
    """The ground opened for some cables along one line [ft]: what they share of it counts once.

    >>> trench([Way((), 2.0, (0.0, 10.0)), Way((), 1.0, (5.0, 12.0)), Way((), 4.0)])
    19.0
    """
    found = list(ways)
    total, reached = sum(one.off for one in found), -1.0
    for low, high in sorted(one.on for one in found if one.on):
        total += max(high - max(low, reached), 0.0)
        reached = max(reached, high)
    return total
