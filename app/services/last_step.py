"""What the last edit of a job added or took away in whole steps: said beside the price until the next edit.

Nothing is stored for it: what the price stood on before is remembered while the program runs, of the jobs seen last.
"""

from collections import OrderedDict
from dataclasses import dataclass
from uuid import UUID

from app.domain.costing.whole_steps import Step, Stepped, WholeSteps, step_of_what, steps_moved, whole_steps
from app.domain.job import Job
from app.services.office import Office
from app.services.sheets import Sheet

KEPT = 64  # jobs


@dataclass(frozen=True, slots=True)
class _Seen:
    counter: int
    whole: WholeSteps
    stepped: Stepped | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LastStep:
    """What the last edit moved the price by [cents], and each step in it with what it is of."""

    by_cents: int
    steps: tuple[tuple[Step, str], ...]


def last_step(office: Office, view: Sheet) -> LastStep | None:
    """The whole steps the last edit of a job moved; None where it moved none, or the program was begun since."""
    memory: OrderedDict[UUID, _Seen] = office.database.memory.setdefault("last steps", OrderedDict())
    job_id, counter = view.job.head.id, view.opened.counter
    seen, whole = memory.get(job_id), whole_steps(view.estimate)
    if seen is None or (seen.counter == counter and seen.whole != whole):
        seen = _Seen(counter, whole, None)  # first seen, or the price book moved it
    elif seen.counter != counter:
        seen = _Seen(counter, whole, steps_moved(seen.whole, whole))
    memory[job_id] = seen
    memory.move_to_end(job_id)
    while len(memory) > KEPT:
        memory.popitem(last=False)
    return _told(seen.stepped, view) if seen.stepped else None


def _told(stepped: Stepped, view: Sheet) -> LastStep:
    phases = _phases(view.job)
    return LastStep(
        by_cents=stepped.by_cents,
        steps=tuple((one, step_of_what(one, view.basis, phases)) for one in stepped.steps),
    )


def _phases(job: Job) -> dict[str, str]:
    if len(job.phases) < 2:
        return {}
    return {str(one.id): f"{one.number} {one.title}".strip() for one in job.phases}
