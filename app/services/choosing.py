"""Choosing among what is offered: options made and ticked, packages made and taken, each as one change."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4

from app.domain.change import Edit
from app.domain.choices import MOST_PACKAGES, option_title
from app.domain.errors import BadValue, Refused
from app.domain.job import Job, Option, Package
from app.domain.job.choosing import base_ways, by_itself, ticked, with_package
from app.services import jobs, revisions
from app.services.changes import Applied
from app.services.jobs import OpenJob, Order, changed, made
from app.services.later_options import may_tick
from app.services.office import Office
from app.services.sheets import sheet
from app.services.zones import find, next_position

LONGEST_INITIALS = 6


def add_option(office: Office, job_id: UUID, values: Mapping[str, Any], order: Order) -> Applied:
    """Offer zones, lines and things, or one other way to do a zone, as an option. It stays in the price for now.

    Raises: BadValue where nothing is named, both sorts are, the way is the chosen one, or something is held already.
    """
    job = jobs.open_job(office, job_id).job
    ways = {one.id for one in job.alternatives}
    named: Sequence[UUID] = values.get("thing_ids") or ()
    things = tuple(one for one in named if one not in ways)
    way = _way_of(job, [one for one in named if one in ways], things)
    option = Option(
        id=uuid4(),
        title=values.get("title") or "",
        words=values.get("words") or "",
        thing_ids=things,
        way_id=way,
        taken=way is None,
        position=next_position(job.options),
    )
    what = f"Option: {option_title(job, option)}"
    return jobs.save(office, job_id, (made("option", option),), replace(order, what=what[:80]))


def _way_of(job: Job, ways: Sequence[UUID], things: Sequence[UUID]) -> UUID | None:
    held = {one for option in job.options for one in (*option.thing_ids, option.way_id)}
    if not ways and not things:
        raise BadValue("Tick what the option is: zones, lines and things, or one other way.", field="thing_ids")
    if len(ways) > 1 or (ways and things):
        raise BadValue("Another way to do a zone is an option of its own. Make two options of it.", field="thing_ids")
    if any(one in held for one in (*ways, *things)):
        raise BadValue("One of these is part of an option already. Take it out there first.", field="thing_ids")
    chosen = {one.id for one in job.chosen_by_zone().values()}
    if ways and ways[0] in chosen:
        raise BadValue("This way is the chosen one; an option is another way to do the zone.", field="thing_ids")
    return ways[0] if ways else None


def tick(office: Office, job_id: UUID, option_id: UUID, initials: str, *, taken: bool, order: Order) -> Applied:
    """Tick an option, or take the tick out, with the initials of who decides; empty initials are of nobody.

    Of the options that are ways of one zone the others lose their tick. Raises: NotFound.
    """
    opened = jobs.open_job(office, job_id)
    option: Option = find(opened.job.options, option_id, "option")
    if len(initials) > LONGEST_INITIALS:
        raise BadValue(f"Initials are a few letters; {LONGEST_INITIALS} fit.", field="initials")
    today = revisions.today_at(office, opened.job.head.time_zone)
    wanted = ticked(opened.job, option_id, taken=taken)
    decided = {"taken": taken, "initials": initials.upper(), "decided_on": today if initials else None}
    others = [edit for edit in edits_to(opened, wanted) if edit.thing_id != str(option_id)]
    edits = (changed("option", option_id, opened.version("option", option_id), decided), *others)
    what = f"{'Ticked' if taken else 'Not ticked'}: {option_title(opened.job, option)}"
    return jobs.save(office, job_id, edits, replace(order, what=what[:80]))


def tick_at_table(
    office: Office, job_id: UUID, option_id: UUID, initials: str, *, taken: bool, order: Order
) -> Applied:
    """The same by the client: initials say who decided, to have it or to do without.

    Once the proposal is signed an option may still be taken while its printed price holds (`later_options`).
    Raises: BadValue without initials; Refused where it may not be ticked any more.
    """
    if signed_proposal(office, job_id):
        may_tick(office, sheet(office, job_id), option_id)
    if not initials.strip():
        raise BadValue("Type your initials here: a tick counts with them.", field="initials")
    return tick(office, job_id, option_id, initials, taken=taken, order=order)


def signed_proposal(office: Office, job_id: UUID) -> bool:
    """Whether a proposal of the job is signed."""
    known = revisions.of_job(office, job_id)
    return any(one.kind == revisions.PROPOSAL and one.state == "signed" for one in known)


def refuse_when_signed(office: Office, job_id: UUID) -> None:
    """Raises: Refused once a proposal of the job is signed: what changes after that is priced and signed on its own."""
    if signed_proposal(office, job_id):
        raise Refused("The proposal is signed. What changes now is priced and signed as a change to it.")


def edits_to(opened: OpenJob, wanted: Job) -> Iterator[Edit]:
    """The edits of zones and options that make a set the job's own. Who initialed an option before did not this."""
    for now, then in zip(opened.job.zones, wanted.zones, strict=True):
        fields = {name: getattr(then, name) for name in ("left_out", "chosen_id") if _differs(now, then, name)}
        if fields:
            yield changed("zone", now.id, opened.version("zone", now.id), fields)
    for one, other in zip(opened.job.options, wanted.options, strict=True):
        if one.taken is not other.taken:
            undecided = {"taken": other.taken, "initials": "", "decided_on": None}
            yield changed("option", one.id, opened.version("option", one.id), undecided)


def _differs(now: Any, then: Any, name: str) -> bool:
    return bool(getattr(now, name) != getattr(then, name))


def add_package(office: Office, job_id: UUID, title: str, words: str, order: Order) -> Applied:
    """A package of what the job has now: to be changed, and held beside others.

    Raises: Refused beyond the number that fits side by side.
    """
    opened = jobs.open_job(office, job_id)
    job = opened.job
    if len(job.packages) >= MOST_PACKAGES:
        raise Refused(f"{MOST_PACKAGES} packages stand side by side. Take one out to make another.")
    package = Package(
        id=uuid4(),
        title=title,
        words=words,
        zone_ids=tuple(zone.id for zone in by_itself(job) if not zone.left_out),
        way_ids=tuple(way.id for zone in job.zones for way in base_ways(job, zone) if way == job.chosen(zone)),
        option_ids=tuple(option.id for option in job.options if option.taken),
        position=next_position(job.packages),
    )
    return jobs.save(office, job_id, (made("package", package),), replace(order, what=f"Package: {title}"))


def take_package(office: Office, job_id: UUID, package_id: UUID, order: Order) -> Applied:
    """Make a package the job's choice: zones in and out, ways and options in one change.

    Raises: NotFound.
    """
    opened = jobs.open_job(office, job_id)
    package: Package = find(opened.job.packages, package_id, "package")
    return take_set(office, job_id, with_package(opened.job, package), replace(order, what=f"Taken: {package.title}"))


def take_package_at_table(office: Office, job_id: UUID, package_id: UUID, order: Order) -> Applied:
    """The same by the client. Raises: NotFound; Refused once the proposal is signed."""
    refuse_when_signed(office, job_id)
    return take_package(office, job_id, package_id, order)


def take_set(office: Office, job_id: UUID, wanted: Job, order: Order) -> Applied:
    """Make the set of a job as it is wanted the job's own, in one change that undo takes back."""
    return jobs.save(office, job_id, tuple(edits_to(jobs.open_job(office, job_id), wanted)), order)
