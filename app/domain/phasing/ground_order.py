"""Later work that would tear up earlier work: lines under finished surfaces, demolition, footings through a surface."""

from collections.abc import Iterator, Mapping
from uuid import UUID

from app.domain.basis import Basis
from app.domain.findings import Finding, Severity, in_order
from app.domain.job import Assigned, Fate, Feature, Job, Run, RunKind, Zone, only_included, phase_of
from app.domain.plan.between import contains, overlap
from app.domain.plan.outline import Outline
from app.domain.takeoff.buried import runs_below
from app.domain.takeoff.measures import zone_title

TEARS_UP = 1.0  # sq ft, or ft: less in common is drawing noise
BURIED = frozenset({RunKind.CONDUIT, RunKind.PIPE, RunKind.DRAIN, RunKind.GAS})


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
