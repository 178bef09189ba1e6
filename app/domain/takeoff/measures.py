"""The measures of a place: what its outline, its typed numbers and its surroundings say. Unknown is never zero."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any
from uuid import UUID

from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Alternative, Edge, Existing, Feature, Job, PlaceKind, Run, Work, Zone, phases_with_work
from app.domain.keeping import BoundedByIdentity
from app.domain.plan.measures import area, perimeter
from app.domain.plan.open_lines import corners_of, length_of
from app.domain.plan.outline import Outline
from app.domain.takeoff.formula import MeasureMissing
from app.domain.takeoff.laid import LAID_SOURCES, NOT_LAID
from app.domain.takeoff.stretches import APPLIED, columns, covering, cutting, laying_courses, run_stretches
from app.domain.takeoff.stretches import SOURCES as LINE_SOURCES
from app.domain.takeoff.surroundings import Surroundings
from app.domain.takeoff.vocabulary import KINDS, PLACE_OF, SHARED_KINDS
from app.domain.trades.functions import FUNCTIONS

Make = Callable[[], Any]
WHOLE_JOB = "job"


class Measures(dict[str, Any]):
    """Measures by name, each worked out when it is first asked for. Raises: MeasureMissing, with the remedy."""

    def __init__(self, make: Mapping[str, Make], remedies: Mapping[str, str]) -> None:
        super().__init__()
        self.make = make
        self.remedies = remedies

    def __missing__(self, name: str) -> Any:
        make = self.make.get(name)
        value = make() if make else None
        if value is None:
            raise MeasureMissing(
                f"{_said(name)} is not known.",
                name=name,
                remedy=self.remedies.get(name, self.remedies.get("", "")),
            )
        self[name] = value
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a work is built: its word (`zone`, `run`, ...), its key, zone and phase as text, its measures."""

    kind: str
    where: str
    title: str
    zone: str
    phase: str
    measures: Measures
    told: Callable[[], Mapping[str, str]] = dict  # where measures come from; asked for by explanations alone

    @property
    def sources(self) -> Mapping[str, str]:
        """Where each measure comes from, in words, by its name."""
        return {**_TRADE_SOURCES, **self.told()}


def place_of(work: Work, job: Job, around: Surroundings, known: Mapping[str, Make]) -> Place | Finding | None:
    """The place of a work with its measures.

    `known` gives the measures of the whole job (`crew_days`, ...) by name. None where the work is on an alternative
    that is not chosen; a finding where its place is gone.
    """
    makers = {
        PlaceKind.ALTERNATIVE: _zone_place,
        PlaceKind.RUN: _run_place,
        PlaceKind.FEATURE: _feature_place,
        PlaceKind.EDGE: _edge_place,
        PlaceKind.EXISTING: _existing_place,
        PlaceKind.JOB: _job_place,
    }
    found = makers[work.place](work, job, around)
    if not isinstance(found, _Found):
        return _gone(work) if found is None else None
    make = {**known, **found.make}
    zone = around.zones.get(found.zone)
    phase = work.phase_id or found.phase or (zone.phase_id if zone else None) or around.first_phase
    return Place(
        kind=PLACE_OF[work.place],
        where=found.where,
        title=found.title,
        zone=str(found.zone or WHOLE_JOB),
        phase=str(phase or ""),
        measures=Measures(make, {**_JOB_REMEDIES, **found.remedies}),
        told=found.sources,
    )


