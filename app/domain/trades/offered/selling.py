"""Markup and margin, a loan: sums of selling, never shown in the yard."""

from app.domain.trades import selling_sums
from app.domain.trades.calculation import Calculation, Input, Output, Working
from app.domain.trades.quantity import COUNT, MONEY, SHARE

TRADE = "Selling"


def _margin(it: Working) -> None:
    price = it.step("price", selling_sums.price_at_margin(it["cost"], it["margin"]), "cost / (1 - margin)")
    it.step("profit", price - it["cost"], "price - cost")
    it.step("markup", selling_sums.markup_of(it["margin"]), "margin / (1 - margin)")
    wrong = it.step("mistaken", it["cost"] * (1 + it["margin"]), "cost * (1 + margin)")
    it.step("lost", price - wrong, "price - mistaken")


def _markup(it: Working) -> None:
    price = it.step("price", it["cost"] * (1 + it["markup"]), "cost * (1 + markup)")
    it.step("profit", price - it["cost"], "price - cost")
    it.step("margin", selling_sums.margin_of(it["markup"]), "markup / (1 + markup)")


def _loan(it: Working) -> None:
    paid = selling_sums.monthly_payment(it["amount"], it["rate"], round(it["months"]))
    if it["rate"]:
        it.step("payment", paid, "amount * rate / 12 / (1 - (1 + rate / 12) ** (-months))")
    else:
        it.step("payment", paid, "amount / months")
    total = it.step("total", paid * it["months"], "payment * months")
    it.step("interest", total - it["amount"], "total - amount")


_COST = Input(name="cost", label="Cost", quantity=MONEY, default=10_000.0, most=1e8)
_PRICE = Output(name="price", label="Price", quantity=MONEY, main=True)
_PROFIT = Output(name="profit", label="Left above cost", quantity=MONEY)

CALCULATIONS = (
    Calculation(
        key="margin",
        title="Price from a margin",
        trade=TRADE,
        words="A margin is a share of the price; taken for a markup it costs money.",
        inputs=(_COST, Input(name="margin", label="Margin wanted", quantity=SHARE, default=0.20, most=0.95)),
        outputs=(
            _PRICE,
            _PROFIT,
            Output(name="markup", label="The same as a markup of", quantity=SHARE, main=True),
            Output(name="mistaken", label="Price if the margin is taken for a markup", quantity=MONEY),
            Output(name="lost", label="Lost by that mistake", quantity=MONEY, main=True),
        ),
        work=_margin,
        validity="Margins below 95%.",
        source="Definition.",
        assumes=("Cost holds overhead where it is to be paid from the price.",),
        money=True,
        differs="Markup is on the cost, margin in the price: 25 % of markup is 20 % of margin. Taken for "
        "one another the price is 6 % short.",
        search="profit price percent",
    ),
    Calculation(
        key="markup",
        title="Price from a markup",
        trade=TRADE,
        words="A markup is a share of cost; what margin it leaves.",
        inputs=(_COST, Input(name="markup", label="Markup on cost", quantity=SHARE, default=0.25, most=20.0)),
        outputs=(_PRICE, _PROFIT, Output(name="margin", label="Margin it leaves", quantity=SHARE, main=True)),
        work=_markup,
        validity="Markups up to twenty times the cost.",
        source="Definition.",
        money=True,
        differs="Markup is on the cost, margin in the price: 25 % of markup is 20 % of margin. Taken for "
        "one another the price is 6 % short.",
        search="profit price percent",
    ),
    Calculation(
        key="loan",
        title="Loan by the month",
        trade=TRADE,
        words="What a machine or a client's loan costs each month and in all.",
        inputs=(
            Input(name="amount", label="Amount", quantity=MONEY, default=25_000.0, least=1.0, most=1e8),
            Input(name="rate", label="Rate by the year", quantity=SHARE, default=0.08, most=0.5),
            Input(name="months", label="Months", quantity=COUNT, default=60.0, least=1.0, most=480.0),
        ),
        outputs=(
            Output(name="payment", label="By the month", quantity=MONEY, main=True),
            Output(name="total", label="Paid in all", quantity=MONEY),
            Output(name="interest", label="Of it interest", quantity=MONEY, main=True),
        ),
        work=_loan,
        validity="Level payments at the end of each month, no fees, a rate that does not change.",
        source="Annuity formula. A lender's own papers say what really is paid.",
        money=True,
        differs="By the effective yearly rate 8 % is 7.72 % in twelfths: $25,000 over 60 months is paid "
        "by $503.58 a month, here $506.91.",
        search="finance payment interest machine",
    ),
)
