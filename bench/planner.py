"""Phases of 40 works planned: four of them, every proposed order priced in full."""

import time
from dataclasses import replace
from uuid import UUID

from app.domain.costing.estimate import estimate
from app.domain.job import Job, Need
from app.domain.phasing.planner import Asked, PhaseAsked, plan
from app.worker.fitting import solved_within
from bench import Result
from bench.estimate import basis, job

WORKS, PHASES = 40, 4


def yard() -> Job:
    """Zones in rows with one work each; every third is a must, others are wishes of some weight."""
    bare = job(WORKS)
    needs = tuple(
        Need(id=UUID(int=500 + at), must=at % 6 == 0, weight=at % 5 + 1, zone_ids=(zone.id,))
        for at, zone in enumerate(bare.zones)
        if at % 2 == 0
    )
    return replace(bare, needs=needs)


def run() -> list[Result]:
    of, on, found = yard(), basis(), []
    whole = estimate(of, on).price_cents
    for share in (0.4, 0.3, 0.26):
        asked = Asked(phases=(PhaseAsked(budget_cents=round(whole * share)),) * PHASES)
        start = time.process_time()
        best = plan(of, on, asked, solved_within)
        seconds = time.process_time() - start
        found.append(
            Result(
                name=f"{WORKS} works in {PHASES} phases of {share:.0%} each",
                value=seconds,
                unit="s",
                most=2.0,
                note=f"{best.priced} orders priced in full" + ("" if best.best else ", none fits"),
            )
        )
    return found


if __name__ == "__main__":
    for one in run():
        print(one)
