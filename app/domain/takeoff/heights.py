"""How high what is built stands, by the drawing of its recipe; with its parameters, for those who draw it."""

from collections import ChainMap
from collections.abc import Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from app.domain.basis import Assembly, Basis
from app.domain.errors import OutlayError
from app.domain.job import Job, PlaceKind, Work
from app.domain.takeoff.assembly import compile_assembly
from app.domain.takeoff.compiled import Chosen
from app.domain.takeoff.meeting import by_edge, measured, meetings
from app.domain.takeoff.requirements import worked_parameters


@dataclass(frozen=True, slots=True)
class Stands:
    """One work: how high it stands [ft], None where its recipe does not say or a measure lacks; its parameters."""

    height: float | None
    parameters: Mapping[str, float]


def standing_heights(job: Job, basis: Basis, recipes: frozenset[str]) -> Mapping[UUID, Stands]:
    """The works whose recipe has a height in its drawing, or is one of `recipes`, by id."""
    asked = [(work, basis.assemblies[work.assembly]) for work in job.works if _is_asked(work, basis, recipes)]
    names = {name for _, assembly in asked for name in assembly.parameters}
    known = worked_parameters(replace(job, works=tuple(work for work, _ in asked)), basis, names)
    places = _measures(job)
    return {
        work.id: _stands(work, assembly, basis, (known.get(work.id, {}), places.get((work.place, work.place_id), {})))
        for work, assembly in asked
    }


def _is_asked(work: Work, basis: Basis, recipes: frozenset[str]) -> bool:
    assembly = basis.assemblies.get(work.assembly)
    return assembly is not None and (bool(assembly.drawing.mass) or work.assembly in recipes)


def _measures(job: Job) -> dict[tuple[PlaceKind, UUID | None], Mapping[str, float]]:
    """What heights are told by besides parameters: the height of a run, the drop along a decided edge."""
    found: dict[tuple[PlaceKind, UUID | None], Mapping[str, float]] = {
        (PlaceKind.RUN, run.id): {"height": run.height} for run in job.runs if run.height is not None
    }
    met = by_edge(meetings(job))
    for edge in job.edges:
        told = measured(met.get(edge.id, ()))
        drop = edge.drop if edge.drop is not None else told.drop if told else None
        if drop is not None:
            found[(PlaceKind.EDGE, edge.id)] = {"drop": abs(drop)}
    return found


def _stands(
    work: Work, assembly: Assembly, basis: Basis, told: tuple[Mapping[str, float], Mapping[str, float]]
) -> Stands:
    parameters, measures = told
    compiled = compile_assembly(assembly, basis, Chosen(work.parameters, work.finishes))
    if compiled.height is None:
        return Stands(None, parameters)
    try:
        return Stands(compiled.height.number(ChainMap(dict(parameters), dict(measures))), parameters)
    except OutlayError:
        return Stands(None, parameters)
