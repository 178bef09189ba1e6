"""Gates: how wide they are, room for the leaf to swing on one side, nothing that stands before them on either."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin, sqrt

import shapely

from app.domain.basis import Rule
from app.domain.checks.rules import NEAR, Check, broken, in_feet, limit_of, not_checked
from app.domain.checks.walking import Obstacle, Shape, is_door, obstacles
from app.domain.checks.yard import Yard
from app.domain.findings import Finding
from app.domain.job import Opening
from app.domain.plan.arcs import Arc, Point
from app.domain.plan.outline import chords
from app.domain.plan.walls import from_wall, in_wall, wall_of
from app.domain.takeoff.drawn import THIN
from app.domain.takeoff.openings import walls_with_openings
from app.domain.units import format_length

IN_FENCE = 1.0  # ft: a gate this near to a fence or wall stands in it. Assumption
GATE = "gate"  # role of the part that a gate is
ARC = 8  # pieces of a quarter circle: what stands in the way is looked at to 2% of the leaf


@dataclass(frozen=True, slots=True)
class Gate:
    """A gate by its place in the list of doors and gates: its title, its two posts, the way through it (a unit)."""

    where: str
    title: str
    wide: float
    posts: tuple[Point, Point]
    through: Point


def gates_of(yard: Yard) -> Iterator[Gate]:
    """Openings of the site that are no doors of the house and stand in a fence or a wall, there or built."""
    for where, one, posts in _openings(yard):
        if posts is not None:
            (ax, ay), (bx, by) = posts
            long = hypot(bx - ax, by - ay) or 1.0
            through = ((ay - by) / long, (bx - ax) / long)
            yield Gate(where, one.title or "A gate", one.width, posts, through)


def _openings(yard: Yard) -> Iterator[tuple[str, Opening, tuple[Point, Point] | None]]:
    """Openings that are no doors, with their posts in the fence or wall they stand in; None without one.

    A fence that bends so tightly that a leaf would meet it counts as none: its radius is less than the width over √2.
    """
    house = yard.job.site.house
    walls = walls_with_openings(yard.job)
    for place, one in enumerate(yard.job.site.openings if house else ()):
        if house is not None and not is_door(house, one):
            own = [wall for wall in walls if from_wall((one.x, one.y), wall) <= IN_FENCE]
            nearest = wall_of(own, (one.x, one.y)) if own else None
            tight = isinstance(nearest, Arc) and nearest.radius < one.width / sqrt(2)
            yield f"opening:{place}", one, None if tight else in_wall(own, (one.x, one.y), one.width)


def wide_enough(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A gate lets a person with a barrow or a wheelchair through."""
    system = yard.basis.firm.system
    for gate in gates_of(yard):
        if gate.wide < in_feet(rule) - NEAR:
            yield broken(
                rule,
                gate.where,
                f"{gate.title} is narrow.",
                measured=format_length(gate.wide, system),
                limit=limit_of(rule, system, "at least"),
                remedy="Make it wider: barrows, mowers and wheelchairs go through it, too.",
            )


