"""What the margin of the plan says: about a zone, a run, a feature or an edge; and the table beside the drawing."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.uncertain import shares_apart
from app.domain.job import Alternative, Feature, Job, Measured, Need, PlaceKind, Run, RunKind, Zone, zones_by_key
from app.domain.job.included import left_out
from app.domain.keeping import BoundedByIdentity
from app.domain.plan.measures import area, perimeter
from app.domain.takeoff.measures import run_length
from app.services.edge_note import drop_words
from app.services.edges import EdgeLine, edges_of
from app.services.office import Office
from app.services.sheets import Sheet, kept
from app.services.work_lines import PartPrice, Recipe, WorkLine, found_at, part_price, recipes_for, work_lines, works_at


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternativeLine:
    """One way to do a zone; `difference` is what the job's price would change by, were it chosen [cents]."""

    alternative: Alternative
    chosen: bool
    difference: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneNote:
    """The margin note of a zone."""

    zone: Zone
    chosen: Alternative | None
    area: float | None
    outline: float | None
    works: tuple[WorkLine, ...]
    recipes: tuple[Recipe, ...]
    edges: tuple[EdgeLine, ...]
    drops: tuple[str, ...]  # of each edge, in words
    edge_recipes: tuple[Recipe, ...]
    price: PartPrice
    alternatives: tuple[AlternativeLine, ...]
    needs: tuple[Need, ...]
    findings: tuple[str, ...]
    things: tuple["ThingLine", ...]
    out: bool = False  # left out, or an option nobody ticked
    apart: tuple[float, float] = (0.0, 0.0)  # by which share its amounts may be off: as a sketch, by tape

    @property
    def open_edges(self) -> int:
        """How many of its edges are still to decide."""
        return sum(edge.must_decide for edge in self.edges)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThingLine:
    """A run or a feature in the list: how long or how many, what it is built as, what it sells for."""

    kind: str
    id: UUID
    title: str
    measure: float | int | None
    built_as: str
    price: PartPrice
    thing: Run | Feature
    works: tuple[WorkLine, ...]
    recipes: tuple[Recipe, ...]
    findings: tuple[str, ...]
    number: int = 0  # of a feature: what stands on the plan where its name has no room


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneRow:
    """A zone in the table beside the drawing."""

    zone: Zone
    key: str  # the zone's id as text
    area: float | None
    outline: float | None
    measured: Measured | None
    built_as: str
    price: PartPrice
    out: bool = False  # left out, or an option nobody ticked


def zone_rows(view: Sheet) -> tuple[ZoneRow, ...]:
    """Every zone: area, outline, what it is built as, its price."""
    rows, out = [], left_out(view.job)
    ways = view.job.chosen_by_zone()
    for key, zone in zones_by_key(view.job.zones).items():
        chosen = ways.get(zone.id)
        drawn = chosen.outline if chosen else None
        works = works_at(view.job, PlaceKind.ALTERNATIVE, chosen.id) if chosen else ()
        rows.append(
            ZoneRow(
                zone=zone,
                key=key,
                area=area(drawn) if drawn else None,
                outline=perimeter(drawn) if drawn else None,
                measured=chosen.measured if chosen else None,
                built_as=_titles(view, works),
                price=zone_price(view.estimate, key),
                out=bool(out) and zone.id in out,
            )
        )
    return tuple(rows)


def zone_price(worked: Estimate, zone: str) -> PartPrice:
    """A zone's own part of the price: a band, or a point once the whole may be firm."""
    return part_price(worked, worked.price_by_zone.get(zone, 0), worked.hours_by_zone.get(zone, 0.0), zone)


def zone_note(office: Office, view: Sheet, zone: Zone) -> ZoneNote:
    """All that the margin says about a zone."""
    job = view.job
    chosen = job.chosen(zone)
    drawn = chosen.outline if chosen else None
    works = works_at(job, PlaceKind.ALTERNATIVE, chosen.id) if chosen else ()
    edges = edges_of(view.opened, zone)
    return ZoneNote(
        zone=zone,
        chosen=chosen,
        area=area(drawn) if drawn else None,
        outline=perimeter(drawn) if drawn else None,
        works=work_lines(view, works),
        recipes=recipes_for(view.basis, "zone", zone.kind),
        edges=edges,
        apart=shares_apart(view.basis),
        drops=tuple(drop_words(line.drop, view.basis.firm.system) for line in edges),
        edge_recipes=recipes_for(view.basis, "edge", zone.kind),
        price=zone_price(view.estimate, str(zone.id)),
        alternatives=_alternatives(office, view, zone),
        needs=tuple(need for need in job.needs if zone.id in need.zone_ids),
        findings=found_at(view, f"zone:{zone.id}", but=EDGE_OPEN),
        things=tuple(_thing_line(view, kind, thing) for kind, thing in _things(view) if thing.zone_id == zone.id),
        out=zone.id in left_out(job),
    )


