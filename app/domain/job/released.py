"""Work released to subcontractors, and the lien releases that come back for what they are paid.

A payment is a `PaidOut` that names its packet. Packets and payments are named by their ids as text: what was released,
paid and received stays when a packet is taken out of the draft.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

# what a subcontractor signs about its lien: for a progress payment or the final one; conditional on the money arriving,
# given before it, or unconditional, given after it arrived. Words of the trade; some states prescribe the very form
LIEN_RELEASES: Mapping[str, str] = {
    "conditional progress": "Conditional, for a progress payment",
    "unconditional progress": "Unconditional, for a progress payment",
    "conditional final": "Conditional, for the final payment",
    "unconditional final": "Unconditional, for the final payment",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleasedPacket:
    """A packet that was released to whom it was given: they may begin."""

    id: UUID
    packet: str
    subcontractor: str  # key of the firm's book
    day: date
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LienRelease:
    """A lien release that was received for a payment: which of `LIEN_RELEASES`, through which day, on which paper."""

    id: UUID
    payment: str
    kind: str
    day: date
    through: date | None = None
    cents: int | None = None  # as the paper says
    file: str = ""  # hash of a PDF or a picture
    said_by: str = ""
    said_at: datetime | None = None
