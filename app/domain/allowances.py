"""How an allowance is settled once the thing is chosen, as it is printed beside its amount."""

from decimal import ROUND_HALF_UP, Decimal

from app.domain.job import Allowance, Covers
from app.domain.units import format_share

_COVERS = {
    Covers.BUILT: "It pays for the thing bought, brought and put in place.",
    Covers.BOUGHT: "It pays for the thing bought and brought; putting it in place is in the price beside it.",
}


def true_up_rule(allowance: Allowance | None = None) -> str:
    """What the money pays for, how the difference is settled, and by when there must be a choice.

    None: the rule of money that the price book sets aside. The markup is on what goes beyond the amount only; what is
    saved comes off in full. Source: common practice.

    >>> true_up_rule(None).split(". ")[1].removesuffix(".")
    'What it costs more or less than the amount is added or taken off, in writing, before it is ordered'
    """
    covers = _COVERS[allowance.covers if allowance else Covers.BUILT]
    parts = [covers, _difference(allowance.markup if allowance else Decimal(0))]
    if allowance and allowance.choose_by:
        day = allowance.choose_by
        parts.append(f"To be chosen by {day:%B} {day.day}, {day.year}.")
    return " ".join(parts)


def _difference(markup: Decimal) -> str:
    if not markup:
        return "What it costs more or less than the amount is added or taken off, in writing, before it is ordered."
    return (
        f"What it costs beyond the amount is added with {format_share(markup, 2)} on that part; what it costs less "
        "comes off in full. Both in writing, before it is ordered."
    )


def trued_up_cents(allowance: Allowance, actual_cents: int) -> int:
    """What is added to the contract sum [cents] once the thing cost `actual_cents`; negative: what comes off.

    >>> from uuid import UUID
    >>> tile = Allowance(id=UUID(int=1), cents=1_000_00, markup=Decimal("0.15"))
    >>> trued_up_cents(tile, 1_200_00), trued_up_cents(tile, 900_00), trued_up_cents(tile, 1_000_00)
    (23000, -10000, 0)
    """
    more = actual_cents - allowance.cents
    if more <= 0:
        return more
    return more + int((Decimal(more) * allowance.markup).to_integral_value(ROUND_HALF_UP))
