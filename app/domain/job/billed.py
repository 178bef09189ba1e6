"""What is written down of money while a job is built: milestones reached, payments received, what was paid out.

Each is a thing of its own. A payment is never changed or removed: one taken by mistake is taken back with a reason.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

HOW_PAID: Mapping[str, str] = {"check": "Check", "transfer": "Transfer", "card": "Card", "cash": "Cash"}
PAID_FOR: Mapping[str, str] = {
    "subcontractor": "Subcontractor",
    "supplier": "Supplier",
    "other": "Something else",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachedMilestone:
    """A milestone of the payment table that was reached, with the photos that show it.

    `milestone` is its key in the contract; the invoice for it carries the photos.
    """

    id: UUID
    milestone: str
    day: date
    photo_ids: tuple[UUID, ...] = ()
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceivedPayment:
    """Money the client paid [cents], above 0; below 0 it was paid back to the client.

    `invoice` names the invoice it was paid for; empty: the oldest open one. `taken_back` says why it counts no more,
    from `taken_back_on`.
    """

    id: UUID
    day: date
    cents: int
    how: str = "check"  # key of `HOW_PAID`
    number: str = ""  # of the check, or what the bank calls it
    words: str = ""
    invoice: str = ""
    taken_back: str = ""
    taken_back_on: date | None = None
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PaidOut:
    """What the firm paid for a job outside its daily log [cents]: to a subcontractor, a supplier, for a permit.

    One to a subcontractor for a packet names both, and says whether it is the final one.
    """

    id: UUID
    day: date
    cents: int
    to: str = ""
    paid_for: str = "subcontractor"  # key of `PAID_FOR`
    words: str = ""
    packet: str = ""
    subcontractor: str = ""  # key of the firm's book
    final: bool = False
    said_by: str = ""
    said_at: datetime | None = None
