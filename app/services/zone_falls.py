"""Level and fall of a zone, finished and as the ground is today, for the plan's margin."""

from dataclasses import dataclass

from app.domain.job import Alternative, Job, Zone
from app.domain.plan.falls import wall_bearings
from app.domain.plan.levels import compass_word, finish_level
from app.domain.plan.outline import segments
from app.domain.plan.surface import CutFill, GroundFall, cut_and_fill, ground_fall
from app.domain.takeoff.ground import ground_of

# bearings on the sheet, in words
SHEET = {
    0.0: "up the sheet",
    45.0: "up and right",
    90.0: "to the right",
    135.0: "down and right",
    180.0: "down the sheet",
    225.0: "down and left",
    270.0: "to the left",
    315.0: "up and left",
}
SAME = 0.5  # degrees


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneFinish:
    """How a zone's finish lies, and the ground under it: levels in ft, winds in words, earth in cu ft in place."""

    runs_to: str
    lowest: float | None
    highest: float | None
    ground: GroundFall | None
    ground_to: str
    earth: CutFill | None


def zone_finish(job: Job, zone: Zone) -> ZoneFinish:
    """The finish and the ground of a zone's chosen way; what is not known stays empty."""
    way, north = job.chosen(zone), job.site.north
    corners = corner_levels(way) if way else ()
    ground = ground_fall(ground_of(job), way.outline) if way and way.outline else None
    return ZoneFinish(
        runs_to=compass_word(way.fall_bearing, north) if way and way.fall_bearing is not None else "",
        lowest=min(corners, default=None),
        highest=max(corners, default=None),
        ground=ground,
        ground_to=compass_word(ground.bearing, north) if ground and ground.bearing is not None else "",
        earth=earth_of(job, way) if way and ground else None,
    )


def corner_levels(way: Alternative) -> tuple[float, ...]:
    """The finish level at each corner of a surface [ft]; none where it is not known."""
    if way.outline is None:
        return ()
    found = (finish_level(way, piece.start) for piece in segments(way.outline))
    return tuple(level for level in found if level is not None)


def earth_of(job: Job, way: Alternative) -> CutFill | None:
    """Earth between the ground and the finish of a surface; None where either is not known."""
    if way.outline is None or way.level is None:
        return None
    return cut_and_fill(ground_of(job), lambda point: finish_level(way, point), way.outline)


def fall_options(job: Job, way: Alternative) -> list[tuple[str, str]]:
    """Directions a surface may fall, as degrees and in words: away from each wall of the house, eight on the sheet."""
    north, house, own = job.site.north, job.site.house, way.fall_bearing
    known = [(bearing, "away from the house") for bearing in (wall_bearings(house) if house else ())]
    walls = [bearing for bearing, _ in known]
    known += [(bearing, words) for bearing, words in SHEET.items() if not any(_same(bearing, one) for one in walls)]
    if own is not None and not any(_same(own, bearing) for bearing, _ in known):
        known.append((own, f"at {own:g}°"))
    exact = ((own if own is not None and _same(own, bearing) else bearing, words) for bearing, words in known)
    return [(str(bearing), f"{words}, {compass_word(bearing, north)}") for bearing, words in exact]


def _same(one: float, other: float) -> bool:
    return abs((one - other + 180) % 360 - 180) < SAME
