"""A job of 300 activities laid on days: links, crews, critical path, floats, three-point finish."""

import time
from dataclasses import replace
from datetime import date
from uuid import UUID

from app.domain.costing.estimate import estimate
from app.domain.job import Phase
from app.domain.schedule.activities import planned
from app.domain.schedule.axis import WorkingDays
from app.domain.schedule.dated import schedule
from app.interchange.building_stages import building_stages
from bench import Result
from bench.estimate import basis, job

WANTED = 300


def run() -> list[Result]:
    phases = tuple(Phase(id=UUID(int=900 + at), number=at + 1) for at in range(3))
    bare, on, stages = job(75), basis(), building_stages()
    zones = tuple(replace(zone, phase_id=phases[at % 3].id) for at, zone in enumerate(bare.zones))
    of = replace(bare, phases=phases, zones=zones)
    plan = planned(of, on, estimate(of, on), stages)
    days = WorkingDays(lost=dict.fromkeys(range(1, 13), 4.0))
    seconds = []
    for _ in range(5):
        start = time.process_time()
        laid = schedule(of, on, plan, stages, today=date(2027, 3, 1), days=days)
        seconds.append(time.process_time() - start)
    assert laid is not None
    count = len(laid.activities)
    name = f"{count} activities on days"
    return [Result(name=name, value=min(seconds) * 1000 * WANTED / count, unit="ms", most=50.0, note="as for 300")]


if __name__ == "__main__":
    for one in run():
        print(one)
