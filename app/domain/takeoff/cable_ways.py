"""The way of a 12 V cable along drawn lines: straight to one, along it as it bends and on where another meets it.

What several cables share of a line is one trench. Arcs are chords within 1/64 in. Source: geometry.
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

NEAR = 1e-6  # ft
CONDUIT = "conduit"  # the part that makes a recipe one of line voltage

Stretch = tuple[int, float, float]  # of a line, by its number: from its beginning, low before high [ft]


@dataclass(frozen=True, slots=True)
class Way:
    """The way of one cable: its points, what of it lies off the lines [ft], the stretches of lines it takes."""

    points: tuple[Point, ...]
    off: float
    on: tuple[Stretch, ...] = ()  # none: straight

    @property
    def length(self) -> float:
        """How long it is [ft]."""
        return self.off + sum(high - low for _, low, high in self.on)


@dataclass(frozen=True, slots=True)
class Line:
    """A drawn line that cables follow: its points and how far along it each lies [ft]."""

    points: tuple[Point, ...]
    marks: tuple[float, ...]

    @property
    def long(self) -> float:
        """How long it is [ft]."""
        return self.marks[-1]

    def at(self, along: float) -> Point:
        """The point of it that far along it [ft].

        >>> line_through((0, 0), (10, 0), (10, 10)).at(12)
        (10.0, 2.0)
        """
        place = next((at for at in range(1, len(self.marks) - 1) if self.marks[at] >= along), len(self.marks) - 1)
        low, high = self.marks[place - 1], self.marks[place]
        share = (along - low) / (high - low) if high > low else 0.0
        (x, y), (to_x, to_y) = self.points[place - 1], self.points[place]
        return x + (to_x - x) * share, y + (to_y - y) * share

    def between(self, start: float, end: float) -> tuple[Point, ...]:
        """The points of it from one place to another [ft along it], those included.

        >>> line_through((0, 0), (10, 0), (10, 10)).between(12, 8)
        ((10.0, 2.0), (10, 0), (8.0, 0.0))
        """
        low, high = min(start, end), max(start, end)
        inner = [point for point, mark in zip(self.points, self.marks, strict=True) if low + NEAR < mark < high - NEAR]
        return (self.at(start), *(inner if start < end else inner[::-1]), self.at(end))


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
    line = line_through(*fine_points(run.points, run.rises)) if len(run.points) > 1 else None
    return line if line and line.long > NEAR else None


def line_through(*points: Point) -> Line:
    """The line through two points or more.

    >>> line_through((0, 0), (3, 4), (3, 5)).marks
    (0.0, 5.0, 6.0)
    """
    marks = [0.0]
    for one, other in pairwise(points):
        marks.append(marks[-1] + dist(one, other))
    return Line(points, tuple(marks))


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


def trench(ways: Iterable[Way]) -> float:
    """The ground opened for some cables along the same lines [ft]: what they share of a line counts once.

    >>> trench([Way((), 2.0, ((0, 0.0, 10.0),)), Way((), 1.0, ((0, 5.0, 12.0), (1, 0.0, 3.0))), Way((), 4.0)])
    22.0
    """
    found = list(ways)
    total = sum(one.off for one in found)
    reached: dict[int, float] = {}
    for line, low, high in sorted(stretch for one in found for stretch in one.on):
        before = reached.get(line, low)
        total += max(high - max(low, before), 0.0)
        reached[line] = max(before, high)
    return total
