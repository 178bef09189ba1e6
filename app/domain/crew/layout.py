"""The stake-out of a job: what the crew sets before anything is dug, by tapes from what stands already."""

from collections.abc import Iterator, Sequence
from math import fsum

from app.domain.job import Alternative, Job, Zone, only_included
from app.domain.plan.arcs import Line, Point
from app.domain.plan.between import runs_inside
from app.domain.plan.levels import finish_level
from app.domain.plan.open_lines import pieces_of
from app.domain.plan.outline import Outline, rings_of, segments
from app.domain.plan.staking import SAME, Drawn, Layout, Spot, lay_out
from app.domain.plan.swinging import Fixed, apart, station
from app.domain.takeoff.ground import mark_names, mark_places, survey_of

INTO = 0.25  # ft: a tape may graze a wall, not run through the house


def drawn_things(job: Job) -> tuple[Drawn, ...]:
    """Rings of the zones' outlines, then lines, as they are staked."""
    return (*_zones(job), *_lines(job))


def stake_out(job: Job, more: Sequence[Spot] = ()) -> Layout:
    """Every corner, arc, line and thing of the plan that is drawn, in numbers. Zones first, then lines, then things.

    `more` is what else is staked, after them: where borders stop.
    """
    job = only_included(job)
    house = job.site.house
    drawn = drawn_things(job)
    spots = [
        Spot(one.title or "thing", (one.x, one.y)) for one in job.features if one.x is not None and one.y is not None
    ]
    fixed = tuple(fixed_points(job))
    return lay_out(
        drawn,
        [*spots, *more],
        fixed=fixed,
        baseline=_chosen_baseline(job)
        or _wall_baseline(house, fixed, [piece.start for one in drawn for piece in one.pieces]),
        sees=lambda start, end: house is None or not runs_inside([start, end], house, INTO),
    )


def fixed_points(job: Job) -> Iterator[Fixed]:
    """What stands already: marks that have a place, then corners of the house that no mark stands on."""
    marks = [Fixed(name, place) for name, place in mark_places(job).items() if place is not None]
    yield from marks
    corners = [piece.start for piece in segments(job.site.house)] if job.site.house else []
    for number, corner in enumerate(corners, 1):
        if all(apart(corner, mark.at) > SAME for mark in marks):
            yield Fixed(f"H{number}", corner)


def _zones(job: Job) -> Iterator[Drawn]:
    chosen = job.chosen_by_zone()
    for zone in job.zones:
        way = chosen.get(zone.id)
        if way is not None and way.outline is not None:
            yield from _rings(zone, way, way.outline)


def _rings(zone: Zone, way: Alternative, outline: Outline) -> Iterator[Drawn]:
    title = " ".join(part for part in (zone.letter, zone.title) if part) or "zone"
    for ring in rings_of(outline):
        yield Drawn(title, ring, level=lambda at: finish_level(way, at), short=zone.letter)


def _lines(job: Job) -> Iterator[Drawn]:
    for run in job.runs:
        if len(run.points) > 1:
            yield Drawn(run.title or run.kind.value, pieces_of(run.points, run.rises), closed=False)


def _chosen_baseline(job: Job) -> tuple[Fixed, Fixed] | None:
    """The two marks somebody chose, where both have a place."""
    places, names = survey_of(job).places, mark_names(job)
    keys = [str(one) for one in job.site.baseline_ids]
    if len(keys) != 2 or any(key not in places for key in keys):
        return None
    start, end = (Fixed(names[key], places[key].at) for key in keys)
    return start, end


def _wall_baseline(house: Outline | None, fixed: tuple[Fixed, ...], points: list[Point]) -> tuple[Fixed, Fixed] | None:
    """The longest straight wall of the house that the work lies before, walked so that the yard lies left of it."""
    if house is None or not points:
        return None
    middle = fsum(x for x, _ in points) / len(points), fsum(y for _, y in points) / len(points)
    walls = [piece for piece in segments(house) if isinstance(piece, Line)]
    before = [wall for wall in walls if station(middle, wall.end, wall.start).off > 0]
    if not before:
        return None
    wall = max(before, key=lambda one: one.length)
    named = {one.at: one.title for one in fixed}
    start, end = (Fixed(_name(named, at), at) for at in (wall.end, wall.start))
    return start, end


def _name(named: dict[Point, str], at: Point) -> str:
    """What stands at a point, or nearest to it."""
    return named.get(at) or next((title for place, title in named.items() if apart(place, at) <= SAME), "house corner")