def _alternatives(office: Office, view: Sheet, zone: Zone) -> tuple[AlternativeLine, ...]:
    own = [one for one in view.job.alternatives if one.zone_id == zone.id]
    chosen = view.job.chosen(zone)
    lines = []
    for one in own:
        is_chosen = chosen is not None and one.id == chosen.id
        lines.append(
            AlternativeLine(
                alternative=one,
                chosen=is_chosen,
                difference=0 if is_chosen else priced_with(office, view, zone, one) - view.estimate.price_cents,
            )
        )
    return tuple(lines)


def priced_with(office: Office, view: Sheet, zone: Zone, other: Alternative) -> int:
    """The price of the job were another alternative chosen [cents]."""

    def work() -> int:
        zones = tuple(replace(one, chosen_id=other.id) if one.id == zone.id else one for one in view.job.zones)
        return estimate(replace(view.job, zones=zones), view.basis).price_cents

    return kept(office, ("with", other.id), view.opened, work)


def thing_lines(view: Sheet) -> tuple[ThingLine, ...]:
    """Runs, then features; these by the number that stands on a plan without room for their name."""
    lines = [_thing_line(view, kind, thing) for kind, thing in _things(view)]
    runs = len(view.job.runs)
    return (*lines[:runs], *(replace(line, number=place) for place, line in enumerate(lines[runs:], 1)))


def thing_line(view: Sheet, focus: str) -> ThingLine | None:
    """The run or feature that is in focus."""
    found = (one for one in _things(view) if focus == f"{one[0]}:{one[1].id}") if ":" in focus else iter(())
    return next((_thing_line(view, kind, thing) for kind, thing in found), None)


def _things(view: Sheet) -> Iterator[tuple[str, Run | Feature]]:
    yield from (("run", run) for run in view.job.runs)
    yield from (("feature", one) for one in view.job.features)


EDGE_OPEN = "edge-open"  # said by the list of edges already
SUITS: Mapping[RunKind, str] = {RunKind.EDGING: "edging", RunKind.WALL: "wall"}


def _thing_line(view: Sheet, kind: str, thing: Run | Feature) -> ThingLine:
    works = tuple(works_at(view.job, PlaceKind(kind), thing.id))
    lines = work_lines(view, works)
    cents, hours = sum(line.cents for line in lines), sum(line.hours for line in lines)
    return ThingLine(
        kind=kind,
        id=thing.id,
        title=thing.title,
        measure=run_length(thing) if isinstance(thing, Run) else thing.count,
        built_as=_titles(view, works),
        price=part_price(view.estimate, cents, hours, *(str(one.id) for one in works)),
        thing=thing,
        works=lines,
        recipes=recipes_for(view.basis, kind, thing.kind.value if isinstance(thing, Run) else ""),
        findings=found_at(view, f"{kind}:{thing.id}"),
    )


def _titles(view: Sheet, works: Any) -> str:
    titles = [
        work.title
        or (view.basis.assemblies[work.assembly].title if work.assembly in view.basis.assemblies else work.assembly)
        for work in works
    ]
    return ", ".join(titles)


def neighbors_of(job: Job, *, but: Zone | None = None) -> tuple[tuple[str, str], ...]:
    """What an outline may lie against: the house and the other zones that have an outline."""
    house = [("house", "the house")] if job.site.house else []
    ways = job.chosen_by_zone()
    drawn = {key for key, one in ways.items() if one.outline} - ({but.id} if but else set())
    named = zip(job.zones, zone_options(job), strict=True)
    return (*house, *[option for zone, option in named if zone.id in drawn])


def zone_options(job: Job) -> tuple[tuple[str, str], ...]:
    """Every zone as a list offers it: its id as text, and its letter and title; kept while the zones are the same."""
    kept = _OPTIONS.get(job.zones)
    if kept is None:
        kept = tuple([(key, f"{zone.letter} {zone.title}") for key, zone in zones_by_key(job.zones).items()])
        _OPTIONS.keep(job.zones, kept)
    return kept


_OPTIONS: BoundedByIdentity[tuple[Zone, ...], tuple[tuple[str, str], ...]] = BoundedByIdentity(32)
