"""Doors along the house: how high their thresholds lie, and how far one steps down from them to the surface outside."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.domain.job import Job, Opening
from app.domain.plan.arcs import Point
from app.domain.plan.between import from_line
from app.domain.plan.edges import HOUSE, SharedEdge
from app.domain.plan.levels import Drop, Surfaced, finish_level
from app.domain.takeoff.ground import leveling_of

IN_THE_WALL = 1.0  # ft: a door is drawn somewhere in the thickness of its wall (common practice, no source)


@dataclass(frozen=True, slots=True)
class Doorway:
    """A door on a stretch along the house [ft]. `threshold` and `finish` (the surface there) are above the datum.

    None where one is not known.
    """

    title: str
    at: Point
    width: float
    threshold: float | None
    finish: float | None

    @property
    def down(self) -> float | None:
        """How far one steps down from the threshold [ft]; negative where the surface outside lies above it.

        >>> Doorway("Kitchen door", (12, 0), 3, threshold=0.5, finish=0.0).down
        0.5
        """
        return None if self.threshold is None or self.finish is None else self.threshold - self.finish


def threshold_of(job: Job, opening: Opening) -> float | None:
    """The level [ft above the datum] of a door's threshold: typed, else by the rod on its mark; None: not known."""
    if opening.level is not None or opening.mark_id is None:
        return opening.level
    found = leveling_of(job).levels.get(str(opening.mark_id))
    return found.level if found else None


def doorways(
    job: Job, stretches: Sequence[SharedEdge], surfaces: Mapping[str, Surfaced]
) -> Mapping[int, tuple[Doorway, ...]]:
    """The doors on each stretch along the house, by the stretch's place: a door is on the one that it lies nearest to.

    A gate, or a door that no surface comes near, is on none.
    """
    along = [place for place, one in enumerate(stretches) if one.neighbor == HOUSE]
    found: dict[int, tuple[Doorway, ...]] = {}
    for opening in job.site.openings if along else ():
        at = (opening.x, opening.y)
        away, place = min((from_line(stretches[place].path, at), place) for place in along)
        if away <= IN_THE_WALL:
            finish = finish_level(surfaces[stretches[place].zone], at)
            door = Doorway(opening.title, at, opening.width, threshold_of(job, opening), finish)
            found[place] = (*found.get(place, ()), door)
    return found


def drop_at(doors: Sequence[Doorway]) -> Drop | None:
    """The drop of a stretch along the house, as its surface sees it: below zero where the threshold lies above.

    Its mean is the one at the door with the largest; None while no door's is known.
    """
    known = [-door.down for door in doors if door.down is not None]
    if not known:
        return None
    return Drop(known[0], known[-1], max(known), min(known), max(known, key=abs))
