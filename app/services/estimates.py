"""The estimate sheet: the figures it shows, and what is done on it: starting works, a price typed, a firm price."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from uuid import UUID

from app.domain.basis import Assembly, Price
from app.domain.change import Edit
from app.domain.costing.estimate import Estimate
from app.domain.costing.firmness import reasons_against
from app.domain.costing.grouping import By, Group, grouped
from app.domain.costing.lines import WHOLE_JOB
from app.domain.costing.movers import Mover, movers
from app.domain.costing.price import margin_left, markup_of
from app.domain.errors import NotFound
from app.domain.job import Job, PlaceKind, Work
from app.domain.takeoff.purchases import Purchase
from app.services import jobs
from app.services.changes import Applied, fields_of
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet, kept
from app.services.starting import lacking

STEP_TITLES: Mapping[str, str] = {
    "direct": "Direct cost",
    "material tax": "Tax we pay on materials",
    "warranty": "Set aside for warranty calls",
    "overhead": "Overhead",
    "contingency": "For what nobody foresaw",
    "profit": "Profit",
    "sales tax": "Tax the client pays",
    "allowances": "Allowances, as printed",
    "rounding": "Rounding",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """One step of the build-up in words. `running_cents` is what the price has come to with it."""

    name: str
    title: str
    words: str
    cents: int
    running_cents: int
    closes_cost: bool = False  # the last step that is cost: profit comes after it


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """The firm's margin beside the markup that gives it, and what is left of the whole price."""

    margin: Decimal
    markup: Decimal
    left: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseRow:
    """A phase: its crew days and hours, what it sells for."""

    key: str
    title: str
    days: int
    hours: float
    idle_hours: float
    price_cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneHours:
    """Hours of a zone."""

    key: str
    letter: str
    title: str
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JobWork:
    """A work on the job as a whole: its recipe, what it comes to, what may be set."""

    work: Work
    title: str
    cents: int
    hours: float
    parameters: Sequence[tuple[str, str, str, str]]  # name, label, as it is set or as the recipe has it, where from
    begins_at_nothing: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpriced:
    """A material without a price, or people without a wage: what waits for it."""

    key: str
    title: str
    unit: str
    kind: str  # material, labor
    waiting: Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateSheet:
    """All that the sheet shows beside the estimate itself."""

    by: By
    groups: Sequence[Group]
    steps: Sequence[StepRow]
    margin: Margin
    movers: Sequence[Mover]
    phases: Sequence[PhaseRow]
    zone_hours: Sequence[ZoneHours]
    works: Sequence[JobWork]
    lacking: int
    addable: Sequence[tuple[str, str]]
    purchases: Sequence[Purchase]
    unpriced: Sequence[Unpriced]
    may_go_firm: bool


def estimate_sheet(office: Office, view: Sheet, by: By) -> EstimateSheet:
    """What the estimate sheet shows; kept while the job and its basis stand."""
    return kept(office, ("estimate sheet", view.job.head.id, by), view.opened, lambda: _worked_out(office, view, by))


def _worked_out(office: Office, view: Sheet, by: By) -> EstimateSheet:
    job, basis, worked = view.job, view.basis, view.estimate
    return EstimateSheet(
        by=by,
        groups=grouped(by, job, basis, worked),
        steps=_steps(worked),
        margin=Margin(
            margin=basis.firm.margin,
            markup=markup_of(basis.firm.margin),
            left=margin_left(worked.price_cents, _spent(worked)),
        ),
        movers=movers(worked, basis),
        phases=_phases(job, worked),
        zone_hours=_zone_hours(job, worked),
        works=_job_works(view),
        lacking=len(lacking(office, job)),
        addable=[(key, one.title) for key, one in sorted(basis.assemblies.items()) if one.measures == "job"],
        purchases=worked.purchases,
        unpriced=_unpriced(view),
        may_go_firm=_may_go_firm(job, worked),
    )


def _steps(worked: Estimate) -> list[StepRow]:
    rows: list[StepRow] = []
    running = 0
    for step in worked.build_up.steps:
        running += step.cents
        if not step.cents and step.name != "direct":
            continue
        title = STEP_TITLES.get(step.name, step.name)
        rows.append(StepRow(name=step.name, title=title, words=step.words, cents=step.cents, running_cents=running))
    before_profit = [at for at, row in enumerate(rows) if row.name not in _AFTER_COST]
    if before_profit:
        rows[before_profit[-1]] = replace(rows[before_profit[-1]], closes_cost=True)
    return rows


_AFTER_COST = {"profit", "sales tax", "allowances", "rounding"}


def _spent(worked: Estimate) -> int:
    """Cost, the client's tax and allowances: all of the price that is not profit."""
    build_up = worked.build_up
    return worked.cost_cents + build_up.step("sales tax").cents + build_up.step("allowances").cents


