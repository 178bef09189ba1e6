"""Money: integer cents, rounded once and shared without losing one."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import floor, isfinite

from app.domain.errors import BadValue

HALF_CENT_TOLERANCE = 1e-6  # cents: float noise below half a cent never decides which way it rounds
_NOISE, _FINE = HALF_CENT_TOLERANCE.as_integer_ratio()
_BEYOND_HALF = _FINE + 2 * _NOISE  # what brings half a cent and that noise to a whole one, over 2 · _FINE


def cents(amount: float | Decimal | Fraction) -> int:
    """An amount of whole money as cents, halves away from zero.

    What lies within a millionth of a cent below a half is that half. Raises: BadValue when not finite.

    >>> cents(1.005), cents(-1.005), cents(Decimal("0.0149"))
    (101, -101, 1)
    """
    if isinstance(amount, float) and not isfinite(amount):
        raise BadValue("An amount of money is too large to be counted.")
    if isinstance(amount, float | int):
        return _half_up(amount * 100)
    above, below = amount.as_integer_ratio()
    rounded = (abs(above) * 200 * _FINE + below * _BEYOND_HALF) // (2 * below * _FINE)  # in whole numbers: exact
    return -rounded if above < 0 else rounded


def cost(amount: float, unit_price: Decimal) -> int:
    """What `amount` bought units cost at `unit_price` [whole money per unit, to 1/10,000], in cents.

    >>> cost(2.5, Decimal("0.0325")), cost(3.0, Decimal("4.85"))
    (8, 1455)
    """
    if not isfinite(amount):
        raise BadValue("An amount is too large to be priced.")
    return _half_up(amount * _ten_thousandths(unit_price) / 100)


@lru_cache(maxsize=4096)
def _ten_thousandths(unit_price: Decimal) -> int:
    exact = unit_price * 10_000
    if not exact.is_finite() or exact != exact.to_integral_value():
        raise BadValue(f"A unit price of {unit_price} is finer than 1/10,000. Give four decimals at most.")
    return int(exact)


def _half_up(hundredths: float) -> int:
    rounded = floor(abs(hundredths) + 0.5 + HALF_CENT_TOLERANCE)
    return -rounded if hundredths < 0 else rounded


def share(total: int, weights: Sequence[float]) -> tuple[int, ...]:
    """`total` cents shared by weights (each ≥ 0): whole cents that add up to it exactly, by largest remainder.

    Nobody gets a cent more or less than the exact share rounded up or down; equal remainders go by position;
    a weight of zero gets nothing, and weights that are all zero share evenly. No part has the other sign.
    Raises: BadValue for negative or infinite weights, or when there is nobody to share among.

    >>> share(100, [1, 1, 1]), share(-100, [2, 1, 0])
    ((34, 33, 33), (-67, -33, 0))
    """
    if not weights:
        if total == 0:
            return ()
        raise BadValue("There is nothing to share the amount among.")
    if total < 0:
        return tuple(-part for part in share(-total, weights))
    exact = _exact(weights)
    whole = sum(exact)
    quotas = [divmod(total * weight, whole) for weight in exact]
    parts = [quota for quota, _ in quotas]
    order = sorted(range(len(exact)), key=lambda place: -quotas[place][1])
    for place in order[: total - sum(parts)]:
        parts[place] += 1
    return tuple(parts)


def _exact(weights: Sequence[float]) -> list[int]:
    """The weights as whole numbers in exactly the same proportions; all zero: all one."""
    if any(not isfinite(weight) or weight < 0 for weight in weights):
        raise BadValue("An amount is shared by weights of zero or more.")
    ratios = [weight.as_integer_ratio() for weight in weights]
    common = max(below for _, below in ratios)  # powers of two: the largest is a multiple of all
    exact = [above * (common // below) for above, below in ratios]
    return exact if any(exact) else [1] * len(exact)
