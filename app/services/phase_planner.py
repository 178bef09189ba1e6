"""The phase planner of a job: what it is asked, the plan that was found, and taking it as one change."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from app.domain.change import Edit
from app.domain.codec import to_plain
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.explain import explain
from app.domain.errors import NotFound, Refused
from app.domain.job import JOB_THINGS, Firmness, Job, Phase
from app.domain.phasing import in_number_order, suggested_firmness
from app.domain.phasing.planner import Asked, Found, PhaseAsked, Want, wants_of
from app.domain.phasing.planner.asked import checked
from app.domain.phasing.planner.pieces import Pieces, titles
from app.domain.phasing.planner.told import Again, PlannedPhase, paid_again, planned_phases
from app.domain.takeoff.trace import Trace
from app.interchange.trimming import trimmed
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import OpenJob, Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet, kept
from app.worker import run_in_worker
from app.worker.phase_plan import plan_of, plan_payload

PLAN_SECONDS = 30.0
PHASED_KINDS = ("zone", "run", "feature", "existing", "work", "allowance", "approval", "payment")
GONE = "This plan was for the job as it was. Plan the phases again."


@dataclass(frozen=True, slots=True)
class _Planned:
    """A plan, and the very job and basis it was made for."""

    job: Job
    basis: Any
    asked: Asked
    found: Found


@dataclass(frozen=True, slots=True, kw_only=True)
class PhasePlan:
    """The plan as the page shows it. Amounts are full prices [cents]."""

    found: Found
    phases: tuple[PlannedPhase, ...]
    cents: tuple[int, ...]  # of each of them
    price_cents: int
    at_once_cents: int
    again: tuple[Again, ...]
    unused: tuple[int, ...]  # numbers of phases asked for in which nothing is built
    same: bool  # the job is so already

    @property
    def more_cents(self) -> int:
        """What phasing costs against building everything at once."""
        return self.price_cents - self.at_once_cents


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPlan:
    """Why there is no plan, and what would do, in sentences; `needs` are budgets that would (phase, cents)."""

    found: Found
    why: str
    would_do: tuple[str, ...]
    needs: tuple[tuple[int, int], ...]
    budgets_cents: int | None  # together, where every phase has one


def usual_asked(view: Sheet) -> Asked:
    """What the page begins with: the job's phases and their days, at least two, no budgets."""
    known = in_number_order(view.job)
    starts = [phase.start for phase in known] + [None] * max(0, 2 - len(known))
    return Asked(phases=tuple(PhaseAsked(start=start) for start in starts[:6]))


def asked_of(office: Office, view: Sheet) -> Asked:
    """What was asked last, else the usual."""
    last: Asked | None = office.database.memory.setdefault("phases asked", {}).get(view.job.head.id)
    return last or usual_asked(view)


def wants(view: Sheet, asked: Asked) -> Mapping[UUID, Want]:
    """How much each zone is wanted: as was said, else by the needs."""
    return wants_of(view.job, asked.wants)


async def make_plan(office: Office, view: Sheet, asked: Asked) -> Found:
    """Plan the phases in the worker; it is remembered while the job stands as it is.

    Raises: BadValue for phases that make no sense; Refused where there is nothing to plan, or something has no price.
    """
    office.database.memory.setdefault("phases asked", {})[view.job.head.id] = checked(asked)
    job = replace(view.job, packages=(), photos=(), underlays=())
    payload = plan_payload(job, trimmed(view.basis, view.job), asked, view.today)
    found = plan_of(await run_in_worker("phases", payload, deadline=PLAN_SECONDS))
    planned = _Planned(view.job, view.basis, asked, found)
    office.database.memory.setdefault("phase plans", {})[view.job.head.id] = planned
    return found


def _planned(office: Office, view: Sheet) -> _Planned | None:
    found: _Planned | None = office.database.memory.setdefault("phase plans", {}).get(view.job.head.id)
    return found if found and found.job is view.job and found.basis is view.basis else None


def phase_plan(office: Office, view: Sheet) -> PhasePlan | NoPlan | None:
    """The plan that was made, while the job and its prices stand as they were; or why there is none."""
    planned = _planned(office, view)
    if planned is None:
        return None
    return kept(office, ("phase plan", view.job.head.id, str(planned.asked)), view.opened, lambda: _told(planned, view))