def swings(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """A gate's leaf has its quarter of a circle free: on one side, from one of its posts."""
    system = yard.basis.firm.system
    for where, opening, posts in _openings(yard):
        if posts is None:
            name = opening.title or "A gate"
            yield not_checked(
                rule,
                where,
                f"{name}: whether it swings and lets people through was not checked, it stands in no fence, or "
                "in one that bends too tightly.",
                missing="the fence it stands in",
                remedy="Draw the fence or wall on the plan, or move the gate into it.",
            )
    yield from _not_among_openings(yard, rule)
    for gate in gates_of(yard):
        leaf, around = gate.wide * rule.value, _around(yard, gate)
        free, words = max((_swept(gate, hinge, side, around) for hinge in (0, 1) for side in (1, -1)), key=_free)
        if free < leaf - NEAR:
            yield broken(
                rule,
                gate.where,
                f"{gate.title} does not swing open either way: {words} stands in its way.",
                measured=f"{format_length(free, system)} free",
                limit=f"at least {format_length(leaf, system)}, as wide as it is",
                remedy="Move what stands there, make two leaves of it, or have it slide.",
            )


def _not_among_openings(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Gates that are built and stand at no opening of the site: how wide they are and where, nobody said."""
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        thing = features.get(placed.where)
        if thing is None or not any(part.role == GATE for part in yard.parts(placed)):
            continue
        openings = yard.job.site.openings if thing.x is not None and thing.y is not None else ()
        at = (thing.x or 0.0, thing.y or 0.0)
        if not any(hypot(one.x - at[0], one.y - at[1]) <= one.width / 2 + IN_FENCE for one in openings):
            yield not_checked(
                rule,
                placed.where,
                f"{placed.place}: whether it swings was not checked, it is not among the doors and gates of the site.",
                missing="its place and width among doors and gates",
                remedy="Add it under Doors and gates on the Site sheet, in its fence and with its width.",
            )


def _free(found: tuple[float, str]) -> float:
    return found[0]


def passage(yard: Yard, rule: Rule) -> Iterator[Finding]:
    """Before a gate nothing stands in the way, on either side."""
    system, deep = yard.basis.firm.system, in_feet(rule)
    for gate in gates_of(yard):
        around = _around(yard, gate)
        for side in (1, -1):
            strip = _strip(gate, side, deep)
            near = [(_off(gate, strip, one.shape), one.words) for one in around if one.shape.intersects(strip)]
            far, words = min(near, default=(deep, ""))
            if far < deep - NEAR:
                yield broken(
                    rule,
                    gate.where,
                    f"{words} stands before {gate.title}.",
                    measured=f"{format_length(far, system)} to {words}",
                    limit=limit_of(rule, system, "at least"),
                    remedy="Move it, so that one stands, opens the gate and passes with something in the hands.",
                )


def _around(yard: Yard, gate: Gate) -> tuple[Obstacle, ...]:
    """What may stand in the way, but for the fence that the gate is in."""
    house = yard.job.site.house
    middle = shapely.linestrings(gate.posts)
    own = gate.wide / 2 + THIN + NEAR
    there = (one for one in obstacles(yard) if not (_is_line(one) and one.shape.distance(middle.centroid) <= own))
    return (*there, *([Obstacle("site", "the house", chords(house).polygon)] if house else []))


def _is_line(one: Obstacle) -> bool:
    return one.where.startswith(("run:", "existing:"))


def _swept(gate: Gate, hinge: int, side: int, around: Sequence[Obstacle]) -> tuple[float, str]:
    """How much of a leaf turns freely about one of the posts, to one side [ft], and what ends it."""
    (hx, hy), (ex, ey) = gate.posts[hinge], gate.posts[1 - hinge]
    ux, uy = (ex - hx) / gate.wide, (ey - hy) / gate.wide
    nx, ny = gate.through[0] * side, gate.through[1] * side
    turns = [pi / 2 * step / ARC for step in range(ARC + 1)]
    rim = [
        (hx + gate.wide * (cos(turn) * ux + sin(turn) * nx), hy + gate.wide * (cos(turn) * uy + sin(turn) * ny))
        for turn in turns
    ]
    quarter = shapely.polygons([(hx, hy), *rim]).difference(shapely.linestrings(gate.posts).buffer(THIN * 1.2))
    post = shapely.points((hx, hy))
    met = [
        (float(post.distance(one.shape.intersection(quarter))), one.words)
        for one in around
        if one.shape.intersects(quarter)
    ]
    return min(met, default=(gate.wide, ""))


def _strip(gate: Gate, side: int, deep: float) -> Shape:
    """The ground before a gate on one side."""
    near, far = (
        [(px + gate.through[0] * side * off, py + gate.through[1] * side * off) for px, py in gate.posts]
        for off in (THIN * 1.2, deep)
    )
    return shapely.polygons([*near, *reversed(far)])


def _off(gate: Gate, strip: Shape, shape: Shape) -> float:
    return float(shapely.linestrings(gate.posts).distance(shape.intersection(strip)))


CHECKS: dict[str, Check] = {"gate-wide": wide_enough, "gate-swing": swings, "gate-clear": passage}
