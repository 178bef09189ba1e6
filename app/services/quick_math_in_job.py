"""An answer of quick math put where it belongs in a job: numbers of a recipe, a new thing with it, or a note."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from app.db.repositories.things import JobLine
from app.domain.basis import Assembly, Basis
from app.domain.change import Edit
from app.domain.errors import BadValue, NotFound
from app.domain.job import Alternative, Feature, Job, PlaceKind, Run, RunKind, Work
from app.domain.trades.calculation import Answer, Calculation, Target
from app.domain.units import AREA, LENGTH, RATIO, VOLUME, WEIGHT, Dimension
from app.services import jobs
from app.services.changes import Applied
from app.services.field import BUILT, LONGEST_NOTE
from app.services.home import every_job
from app.services.jobs import OpenJob, Order, changed, made
from app.services.office import Office
from app.services.parameters import formula_of
from app.services.quick_math import QuickSheet
from app.services.revisions import today_at
from app.services.zones import find, new_work, next_position

NOTE = "note"
_WRITTEN: Mapping[Dimension, str] = {AREA: "*foot**2", VOLUME: "*foot**3", WEIGHT: "*lb", RATIO: ""}
_THINGS: Mapping[str, PlaceKind] = {"feature": PlaceKind.FEATURE, "run": PlaceKind.RUN}


@dataclass(frozen=True, slots=True, kw_only=True)
class Goes:
    """A place of a job that an answer can go to: the note, a work, a new thing; what it would set there."""

    key: str
    title: str
    sets: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class JobChoice:
    """A job to choose."""

    id: str
    title: str


def job_choices(office: Office, *, ours: bool) -> tuple[JobChoice, ...]:
    """The jobs an answer can go into, the newest first, with their clients; in the yard those built, without."""
    lines = [one for one in reversed(every_job(office)) if ours or one.stage in BUILT]

    def told(one: JobLine) -> str:
        return ", ".join(part for part in (f"{one.number} {one.title}", one.client if ours else "", one.town) if part)

    return tuple(JobChoice(id=one.job_id, title=told(one)) for one in lines[:200])


def places(office: Office, sheet: QuickSheet, job_id: UUID, *, ours: bool) -> tuple[Job, tuple[Goes, ...]]:
    """The job, and where in it the answer may go: the note last. Raises: NotFound."""
    opened = _opened(office, job_id, ours=ours)
    found = list(_recipes(opened, sheet.calculation)) if ours else []
    return opened.job, (*found, Goes(key=NOTE, title="A line in the job's own note"))


def _opened(office: Office, job_id: UUID, *, ours: bool) -> OpenJob:
    opened = jobs.open_job(office, job_id)
    if not ours and opened.job.head.stage not in BUILT:
        raise NotFound("No such job is being built. The office moves a job here once it is signed.")
    return opened


def _recipes(opened: OpenJob, one: Calculation) -> Iterator[Goes]:
    if one.sets_fall:
        yield from _falls(opened.job)
    for target in one.targets:
        recipe = opened.basis.assemblies.get(target.assembly)
        if recipe is None:
            continue
        sets = tuple(recipe.parameters[name].label for name in target.parameters if name in recipe.parameters)
        there = [one for one in opened.job.works if one.assembly == target.assembly and target.parameters]
        named = [_named(opened.job, work, recipe) for work in there]
        for place, (work, title) in enumerate(zip(there, named, strict=True)):
            alike = f" ({named[:place].count(title) + 1} of {named.count(title)})" if named.count(title) > 1 else ""
            yield Goes(key=f"work:{work.id}", title=f"{title}{alike}", sets=sets)
        if target.new and recipe.measures in _THINGS:
            yield Goes(key=f"new:{target.assembly}", title=f"{recipe.title}, new in this job", sets=sets)


def _falls(job: Job) -> Iterator[Goes]:
    """The chosen ways of zones: each has the fall of its finished surface."""
    ways = {one.id: one for one in job.alternatives}
    for zone in job.zones:
        if zone.chosen_id in ways:
            yield Goes(key=f"fall:{zone.chosen_id}", title=f"{zone.letter} {zone.title}".strip(), sets=("fall",))


def _named(job: Job, work: Work, recipe: Assembly) -> str:
    things: tuple[Any, ...] = (*job.alternatives, *job.runs, *job.features, *job.edges)
    thing = next((one for one in things if one.id == work.place_id), None)
    zone_id = getattr(thing, "zone_id", None)
    zone = next((one for one in job.zones if one.id == zone_id), None)
    where = f"{zone.letter} {zone.title}".strip() if zone else ""
    own = getattr(thing, "title", "")
    return ", ".join(dict.fromkeys(part for part in (work.title or recipe.title, own, where) if part))


def add(office: Office, sheet: QuickSheet, job_id: UUID, where: str, order: Order, *, ours: bool) -> Applied | None:
    """Put an answer into a job, as one change. None where this change was saved before.

    Raises: BadValue for a place there is not, or a number the recipe does not take; NotFound.
    """
    opened = _opened(office, job_id, ours=ours)
    if jobs.is_saved(office, order.change_id):
        return None
    if sheet.answer is None:
        raise BadValue("There is no answer to put into the job yet. Look at what was typed.")
    kind, _, which = where.partition(":")
    what = ", ".join((sheet.calculation.title, *(one.edition for one in sheet.editions)))
    if kind == NOTE:
        edits: tuple[Edit, ...] = (_note(office, opened, sheet.in_a_line),)
    elif kind in _PUT and ours:
        edits = _PUT[kind](opened, sheet.answer, which, order.change_id)
    else:
        raise BadValue("Choose where in the job it goes.", field="where")
    return jobs.save(office, job_id, edits, replace(order, what=f"Quick math: {what}"[:90]))


def _note(office: Office, opened: OpenJob, words: str) -> Edit:
    head = opened.job.head
    day = today_at(office, head.time_zone)
    line = f"{day:%b} {day.day}, {office.who()}: {words[:LONGEST_NOTE]}"
    whole = "\n".join(part for part in (head.private_note, line) if part)
    return changed("job", head.id, opened.version("job", head.id), {"private_note": whole})


def _into_work(opened: OpenJob, answer: Answer, which: str, _change_id: UUID) -> tuple[Edit, ...]:
    work: Work = find(opened.job.works, which, "piece of work")
    target = _target(answer.calculation, work.assembly)
    parameters = _parameters(opened.basis, work, target, answer)
    return (changed("work", work.id, opened.version("work", work.id), {"parameters": parameters}),)


def focus_of(office: Office, job_id: UUID, where: str, change_id: UUID) -> str:
    """What the plan shows of the place an answer went to; empty for what it shows nothing of."""
    job = jobs.open_job(office, job_id).job
    kind, _, which = where.partition(":")
    work = next((one for one in job.works if kind == "work" and str(one.id) == which), None)
    way_id = which if kind == "fall" else str(work.place_id) if work else ""
    way = next((one for one in job.alternatives if str(one.id) == way_id), None)
    if way is not None:
        return f"zone:{way.zone_id}"
    thing_id = str(uuid5(change_id, "thing")) if kind == "new" else way_id
    found = {str(one.id): "run" for one in job.runs} | {str(one.id): "feature" for one in job.features}
    return f"{found[thing_id]}:{thing_id}" if thing_id in found else ""


def _as_new(opened: OpenJob, answer: Answer, which: str, change_id: UUID) -> tuple[Edit, ...]:
    target = _target(answer.calculation, which)
    recipe = opened.basis.assemblies.get(which)
    if recipe is None or not target.new or recipe.measures not in _THINGS:
        raise BadValue("Choose where in the job it goes.", field="where")
    sizes = {name: answer.values[value] for name, value in target.sizes.items()}
    thing: Feature | Run
    if recipe.measures == "run":
        thing = Run(
            id=uuid5(change_id, "thing"),
            title=recipe.title,
            kind=RunKind(target.run_kind),
            position=next_position(opened.job.runs),
            **sizes,
        )
    else:
        thing = Feature(
            id=uuid5(change_id, "thing"), title=recipe.title, position=next_position(opened.job.features), **sizes
        )
    work = new_work(opened, _THINGS[recipe.measures], thing.id, which)
    work = replace(work, parameters=_parameters(opened.basis, work, target, answer))
    return made(recipe.measures, thing), made("work", work)


def _as_fall(opened: OpenJob, answer: Answer, which: str, _change_id: UUID) -> tuple[Edit, ...]:
    name = answer.calculation.sets_fall
    if not name:
        raise BadValue("This answer is no fall. Choose where in the job it goes.", field="where")
    way: Alternative = find(opened.job.alternatives, which, "way to do a zone")
    fields = {"fall": round(answer.values[name], 6)}
    return (changed("alternative", way.id, opened.version("alternative", way.id), fields),)


_PUT: Mapping[str, Callable[[OpenJob, Answer, str, UUID], tuple[Edit, ...]]] = {
    "work": _into_work,
    "new": _as_new,
    "fall": _as_fall,
}


def _target(one: Calculation, assembly: str) -> Target:
    found = next((target for target in one.targets if target.assembly == assembly), None)
    if found is None:
        raise BadValue("This recipe does not take this answer. Choose where in the job it goes.", field="where")
    return found


def _parameters(basis: Basis, work: Work, target: Target, answer: Answer) -> Mapping[str, str]:
    """The work's numbers with those of the answer, each checked as if it had been typed."""
    recipe = basis.assemblies.get(work.assembly)
    if recipe is None:
        raise NotFound("The library has no such recipe (any more).")
    set_so_far = work
    for name, value in target.parameters.items():
        if name in recipe.parameters:
            written = _written(answer, value)
            formula = formula_of(basis, set_so_far, recipe, name, written)
            set_so_far = replace(set_so_far, parameters={**set_so_far.parameters, name: formula})
    return set_so_far.parameters


def _written(answer: Answer, name: str) -> str:
    """A value as a formula: lengths in inches, the rest in canonical units."""
    quantity, value = answer.calculation.quantity_of(name), answer.values[name]
    dimension = quantity.dimension if quantity else None
    if dimension == LENGTH:
        return f"{round(value * 12, 6):.12g}*inch"
    return f"{round(value, 6):.12g}{_WRITTEN.get(dimension or RATIO, '')}"
