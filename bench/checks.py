"""All checks of a yard of 40 zones and 120 things: from nothing, and after one outline is edited.

The floor is what the geometry library takes to unite the same outlines and to take the free ground in by half a yard.
Milliseconds of processor time are shown; held is the ratio to the floor.
"""

import time
from collections.abc import Callable
from dataclasses import replace
from itertools import count

import shapely

from app.domain.checks import check
from app.domain.job import Easement, Job, LotLine, Opening, RunKind, Setback, ZoneKind
from app.domain.plan import rectangle
from app.domain.plan.outline import chords
from bench import Result
from tests.plans.yards import basis, empty, named, site, with_feature, with_run, with_zone

ROUNDS = 9
ACROSS, UP = 8, 5
SIDE = 18.0
KINDS = (
    (ZoneKind.DINING, "unit-pavers"),
    (ZoneKind.PATH, "stone-fines-surface"),
    (ZoneKind.PLANTING, "planting-bed"),
    (ZoneKind.FIRE, "gravel-surface"),
    (ZoneKind.LAWN, "sod-lawn"),
)
THINGS = (("Grill", "grill"), ("Column", "column"), ("Light", "path-light"))
SIDES = (
    LotLine(x=70, y=-25, side="front"),
    LotLine(x=-20, y=50, side="side"),
    LotLine(x=ACROSS * (SIDE + 4) + 20, y=50, side="side"),
    LotLine(x=70, y=UP * (SIDE + 4) + 35, side="rear"),
)
SETBACKS = (
    Setback(id=named("setback 1"), distance=25.0),
    Setback(id=named("setback 2"), side="rear", distance=40.0),
    Setback(id=named("setback 3"), kind="hard", distance=3.0),
)
EASEMENTS = (Easement(id=named("easement"), title="Drain", at=(70, UP * (SIDE + 4) + 35), width=40.0),)
_NEW = count()


def yard() -> Job:
    """Zones beside one another with gaps, three things on each, a wall and a counter here and there."""
    lot = rectangle(ACROSS * (SIDE + 4) + 40, UP * (SIDE + 4) + 60, at=(-20, -25))
    job = site(empty(), lot=lot, openings=(Opening(title="Kitchen door", x=20, y=20),), lot_lines=SIDES)
    job = replace(job, setbacks=SETBACKS, easements=EASEMENTS)
    for number in range(ACROSS * UP):
        x, y = (number % ACROSS) * (SIDE + 4), 26 + (number // ACROSS) * (SIDE + 4)
        kind, recipe = KINDS[number % len(KINDS)]
        job = with_zone(job, f"Z{number}", rectangle(SIDE, SIDE - number % 3, at=(x, y)), recipe, kind=kind, level=0.0)
        for place, (title, thing) in enumerate(THINGS):
            spot = {"x": x + 4 + 5 * place, "y": y + 6.0, "zone_id": named(f"zone Z{number}")}
            job = with_feature(job, f"{title} {number}", thing, **spot)
        if number % 6 == 0:
            job = with_run(
                job, f"Wall {number}", "seat-wall", kind=RunKind.WALL, points=((x, y), (x + 9, y)), height=1.5
            )
    return job


def edited(job: Job, number: int) -> Job:
    """The same yard with one outline another."""
    first, *others = job.alternatives
    return replace(job, alternatives=(replace(first, outline=rectangle(SIDE, SIDE - number / 64, at=(0, 26))), *others))


def _from_nothing(job: Job) -> Callable[[], object]:
    on = basis()

    def work() -> object:
        new = replace(job, head=replace(job.head, id=named(f"bench {next(_NEW)}")))
        ways = tuple(replace(one) for one in new.alternatives)
        return check(replace(new, alternatives=ways), on)

    return work


def _milliseconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    work()
    taken = []
    for _ in range(rounds):
        begun = time.process_time()
        work()
        taken.append(time.process_time() - begun)
    return sorted(taken)[len(taken) // 2] * 1000


def run() -> list[Result]:
    """The benches of the checks."""
    job, on = yard(), basis()
    shapes = [chords(one.outline).polygon for one in job.alternatives if one.outline]
    lot = chords(job.site.lot).polygon if job.site.lot else shapes[0]
    floor = _milliseconds(lambda: lot.difference(shapely.union_all(shapes)).buffer(-1.5, quad_segs=16))
    whole = _milliseconds(_from_nothing(job))
    edits = count(1)
    after = _milliseconds(lambda: check(edited(job, next(edits)), on))
    note = f"{len(job.zones)} zones, {len(job.features)} things, {len(check(job, on))} findings"
    return [
        Result(name="checks, from nothing", value=whole, unit="ms", note=f"target 150; {note}"),
        Result(name="checks, from nothing: over the floor's", value=whole / floor, unit="×", most=60),
        Result(name="checks, one outline edited", value=after, unit="ms", note="target 15"),
        Result(name="checks, one outline edited: over the floor's", value=after / floor, unit="×", most=12),
    ]
