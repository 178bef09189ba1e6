"""Approvals that work waits for: permits and associations, and phases that would begin without them."""

from collections.abc import Iterator
from datetime import date

from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Approval, Job, Phase, Stage, in_number_order
from app.domain.units import format_day

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
                measured=format_day(one.expires),
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
                what=f"Phase {phase.number} is to begin on {_day(phase.start)}, before “{title}” is there: {when}.",
                measured=f"phase {phase.number} on {format_day(phase.start)}",
                limit=f"after {format_day(there)}" if one.submitted else f"{one.days} days after it is asked for",
                remedy="The schedule waits for it. Type a later day for the phase, or ask sooner: building without a "
                "permit that the town asks for can stop the job.",
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


def release_points(job: Job, today: date) -> Iterator[Finding]:
    """Approvals the crew waits for: not there, run out, running out while the work goes on, not written down whole."""
    for one in job.approvals:
        title, where = one.title or "An approval", f"approval:{one.id}"
        if one.approved is None:
            due = f"due {_day(one.there_on(today))}" if one.submitted else "not asked for yet"
            yield Finding(
                rule="approval-not-there",
                severity=Severity.STOP,
                where=where,
                what=f"{title} is not there: {_held_by(one)}{due}.",
                measured=f"{one.submitted or 'not submitted'}, {one.days} days",
                limit="approved",
                source="Local law or the association's own rules",
                remedy="No crew before it. When it comes, type its day, number and last day on the Phases sheet.",
                stop=Stop.LAW,
            )
        elif one.has_run_out(today):
            yield Finding(
                rule="approval-ran-out",
                severity=Severity.STOP,
                where=where,
                what=f"{title} ran out on {_day(one.expires) if one.expires else ''}.",
                measured=str(one.expires),
                limit="holds while the work goes on",
                source="Local law or the association's own rules",
                remedy="Have it renewed and type its new last day on the Phases sheet before the crew goes on.",
                stop=Stop.LAW,
            )
        else:
            yield from _written_down(job, one, title, where)


def _held_by(one: Approval) -> str:
    return f"{one.decided_by} decides, " if one.decided_by.strip() else ""


def _written_down(job: Job, one: Approval, title: str, where: str) -> Iterator[Finding]:
    """What of an approval that is there nobody wrote down, and whether it holds until its phases are done."""
    lacks = [] if one.decided_by.strip() else ["who decided"]
    if one.kind == "permit":
        lacks += ([] if one.number.strip() else ["its number"]) + ([] if one.expires else ["its last day"])
    if lacks:
        yield Finding(
            rule="approval-not-whole",
            severity=Severity.WARN,
            where=where,
            what=f"{title} was approved on {_day(one.approved) if one.approved else ''}; not written down: "
            f"{', '.join(lacks)}.",
            measured=", ".join(lacks),
            limit="who, number, day, last day",
            remedy="Type it on the Phases sheet: whoever comes to inspect asks for it.",
        )
    ends = [phase.done for phase in job.phases if phase.done and one.phase_id in {None, phase.id}]
    if one.expires and ends and one.expires < max(ends):
        yield Finding(
            rule="approval-ends-early",
            severity=Severity.WARN,
            where=where,
            what=f"{title} holds until {_day(one.expires)}, and the work it is for ends on {_day(max(ends))}.",
            measured=format_day(one.expires),
            limit=f"until {format_day(max(ends))}",
            remedy="Ask for more time before it runs out.",
        )


def _day(day: date) -> str:
    return f"{day:%B} {day.day}"
