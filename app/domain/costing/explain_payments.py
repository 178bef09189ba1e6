"""Where a payment comes from: its share of what, or what is left; and the contract sum that all of them make."""

from app.domain.basis import Firm
from app.domain.costing.client_prices import ClientPrices
from app.domain.costing.payments import Due, schedule
from app.domain.errors import BadValue
from app.domain.job import Job, Payment
from app.domain.takeoff.trace import Trace, number_text

SUM = -1
FEE, LEFT = -2, -3  # the design fee that is paid already; what is left to pay


def explain_payment(job: Job, firm: Firm, prices: ClientPrices, at: int) -> Trace | None:
    """How the payment at a place of the schedule came about; SUM is all of them. None where there is none.

    Amounts are told in whole units of the firm's currency.
    """
    try:
        due = schedule(job, firm, prices) if prices.contract else ()
    except BadValue:
        return None
    contract = explain_contract(job, firm, prices)
    if at == SUM:
        return contract if due else None
    if at in (FEE, LEFT):
        return _after_fee(firm, due, contract, at)
    if not 0 <= at < len(due):
        return None
    own = sorted(job.payments, key=lambda one: one.position)
    told, filled = _of(own[at], prices) if own else _usual(firm, prices, at)
    return Trace(
        label=due[at].event,
        expression=told,
        filled=filled,
        result=due[at].cents / 100,
        unit=firm.currency,
        source="typed" if own else "firm settings: the usual payments",
        steps=(contract,),
    )


def _after_fee(firm: Firm, due: tuple[Due, ...], contract: Trace, at: int) -> Trace | None:
    """The design fee that counts toward the build, or what it leaves to pay; None where none is paid."""
    paid = sum(one.paid for one in due)
    if not paid:
        return None
    fee = Trace(
        label="Design fee, paid already",
        expression="what was paid of the design fee; it counts toward the build and comes off the first payments",
        filled="",
        result=paid / 100,
        unit=firm.currency,
        source="typed on the Client sheet, with the design agreement",
        steps=tuple(_money(one.event, one.paid, firm.currency) for one in due if one.paid),
    )
    if at == FEE:
        return fee
    left = sum(one.left for one in due)
    return Trace(
        label="Left to pay",
        expression="contract sum − design fee, paid already",
        filled=f"{_whole(left + paid)} − {_whole(paid)}",
        result=left / 100,
        unit=firm.currency,
        steps=(contract, fee),
    )


def _of(payment: Payment, prices: ClientPrices) -> tuple[str, str]:
    """A payment of the job's own, in words and with its numbers."""
    if payment.cents is not None:
        return "a fixed amount, as typed", ""
    if payment.share is None:
        return "what the other payments leave of the contract sum", ""
    of_phase = payment.phase_id is not None
    base = prices.phases.get(str(payment.phase_id), 0) if of_phase else prices.contract
    whole = "the price of its phase" if of_phase else "the contract sum"
    told = f"share × {whole}, in whole money; the last payment takes what rounding leaves"
    return told, f"{payment.share:f} × {number_text(base / 100)}"


def _usual(firm: Firm, prices: ClientPrices, at: int) -> tuple[str, str]:
    """One of the firm's usual payments."""
    if at == 0 and firm.deposit_share:
        return "deposit share × the contract sum, in whole money", f"{firm.deposit_share:f} × {_whole(prices.contract)}"
    return "its share of what the deposit leaves: by phase, then 40% delivered, 35% half built, 25% finished", ""


def explain_contract(job: Job, firm: Firm, prices: ClientPrices) -> Trace:
    """The contract sum: the phases that stand inside it."""
    unit, outside = firm.currency, prices.whole - prices.contract
    steps = [_money("Price of everything", prices.whole, unit)]
    if outside:
        steps.append(_money("Phases offered as a range, outside the contract sum", -outside, unit))
    told = "price of everything − phases that are offered as a range" if job.phases else "price of everything"
    return Trace(
        label="Contract sum",
        expression=told,
        filled=f"{_whole(prices.whole)} − {_whole(outside)}" if outside else "",
        result=prices.contract / 100,
        unit=unit,
        steps=tuple(steps),
    )


def _money(label: str, cents: int, unit: str) -> Trace:
    return Trace(label=label, expression="", filled="", result=cents / 100, unit=unit)


def _whole(cents: int) -> str:
    return number_text(cents / 100)
