"""Lines cut from stock lengths: edging, pipe, conduit. Whole lengths first, then the rests, longest first."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor

from app.domain.errors import BadValue

WHOLE_WITHIN = 1 / 16 / 12  # ft: a rest shorter than 1/16 in is no piece
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class StockPlan:
    """How stretches are made from stock lengths.

    `lengths` are opened, `couplings` join pieces within a stretch, `cuts` are sawn, `left` [ft] is left over. No plan
    opens fewer than `least` lengths: so it is known how far from the best this one can be.
    """

    lengths: int
    couplings: int
    cuts: int
    left: float
    least: int


def from_stock(stretches: Iterable[float], stock: float, *, kerf: float = 0.0) -> StockPlan:
    """Cut stretches [ft] from stock lengths [ft]; each stretch gets whole lengths and one rest.

    First fit, longest rest first: at most 11/9 of the best plan's lengths and 6/9 more (Dósa, 2007).
    Raises: BadValue for a stock length of nothing.

    >>> from_stock([12.0, 6.0, 25.0], 10.0)
    StockPlan(lengths=5, couplings=3, cuts=3, left=7.0, least=5)
    """
    if not stock > WHOLE_WITHIN:
        raise BadValue(f"A stock length of {stock * 12:g} in cannot be cut from. Give what the material is sold in.")
    wanted = [one for one in stretches if one > WHOLE_WITHIN]
    wholes, rests, couplings = 0, [], 0
    for stretch in wanted:
        whole = floor(stretch / stock + _SLACK)
        rest = stretch - whole * stock
        if rest > WHOLE_WITHIN:
            rests.append(rest)
        wholes += whole
        couplings += max(0, whole + (rest > WHOLE_WITHIN) - 1)
    bars = _first_fit(sorted(rests, reverse=True), stock, kerf)
    opened = wholes + len(bars)
    large = sum(1 for rest in rests if rest > stock / 2)
    least = max(ceil(sum(wanted) / stock - _SLACK), wholes + large) if wanted else 0
    cuts = sum(1 for rest in rests if rest < stock - WHOLE_WITHIN)
    return StockPlan(opened, couplings, cuts, round(opened * stock - sum(wanted), 9), least)


def _first_fit(rests: list[float], stock: float, kerf: float) -> list[float]:
    """What is left of each opened length, once every rest has been cut from the first that holds it."""
    left: list[float] = []
    for rest in rests:
        place = next((at for at, room in enumerate(left) if rest <= room + _SLACK), None)
        if place is None:
            left.append(stock)
            place = len(left) - 1
        left[place] -= rest + kerf
    return left
