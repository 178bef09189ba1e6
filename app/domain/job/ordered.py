"""What is written down of orders: what was sent to a supplier, and what became of it until it is billed.

An order is a thing of the job by supplier and phase. What was sent stands in its lines and is never worked out again;
what happens after that (a backorder, a substitute, a delivery, pallets, a bill) is a thing of its own, made once, so
that what the office and two phones write never meets. Phase, supplier and material are named by key, not by reference:
a phase that goes takes no order along.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class SentLine:
    """One material as it was ordered. `amount` [bought units] is whole packs of `pack`; `cents` are the goods alone.

    Of a machine that is let by the period `pack_name` says the periods, and `unit_price` is 0.
    """

    material: str
    title: str
    unit: str
    amount: float
    packs: int = 0
    pack: float = 1.0
    pack_name: str = ""
    loads: int = 0
    unit_price: Decimal = Decimal(0)
    cents: int = 0
    one_batch: bool = False
    special: bool = False  # made or brought in for us: it does not go back
    pallets: int = 0  # that are paid for and go back
    pallet_cents: int = 0  # what one is paid for until then
    letters: tuple[str, ...] = ()  # of the zones it is for
    together: tuple[str, ...] = ()  # what else comes in the same loads


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyOrder:
    """What is ordered of one supplier for one phase. Without lines it is prepared; with them it was sent.

    Where the goods are put down: `spot` in words, `spot_id` a thing of the plan, `spot_x` and `spot_y` [ft] a point.
    Money in cents.
    """

    id: UUID
    number: int = 1
    kind: str = "materials"  # of its list
    supplier: str = ""
    supplier_title: str = ""
    phase: str = ""
    phase_title: str = ""
    # what is asked for
    send_by: date | None = None
    deliver_on: date | None = None
    spot: str = ""
    spot_id: UUID | None = None
    spot_x: float | None = None
    spot_y: float | None = None
    batch: str = ""  # which lot or color run is asked for
    price_until: date | None = None  # how long the supplier holds the price
    words: str = ""  # to the supplier
    # as it was sent
    lines: tuple[SentLine, ...] = ()
    delivery_cents: int = 0
    charges_cents: int = 0  # for a small order, for tipping
    sent_on: date | None = None
    sent_by: str = ""
    # what the supplier said to it
    confirmed_on: date | None = None
    confirmed_by: str = ""
    confirmation: str = ""  # the supplier's number of it
    promised_on: date | None = None
    # what is paid ahead for what is made or brought in for us
    deposit_cents: int = 0
    deposit_on: date | None = None
    deposit_by: str = ""
    called_off_on: date | None = None
    called_off_by: str = ""
    called_off_why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Backorder:
    """A line that does not come with the rest: the day it is expected, or that it is taken off the order."""

    id: UUID
    order_id: UUID
    material: str
    expected_on: date | None = None
    off: bool = False  # the supplier cannot: what has not come of it is on order no more
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Substitute:
    """Something else proposed in place of a line: on order once the client has approved it by name."""

    id: UUID
    order_id: UUID
    material: str  # of the line it would stand for
    title: str = ""
    unit_price: Decimal | None = None  # None: at the price of the line
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None
    approved_by: str = ""  # the client's name
    approved_on: date | None = None
    declined_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CameLine:
    """What came of one line: `came` and, of it, `broken` [bought units]; the batch on its label."""

    material: str
    came: float = 0.0
    broken: float = 0.0
    batch: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What was put down in the yard on a day, counted line by line, with pictures."""

    id: UUID
    order_id: UUID
    day: date
    lines: tuple[CameLine, ...] = ()
    pallets: int = 0  # that came with it and are paid for
    photo_ids: tuple[UUID, ...] = ()
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PalletsBack:
    """Pallets that went back to the supplier on a day."""

    id: UUID
    order_id: UUID
    day: date
    count: int
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BilledLine:
    """One line of a supplier's bill: a material of the order, how much of it [bought units], the cents asked for it."""

    material: str
    amount: float
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierBill:
    """A supplier's bill against an order. What it asks for beside the lines stands in fields of its own [cents].

    `deposits_cents` are pallets: what is paid for those that came, less what those that went back bring in.
    """

    id: UUID
    order_id: UUID
    day: date
    number: str = ""
    lines: tuple[BilledLine, ...] = ()
    delivery_cents: int = 0
    charges_cents: int = 0
    deposits_cents: int = 0
    paid_ahead_cents: int = 0  # a deposit on the order that it takes off
    tax_cents: int = 0
    told_in: str = ""  # receipt or payment (its id) that is the same money; `apart`: none; empty: the one that fits
    counts: str = ""  # of two that are joined and differ: `bill`, `told` (the other); empty: whichever asks for more
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedMaterial:
    """What was counted of a material once its work was done [bought units]; the newest count of a material holds.

    `beside` was bought beside the orders, `returned` went back to who sold it, `left_over` is not in the work: it stays
    with the client or lies in the firm's yard. What came by orders is counted where it came.
    """

    id: UUID
    material: str
    day: date
    beside: float = 0.0
    returned: float = 0.0
    left_over: float = 0.0
    words: str = ""
    said_by: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ApprovedSample:
    """The client's name on a physical sample: which one, on which day, with its picture."""

    id: UUID
    material: str
    name: str
    day: date
    words: str = ""  # what the label on it says
    photo_id: UUID | None = None
    said_by: str = ""
    said_at: datetime | None = None
