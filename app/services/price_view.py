"""The page of the whole build-up: from direct cost to price, by zone and phase, and backwards from a price."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from uuid import UUID, uuid4

from app.domain.basis import CostClass, Firm
from app.domain.costing.backwards import Left, break_even_cents, left_at, price_at
from app.domain.costing.estimate import Estimate
from app.domain.costing.grouping import By
from app.domain.costing.parts import PartBuildUp, by_part
from app.domain.costing.pay_rules import card_fee_cents, early_discount_cents
from app.domain.costing.price import COST_STEPS, STEPS, markup_of
from app.domain.costing.risks import OfferedRisk, expected_cents, offered
from app.domain.errors import BadValue, NotFound
from app.domain.job import Risk
from app.interchange.starting_risks import starting_risks
from app.services import jobs
from app.services.changes import Applied
from app.services.estimate_view import STEP_TITLES
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet, sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One step of the build-up: what it adds, and what the price has come to with it; `classes` where it has them."""

    name: str
    title: str
    words: str
    cents: int
    comes_to_cents: int
    classes: Sequence[tuple[str, int]] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceSheet:
    """The build-up forward, in parts, and what the price as it stands leaves."""

    rungs: Sequence[Rung]
    after_cost: Sequence[Rung]
    by: By
    steps: Sequence[tuple[str, str]]  # columns of the parts: name and title
    parts: Sequence[PartBuildUp]
    risks: Sequence[tuple[Risk, int]]  # each with its expected cost [cents]
    offered_risks: Sequence[tuple[OfferedRisk, str]]  # with what of this site gives reason
    now: Left | None  # None while nothing is priced
    even: Left | None  # at the first price, of those the firm rounds to, that loses nothing
    firm_margin: Decimal
    paid_ways: Sequence[tuple[str, str, int]]  # how it may be paid at the firm's cost: key, words, profit then [cents]
    set_margin: Decimal  # the job's own where it has one
    set_markup: Decimal


def price_sheet(office: Office, view: Sheet, by: By) -> PriceSheet:
    """What the page shows."""
    job, basis, worked = view.job, view.basis, view.estimate
    rungs = _rungs(worked)
    margin = basis.firm.margin if job.head.own_margin is None else job.head.own_margin
    used = [one for one in STEPS if worked.build_up.step(one).cents]
    return PriceSheet(
        rungs=[one for one in rungs if one.name in COST_STEPS],
        after_cost=[one for one in rungs if one.name not in COST_STEPS],
        by=by,
        steps=[(name, STEP_TITLES[name]) for name in used],
        parts=by_part(by, job, basis, worked),
        risks=[(one, expected_cents(one)) for one in job.risks],
        offered_risks=offered(job, starting_risks(office.settings.library)),
        now=_left_at(view, worked.price_cents),
        even=_left_at(view, _up_to(break_even_cents(basis, worked), basis.firm.round_to_cents)),
        firm_margin=basis.firm.margin,
        paid_ways=_paid_ways(worked, basis.firm),
        set_margin=margin,
        set_markup=markup_of(margin),
    )


def _paid_ways(worked: Estimate, firm: Firm) -> list[tuple[str, str, int]]:
    """What is left where the client pays in a way that costs the firm."""
    profit, price = worked.build_up.profit_cents, worked.price_cents
    ways = []
    if firm.card_rule == "absorbed" and firm.card_fee:
        ways.append(("card", "Profit if all is paid by card", profit - card_fee_cents(price, firm)))
    if firm.early_pay:
        ways.append(("early", "Profit if all is paid early", profit - early_discount_cents(price, firm)))
    return ways