def _told(planned: _Planned, view: Sheet) -> PhasePlan | NoPlan:
    if planned.found.best is None:
        return _no_plan(planned)
    best, pieces = planned.found.best, _pieces(planned)
    phases = planned_phases(pieces, best.assignment)
    phased, at_once = _worked(planned, view)
    recipes = {key: one.title for key, one in view.basis.assemblies.items()}
    return PhasePlan(
        found=planned.found,
        phases=phases,
        cents=tuple(best.phases[one.asked - 1] for one in phases),
        price_cents=best.price_cents,
        at_once_cents=planned.found.at_once.price_cents,
        again=paid_again(view.job, phased, at_once, recipes) if len(phases) > 1 else (),
        unused=tuple(n for n in range(1, len(pieces.phases) + 1) if n not in {one.asked for one in phases}),
        same=not tuple(_edits(view.opened, planned, view)),
    )


def _pieces(planned: _Planned) -> Pieces:
    return Pieces(planned.job, planned.basis, planned.asked)


def _worked(planned: _Planned, view: Sheet) -> tuple[Estimate, Estimate]:
    """The estimates of the plan and of everything at once."""
    pieces = _pieces(planned)
    assert planned.found.best is not None
    both = (planned.found.best.assignment, planned.found.at_once.assignment)
    phased, at_once = (estimate(pieces.job_of(one), planned.basis, view.today) for one in both)
    return phased, at_once


def _no_plan(planned: _Planned) -> NoPlan:
    found, pieces = planned.found, _pieces(planned)
    budgets = [one.budget_cents for one in planned.asked.phases]
    together = sum(one for one in budgets if one is not None) if None not in budgets else None
    do: tuple[str, ...]
    if found.why == "season":
        never = titles([pieces.zones[at] for at in found.out_of_season])
        why = f"{never} can't be planted in any phase: none of the first days lies near its planting weeks."
        do = ("Give one phase a first day in its planting weeks (they stand in the rules on Checks).",
              "Or leave the day of a phase open, and set it later.")  # fmt: skip
        return NoPlan(found=found, why=why, would_do=do, needs=(), budgets_cents=together)
    if found.why == "ground":
        why = "No order lets the machine reach everything and tears nothing up."
        do = ("Put more of it in one phase, open a second way in on Site, or lay plates over what is finished.",)
        return NoPlan(found=found, why=why, would_do=do, needs=(), budgets_cents=together)
    tried = "" if found.proven else f" in the {found.priced} orders that were priced"
    why = f"No order of the zones keeps these budgets and breaks no rule{tried}."
    do = ("Add a phase, or leave a zone out for now (Options and budget shows which fits).",)
    return NoPlan(found=found, why=why, would_do=do, needs=found.short, budgets_cents=together)


def take_plan(office: Office, view: Sheet, order: Order) -> Applied:
    """Make the plan the job's own, phases and all, in one change. Raises: Refused where the job was changed since."""
    planned = _planned(office, view)
    if planned is None or planned.found.best is None:
        raise Refused(GONE)
    edits = tuple(_edits(view.opened, planned, view))
    if not edits:
        raise Refused("The job is so already.")
    return jobs.save(office, view.job.head.id, edits, replace(order, what="The phases as planned"))


def _edits(opened: OpenJob, planned: _Planned, view: Sheet) -> Iterator[Edit]:
    """The edits that make a job as it was planned; a phase that is not used goes with its payments."""
    assert planned.found.best is not None
    pieces = _pieces(planned)
    wanted = pieces.job_of(planned.found.best.assignment)
    named = {one.phase.id: one for one in planned_phases(pieces, planned.found.best.assignment)}
    known = {one.id: one for one in opened.job.phases}
    for phase in wanted.phases:
        yield from _phase_edits(opened, known.get(phase.id), phase, named[phase.id], view)
    gone = [one for one in opened.job.phases if one.id not in named]
    going = {one.id for one in opened.job.payments if one.phase_id in {phase.id for phase in gone}}
    for kind in PHASED_KINDS:
        now = {one.id: one for one in getattr(opened.job, JOB_THINGS[kind][1])}
        for one in getattr(wanted, JOB_THINGS[kind][1]):
            if one.id not in going and one.phase_id != now[one.id].phase_id:
                yield changed(kind, one.id, opened.version(kind, one.id), {"phase_id": one.phase_id})
    for phase in gone:
        yield from jobs.removal(opened, "phase", phase.id)


