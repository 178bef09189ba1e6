"""The page Nothing forgotten: what is asked of a job, how each stands, and the three ways to answer."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from uuid import UUID

from app.domain.change import Edit
from app.domain.costing.forgotten import STAYS, Asked, Standing, asked, pricing
from app.domain.errors import BadValue, NotFound
from app.domain.job import Job, PlaceKind, ReminderAnswer, Reply
from app.domain.reminder import Reminder
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import OpenJob, Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet, kept
from app.services.zones import new_work

SHORTEST_REASON = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One reminder as the page shows it: what it comes to where it is priced, what would price it where it is not."""

    asked: Asked
    price_cents: int
    unpriced: bool  # in the job, but something of it has no price yet
    adds: str  # title of the recipe that one tap adds; empty where none can be added
    may_leave: bool  # whether it may be left to the client

    @property
    def key(self) -> str:
        """The reminder's key."""
        return self.asked.reminder.key

    @property
    def standing(self) -> Standing:
        """How it stands."""
        return self.asked.standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Questions:
    """All that is asked, by group, and how many are still open."""

    groups: Sequence[tuple[str, Sequence[Row]]]
    open_count: int
    count: int


def questions(office: Office, view: Sheet) -> Questions:
    """What is asked of a job; kept while the job and its basis stand."""
    return kept(office, ("reminders", view.job.head.id), view.opened, lambda: _questions(view))


def _questions(view: Sheet) -> Questions:
    rows = [_row(view, one) for one in asked(view.job, view.basis, view.estimate.requirements)]
    order = list(dict.fromkeys(one.asked.reminder.group for one in rows))
    rows.sort(key=lambda one: order.index(one.asked.reminder.group))
    return Questions(
        groups=[(title, list(own)) for title, own in groupby(rows, key=lambda one: one.asked.reminder.group)],
        open_count=sum(1 for one in rows if one.standing is Standing.OPEN),
        count=len(rows),
    )


def _row(view: Sheet, one: Asked) -> Row:
    worked = view.estimate
    places = pricing(one.reminder.priced_by, worked.requirements) if one.standing is Standing.PRICED else ()
    recipe = view.basis.assemblies.get(one.reminder.adds)
    return Row(
        asked=one,
        price_cents=sum(worked.selling[at] for at in places),
        unpriced=any(not worked.lines[at].priced for at in places),
        adds=recipe.title if recipe and _places(view.job, recipe.measures, one.reminder) else "",
        may_leave=bool(one.reminder.exclusion),
    )


def _places(job: Job, measures: str, reminder: Reminder) -> list[tuple[PlaceKind, UUID | None]]:
    """Where the recipe of a reminder is placed by one tap."""
    if measures == "job":
        return [(PlaceKind.JOB, None)]
    if measures != "existing":
        return []
    kinds = reminder.asked_by.existing
    return [(PlaceKind.EXISTING, one.id) for one in job.existing if one.kind in kinds and one.fate in STAYS]


def answer(office: Office, job_id: UUID, key: str, told: ReminderAnswer, order: Order) -> Applied:
    """Answer a reminder that nothing prices: not needed, with the reason, or that the client does it, in words.

    Raises: NotFound; BadValue without a reason, or where it cannot be left to the client.
    """
    opened = jobs.open_job(office, job_id)
    reminder = _reminder(opened, key)
    words = told.words.strip() or reminder.exclusion
    if told.reply is Reply.NOT_NEEDED and len(told.reason.strip()) < SHORTEST_REASON:
        raise BadValue(
            "The reason is missing: say why it is not needed here. Type it, then answer again.", field="reason"
        )
    if told.reply is Reply.BY_CLIENT and not reminder.exclusion:
        raise BadValue(f"{reminder.title} cannot be left to the client. {reminder.why}", field="words")
    by_client = told.reply is Reply.BY_CLIENT
    new = replace(told, reminder=key, reason=told.reason.strip(), words=words if by_client else "")
    what = f"{reminder.title}: {'the client does it' if by_client else 'not needed'}"
    edit = _answered(opened, new)
    return jobs.save(office, job_id, (edit,), replace(order, what=what))


def _answered(opened: OpenJob, new: ReminderAnswer) -> Edit:
    """The answer as a new thing, or in place of the one that was given before."""
    known = next((one for one in opened.job.reminder_answers if one.reminder == new.reminder), None)
    if known is None:
        return made("reminder_answer", new)
    fields = {"reply": new.reply, "reason": new.reason, "words": new.words}
    return changed("reminder_answer", known.id, opened.version("reminder_answer", known.id), fields)


def ask_again(office: Office, job_id: UUID, key: str, order: Order) -> Applied:
    """Take the answer to a reminder back.

    Raises: NotFound.
    """
    opened = jobs.open_job(office, job_id)
    given = [one for one in opened.job.reminder_answers if one.reminder == key]
    if not given:
        raise NotFound("This has no answer (any more). Look at the list again.")
    edits = tuple(edit for one in given for edit in jobs.removal(opened, "reminder_answer", one.id))
    return jobs.save(office, job_id, edits, replace(order, what=f"Asked again: {_reminder(opened, key).title}"))


def price_it(office: Office, job_id: UUID, key: str, order: Order) -> Applied:
    """Add the recipe that prices a reminder: to the whole job, or to each thing in the yard that it is about.

    Raises: NotFound where nothing can be added by itself.
    """
    opened = jobs.open_job(office, job_id)
    reminder = _reminder(opened, key)
    recipe = opened.basis.assemblies.get(reminder.adds)
    there = {(work.place, work.place_id) for work in opened.job.works if work.assembly == reminder.adds}
    places = [place for place in _places(opened.job, recipe.measures, reminder) if place not in there] if recipe else []
    if recipe is None or not places:
        raise NotFound("There is nothing to add for this by itself. Add a recipe on the plan or to the whole job.")
    edits = tuple(made("work", new_work(opened, place, place_id, recipe.key)) for place, place_id in places)
    return jobs.save(office, job_id, edits, replace(order, what=f"Added {recipe.title}"))


def _reminder(opened: OpenJob, key: str) -> Reminder:
    found = opened.basis.reminders.get(key)
    if found is None:
        raise NotFound("This is not asked (any more). Look at the list again.")
    return found
