"""What the firm's jobs say once they are many: hours against bids, wins, margins, crews ahead, prices that moved."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import fsum

from app.db.repositories import looking_back as rows
from app.db.repositories import sold_and_spent as sums
from app.db.repositories.looking_back import WorkedTask
from app.db.repositories.sold_and_spent import LeftRow, PriceChange, SignedRow
from app.documents.formats import Formats
from app.domain.job import Stage
from app.domain.looking_back import wins
from app.domain.looking_back.crew_load import Load, PhaseWork, crew_load
from app.domain.looking_back.margins import JobMargin, Margins, margins
from app.domain.looking_back.task_hours import HoursSum, JobHours, by_crew, by_task
from app.domain.looking_back.wins import BANDS, Asked, Tally, outcome_of
from app.domain.takeoff.rates import crew_day_hours
from app.services.office import Office
from app.services.receivables import today_of
from app.services.scheduling import working_days

PRICE_CHANGES = 20
AHEAD = (Stage.SIGNED.value, Stage.BUILDING.value)
MAY_COME = (Stage.LEAD.value, Stage.DESIGN.value, Stage.OFFERED.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownHours:
    """Hours against the bid: finished work by task and by crew; hours that no bid had, and rows still under way."""

    tasks: tuple[HoursSum, ...]
    crews: tuple[HoursSum, ...]
    rows: tuple[JobHours, ...]
    unbid_hours: float
    under_way: int

    def of(self, by: str, key: str) -> HoursSum | None:
        """A row of the page."""
        return next((one for one in (self.tasks if by == "task" else self.crews) if one.key == key), None)


def known_hours(office: Office) -> KnownHours:
    """Hours of all signed jobs against their bids."""
    with office.database.read() as connection:
        worked = rows.worked_tasks(connection, office.firm_id)
        unbid = rows.unbid_quarters(connection, office.firm_id)
        names = rows.job_names(connection, office.firm_id, {one.job_id for one in worked})
    held = [_job_hours(one, names[one.job_id].words) for one in worked if one.job_id in names]
    classes = office.basis().labor_classes

    def title(crew: str) -> str:
        return classes[crew].title if crew in classes else crew or "Around the work"

    return KnownHours(
        tasks=by_task(held),
        crews=by_crew(held, title),
        rows=tuple(held),
        unbid_hours=sum(unbid.values()) / 4,
        under_way=len({(one.job_id, one.task) for one in held if not one.finished}),
    )


def _job_hours(one: WorkedTask, job: str) -> JobHours:
    return JobHours(
        job_id=one.job_id,
        number=one.number,
        job=job,
        task=one.task,
        title=one.title,
        crew=one.crew,
        bid=one.hours,
        hours=one.quarters / 4,
        bid_cents=one.cents,
        finished=one.finished,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wins:
    """What became of callers and offers."""

    all: Tally
    sources: tuple[Tally, ...]
    bands: tuple[Tally, ...]


def known_wins(office: Office) -> Wins:
    """Callers by how they found us, offers by price."""
    with office.database.read() as connection:
        found = sums.asked(connection, office.firm_id)
    asked = [
        Asked(
            job_id=one.job_id,
            number=one.number,
            title=", ".join(part for part in (one.client, one.title) if part),
            found_us=one.found_us,
            cents=one.cents,
            outcome=outcome_of(one.stage, signed=one.signed),
        )
        for one in found
    ]
    firm = office.firm()
    fmt = Formats(firm.system, firm.currency)
    return Wins(
        all=wins.in_all(asked),
        sources=wins.by_source(asked),
        bands=wins.by_band(asked, lambda band: band_words(band, fmt)),
    )


def band_words(band: int, fmt: Formats) -> str:
    """A band of prices in words."""
    if band > len(BANDS):
        return wins.NOT_OFFERED
    ends = [fmt.money(one * 100) for one in BANDS]
    if band == 0:
        return f"below {ends[0]}"
    return f"{ends[band - 1]} and more" if band == len(BANDS) else f"{ends[band - 1]} to {ends[band]}"


def known_margins(office: Office) -> Margins:
    """What signed jobs were to leave over their direct cost, and what they left."""
    with office.database.read() as connection:
        found = sums.signed(connection, office.firm_id)
        worked = rows.worked_tasks(connection, office.firm_id)
        unbid = rows.unbid_quarters(connection, office.firm_id)
        bills = sums.spent_on_orders_by_job(connection, office.firm_id)
    by_job: dict[str, list[WorkedTask]] = {}
    for one in worked:
        if not one.own:
            by_job.setdefault(one.job_id, []).append(one)
    return margins(
        replace(_margin(one, by_job.get(one.job_id, ()), unbid.get(one.job_id, 0)), bills=bills.get(one.job_id, 0))
        for one in found
    )


def _margin(one: SignedRow, worked: Sequence[WorkedTask], unbid_quarters: int) -> JobMargin:
    """A job's margin; hours that no bid had cost what an hour of the crew costs in the mean of its bid."""
    paid = [row for row in worked if row.cents]
    unpaid = fsum(row.quarters / 4 for row in worked if not row.cents)
    mean = one.crew_cents / one.crew_hours if one.crew_hours else 0.0
    labor = fsum(row.quarters / 4 * row.cents / row.hours for row in paid) + unbid_quarters / 4 * mean
    return JobMargin(
        job_id=one.job_id,
        number=one.number,
        title=", ".join(part for part in (one.client, one.title) if part),
        stage=one.stage,
        contract=one.cents - one.tax_cents,
        bid_labor=one.labor_cents - one.own_cents,
        bid_other=one.other_cents,
        labor=round(labor),
        receipts=one.receipts,
        paid_out=one.paid_out,
        unpaid_hours=unpaid + (0.0 if mean else unbid_quarters / 4),
    )


def known_crews(office: Office) -> Load:
    """How full the crews are in the weeks ahead."""
    with office.database.read() as connection:
        signed = sums.hours_left(connection, office.firm_id, AHEAD)
        offered = sums.hours_left(connection, office.firm_id, MAY_COME, offered=True)
    firm, today = office.firm(), today_of(office)
    works = [*_works(signed, signed=True), *_works(offered, signed=False)]
    crews = firm.calendar.crews if firm.calendar else 1
    days = working_days(firm, today)
    return crew_load(works, today, days.worked, crew_day=crew_day_hours(firm), crews=crews)


def _works(held: Iterable[LeftRow], *, signed: bool) -> list[PhaseWork]:
    return [
        PhaseWork(
            job_id=one.job_id,
            job=", ".join(part for part in (one.client, one.job) if part),
            phase=one.title,
            start=date.fromisoformat(one.start) if one.start else None,
            done=date.fromisoformat(one.done) if one.done else None,
            hours=one.hours,
            signed=signed,
        )
        for one in held
    ]


def price_changes(office: Office) -> list[PriceChange]:
    """The newest changes of the price book; each has its page of proposals and drafts that it moved."""
    with office.database.read() as connection:
        return sums.price_changes(connection, office.firm_id, PRICE_CHANGES)
