"""What looks back ask of a paper that was offered or signed: its tasks, place by place, and what it was to cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from app.domain.basis import Basis, CostClass, Material
from app.domain.contract.standing import cells_in_contract
from app.domain.costing.compared import Sold
from app.domain.costing.lines import WHOLE_JOB, Line
from app.domain.errors import OutlayError
from app.domain.job import Job
from app.domain.joblog.bid import AROUND, AROUND_TITLE, LABOR
from app.domain.looking_back.waste import Way
from app.domain.orders import needed_by_us
from app.domain.takeoff.buying import bought_amount
from app.domain.takeoff.rates import at_third, third_of
from app.domain.takeoff.requirements import Requirement


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperTask:
    """A task of one zone and phase as it was bid.

    `slowed_amount` [of the unit] and `slowed_places` count as many times as the site slowed them.
    """

    zone: str
    phase: str
    task: str
    title: str
    unit: str
    crew: str
    own: bool
    amount: float
    places: int
    slowed_amount: float
    slowed_places: float
    hours: float
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperMaterial:
    """A material as a paper measured it [bought units]: in place, and what of it was to be lost and to be left."""

    material: str
    way: str  # a `Way`
    measured: float
    lost: float
    kept: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """What a paper was to cost [cents], of what stands in its sum, its tasks, and its materials as measured."""

    revision_id: str
    labor_cents: int
    other_cents: int  # materials, machines, subs, hauling, fees, allowances
    tax_cents: int  # that the client pays
    tasks: tuple[PaperTask, ...]
    materials: tuple[PaperMaterial, ...] = ()


def paper_of(revision_id: str, job: Job, basis: Basis, sold: Sold, tax_cents: int) -> Paper:
    """What is kept of a paper; `sold` are its lines as they were kept, or as they work out."""
    lines = [line for line, _ in cells_in_contract(job, sold)]
    labor = sum(line.cents for line in lines if line.cost_class in LABOR)
    return Paper(
        revision_id=revision_id,
        labor_cents=labor,
        other_cents=sum(line.cents for line in lines) - labor,
        tax_cents=tax_cents,
        tasks=_tasks(sold.lines, basis),
        materials=materials_of(job, basis),
    )


def materials_of(job: Job, basis: Basis) -> tuple[PaperMaterial, ...]:
    """What a job's plan puts in place of each material that is bought and that we build with ourselves."""
    found: dict[tuple[str, Way], list[tuple[float, float, float]]] = {}
    for one in needed_by_us(job, basis):
        material = basis.materials.get(one.key) if one.kind == "material" else None
        if material is None or material.cost_class is not CostClass.MATERIAL or one.amount <= 0:
            continue
        try:
            amount = bought_amount(material, one.amount, one.dimension)
        except OutlayError:
            continue  # it cannot be bought so: the estimate says it
        found.setdefault((one.key, _way(one, material)), []).append((amount, amount * one.loss, amount * one.keep))
    return tuple(_material(at, held) for at, held in sorted(found.items()))


def _material(at: tuple[str, Way], held: Sequence[tuple[float, float, float]]) -> PaperMaterial:
    measured, lost, kept = (fsum(column) for column in zip(*held, strict=True))
    return PaperMaterial(material=at[0], way=at[1].value, measured=measured, lost=lost, kept=kept)


def _way(one: Requirement, material: Material) -> Way:
    if one.order_words:
        return Way.LAID
    return Way.MEASURED if one.loss == material.loss else Way.RECIPE


def _tasks(lines: Sequence[Line], basis: Basis) -> tuple[PaperTask, ...]:
    found: dict[tuple[str, str, str], list[Line]] = {}
    for line in lines:
        if line.cost_class in LABOR and (line.kind == "task" or line.key == AROUND) and line.hours > 0:
            found.setdefault((line.zone or WHOLE_JOB, line.phase, line.key), []).append(line)
    return tuple(_task(at, held, basis) for at, held in found.items())


def _task(at: tuple[str, str, str], lines: Sequence[Line], basis: Basis) -> PaperTask:
    around, task = at[2] == AROUND, basis.tasks.get(at[2])
    slowing = [_slowed(line, basis) for line in lines]
    return PaperTask(
        zone=at[0],
        phase=at[1],
        task=at[2],
        title=AROUND_TITLE if around else lines[0].title,
        unit=lines[0].unit,
        crew="" if task is None else task.crew,
        own=all(line.cost_class is CostClass.OWN_HOURS for line in lines),
        amount=fsum(line.amount for line in lines),
        places=len(lines),
        slowed_amount=fsum(line.amount * times for line, times in zip(lines, slowing, strict=True)),
        slowed_places=fsum(slowing),
        hours=fsum(line.hours for line in lines),
        cents=sum(line.cents for line in lines),
    )


def _slowed(line: Line, basis: Basis) -> float:
    """How many times the site slowed a line: its hours over those that rate and set-up alone give."""
    task = basis.tasks.get(line.key)
    if task is None:
        return 1.0
    third = third_of(task, basis.firm)
    plain = line.amount * at_third(task.hours, third) + at_third(task.setup, third)
    return line.hours / plain if plain > 0 else 1.0
