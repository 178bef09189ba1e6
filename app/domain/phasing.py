"""Phases: what is built when, how the price of a later phase holds, and later work that tears up earlier work."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from app.domain.basis import Basis
from app.domain.findings import Finding, Severity, in_order
from app.domain.job import (
    Existing,
    Fate,
    Feature,
    Firmness,
    Job,
    Phase,
    PlaceKind,
    Run,
    RunKind,
    Work,
    Zone,
    only_included,
)
from app.domain.plan.between import contains, overlap
from app.domain.plan.outline import Outline
from app.domain.takeoff.buried import runs_below
from app.domain.takeoff.measures import zone_title

FAR_AHEAD_DAYS = 60  # a start further ahead is offered as a range unless somebody says otherwise
TEARS_UP = 1.0  # sq ft, or ft: less in common is drawing noise
BURIED = frozenset({RunKind.CONDUIT, RunKind.PIPE, RunKind.DRAIN, RunKind.GAS})
Assigned = Zone | Run | Feature | Existing


@dataclass(frozen=True, slots=True)
class PhaseContent:
    """A phase with what is built in it."""

    phase: Phase
    zones: tuple[Zone, ...]
    runs: tuple[Run, ...]
    features: tuple[Feature, ...]
    existing: tuple[Existing, ...]
    works: tuple[Work, ...]  # works of the whole job, and works moved to this phase by themselves


def suggested_firmness(start: date | None, today: date) -> Firmness:
    """How the price of a phase holds unless somebody says otherwise: a range when it starts over 60 days out.

    >>> suggested_firmness(date(2027, 6, 1), date(2027, 4, 2)), suggested_firmness(date(2027, 6, 2), date(2027, 4, 2))
    (<Firmness.FIRM: 'firm'>, <Firmness.RANGE: 'range'>)
    """
    return Firmness.RANGE if start is not None and (start - today).days > FAR_AHEAD_DAYS else Firmness.FIRM


def in_number_order(job: Job) -> tuple[Phase, ...]:
    """The phases by number."""
    return tuple(sorted(job.phases, key=lambda phase: (phase.number, str(phase.id))))


def phase_of(job: Job, thing: Assigned) -> UUID | None:
    """The phase a thing is built in: its own, else its zone's, else the first."""
    known = {phase.id for phase in job.phases}
    own = thing.phase_id if thing.phase_id in known else None
    zone_id = getattr(thing, "zone_id", None)
    zone = next((one for one in job.zones if one.id == zone_id), None) if zone_id else None
    of_zone = zone.phase_id if zone and zone.phase_id in known else None
    phases = in_number_order(job)
    return own or of_zone or (phases[0].id if phases else None)


def contents(job: Job) -> tuple[PhaseContent, ...]:
    """Every phase by number, with what is built in it. What stays as it is needs no phase."""
    found = []
    for phase in in_number_order(job):

        def here(thing: Assigned, phase: Phase = phase) -> bool:
            return phase_of(job, thing) == phase.id

        found.append(
            PhaseContent(
                phase=phase,
                zones=tuple(filter(here, job.zones)),
                runs=tuple(filter(here, job.runs)),
                features=tuple(filter(here, job.features)),
                existing=tuple(one for one in job.existing if one.fate is not Fate.STAYS and here(one)),
                works=tuple(_works(job, phase.id)),
            )
        )
    return tuple(found)


def _works(job: Job, phase_id: UUID) -> Iterator[Work]:
    phases = in_number_order(job)
    for work in job.works:
        phase = work.phase_id or (phases[0].id if work.place is PlaceKind.JOB and phases else None)
        if phase == phase_id:
            yield work


def repeats(basis: Basis) -> Mapping[str, str]:
    """What comes again with every phase, by recipe key: recipes whose amounts count the trips."""
    found = {}
    for key, assembly in basis.assemblies.items():
        amounts = [part.amount for part in assembly.parts] + [task.amount for task in assembly.tasks]
        if any("trips" in amount for amount in amounts):
            found[key] = assembly.title
    return found


