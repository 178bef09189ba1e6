"""Setbacks and easements of a lot where they lie: which row holds for what along which line, which ground is whose."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from app.domain.job import BUILT, LIMITED, Easement, Job, Setback
from app.domain.keeping import KeptByInputs
from app.domain.plan.arcs import Segment
from app.domain.plan.levels import compass_word
from app.domain.plan.lot_lines import faces, line_at, lines_of, strip, strip_along
from app.domain.plan.outline import Outline, chords

Shape = Any


@dataclass(frozen=True, slots=True)
class LineOfLot:
    """One lot line, where it faces in words, and its side: a key of `LOT_SIDES`, empty while not said."""

    line: Segment
    facing: str
    side: str


def lot_lines(job: Job) -> tuple[LineOfLot, ...]:
    """The lines of a job's lot; none where it is not on the plan."""
    lot = job.site.lot
    if lot is None:
        return ()
    sides = {line_at(lot, (one.x, one.y)): one.side for one in job.site.lot_lines}
    north = job.site.north
    return tuple(
        LineOfLot(line, compass_word(faces(line), north), sides.get(at, "")) for at, line in enumerate(lines_of(lot))
    )


def house_off_lot(job: Job) -> float:
    """How much of the house lies outside of the lot [sq ft]; 0 where one of them is not on the plan. Geometry."""
    house, lot = job.site.house, job.site.lot
    if house is None or lot is None:
        return 0.0
    return _OFF.get_or_make(job.site.id, (house, lot), lambda: _off(house, lot))


def _off(house: Outline, lot: Outline) -> float:
    return float(chords(house).polygon.difference(chords(lot).polygon).area)


def setback_of(rows: tuple[Setback, ...], kind: str, side: str) -> Setback | None:
    """The row that holds for a kind of thing along a side: the one that names most; of two alike the further one.

    None where no row with a distance speaks of it.
    """
    fits = (
        one
        for one in rows
        if one.distance is not None
        and one.side in {side, ""}
        and (one.kind == kind or (one.kind == "" and kind in BUILT))
    )
    return max(fits, key=lambda one: (bool(one.kind), bool(one.side), one.distance or 0.0), default=None)


_OFF: KeptByInputs[float] = KeptByInputs(256, each=1)
_GROUND: KeptByInputs[Shape | None] = KeptByInputs(256, each=1)


def easement_ground(lot: Outline | None, easement: Easement) -> Shape | None:
    """The ground of an easement; None while where it lies is not known. The very same while neither is edited."""
    return _GROUND.get_or_make(easement.id, (lot, easement), lambda: _ground(lot, easement))


def _ground(lot: Outline | None, easement: Easement) -> Shape | None:
    if easement.outline is not None:
        return chords(easement.outline).polygon
    if len(easement.points) > 1:
        return strip_along(easement.points, easement.rises, easement.width) if easement.width else None
    if lot is None or easement.at is None or not easement.width:
        return None
    number = line_at(lot, easement.at)
    return strip(lot, lines_of(lot)[number], easement.width) if number is not None else None


def distances(job: Job) -> Iterator[tuple[LineOfLot, float, tuple[str, ...]]]:
    """Every distance that is kept from every lot line, with the kinds of things it holds for: what most keep first."""
    for line in lot_lines(job):
        kinds: dict[float, tuple[str, ...]] = {}
        for kind in LIMITED:
            row = setback_of(job.setbacks, kind, line.side)
            if row is not None and row.distance:
                kinds[row.distance] = (*kinds.get(row.distance, ()), kind)
        for distance in sorted(kinds, key=lambda one: (-len(kinds[one]), one)):
            yield line, distance, kinds[distance]


def same_for_all(kinds: tuple[str, ...]) -> bool:
    """Whether a distance holds for all that is built."""
    return set(kinds) >= BUILT
