"""What every job is asked, as the firm wants it: questions of its own, shipped ones reworded or left out, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from app.db.repositories import record
from app.domain.errors import BadValue, NotFound
from app.domain.job import PlaceKind
from app.domain.moments import day_at
from app.domain.reminder import Reminder, Signs
from app.services import book
from app.services.book import Own
from app.services.jobs import Order
from app.services.office import Office
from app.services.prices import free_key

SHORTEST_REASON = 3
FACT_WORDS = {"association": "there is a homeowners' association", "sprinklers": "there are sprinklers"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """A question as the firm has it: who changed it last and on which day, where it is the firm's own or changed."""

    reminder: Reminder
    shipped: Reminder | None
    own: bool
    who: str = ""
    day: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AllAsked:
    """All questions by group, and what a question may hang on."""

    groups: Sequence[tuple[str, Sequence[Asking]]]
    own: Own
    when: Sequence[tuple[str, str]]  # sign → in words
    recipes: Sequence[tuple[str, str]]  # of the whole job: what one tap may add


def all_asked(office: Office) -> AllAsked:
    """Every question of the firm."""
    versions, basis = book.own(office, "reminder"), office.basis()
    rows = [_asking(office, one, versions) for one in basis.reminders.values()]
    order = list(dict.fromkeys(one.reminder.group for one in rows))
    rows.sort(key=lambda one: order.index(one.reminder.group))
    cautions = [(f"cautions:{key}", f"there is work with: {one.title}") for key, one in sorted(office.cautions.items())]
    recipes = sorted((one.title, key) for key, one in basis.assemblies.items())
    return AllAsked(
        groups=[(title, list(own)) for title, own in groupby(rows, key=lambda one: one.reminder.group)],
        own=versions,
        when=[*((f"facts:{key}", words) for key, words in FACT_WORDS.items()), *cautions]
        + [(f"recipes:{key}", f"this is built: {title}") for title, key in recipes],
        recipes=[(key, title) for title, key in recipes if basis.assemblies[key].measures == PlaceKind.JOB.value],
    )


def _asking(office: Office, one: Reminder, versions: Own) -> Asking:
    own = bool(versions.version("reminder", one.key))
    who, day = _last_said(office, one.key) if own else ("", "")
    return Asking(reminder=one, shipped=office.shipped.reminders.get(one.key), own=own, who=who, day=day)


def _last_said(office: Office, key: str) -> tuple[str, str]:
    with office.database.read() as connection:
        found = record.of_thing(connection, office.firm_id, "reminder", key, limit=1)
    if not found:
        return "", ""
    return found[0][0].who, day_at(found[0][0].at, office.firm().time_zone).isoformat()


def reword(office: Office, key: str, version: int, fields: Mapping[str, str], order: Order) -> None:
    """Word a question in the firm's own way, with the reason. Raises: NotFound, BadValue, Stale."""
    now = _known(office, key)
    _refuse_without_reason(fields.get("own_reason", ""), "own_reason")
    book.set_fields(office, "reminder", key, version, fields, replace(order, what=f"Asked otherwise: {now.title}"[:80]))


def switch(office: Office, key: str, version: int, reason: str, order: Order) -> None:
    """Ask a question no more, with the reason; without one, ask it again. Raises: NotFound, Stale."""
    now = _known(office, key)
    what = f"{'Not asked any more' if reason else 'Asked again'}: {now.title}"[:80]
    book.set_fields(office, "reminder", key, version, {"left_out": reason.strip()}, replace(order, what=what))


def leave_out(office: Office, key: str, version: int, reason: str, order: Order) -> None:
    """Ask a question no more. Raises: BadValue without a reason; NotFound, Stale."""
    _refuse_without_reason(reason, "left_out")
    switch(office, key, version, reason, order)


def add(office: Office, typed: Mapping[str, str], order: Order) -> str:
    """A question of the firm's own: asked of every job, or where a sign shows (`when`); returns its key.

    Raises: BadValue without a reason, or for a sign or a recipe that is not there.
    """
    fields = dict(typed)
    when, prices = fields.pop("when", ""), fields.pop("prices", "")
    _refuse_without_reason(fields.get("own_reason", ""), "own_reason")
    offered = all_asked(office)
    if when and when not in dict(offered.when):
        raise BadValue("Choose from the list where this is asked.", field="when")
    if prices and prices not in dict(offered.recipes):
        raise BadValue("Choose from the list what prices this.", field="prices")
    kind, _, sign = when.partition(":")
    key = free_key(fields["title"], office.basis().reminders)
    new = Reminder(
        key=key,
        asked_by=Signs(**{kind: (sign,)}) if when else Signs(),
        priced_by=Signs(recipes=(prices,)) if prices else Signs(),
        adds=prices,
        source="the firm's own",
        **fields,
    )
    book.make(office, "reminder", key, new, replace(order, what=f"New question: {new.title}"[:80]))
    return key


def as_shipped(office: Office, key: str, order: Order) -> None:
    """Take the firm's own out: the shipped question stands again, if there is one. Raises: NotFound."""
    book.give_up(office, "reminder", key, replace(order, what=f"As shipped: {_known(office, key).title}"[:80]))


def _known(office: Office, key: str) -> Reminder:
    found = office.basis().reminders.get(key)
    if found is None:
        raise NotFound("There is no such question (any more). Look at the list again.")
    return found


def _refuse_without_reason(reason: str, field: str) -> None:
    if len(reason.strip()) < SHORTEST_REASON:
        raise BadValue("The reason is missing: say why, for whoever asks later. Type it, then save again.", field=field)
