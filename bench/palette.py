"""Palette advice over 500 materials, and the yard seen from above and aside with 40 zones and 120 features.

Milliseconds of processor time, from nothing: colors are forgotten before each round. Held are the times themselves.
"""

import gc
import time
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

from app.documents.axonometric import Sight, axonometric_svg
from app.domain.basis import Basis, Material, Price
from app.domain.costing.estimate import estimate
from app.domain.job import Job, PlaceKind, RunKind, ZoneKind
from app.domain.palette import color
from app.domain.palette.advice import advice
from app.domain.plan import rectangle
from app.domain.seen.scene import scene_of
from app.interchange.seen_shapes import seen_shapes
from bench import Result
from tests.plans.yards import basis, empty, with_feature, with_run, with_zone

ROUNDS = 7
SURFACES = ("unit-pavers", "concrete-slab", "gravel-surface", "sod-lawn", "planting-bed")
STANDING = ("column", "tree", "shrub", "path-light", "fire-wood")


def yard(zones: int = 40, features: int = 120) -> Job:
    """Zones side by side in rows, levels a foot apart; features spread over them; walls between the rows."""
    job = replace(empty(), site=replace(empty().site, lot=rectangle(220, 160, at=(-10, -10)), house_height=18.0))
    for number in range(zones):
        row, column = divmod(number, 8)
        job = with_zone(
            job,
            f"{number}",
            rectangle(20, 16, at=(column * 20, 20 + row * 16)),
            SURFACES[number % 5],
            kind=ZoneKind.DINING,
            level=float(row % 3) - 1,
        )
    for number in range(features):
        row, column = divmod(number, 20)
        place = {"x": column * 8.0 + 2, "y": 24.0 + row * 13}
        job = with_feature(job, f"thing {number}", STANDING[number % 5], **place)
    for number in range(8):
        line = ((0.0, 28.0 + number * 9), (60.0, 28.0 + number * 9))
        job = with_run(job, f"wall {number}", "seat-wall", kind=RunKind.WALL, points=line, height=1.5)
    return job


def stocked(count: int = 500) -> Basis:
    """The shipped book with so many finishes of one role, each of another color."""
    book = basis()
    made = [
        Material(
            key=f"paver-{n}",
            title=f"Paver {n}",
            role="finish",
            buy="each",
            coverage="0.25*foot**2",
            finish=True,
            hatch="running",
            color=f"#{(n * 2654435761) % 0xFFFFFF:06x}",
        )
        for n in range(count)
    ]
    prices = {one.key: Price(material=one.key, unit_price=Decimal(n % 9 + 1)) for n, one in enumerate(made)}
    materials = {**book.materials, **{one.key: one for one in made}}
    return replace(book, materials=materials, prices={**book.prices, **prices})


def laid(job: Job) -> Job:
    """Every paved zone in a paver of its own."""
    works = [
        replace(work, finishes={"finish": f"paver-{place * 37 % 500}"})
        if work.place is PlaceKind.ALTERNATIVE and work.assembly == "unit-pavers"
        else work
        for place, work in enumerate(job.works)
    ]
    return replace(job, works=tuple(works))


def _edited(job: Job, number: int) -> Job:
    """The same yard with one outline another: no price of a mend is found kept."""
    first, *others = job.alternatives
    return replace(job, alternatives=(replace(first, outline=rectangle(20, 16 - number / 64, at=(0, 20))), *others))


def _forget() -> None:
    for kept in (color.lab_of, color.hex_of, color.linear_of, color.hex_of_linear, color.difference):
        kept.cache_clear()


def _milliseconds(work: Callable[[], object]) -> float:
    work()
    gc.collect()
    gc.disable()
    taken = []
    for _ in range(ROUNDS):
        _forget()
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    gc.enable()
    return sorted(taken)[len(taken) // 2] * 1000


def run() -> list[Result]:
    job, book, shapes = laid(yard()), stocked(), seen_shapes()
    worked = estimate(job, book)
    told = advice(job, book, worked)
    seen = scene_of(job, book, shapes, grown=True)
    sight = Sight(corner=1, light="sun", hour=15.0)
    others = [_edited(job, number) for number in range(ROUNDS + 1)]
    asked = iter([(one, estimate(one, book)) for one in others])

    def advise() -> object:
        one, its = next(asked)
        return advice(one, book, its)

    advised = _milliseconds(advise)
    drawn = _milliseconds(lambda: axonometric_svg(scene_of(job, book, shapes, grown=True), sight))
    said = f"{len(told.members)} members, {len(told.touching)} pairs, {len(told.remarks)} remarks"
    return [
        Result(name="palette advice, 500 materials", value=advised, unit="ms", most=50, note=said),
        Result(
            name="seen from aside, 40 zones, 120 features",
            value=drawn,
            unit="ms",
            most=150,
            note=f"{len(seen.solids)} solids, in the sun",
        ),
    ]
