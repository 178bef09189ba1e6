"""12 V lights set on the plan by a tap, their circuits, and what these put into the recipes; each is one change."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, dist
from uuid import UUID, uuid5

from app.domain.basis import Basis
from app.domain.checks.yard import Yard
from app.domain.codec import to_plain
from app.domain.errors import BadValue
from app.domain.job import Feature, Job, PlaceKind
from app.domain.plan.arcs import Point
from app.domain.plan.between import contains
from app.domain.plan.outline import Outline
from app.domain.takeoff.light_circuits import (
    LEAST_VOLTS,
    LOADED,
    POWER_FACTOR,
    SLACK,
    SPLICE,
    WATTS,
    Cable,
    Circuit,
    Fed,
    Lamp,
    below,
    circuits,
    followed,
    lights_of,
    mounting_of,
    recipes_of_lights,
    said,
)
from app.domain.takeoff.light_tree import TRANSFORMER, Light, Tee
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.zones import assembly_of, new_work

MOUNTINGS: Mapping[str, str] = {
    "path": "beside a path",
    "step": "in a step",
    "wall": "below a cap",
    "up": "at a tree, upward",
    TRANSFORMER: "transformer",
}
LEAST_CABLE, MOST_CABLE = 2, 200  # ft: as the recipes of lights bound it
LEAST_MAIN, MOST_MAIN = 10, 600  # ft: as the transformer's does
MOST_SLEEVE = 300  # ft: the same
MOST_TEES = 60  # the same


@dataclass(frozen=True, slots=True, kw_only=True)
class CableRow:
    """A cable as its table shows it, with the light at its end or, where lines meet, a tee; what feeds it."""

    cable: Cable
    number: int  # outward from the transformer: several lights may be called alike
    fed_from: str
    light: Light | None = None
    lamp: Lamp | None = None
    low: bool = False
    apart: float | None = None  # ft to the next light alike


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitPage:
    """A transformer with its lights; how many of its size the load wants; whether the recipes say so already."""

    circuit: Circuit
    rows: Sequence[CableRow]
    size: float
    wanted: int
    below: float  # ft of cable below what is paved
    lines: Sequence[str]  # the titles of the lines its cables follow; none: straight


@dataclass(frozen=True, slots=True, kw_only=True)
class LightsPage:
    """All circuits, lights that nothing feeds, and how many lights stand nowhere on the plan yet."""

    circuits: Sequence[CircuitPage]
    unfed: Sequence[Light]
    nowhere: int
    agrees: bool  # the recipes' cables are those of the plan
    assumed: "Assumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """What voltages rest on where nobody said: watts, watts over VA, slack a light, what a tee loses [ft]."""

    watts: float
    power_factor: float
    slack: float
    splice: float
    unsaid: int  # lights whose watts nobody said


def lights_to_place(basis: Basis) -> Sequence[tuple[str, str]]:
    """What may be set: recipe and words."""
    return [(one.key, one.title) for one in recipes_of_lights(basis)]


def place_light(office: Office, job_id: UUID, recipe: str, at: Point, order: Order) -> str:
    """A light (or transformer) with its recipe at a point [ft], in the zone around it; what its margin note goes by.

    Raises: UnknownAssembly; BadValue for what is no light.
    """
    opened = jobs.open_job(office, job_id)
    found = assembly_of(opened.basis, recipe)
    if found.measures != "feature" or not mounting_of(found):
        raise BadValue(f"{found.title} is no 12 V light. Choose one of the list.", field="drawn")
    feature = Feature(
        id=uuid5(order.change_id, "feature"),
        title=_title(opened.job, found.title.partition(",")[0]),
        zone_id=zone_around(opened.job, at),
        x=at[0],
        y=at[1],
        position=max((one.position for one in opened.job.features), default=-1) + 1,
    )
    work = replace(
        new_work(opened, PlaceKind.FEATURE, feature.id, recipe), id=uuid5(order.change_id, "work"), position=0
    )
    edits = (made("feature", feature), made("work", work))
    jobs.save(office, job_id, edits, replace(order, what=f"Placed {feature.title}"[:60]))
    return f"feature:{feature.id}"


def _title(job: Job, words: str) -> str:
    """A name that no other thing has: “Path light 4”."""
    taken = {one.title for one in job.features}
    return next(name for name in (f"{words} {number}" for number in range(1, len(taken) + 2)) if name not in taken)


def zone_around(job: Job, at: Point) -> UUID | None:
    """The zone around a point [ft]; None where none is."""
    outlines = ((zone, way.outline) for zone in job.zones if (way := job.chosen(zone)))
    return next((zone.id for zone, outline in outlines if outline and contains(outline, at)), None)


def lights_page(view: Sheet) -> LightsPage:
    """The lights of a job's plan, circuit by circuit."""
    job, basis = view.job, view.basis
    lights, found = lights_of(job, basis), circuits(job, basis)
    paved = _paved(job, basis) if found else ()
    kinds = {one.key for one in recipes_of_lights(basis)}
    placed = {one.feature.id for one in lights}
    nowhere = [one for one in job.works if one.place is PlaceKind.FEATURE and one.assembly in kinds]
    return LightsPage(
        circuits=[_page(one, lights, paved, view) for one in found],
        unfed=[one for one in lights if one.mounting != TRANSFORMER] if not found else (),
        nowhere=sum(one.place_id not in placed for one in nowhere),
        agrees=not any(_differs(one, paved, basis) for one in found),
        assumed=Assumed(
            watts=said(basis, "light-watts", WATTS),
            power_factor=said(basis, "light-power-factor", POWER_FACTOR),
            slack=said(basis, "light-slack", SLACK),
            splice=said(basis, "light-splice", SPLICE),
            unsaid=sum(one.feature.count for one in lights if one.mounting != TRANSFORMER and not one.feature.watts),
        ),
    )


