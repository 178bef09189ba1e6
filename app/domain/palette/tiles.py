"""What lies on the ground as tiles of the palette: each zone's surface in its colors, beside what it touches."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from app.domain.basis import Basis
from app.domain.job import Job, Zone, only_included
from app.domain.palette.color import is_color
from app.domain.palette.lying import Pair, Piece, Square, lie_beside
from app.domain.palette.surfaces import Surface, surface_of
from app.domain.plan import area
from app.domain.plan.edges import HOUSE
from app.domain.plan.measures import bounds
from app.domain.plan.outline import Outline
from app.domain.takeoff.meeting import meetings

WALL_HIGH = 8.0  # ft: of the house beside what is laid, while nobody told how high its eaves are. Assumption
NO_COLOR = "#d9d2bf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One surface: where its square lies, its colors with their shares, sheen and hatch."""

    square: Square
    letter: str
    title: str
    colors: Mapping[str, float]
    sheen: str = ""
    hatch: str = ""


def tiles_of(job: Job, basis: Basis) -> tuple[Tile, ...]:
    """Every zone whose surface is known, and the walls of the house where their color was told."""
    job = only_included(job)
    lying = {str(zone.id): (zone, surface_of(job, basis, zone), outline) for zone, outline in _drawn(job)}
    lying = {key: one for key, one in lying.items() if one[1].color or one[1].hatch}
    touching = _touching(job, set(lying))
    pieces = [_piece(key, outline) for key, (_, _, outline) in lying.items()]
    wall = _wall(job, touching, max((one.area for one in pieces), default=0.0))
    squares = lie_beside([*pieces, *([wall] if wall else [])], touching)
    return tuple(_tile(one, lying, job, basis) for one in squares)


def _drawn(job: Job) -> Iterator[tuple[Zone, Outline]]:
    for zone in job.zones:
        way = job.chosen(zone)
        if way is not None and way.outline is not None:
            yield zone, way.outline


def _piece(key: str, outline: Outline) -> Piece:
    west, south, east, north = bounds(outline)
    return Piece(key, area(outline), (west + east) / 2, (south + north) / 2)


def _touching(job: Job, lying: set[str]) -> dict[Pair, float]:
    """How long [ft] any two of what lies meet; with the house by its walls."""
    found: dict[Pair, float] = {}
    for met in meetings(job):
        here, there = met.stretch.zone, met.neighbor
        if here in lying and (there == HOUSE or (there in lying and here < there)):
            pair = frozenset((here, there))
            found[pair] = found.get(pair, 0.0) + met.stretch.length
    return found


def _wall(job: Job, touching: Mapping[Pair, float], largest: float) -> Piece | None:
    """The walls of the house along what is laid, as high as the eaves; never larger than the largest surface."""
    along = sum(long for pair, long in touching.items() if HOUSE in pair)
    if not along or job.site.house is None or not is_color(job.site.wall_color):
        return None
    middle = _piece(HOUSE, job.site.house)
    high = job.site.house_height or WALL_HIGH
    return Piece(HOUSE, min(along * high, largest), middle.x, middle.y)


def _tile(square: Square, lying: Mapping[str, tuple[Zone, Surface, Outline]], job: Job, basis: Basis) -> Tile:
    if square.key == HOUSE:
        return Tile(square=square, letter="", title="House walls", colors={job.site.wall_color: 1.0}, sheen="satin")
    zone, surface, _ = lying[square.key]
    material = basis.materials.get(surface.material)
    blend = {color: share for color, share in material.blend.items() if is_color(color)} if material else {}
    return Tile(
        square=square,
        letter=zone.letter,
        title=surface.title or zone.title,
        colors=blend or {surface.color or NO_COLOR: 1.0},
        sheen=material.sheen if material else "",
        hatch=surface.hatch,
    )
