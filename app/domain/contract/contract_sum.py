"""The contract sum by date: the signed proposal, and what was signed after it, each with its amount."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedChange:
    """A change that everybody signed: what it added to the contract sum [cents], and how it is paid.

    `kind` is `change order` or `change` (an option taken later at its printed price). `own_payment` is the event of a
    payment of its own; empty: it lies in the payments that were not reached. `half_days` were added to the last day.
    """

    revision_id: str
    kind: str
    number: int
    title: str
    signed_on: date
    cents: int
    half_days: int = 0
    own_payment: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractSum:
    """The signed proposal's sum [cents], and the changes signed after it in the order they were signed."""

    signed_on: date
    signed_cents: int
    changes: tuple[SignedChange, ...] = ()

    @property
    def cents(self) -> int:
        """The contract sum as it stands [cents]."""
        return self.signed_cents + sum(one.cents for one in self.changes)

    def on(self, day: date) -> int:
        """The contract sum at the end of a day [cents]; nothing before it was signed.

        >>> ContractSum(signed_on=date(2027, 4, 1), signed_cents=900).on(date(2027, 3, 31))
        0
        """
        if day < self.signed_on:
            return 0
        return self.signed_cents + sum(one.cents for one in self.changes if one.signed_on <= day)

    def since(self, day: date | None) -> tuple[SignedChange, ...]:
        """The changes signed after a day (None: all): what the next draw bills beside its payment."""
        return tuple(one for one in self.changes if day is None or one.signed_on > day)


def in_order_signed(changes: Sequence[SignedChange]) -> tuple[SignedChange, ...]:
    """Changes by the day they were signed, then by kind and number."""
    return tuple(sorted(changes, key=lambda one: (one.signed_on, one.kind, one.number)))