def _paved(job: Job, basis: Basis) -> Sequence[Outline]:
    """What is paved, by the recipes of the zones."""
    yard = Yard(job, basis)
    return [yard.outlines[key] for key in yard.hard if key in yard.outlines]


def _page(circuit: Circuit, lights: Sequence[Light], paved: Sequence[Outline], view: Sheet) -> CircuitPage:
    runs = followed(lights, view.job, view.basis).get(circuit.source.feature.id, ())
    size = _size_of(circuit)
    return CircuitPage(
        circuit=circuit,
        rows=_rows(circuit, lights, view.basis),
        size=size,
        wanted=circuit.transformers(size, LOADED),
        below=below(circuit, paved),
        lines=[run.title or str(run.kind) for run in runs],
    )


def _rows(circuit: Circuit, lights: Sequence[Light], basis: Basis) -> Sequence[CableRow]:
    number = {cable.leg.end.key: place for place, cable in enumerate(circuit.cables, 1)}

    def named(one: Light | Tee) -> str:
        return f"{number[one.key]}. {one.title}" if one.key in number else one.title

    return [
        _row(CableRow(cable=one, number=number[one.leg.end.key], fed_from=named(one.leg.start)), lights, basis)
        for one in circuit.cables
    ]


def _row(row: CableRow, lights: Sequence[Light], basis: Basis) -> CableRow:
    cable = row.cable
    if not isinstance(cable, Fed):
        return row
    low = cable.volts is not None and cable.volts < said(basis, "light-volts", LEAST_VOLTS)
    return replace(row, light=cable.light, lamp=cable.lamp, low=low, apart=_next_alike(cable.light, lights))


def _next_alike(light: Light, lights: Sequence[Light]) -> float | None:
    others = (one for one in lights if one.mounting == light.mounting and one.feature.id != light.feature.id)
    ways = (dist(light.at, one.at) for one in others)
    return min(ways, default=None)


def _size_of(circuit: Circuit) -> float:
    """The size of its transformer [VA], where it was set as a plain number; else the recipe's usual one."""
    typed = circuit.source.work.parameters.get("size", "")
    return float(typed) if typed.replace(".", "", 1).isdecimal() and float(typed) > 0 else 150.0


def _wanted(circuit: Circuit, paved: Sequence[Outline], basis: Basis) -> Mapping[UUID, Mapping[str, str]]:
    """What a circuit puts into the recipes, by work: a transformer's own cables, and each light's."""
    own, recipe = circuit.source.work, basis.assemblies.get(circuit.source.work.assembly)
    knows_tees = recipe is not None and "tees" in recipe.parameters and (circuit.tees or "tees" in own.parameters)
    main = sum(one.length for one in circuit.cables if one.leg.start is circuit.source or not isinstance(one, Fed))
    found = {
        circuit.source.work.id: {
            "lights": str(min(max(circuit.lights, 1), 60)),
            "va_each": f"{circuit.load / circuit.lights:.3g}" if circuit.lights else "5.5",
            "cable_each": f"{min(max(ceil(main), LEAST_MAIN), MOST_MAIN)}*foot",
            "under_paving": f"{min(ceil(below(circuit, paved) - 1e-6), MOST_SLEEVE)}*foot",
            **({"tees": str(min(circuit.tees, MOST_TEES))} if knows_tees else {}),
        }
    }
    for one in circuit.fed:
        first = one.leg.start is circuit.source
        each = 0 if first else ceil(one.length / one.light.feature.count)
        found[one.light.work.id] = {"cable_each": f"{min(max(each, LEAST_CABLE), MOST_CABLE)}*foot"}
    return found


def _differs(circuit: Circuit, paved: Sequence[Outline], basis: Basis) -> bool:
    works = {one.work.id: one.work for one in (circuit.source, *(fed.light for fed in circuit.fed))}
    return any(
        works[key].parameters.get(name) != value
        for key, wanted in _wanted(circuit, paved, basis).items()
        for name, value in wanted.items()
    )


def take_circuits(office: Office, job_id: UUID, order: Order) -> Applied:
    """Put the cables of the plan into the recipes of lights and transformers, as one change.

    Raises: BadValue where nothing is fed, or where the recipes say so already.
    """
    opened = jobs.open_job(office, job_id)
    works = {one.id: one for one in opened.job.works}
    found = circuits(opened.job, opened.basis)
    if not any(one.fed for one in found):
        raise BadValue("Nothing is fed yet: set lights and a transformer on the plan first.")
    paved = _paved(opened.job, opened.basis)
    edits = []
    for circuit in found:
        for key, wanted in _wanted(circuit, paved, opened.basis).items() if circuit.fed else ():
            parameters = {**works[key].parameters, **wanted}
            if parameters != works[key].parameters:
                edits.append(changed("work", key, opened.version("work", key), {"parameters": to_plain(parameters)}))
    if not edits:
        raise BadValue("The recipes have these cables already.")
    return jobs.save(office, job_id, tuple(edits), replace(order, what="Cables as the lights stand"))