def _phases(job: Job, worked: Estimate) -> list[PhaseRow]:
    days = {one.phase: one for one in worked.crew_days}
    titles = {str(phase.id): f"{phase.number}  {phase.title}" for phase in job.phases}
    keys = [key for key in (*titles, "") if key in worked.price_by_phase]
    return [
        PhaseRow(
            key=key,
            title=titles.get(key, "Not in a phase yet" if titles else "The whole job"),
            days=days[key].days if key in days else 0,
            hours=worked.hours_by_phase.get(key, 0.0),
            idle_hours=days[key].idle_hours if key in days else 0.0,
            price_cents=worked.price_by_phase[key],
        )
        for key in keys
    ]


def _zone_hours(job: Job, worked: Estimate) -> list[ZoneHours]:
    named = [(str(zone.id), zone.letter, zone.title) for zone in job.zones]
    named.append((WHOLE_JOB, "", "The job as a whole"))
    return [
        ZoneHours(key=key, letter=letter, title=title, hours=worked.hours_by_zone[key])
        for key, letter, title in named
        if worked.hours_by_zone.get(key)
    ]


def _job_works(view: Sheet) -> list[JobWork]:
    cents: dict[str, int] = {}
    hours: dict[str, float] = {}
    for line in view.estimate.lines:
        cents[line.work_id] = cents.get(line.work_id, 0) + line.cents
        hours[line.work_id] = hours.get(line.work_id, 0.0) + line.hours
    works = [work for work in view.job.works if work.place is PlaceKind.JOB]
    return [
        _job_work(
            work, view.basis.assemblies.get(work.assembly), cents.get(str(work.id), 0), hours.get(str(work.id), 0.0)
        )
        for work in works
    ]


def _job_work(work: Work, recipe: Assembly | None, cents: int, hours: float) -> JobWork:
    known = recipe.parameters if recipe else {}
    return JobWork(
        work=work,
        title=work.title or (recipe.title if recipe else work.assembly),
        cents=cents,
        hours=hours,
        parameters=[
            (name, one.label or name, work.parameters.get(name, one.value), one.source) for name, one in known.items()
        ],
        begins_at_nothing=not cents and not hours,
    )


def _unpriced(view: Sheet) -> list[Unpriced]:
    basis = view.basis
    waiting: dict[tuple[str, str], list[str]] = {}
    for line in view.estimate.lines:
        if not line.priced:
            key = line.key if line.kind == "material" else basis.tasks[line.key].crew
            titles = waiting.setdefault(("material" if line.kind == "material" else "labor", key), [])
            if line.title not in titles:
                titles.append(line.title)
    return [_waiting(view, kind, key, titles) for (kind, key), titles in waiting.items()]


def _waiting(view: Sheet, kind: str, key: str, titles: Sequence[str]) -> Unpriced:
    if kind == "material":
        known = view.basis.materials.get(key)
        unit = known.buy if known else "each"
        return Unpriced(key=key, title=known.title if known else key, unit=unit, kind=kind, waiting=titles)
    people = view.basis.labor_classes.get(key)
    return Unpriced(key=key, title=people.title if people else key, unit="hour", kind=kind, waiting=titles)


def _may_go_firm(job: Job, worked: Estimate) -> bool:
    """Whether the owner's name and reason would make the price firm: nothing but rough measures stands against it."""
    if not worked.reasons:
        return False
    signed = replace(job, head=replace(job.head, firm_price_by="somebody", firm_price_reason="some reason"))
    return not reasons_against(signed, worked.findings, [line.cents for line in worked.lines])


def add_starting_works(office: Office, job_id: UUID, order: Order) -> Applied | None:
    """Add what the job lacks of the works every job starts with; None when it lacks nothing."""
    works = lacking(office, jobs.open_job(office, job_id).job)
    if not works:
        return None
    edits = tuple(made("work", work) for work in works)
    return jobs.save(office, job_id, edits, replace(order, what="What every job starts with"))


def go_firm(office: Office, job_id: UUID, by: str, reason: str, order: Order) -> Applied:
    """Go on to a firm price over what is still rough, with name and reason; both empty: back to a band."""
    opened = jobs.open_job(office, job_id)
    fields = {"firm_price_by": by, "firm_price_reason": reason}
    edit = changed("job", job_id, opened.version("job", job_id), fields)
    words = "On to a firm price" if by else "Back to a band"
    return jobs.save(office, job_id, (edit,), replace(order, what=words))


def price_material(office: Office, material: str, unit_price: Decimal, order: Order) -> Applied:
    """Type the price of a material that has none, into the firm's price book.

    Raises: NotFound.
    """
    basis = office.basis()
    known = basis.materials.get(material)
    if known is None:
        raise NotFound("There is no such material in the library (any more). Nothing was changed.")
    price = Price(material=material, unit_price=unit_price, priced_on=office.clock().date())
    edit = Edit(kind="price", thing_id=material, version=0, before=None, after=fields_of(price, "price"))
    return jobs.save(office, None, (edit,), replace(order, what=f"Price of {known.title}"))
