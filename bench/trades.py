"""Trades that compute: a tree of 40 lights, typed, where they stand, along a line; cut and fill of 500 points [ms]."""

import random
import time
from dataclasses import replace
from uuid import UUID

from app.domain.job import Feature, PlaceKind, Work
from app.domain.takeoff.cable_network import Network
from app.domain.takeoff.cable_ways import line_through
from app.domain.takeoff.light_tree import TRANSFORMER, Light, Strung, strung
from app.domain.trades.earthwork import triangles
from app.domain.trades.lighting import Piece, voltages
from bench import Result

LIGHTS, POINTS, TIMES = 40, 500, 15
MOST_LIGHTS, MOST_ALONG, MOST_POINTS = 10.0, 100.0, 50.0  # ms


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


def standing() -> tuple[list[Light], Strung]:
    """Lights where they stand on a plan beside their transformer, with their loads, the same every time."""
    drawn = random.Random(41)
    work = Work(id=UUID(int=1), place=PlaceKind.FEATURE, assembly="path-light")

    def light(number: int, mounting: str) -> Light:
        at = (drawn.uniform(0, 90), drawn.uniform(0, 60))
        return Light(feature=Feature(id=UUID(int=number)), work=work, mounting=mounting, at=at)

    return [light(1, TRANSFORMER), *(light(number, "path") for number in range(2, LIGHTS + 2))], Strung(
        loads=[5.5] * LIGHTS, most=60.0
    )


def along_a_line() -> tuple[list[Light], Strung]:
    """The same lights, their cables along a line that bends through them."""
    lights, by = standing()
    box = next(one for one in lights if one.mounting == TRANSFORMER)
    line = line_through((0.0, 0.0), (45.0, 30.0), (90.0, 30.0))
    return lights, replace(by, networks={box.feature.id: Network([line])})


def fastest(work, *given) -> float:
    """The best of some times [ms]: what the machine does beside does not count."""
    took = []
    for _ in range(TIMES):
        began = time.perf_counter()
        work(*given)
        took.append((time.perf_counter() - began) * 1000)
    return min(took)


def run() -> list[Result]:
    """The figures with their limits."""
    return [
        _held(f"{LIGHTS} lights on a tree", fastest(voltages, tree(), 12.0), MOST_LIGHTS),
        _held(f"cables of {LIGHTS} lights where they stand", fastest(strung, *standing()), MOST_LIGHTS),
        _held(f"cables of {LIGHTS} lights along a line", fastest(strung, *along_a_line()), MOST_ALONG),
        _held(f"cut and fill of {POINTS} points", fastest(triangles, spots()), MOST_POINTS),
    ]


def _held(name: str, took: float, most: float) -> Result:
    return Result(name=name, value=took, unit="ms", most=most)
