"""What a material costs the firm, and who sells it: prices with their terms of hire, tipping, small orders, pallets."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from app.domain.machine import OwnedMachine


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What one bought unit of a material costs. `unit_price` in the firm's currency, to 1/10,000."""

    material: str
    unit_price: Decimal
    supplier: str = ""
    pack: float = 1.0  # bought units per pack; orders are whole packs
    pack_name: str = ""
    least: float = 0.0  # smallest order, bought units
    batch: str = ""  # "one batch" where all must come from one
    priced_on: date | None = None
    valid_until: date | None = None
    low: float = 0.0  # the likely low and high of the price, as shares of it (−0.05, 0.10)
    high: float = 0.0
    delivery_cents: int = 0  # per load (per order where the material has no load)
    note: str = ""
    laid_jobs: int = 0  # closed jobs of the firm's own on which this finish was laid in a pattern
    order_beyond: Decimal | None = None  # share beyond the area ordered of it then, in place of the firm's custom
    code: str = ""  # what the supplier's own list calls it: by this its next list finds the material again
    # what is let by the hour or the day: rates of other periods, 0 where it is not let so; its unit's is `unit_price`
    hour_cents: int = 0
    half_day_cents: int = 0
    day_cents: int = 0
    week_cents: int = 0
    month_cents: int = 0
    pickup_cents: int = 0  # taking it back, once a hire; bringing it is `delivery_cents`
    fuel: Literal["", "in the rate", "ours", "none"] = ""  # whose the fuel is; empty: nobody asked
    fuel_cents: int = 0  # fuel that is ours, by the machine hour at work
    tip_cents: int = 0  # what the place that takes it charges, by `tip_per`
    tip_per: Literal["", "ton", "yard", "load"] = ""  # a yard is a loose cubic yard; empty: by the load
    tip_least_cents: int = 0  # its least charge, a load
    small_below: float = 0.0  # bought units; an order of fewer pays `small_cents` besides
    small_cents: int = 0
    pallet: float = 0.0  # bought units on a pallet that is paid for and goes back; 0: a pack is the pallet
    deposit_cents: int = 0  # what a pallet is paid for until it comes back
    deposit_lost: float = 0.0  # share of the pallets that do not come back
    owned: OwnedMachine | None = None  # of a machine of the firm's own: what its rate was worked out from
    special_order: bool = False  # made or brought in for us: it does not go back, so the client signs a sample first
    special_deposit: Decimal = Decimal(0)  # share of the goods that is paid when a special order is sent


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplier:
    """Who sells. Suppliers never appear on the client's face."""

    key: str
    title: str
    phone: str = ""
    note: str = ""
    order_least_cents: int = 0  # an order worth less pays `order_fee_cents` besides
    order_fee_cents: int = 0
    shares_loads: bool = False  # materials of the same kind of load come on one truck


SUB_PAPERS = ("license", "insurance", "workers' comp", "tax form", "rate sheet", "agreement", "other")
PAPERS_THAT_RUN_OUT = ("license", "insurance", "workers' comp")


@dataclass(frozen=True, slots=True, kw_only=True)
class SubPaper:
    """A paper of a subcontractor, as a file: what it is (one of `SUB_PAPERS`), and the last day it holds."""

    kind: str
    file: str  # hash of a PDF or a picture
    until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Subcontractor:
    """Who does work of a trade for the firm, and until when the papers hold. Never on the client's face."""

    key: str
    title: str
    trade: str = ""
    person: str = ""
    phone: str = ""
    license: str = ""
    insured_until: date | None = None
    papers: str = ""  # what is on file: certificate, tax form, agreement
    note: str = ""
    kept_papers: tuple[SubPaper, ...] = ()  # the papers themselves
    license_until: date | None = None
    license_exempt: str = ""  # why none is wanted of them here, and who said so
    comp_until: date | None = None  # workers' compensation
    comp_exempt: str = ""  # why none is wanted of them, and which paper says so
    tax_form_on: date | None = None  # since when their tax form is on file
    rates_on: date | None = None  # the day of their rate sheet
