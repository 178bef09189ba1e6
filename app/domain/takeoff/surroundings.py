"""What lies around the places of a job: which zones there are, what each outline meets, what grows beside it."""

from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cached_property
from itertools import groupby
from operator import attrgetter
from uuid import UUID

from app.domain.errors import OutlayError
from app.domain.job import Alternative, Edge, Job, PlaceKind, Run, Work, Zone, ZoneKind, zones_by_key
from app.domain.keeping import BoundedCache, KeptByInputs
from app.domain.plan.edges import GROUND
from app.domain.plan.growing import Growing, grown_into_open, strips_beside
from app.domain.plan.measures import bounds
from app.domain.plan.nearby import Box, Corners, corners, near_box, nearby
from app.domain.plan.open_lines import length_within
from app.domain.plan.outline import Outline
from app.domain.takeoff.buried import sleeved_stretches
from app.domain.takeoff.holding import Held, Holding
from app.domain.takeoff.meeting import Measured, Meeting, by_edge, measured, meeting_gap, meetings
from app.domain.takeoff.trace import number_text

_NEAR = 1.0  # ft: more than two edges that are one may lie apart on the plan
USUAL = 2.0  # ft: outlines seldom grow by more
_FARTHEST: BoundedCache[int, float] = BoundedCache(4096)  # by how much [ft] those grew that grew by more
_MARKS: KeptByInputs[object] = KeptByInputs(8192, each=4)  # what stands for all that the measures of a place rest on


