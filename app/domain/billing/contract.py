"""What a client has signed to pay: the payments by visible events, and the changes signed since."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.domain.costing.payments import Due


@dataclass(frozen=True, slots=True, kw_only=True)
class Milestone:
    """A payment of the signed table: due when its event is reached; `fee` of it came with the design fee [cents]."""

    key: str
    event: str
    phase: str  # "Phase 1", or empty for the whole
    cents: int
    fee: int = 0

    @property
    def words(self) -> str:
        """Its event as it is printed."""
        return f"{self.event}, {self.phase.lower()}" if self.phase else self.event


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeToBill:
    """A change the client signed after the contract: what it adds to the sum [cents]; below 0 it takes away.

    It is billed with the next draw, or with the draw whose event `paid_with` names.
    """

    key: str
    title: str
    day: date
    cents: int
    tax_cents: int = 0  # of it, sales tax that the client pays
    paid_with: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contract:
    """What was signed: its sum [cents], its milestones (they add up to it), the changes, and the terms of payment.

    `tax_cents` of the sum are sales tax. `retainage` is the share held back from each draw until the last one;
    `late_charge` a share a month on what is unpaid `late_after_days` after it is due. Shares are fractions.
    """

    key: str
    number: int
    signed_on: date
    cents: int
    milestones: tuple[Milestone, ...]
    changes: tuple[ChangeToBill, ...] = ()
    tax_cents: int = 0
    retainage: Decimal = Decimal(0)
    late_charge: Decimal = Decimal(0)
    late_after_days: int = 30

    @property
    def changes_cents(self) -> int:
        """What all signed changes come to."""
        return sum(one.cents for one in self.changes)

    @property
    def total_cents(self) -> int:
        """The contract sum with all signed changes."""
        return self.cents + self.changes_cents

    @property
    def fee_cents(self) -> int:
        """What came with the design fee and counts toward the sum."""
        return sum(one.fee for one in self.milestones)

    def milestone(self, key: str) -> Milestone | None:
        """The milestone with this key."""
        return next((one for one in self.milestones if one.key == key), None)


def milestones_of(key: str, due: Sequence[Due], contract_cents: int) -> tuple[Milestone, ...]:
    """The milestones of a signed payment table; the last one takes what the others leave of the contract sum.

    >>> [one.cents for one in milestones_of("p", [Due(event="At signing", phase="", cents=400),
    ...                                           Due(event="Walked", phase="", cents=600)], 1001)]
    [400, 601]
    """
    left = contract_cents - sum(one.cents for one in due)
    rows = due or (Due(event="Finished and walked together", phase="", cents=0),)
    return tuple(
        Milestone(
            key=f"{key}.{at}",
            event=one.event,
            phase=one.phase,
            cents=one.cents + (left if at == len(rows) - 1 else 0),
            fee=one.paid,
        )
        for at, one in enumerate(rows)
    )
