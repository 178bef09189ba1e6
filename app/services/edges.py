"""Shared edges: which stretches a zone has, how far their two sides lie apart, what somebody decided about each."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.domain.job import Edge, EdgeChoice, Job, PlaceKind, Work, Zone
from app.domain.plan.arcs import Point
from app.domain.plan.edges import GROUND, HOUSE, LOT, WALL, SharedEdge
from app.domain.plan.levels import Drop
from app.domain.takeoff.meeting import SETTLED, Meeting, meetings, stretches_of
from app.domain.takeoff.thresholds import Doorway
from app.services.jobs import OpenJob

AROUND: Mapping[str, str] = {HOUSE: "house", LOT: "lot line", GROUND: "open ground", WALL: "wall"}


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLine:
    """One stretch as a zone sees it. `length` [ft] as typed, else as drawn; `edge` is there once it was decided.

    `number` counts the stretches with one neighbor from 1; 0: it is the only one. `at` is its middle [ft]; None where
    the edge was only told. `drop` is how far the neighbor lies below.
    """

    neighbor: str
    title: str
    letter: str
    length: float | None
    curved: float
    edge: Edge | None
    works: tuple[Work, ...]
    built_as: tuple[str, ...]  # titles of the recipes on it
    number: int = 0
    at: Point | None = None
    drop: Drop | None = None
    doors: tuple[Doorway, ...] = ()

    @property
    def key(self) -> str:
        """Names the stretch among those of its zone."""
        return f"{self.neighbor}:{self.number}" if self.number else self.neighbor

    @property
    def part(self) -> str:
        """Names the stretch at the end of a measure: `:2`; empty where it is the only one."""
        return f":{self.number}" if self.number else ""

    @property
    def decided(self) -> bool:
        """Whether somebody said what is built here."""
        return self.edge is not None and self.edge.choice is not EdgeChoice.OPEN

    @property
    def must_decide(self) -> bool:
        """Whether it is an open point: between two zones, or at the house."""
        return not self.decided and self.neighbor not in SETTLED

    @property
    def decision(self) -> str:
        """What was decided, as a form sends it: a recipe's key, `nothing`, `open`."""
        if self.works:
            return self.works[0].assembly
        return "nothing" if self.decided else "open"


def edges_of(opened: OpenJob, zone: Zone) -> tuple[EdgeLine, ...]:
    """The stretches of a zone's outline: to other zones first, then house, wall, lot line and open ground."""
    job = opened.job
    drawn = [met for met in meetings(job) if met.zone_id == zone.id]
    counts = {met.neighbor: sum(other.neighbor == met.neighbor for other in drawn) for met in drawn}
    lines: list[EdgeLine] = []
    numbers = dict.fromkeys(counts, 0)
    for met in drawn:
        numbers[met.neighbor] += 1
        lines.append(_drawn(opened, met, numbers[met.neighbor] if counts[met.neighbor] > 1 else 0))
    known = {str(other.id) for other in job.zones} | set(AROUND)
    told = {other_side(edge, zone): edge for edge in job.edges if touches(edge, zone)}
    lines += [_told(opened, key, edge) for key, edge in told.items() if key in known and key not in counts]
    order = tuple(AROUND)
    return tuple(
        sorted(lines, key=lambda one: (one.neighbor in AROUND and order.index(one.neighbor) + 1, one.letter, one.key))
    )


def shared_on_plan(job: Job) -> tuple[SharedEdge, ...]:
    """All stretches where the chosen outlines meet one another, the house, walls, the lot line or open ground."""
    return stretches_of(job)


def touches(edge: Edge, zone: Zone) -> bool:
    """Whether an edge is one of a zone."""
    return edge.zone_id == zone.id or edge.neighbor == str(zone.id)


def other_side(edge: Edge, zone: Zone) -> str:
    """What lies across an edge of a zone."""
    return edge.neighbor if edge.zone_id == zone.id else str(edge.zone_id)


def works_on(job: Job, edge: Edge) -> Iterator[Work]:
    """The works on an edge."""
    return (work for work in job.works if work.place is PlaceKind.EDGE and work.place_id == edge.id)


def title_of(job: Job, neighbor: str) -> tuple[str, str]:
    """Letter and title of what lies across."""
    other = next((zone for zone in job.zones if str(zone.id) == neighbor), None)
    return (other.letter, other.title) if other else ("", AROUND[neighbor])


def _drawn(opened: OpenJob, met: Meeting, number: int) -> EdgeLine:
    edge = met.edge
    alone = edge is not None and (edge.at is not None or not number)
    typed = edge.length if edge is not None and alone else None
    return _line(
        opened,
        met.neighbor,
        edge,
        length=met.stretch.length if typed is None else typed,
        curved=met.stretch.curved_length,
        drawn=(number, met),
    )


def _told(opened: OpenJob, neighbor: str, edge: Edge) -> EdgeLine:
    return _line(opened, neighbor, edge, length=edge.length, curved=edge.curved_length)


def _line(
    opened: OpenJob,
    neighbor: str,
    edge: Edge | None,
    *,
    length: float | None,
    curved: float,
    drawn: tuple[int, Meeting | None] = (0, None),
) -> EdgeLine:
    letter, title = title_of(opened.job, neighbor)
    works = tuple(works_on(opened.job, edge)) if edge else ()
    number, met = drawn
    return EdgeLine(
        neighbor=neighbor,
        title=title,
        letter=letter,
        length=length,
        curved=curved,
        edge=edge,
        works=works,
        built_as=tuple(_title(opened, work) for work in works),
        number=number,
        at=met.stretch.middle if met else None,
        drop=met.drop if met else None,
        doors=met.doors if met else (),
    )


def _title(opened: OpenJob, work: Work) -> str:
    known = opened.basis.assemblies.get(work.assembly)
    return work.title or (known.title if known else work.assembly)


def stretch_at(drawn: Sequence[EdgeLine], key: str) -> EdgeLine | None:
    """The stretch that a key names; the first with its neighbor where the number is none of them."""
    neighbor = key.partition(":")[0]
    with_neighbor = [line for line in drawn if line.neighbor == neighbor]
    return next((line for line in with_neighbor if line.key == key), with_neighbor[0] if with_neighbor else None)
