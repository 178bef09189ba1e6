"""How recipes stand in the drawing beside their height: widths, posts, crowns, pools of light; as data."""

from collections.abc import Mapping
from dataclasses import dataclass, field

Length = float | tuple[str, ...]  # a figure [ft], or parameters of the recipe that add up to it


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One recipe's. What is empty or 0 it does not have."""

    across: Length = ()  # of a wall or rail, from side to side
    long: Length = ()  # of a thing at a point
    wide: Length = ()
    round: bool = False
    posts_every: Length = ()
    posts: Length = ()  # how many, at the corners
    roof: float = 0.0  # how thick an open roof is
    wire: bool = False
    pool: float = 0.0
    high: float = 0.0  # where the recipe's drawing says no height
    crown: float = 0.0  # across
    grown_high: float = 0.0
    grown_crown: float = 0.0


@dataclass(frozen=True, slots=True)
class Shapes:
    """All shapes by recipe, and recipes of what is not seen from above."""

    by_recipe: Mapping[str, Shape] = field(default_factory=dict)
    unseen: frozenset[str] = frozenset()


NONE = Shape()


def feet_of(length: Length, parameters: Mapping[str, float]) -> float | None:
    """A length [ft]; None where it is not said, or a parameter lacks.

    >>> feet_of(("inside", "wall", "wall"), {"inside": 3.0, "wall": 1.0}), feet_of((), {})
    (5.0, None)
    """
    if isinstance(length, float | int):
        return float(length) or None
    found = [parameters.get(name) for name in length]
    known = [one for one in found if one is not None]
    return sum(known) if found and len(known) == len(found) else None