def ground_order(job: Job, basis: Basis) -> tuple[Finding, ...]:
    """Later work that would tear up earlier work: lines under finished surfaces, demolition below what is built."""
    job = only_included(job)
    numbers = {phase.id: phase.number for phase in job.phases}
    if len(numbers) < 2:
        return ()
    order = _Order(job, basis, numbers)
    return in_order((*order.lines(), *order.demolition(), *order.features_under()))


class _Order:
    """The numbers of the phases in which the things of one job are built."""

    def __init__(self, job: Job, basis: Basis, numbers: Mapping[UUID, int]) -> None:
        self.job = job
        self.basis = basis
        self.numbers = numbers
        chosen = ((zone, job.chosen(zone)) for zone in job.zones)
        self.outlines = [(zone, one.outline) for zone, one in chosen if one and one.outline and self.surfaced(one.id)]

    def surfaced(self, alternative_id: UUID) -> bool:
        """Whether a finished surface is built on an alternative."""
        works = (work for work in self.job.works if work.place_id == alternative_id)
        recipes = (self.basis.assemblies.get(work.assembly) for work in works)
        return any(one is not None and one.group == "surfaces" for one in recipes)

    def number(self, thing: Assigned) -> int:
        """The number of the phase a thing is built in."""
        phase = phase_of(self.job, thing)
        return self.numbers[phase] if phase else 0

    def lines(self) -> Iterator[Finding]:
        """Buried lines below a surface that is laid in an earlier phase."""
        surfaced = {str(zone.id): zone for zone, _ in self.outlines}
        for one in runs_below(self.job):
            run, zone = one.run, surfaced.get(one.over)
            if zone is None or run.kind not in BURIED or one.length <= TEARS_UP:
                continue
            if self.number(run) > self.number(zone):
                title = run.title or run.kind.value
                yield self._torn(title, f"run:{run.id}", (run, zone), f"{one.length:.0f} ft below")

    def demolition(self) -> Iterator[Finding]:
        """Things that go after something was built on their ground."""
        for thing in self.job.existing:
            if thing.fate not in {Fate.GOES, Fate.MOVES} or thing.outline is None:
                continue
            for zone, outline in self._zones():
                common = overlap(thing.outline, outline)
                if common > TEARS_UP and self.number(thing) > self.number(zone):
                    yield Finding(
                        rule="demolition-late",
                        severity=Severity.WARN,
                        where=f"existing:{thing.id}",
                        what=f"{thing.title or thing.kind} goes in phase {self.number(thing)}, "
                        f"after {zone_title(zone)} was built on its ground.",
                        measured=f"phase {self.number(thing)}, {common:.0f} sq ft below {zone_title(zone)}",
                        limit=f"phase {self.number(zone)} or earlier",
                        remedy="Move it to the earlier phase.",
                    )

    def features_under(self) -> Iterator[Finding]:
        """Features that stand on a surface and are built after it: their footing opens it again."""
        for feature in self.job.features:
            if feature.x is None or feature.y is None or not self._digs(feature):
                continue
            for zone, outline in self.outlines:
                if contains(outline, (feature.x, feature.y)) and self.number(feature) > self.number(zone):
                    title = feature.title or "Feature"
                    yield self._torn(title, f"feature:{feature.id}", (feature, zone), "on")

    def _zones(self) -> Iterator[tuple[Zone, Outline]]:
        for zone in self.job.zones:
            chosen = self.job.chosen(zone)
            if chosen and chosen.outline and any(work.place_id == chosen.id for work in self.job.works):
                yield zone, chosen.outline

    def _digs(self, feature: Feature) -> bool:
        recipes = (self.basis.assemblies.get(work.assembly) for work in self.job.works if work.place_id == feature.id)
        return any(one is not None and "dig" in one.cautions for one in recipes)

    def _torn(self, title: str, where: str, things: tuple[Run | Feature, Zone], measured: str) -> Finding:
        late, zone = things
        return Finding(
            rule="torn-up",
            severity=Severity.WARN,
            where=where,
            what=f"{title} comes in phase {self.number(late)}, below or through {zone_title(zone)}, "
            f"which is finished in phase {self.number(zone)}.",
            measured=f"phase {self.number(late)}, {measured} {zone_title(zone)}",
            limit=f"phase {self.number(zone)} or earlier",
            remedy="Build it in the earlier phase, lay a sleeve below the surface then, or price opening it again.",
        )
