"""Approvals that work waits for: permits and associations, and phases that would begin without them."""

from collections.abc import Iterator
from datetime import date

from app.domain.findings import Finding, Severity
from app.domain.job import Approval, Job, Phase, Stage
from app.domain.phasing.phases import in_number_order

OVER = frozenset({Stage.LOST, Stage.DONE})


def phases_waiting(job: Job, one: Approval) -> tuple[Phase, ...]:
    """The phases that wait for an approval: its own, else the first and with it all."""
    phases = in_number_order(job)
    own = tuple(phase for phase in phases if phase.id == one.phase_id)
    return own or phases[:1]


def approval_points(job: Job, today: date) -> Iterator[Finding]:
    """Phases that begin before an approval is there, and approvals that are overdue or were never asked for."""
    if job.head.stage in OVER:
        return
    for one in job.approvals:
        if one.approved is None:
            yield from _pending(job, one, today)
        elif one.expires is not None and one.has_run_out(today):
            yield Finding(
                rule="approval-run-out",
                severity=Severity.STOP,
                where=f"approval:{one.id}",
                what=f"{one.title or 'An approval'} ran out on {_day(one.expires)}.",
                measured=one.expires.isoformat(),
                limit="holds while the work goes on",
                remedy="Have it renewed and type its new day before the crew goes on.",
            )


def _pending(job: Job, one: Approval, today: date) -> Iterator[Finding]:
    title = one.title or "An approval"
    there = one.there_on(today)
    for phase in phases_waiting(job, one):
        if phase.start is not None and phase.start <= there:
            when = f"asked for today, it is due {_day(there)}" if one.submitted is None else f"it is due {_day(there)}"
            yield Finding(
                rule="starts-before-approval",
                severity=Severity.WARN,
                where=f"approval:{one.id}",
                what=f"Phase {phase.number} begins on {_day(phase.start)} without {title}: {when}.",
                measured=f"phase {phase.number} on {phase.start.isoformat()}",
                limit=f"after {there.isoformat()}" if one.submitted else f"{one.days} days after it is asked for",
                remedy="Begin later, or ask sooner. Building without a permit that the town asks for can stop the job.",
            )
    if one.has_comments:
        yield Finding(
            rule="approval-comments",
            severity=Severity.WARN,
            where=f"approval:{one.id}",
            what=f"{title}: comments came and are not answered.",
            measured=one.comments or str(one.commented),
            remedy="Answer them, ask again, and type the day you did.",
        )
        return
    due = one.submitted is not None and one.there_on(one.submitted)
    if due and due < today:
        yield Finding(
            rule="approval-overdue",
            severity=Severity.WARN,
            where=f"approval:{one.id}",
            what=f"{title} was due on {_day(due)} and is not there.",
            measured=f"submitted {one.submitted}, {one.days} days",
            remedy="Call, and type the day it came or how long it will take.",
        )


def _day(day: date) -> str:
    return f"{day:%B} {day.day}"