_TRADE_SOURCES: Mapping[str, str] = {name: one.source for name, one in FUNCTIONS.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    where: str
    title: str
    make: Mapping[str, Make]
    remedies: Mapping[str, str]
    sources: Callable[[], Mapping[str, str]]
    zone: Any = None
    phase: Any = None


_NOT_CHOSEN = False
_Answer = _Found | bool | None


def _zone_place(work: Work, _job: Job, around: Surroundings) -> _Answer:
    alternative = around.alternatives.get(work.place_id)
    zone = around.zones.get(alternative.zone_id) if alternative else None
    if alternative is None or zone is None:
        return None
    if around.chosen.get(zone.id) is not alternative:
        return _NOT_CHOSEN
    title = zone_title(zone)
    return _Found(
        where=f"zone:{zone.id}",
        title=title,
        make=_zone_measures(zone, alternative, around),
        remedies={
            "": f"Draw or type the outline of {title} on the plan.",
            "fall": f"Type the fall of {title}: 1/4 in per ft is usual for paving.",
            "laid_units": f"Lay a pattern on {title}, or use the area.",
            "laid_cuts": f"Lay a pattern on {title}, or use the outline.",
            "laid_cut_length": f"Lay a pattern on {title}, or use the outline.",
        },
        sources=lambda: {
            "area": "outline, exact",
            "outline": "outline, exact",
            "fall": "typed",
            "grown": around.grown_source(zone.id),
            **{f"own_edge('{kind}')": around.own_edge_source(zone.id, kind) for kind in SHARED_KINDS},
            **LAID_SOURCES,
        },
        zone=zone.id,
        phase=zone.phase_id,
    )


_TITLES: BoundedByIdentity[Zone, str] = BoundedByIdentity(4096)


def zone_title(zone: Zone) -> str:
    """How a zone is named in a sentence: `Zone B, Dining terrace`; one that calls itself a zone: `C, Reading zone`."""
    title = _TITLES.get(zone)
    if title is None:
        calls_itself = "zone" in zone.title.lower().split()
        first = zone.letter if calls_itself else f"Zone {zone.letter}".strip()
        named = calls_itself and zone.letter in zone.title.split()
        title = zone.title if named else ", ".join(part for part in (first, zone.title) if part)
        _TITLES.keep(zone, title)
    return title


def _zone_measures(zone: Zone, alternative: Alternative, around: Surroundings) -> Mapping[str, Make]:
    own = alternative.outline

    def shared(kind: str) -> Make:
        return lambda: around.shared(zone.id, kind) if own else None

    def own_edge(kind: str) -> Make:
        return lambda: around.own_edge(zone.id, kind) if own else None

    return {
        "area": lambda: area(own) if own else None,
        "outline": lambda: perimeter(own) if own else None,
        "fall": lambda: alternative.fall,
        **{name: partial(NOT_LAID.get, name) for name in NOT_LAID},
        "grown": lambda: (lambda outward: around.grown(zone.id, outward)) if own else None,
        **{f"shared('{kind}')": shared(kind) for kind in SHARED_KINDS},
        **{f"own_edge('{kind}')": own_edge(kind) for kind in SHARED_KINDS},
    }


def _run_place(work: Work, job: Job, around: Surroundings) -> _Answer:
    run = next((one for one in job.runs if one.id == work.place_id), None)
    if run is None:
        return None
    title = run.title or f"Run ({run.kind.value})"

    def under(kind: str) -> Make:
        return lambda: around.under(run, kind)

    return _Found(
        where=f"run:{run.id}",
        title=title,
        make={
            "length": lambda: run_length(run),
            "height": lambda: run.height,
            "corners": lambda: float(run_corners(run)),
            "ends": lambda: float(run.ends),
            "crossings": lambda: around.crossings(run),
            **_line_functions(run),
            **{f"under('{kind}')": under(kind) for kind in KINDS},
        },
        remedies={
            "": f"Type how much of {title} lies below finished surfaces; 0 where none does.",
            **dict.fromkeys(
                ("length", "gas_longest", "gas_heat", *APPLIED["run"]), f"Draw {title} on the plan or type its length."
            ),
            "height": f"Type the height of {title}.",
        },
        sources=lambda: {
            **LINE_SOURCES,
            "length": "drawn on the plan" if run.length is None else "typed",
            "height": "typed",
        },
        zone=run.zone_id if run.zone_id in around.zones else None,
        phase=run.phase_id,
    )


_OF_LENGTH = ("length", "gas_longest", "gas_heat", *APPLIED["run"])


def _line_functions(run: Run) -> dict[str, Make]:
    """What formulas may ask of a line's stretches; missing while its length is."""

    def function(name: str) -> Make:
        def make() -> Any:
            stretches, closed = run_stretches(run)
            if not stretches:
                return None
            return {**cutting(stretches), **laying_courses(stretches, closed=closed), **covering(stretches)}[name]

        return make

    return {name: function(name) for name in APPLIED["run"]}


def run_length(run: Run) -> float | None:
    """Length [ft] as typed, else along its points and arcs; None where neither is there."""
    if run.length is not None:
        return run.length
    return length_of(run.points, run.rises) if len(run.points) > 1 else None


def run_corners(run: Run) -> int:
    """Corners as typed, also where none is typed; else those of the line as it is drawn. An arc is no corner."""
    if run.corners or run.corners_typed:
        return run.corners
    return corners_of(run.points, run.rises) if len(run.points) > 2 else 0


def _feature_place(work: Work, job: Job, around: Surroundings) -> _Answer:
    feature = next((one for one in job.features if one.id == work.place_id), None)
    if feature is None:
        return None
    title = feature.title or "Feature"
    return _Found(
        where=f"feature:{feature.id}",
        title=title,
        make={**_sizes(feature), **{name: partial(columns().get, name) for name in APPLIED["feature"]}},
        remedies=_size_remedies(title),
        sources=lambda: {**LINE_SOURCES, **dict.fromkeys(_SIZES, "typed")},
        zone=feature.zone_id if feature.zone_id in around.zones else None,
        phase=feature.phase_id,
    )


def _existing_place(work: Work, job: Job, _around: Surroundings) -> _Answer:
    thing = next((one for one in job.existing if one.id == work.place_id), None)
    if thing is None:
        return None
    title, own = thing.title or "Existing thing", thing.outline
    drawn = {"outline": lambda: perimeter(own) if own else None}
    if thing.length is None and len(thing.points) > 1:
        drawn["length"] = lambda: length_of(thing.points, thing.rises)
    if thing.area is None:
        drawn["area"] = lambda: area(own) if own else None
    return _Found(
        where=f"existing:{thing.id}",
        title=title,
        make={**_sizes(thing), **drawn},
        remedies={**_size_remedies(title), "outline": f"Draw or type the outline of {title}."},
        sources=lambda: {**dict.fromkeys(_SIZES, "typed"), **dict.fromkeys(drawn, "outline, exact")},
        phase=thing.phase_id,
    )


_SIZES = ("count", "area", "length", "thickness", "height")


def _sizes(thing: Feature | Existing) -> dict[str, Make]:
    def size(name: str) -> Make:
        return lambda: None if getattr(thing, name) is None else float(getattr(thing, name))

    return {name: size(name) for name in _SIZES}


def _size_remedies(title: str) -> dict[str, str]:
    return {name: f"Type the {name} of {title}." for name in _SIZES}


def _edge_place(work: Work, job: Job, around: Surroundings) -> _Answer:
    edge: Edge | None = next((one for one in job.edges if one.id == work.place_id), None)
    zone = around.zones.get(edge.zone_id) if edge else None
    if edge is None or zone is None:
        return None
    title = f"{zone_title(zone)}, edge to {around.neighbor_title(edge.neighbor)}"
    return _Found(
        where=f"edge:{edge.id}",
        title=title,
        make={
            "length": lambda: around.edge_length(edge),
            "curved_length": lambda: around.edge_curved(edge),
            "drop": lambda: around.edge_drop(edge),
            "gap": lambda: edge.gap,
            **{name: partial(_edge_function, around, edge, name) for name in APPLIED["edge"]},
        },
        remedies={
            "": f"Type the length of {title}, or draw both outlines.",
            "length": f"Type the length of {title}, or draw both outlines.",
            "drop": f"Type the drop of {title}, or the finish levels of both sides.",
        },
        sources=lambda: {
            **LINE_SOURCES,
            "length": "shared edge of the outlines" if edge.length is None else "typed",
            "curved_length": "typed" if edge.curved_length else "shared edge of the outlines",
            "drop": "mean along the edge, from the levels of both sides" if edge.drop is None else "typed",
        },
        zone=zone.id,
    )


def _edge_function(around: Surroundings, edge: Edge, name: str) -> Any:
    length = around.edge_length(edge)
    return cutting((length,))[name] if length else None


def _job_place(_work: Work, job: Job, _around: Surroundings) -> _Answer:
    return _Found(where=WHOLE_JOB, title=job.head.title or "Whole job", make={}, remedies={}, sources=dict)


def job_measures(job: Job, around: Surroundings, moved: frozenset[UUID]) -> dict[str, Make]:
    """The measures of the whole job, but for `crew_days`, which follow from the takeoff itself.

    `moved` are the phases that works are moved to by themselves.
    """
    site = job.site

    def area_total() -> float | None:
        outlines: list[Outline | None] = [around.outline(zone.id) for zone in job.zones]
        return sum(area(one) for one in outlines if one) if outlines and all(outlines) else None

    return {
        "area_total": area_total,
        "lot_area": lambda: site.lot_area if site.lot_area is not None else area(site.lot) if site.lot else None,
        "haul_distance": lambda: site.haul_distance,
        "access_width": lambda: site.access_width,
        "trips": lambda: float(max(1, len(phases_with_work(job, moved)))),  # crew and machines come once a phase
    }


_JOB_REMEDIES: Mapping[str, str] = {
    "area_total": "Draw or type the outline of every zone.",
    "lot_area": "Type the lot's area or draw the lot on the site sheet.",
    "haul_distance": "Type on the site sheet how far material is carried from the street.",
    "access_width": "Type on the site sheet how wide the narrowest way in is.",
}


def _said(name: str) -> str:
    """A measure's name at the beginning of a sentence."""
    function, _, kind = name.removesuffix("')").partition("('")
    if kind:
        said = {"shared": "The length shared with", "own_edge": "The length of the zone's own edge along"}
        return f"{said.get(function, f'The length {function}')} {kind}"
    words = name.replace("_", " ")
    return words[0].upper() + words[1:]


def _gone(work: Work) -> Finding:
    what = f"{work.title or work.assembly} is placed on something that is no longer on the plan; it is not counted."
    return Finding(
        rule="place-missing",
        severity=Severity.STOP,
        where=f"work:{work.id}",
        what=what,
        remedy="Place it again or remove it.",
        stop=Stop.MONEY,
    )
