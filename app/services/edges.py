"""Shared edges: which a zone has, what somebody decided about each, and the one change that decides it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from uuid import UUID, uuid4

from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import Edge, EdgeChoice, Job, PlaceKind, Work, Zone
from app.domain.plan.edges import GROUND, HOUSE, LOT, SharedEdge, edge_lengths, shared_edges
from app.services import jobs
from app.services.jobs import OpenJob, Order, changed, made, removal
from app.services.office import Office
from app.services.zones import assembly_of, find, new_work

AROUND: Mapping[str, str] = {HOUSE: "house", LOT: "lot line", GROUND: "open ground", "wall": "wall"}
LEAVE_OPEN, NOTHING = "open", "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLine:
    """One shared edge as a zone sees it. `length` [ft] as typed, else as drawn; `edge` is there once it was decided."""

    neighbor: str
    title: str
    letter: str
    length: float | None
    curved: float
    edge: Edge | None
    works: tuple[Work, ...]
    built_as: tuple[str, ...]  # titles of the recipes on it

    @property
    def decided(self) -> bool:
        """Whether somebody said what is built here."""
        return self.edge is not None and self.edge.choice is not EdgeChoice.OPEN

    @property
    def must_decide(self) -> bool:
        """Whether it is an open point: between two zones, or at the house."""
        return not self.decided and self.neighbor not in {GROUND, LOT}


def edges_of(opened: OpenJob, zone: Zone) -> tuple[EdgeLine, ...]:
    """The shared edges of a zone: to other zones first, then house, lot line and open ground."""
    job = opened.job
    drawn = drawn_lengths(job)
    here = {neighbor: drawn[own, neighbor] for own, neighbor in drawn if own == str(zone.id)}
    typed = {_other(edge, zone): edge for edge in job.edges if _touches(edge, zone)}
    known = {str(other.id) for other in job.zones} | set(AROUND)
    keys = [key for key in (*here, *[key for key in typed if key not in here]) if key in known]
    lines = [_line(opened, key, here.get(key), typed.get(key)) for key in keys]
    return tuple(sorted(lines, key=lambda line: (line.neighbor in AROUND, line.neighbor == GROUND, line.letter)))


def drawn_lengths(job: Job) -> Mapping[tuple[str, str], tuple[float, float]]:
    """Length and curved length [ft] by zone and neighbor, as the outlines lie."""
    return edge_lengths(shared_on_plan(job))


def shared_on_plan(job: Job) -> tuple[SharedEdge, ...]:
    """All stretches where the chosen outlines meet one another, the house, the lot line or open ground."""
    chosen = ((zone, job.chosen(zone)) for zone in job.zones)
    outlines = {str(zone.id): one.outline for zone, one in chosen if one is not None and one.outline is not None}
    return shared_edges(outlines, house=job.site.house, lot=job.site.lot)


def _touches(edge: Edge, zone: Zone) -> bool:
    return edge.zone_id == zone.id or edge.neighbor == str(zone.id)


def _other(edge: Edge, zone: Zone) -> str:
    return edge.neighbor if edge.zone_id == zone.id else str(edge.zone_id)


def _line(opened: OpenJob, neighbor: str, drawn: tuple[float, float] | None, edge: Edge | None) -> EdgeLine:
    other = next((zone for zone in opened.job.zones if str(zone.id) == neighbor), None)
    works = tuple(_works_on(opened.job, edge)) if edge else ()
    length, curved = drawn or (None, 0.0)
    return EdgeLine(
        neighbor=neighbor,
        title=other.title if other else AROUND[neighbor],
        letter=other.letter if other else "",
        length=edge.length if edge and edge.length is not None else length,
        curved=curved,
        edge=edge,
        works=works,
        built_as=tuple(_title(opened, work) for work in works),
    )


def _works_on(job: Job, edge: Edge) -> Iterator[Work]:
    return (work for work in job.works if work.place is PlaceKind.EDGE and work.place_id == edge.id)


def _title(opened: OpenJob, work: Work) -> str:
    known = opened.basis.assemblies.get(work.assembly)
    return work.title or (known.title if known else work.assembly)


def decide_edge(office: Office, job_id: UUID, zone_id: UUID, neighbor: str, decision: str, order: Order) -> UUID:
    """Decide a shared edge: a recipe's key builds it, `nothing` builds nothing, `open` takes the decision back.

    Whatever stood on the edge goes, in the same change. Returns the edge's id.
    Raises: NotFound for a zone that is gone; BadValue for a neighbor or a recipe that is none; UnknownAssembly.
    """
    opened = jobs.open_job(office, job_id)
    zone = find(opened.job.zones, zone_id, "zone")
    other = next((one for one in opened.job.zones if str(one.id) == neighbor), None)
    if other is None and neighbor not in AROUND:
        raise BadValue("That neighbor is not on the plan (any more). Open the plan afresh.", field="decision")
    known = next((edge for edge in opened.job.edges if _touches(edge, zone) and _other(edge, zone) == neighbor), None)
    choice = {LEAVE_OPEN: EdgeChoice.OPEN, NOTHING: EdgeChoice.NOTHING}.get(decision, EdgeChoice.BUILT)
    edge = replace(known or Edge(id=uuid4(), zone_id=zone.id, neighbor=neighbor), choice=choice)
    edits = [*_edge_edit(opened, known, edge), *_swap_works(opened, edge, decision, choice)]
    title = other.title if other else AROUND[neighbor]
    jobs.save(office, job_id, tuple(edits), replace(order, what=f"Edge of {zone.title} to {title}"))
    return edge.id


def _edge_edit(opened: OpenJob, known: Edge | None, edge: Edge) -> list[Edit]:
    if known is None:
        return [made("edge", edge)]
    return [changed("edge", edge.id, opened.version("edge", edge.id), {"choice": edge.choice})]


def _swap_works(opened: OpenJob, edge: Edge, decision: str, choice: EdgeChoice) -> list[Edit]:
    standing = list(_works_on(opened.job, edge))
    if choice is EdgeChoice.BUILT:
        found = assembly_of(opened.basis, decision)
        if found.measures != "edge":
            raise BadValue(f"“{found.title}” is not built along an edge. Choose another.", field="decision")
    kept = [work for work in standing if choice is EdgeChoice.BUILT and work.assembly == decision]
    edits = [edit for work in standing if work not in kept for edit in removal(opened, "work", work.id)]
    if choice is EdgeChoice.BUILT and not kept:
        edits.append(made("work", new_work(opened, PlaceKind.EDGE, edge.id, decision)))
    return edits
