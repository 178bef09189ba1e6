"""Sums of selling: markup and margin are not the same; what a loan costs by the month. For our own eyes only."""

from app.domain.trades.validity import above_zero, within


def price_at_margin(cost: float, margin: float) -> float:
    """The price of which `margin` [share of the price, 0 to 0.95] is left above `cost`, both in one money.

    Raises: OutsideValidity. Source: definition.

    >>> price_at_margin(80, 0.20)
    100.0
    """
    return cost / (1 - within("Margin", margin, 0, 0.95))


def markup_of(margin: float) -> float:
    """The markup on cost [share] that leaves `margin` [share of the price, 0 to 0.95]. Raises: OutsideValidity.

    >>> round(markup_of(0.20), 4)
    0.25
    """
    return within("Margin", margin, 0, 0.95) / (1 - margin)


def margin_of(markup: float) -> float:
    """The margin [share of the price] that a `markup` [share of cost, 0 to 20] leaves. Raises: OutsideValidity.

    >>> margin_of(0.25)
    0.2
    """
    return within("Markup", markup, 0, 20) / (1 + markup)


def monthly_payment(principal: float, yearly_rate: float, months: int) -> float:
    """The level payment at the end of each month that pays a loan off, in the money of `principal`.

    `yearly_rate` is nominal, by the month [share, 0 to 0.5]; `months` 1 to 480. Raises: OutsideValidity.
    Source: annuity formula.

    >>> round(monthly_payment(10000, 0.06, 60), 2)
    193.33
    """
    within("Rate", yearly_rate, 0, 0.5)
    within("Months", months, 1, 480)
    above_zero("Amount", principal)
    rate = yearly_rate / 12
    if rate == 0:
        return principal / months
    return principal * rate / (1 - (1 + rate) ** -months)
