"""What finished jobs say of a task's hours: each job against what is believed, and the rate that follows.

The site's own slowing is taken out first: an amount counts as many times as the site slowed it, so a steep yard does
not teach that laying is slow. A job tells of a task only where it is finished there and hours were logged for it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import median

from app.domain.basis import Firm, Learned, Task, Three
from app.domain.codec import content_hash
from app.domain.looking_back.credibility import Moved, Seen, moved, tau_of
from app.domain.takeoff.rates import BY_THE_HOUR, at_third, third_of

LIKELY = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskJob:
    """One finished job at one task: hours logged [h], and what they were for.

    `amount` [of the task's unit] and `places` count as many times as the site slowed them; `size` is the plain amount
    of one place.
    """

    job_id: str
    number: int
    hours: float
    bid_hours: float
    amount: float
    places: float
    size: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A job beside what was expected of it [h], as a multiple, and how much it counts (1: in full)."""

    job: TaskJob
    expected: float
    times: float
    counts: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What jobs make of one task: as it stands, as it was believed before any of them, and as it would become."""

    task: Task
    believed: Task
    after: Task
    jobs: tuple[Told, ...]
    moved: Moved
    priced_before: tuple[float, float]  # hours for one unit and for one set-up, at the pace that prices
    priced_after: tuple[float, float]

    @property
    def taken(self) -> bool:
        """Whether the owner took just this already."""
        return (self.task.hours, self.task.setup) == (self.after.hours, self.after.setup) and (
            self.task.own_jobs == self.after.own_jobs
        )

    @property
    def mark(self) -> str:
        """Names what is shown, so that nothing else is taken than what was seen."""
        return content_hash([list(self.after.hours), list(self.after.setup), [one.job.job_id for one in self.jobs]])[
            :16
        ]

    @property
    def by(self) -> float:
        """How far hours for one unit move as they price, as a share."""
        before = self.priced_before[0] or self.priced_before[1]
        after = self.priced_after[0] if self.priced_before[0] else self.priced_after[1]
        return after / before - 1 if before else 0.0


def believed_of(task: Task) -> Task:
    """A task as it stood before the firm's own jobs moved it: hours that were typed since stand on their own."""
    known = task.learned
    if known is None or (known.hours, known.setup) != (task.hours, task.setup):
        return task
    return replace(task, hours=known.before_hours, setup=known.before_setup, own_jobs=known.before_jobs, learned=None)


def lesson(task: Task, firm: Firm, jobs: Iterable[TaskJob], today: date) -> Lesson | None:
    """What these jobs make of a task; None where none of them tells anything.

    Every job is held against what was believed before any of them, so none counts twice however often it is taken.
    """
    before = believed_of(task)
    held = [(one, _expected(before, one)) for one in jobs]
    held = [(one, hours) for one, hours in held if hours > 0 and one.hours > 0]
    if not held or task.unit == BY_THE_HOUR:
        return None
    seen = [Seen(one.hours / hours, one.amount * before.hours[LIKELY] / hours) for one, hours in held]
    found = moved(seen, tau_of(before.hours), tau_of(before.setup))
    after = _after(task, before, [one for one, _ in held], found, today)
    told = tuple(
        Told(job=one, expected=hours, times=it.times, counts=count)
        for (one, hours), it, count in zip(held, seen, found.counts, strict=True)
    )
    return Lesson(
        task=task,
        believed=before,
        after=after,
        jobs=told,
        moved=found,
        priced_before=_priced(task, firm),
        priced_after=_priced(after, firm),
    )


def _expected(task: Task, one: TaskJob) -> float:
    return one.amount * task.hours[LIKELY] + one.places * task.setup[LIKELY]


def _priced(task: Task, firm: Firm) -> tuple[float, float]:
    third = third_of(task, firm)
    return at_third(task.hours, third), at_third(task.setup, third)


def _after(task: Task, before: Task, jobs: Sequence[TaskJob], found: Moved, today: date) -> Task:
    hours, setup = _times(before.hours, found.rate), _times(before.setup, found.setup)
    sources = Learned(
        hours=hours,
        setup=setup,
        before_hours=before.hours,
        before_setup=before.setup,
        before_jobs=before.own_jobs,
        job_ids=tuple(one.job_id for one in jobs),
        job_numbers=tuple(one.number for one in jobs),
        weight=round(found.rate_weight, 4),
        setup_weight=round(found.setup_weight, 4),
        spread=round(found.spread, 4),
        on=today,
    )
    size = median(one.size for one in jobs)
    return replace(
        task,
        hours=hours,
        setup=setup,
        own_jobs=max(before.own_jobs, len(jobs)),
        learned_on=f"{size:.4g}*{task.unit}" if size > 0 and "e" not in f"{size:.4g}" else task.learned_on,
        learned=sources,
    )


def _times(three: Three, factor: float) -> Three:
    """All three by one factor: how far good and bad days lie apart stays as it was."""
    low, likely, high = (float(f"{one * factor:.4g}") for one in three)
    return low, likely, high


def lessons(
    tasks: Mapping[str, Task], firm: Firm, jobs: Mapping[str, Sequence[TaskJob]], today: date
) -> tuple[Lesson, ...]:
    """What jobs make of every task they tell of: what is not taken yet first, the farthest moved first."""
    found = [lesson(tasks[key], firm, held, today) for key, held in jobs.items() if key in tasks]
    known = [one for one in found if one is not None]
    return tuple(sorted(known, key=lambda one: (one.taken, -abs(one.by), one.task.title)))
