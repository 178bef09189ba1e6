"""“Ready to build?”: what still stops the crew, each with a door to where it is settled, and what is in hand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from app.domain.checks.readiness import may_settle
from app.domain.checks.release import line_points, permit_points, ticket_points
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Approval, Job, Settlement, Stage
from app.domain.joblog.happenings import not_passed
from app.domain.ordering import needed, standings
from app.domain.ordering.points import Days
from app.domain.ordering.points import release_points as order_points
from app.domain.phasing import in_number_order
from app.domain.phasing.approvals import release_points as approval_points
from app.domain.units import format_day
from app.services import jobs
from app.services.build import BuildSheet, build_sheet
from app.services.changes import Applied
from app.services.checks import Going, refuse_unsaid, settled_by
from app.services.happenings import written_at
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.points import Point, point_of, title_of
from app.services.scheduling import schedule_of
from app.services.sheets import Sheet, kept, sheet
from app.services.sub_packets import given_packets
from app.services.waiting import waiting

OVER = frozenset({Stage.DONE, Stage.LOST})
HERE = frozenset({"days-to-cancel"})  # has its own form on the page
ON_CHECKS = "call-before-you-dig"  # the ticket itself says it here
HOLD_SOURCE = "16 CFR 429: three business days; Saturdays count, Sundays and federal holidays do not"


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Something that holds the crew back: what it is called, what it says, and its door."""

    title: str
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class GoneOn:
    """A point that somebody went on in spite of: who and why."""

    finding: Finding
    settlement: Settlement


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """Something the crew waits for that is there: an approval or a ticket, in words."""

    title: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyToBuild:
    """What stops the crew, what is to be seen to, what somebody goes on in spite of, what is in hand."""

    stops: tuple[Held, ...] = ()
    cautions: tuple[Held, ...] = ()
    gone_on: tuple[GoneOn, ...] = ()
    in_hand: tuple[InHand, ...] = ()

    @property
    def ready(self) -> bool:
        """Whether nothing stops the crew."""
        return not self.stops


def ready_to_build(office: Office, view: Sheet, build: BuildSheet | None = None) -> ReadyToBuild | None:
    """What still stops the crew of a job today at the site; None for a job that is done or lost."""
    if view.job.head.stage in OVER:
        return None
    made = build or build_sheet(office, view)
    decided = {one.finding: one for one in view.job.settlements}
    found = tuple(dict.fromkeys(_found(office, view, made)))
    open_points = [one for one in found if one.key not in decided or not _may_go_on(one)]
    return ReadyToBuild(
        stops=tuple(_held(view, one) for one in open_points if one.severity is Severity.STOP),
        cautions=tuple(_held(view, one) for one in open_points if one.severity is not Severity.STOP),
        gone_on=tuple(
            GoneOn(finding=one, settlement=decided[one.key]) for one in found if one.key in decided and _may_go_on(one)
        ),
        in_hand=tuple(_in_hand(view.job, view.today)),
    )


def go_on(office: Office, job_id: UUID, finding_key: str, going: Going, order: Order) -> Applied:
    """Let the crew begin in spite of a point, with name and reason; it comes back when what it rests on changes.

    Raises: BadValue without a name or reason, NotFound when it is not open (any more), Refused where law stops.
    """
    refuse_unsaid(going, "why the crew may begin all the same")
    ready = ready_to_build(office, sheet(office, job_id))
    points = (*ready.stops, *ready.cautions) if ready else ()
    one = next((held.point.finding for held in points if held.point.finding.key == finding_key), None)
    if one is None:
        raise NotFound("This point is not open any more. Look at the list again.")
    if not _may_go_on(one):
        raise Refused("There is no way round this one here. Do as it says, where its button leads.")
    new = settled_by(office, one.key, going)
    return jobs.save(office, job_id, (made("settlement", new),), replace(order, what=f"Goes on: {one.what[:60]}"))


def _may_go_on(one: Finding) -> bool:
    return may_settle(one) and one.rule not in HERE


def _found(office: Office, view: Sheet, build: BuildSheet) -> Iterator[Finding]:
    if build.stands.signed is None:
        yield _not_signed()
    yield from _waits(build)
    yield from (one for one in build.stops if one.severity is Severity.STOP and one.rule != ON_CHECKS)
    yield from (one for one in view.readiness.stops if one.rule == "not-signed-for")
    yield from approval_points(view.job, view.today)
    yield from _of_the_ground(office, view, build)
    yield from _of_orders(view, build)
    yield from _of_subs(view)
    yield from _inspections(view.job)
    yield from _overdue(office, view)
    yield from (one for one in view.findings if one.rule == "quote-missing")
    if build.unscheduled:
        yield _unscheduled(build.unscheduled)


def _not_signed() -> Finding:
    return Finding(
        rule="not-signed",
        severity=Severity.STOP,
        where="proposal",
        what="Nothing is signed yet.",
        measured="a draft",
        limit="a signed proposal",
        remedy="Offer the proposal and have it signed; what is below can be seen to before.",
        stop=Stop.LAW,
    )


