"""What the range says about the price: what it would be in how many cases, and the chance that the job costs more.

What is set aside for what nobody foresaw is there to be spent; behind it lies the profit. Overhead, reserve and tax
stand as they were reckoned.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from app.domain.costing.estimate import Estimate

SHARES = (0.1, 0.5, 0.8, 0.9)


class Cases(Protocol):
    """A distribution of direct cost [cents]: in closed form, or drawn."""

    @property
    def parts(self) -> Mapping[str, float]:
        """Shares of the variance by group or common cause."""
        ...

    def at(self, share: float) -> float:
        """What a share of all cases stays below."""
        ...

    def above(self, cents: float) -> float:
        """The share of cases above an amount."""
        ...


@dataclass(frozen=True, slots=True)
class Percentile:
    """What direct cost stays below in a share of all cases [cents], and the price of that, in whole money [cents]."""

    share: float
    direct_cents: int
    price_cents: int

    @property
    def number(self) -> int:
        """The percentile's number: 90."""
        return round(self.share * 100)


@dataclass(frozen=True, slots=True)
class Outlook:
    """Percentiles, and chances [0 to 1]: that more than the contingency is spent; that more than the price is.

    `room_cents` is what direct cost may come to with the contingency, `all_cents` with the profit, too.
    """

    percentiles: tuple[Percentile, ...]
    over_contingency: float
    over_price: float
    room_cents: int
    all_cents: int


def outlook(worked: Estimate, cases: Cases) -> Outlook:
    """What a distribution of direct cost says about an estimate's price."""
    room, everything = room_of(worked), all_of(worked)
    found = [(share, cases.at(share)) for share in SHARES]
    return Outlook(
        tuple(Percentile(share, round(direct), round(worked.price_of(direct), -2)) for share, direct in found),
        cases.above(room),
        cases.above(everything),
        room,
        everything,
    )


def room_of(worked: Estimate) -> int:
    """What direct cost may come to before the profit is touched [cents]."""
    return worked.build_up.step("direct").cents + worked.build_up.step("contingency").cents


def all_of(worked: Estimate) -> int:
    """What direct cost may come to before the job costs more than its price [cents]."""
    return room_of(worked) + worked.build_up.profit_cents