class Surroundings:
    """A job's zones with their chosen outlines, looked up by id, and the lengths they share.

    `growing` gives the zones whose base runs past the finished edge: ground that two of them need is counted once.
    `holding` are the decided edges that end the surfaces beside them.
    """

    def __init__(
        self, job: Job, growing: Callable[[], Collection[UUID]] = tuple, holding: Collection[Held] = ()
    ) -> None:
        self.job = job
        self._holding = Holding(holding)
        self.zones: Mapping[UUID | None, Zone] = {zone.id: zone for zone in job.zones}
        self.alternatives: Mapping[UUID | None, Alternative] = {one.id: one for one in job.alternatives}
        self.first_phase = min(job.phases, key=lambda phase: phase.number).id if job.phases else None
        self._growing = growing
        self._grown: dict[tuple[UUID, float], float] = {}
        self._solid: dict[tuple[UUID, float], Growing] = {}
        self._lengths: dict[tuple[int, bool], Mapping[str, float]] = {}
        self._far_as_of = 0  # how often a zone had grown further than any before, as far as the marks know

    @cached_property
    def chosen(self) -> Mapping[UUID, Alternative]:
        """The chosen alternative of each zone that has one."""
        return self.job.chosen_by_zone()

    @cached_property
    def outlines(self) -> Mapping[UUID, Outline]:
        """The chosen outlines that are drawn or typed, by zone."""
        return {key: one.outline for key, one in self.chosen.items() if one.outline is not None}

    def outline(self, zone_id: UUID) -> Outline | None:
        """The chosen outline of a zone; None where it has none yet."""
        return self.outlines.get(zone_id)

    def grown(self, zone_id: UUID, outward: float) -> float:
        """Area [sq ft] of a zone's outline grown [ft] into open ground; what two zones need is counted once."""
        found = self._grown.get((zone_id, outward))
        if found is None:
            if outward > _far(zone_id):
                _FARTHEST.keep(zone_id.int, outward)
            beside = (self._grows(key, outward) for key in self._beside(zone_id, outward) if key in self._growing_zones)
            found = grown_into_open(self._grows(zone_id, outward), outward, beside, touching=meeting_gap(self.job))
            self._grown[zone_id, outward] = found
        return found

    def _grows(self, zone_id: UUID, outward: float) -> Growing:
        """A zone with what lies around it: house, other zones, and what a decided edge of its own brings as base."""
        found = self._solid.get((zone_id, outward))
        if found is None:
            own, house = self.outlines[zone_id], self.job.site.house
            based = [met.stretch.path for met in self._met.get(zone_id, ()) if self._holding.based(met)]
            solid = [self.outlines[key] for key in self._beside(zone_id, outward)] + ([house] if house else [])
            solid += [strip for path in based for strip in strips_beside(own, path, outward)]
            found = self._solid[zone_id, outward] = Growing(own, tuple(solid))
        return found

    def grown_source(self, zone_id: UUID) -> str:
        """Where `grown` comes from, in words."""
        own = any(self._holding.based(met) for met in self._met.get(zone_id, ())) if self._holding else False
        return "outline, grown where no decided edge brings its own base" if own else "outline, grown"

    def _beside(self, zone_id: UUID, outward: float) -> list[UUID]:
        """The other zones that a zone which grows by so much [ft] may meet."""
        places = near_box(self._boxes[zone_id], self._corners, 2 * outward + _NEAR)
        return [key for key in (self._keys[at] for at in places) if key != zone_id]

    def mark(self, work: Work) -> object | None:
        """What stands for all that the measures of a work's place rest on: one object while none of it is another.

        None for a place whose measures may rest on the whole plan: only zones and edges rest on what lies near.
        """
        try:
            if work.place is PlaceKind.ALTERNATIVE:
                way = self.alternatives.get(work.place_id)
                return self._zone_mark(way.zone_id) if way else None
            return self._edge_marks.get(work.place_id) if work.place is PlaceKind.EDGE and work.place_id else None
        except OutlayError:  # an outline that cannot be read: the measures that want it say so
            return None

    def _zone_mark(self, zone_id: UUID) -> object | None:
        if self._far_as_of != _FARTHEST.made:  # since then one was asked to grow further
            self._far_as_of = _FARTHEST.made
            self.__dict__.pop("_within_reach", None)
            self.__dict__.pop("_zone_marks", None)
        return self._zone_marks.get(zone_id.int)

    @cached_property
    def _zone_marks(self) -> Mapping[int, object]:
        site, phases, keys = self.job.site, self.job.phases, self._keys
        shapes, grows = [self.outlines[key] for key in keys], [key in self._growing_zones for key in keys]
        holds = self._held_edges if self._holding else {}
        found = {}
        for key, way in self.chosen.items():
            met, held = self._met.get(key, ()), holds.get(key, ())
            near = self._within_reach.get(key.int, ())
            growing = [keys[at] for at in near if grows[at]]
            lies_near = [shapes[at] for at in near], growing, [holds[one] for one in growing] if holds else ()
            rests_on = (site, phases, self.zones.get(key), way, met, held, self._typed.get(key), lies_near)
            found[key.int] = _MARKS.get_or_make(key.int, rests_on, object)
        return found

    @cached_property
    def _held_edges(self) -> Mapping[UUID, tuple[Held | None, ...]]:
        """For each zone what holds the edges it meets others along."""
        return {key: tuple(self._holding.of(one.edge) for one in self._met.get(key, ())) for key in self.chosen}

    @cached_property
    def _edge_marks(self) -> Mapping[UUID, object]:
        site, phases, zones = self.job.site, self.job.phases, self.zones
        found = {}
        for edge in self.job.edges:
            beside = (zones.get(edge.zone_id), self._by_text.get(edge.neighbor))
            found[edge.id] = _MARKS.get_or_make(
                edge.id.int, (site, phases, edge, *beside, self.decided_by(edge)), object
            )
        return found

    @cached_property
    def _within_reach(self) -> Mapping[int, list[int]]:
        """For each zone, by its id's number, the places of those whose ground it may grow into."""
        found = nearby(list(self._boxes.values()), [2 * _far(key) + _NEAR for key in self._keys])
        return dict(zip((key.int for key in self._keys), found, strict=True))

    @cached_property
    def _by_text(self) -> Mapping[str, Zone]:
        return zones_by_key(self.job.zones)

    @cached_property
    def _boxes(self) -> Mapping[UUID, Box]:
        return {key: bounds(outline) for key, outline in self.outlines.items()}

    @cached_property
    def _keys(self) -> list[UUID]:
        return list(self._boxes)

    @cached_property
    def _corners(self) -> Corners:
        return corners(list(self._boxes.values()))

    @cached_property
    def _growing_zones(self) -> frozenset[UUID]:
        return frozenset(self._growing())

    def shared(self, zone_id: UUID, kind: str) -> float:
        """Length [ft] along which a zone meets a kind of neighbor.

        A length typed for an edge overrules the drawn one; the difference is taken from, or given to, open ground.
        """
        return sum(length for neighbor, length in self._meets(zone_id).items() if self._kind(neighbor) == kind)

    def own_edge(self, zone_id: UUID, kind: str) -> float:
        """Of that length what the zone's own recipe ends: what no decided edge holds. Both add up to `shared`."""
        meets = self._meets(zone_id, own=True)
        return sum(length for neighbor, length in meets.items() if self._kind(neighbor) == kind)

    def held(self, zone_id: UUID, kind: str) -> Mapping[str, float]:
        """Lengths [ft] along a kind of neighbor that decided edges hold, by the title of their recipe."""
        found: dict[str, float] = {}
        for met in self._met.get(zone_id, ()) if self._holding else ():
            one = self._holding.ends(met.edge)
            if one and self._kind(met.neighbor) == kind:
                found[one.title] = found.get(one.title, 0.0) + met.stretch.length
        for edge, more in self._overruled(zone_id):
            one = self._holding.ends(edge)
            if one and self._kind(edge.neighbor) == kind:
                found[one.title] = found.get(one.title, 0.0) + more
        for title, length in self._in_part(zone_id) if kind == GROUND else ():
            found[title] = found.get(title, 0.0) + length
        return found

    def _in_part(self, zone_id: UUID) -> Iterator[tuple[str, float]]:
        """What ends a part of an edge to open ground: its title, and how much of the edge [ft] it holds."""
        edges = {met.edge.id: met.edge for met in self._met.get(zone_id, ()) if met.edge} if self._holding else {}
        for edge in edges.values():
            one = self._holding.in_part(edge)
            length = self.edge_length(edge) if one else None
            if one and length:
                yield one.title, one.length(length)

    def under(self, run: Run, kind: str) -> float | None:
        """Length [ft] of a run below finished surfaces of a kind: typed, else drawn; None while neither is known.

        Once any length is typed, kinds that are not typed are none of it. Drawn, `zone` is what lies inside the
        chosen outlines of zones, lawn and planting left out, and `house` what lies inside the house.
        """
        if run.under:
            return run.under.get(kind, 0.0)
        house = self.job.site.house
        surfaces = {"zone": self._surfaces, "house": [house] if house else None}.get(kind)
        if surfaces is None or len(run.points) < 2:
            return None
        return length_within(run.points, run.rises, surfaces)

    def crossings(self, run: Run) -> float | None:
        """How often a run passes below finished surfaces: one where its length below them is typed, else as drawn."""
        if run.under:
            return 1.0 if run.under.get("zone") else 0.0
        if self._surfaces is None or len(run.points) < 2:
            return None
        return float(len(sleeved_stretches(self.job).get(run.id, ())))

    @cached_property
    def _surfaces(self) -> list[Outline] | None:
        """Outlines of all zones with a finished surface; None while one of them is not drawn."""
        zones = [zone for zone in self.job.zones if zone.kind not in (ZoneKind.LAWN, ZoneKind.PLANTING)]
        found = [self.outlines[zone.id] for zone in zones if zone.id in self.outlines]
        return found if len(found) == len(zones) else None

    def edge_length(self, edge: Edge) -> float | None:
        """Length [ft] of a shared edge: typed, else drawn; None where the two outlines do not meet on the plan."""
        if edge.length is not None:
            return edge.length
        drawn = self.edge_drawn(edge)
        return drawn.length if drawn else None

    def edge_curved(self, edge: Edge) -> float:
        """The part of a shared edge on arcs [ft]: typed, else drawn."""
        drawn = self.edge_drawn(edge)
        return edge.curved_length or (drawn.curved if drawn else 0.0)

    def edge_drop(self, edge: Edge) -> float | None:
        """How far its two sides lie apart in height [ft, never negative]: typed, else from their levels."""
        if edge.drop is not None:
            return abs(edge.drop)
        drawn = self.edge_drawn(edge)
        return drawn.drop if drawn else None

    def edge_drawn(self, edge: Edge) -> Measured | None:
        """What the plan says about a shared edge; None where it is not drawn."""
        return measured(self.decided_by(edge))

    def decided_by(self, edge: Edge) -> tuple[Meeting, ...]:
        """The stretches that an edge decides, as its own zone sees them."""
        return self._by_edge.get(edge.id, ())

    def neighbor_title(self, neighbor: str) -> str:
        """A neighbor in words: the zone's title, or house, lot, ground, wall."""
        zone = self._by_text.get(neighbor)
        return (zone.title or f"zone {zone.letter}") if zone else neighbor

    @cached_property
    def meetings(self) -> tuple[Meeting, ...]:
        """Every stretch of every chosen outline, what it meets, the edge that decides it."""
        return meetings(self.job)

    @cached_property
    def _by_edge(self) -> Mapping[UUID, tuple[Meeting, ...]]:
        return by_edge(self.meetings)

    @cached_property
    def _met(self) -> Mapping[UUID, tuple[Meeting, ...]]:
        by_zone = groupby(self.meetings, key=attrgetter("stretch.zone"))  # they come zone by zone
        return {own[0].zone_id: own for own in (tuple(of_zone) for _, of_zone in by_zone)}

    def own_edge_source(self, zone_id: UUID, kind: str) -> str:
        """Where `own_edge` comes from, in words: what decided edges hold of the whole length."""
        held = self.held(zone_id, kind)
        if not held:
            return "shared edges of the outlines; no decided edge holds any of it"
        less = ", ".join(f"{number_text(length)} ft that “{title}” holds" for title, length in held.items())
        return f"shared edges of the outlines: {number_text(self.shared(zone_id, kind))} ft, less {less}"

    def _meets(self, zone_id: UUID, *, own: bool = False) -> Mapping[str, float]:
        """Lengths [ft] by neighbor; `own`: without what decided edges hold. Several measures ask for them."""
        kept = self._lengths.get((zone_id.int, own))
        if kept is None:
            kept = self._lengths[zone_id.int, own] = self._meet(zone_id, own=own)
        return kept

    def _meet(self, zone_id: UUID, *, own: bool) -> Mapping[str, float]:
        found: dict[str, float] = {}
        for met in self._met.get(zone_id, ()):
            if not (own and self._holding.ends(met.edge)):
                found[met.neighbor] = found.get(met.neighbor, 0.0) + met.stretch.length
        ground = found.pop(GROUND, 0.0)
        for edge, more in self._overruled(zone_id):
            held = own and self._holding.ends(edge)
            if edge.neighbor == GROUND:
                ground += 0.0 if held else more
                continue
            ground -= more
            if not held:
                found[edge.neighbor] = found.get(edge.neighbor, 0.0) + more
        ground -= sum(length for _title, length in self._in_part(zone_id)) if own else 0.0
        return {**found, GROUND: max(0.0, ground)}

    def _overruled(self, zone_id: UUID) -> Iterator[tuple[Edge, float]]:
        """Edges of a zone whose length is typed, with how much longer [ft] that is than drawn."""
        for edge in self._typed.get(zone_id, ()):
            drawn = self.edge_drawn(edge)
            yield edge, (edge.length or 0.0) - (drawn.length if drawn else 0.0)

    @cached_property
    def _typed(self) -> Mapping[UUID, tuple[Edge, ...]]:
        found: dict[UUID, tuple[Edge, ...]] = {}
        for edge in self.job.edges:
            if edge.length is not None:
                found[edge.zone_id] = (*found.get(edge.zone_id, ()), edge)
        return found

    def _kind(self, neighbor: str) -> str:
        return neighbor if neighbor in ("house", "lot", "ground", "wall") else "zone"


def _far(zone_id: UUID) -> float:
    """How far [ft] the outline of a zone may grow."""
    return max(USUAL, _FARTHEST.get(zone_id.int) or 0.0)
