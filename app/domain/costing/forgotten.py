"""Nothing forgotten: the questions that small firms forget to price, each answered before a price is firm.

A reminder of the basis is asked where the job shows that it may apply. It is answered by the job's own price, by a
reason why it is not needed, or by the client's doing it, which the proposal then says. What nobody answered is one open
point, a matter of money.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from app.domain.basis import Assembly, Basis
from app.domain.costing.lines import WHOLE_JOB
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Answer, Fate, Job, ReminderAnswer, known_lines
from app.domain.keeping import KeptByInputs, KeptRows, Same
from app.domain.reminder import Reminder, Signs
from app.domain.takeoff.included import with_included
from app.domain.takeoff.requirements import Requirement

UNANSWERED = "reminder-open"
FORGOTTEN = "forgotten"  # the place of the open point: the page that answers it
NAMED = 5  # things named in a sentence
STAYS = frozenset({Fate.STAYS, Fate.PROTECTED})


class Standing(StrEnum):
    """How a reminder stands in a job."""

    PRICED = "priced"
    NOT_NEEDED = "not needed"
    BY_CLIENT = "by client"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Asked:
    """A reminder that is asked in a job: how it stands, and what was answered."""

    reminder: Reminder
    standing: Standing
    answer: ReminderAnswer | None


@dataclass(frozen=True, slots=True)
class _Shown:
    """What a job shows: of its requirements, and beyond them."""

    recipes: frozenset[str]
    roles: frozenset[str]
    keys: frozenset[str]  # of materials and tasks
    cautions: frozenset[str] = frozenset()
    existing: frozenset[str] = frozenset()
    facts: frozenset[str] = frozenset()

    def any_of(self, signs: Signs) -> bool:
        """Whether any of the signs is there."""
        return not (
            self.recipes.isdisjoint(signs.recipes)
            and self.roles.isdisjoint(signs.roles)
            and self.keys.isdisjoint(signs.tasks)
            and self.keys.isdisjoint(signs.materials)
            and self.cautions.isdisjoint(signs.cautions)
            and self.existing.isdisjoint(signs.existing)
            and self.facts.isdisjoint(signs.facts)
        )


def asked(job: Job, basis: Basis, needed: Sequence[Requirement]) -> tuple[Asked, ...]:
    """Every reminder that may apply to a job, in the order of the basis, with how it stands.

    `needed` are the job's requirements. Nothing is asked before something is built on the plan. What is in the price
    counts as priced whatever was answered.
    """
    if not basis.reminders:
        return ()
    row = tuple(_SIGNS.get_or_make(job.head.id.int, None, needed, _sign))
    rests_on = (row, job.head, job.site, job.existing, job.reminder_answers, Same(basis))
    return _ASKED.get_or_make(job.head.id, rests_on, lambda: _asked_by(job, basis, row))


def _asked_by(job: Job, basis: Basis, row: Sequence["_Sign"]) -> tuple[Asked, ...]:
    on_plan = frozenset(one.names for one in row if one.on_plan)
    in_price = frozenset(one.names for one in row if one.in_price)
    return _asked_of(job, basis, on_plan, in_price) if on_plan else ()


_Signs = frozenset[tuple[str, str, str]]  # recipe, role and key of requirements, each once


class _Sign(NamedTuple):
    """What one requirement shows: its recipe, role and key; whether it is built on the plan, and comes to something."""

    names: tuple[str, str, str]
    on_plan: bool
    in_price: bool


_SIGNS: KeptRows[Requirement, _Sign] = KeptRows(64)
_ASKED: KeptByInputs[tuple[Asked, ...]] = KeptByInputs(64)


def _sign(one: Requirement) -> _Sign:
    return _Sign((one.assembly, one.role, one.key), one.place != WHOLE_JOB, one.amount > 0)


def _asked_of(job: Job, basis: Basis, on_plan: _Signs, in_price: _Signs) -> tuple[Asked, ...]:
    shown, priced = _on_plan(job, basis, on_plan), _Shown(*_names(in_price))
    answers = {one.reminder: one for one in job.reminder_answers}
    return tuple(
        _asked(one, answers.get(one.key), in_price=priced.any_of(one.priced_by))
        for one in basis.reminders.values()
        if not one.left_out and (one.asked_by == _ALWAYS or shown.any_of(one.asked_by))
    )


def unanswered(job: Job, basis: Basis, needed: Sequence[Requirement]) -> tuple[Finding, ...]:
    """The one open point about reminders without an answer; none where all are answered."""
    still = [one.reminder for one in asked(job, basis, needed) if one.standing is Standing.OPEN]
    if not still:
        return ()
    count = "One thing is" if len(still) == 1 else f"{len(still)} things are"
    return (
        Finding(
            rule=UNANSWERED,
            severity=Severity.STOP,
            where=FORGOTTEN,
            what=f"{count} easily forgotten and not answered yet: {_named(one.title for one in still)}.",
            measured=", ".join(sorted(one.key for one in still)),
            limit="answered",
            remedy="Answer each: in the price, not needed, or done by the client.",
            stop=Stop.MONEY,
        ),
    )


def left_to_client(job: Job, basis: Basis, needed: Sequence[Requirement]) -> tuple[str, ...]:
    """What the client does, in the client's words, for the proposal's list of what is not included."""
    told = [one for one in asked(job, basis, needed) if one.standing is Standing.BY_CLIENT and one.answer]
    return tuple(dict.fromkeys(one.answer.words or one.reminder.exclusion for one in told if one.answer))


def pricing(signs: Signs, needed: Sequence[Requirement]) -> tuple[int, ...]:
    """The places of the requirements that show these signs and come to something."""
    recipes, roles, keys = set(signs.recipes), set(signs.roles), {*signs.tasks, *signs.materials}
    return tuple(
        at
        for at, one in enumerate(needed)
        if one.amount > 0 and (one.assembly in recipes or one.role in roles or one.key in keys)
    )


def _asked(reminder: Reminder, answer: ReminderAnswer | None, *, in_price: bool) -> Asked:
    if in_price:
        return Asked(reminder, Standing.PRICED, answer)
    return Asked(reminder, Standing(answer.reply.value) if answer else Standing.OPEN, answer)


_ALWAYS = Signs()

_Names = tuple[frozenset[str], frozenset[str], frozenset[str]]


def _names(signs: _Signs) -> _Names:
    """The recipes, roles and keys of requirements."""
    recipes, roles, keys = zip(*signs, strict=True) if signs else ((), (), ())
    return frozenset(recipes), frozenset(roles), frozenset(keys)


def _on_plan(job: Job, basis: Basis, signs: _Signs) -> _Shown:
    """What shows of what is built on the plan, of the yard today and of the job itself."""
    names = _names(signs)
    return _Shown(
        *names,
        cautions=frozenset([caution for key in names[0] for caution in _cautions(key, basis.assemblies)]),
        existing=frozenset([one.kind for one in job.existing if one.fate in STAYS]),
        facts=frozenset([name for name, is_so in _FACTS.items() if is_so(job)]),
    )


_FACTS: Mapping[str, Callable[[Job], bool]] = {
    "association": lambda job: bool(job.head.association),
    "sprinklers": lambda job: known_lines(job.site, job.existing)["sprinklers"] is Answer.YES,
}
FACTS = frozenset(_FACTS)

_CAUTIONS: KeptByInputs[tuple[str, ...]] = KeptByInputs(1024)


def _cautions(key: str, library: Mapping[str, Assembly]) -> tuple[str, ...]:
    """The cautions of a recipe and of all it includes; kept while the library is the same."""
    return _CAUTIONS.get_or_make(
        key,
        (Same(library),),
        lambda: tuple({it for one in with_included(library, key).values() for it in one.cautions}),
    )


def _named(titles: Iterable[str]) -> str:
    names = list(titles)
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more
