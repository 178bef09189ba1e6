"""The schedule of a job: its activities on the firm's working days, as lanes, as a list, as a calendar file."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256

from markupsafe import Markup

from app.documents.schedule_drawing import Lane, LaneBar, schedule_svg
from app.domain.basis import Firm
from app.domain.errors import BadValue
from app.domain.job import Job, Phase, TypedDays, only_included
from app.domain.phasing.approvals import phases_waiting
from app.domain.phasing.paved_in import machines_of, order_of
from app.domain.phasing.seasons import OUT_OF_SEASON, all_in_season, planted_kinds, windows
from app.domain.schedule.activities import Planned, planned, with_typed_days
from app.domain.schedule.axis import WorkingDays
from app.domain.schedule.dated import Held, Schedule, schedule
from app.domain.schedule.in_time import Scheduled
from app.domain.schedule.inspections import TRADE as INSPECTION
from app.domain.schedule.inspections import AskedFor, Inspected, Standing
from app.domain.schedule.stages import PLANTING
from app.domain.takeoff.measures import WHOLE_JOB, zone_title
from app.interchange.building_stages import building_stages
from app.interchange.calendar_out import CalendarDay, calendar_file
from app.interchange.public_holidays import federal_holidays_of
from app.interchange.usual_weather import usual_weather
from app.services.office import Office
from app.services.sheets import Sheet, kept

YEARS = 3  # holidays are looked up for, from the first day on
SMALL = 0.005  # crew-days: less is no row of its own


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseDays:
    """A phase of the schedule: its lanes as a drawing, and its activities in the order they begin."""

    phase: Phase | None
    drawing: Markup
    rows: tuple[Scheduled, ...]
    first: date
    last: date


@dataclass(frozen=True, slots=True, kw_only=True)
class SchedulePage:
    """What the page shows; `trouble` says why there is no schedule."""

    laid: Schedule | None
    phases: tuple[PhaseDays, ...] = ()
    trouble: str = ""


def schedule_page(office: Office, view: Sheet) -> SchedulePage:
    """The schedule as the page shows it."""
    try:
        laid = schedule_of(office, view)
    except BadValue as wrong:
        return SchedulePage(laid=None, trouble=str(wrong))
    return SchedulePage(laid=laid, phases=tuple(_phases(view, laid)) if laid else ())


def schedule_of(office: Office, view: Sheet) -> Schedule | None:
    """The schedule of a job as it stands today; None before there is a zone or a run to build.

    Raises BadValue where activities wait for one another.
    """
    if not (view.job.zones or view.job.runs):
        return None

    def work() -> Schedule | None:
        stages = building_stages()
        asked = asked_to_be_seen(view.job)
        plan = with_typed_days(planned(view.job, view.basis, view.estimate, stages, asked=asked), view.job)
        days, held = working_days(view.basis.firm, view.today), held_up(view)
        return schedule(view.job, view.basis, plan, stages, today=view.today, days=days, held=held)

    return kept(office, ("schedule", view.job.head.id, view.today), view.opened, work)


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysOf:
    """An activity whose days are looked at, and what the owner typed for it."""

    row: Scheduled
    own: TypedDays | None
    zone: str  # its id as text, or empty
    phase: str


def days_of(view: Sheet, page: SchedulePage, key: str) -> DaysOf | None:
    """The activity of a key, as its form shows it; None where there is none (any more)."""
    row = next((one for one in page.laid.activities if one.planned.activity.key == key), None) if page.laid else None
    if row is None:
        return None
    one = row.planned
    zone = "" if one.place == WHOLE_JOB else one.place
    mine = [
        typed
        for typed in view.job.typed_days
        if (typed.stage, typed.trade, str(typed.zone_id or "")) == (one.stage, one.trade, zone)
        and (zone or str(typed.phase_id or "") == one.phase)
    ]
    own = next((typed for typed in mine if str(typed.phase_id or "") == one.phase), mine[-1] if mine else None)
    return DaysOf(row=row, own=own, zone=zone, phase=one.phase)


def asked_to_be_seen(job: Job) -> tuple[AskedFor, ...]:
    """What the approvals of a job ask to be inspected, in the phases that wait for them."""
    return tuple(
        AskedFor(phase=str(phase.id), stage=stage, what=one.title)
        for one in job.approvals
        for stage in one.inspected
        for phase in phases_waiting(job, one)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionRow:
    """An inspection of the schedule, in the order they come; `day` is planned, or that of what came of it."""

    row: Scheduled
    inspected: Inspected
    day: date
    overdue: date | None = None  # the day it was planned for, where that passed and nobody wrote a result down

    @property
    def title(self) -> str:
        """What is looked at, and where."""
        return self.row.planned.activity.title


def inspections_of(laid: Schedule | None) -> tuple[InspectionRow, ...]:
    """Every inspection of a schedule, those that have passed too."""
    found = ((one, one.planned.inspected) for one in (laid.activities if laid else ()))
    overdue = laid.overdue if laid else {}
    return tuple(
        InspectionRow(
            row=one,
            inspected=seen,
            day=seen.day if seen.standing is Standing.PASSED and seen.day else one.finish,
            overdue=overdue.get(seen.key),
        )
        for one, seen in found
        if seen
    )


def held_up(view: Sheet) -> Held:
    """What holds the work of a job up: approvals, planting weeks that nobody goes on without, the machine's way."""
    approved: dict[str, date] = {}
    for one in view.job.approvals:
        for phase in phases_waiting(view.job, one):
            key = str(phase.id)
            approved[key] = max(approved.get(key, date.min), one.there_on(view.today))
    built = only_included(view.job)
    requirements = view.estimate.requirements
    order = order_of(built, view.basis, machines_of(built, requirements))
    going_on = any(one.finding.startswith(f"{OUT_OF_SEASON}|") for one in view.job.settlements)
    kinds = {} if going_on else planted_kinds(requirements)

    def season(one: Planned, day: date) -> date | None:
        found = kinds.get((one.place, one.phase)) if one.stage == PLANTING else None
        return all_in_season(day, [windows(view.basis, kind) for kind in sorted(found)]) if found else None

    firm, behind = view.basis.firm, order.behind() if order else ()
    crews = firm.calendar.crews if firm.calendar else 1
    return Held(crews=crews, approved=approved, season=season if kinds else None, behind=behind)


