"""An estimate of 30 zones and 500 lines, beside the bare floor: as many multiplications and values built.

Milliseconds are shown; held are the ratios to the floor and the growth from 100 to 1,000 zones.
"""

import gc
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from uuid import UUID

from app.domain.basis import Basis, LaborClass, Price, Supplier
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.explain import Explaining
from app.domain.job import Alternative, Client, Head, Job, Phase, PlaceKind, Site, Work, Zone
from app.domain.plan.shapes import rectangle
from app.interchange.library_file import load_library
from bench import Result

ROUNDS = 15
RECIPES = ("unit-pavers", "planting-bed", "unit-pavers", "sod-lawn")


def basis() -> Basis:
    """The shipped library with invented prices."""
    shipped = load_library().basis()
    prices = {
        key: Price(
            material=key,
            unit_price=Decimal("12.3400"),
            supplier=f"s{at % 5}",
            low=-0.05,
            high=0.1,
            delivery_cents=9_500,
        )
        for at, key in enumerate(sorted(shipped.materials))
    }
    people = {key: one if one.wage else replace(one, wage=Decimal(24)) for key, one in shipped.labor_classes.items()}
    people.setdefault("crew", LaborClass(key="crew", title="Crew", wage=Decimal(24)))
    suppliers = {f"s{at}": Supplier(key=f"s{at}", title=f"S{at}") for at in range(5)}
    firm = replace(
        shipped.firm, overhead={"labor": Decimal("0.2"), "material": Decimal("0.1")}, tax_rate=Decimal("0.07")
    )
    return replace(shipped, prices=prices, labor_classes=people, suppliers=suppliers, firm=firm)


def job(zones: int) -> Job:
    """Zones in rows, two phases, recipes by turns: about 17 lines a zone."""

    def key(kind: int, number: int) -> UUID:
        return UUID(int=kind * 10**6 + number)

    phases = (Phase(id=key(4, 1), number=1), Phase(id=key(4, 2), number=2))
    return Job(
        head=Head(id=key(9, 1), client_id=key(9, 2)),
        client=Client(id=key(9, 2)),
        site=Site(id=key(9, 3), access_width=4.0, haul_distance=90.0, soil="clay"),
        phases=phases,
        zones=tuple(
            Zone(id=key(1, at), letter=str(at), title="Zone", chosen_id=key(2, at), phase_id=phases[at % 2].id)
            for at in range(zones)
        ),
        alternatives=tuple(
            Alternative(
                id=key(2, at), zone_id=key(1, at), fall=0.02,
                outline=rectangle(10 + at % 7, 12 + at % 5, at=(30.0 * (at % 10), 40.0 * (at // 10))),
            )
            for at in range(zones)
        ),
        works=tuple(
            Work(id=key(3, at), place=PlaceKind.ALTERNATIVE, place_id=key(2, at), assembly=RECIPES[at % len(RECIPES)])
            for at in range(zones)
        ),
    )  # fmt: skip


def best(*works: Callable[[], object], rounds: int = ROUNDS) -> list[float]:
    """The quickest of several runs of each [ms of processor time], by turns, so that a busy machine slows all alike."""
    times: list[list[float]] = [[] for _ in works]
    gc.disable()
    try:
        for _ in range(rounds):
            for work, taken in zip(works, times, strict=True):
                start = time.process_time()
                work()
                taken.append(time.process_time() - start)
    finally:
        gc.enable()
    return [min(taken) * 1000 for taken in times]


@dataclass(frozen=True, slots=True)
class _Bare:
    """As many fields as a line has."""

    a: str
    b: str
    c: str
    d: str
    e: int
    f: str
    g: str
    h: str
    i: float
    j: str
    k: float
    n: int
    o: bool


def floor(worked: Estimate) -> list[_Bare]:
    """Each line multiplied as often as in the estimate, and built as a value."""
    rows = [(line.amount, line.hours, line.cents) for line in worked.lines]
    steps = [1.07, 1.015, 1.1, 1.05, 1.17, 1.0, 1.0, 1.0]
    made = []
    for amount, hours, cents in rows:
        value = cents * 1.0
        for step in steps:
            value = value * step
        made.append(_Bare("", "", "", "", 0, "", "", "", amount * 1.08, "", hours * 1.2, int(value), True))
    return made


def explained(of: Job, on: Basis, worked: Estimate) -> int:
    """All lines of an estimate with their traces."""
    explaining = Explaining(of, on, worked)
    return sum(1 for line in worked.lines if explaining.figure(line.figure))


def run() -> list[Result]:
    """Estimate again after nothing changed, after one edit, cold; with all traces; and how it grows."""
    on, yard = basis(), job(30)
    worked = estimate(yard, on)
    edits = iter(range(10**6))
    bare, again, edited, traces = best(
        lambda: floor(worked),
        lambda: estimate(yard, on),
        lambda: estimate(_widened(yard, 10.0 + next(edits) / 100), on),
        lambda: explained(yard, on, estimate(yard, on)),
    )
    hundred, thousand = _growth(on)
    lines = f"{len(worked.lines)} lines"
    return [
        Result(name="floor: multiply and build as many lines", value=bare, unit="ms", note=lines),
        Result(name="estimate, 30 zones, nothing changed", value=again, unit="ms", note="target 3 ms"),
        Result(name="estimate, 30 zones, one outline changed", value=edited, unit="ms"),
        Result(name="estimate with all traces", value=traces, unit="ms", note="target 20 ms"),
        Result(name="estimate over floor", value=again / bare, unit="×", most=3.5),
        Result(name="all traces over floor", value=traces / bare, unit="×", most=20),
        Result(name="estimate, 1,000 zones", value=thousand, unit="ms"),
        Result(name="1,000 zones over ten times 100 zones", value=thousand / (10 * hundred), unit="×", most=1.6),
    ]


def _growth(on: Basis) -> tuple[float, float]:
    few, many = job(100), job(1000)
    estimate(few, on)
    estimate(many, on)
    quickest = best(lambda: estimate(few, on), lambda: estimate(many, on), rounds=5)
    return quickest[0], quickest[1]


def _widened(yard: Job, width: float) -> Job:
    first = replace(yard.alternatives[0], outline=rectangle(width, 12, at=(0.0, 0.0)))
    return replace(yard, alternatives=(first, *yard.alternatives[1:]))


if __name__ == "__main__":
    for one in run():
        print(one)
