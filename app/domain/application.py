"""What goes with an application to a town or an association: hard surface before and after, heights, falls, drains.

Facts of the plan and the site as typed, never a statement that they comply. No money.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from app.domain.basis import Basis
from app.domain.checks.setbacks import Nearest, nearest_by_row
from app.domain.checks.surfaces import hard_after
from app.domain.checks.yard import Placed, Yard
from app.domain.job import Job, RunKind
from app.domain.plan.measures import area
from app.domain.takeoff.measures import run_length, zone_title

RISING = frozenset({RunKind.WALL, RunKind.FENCE})  # of lines; others but those of no kind lie in the ground
STANDING = frozenset({"walls and steps", "structures", "cooking", "fire", "water"})  # groups of what rises


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A new hard surface: which place, built as what, how large [sq ft]."""

    place: str
    built: str
    area: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Hard surface of the lot [sq ft] before and after, and the share that is allowed; None where it is not known."""

    lot: float | None
    before: float | None
    new: tuple[Surface, ...]
    after: float
    limit: float | None

    @property
    def gone(self) -> float:
        """Hard surface that is taken out [sq ft]."""
        return max(0.0, (self.before or 0.0) + sum(one.area for one in self.new) - self.after)

    @property
    def share_before(self) -> float | None:
        """Today's share of the lot."""
        return self.before / self.lot if self.before is not None and self.lot else None

    @property
    def share_after(self) -> float | None:
        """The share of the lot after the work; None without the lot's area or today's hard surface."""
        return self.after / self.lot if self.before is not None and self.lot else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """Something that rises: what, how high [ft] above the ground, and from the bottom of what is buried, if known."""

    place: str
    built: str
    height: float | None
    from_bottom: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Runoff:
    """Where water goes: a surface with its fall [rise over run] and the words for where to, or a drain [ft]."""

    place: str
    fall: float | None = None
    toward: str = ""
    length: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Application:
    """The figures of one yard for whoever decides."""

    coverage: Coverage
    setbacks: tuple[Nearest, ...]
    heights: tuple[Height, ...]
    runoff: tuple[Runoff, ...]


def application(job: Job, basis: Basis) -> Application:
    """The figures of a job's plan that towns and associations ask for."""
    yard = Yard(job, basis)
    return Application(
        coverage=_coverage(yard),
        setbacks=nearest_by_row(yard),
        heights=tuple(_heights(yard)),
        runoff=tuple(_runoff(yard)),
    )


def _coverage(yard: Yard) -> Coverage:
    site = yard.job.site
    new = tuple(
        Surface(place=zone_title(yard.zones[key]), built=placed.title, area=area(yard.outlines[key]))
        for key, placed in yard.hard.items()
        if key in yard.outlines
    )
    lot = site.lot_area if site.lot_area is not None else area(site.lot) if site.lot else None
    return Coverage(lot=lot, before=site.coverage_before, new=new, after=hard_after(yard), limit=site.coverage_limit)


def _heights(yard: Yard) -> Iterator[Height]:
    """What rises above the ground, in the order of the plan."""
    runs = {f"run:{run.id}": run for run in yard.job.runs}
    features = {f"feature:{one.id}": one for one in yard.job.features}
    for placed in yard.placed:
        run, feature = runs.get(placed.where), features.get(placed.where)
        if run is None and feature is None:
            continue
        rises = placed.assembly.group in STANDING and (run is None or run.kind is RunKind.OTHER)
        if not rises and (run is None or run.kind not in RISING):
            continue
        typed = run.height if run else feature.height if feature else None
        height = typed if typed is not None else yard.parameter(placed, "high")
        yield Height(
            place=placed.place, built=placed.title, height=height, from_bottom=_from_bottom(yard, placed, height)
        )


def _from_bottom(yard: Yard, placed: Placed, height: float | None) -> float | None:
    buried = yard.parameter(placed, "buried")
    return height + buried if height is not None and buried else None


def _runoff(yard: Yard) -> Iterator[Runoff]:
    for zone_id in yard.hard:
        way = yard.chosen[zone_id]
        yield Runoff(place=zone_title(yard.zones[zone_id]), fall=way.fall, toward=way.fall_toward)
    for run in yard.job.runs:
        if run.kind is RunKind.DRAIN:
            yield Runoff(place=run.title or "Drain", length=run_length(run))
