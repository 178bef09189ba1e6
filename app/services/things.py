"""Make a thing of any kind in a job: what the form did not say is filled in as the office would."""

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any
from uuid import UUID

from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.errors import BadValue
from app.domain.job import JOB_THINGS, Job, PlaceKind
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order
from app.services.office import Office
from app.services.zones import new_work

BUILT_AS = {"run", "feature"}  # kinds that may be made with a recipe at once


def add_thing(
    office: Office,
    job_id: UUID,
    kind: str,
    thing_id: UUID,
    values: Mapping[str, Any],
    order: Order,
    assembly: str = "",
) -> Applied:
    """Make a thing of typed values; its position is after the last of its kind. With a recipe it is built as that.

    Raises: BadValue where the values do not fit the kind, or nothing there is built by that recipe.
    """
    opened = jobs.open_job(office, job_id)
    job = opened.job
    given = {name: value for name, value in values.items() if value is not None}
    after = to_plain({**_filled_in(job, kind), **given})
    built: tuple[Edit, ...] = ()
    if assembly:
        if kind not in BUILT_AS or assembly not in opened.basis.assemblies:
            raise BadValue("There is no such recipe here (any more). Choose another.", field="assembly")
        built = (jobs.made("work", new_work(opened, PlaceKind(kind), thing_id, assembly)),)
    edit = Edit(kind=kind, thing_id=str(thing_id), version=0, before=None, after=after)
    title = str(given.get("title") or given.get("words") or given.get("event") or kind.replace("_", " "))
    return jobs.save(office, job_id, (edit, *built), replace(order, what=f"New: {title[:60]}"))


def called_by(office: Office, job_id: UUID, assembly: str) -> str:
    """What a recipe of a job is called; empty for one that is not there."""
    known = jobs.open_job(office, job_id).basis.assemblies.get(assembly)
    return known.title if known else ""


def thing_of(office: Office, job_id: UUID, kind: str, thing_id: UUID) -> object | None:
    """A thing as it is now; None for one that is gone."""
    held = getattr(jobs.open_job(office, job_id).job, JOB_THINGS[kind][1])
    return next((one for one in (held if isinstance(held, tuple) else (held,)) if one.id == thing_id), None)


def _filled_in(job: Job, kind: str) -> dict[str, Any]:
    cls, name = JOB_THINGS[kind]
    own = getattr(job, name)
    names = {field.name for field in fields(cls)}
    filled: dict[str, Any] = {}
    if "position" in names:
        filled["position"] = max((thing.position for thing in own), default=-1) + 1
    if kind == "phase":
        filled["number"] = max((phase.number for phase in own), default=0) + 1
    return filled