def _waits(build: BuildSheet) -> Iterator[Finding]:
    for held in waiting(build.holds):
        yield Finding(
            rule="days-to-cancel",
            severity=Severity.STOP,
            where=f"hold:{held.revision_id}",
            what=f"The client may cancel {held.kind} {held.number} until midnight of {format_day(held.window.last)}.",
            measured=f"signed on {format_day(held.window.signed)}",
            limit=f"begin on {format_day(held.window.free_on)}",
            source=HOLD_SOURCE,
            remedy="Wait, or go on with the reason where it stands.",
            stop=Stop.MONEY,
        )


def _of_the_ground(office: Office, view: Sheet, build: BuildSheet) -> tuple[Finding, ...]:
    """Ticket, lines and permits: of what is built, with what is known of the site and asked for by now."""
    job = replace(build.stands.job, approvals=view.job.approvals, head=view.job.head)
    until = _digging_until(view.job, view.today)
    signed = build.stands.signed.id if build.stands.signed else ""

    def look() -> tuple[Finding, ...]:
        basis = build.stands.basis
        tickets = ticket_points(job, basis, view.today, until)
        return (*tickets, *line_points(job, basis), *permit_points(job, basis))

    found: tuple[Finding, ...] = kept(office, ("release", view.job.head.id, view.today, signed), view.opened, look)
    return found


def _digging_until(job: Job, today: date) -> date | None:
    """The last day of the phase under way, else of the next one."""
    ahead = [phase for phase in in_number_order(job) if phase.done is None or phase.done >= today]
    return ahead[0].done if ahead else None


def _of_orders(view: Sheet, build: BuildSheet) -> Iterator[Finding]:
    if build.stands.signed is None:
        return  # nothing is ordered of a draft
    orders = standings(view.job)
    starts = {str(one.id): one.start for one in view.job.phases if one.start and _goes_on(one.done, view.today)}
    days = Days(today=view.today, starts=starts)
    yield from order_points(needed(build.orders, orders), orders, days, phased=bool(view.job.phases))


def _goes_on(done: date | None, today: date) -> bool:
    return done is None or done >= today


def _of_subs(view: Sheet) -> Iterator[Finding]:
    for given in given_packets(view):
        yield from given.stops
        if given.released is None and not given.stops:
            yield Finding(
                rule="packet-not-released",
                severity=Severity.WARN,
                where=f"packet:{given.packet.id}",
                what=f"{given.packet.title or 'A packet'} is not released to {given.who}: they may not begin.",
                measured="not released",
                limit="released on a day",
                remedy="Look at their papers and release it, when it is their turn.",
            )


def _inspections(job: Job) -> Iterator[Finding]:
    for one in not_passed(job.logged_visits):
        words = f": {one.words}" if one.words else ""
        yield Finding(
            rule="inspection-not-passed",
            severity=Severity.STOP,
            where="log",
            what=f"Not passed: {one.what}, {format_day(one.day)}{words}.",
            measured=f"{one.what} {one.day.isoformat()}",
            limit="passed",
            remedy="Cover nothing of it until it has passed; write the next inspection down under the same name.",
            stop=Stop.LAW,
        )


def _overdue(office: Office, view: Sheet) -> Iterator[Finding]:
    """Inspections whose day has passed without a result; none where activities wait for one another."""
    try:
        laid = schedule_of(office, view)
    except BadValue:
        return
    yield from (one for one in (laid.findings if laid else ()) if one.rule == "inspection-overdue")


def _unscheduled(phases: Sequence[str]) -> Finding:
    return Finding(
        rule="phase-no-start",
        severity=Severity.WARN,
        where="approvals",
        what=f"Without a start day: {', '.join(phases)}.",
        measured=", ".join(phases),
        limit="a day",
        remedy="Set the day on the Phases sheet: orders, approvals and the ticket are held against it.",
    )


def _held(view: Sheet, finding: Finding) -> Held:
    """A point with the door to where it is settled: papers of subcontractors where their work is released."""
    one, here = point_of(view, finding), f"/jobs/{view.job.head.id}"
    kind, _, key = finding.where.partition(":")
    doors = {
        "packet": ("Sub packets", f"{here}/sub-packets"),
        "hold": ("The days to cancel", f"{here}/build#hold-{key}"),
        "inspection": ("The day", written_at(view, key)),
    }
    if finding.rule == "not-signed-for":
        one = replace(one, place="Change orders", href=f"{here}/change-orders")
    place, href = doors.get(kind, (one.place, one.href))
    point = replace(one, place=place, href=href, may_settle=_may_go_on(finding))
    return Held(title=title_of(view.basis, finding.rule), point=point)


def _in_hand(job: Job, today: date) -> Iterator[InHand]:
    for one in job.approvals:
        if one.approved is not None and not one.has_run_out(today):
            yield InHand(title=one.title or "An approval", words=_approval_words(one))
    site = job.site
    if site.ticket.strip() and site.ticket_until is not None and site.ticket_until >= today:
        yield InHand(title="Locate ticket", words=f"{site.ticket}, until {format_day(site.ticket_until)}")


def _approval_words(one: Approval) -> str:
    parts = [one.decided_by, one.number and f"number {one.number}"]
    parts += [f"approved {format_day(one.approved)}" if one.approved else ""]
    parts += [f"until {format_day(one.expires)}" if one.expires else ""]
    return ", ".join(part for part in parts if part)
