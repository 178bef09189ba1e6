"""Who asks for the yard, and the job's own facts."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from uuid import UUID

from app.domain.job.kinds import PriceShown, Stage
from app.domain.job.stages import STANDS_AS, comes_next


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """Who asks for the yard. `private_note` never leaves the firm."""

    id: UUID
    name: str = ""
    second_name: str = ""
    phone: str = ""
    email: str = ""
    street: str = ""
    town: str = ""
    state: str = ""
    postal_code: str = ""
    found_us: str = ""
    private_note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The job's own facts: what it is called, where it stands, what comes next, how it is offered."""

    id: UUID
    client_id: UUID
    number: int = 0
    title: str = ""
    street: str = ""
    town: str = ""
    state: str = ""
    postal_code: str = ""
    time_zone: str = "America/New_York"
    stage: Stage = Stage.LEAD
    next_step: str = ""
    next_day: date | None = None
    first_call: date | None = None
    wanted_start: date | None = None
    wanted_done: date | None = None
    budget_low_cents: int | None = None
    budget_high_cents: int | None = None
    association: str = ""
    association_rules: str = ""
    story: str = ""  # the proposal's title sentence
    price_shown: PriceShown = PriceShown.ZONE
    holds_days: int = 30
    paper: str = ""  # "letter", "a4", or empty: the firm's
    exclusions: tuple[str, ...] = ()
    early: Mapping[str, str] = field(default_factory=dict)  # kind of zone → small, medium, large, or an area in sq ft
    design_fee_cents: int | None = None  # of the design agreement; None and empty: as the firm has it
    design_words: str = ""
    design_revisions: int | None = None
    design_credit: str = ""  # "yes" or "no": whether the fee counts toward the build
    drawings_owner: str = ""
    design_fee_paid_cents: int | None = None  # of the design fee, what the client has paid
    basis_file: str = ""  # hash of the job file whose prices this job came with; empty: it stands on the firm's own
    firm_price_by: str = ""  # who went on to a firm price before the range allowed one
    firm_price_reason: str = ""
    own_margin: Decimal | None = None  # profit over price at which this job is sold; None: the firm's
    own_margin_reason: str = ""
    adjustment_cents: int = 0  # put on (or, below 0, taken off) before the client's tax, shared over all that is sold
    adjustment_title: str = ""
    adjustment_reason: str = ""
    tax_rate: Decimal | None = None  # where the yard lies, as a share; None: the firm's
    tax_place: str = ""
    tax_on: date | None = None
    sale_near: str = ""  # "yes" or "no": whether the house is to be sold soon; empty: not asked
    yard_view: str = ""  # how the proposal shows the yard from aside, as the query of its page; empty: not at all
    price_set_by: str = ""  # who set this job's own margin or adjustment
    private_note: str = ""

    @property
    def stands_as(self) -> str:
        """How its drawings stand: draft, offered, signed, being built, closed."""
        return STANDS_AS[self.stage]

    @property
    def comes_next(self) -> str:
        """What comes next: as typed, else by its stage."""
        return comes_next(self.stage, self.next_step)


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What the client asked for, and the zones and options that meet it: it is met where all of them are built."""

    id: UUID
    words: str = ""
    must: bool = True
    zone_ids: tuple[UUID, ...] = ()
    position: int = 0
    weight: int = 3  # 1 to 5: how much a wish counts beside the others
    option_ids: tuple[UUID, ...] = ()  # options that it takes as well
