"""The build-up read backwards: what a price leaves of profit, and what price a margin gives, to the cent.

Cost does not move with the price, so a price is met by its profit alone: the profit (or the adjustment beside the
margin that stands) is looked for among whole cents, and what is found is what the forward build-up gives back. Profit
here is what is left of the price for the firm: without the tax the client pays and without allowances, and with the
last rounding.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from app.domain.basis import Basis, Firm
from app.domain.costing.estimate import Estimate, own_terms
from app.domain.costing.price import Costed, before_rounding, costed, margin_left, profit_cents, rounded, sold
from app.domain.errors import BadValue
from app.domain.findings import Finding, Severity
from app.domain.job import Job
from app.domain.units import format_money

MOST_PRICE_CENTS = 10**12
NOT_THE_JOBS_OWN = ("overhead", "contingency", "risks")


class Standing(StrEnum):
    """What a price pays for."""

    PROFIT = "profit"
    BREAK_EVEN = "break-even"  # cost and nothing more
    SHORT = "short"  # the job's own cost, but not all of its overhead and contingency
    LOSS = "loss"  # not even what the job itself costs


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What a price leaves. Shares are fractions; money in cents.

    `margin` is profit over what is sold (the price without tax and allowances), `markup` the same profit over cost.
    `own_margin` and `adjustment_cents` are what would bring the job to this price, each alone.
    """

    price_cents: int
    sold_cents: int
    cost_cents: int
    overhead_cents: int  # what of the cost is overhead, contingency and risks: not yet spent on the job
    tax_cents: int
    allowances_cents: int
    profit_cents: int
    margin: Decimal
    markup: Decimal
    crew_days: int
    profit_per_day_cents: int | None  # None without a crew day
    standing: Standing
    own_margin: Decimal
    adjustment_cents: int


def left_at(job: Job, basis: Basis, worked: Estimate, price_cents: int) -> Left:
    """What is left at a price [cents], first rounded as the firm rounds prices.

    Raises: BadValue where nothing is priced, or where the allowances alone come to more.
    """
    costing = _costing(basis, worked)
    asked = _asked(costing, basis.firm, price_cents)
    profit = _found(lambda at: before_rounding(costing, at), 1 - costing.total, asked)
    return _left(job, basis.firm, worked, costing, profit)


def price_at(job: Job, basis: Basis, worked: Estimate, margin: Decimal) -> Left:
    """The price that a margin gives, and what it leaves. Raises: BadValue for 100% and more, or nothing priced."""
    costing = _costing(basis, worked)
    left = _left(job, basis.firm, worked, costing, profit_cents(costing.total, margin))
    return replace(left, own_margin=margin)


def break_even_cents(basis: Basis, worked: Estimate) -> int:
    """The price at which a job leaves neither profit nor loss [cents], before it is rounded."""
    return before_rounding(costed(worked.cells, basis.firm), 0)


def price_points(worked: Estimate, currency: str) -> tuple[Finding, ...]:
    """An open point where a job is sold for less than it costs the firm: on purpose, or by a slip."""
    lost = -worked.build_up.profit_cents
    if lost <= 0:
        return ()
    return (
        Finding(
            rule="sold-below-cost",
            severity=Severity.WARN,
            where="job",
            what=f"This job is sold for {format_money(lost, currency)} less than it costs, overhead counted.",
            measured=str(lost),
            remedy="Look at the margin and what was taken off, on the page from cost to price.",
        ),
    )


def _costing(basis: Basis, worked: Estimate) -> Costed:
    costing = costed(worked.cells, basis.firm)
    if costing.total <= 0:
        raise BadValue("Nothing of this job is priced yet, so no price can be read backwards.", field="price")
    return costing


def _asked(costing: Costed, firm: Firm, price_cents: int) -> int:
    asked = rounded(price_cents, firm.round_to_cents)
    if asked > MOST_PRICE_CENTS:
        raise BadValue("That is more than a back yard can cost. Look at the price again.", field="price")
    allowances = int(costing.allowances.sum())
    if asked <= allowances:
        told = f"{format_money(asked)} does not pay the allowances of {format_money(allowances)}. Type a higher price."
        raise BadValue(told, field="price")
    return asked


def _found(price_of: Callable[[int], int], low: int, asked: int) -> int:
    """The most cents (of profit, of adjustment) at which the price, not yet rounded, is no more than asked.

    A cent more is a cent more of price and the tax on it, so the price never falls and two bounds close on it.
    """
    high = max(low, asked)
    while low < high:
        middle = (low + high + 1) // 2
        if price_of(middle) <= asked:
            low = middle
        else:
            high = middle - 1
    return low


def _left(job: Job, firm: Firm, worked: Estimate, costing: Costed, profit: int) -> Left:
    at = sold(costing, firm, profit)
    cost, kept = costing.total, at.profit_cents
    overhead = sum(one.cents for one in costing.steps if one.name in NOT_THE_JOBS_OWN)
    days = sum(one.days for one in worked.crew_days)
    return Left(
        price_cents=at.price_cents,
        sold_cents=cost + kept,
        cost_cents=cost,
        overhead_cents=overhead,
        tax_cents=at.step("sales tax").cents,
        allowances_cents=at.step("allowances").cents,
        profit_cents=kept,
        margin=margin_left(cost + kept, cost),
        markup=Decimal(kept) / cost,
        crew_days=days,
        profit_per_day_cents=round(Fraction(kept, days)) if days else None,
        standing=_standing(kept, overhead),
        own_margin=Decimal(profit) / (cost + profit),  # so fine that it gives this profit back to the cent
        adjustment_cents=_adjustment(job, firm, costing, at.price_cents),
    )


def _standing(profit: int, overhead: int) -> Standing:
    if profit >= 0:
        return Standing.PROFIT if profit else Standing.BREAK_EVEN
    return Standing.SHORT if -profit <= overhead else Standing.LOSS


def _adjustment(job: Job, firm: Firm, costing: Costed, asked: int) -> int:
    """What to put on or take off beside the margin that stands, so that the price is the one asked for."""
    own = own_terms(job).margin
    profit = profit_cents(costing.total, firm.margin if own is None else own)
    return _found(lambda at: before_rounding(costing, profit, at), 1 - costing.total - profit, asked)
