"""The best set of 40 zones with 4 ways each, every proposed set priced in full."""

import time
from dataclasses import replace
from uuid import UUID

from app.domain.costing.estimate import estimate
from app.domain.costing.fitting import Fit, fit
from app.domain.job import Alternative, Job, Need, PlaceKind, Work
from app.domain.plan.shapes import rectangle
from app.worker.fitting import solved
from bench import Result
from bench.estimate import basis, job

ZONES, WAYS = 40, 4
OF_WAY = ("unit-pavers", "gravel-surface", "concrete-slab", "sod-lawn")


def yard() -> Job:
    """Zones in rows, each in four ways; every third is a must, every other a wish of some weight."""
    bare = job(ZONES)

    def key(kind: int, zone: int, way: int) -> UUID:
        return UUID(int=kind * 10**7 + zone * 10 + way)

    ways = tuple(
        Alternative(
            id=key(5, at, way), zone_id=zone.id, title=f"Way {way}", fall=0.02, position=way,
            outline=rectangle(10 + (at + way) % 7, 12 + at % 5, at=(30.0 * (at % 10), 40.0 * (at // 10))),
        )
        for at, zone in enumerate(bare.zones)
        for way in range(WAYS)
    )  # fmt: skip
    works = tuple(
        Work(id=key(6, at, way), place=PlaceKind.ALTERNATIVE, place_id=key(5, at, way), assembly=OF_WAY[(at + way) % 4])
        for at in range(ZONES)
        for way in range(WAYS)
    )
    needs = tuple(
        Need(id=key(7, at, 0), words=f"Need {at}", must=at % 6 == 0, weight=at % 5 + 1, zone_ids=(zone.id,))
        for at, zone in enumerate(bare.zones)
        if at % 2 == 0
    )
    zones = tuple(replace(zone, chosen_id=key(5, at, 0)) for at, zone in enumerate(bare.zones))
    return replace(bare, zones=zones, alternatives=ways, works=works, needs=needs)


def found(of: Job, share: float) -> tuple[Fit, float]:
    """The best set under a share of the price of everything, and how long it took [s of processor time]."""
    on = basis()
    budget = round(estimate(of, on).price_cents * share)
    start = time.process_time()
    best = fit(of, on, budget, solved)
    return best, time.process_time() - start


def run() -> list[Result]:
    of = yard()
    found(of, 0.6)
    timed = [(share, *found(of, share)) for share in (0.35, 0.6, 0.85)]
    return [
        Result(
            name=f"best set of {ZONES} × {WAYS} at {share:.0%} of the price",
            value=seconds,
            unit="s",
            most=0.5,
            note=f"{one.priced} sets priced in full, {'proven' if one.proven else 'not proven'}",
        )
        for share, one, seconds in timed
    ]


if __name__ == "__main__":
    for one in run():
        print(one)