def working_days(firm: Firm, today: date) -> WorkingDays:
    """The firm's days of the week, without the days it is closed; weather as the firm, else the library, has it."""
    own = firm.calendar
    a_week = firm.crew_day.days_a_week if firm.crew_day else 5
    weekdays = frozenset(own.weekdays) if own else frozenset(range(min(max(a_week, 1), 7)))
    years = range(today.year - 1, today.year + YEARS)
    closed = set(federal_holidays_of(years)) if own is None or own.holidays else set()
    for one in own.closed if own else ():
        closed |= {one.first + timedelta(days=at) for at in range((one.last - one.first).days + 1)}
    lost = {**usual_weather().lost, **({int(month): days for month, days in own.lost.items()} if own else {})}
    return WorkingDays(weekdays=weekdays, closed=frozenset(closed), lost=lost)


def _phases(view: Sheet, laid: Schedule) -> Iterable[PhaseDays]:
    known: list[Phase | None] = [*sorted(view.job.phases, key=lambda phase: phase.number), None]
    for phase in known:
        key = str(phase.id) if phase else ""
        rows = tuple(one for one in laid.activities if one.planned.phase == key and one.planned.activity.days > SMALL)
        if rows:
            lanes = _lanes(view, rows)
            title = phase.title if phase and phase.title else "The work"
            yield PhaseDays(
                phase=phase,
                drawing=Markup(schedule_svg(lanes, title)),  # noqa: S704 - made and escaped there
                rows=rows,
                first=min(one.start for one in rows),
                last=max(one.finish for one in rows),
            )


def _lanes(view: Sheet, rows: Iterable[Scheduled]) -> list[Lane]:
    titles = {WHOLE_JOB: "The whole job", **{str(zone.id): zone_title(zone) for zone in view.job.zones}}
    by_place: dict[str, list[Scheduled]] = {}
    for one in rows:
        by_place.setdefault(one.planned.place, []).append(one)
    return [
        Lane(title=titles.get(place, ""), bars=tuple(_bar(one) for one in by_place[place]))
        for place in sorted(by_place, key=lambda key: (key != WHOLE_JOB, by_place[key][0].start, titles.get(key, "")))
    ]


def _bar(one: Scheduled) -> LaneBar:
    return LaneBar(
        title=one.planned.activity.title,
        start=one.start,
        finish=one.finish,
        hired=bool(one.planned.trade),
        critical=one.critical,
        cure_days=one.planned.cure_days,
    )


def calendar_of(office: Office, view: Sheet) -> bytes:
    """The schedule as an iCalendar file: stages by zone letter and the job's number, without client data or money."""
    name = f"Job {view.job.head.number}"
    return calendar_file(calendar_days(office, view, name=name), name=name, made=office.clock())


def calendar_days(office: Office, view: Sheet, *, name: str) -> list[CalendarDay]:
    """The activities as days of a calendar, the job called by `name`; the same activity has the same key every time.

    Raises BadValue where activities wait for one another.
    """
    laid = schedule_of(office, view)
    letters = {str(zone.id): zone.letter for zone in view.job.zones}
    stages = building_stages()
    return [
        CalendarDay(
            key=sha256(f"{view.job.head.id}/{one.planned.activity.key}".encode()).hexdigest()[:32],
            title=" ".join(
                part
                for part in (
                    f"{name}:",
                    f"Zone {letters[one.planned.place]}," if letters.get(one.planned.place) else "",
                    INSPECTION if one.planned.inspected else stages.by_key[one.planned.stage].title,
                )
                if part
            ),
            first=one.start,
            last=one.finish,
        )
        for one in (laid.activities if laid else ())
        if one.planned.activity.days > SMALL
    ]
