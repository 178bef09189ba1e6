"""Shared edges of 100 zones of 50 points, each point an inch off at most, beside the bare floor: who is near whom.

The floor is the geometry library's answer to which of the same chords lie within 2 in of which. Milliseconds of
processor time are shown; held are the ratio to the floor and how little is worked out again after one change.
"""

import gc
import time
from collections.abc import Callable, Mapping
from random import Random

import numpy as np
import shapely

from app.domain.plan import edges
from app.domain.plan.growing import TOUCHING
from app.domain.plan.outline import Outline, segments
from app.domain.plan.shapes import from_points, rectangle
from bench import Result

ROUNDS = 9
NOISE = 1 / 12 / 2  # ft each way: an inch in all
SIDE = 20.0
POINTS = (13, 12, 13, 12)


def tiles(count: int) -> dict[str, Outline]:
    """`count` by `count` zones side by side, each drawn by a hand that is an inch off."""
    chance = Random(11)
    corners = [(0.0, 0.0), (SIDE, 0.0), (SIDE, SIDE), (0.0, SIDE)]

    def tile(x: float, y: float) -> Outline:
        points = []
        for (a, b), (c, d), number in zip(corners, corners[1:] + corners[:1], POINTS, strict=True):
            for at in range(number):
                east, north = a + (c - a) * at / number, b + (d - b) * at / number
                points.append((x + east + chance.uniform(-NOISE, NOISE), y + north + chance.uniform(-NOISE, NOISE)))
        return from_points(points)

    return {f"zone {x} {y}": tile(SIDE * x, SIDE * y) for x in range(count) for y in range(count)}


def floor(zones: Mapping[str, Outline]) -> int:
    """The bare library: all edges in one tree, asked which lie within the gap."""
    ends = [(piece.start, piece.end) for outline in zones.values() for piece in segments(outline)]
    lines = shapely.linestrings(np.array(ends))
    return len(shapely.STRtree(lines).query(lines, predicate="dwithin", distance=TOUCHING)[0])


def cold(zones: Mapping[str, Outline]) -> int:
    edges._KEPT.clear()  # noqa: SLF001
    edges._PLANS.clear()  # noqa: SLF001
    return len(edges.shared_edges(zones))


def _milliseconds(work: Callable[[], object]) -> float:
    work()
    gc.collect()
    gc.disable()
    taken = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        work()
        taken.append(time.process_time() - begun)
    gc.enable()
    return 1000 * sorted(taken)[len(taken) // 2]


def run() -> list[Result]:
    zones = tiles(10)
    bare, whole = _milliseconds(lambda: floor(zones)), _milliseconds(lambda: cold(zones))
    moves = iter(range(1, 1000))

    def edit() -> None:
        edges.shared_edges({**zones, "zone 4 4": rectangle(SIDE, SIDE - next(moves) / 1000, at=(4 * SIDE, 4 * SIDE))})

    again = _milliseconds(edit)
    return [
        Result(name="shared edges, 100 zones × 50 points", value=whole, unit="ms", note="aim: 40"),
        Result(name="who is near whom, bare library", value=bare, unit="ms"),
        Result(name="shared edges over the bare library", value=whole / bare, unit="×", most=3.0),
        Result(name="one outline changed, of all worked out", value=again / whole, unit="×", most=0.5),
    ]
