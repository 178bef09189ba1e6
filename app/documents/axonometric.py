"""The yard seen from above and aside, to scale, as SVG: from eight corners, in even light, in the sun, in the evening.

Every length on the ground and every height measures at the one scale beside it. Color never says anything alone: what
is told apart by it has its hatch, shade its lines, pools of light their rims, so that it reads in black and white too.
"""

from dataclasses import dataclass, field
from datetime import date
from math import cos, radians, sin
from typing import Any, Literal

from app.documents.axonometric_faces import Brush, drawn_solid
from app.documents.axonometric_letters import Lettered, placed
from app.documents.hatches import Patterns
from app.documents.sheet_view import PAPER, TEXT, bubble, graphic_scale, north_arrow, plain
from app.domain.palette.seen_in import Look, seen
from app.domain.plan.arcs import Point
from app.domain.seen.cast import Cast
from app.domain.seen.ordering import back_to_front
from app.domain.seen.solids import FIRST, Scene, Solid, projected
from app.domain.seen.sunlight import Sun, shadows_at, sun_at, toward
from app.domain.units import System, format_length

EDGE, FOOT = 22, 46  # px: around the drawing, and below it for scale and north
MOST_TALL = 0.95  # of the width
SCALES: dict[str, tuple[float, ...]] = {"feet": (1, 2, 5, 10, 20), "metric": (1.640420, 3.280840, 8.202100, 16.4042)}
EVEN: Point = (-0.8, -0.6)  # where light comes from when none is asked for: from the left, and from who looks


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """How the yard is looked at: from which corner, in which light, plants young or grown, in color or in ink alone."""

    corner: int = 0
    light: Literal["even", "sun", "evening"] = "even"
    day: date = date(2027, 6, 21)
    hour: float = 15.0  # of sun time, or of the clock where `by_clock` is told
    latitude: float = 40.0
    north: float = 0.0  # degrees clockwise from the top of the plan
    ink: bool = False
    by_clock: Sun | None = None  # where the sun stands at that hour of the clock, where the place on earth is known

    @property
    def sun(self) -> Sun | None:
        """Where the sun stands, where it is asked for."""
        if self.light != "sun":
            return None
        return self.by_clock or sun_at(self.latitude, self.day, self.hour)


@dataclass(frozen=True, slots=True)
class Frame:
    """Feet of the turned yard to the drawing: `scale` [px per ft], the feet at its left and top edge, its size [px]."""

    scale: float
    left: float
    top: float
    width: float
    height: float
    corner: int

    def at(self, point: Point, height: float) -> Point:
        """A point of the plan at a height [ft] on the drawing [px]."""
        return self.on(projected(point, height, self.corner))

    def on(self, place: Point) -> Point:
        """A place of the drawing [ft: right, up] in px."""
        across, up = place
        return (across - self.left) * self.scale, (self.top - up) * self.scale


@dataclass(slots=True)
class _Shades:
    """The shadows on each level, worked out once."""

    solids: tuple[Solid, ...]
    sun: Sun | None
    north: float
    by_level: dict[float, Any] = field(default_factory=dict)

    def on(self, level: float) -> Any:
        """The shadow on a level; None where no sun is asked for."""
        if self.sun is None:
            return None
        if level not in self.by_level:
            self.by_level[level] = shadows_at(level, self.solids, self.sun, self.north)
        return self.by_level[level]


def axonometric_svg(
    scene: Scene,
    sight: Sight,
    *,
    letters: tuple[Lettered, ...] = (),
    width_px: int = 900,
    name: str = "yard",
    system: System = "feet",
) -> str:
    """The drawing; empty where nothing is on the plan yet. `letters` are those of the zones, each where it is seen."""
    frame = frame_of(scene, sight.corner, float(width_px))
    if frame is None:
        return ""
    brush = _brush(scene, sight, frame, name)
    ordered = [scene.solids[place] for place in back_to_front(scene.solids, sight.corner)]
    drawn = "".join(drawn_solid(one, frame.at, brush) for one in (*scene.lot, *ordered))
    lettered = placed(letters, ordered, sight.corner)
    marks = "".join(bubble(frame.on(at), letter, 13, thick=1.4) for letter, at in lettered.seen)
    words = _words(sight, scene, lettered.hidden)
    sky = (
        f'<rect width="{frame.width:g}" height="{frame.height - FOOT:.1f}" fill="{_sky(sight)}"/>'
        if _sky(sight)
        else ""
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {frame.width:g} {frame.height:.0f}" '
        f'width="{frame.width:g}" height="{frame.height:.0f}" role="img" font-family="{TEXT}" '
        f'aria-labelledby="{name}-title {name}-said"><title id="{name}-title">The yard from above and aside, to scale'
        f'</title><desc id="{name}-said">{plain(words)}</desc>{brush.patterns.defs()}{sky}'
        f'<clipPath id="{name}-edge"><rect width="{frame.width:g}" height="{frame.height - FOOT:.1f}"/></clipPath>'
        f'<g clip-path="url(#{name}-edge)" stroke-linejoin="round">{drawn}</g>{marks}'
        f"{_foot(frame, sight, system)}</svg>"
    )


