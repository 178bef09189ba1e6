"""Where the figures of a price read backwards come from: `left:CENTS:WHAT`, at a price of so many cents.

WHAT is `price`, `sold`, `profit`, `margin`, `markup`, `day` (profit per crew-day), `adjustment`, `unpaid` (what of the
cost the price does not pay), `card` or `early` (profit if all is paid by card on the firm's account, or paid early);
`even` alone (`left:even`) is the price at which nothing is left.
"""

from collections.abc import Callable, Mapping

from app.domain.basis import Basis, Firm
from app.domain.costing.backwards import Left, break_even_cents, left_at
from app.domain.costing.estimate import Estimate
from app.domain.costing.pay_rules import card_fee_cents, early_discount_cents
from app.domain.errors import BadValue
from app.domain.job import Job
from app.domain.takeoff.trace import Trace, number_text

MOST_DIGITS = 13


def explain_left(job: Job, basis: Basis, worked: Estimate, figure: str) -> Trace | None:
    """How a figure of a price read backwards came about; None for what is none."""
    _, typed, what = (*figure.split(":"), "", "")[:3]
    if typed == "even":
        return _even(basis, worked)
    if not (typed.isascii() and typed.isdigit() and len(typed) <= MOST_DIGITS) or what not in {*_FIGURES, *_PAID}:
        return None
    try:
        left = left_at(job, basis, worked, int(typed))
    except BadValue:
        return None
    if what in _PAID:
        label, told, off = _PAID[what]
        taken = off(left.price_cents, basis.firm)
        filled = f"{_whole(left.profit_cents)} − {_whole(taken)}"
        return _money(
            label, left.profit_cents - taken, (told, filled), basis.firm.currency, _profit(left, basis.firm.currency)
        )
    return _FIGURES[what](left, basis.firm.currency)


def _money(label: str, cents: int, told: tuple[str, str], currency: str, *steps: Trace) -> Trace:
    return Trace(
        label=label, expression=told[0], filled=told[1], result=cents / 100, unit=currency, source="", steps=steps
    )


def _even(basis: Basis, worked: Estimate) -> Trace:
    told = ("cost + the tax the client pays on it + allowances, with no profit", "")
    return _money("Break-even price", break_even_cents(basis, worked), told, basis.firm.currency)


def _whole(cents: int) -> str:
    return number_text(cents / 100)


def _price(left: Left, currency: str) -> Trace:
    parts = [("Cost", left.cost_cents), ("Profit", left.profit_cents)]
    parts += [("Tax the client pays", left.tax_cents), ("Allowances", left.allowances_cents)]
    steps = tuple(_money(name, cents, ("", ""), currency) for name, cents in parts if cents)
    told = ("as asked for, rounded as the firm rounds prices", " + ".join(number_text(one.result) for one in steps))
    return _money("Price", left.price_cents, (told[0], told[1].replace("+ -", "− ")), currency, *steps)


def _sold(left: Left, currency: str) -> Trace:
    filled = f"{_whole(left.price_cents)} − {_whole(left.tax_cents)} − {_whole(left.allowances_cents)}"
    told = ("price − the tax the client pays − allowances", filled)
    return _money("Sold", left.sold_cents, told, currency, _price(left, currency))


def _profit(left: Left, currency: str) -> Trace:
    told = ("what is sold − what it costs the firm", f"{_whole(left.sold_cents)} − {_whole(left.cost_cents)}")
    cost = _money("Cost", left.cost_cents, ("sum of the steps before profit", ""), currency)
    return _money("Profit", left.profit_cents, told, currency, _sold(left, currency), cost)


def _share(label: str, told: tuple[str, str], share: float, *steps: Trace) -> Trace:
    return Trace(label=label, expression=told[0], filled=told[1], result=share, unit="%", steps=steps)


def _margin(left: Left, currency: str) -> Trace:
    told = ("profit / what is sold", f"{_whole(left.profit_cents)} / {_whole(left.sold_cents)}")
    return _share("Margin", told, float(left.margin * 100), _profit(left, currency), _sold(left, currency))


def _markup(left: Left, currency: str) -> Trace:
    told = ("profit / cost", f"{_whole(left.profit_cents)} / {_whole(left.cost_cents)}")
    return _share("Markup", told, float(left.markup * 100), _profit(left, currency))


def _day(left: Left, currency: str) -> Trace | None:
    if left.profit_per_day_cents is None:
        return None
    told = ("profit / crew-days", f"{_whole(left.profit_cents)} / {left.crew_days}")
    return _money("Profit per crew-day", left.profit_per_day_cents, told, currency, _profit(left, currency))


def _adjustment(left: Left, currency: str) -> Trace:
    told = ("the price asked for − the price at the margin that stands, before tax and rounding", "")
    return _money("Adjustment", left.adjustment_cents, told, currency, _price(left, currency))


def _unpaid(left: Left, currency: str) -> Trace | None:
    if left.profit_cents >= 0:
        return None
    told = ("cost − what is sold", f"{_whole(left.cost_cents)} − {_whole(left.sold_cents)}")
    return _money("Cost that is not paid", -left.profit_cents, told, currency, _sold(left, currency))


_PAID: Mapping[str, tuple[str, str, Callable[[int, Firm], int]]] = {
    "card": ("Profit if all is paid by card", "profit − fee of the card on the whole price", card_fee_cents),
    "early": ("Profit if all is paid early", "profit − discount on the whole price", early_discount_cents),
}
_FIGURES: Mapping[str, Callable[[Left, str], Trace | None]] = {
    "price": _price,
    "sold": _sold,
    "profit": _profit,
    "margin": _margin,
    "markup": _markup,
    "day": _day,
    "adjustment": _adjustment,
    "unpaid": _unpaid,
}
