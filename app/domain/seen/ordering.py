"""In which order solids are drawn so that what lies nearer covers what lies farther (painter's order).

One is drawn after another only where it could hide it: it reaches above the other's bottom, and does not lie wholly
behind it. Of convex bases that do not overlap no ring of such pairs can come; where bodies stand into one another there
may be one, and then the lower and farther goes first.
"""

from collections.abc import Sequence
from heapq import heappop, heappush
from typing import Any

import numpy as np

from app.domain.plan.arcs import Point
from app.domain.seen.solids import NEAR, Solid, turned

Ring = tuple[Point, ...]


def back_to_front(solids: Sequence[Solid], corner: int) -> tuple[int, ...]:
    """The places of solids in the order they are drawn from a corner."""
    rings = [tuple(turned(corner).of(point) for point in one.base) for one in solids]
    if not rings:
        return ()
    boxes = np.array([_box(ring) for ring in rings])
    heights = np.array([(one.bottom, one.top) for one in solids])
    after: list[list[int]] = [[] for _ in solids]
    waits = [0] * len(solids)
    for one, other in _pairs(boxes, heights):
        first, second = _order(one, other, rings, heights)
        if first != second:
            after[first].append(second)
            waits[second] += 1
    return _sorted(
        after, waits, [(-(box[2] + box[3]), float(low)) for box, (low, _) in zip(boxes, heights, strict=True)]
    )


def _box(ring: Ring) -> tuple[float, float, float, float]:
    across, away = [u for u, _ in ring], [v for _, v in ring]
    return min(across), max(across), min(away), max(away)


def _pairs(boxes: Any, heights: Any) -> Any:
    """Pairs whose drawings may lie over one another."""
    left, right = boxes[:, 0], boxes[:, 1]
    low, high = boxes[:, 2] + heights[:, 0], boxes[:, 3] + heights[:, 1]
    over = (left[:, None] < right[None, :] - NEAR) & (left[None, :] < right[:, None] - NEAR)
    over &= (low[:, None] < high[None, :] - NEAR) & (low[None, :] < high[:, None] - NEAR)
    return np.argwhere(np.triu(over, 1)).tolist()


def _order(one: int, other: int, rings: Sequence[Ring], heights: Any) -> tuple[int, int]:
    """Which of two is drawn first; the same twice where it does not matter."""
    one_hides = heights[one][1] > heights[other][0] + NEAR
    other_hides = heights[other][1] > heights[one][0] + NEAR
    if not one_hides and not other_hides:
        return one, one
    behind = _behind(rings[one], rings[other])
    one_hides, other_hides = one_hides and behind != -1, other_hides and behind != 1
    if one_hides and other_hides:  # they stand into one another
        lower = (heights[one][0], heights[one][1], one) <= (heights[other][0], heights[other][1], other)
        return (one, other) if lower else (other, one)
    if one_hides:
        return other, one
    return (one, other) if other_hides else (one, one)


def _behind(one: Ring, other: Ring) -> int:
    """-1: the first lies wholly behind the second where both are seen; 1: before it; 0: their bases overlap there."""
    left = max(min(u for u, _ in one), min(u for u, _ in other))
    right = min(max(u for u, _ in one), max(u for u, _ in other))
    middle = (left + right) / 2
    (near, far), (others_near, others_far) = _across(one, middle), _across(other, middle)
    if near >= others_far - NEAR:
        return -1
    return 1 if others_near >= far - NEAR else 0


def _across(ring: Ring, u: float) -> tuple[float, float]:
    """Where a convex ring is cut by the line at `u`: nearest and farthest."""
    found: list[float] = []
    for place, (u2, v2) in enumerate(ring):
        u1, v1 = ring[place - 1]
        if (u1 <= u <= u2 or u2 <= u <= u1) and abs(u2 - u1) > NEAR:
            found.append(v1 + (v2 - v1) * (u - u1) / (u2 - u1))
        elif abs(u2 - u1) <= NEAR and abs(u - u1) <= NEAR:
            found += [v1, v2]
    return (min(found), max(found)) if found else (ring[0][1], ring[0][1])


def _sorted(after: Sequence[Sequence[int]], waits: list[int], ranks: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """All in an order that keeps every pair; a ring of pairs is broken at the farthest and lowest."""
    ready: list[tuple[float, float, int]] = []
    done: list[int] = []
    placed = [False] * len(waits)
    for place, count in enumerate(waits):
        if not count:
            heappush(ready, (*ranks[place], place))
    while len(done) < len(waits):
        if not ready:
            stuck = min((place for place in range(len(waits)) if not placed[place]), key=lambda one: (*ranks[one], one))
            heappush(ready, (*ranks[stuck], stuck))
        place = heappop(ready)[2]
        if placed[place]:
            continue
        placed[place] = True
        done.append(place)
        for later in after[place]:
            waits[later] -= 1
            if not waits[later] and not placed[later]:
                heappush(ready, (*ranks[later], later))
    return tuple(done)
