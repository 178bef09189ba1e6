"""Payments by visible events: they add up to the contract sum to the cent; what rounding leaves is in the last one."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from app.domain.basis import Firm
from app.domain.costing.client_prices import ClientPrices
from app.domain.errors import BadValue
from app.domain.job import Firmness, Head, Job, Payment, Phase
from app.domain.money import share


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """One payment: the visible event it is due at, its phase, its amount [cents].

    `paid` of it came with the design fee, where that counts toward the build.
    """

    event: str
    phase: str  # "Phase 1", or empty for the whole
    cents: int
    paid: int = 0

    @property
    def left(self) -> int:
        """What is still to pay of it [cents]."""
        return self.cents - self.paid


def schedule(job: Job, firm: Firm, prices: ClientPrices) -> tuple[Due, ...]:
    """The payments of a job; the firm's usual ones where none are set.

    A share is of its phase's contract price, or of the whole; a payment with neither share nor amount takes what is
    left. Without such a one the last takes it. A paid design fee that counts toward the build comes off the earliest.
    Raises: BadValue when fixed payments pass the contract sum.
    """
    payments = sorted(job.payments, key=lambda one: one.position)
    if not payments:
        due = _usual(job, firm, prices)
    else:
        due = _closed(job, payments, [_amount(one, prices) for one in payments], prices.contract)
    return _less_fee(due, fee_paid(job.head, firm))


def last_takes(job: Job, prices: ClientPrices) -> tuple[Payment, int] | None:
    """The last payment and what it takes beyond what was typed for it [cents], where none was left open for that.

    None where they add up: rounding to whole money is no difference.
    """
    payments = sorted(job.payments, key=lambda one: one.position)
    amounts = [_amount(one, prices) for one in payments]
    if not payments or None in amounts:
        return None
    left = prices.contract - sum(amount or 0 for amount in amounts)
    return (payments[-1], left) if abs(left) > 100 * len(payments) else None


def fee_counts(head: Head, firm: Firm) -> bool:
    """Whether the design fee counts toward the build: as the job says, else as the firm has it."""
    return head.design_credit == "yes" if head.design_credit else firm.design_credit


def fee_paid(head: Head, firm: Firm) -> int:
    """What was paid of the design fee and counts toward the build [cents]."""
    return max(0, head.design_fee_paid_cents or 0) if fee_counts(head, firm) else 0


def _less_fee(due: tuple[Due, ...], fee: int) -> tuple[Due, ...]:
    found = []
    for one in due:
        taken = min(fee, max(0, one.cents))
        fee -= taken
        found.append(replace(one, paid=taken) if taken else one)
    return tuple(found)


def _amount(payment: Payment, prices: ClientPrices) -> int | None:
    if payment.cents is not None:
        return payment.cents
    if payment.share is None:
        return None
    base = prices.phases.get(str(payment.phase_id), 0) if payment.phase_id else prices.contract
    return _whole(base * payment.share)


def _closed(job: Job, payments: Sequence[Payment], amounts: list[int | None], contract: int) -> tuple[Due, ...]:
    left = contract - sum(amount for amount in amounts if amount is not None)
    open_ones = [at for at, amount in enumerate(amounts) if amount is None] or [len(amounts) - 1]
    for at, part in zip(open_ones, share(left, [1] * len(open_ones)), strict=True):
        amounts[at] = (amounts[at] or 0) + part
    final = [amount or 0 for amount in amounts]
    if any(amount < 0 for amount in final):
        raise BadValue("The payments add up to more than the contract sum. Lower one of them, or leave one open.")
    names = {phase.id: f"Phase {phase.number}" for phase in job.phases}
    return tuple(
        Due(event=one.event, phase=names.get(one.phase_id, "") if one.phase_id else "", cents=amount)
        for one, amount in zip(payments, final, strict=True)
    )


def _usual(job: Job, firm: Firm, prices: ClientPrices) -> tuple[Due, ...]:
    """A deposit at signing, then per phase in the contract: materials on site, half built, finished and walked."""
    phases = [phase for phase in job.phases if phase.firmness is not Firmness.RANGE]
    deposit = min(_whole(prices.contract * firm.deposit_share), prices.contract)
    rest = prices.contract - deposit
    due = [Due(event="At signing", phase="", cents=deposit)] if deposit else []
    rows: list[tuple[Phase | None, int]] = [(phase, max(0, prices.phases.get(str(phase.id), 0))) for phase in phases]
    rows = [row for row in rows if row[1]] or [(None, 1)]
    for (phase, _), part in zip(rows, _shared(rest, [weight for _, weight in rows]), strict=True):
        name = f"Phase {phase.number}" if phase and len(job.phases) > 1 else ""
        due += [
            Due(event=event, phase=name, cents=amount)
            for event, amount in zip(_EVENTS, _in_parts(part), strict=True)
            if amount
        ]
    return tuple(due)


_EVENTS = ("Materials delivered", "Base compacted and checked together", "Finished and walked together")
_WEIGHTS = (40, 35, 25)


def _whole(cents: Decimal) -> int:
    """Rounded half up to whole money."""
    return int((cents / 100).to_integral_value(ROUND_HALF_UP)) * 100


def _shared(total: int, weights: list[int]) -> tuple[int, ...]:
    """Shared in whole money; odd cents go to the last."""
    units, odd = divmod(total, 100)
    parts = [unit * 100 for unit in share(units, weights)]
    parts[-1] += odd
    return tuple(parts)


def _in_parts(part: int) -> tuple[int, ...]:
    return _shared(part, list(_WEIGHTS))