def frame_of(scene: Scene, corner: int, width: float) -> Frame | None:
    """The frame that shows all that stands and lies on the lot, with edge and foot; open ground runs to the edge."""
    points = [
        projected(point, height, corner)
        for one in scene.solids or scene.lot
        for height in {one.bottom, one.top}
        for point in one.base
    ]
    if not points:
        return None
    across, up = [x for x, _ in points], [y for _, y in points]
    wide, high = max(max(across) - min(across), 1.0), max(max(up) - min(up), 1.0)
    scale = min((width - 2 * EDGE) / wide, (width * MOST_TALL - 2 * EDGE) / high)
    left = (max(across) + min(across)) / 2 - width / 2 / scale
    return Frame(scale, left, max(up) + EDGE / scale, width, high * scale + 2 * EDGE + FOOT, corner)


def _brush(scene: Scene, sight: Sight, frame: Frame, name: str) -> Brush:
    angle = radians(FIRST + 45 * sight.corner)
    sun = sight.sun
    lit = toward(sun, sight.north) if sun and sun.is_up else _unturned(EVEN, angle)
    shades = _Shades(scene.solids, sun, sight.north)
    return Brush(
        patterns=Patterns(f"{name}-h", min(max(frame.scale / 24, 0.45), 1.1), turned=FIRST + 45 * sight.corner),
        lit=lit,
        away=(-sin(angle), cos(angle)),
        shadow=shades.on,
        cast=Cast(scene.solids, sun, sight.north) if sun and sun.is_up else None,
        lamps=scene.lamps if sight.light == "evening" else (),
        evening=sight.light == "evening",
        ink=sight.ink,
    )


def _unturned(way: Point, angle: float) -> Point:
    """A way told across and away from who looks, as a way on the plan."""
    u, v = way
    return u * cos(angle) - v * sin(angle), u * sin(angle) + v * cos(angle)


def _sky(sight: Sight) -> str:
    return seen(PAPER, "gloss", Look(dusk=True)) if sight.light == "evening" and not sight.ink else ""


def _foot(frame: Frame, sight: Sight, system: System) -> str:
    """Scale and north below the drawing."""
    at = frame.height - FOOT + 12
    step = next((one for one in SCALES[system] if one * frame.scale >= 20), SCALES[system][-1])
    words = format_length(4 * step, system)
    arrow = north_arrow((frame.width - 60, at + 8), sight.north + FIRST + 45 * sight.corner, 14)
    return f"{graphic_scale((EDGE, at), step * frame.scale, words)}{arrow}"


def _words(sight: Sight, scene: Scene, hidden: tuple[str, ...]) -> str:
    clock = "by the clock" if sight.by_clock else "sun time"
    light = {
        "even": "in even light",
        "sun": f"in the sun at {sight.hour:g} h {clock} on {sight.day:%B} {sight.day.day}",
        "evening": "in the evening, with the pool of each light",
    }[sight.light]
    flat = f" Drawn flat, for want of a height: {', '.join(scene.flat)}." if scene.flat else ""
    bloom = f" In bloom: {', '.join(name for name, _ in scene.blooming)}." if scene.blooming else ""
    behind = f" Hidden from here: {', '.join(hidden)}." if hidden else ""
    drawn = "heights drawn upward at the same scale"
    return f"The plan turned to corner {sight.corner + 1} of 8, {drawn}, {light}.{flat}{bloom}{behind}"
