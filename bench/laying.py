"""Laying 1,000 sq ft with arcs and a hole in 45° herringbone with a border, the search for its start, its growth."""

import time
from collections.abc import Callable
from dataclasses import replace

import shapely

from app.domain.costing.estimate import estimate
from app.domain.plan.laying import BorderCourse, Laid, Laying, Unit
from app.domain.plan.laying.cutting import placed
from app.domain.plan.laying.laid import lay, laying_anew
from app.domain.plan.laying.modules import lattice, module_of
from app.domain.plan.laying.searching import search_start
from app.domain.plan.outline import Outline, chords
from app.domain.plan.shapes import rectangle
from bench import Result
from bench.estimate import basis, job

ROUNDS = 7
BRICK = Unit(length=8 / 12, width=4 / 12)
HERRINGBONE = Laying(pattern="herringbone-45", borders=(BorderCourse(),))
# 36 by 20 ft with an arc that rises 10 ft on the long side, and a round hole of 6 ft: 946 sq ft
TERRACE = Outline(
    "CURVEPOLYGON (COMPOUNDCURVE ((0 0, 38 0, 38 20), CIRCULARSTRING (38 20, 19 30, 0 20), (0 20, 0 0)), "
    "CIRCULARSTRING (9 10, 12 13, 15 10, 12 7, 9 10))"
)


def cpu(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """The least processor time of several runs [ms]."""
    taken = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken) * 1000


def anew(outline: Outline) -> Laid:
    """A laying that is not found kept."""
    laying_anew()
    return lay(outline, HERRINGBONE, BRICK)


def floor() -> None:
    """The bare geometry library: every unit's rectangle made and clipped, nothing counted."""
    polygon = chords(TERRACE).polygon
    units = placed(lattice(module_of("stack", BRICK), BRICK), (0.0, 0.0), polygon.bounds)
    shapely.prepare(polygon)
    shapely.area(shapely.intersection(polygon, units.boxes()))


def an_edit() -> float:
    """Processor time [ms] of an estimate after one of 60 laid zones was widened: the upper of most edits."""
    on, yard = basis(), job(60)
    works = tuple(replace(work, assembly="unit-pavers", laying=HERRINGBONE) for work in yard.works)
    yard = replace(yard, works=works)
    estimate(yard, on)
    taken = []
    for number in range(20):
        way = yard.alternatives[number]
        wider = replace(
            way, outline=rectangle(12.5 + number / 50, 12, at=(30.0 * (number % 10), 40.0 * (number // 10)))
        )
        yard = replace(yard, alternatives=tuple(wider if one is way else one for one in yard.alternatives))
        start = time.process_time()
        estimate(yard, on)
        taken.append((time.process_time() - start) * 1000)
    return sorted(taken)[-2]


def run() -> list[Result]:
    """Time of one laying beside its floor, of the search, and how it grows to 20,000 units."""
    bare, laid = cpu(floor), cpu(lambda: anew(TERRACE))
    search = cpu(lambda: search_start(TERRACE, HERRINGBONE, BRICK), 3)
    small, large = rectangle(33, 33.67), rectangle(66, 67.33)
    units = [sum(part.opened[0] for part in anew(one).parts) for one in (small, large)]
    each = [cpu(lambda one=one: anew(one)) / count for one, count in zip((small, large), units, strict=True)]
    grown = each[1] / each[0]
    edit = an_edit()
    return [
        Result(name="laying 1,000 sq ft, herringbone and border", value=laid, unit="ms", most=120.0),
        Result(name="  beside clipping every unit", value=laid / bare, unit="×", most=1.0, note=f"{bare:.1f} ms"),
        Result(
            name="  an edit of one among 60 laid zones", value=edit, unit="ms", most=60.0, note="laid and estimated"
        ),
        Result(name="  with the search for its start", value=search, unit="ms", most=1500.0, note="in the worker"),
        Result(name=f"  a unit of {units[1]:,} to one of {units[0]:,}", value=grown, unit="×", most=1.5),
    ]
