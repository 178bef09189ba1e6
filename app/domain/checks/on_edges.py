"""What is built along an edge and stands there: which recipes setbacks and easements speak of, and the ground it takes.

Steps reach out below the higher side, a curb or a wall stands along the edge, a fence on it. Edgings, courses, drains
and joints end a surface at its own height: nothing of them stands, and the surface they end is held itself.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import shapely

from app.domain.basis import Assembly, Rule
from app.domain.checks.levels import risers_of
from app.domain.checks.rules import NEAR, in_feet
from app.domain.checks.walking import Shape
from app.domain.checks.yard import Placed, Yard
from app.domain.keeping import KeptByInputs
from app.domain.plan.arcs import Point
from app.domain.takeoff.drawn import THIN
from app.domain.takeoff.meeting import Meeting


@dataclass(frozen=True, slots=True)
class OnEdge:
    """Recipes on edges by how their section number begins: what setbacks call them, from which height, and why.

    `kind` is a key of `LIMITED`; `rule` the rule whose value is the drop above which they count; empty: always.
    """

    section: str
    kind: str
    rule: str
    why: str


HELD = (
    OnEdge("32 14 40", "hard", "edge-steps-held", "Steps reach out from the edge, and are named with hard surface."),
    OnEdge("32 16", "wall", "edge-curb-held", "A curb holds a level like a low wall, on a footing of its own."),
    OnEdge("32 32", "wall", "", "A wall along an edge is a wall."),
    OnEdge("32 31", "fence", "", "A fence along an edge is a fence."),
)
# sections of what ends a surface at its own height, and why it is not held
FLUSH = {
    "32 94": "Edging in the ground, at the height of what it ends.",
    "32 14 13": "A course of the surface beside it, which is held itself.",
    "32 11": "Loose stone in the ground.",
    "33 4": "A drain in the ground; nothing of it stands.",
    "07 92": "A joint.",
}
VALUES = frozenset(one.rule for one in HELD if one.rule)
AT_LEAST = 1.0  # ft: how far steps reach out whose drop is not known

_SHAPES: KeptByInputs[Shape] = KeptByInputs(512, each=1)


def held_as(recipe: Assembly) -> OnEdge | None:
    """What setbacks call a recipe on an edge; None for what is flush."""
    return next((one for one in HELD if recipe.section.startswith(one.section)), None)


def along_edge(yard: Yard, placed: Placed) -> tuple[str, Shape] | None:
    """The kind and the ground of what is built along an edge and stands there; None for what does not.

    Where levels are not known it counts: nobody said that it is flush.
    """
    known = held_as(placed.assembly)
    edge = next((one for one in yard.job.edges if one.id == placed.work.place_id), None)
    if edge is None or known is None:
        return None
    rule = yard.basis.rules.get(known.rule)
    met = tuple(one for one in yard.around.decided_by(edge) if not known.rule or _stands(one, rule))
    if not met:
        return None
    reach, wide = _reach(yard, placed), yard.parameter(placed, "width")
    shape = _SHAPES.get_or_make(placed.work.id, (met, reach, wide), partial(_ground, met, reach, wide))
    return known.kind, shape


def _stands(met: Meeting, rule: Rule | None) -> bool:
    return met.drop is None or met.drop.deepest > (in_feet(rule) if rule else 0.0) + NEAR


def _reach(yard: Yard, placed: Placed) -> tuple[float, float]:
    """How far something takes ground at the lower and at the higher side of its edge [ft]."""
    if "riser" in placed.assembly.parameters:
        steps = (risers_of(yard, placed) or 0) - (yard.parameter(placed, "on_top") or 0.0)
        return max(steps, 0.0) * (yard.parameter(placed, "tread") or 0.0) or AT_LEAST, 0.0
    half = (yard.parameter(placed, "wide") or 0.0) / 2 or THIN
    return half, half


def _ground(met: tuple[Meeting, ...], reach: tuple[float, float], wide: float | None) -> Shape:
    return shapely.union_all([piece for one in met for piece in _beside(one.as_wide(wide), _lower(one), reach)])


def _lower(met: Meeting) -> int:
    """At which side of its path a stretch is lower: 1 left, which is its own zone; -1 right."""
    return 1 if met.drop is not None and met.drop.mean < 0 else -1


def _beside(path: tuple[Point, ...], lower: int, reach: tuple[float, float]) -> Iterator[Shape]:
    """The ground beside a path, at its lower and at its higher side."""
    for side, far in zip((lower, -lower), reach, strict=True):
        if far:
            yield shapely.linestrings(path).buffer(side * far, single_sided=True, join_style="mitre")
