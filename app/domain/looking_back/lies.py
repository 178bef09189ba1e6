"""What lies where on a job as it was built: finishes by zone, what they lie on; valves, lights and lines by tapes."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from app.domain.basis import Basis
from app.domain.crew.layout import fixed_points
from app.domain.job import WHOLE_JOB, Job, Run, only_included
from app.domain.ordering.standing import standings
from app.domain.plan.swinging import Fixed, Ties, swing_ties
from app.domain.takeoff.buried import IN_THE_GROUND, runs_below
from app.domain.takeoff.measures import run_length
from app.domain.takeoff.requirements import Requirement
from app.domain.units import format_day

HOUSE = "the house"
Batches = Mapping[tuple[str, str], Sequence[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """A material of a zone: how much of it in place [canonical unit], and its batches where they are known."""

    material: str
    title: str
    role: str
    finish: bool
    amount: float
    unit: str
    batches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneBuilt:
    """A zone, or the job as a whole, with what it is built of; finishes first."""

    letter: str
    title: str
    built: tuple[Built, ...]

    @property
    def finishes(self) -> tuple[Built, ...]:
        """What the client sees."""
        return tuple(one for one in self.built if one.finish)

    @property
    def beneath(self) -> tuple[Built, ...]:
        """All else."""
        return tuple(one for one in self.built if not one.finish)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A thing or the end of a line, and the two tapes that find it; None where it is not drawn or nothing is near."""

    title: str
    zone: str
    ties: Ties | None
    drawn: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBuilt:
    """A buried line: how long [ft], where it begins and ends, and below what it runs [ft]."""

    title: str
    kind: str
    length: float | None
    begins: Place
    ends: Place
    below: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lies:
    """What lies where."""

    zones: tuple[ZoneBuilt, ...]
    things: tuple[Place, ...]
    lines: tuple[LineBuilt, ...]

    @property
    def any_batch(self) -> bool:
        """Whether a batch of anything is known."""
        return any(one.batches for zone in self.zones for one in zone.built)

    @property
    def empty(self) -> bool:
        """Whether nothing is known."""
        return not (self.zones or self.things or self.lines)


def lies(job: Job, basis: Basis, needed: Iterable[Requirement], batches: Batches) -> Lies:
    """What lies where; `batches` by zone letter (empty: it is not said for which) and key of the material."""
    job = only_included(job)
    titles = {str(zone.id): f"{zone.letter} {zone.title}".strip() for zone in job.zones}
    fixed = tuple(fixed_points(job))
    return Lies(
        zones=_zones(job, basis, needed, batches),
        things=tuple(
            _place(one.title or "thing", titles.get(str(one.zone_id), ""), _point(one.x, one.y), fixed)
            for one in job.features
        ),
        lines=tuple(_line(one, job, titles, fixed) for one in job.runs if one.kind in IN_THE_GROUND),
    )


def batches_of(job: Job) -> Batches:
    """The batches that came, as read off the labels, by zone letter and material; a substitute by its name.

    What a receipt says was bought counts, too: by its batch, else by where it was bought.
    """
    found: dict[tuple[str, str], list[str]] = {}
    for standing in standings(job):
        for line in standing.lines:
            came = list(line.batches)
            if line.replaced and line.came > 0:
                came.append(f"came as {line.title}")
            for letter in line.sent.letters or ("",):
                found.setdefault((letter, line.sent.material), []).extend(came)
    letters = {str(zone.id): zone.letter for zone in job.zones}
    for one in job.logged_receipts:
        if one.material:
            where = f"bought at {one.merchant}" if one.merchant else f"bought on {format_day(one.day)}"
            found.setdefault((letters.get(one.zone, ""), one.material), []).append(one.batch or where)
    return {at: tuple(dict.fromkeys(came)) for at, came in found.items() if came}


def _zones(job: Job, basis: Basis, needed: Iterable[Requirement], batches: Batches) -> tuple[ZoneBuilt, ...]:
    held: dict[str, dict[str, list[Requirement]]] = {}
    for one in needed:
        if one.kind == "material" and one.amount > 0:
            held.setdefault(one.zone, {}).setdefault(one.key, []).append(one)
    named = [(str(zone.id), zone.letter, zone.title) for zone in job.zones]
    named.append((WHOLE_JOB, "", ""))
    found = []
    for key, letter, title in named:
        rows = [_built(one, rows, letter, basis, batches) for one, rows in held.get(key, {}).items()]
        if rows:
            rows.sort(key=lambda one: (not one.finish, one.role, one.title))
            found.append(ZoneBuilt(letter=letter, title=title, built=tuple(rows)))
    return tuple(found)


def _built(
    key: str,
    rows: Sequence[Requirement],
    letter: str,
    basis: Basis,
    batches: Batches,
) -> Built:
    material = basis.materials.get(key)
    return Built(
        material=key,
        title=material.title if material else rows[0].label,
        role=rows[0].role,
        finish=material is not None and material.finish,
        amount=fsum(one.amount for one in rows),
        unit=rows[0].dimension.unit,
        batches=tuple(dict.fromkeys((*batches.get((letter, key), ()), *batches.get(("", key), ())))),
    )


def _line(run: Run, job: Job, titles: Mapping[str, str], fixed: Sequence[Fixed]) -> LineBuilt:
    first, last = (run.points[0], run.points[-1]) if run.points else (None, None)
    zone = titles.get(str(run.zone_id), "")
    below = [(titles.get(one.over, HOUSE), one.length) for one in runs_below(job) if one.run.id == run.id]
    return LineBuilt(
        title=run.title or run.kind.value.capitalize(),
        kind=run.kind.value,
        length=run_length(run),
        begins=_place("begins", zone, first, fixed),
        ends=_place("ends", zone, last, fixed),
        below=tuple(below),
    )


def _point(x: float | None, y: float | None) -> tuple[float, float] | None:
    return None if x is None or y is None else (x, y)


def _place(title: str, zone: str, at: tuple[float, float] | None, fixed: Sequence[Fixed]) -> Place:
    return Place(title=title, zone=zone, ties=swing_ties(at, fixed) if at else None, drawn=at is not None)
