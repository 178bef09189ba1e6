"""What fits the budget: the band against the price, the next thing out and in, and the best set that was looked for."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.domain.basis import Basis
from app.domain.costing.estimate import estimate
from app.domain.costing.explain import explain
from app.domain.costing.fitting import Fit
from app.domain.costing.fitting_units import OUT, Picks, Unit, Units
from app.domain.costing.next_things import NextThing, left_out_of, next_in, next_out
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.job import Job
from app.domain.takeoff.trace import Trace
from app.interchange.trimming import trimmed
from app.services.changes import Applied
from app.services.choice_view import explain_difference
from app.services.choosing import take_set
from app.services.jobs import Order
from app.services.office import Office
from app.services.sheets import Sheet, kept
from app.worker import run_in_worker
from app.worker.fitting import fit_of, fit_payload

FIT_SECONDS = 30.0
GONE = "This set was for the job as it was. Look for the best set again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """The budget of a job against its price: what passes it or is left of it [cents]; the next thing out and in."""

    low: int | None
    high: int | None
    over_cents: int
    left_cents: int
    out: NextThing | None
    into: NextThing | None

    @property
    def known(self) -> bool:
        """Whether the client named a budget."""
        return self.low is not None or self.high is not None

    @property
    def most(self) -> int:
        """The most of the budget."""
        return self.high or self.low or 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRow:
    """One thing in the best set: what happens to it, in words."""

    unit: Unit
    happens: str  # stays, comes in, goes out, stays out
    way: str  # the way it is done by, where that is another than now


@dataclass(frozen=True, slots=True, kw_only=True)
class BestSet:
    """The best set that was found, and everything it leaves out with what the whole would cost with it."""

    fit: Fit
    rows: Sequence[SetRow]
    left: Sequence[NextThing]
    changes: bool
    could: Sequence[SetRow] = ()  # how a set that was not priced, and might fit, differs from this one


@dataclass(frozen=True, slots=True)
class _Found:
    """A set, and the very job and basis it was found for."""

    job: Job
    basis: Basis
    fit: Fit


def budget(office: Office, view: Sheet) -> Budget:
    """The budget against the price; kept while the job and its basis stand."""
    return kept(office, ("budget", view.job.head.id), view.opened, lambda: _budget(view))


def _budget(view: Sheet) -> Budget:
    head, worked = view.job.head, view.estimate
    most = head.budget_high_cents or head.budget_low_cents or 0
    units = Units(replace(view.job, packages=()))
    priced = bool(units.all) and not worked.unpriced
    return Budget(
        low=head.budget_low_cents,
        high=head.budget_high_cents,
        over_cents=max(0, worked.price_cents - most) if most else 0,
        left_cents=max(0, most - worked.price_cents),
        out=next_out(units, view.basis, worked) if priced else None,
        into=next_in(units, view.basis, worked) if priced else None,
    )


async def look_for_best(office: Office, view: Sheet, budget_cents: int) -> Fit:
    """Look for the best set under a budget, in the worker; it is remembered while the job stands as it is.

    Raises: BadValue for no budget; Refused where there is nothing to choose or something has no price.
    """
    if budget_cents <= 0:
        raise BadValue("Type what it may cost at most.", field="budget")
    job = replace(view.job, packages=(), photos=(), underlays=())
    payload = fit_payload(job, trimmed(view.basis, view.job), budget_cents)
    found = fit_of(await run_in_worker("fit", payload, deadline=FIT_SECONDS))
    office.database.memory.setdefault("fits", {})[view.job.head.id] = _Found(view.job, view.basis, found)
    return found


def best_set(office: Office, view: Sheet) -> BestSet | None:
    """The best set that was looked for, while the job and its prices stand as they were."""
    found = _found(office, view)
    if found is None:
        return None
    return kept(office, ("best set", view.job.head.id, found.fit.budget_cents), view.opened, lambda: _best_set(found))


def _found(office: Office, view: Sheet) -> _Found | None:
    found: _Found | None = office.database.memory.setdefault("fits", {}).get(view.job.head.id)
    return found if found and found.job is view.job and found.basis is view.basis else None


def _best_set(found: _Found) -> BestSet:
    units, fit = Units(found.job), found.fit
    if fit.picks is None:
        return BestSet(fit=fit, rows=(), left=(), changes=False)
    now = units.picks_now
    return BestSet(
        fit=fit,
        rows=tuple(_row(unit, was, will) for unit, was, will in zip(units.all, now, fit.picks, strict=True)),
        left=left_out_of(units, found.basis, fit.picks, fit.price_cents),
        changes=fit.picks != now,
        could=_could(units, fit),
    )


def _could(units: Units, fit: Fit) -> tuple[SetRow, ...]:
    if fit.picks is None or fit.could is None:
        return ()
    pairs = zip(units.all, fit.picks, fit.could, strict=True)
    return tuple(
        replace(_row(unit, has, might), way=unit.way_titles[might] if might != OUT and len(unit.ways) > 1 else "")
        for unit, has, might in pairs
        if has != might
    )


def _row(unit: Unit, was: int, will: int) -> SetRow:
    happens = {(True, True): "stays", (False, True): "comes in", (True, False): "goes out"}.get(
        (was != OUT, will != OUT), "stays out"
    )
    another = will not in (OUT, unit.now)
    return SetRow(unit=unit, happens=happens, way=unit.way_titles[will] if another else "")


def take_best(office: Office, view: Sheet, order: Order) -> Applied:
    """Make the best set the job's own in one change. Raises: Refused where the job was changed since."""
    found = _found(office, view)
    if found is None or found.fit.picks is None:
        raise Refused(GONE)
    wanted = Units(found.job).job_of(found.fit.picks)
    return take_set(office, view.job.head.id, wanted, replace(order, what="The best set for the budget"))


def explain_best(office: Office, view: Sheet, key: str) -> Trace:
    """The price of the best set (`price`), or what something it leaves out would add, by its id. Raises: NotFound."""
    found, best = _found(office, view), best_set(office, view)
    if found is None or best is None:
        raise NotFound(GONE)
    if key == "price":
        job = Units(found.job).job_of(best.fit.picks or _nothing(found.job))
        worked = estimate(job, found.basis)
        return explain(job, found.basis, "price", worked)
    return _explain(next((one for one in best.left if str(one.unit.id) == key), None), view)


def _nothing(job: Job) -> Picks:
    return (OUT,) * len(Units(job).all)


def explain_next(office: Office, view: Sheet, key: str) -> Trace:
    """What the next thing `out` or `in` makes of the price. Raises: NotFound."""
    known = budget(office, view)
    if key == "budget" and known.known:
        return _against(known, view)
    return _explain({"out": known.out, "in": known.into}.get(key), view)


def _against(known: Budget, view: Sheet) -> Trace:
    """The most of the budget against the price as it stands."""
    unit, now = view.basis.firm.currency, view.estimate.price_cents
    typed = Trace(label="The most of the budget", expression="as typed", filled="", result=known.most / 100, unit=unit)
    price = Trace(label="Price", expression="sum of the steps", filled="", result=now / 100, unit=unit)
    told, left = "the most of the budget − price of everything", (known.most - now) / 100
    return Trace(label="Left of the budget", expression=told, filled="", result=left, unit=unit, steps=(typed, price))


def _explain(thing: NextThing | None, view: Sheet) -> Trace:
    if thing is None:
        raise NotFound("Nothing goes out or comes in there any more. Open the page again.")
    return explain_difference(thing.difference, view.basis.firm.currency)
