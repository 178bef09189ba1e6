"""Two thousand plants placed in an outline; hours of sun of a lot on a 1 ft grid, twelve typical days."""

import time
from collections.abc import Callable

import shapely

from app.domain.plan.shapes import circle
from app.domain.trades.planting.drip import AROUND, drip_layout
from app.domain.trades.planting.placing import Fill, placed
from app.domain.trades.sun import Blocker, Grid, Spot, hours_over, typical_lights
from bench import Result

HOUSE = shapely.Polygon([(20, 60), (70, 60), (70, 90), (45, 90), (45, 75), (20, 75)])
FENCE = shapely.LineString([(0, 0), (0, 100), (100, 100), (100, 0)])
TREES = [shapely.Point(10 + at * 11, 10 + 7 * at).buffer(8, quad_segs=4) for at in range(8)]
YARD = [Blocker(HOUSE, 18.0), Blocker(FENCE, 6.0), *(Blocker(one, 25.0, 8.0, True) for one in TREES)]


def run() -> list[Result]:
    spot = Spot(40.0, -76.0, "America/New_York")
    lights = typical_lights(spot, 2027)
    plants = _seconds(lambda: placed(circle(24.0), [Fill(spacing=0.95)]))
    drip = _seconds(lambda: drip_layout(circle(24.0), 1.0))
    around = _seconds(lambda: drip_layout(circle(24.0), 1.0, AROUND))
    hours = _seconds(lambda: hours_over(Grid(0.5, 0.5, 100, 150), YARD, lights))
    return [
        Result(name="2,000 plants placed", value=plants * 1000, unit="ms", most=500.0, note="in a circle"),
        Result(name="drip line of such a bed", value=drip * 1000, unit="ms", most=50.0, note="48 rows in a circle"),
        Result(name="… laid around", value=around * 1000, unit="ms", most=100.0, note="24 lines within one another"),
        Result(name="sun of a lot, 15,000 places", value=hours * 1000, unit="ms", most=2000.0, note="12 days"),
    ]


def _seconds(work: Callable[[], object]) -> float:
    found = []
    for _ in range(3):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


if __name__ == "__main__":
    for one in run():
        print(one)
