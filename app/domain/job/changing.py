"""What is asked for after the signature: the draft of a change order, and what was found in the ground."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

REASONS: Mapping[str, str] = {
    "client": "The client asked for it",
    "ground": "Found in the ground",
    "site": "A condition of the site",
    "correction": "A correction",
}
PAID: Mapping[str, str] = {
    "rest": "With the payments not yet reached",
    "own": "As a payment of its own",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeDraft:
    """What the owner says of the change order in hand: why, in words, how many days, how it is paid.

    A draft is done once a signed change order holds it; the next one is a thing of its own.
    """

    id: UUID
    reason: str = "client"  # key of `REASONS`
    words: str = ""  # for the client
    half_days: int = 0  # working days added, in halves, beside those of the daily log
    days_words: str = ""
    with_whole: bool = False  # what the job as a whole moves by (crew days, supervision, deliveries) is charged too
    without_delays: bool = False  # the delays of the daily log are not asked for
    pay: str = "rest"  # key of `PAID`
    pay_event: str = ""  # when a payment of its own is due
    reached: tuple[str, ...] = ()  # places in the payment table, from 1, of those reached already
    holds_days: int = 14
    position: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundCondition:
    """What was found that nobody could see: how much of it, at which agreed unit price, else at which price [cents].

    `agreed` is the id of a unit price as text; `zone` an id as text, so that a zone that goes takes nothing along.
    """

    id: UUID
    title: str = ""
    quantity: Decimal = Decimal(0)
    unit: str = ""
    agreed: str = ""
    cents: int | None = None  # by the unit, where no price was agreed
    zone: str = "job"
    found_on: date | None = None
    words: str = ""
    position: int = 0
