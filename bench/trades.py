"""Trades that compute: a tree of 40 lights, cut and fill of 500 points, each held to its milliseconds."""

import random
import time

from app.domain.trades.earthwork import triangles
from app.domain.trades.lighting import Piece, voltages
from bench import Result

LIGHTS, POINTS, TIMES = 40, 500, 15
MOST_LIGHTS, MOST_POINTS = 10.0, 50.0  # ms


def tree() -> list[Piece]:
    """A branching circuit of steady lights, the same every time."""
    drawn = random.Random(40)
    return [
        Piece(
            name=str(number),
            start="source" if number == 0 else str(drawn.randrange(number)),
            length=drawn.uniform(5, 20),
            gauge=drawn.choice(("10", "12")),
            watts=4.0,
            power_factor=0.8,
        )
        for number in range(LIGHTS)
    ]


def spots() -> list[tuple[float, float, float]]:
    """Points with their depths, the same every time."""
    drawn = random.Random(500)
    return [(drawn.uniform(0, 200), drawn.uniform(0, 150), drawn.uniform(-1, 1)) for _ in range(POINTS)]


def fastest(work, *given) -> float:
    """The best of some times [ms]: what the machine does beside does not count."""
    took = []
    for _ in range(TIMES):
        began = time.perf_counter()
        work(*given)
        took.append((time.perf_counter() - began) * 1000)
    return min(took)


def run() -> list[Result]:
    """Both figures with their limits."""
    return [
        _held(f"{LIGHTS} lights on a tree", fastest(voltages, tree(), 12.0), MOST_LIGHTS),
        _held(f"cut and fill of {POINTS} points", fastest(triangles, spots()), MOST_POINTS),
    ]


def _held(name: str, took: float, most: float) -> Result:
    return Result(name=name, value=took, unit="ms", most=most)
