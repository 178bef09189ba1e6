"""The estimate sheet: the figures it shows beside the estimate itself, in words and in the firm's units."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.documents.formats import Formats
from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate
from app.domain.costing.firmness import stops_against
from app.domain.costing.grouping import By, Group, grouped
from app.domain.costing.lines import WHOLE_JOB
from app.domain.costing.price import COST_STEPS, margin_left, markup_of
from app.domain.job import Job, PlaceKind, Work, zones_by_key
from app.domain.keeping import BoundedByIdentity
from app.domain.takeoff.hiring import hire_words
from app.domain.takeoff.purchases import Purchase
from app.services.estimate_lines import Row, row_of
from app.services.estimate_trucks import TruckRow, purchase_note, truck_rows
from app.services.office import Office
from app.services.sheets import Sheet, kept
from app.services.slowing import SlowingRow, slowing_rows
from app.services.starting import lacking
from app.services.work_lines import for_the_whole_job

STEP_TITLES: Mapping[str, str] = {
    "direct": "Direct cost",
    "material tax": "Tax we pay on materials",
    "warranty": "Set aside for warranty calls",
    "overhead": "Overhead",
    "contingency": "For what nobody foresaw",
    "risks": "Risks we carry",
    "profit": "Profit",
    "adjustment": "Put on or taken off",
    "sales tax": "Tax the client pays",
    "allowances": "Allowances, as printed",
    "rounding": "Rounding",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """One step of the build-up in words."""

    name: str
    title: str
    words: str
    cents: int
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
    """A work on the job as a whole, and what it sells for."""

    work: Work
    title: str
    price_cents: int
    begins_at_nothing: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseRow:
    """What is bought of one material for one phase, in words."""

    key: str
    figure: str
    title: str
    supplier: str
    phase: str
    wanted: str
    ordered: str
    cost: str
    priced: bool
    note: str = ""  # days that stand idle, fuel


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
    phases: Sequence[PhaseRow]
    slowing: tuple[SlowingRow, ...]
    zone_hours: Sequence[ZoneHours]
    works: Sequence[JobWork]
    lacking: int
    addable: tuple[tuple[str, str], ...]
    purchases: Sequence[PurchaseRow]
    trucks: Sequence[TruckRow]
    unpriced: Sequence[Unpriced]
    may_go_firm: bool


def estimate_sheet(office: Office, view: Sheet, by: By) -> EstimateSheet:
    """What the estimate sheet shows; kept while the job and its basis stand."""
    return kept(office, ("estimate sheet", view.job.head.id, by), view.opened, lambda: _worked_out(office, view, by))


def rows_of(view: Sheet, group: Group) -> list[Row]:
    """The lines of one group in words."""
    fmt = Formats(view.basis.firm.system, view.basis.firm.currency)
    return [row_of(view.estimate.lines[at], fmt) for at in group.lines]


def _worked_out(office: Office, view: Sheet, by: By) -> EstimateSheet:
    job, basis, worked = view.job, view.basis, view.estimate
    fmt = Formats(basis.firm.system, basis.firm.currency)
    margin = basis.firm.margin if job.head.own_margin is None else job.head.own_margin
    return EstimateSheet(
        by=by,
        groups=grouped(by, job, basis, worked),
        steps=_steps(worked),
        margin=Margin(
            margin=margin,
            markup=markup_of(margin),
            left=margin_left(worked.price_cents, worked.spent_cents),
        ),
        phases=_phases(job, worked),
        slowing=slowing_rows(job, worked.paying.slowing),
        zone_hours=_zone_hours(job, worked),
        works=[_job_work(view, work) for work in job.works if work.place is PlaceKind.JOB],
        lacking=len(lacking(office, job)),
        addable=for_the_whole_job(basis),
        purchases=_purchases(view, fmt),
        trucks=truck_rows(view, fmt, _phase_titles(job)),
        unpriced=_unpriced(view),
        may_go_firm=_may_go_firm(job, worked),
    )


def _steps(worked: Estimate) -> list[StepRow]:
    told = [step for step in worked.build_up.steps if step.cents or step.name == "direct"]
    costs = [step.name for step in told if step.name in COST_STEPS]
    return [
        StepRow(
            name=step.name,
            title=STEP_TITLES.get(step.name, step.name),
            words=step.words,
            cents=step.cents,
            closes_cost=step.name == costs[-1],
        )
        for step in told
    ]


def _phases(job: Job, worked: Estimate) -> list[PhaseRow]:
    days = {one.phase: one.days for one in worked.crew_days}
    titles = _phase_titles(job)
    return [
        PhaseRow(
            key=key,
            title=titles.get(key, "Not in a phase yet" if titles else "The whole job"),
            days=days.get(key, 0),
            hours=worked.hours_by_phase.get(key, 0.0),
            price_cents=worked.price_by_phase[key],
        )
        for key in (*titles, "")
        if key in worked.price_by_phase
    ]


def _phase_titles(job: Job) -> Mapping[str, str]:
    return {str(phase.id): f"{phase.number}  {phase.title}" for phase in job.phases}


def _zone_hours(job: Job, worked: Estimate) -> list[ZoneHours]:
    named = [(key, zone.letter, zone.title) for key, zone in zones_by_key(job.zones).items()]
    named.append((WHOLE_JOB, "", "The job as a whole"))
    return [
        ZoneHours(key=key, letter=letter, title=title, hours=worked.hours_by_zone[key])
        for key, letter, title in named
        if worked.hours_by_zone.get(key)
    ]


def _job_work(view: Sheet, work: Work) -> JobWork:
    recipe = view.basis.assemblies.get(work.assembly)
    price = view.estimate.price_by_work.get(str(work.id), 0)
    return JobWork(
        work=work,
        title=work.title or (recipe.title if recipe else work.assembly),
        price_cents=price,
        begins_at_nothing=not price,
    )


def _purchases(view: Sheet, fmt: Formats) -> list[PurchaseRow]:
    titles = _phase_titles(view.job)
    rows = [_kept_purchase(view, one, fmt, titles.get(one.phase, "")) for one in view.estimate.purchases]
    return sorted(rows, key=lambda row: (row.phase, row.supplier, row.title))


_PURCHASES: BoundedByIdentity[Purchase, tuple[tuple[Basis, Formats, str], PurchaseRow]] = BoundedByIdentity(1_000)


def _kept_purchase(view: Sheet, one: Purchase, fmt: Formats, phase: str) -> PurchaseRow:
    """A purchase in words; the words of one that did not change are kept."""
    kept_row = _PURCHASES.get(one)
    if kept_row is None or kept_row[0][0] is not view.basis or kept_row[0][1:] != (fmt, phase):
        kept_row = ((view.basis, fmt, phase), _purchase(view, one, fmt, phase))
        _PURCHASES.keep(one, kept_row)
    return kept_row[1]


def _purchase(view: Sheet, one: Purchase, fmt: Formats, phase: str) -> PurchaseRow:
    material, supplier = view.basis.materials.get(one.material), view.basis.suppliers.get(one.supplier)
    ordered = fmt.as_bought(one.bought, one.unit)
    if one.hire:
        ordered = hire_words(one.hire)
    return PurchaseRow(
        key=one.material,
        figure=f"purchase:{one.material}:{one.phase}",
        title=material.title if material else one.material,
        supplier=supplier.title if supplier else one.supplier,
        phase=phase,
        wanted=fmt.as_bought(one.wanted, one.unit),
        ordered=f"{ordered} ({one.packs} {one.pack_name})" if one.pack_name else ordered,
        cost=fmt.money(one.total_cents),
        priced=one.priced,
        note=purchase_note(one, view.basis, fmt),
    )


def _unpriced(view: Sheet) -> list[Unpriced]:
    waiting: dict[tuple[str, str], dict[str, None]] = {}
    for line in view.estimate.lines:
        if not line.priced:
            kind = "labor" if line.kind == "task" else "material"
            key = view.basis.tasks[line.key].crew if kind == "labor" else line.key
            waiting.setdefault((kind, key), {})[line.title] = None
    return [unpriced(view, kind, key, tuple(titles)) for (kind, key), titles in waiting.items()]


def unpriced(view: Sheet, kind: str, key: str, titles: Sequence[str] = ()) -> Unpriced:
    """What a price or a wage is wanted for, in words."""
    if kind == "material":
        known = view.basis.materials.get(key)
        title, unit = (known.title, known.buy) if known else (key, "each")
        return Unpriced(key=key, title=title, unit=unit, kind=kind, waiting=titles)
    people = view.basis.labor_classes.get(key)
    return Unpriced(key=key, title=people.title if people else key, unit="hour", kind=kind, waiting=titles)


def _may_go_firm(job: Job, worked: Estimate) -> bool:
    """Whether the owner's name and reason would make the price firm: nothing but rough measures stands against it."""
    cents = [line.cents for line in worked.lines]
    return bool(worked.reasons) and not stops_against(job, worked.findings, cents)
