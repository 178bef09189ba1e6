"""Payments by visible events as the Phases sheet shows them: they add up to the contract sum to the cent."""

from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from uuid import UUID, uuid4

from app.domain.costing.client_prices import ClientPrices, client_prices
from app.domain.costing.payments import Due, schedule
from app.domain.errors import BadValue, Refused
from app.domain.job import Payment
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.sheets import Sheet, sheet

FINE = Decimal("0.0001")


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentLine:
    """One payment: what is due when; `payment` is None while the firm's usual ones stand in."""

    payment: Payment | None
    event: str
    phase: str
    cents: int
    paid: int = 0  # of it, with the design fee


@dataclass(frozen=True, slots=True, kw_only=True)
class Payments:
    """The payments of a job with their sum, or the sentence that says why they do not add up."""

    lines: tuple[PaymentLine, ...]
    sum_cents: int
    usual: bool
    wrong: str = ""
    paid_cents: int = 0

    @property
    def left_cents(self) -> int:
        """What is left to pay once the design fee that counts toward the build is off."""
        return self.sum_cents - self.paid_cents


def payments(view: Sheet) -> Payments:
    """The payments of a job; the firm's usual ones where none are set."""
    prices = client_prices(view.job, view.estimate)
    ordered = sorted(view.job.payments, key=lambda one: one.position)
    try:
        due = schedule(view.job, view.basis.firm, prices) if prices.contract else ()
    except BadValue as wrong:
        return Payments(lines=_bare(view, ordered), sum_cents=prices.contract, usual=False, wrong=wrong.sentence)
    if ordered and not due:
        return Payments(lines=_bare(view, ordered), sum_cents=0, usual=False)
    known: list[Payment | None] = list(ordered) if ordered else [None] * len(due)
    lines = tuple(
        PaymentLine(payment=payment, event=one.event, phase=one.phase, cents=one.cents, paid=one.paid)
        for payment, one in zip(known, due, strict=True)
    )
    paid = sum(one.paid for one in due)
    return Payments(lines=lines, sum_cents=sum(one.cents for one in due), usual=not ordered, paid_cents=paid)


def _bare(view: Sheet, ordered: list[Payment]) -> tuple[PaymentLine, ...]:
    names = {phase.id: f"Phase {phase.number}" for phase in view.job.phases}
    return tuple(
        PaymentLine(
            payment=one,
            event=one.event,
            phase=names.get(one.phase_id, "") if one.phase_id else "",
            cents=one.cents or 0,
        )
        for one in ordered
    )


def use_usual(office: Office, job_id: UUID, order: Order) -> Applied:
    """Set the firm's usual payments as the job's own, to be changed one by one; the last takes what is left.

    Raises: Refused when the job has payments of its own, or no price yet.
    """
    view = sheet(office, job_id)
    prices = client_prices(view.job, view.estimate)
    if view.job.payments:
        raise Refused("This job has payments of its own already. Change them one by one.")
    if not prices.contract:
        raise Refused("There is no contract sum yet to pay. Build and price a zone first.")
    due = schedule(view.job, view.basis.firm, prices)
    last = len(due) - 1
    edits = tuple(made("payment", _own(one, at, prices, is_last=at == last)) for at, one in enumerate(due))
    return jobs.save(office, job_id, edits, replace(order, what="The usual payments"))


def _own(due: Due, position: int, prices: ClientPrices, *, is_last: bool) -> Payment:
    share = (Decimal(due.cents) / prices.contract).quantize(FINE, ROUND_HALF_UP)
    event = f"{due.event}, {due.phase.lower()}" if due.phase else due.event
    return Payment(id=uuid4(), event=event, share=None if is_last else share, position=position)