def _up_to(cents: int, step: int) -> int:
    return -(-cents // max(1, step)) * max(1, step)


def _left_at(view: Sheet, price_cents: int) -> Left | None:
    try:
        return left_at(view.job, view.basis, view.estimate, price_cents)
    except BadValue:
        return None


def _rungs(worked: Estimate) -> list[Rung]:
    told, running = [], 0
    for step in worked.build_up.steps:
        running += step.cents
        if step.cents or step.name == "direct":
            found = worked.cost_by_class
            classes = [(one.value, found[one.value]) for one in CostClass if found.get(one.value)]
            told.append(
                Rung(
                    name=step.name,
                    title=STEP_TITLES[step.name],
                    words=step.words,
                    cents=step.cents,
                    comes_to_cents=running,
                    classes=[one for one in classes if one[0] != CostClass.ALLOWANCE] if step.name == "direct" else (),
                )
            )
    return told


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A price or a margin to read the build-up by; the price first where both were typed."""

    price_cents: int | None = None
    margin: Decimal | None = None


def read_backwards(view: Sheet, asked: Asked) -> Left | None:
    """What is left at a typed price, or the price of a typed margin; None where nothing was typed.

    Raises: BadValue for a price or margin that cannot be.
    """
    if asked.price_cents is not None:
        return left_at(view.job, view.basis, view.estimate, asked.price_cents)
    if asked.margin is not None:
        there = price_at(view.job, view.basis, view.estimate, asked.margin)
        back = left_at(view.job, view.basis, view.estimate, there.price_cents)
        return replace(back, own_margin=asked.margin)
    return None


def set_own_margin(office: Office, job_id: UUID, asked: Asked, reason: str, order: Order) -> Applied:
    """Sell this job at a margin of its own: the one typed, or the one that is left at the price typed."""
    left = _left(office, job_id, asked)
    fields = {"own_margin": left.own_margin, "own_margin_reason": reason, "adjustment_cents": 0}
    fields |= {"adjustment_title": "", "adjustment_reason": "", "price_set_by": office.who()}
    return _set(office, job_id, fields, replace(order, what="This job's own margin"))


def set_adjustment(office: Office, job_id: UUID, asked: Asked, words: tuple[str, str], order: Order) -> Applied:
    """Bring the price to what was asked for by a named adjustment (title, reason) beside the margin that stands."""
    left = _left(office, job_id, asked)
    fields = {"adjustment_cents": left.adjustment_cents, "adjustment_title": words[0], "adjustment_reason": words[1]}
    return _set(office, job_id, {**fields, "price_set_by": office.who()}, replace(order, what=words[0][:60]))


def take_firm_terms(office: Office, job_id: UUID, order: Order) -> Applied:
    """Back to the firm's margin, without an adjustment."""
    fields = {"own_margin": None, "own_margin_reason": "", "adjustment_cents": 0}
    fields |= {"adjustment_title": "", "adjustment_reason": "", "price_set_by": ""}
    return _set(office, job_id, fields, replace(order, what="Back to the firm's margin"))


def _left(office: Office, job_id: UUID, asked: Asked) -> Left:
    left = read_backwards(sheet(office, job_id), asked)
    if left is None:
        raise BadValue("Type a price or a margin first, then say why.", field="price")
    return left


def take_offered_risk(office: Office, job_id: UUID, key: str, order: Order) -> Applied:
    """List an offered risk on the job, with the library's figures to begin from. Raises: NotFound."""
    one = next((one for one in starting_risks(office.settings.library) if one.key == key), None)
    if one is None:
        raise NotFound("The library offers no such risk (any more). Type it in yourself.")
    job = jobs.open_job(office, job_id).job
    risk = Risk(
        id=uuid4(),
        title=one.title,
        chance=one.chance,
        low_cents=one.low * 100,
        likely_cents=one.likely * 100,
        high_cents=one.high * 100,
        carried_by=one.carried_by,
        words=one.words,
        offer=one.key,
        position=max((other.position for other in job.risks), default=-1) + 1,
    )
    return jobs.save(office, job_id, (made("risk", risk),), replace(order, what=f"Risk: {one.title}"[:60]))


def _set(office: Office, job_id: UUID, fields: Mapping[str, object], order: Order) -> Applied:
    version = jobs.open_job(office, job_id).version_read(order, "job", job_id)
    return jobs.save(office, job_id, (changed("job", job_id, version, fields),), order)
