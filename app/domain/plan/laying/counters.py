"""Counter tops: area with overhangs, joints between slabs, polished edge. For the price: the fabricator templates."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from app.domain.errors import BadValue

_SLACK = 1e-6
TEMPLATES = "The fabricator measures and templates on the finished base; these figures are for the price."


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One straight part of a counter [ft]: length and depth of its base."""

    length: float
    depth: float


@dataclass(frozen=True, slots=True)
class Top:
    """A counter top: area [sq ft], slabs, joints between them, and the edge that is finished [ft]."""

    area: float
    slabs: int
    joints: int
    edge: float


def counter_top(legs: Sequence[Leg], slab: float, *, front: float = 0.0, ends: float = 0.0, back: float = 0.0) -> Top:
    """The top of a counter of legs that meet at right angles, each beginning behind the one before.

    Overhangs [ft] at the front, at the two free ends and at the back; a leg longer than a slab [ft] is joined.
    Raises: BadValue where there is nothing to cover.

    >>> counter_top([Leg(length=8, depth=2.5)], 9, front=0.125, ends=0.125)
    Top(area=21.65625, slabs=1, joints=0, edge=13.5)
    """
    if not legs or min(min(leg.length, leg.depth) for leg in legs) <= 0 or slab <= 0:
        raise BadValue("A counter needs a length and a depth for each part, and the length of a slab.")
    deep = [leg.depth + front + back for leg in legs]
    long = [leg.length for leg in legs]
    long[0] += ends
    long[-1] += ends
    slabs = [max(1, ceil(one / slab - _SLACK)) for one in long]
    joints = sum(slabs) - 1
    area = sum(one * across for one, across in zip(long, deep, strict=True))
    edge = sum(long) + deep[0] + deep[-1]
    return Top(area, sum(slabs), joints, edge)