def _phase_edits(
    opened: OpenJob, known: Phase | None, phase: Phase, planned: PlannedPhase, view: Sheet
) -> Iterator[Edit]:
    title = titles(planned.zones)
    if known is None:
        firmness = suggested_firmness(phase.start, view.today)
        yield made("phase", replace(phase, title=title, firmness=firmness))
        return
    before = {zone.id for zone in opened.job.zones if zone.phase_id == known.id}
    fields: dict[str, Any] = {"number": phase.number, "start": phase.start, "done": phase.done}
    if phase.start != known.start and known.firmness is not Firmness.RISE:
        fields["firmness"] = suggested_firmness(phase.start, view.today)
    if before != {zone.id for zone in planned.zones}:
        fields["title"] = title
    fields = {name: value for name, value in fields.items() if getattr(known, name) != value}
    if fields:
        yield changed("phase", known.id, opened.version("phase", known.id), to_plain(fields))


def explain_plan(office: Office, view: Sheet, key: str) -> Trace:
    """A figure of the plan: `price`, `at-once`, `more`, `phase:N` as asked, `again:KEY`, `need:N`. Raises: NotFound."""
    planned, told = _planned(office, view), phase_plan(office, view)
    if planned is None or told is None:
        raise NotFound(GONE)
    what, _, rest = key.partition(":")
    if isinstance(told, NoPlan):
        return _explain_need(told, what, rest, view)
    phased, at_once = _worked(planned, view)
    pieces = _pieces(planned)
    assert planned.found.best is not None
    if what == "at-once":
        return explain(pieces.job_of(planned.found.at_once.assignment), planned.basis, "price", at_once)
    job = pieces.job_of(planned.found.best.assignment)
    if what == "price":
        return explain(job, planned.basis, "price", phased)
    if what == "phase":
        one = next((one for one in told.phases if str(one.asked) == rest), None)
        if one is not None:
            return explain(job, planned.basis, f"phase:{one.phase.id}", phased)
    rows = told.again if what == "more" else tuple(one for one in told.again if what == "again" and one.key == rest)
    if not rows:
        raise NotFound(GONE)
    return _difference(told, rows, whole=what == "more", unit=view.basis.firm.currency)


def _difference(told: PhasePlan, rows: tuple[Again, ...], *, whole: bool, unit: str) -> Trace:
    if whole:
        both = (("Price in these phases", told.price_cents), ("Price of everything at once", told.at_once_cents))
        steps = tuple(_amount(label, "sum of the steps of a full estimate", cents, unit) for label, cents in both)
        said, cents = "price in these phases − price of everything at once", told.more_cents
        return replace(_amount("What phasing costs", said, cents, unit), steps=steps)
    one = rows[0]
    return _amount(one.title, "what its lines sell for in these phases − what they sell for at once", one.cents, unit)


def _amount(label: str, expression: str, cents: int, unit: str) -> Trace:
    return Trace(label=label, expression=expression, filled="", result=cents / 100, unit=unit)


def _explain_need(told: NoPlan, what: str, rest: str, view: Sheet) -> Trace:
    unit = view.basis.firm.currency
    if what == "at-once":
        return _amount("Everything at once", "full estimate of one phase", told.found.at_once.price_cents, unit)
    if what == "budgets" and told.budgets_cents is not None:
        return _amount("Budgets together", "sum of what was typed", told.budgets_cents, unit)
    need = next((cents for phase, cents in told.needs if what == "need" and str(phase + 1) == rest), None)
    if need is None:
        raise NotFound(GONE)
    said = "full price of the phase in an order that keeps the other budgets, with as little in it as was found"
    return _amount(f"Phase {rest} would have to cost", said, need, unit)
