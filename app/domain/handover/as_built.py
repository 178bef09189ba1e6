"""As built: what lies in the ground, batches, pictures of what was covered, what differs from the signed plan."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from app.domain.basis import Basis
from app.domain.handover.built import built_works
from app.domain.job import BuiltNote, Delivery, Feature, Job, Photo, Run, Zone, only_included
from app.domain.plan.measures import area
from app.domain.plan.open_lines import length_of
from app.domain.takeoff.buried import IN_THE_GROUND
from app.domain.units import System, format_area, format_length

POINTS = frozenset({"irrigation", "lighting and power", "drainage", "cooking", "fire", "water"})  # groups of recipes
NEAR = 0.25  # ft, and sq ft: a change below it is the same place
Words = Callable[[float], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuriedThing:
    """A line or a point with something below ground. Lengths in ft; `x`, `y` from the plan's origin."""

    key: str
    kind: str
    title: str
    letter: str
    built_as: tuple[str, ...]
    length: float | None
    x: float | None
    y: float | None
    depth: float | None
    notes: tuple[BuiltNote, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """A batch as it came, or as somebody noted it."""

    material: str
    batch: str
    where: str
    came_on: str  # ISO day


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBuilt:
    """All that the as-built sheet says beside the drawing."""

    lines: tuple[BuriedThing, ...]
    points: tuple[BuriedThing, ...]
    other_notes: tuple[tuple[str, BuiltNote], ...]  # of zones and the whole job, with the place in words
    batches: tuple[Batch, ...]
    covered: tuple[Photo, ...]
    differs: tuple[str, ...]

    @property
    def told(self) -> tuple[tuple[str, BuiltNote], ...]:
        """The other notes that say more than a batch."""
        return tuple((place, one) for place, one in self.other_notes if one.words or one.depth is not None)


def as_built(job: Job, basis: Basis, signed: Job | None, system: System) -> AsBuilt:
    """What was built, from the plan as it stands now with notes and pictures; `signed` is the plan that was agreed."""
    job = only_included(job)
    notes: dict[str, list[BuiltNote]] = {}
    for one in job.built_notes:
        notes.setdefault(one.thing, []).append(one)
    built: dict[str, list[str]] = {}
    groups: dict[str, set[str]] = {}
    for work in built_works(job, basis):
        built.setdefault(work.thing, []).append(work.title)
        groups.setdefault(work.thing, set()).update(basis.assemblies[key].group for key in work.recipes)
    things = _Things(job, notes, built)
    shown = {str(one.id) for one in job.runs} | {str(one.id) for one in job.features}
    return AsBuilt(
        lines=tuple(things.line(run) for run in job.runs if run.kind in IN_THE_GROUND),
        points=tuple(things.point(one) for one in job.features if not POINTS.isdisjoint(groups.get(str(one.id), ()))),
        other_notes=tuple((things.place(key), one) for key, held in notes.items() if key not in shown for one in held),
        batches=tuple(_batches(job.deliveries, job.built_notes, basis, things.place)),
        covered=tuple(one for one in job.photos if one.hides),
        differs=tuple(differences(only_included(signed), job, basis, system)) if signed else (),
    )


class _Things:
    """Things of a job put beside their notes."""

    def __init__(self, job: Job, notes: Mapping[str, Sequence[BuiltNote]], built: Mapping[str, Sequence[str]]) -> None:
        self.notes, self.built = notes, built
        self.zones: dict[UUID | None, Zone] = {zone.id: zone for zone in job.zones}
        self.titles = {str(zone.id): f"{zone.letter} {zone.title}".strip() for zone in job.zones}
        self.titles |= {str(one.id): one.title or "a thing" for one in job.features}
        self.titles |= {str(one.id): one.title or one.kind.value for one in job.runs}

    def line(self, run: Run) -> BuriedThing:
        """A run in the ground."""
        drawn = length_of(run.points, run.rises) if len(run.points) > 1 else None
        at = run.points[0] if run.points else (None, None)
        length = run.length if run.length is not None else drawn
        return self._thing(run, run.kind.value, length, at)

    def point(self, one: Feature) -> BuriedThing:
        """A thing with a line to it."""
        return self._thing(one, "", None, (one.x, one.y))

    def place(self, key: str) -> str:
        """What a place is called."""
        return self.titles.get(key, "The whole job")

    def _thing(
        self, one: Run | Feature, kind: str, length: float | None, at: tuple[float | None, float | None]
    ) -> BuriedThing:
        key = str(one.id)
        held = tuple(self.notes.get(key, ()))
        zone = self.zones.get(one.zone_id)
        return BuriedThing(
            key=key,
            kind=kind,
            title=one.title,
            letter=zone.letter if zone else "",
            built_as=tuple(self.built.get(key, ())),
            length=length,
            x=at[0],
            y=at[1],
            depth=next((note.depth for note in reversed(held) if note.depth is not None), None),
            notes=held,
        )


def _batches(
    deliveries: Iterable[Delivery], notes: Iterable[BuiltNote], basis: Basis, place: Callable[[str], str]
) -> Iterator[Batch]:
    for one in sorted(deliveries, key=lambda it: (str(it.day), str(it.id))):
        for line in one.lines:
            if line.batch:
                yield Batch(material=_title(basis, line.material), batch=line.batch, where="", came_on=str(one.day))
    for note in sorted(notes, key=lambda it: (it.day, str(it.id))):
        if note.batch:
            where = place(note.thing)
            yield Batch(material=_title(basis, note.material), batch=note.batch, where=where, came_on=str(note.day))


def _title(basis: Basis, key: str) -> str:
    return basis.materials[key].title if key in basis.materials else key


def differences(signed: Job, built: Job, basis: Basis, system: System) -> Iterator[str]:
    """What the yard has otherwise than the plan that was signed, a sentence each, in the order of the plan."""
    told: Words = lambda feet: format_length(feet, system)  # noqa: E731 - one formatter for all
    yield from _of_zones(signed, built, basis, system)
    yield from _of_things("Line", signed.runs, built.runs, told)
    yield from _of_things("Thing", signed.features, built.features, told)


def _of_zones(signed: Job, built: Job, basis: Basis, system: System) -> Iterator[str]:
    before, after = {one.id: one for one in signed.zones}, {one.id: one for one in built.zones}
    for zone in built.zones:
        if zone.id not in before:
            yield f"Zone {zone.letter} {zone.title}: not in the signed plan."
    for zone in signed.zones:
        if zone.id not in after:
            yield f"Zone {zone.letter} {zone.title}: signed, not built."
            continue
        was, now = signed.chosen(zone), built.chosen(after[zone.id])
        named = f"Zone {zone.letter} {zone.title}"
        if was and now and was.outline != now.outline:
            sizes = [area(one.outline) if one.outline else 0.0 for one in (was, now)]
            if abs(sizes[0] - sizes[1]) > NEAR:
                yield f"{named}: {format_area(sizes[1], system)} built, {format_area(sizes[0], system)} signed."
            else:
                yield f"{named}: its outline lies otherwise, with the same area."
        if was and now and was.level != now.level and now.level is not None and was.level is not None:
            levels = [format_length(one, system) for one in (now.level, was.level)]
            yield f"{named}: its level is {levels[0]}, signed {levels[1]}."
        if was and now:
            yield from _of_works(named, _works(signed, was.id, basis), _works(built, now.id, basis))


def _works(job: Job, place: UUID, basis: Basis) -> Sequence[str]:
    """What stands on a place, with the finishes that were chosen."""
    found = []
    for work in job.works:
        if work.place_id == place and work.assembly in basis.assemblies:
            finishes = ", ".join(_title(basis, key) for _, key in sorted(work.finishes.items()))
            found.append(
                (work.title or basis.assemblies[work.assembly].title) + (f" in {finishes}" if finishes else "")
            )
    return found


def _of_works(named: str, was: Sequence[str], now: Sequence[str]) -> Iterator[str]:
    for one in now:
        if one not in was:
            yield f"{named}: built as {one}."
    for one in was:
        if one not in now:
            yield f"{named}: signed as {one}, not built so."


def _of_things(kind: str, signed: Sequence[Any], built: Sequence[Any], told: Words) -> Iterator[str]:
    before, after = {one.id: one for one in signed}, {one.id: one for one in built}
    for one in built:
        was = before.get(one.id)
        named = f"{kind} “{one.title}”" if one.title else kind
        if was is None:
            yield f"{named}: not in the signed plan."
        elif isinstance(one, Run):
            yield from _moved_line(named, was, one, told)
        elif isinstance(one, Feature):
            yield from _moved_point(named, was, one, told)
    for one in signed:
        if one.id not in after:
            yield f"{kind} “{one.title}”: signed, not built."


def _moved_line(named: str, was: Run, now: Run, told: Words) -> Iterator[str]:
    if was.points != now.points or was.rises != now.rises:
        yield f"{named}: runs otherwise than drawn in the signed plan."
    elif was.length != now.length and now.length is not None:
        yield f"{named}: {told(now.length)} long" + (f", signed {told(was.length)}." if was.length else ".")


def _moved_point(named: str, was: Feature, now: Feature, told: Words) -> Iterator[str]:
    if was.count != now.count:
        yield f"{named}: {now.count} built, {was.count} signed."
    if None not in (was.x, was.y, now.x, now.y):
        moved = ((now.x - was.x) ** 2 + (now.y - was.y) ** 2) ** 0.5  # type: ignore[operator]  # none of them is None
        if moved > NEAR:
            yield f"{named}: stands {told(moved)} from where the signed plan has it."
