"""The ground of all that is drawn, as shapes of the geometry library: zones, lines, things, what stands there."""

from collections.abc import Mapping
from typing import Any

import shapely

from app.domain.job import Existing, Job, RunKind, outlines_by_key
from app.domain.plan.open_lines import fine_points
from app.domain.plan.outline import chords

THIN = 0.25  # ft: half the width of a wall or fence that is drawn as a line
BARRIERS = frozenset({RunKind.WALL, RunKind.FENCE})

Shape = Any


def gates(job: Job) -> Shape:
    """The ground of all gates and doors: a fence is no bar there."""
    return shapely.union_all([shapely.points((one.x, one.y)).buffer(one.width / 2) for one in job.site.openings])


def of_existing(one: Existing, openings: Shape) -> Shape | None:
    """The ground of a thing that stands there today, a fence without its gates; None where it is not drawn."""
    if one.outline is not None:
        return chords(one.outline).polygon
    if len(one.points) > 1:
        return shapely.linestrings(fine_points(one.points, one.rises)).buffer(THIN).difference(openings)
    if one.x is not None and one.y is not None:
        return shapely.points((one.x, one.y)).buffer(max(THIN, (one.spread or 0.0) / 2))
    return None


def shapes_of(job: Job) -> Mapping[str, Shape]:
    """The ground of everything that is drawn, by the key of its place: zones, lines, things, what is there today."""
    found: dict[str, Shape] = {}
    for key, outline in outlines_by_key(job).items():
        found[f"zone:{key}"] = chords(outline).polygon
    for run in job.runs:
        if len(run.points) > 1:
            line = shapely.linestrings(fine_points(run.points, run.rises))
            found[f"run:{run.id}"] = line.buffer(THIN) if run.kind in BARRIERS else line
    for thing in job.features:
        if thing.x is not None and thing.y is not None:
            found[f"feature:{thing.id}"] = shapely.points((thing.x, thing.y))
    nothing = shapely.union_all([])
    for one in job.existing:
        if (shape := of_existing(one, nothing)) is not None:
            found[f"existing:{one.id}"] = shape
    return found
