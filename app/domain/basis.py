"""The basis: every assembly, material, task, price, labor class, rule and firm setting an estimate stands on, by value.

Source texts (formulas) are kept as typed; `app.domain.takeoff.assembly` compiles and checks them. Each value's
content hash is `app.domain.codec.content_hash(value)`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Literal

from app.domain.adopted import Adopted
from app.domain.pay import CrewDay, PayYear
from app.domain.people import CrewMember
from app.domain.plant import Plant, PlantSize
from app.domain.reminder import Reminder, Signs
from app.domain.selling import Price, Subcontractor, Supplier
from app.domain.year import OverheadItem, WorkCalendar, YearAhead

__all__ = [
    "Adopted", "Assembly", "Basis", "Build", "CostClass", "Drawing", "Firm", "FirmPage", "Include", "LaborClass",
    "Learned", "LearnedWaste", "Material", "OverheadItem", "Parameter", "Part", "Plant", "PlantSize", "Price",
    "Reminder", "Rule", "Season", "Signs", "Subcontractor", "Supplier", "Task", "TaskUse", "YearAhead",
]  # fmt: skip


class CostClass(StrEnum):
    """The class a cost belongs to; overhead, tax and the estimate's view by class go by it."""

    MATERIAL = "material"
    LABOR = "labor"
    OWN_HOURS = "own hours"
    EQUIPMENT = "equipment"
    SUBCONTRACT = "subcontract"
    HAULING = "hauling"
    FEE = "fee"
    ALLOWANCE = "allowance"


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """A number of an assembly that a job may set: formula texts for value and bounds."""

    label: str
    value: str
    least: str = ""
    most: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A material in an assembly: its role, its amount (a formula), what is lost beyond the material's own loss."""

    role: str
    amount: str
    material: str = ""  # the material that fills the role unless the job chose another
    loss: float | None = None  # overrules the material's own loss, share of the amount
    keep: float = 0.0  # left with the client, share of the amount, printed as such
    when: str = ""  # formula; the part is left out where it is false or 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskUse:
    """Labor in an assembly: which task, how much of it (a formula)."""

    task: str
    amount: str
    when: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Include:
    """Another assembly built within this one; `passes` are formulas by that assembly's parameter names."""

    assembly: str
    passes: Mapping[str, str] = field(default_factory=dict)
    when: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """How an assembly draws: `hatch` is a key of the drawing's hatches, `color` a hex, `mass` its height (formula)."""

    hatch: str = ""
    color: str = ""
    mass: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """What an official looks at before it is covered: after which step of building, and how long one is waited for."""

    what: str
    after: str = ""  # a step of building; empty: the last one of the recipe
    days: int = 1  # of work, from the call to the inspector's word


TRADES = "trades"  # the step of a recipe's order at which the hired trade comes; without it, with the last step


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """What is true on the ground: order of steps, what it stands on, what runs under it, cure and lead in days."""

    order: tuple[str, ...] = ()
    stands_on: tuple[str, ...] = ()
    cure_days: int = 0
    lead_days: int = 0
    trade: str = ""  # the licensed trade that does it, if any
    words: tuple[str, ...] = ()  # crew sheet, in plain words, one line each
    tools: tuple[str, ...] = ()  # to have at hand, besides the machines that are priced
    photos: tuple[str, ...] = ()  # pictures to take of what will be covered
    checks: tuple[str, ...] = ()  # to be signed for by name before going on
    inspections: tuple[Inspection, ...] = ()  # by an official, before anything covers it
    photos_after: Mapping[str, tuple[str, ...]] = field(
        default_factory=dict
    )  # step → pictures to take once it is done; `photos` are those of the last stage

    @property
    def waits_for_trade(self) -> str:
        """The step that waits for the hired trade: the one behind `trades` in the order; empty where none does."""
        at = self.order.index(TRADES) + 1 if TRADES in self.order else len(self.order)
        return self.order[at] if at < len(self.order) else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """The recipe by which something is built. `measures` says on what it can be placed.

    zone, run, edge, feature, existing, job.
    """

    key: str
    title: str
    section: str = ""  # MasterFormat Division 32 (or neighbor) section number
    measures: Literal["zone", "run", "edge", "feature", "existing", "job"] = "zone"
    words: str = ""  # for the client, in plain words
    group: str = ""  # where it stands in the library: "surfaces", "walls and steps", ...
    suits: tuple[str, ...] = ()  # kinds of zone (or of existing thing) it is offered for first
    parameters: Mapping[str, Parameter] = field(default_factory=dict)
    includes: tuple[Include, ...] = ()
    parts: tuple[Part, ...] = ()
    tasks: tuple[TaskUse, ...] = ()
    drawing: Drawing = field(default_factory=Drawing)
    build: Build = field(default_factory=Build)
    cautions: tuple[str, ...] = ()  # keys of the caution texts: dig, gas, silica, lifting, ...
    care: Mapping[str, str] = field(default_factory=dict)  # season → what the owner does
    source: str = ""
    # of an edge: what it ends of the surfaces beside it. "edge": what holds or closes them; "base": their base as well
    holds: Literal["", "edge", "base"] = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedWaste:
    """What closed jobs of the firm's own made of a share that is lost, as the owner took it, and what it was before."""

    share: float  # of the amount in place
    before: float = 0.0
    job_ids: tuple[str, ...] = ()
    job_numbers: tuple[int, ...] = ()
    weight: float = 0.0  # of the jobs in it: 0 as before, 1 the jobs alone
    spread: float = 0.0  # how far the jobs differ from one another, as a share of the amount
    on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What a role is filled with. Formula texts carry units (`140*lb/foot**3`); `loss` is a share of the amount."""

    key: str
    title: str
    role: str
    buy: str  # unit it is bought by: "ton", "foot**2", "foot", "yard**3", "each", "bag", "day", "hour", "gallon"
    cost_class: CostClass = CostClass.MATERIAL
    placed_density: str = ""  # weight per volume in place
    coverage: str = ""  # area or length (or volume) that one bought unit covers
    thickness: str = ""
    length: str = ""
    width: str = ""
    joint: str = ""  # left around each unit; empty: its sides are nominal, with the joint in them
    loss: float = 0.0
    loosens: float = 1.0  # loose over placed volume: truck volume only, never for weight
    load: str = ""  # what one delivery carries
    color: str = ""
    hatch: str = ""
    family: str = ""  # warm, cool, neutral
    finish: bool = False  # a choice the client sees
    lead_days: int = 0
    words: str = ""
    source: str = ""
    tax: str = ""  # "ours", "client", "exempt" in place of what its class says; empty: as its class
    tax_reason: str = ""
    blend: Mapping[str, float] = field(default_factory=dict)  # several colors: hex → share, adding up to 1
    sheen: Literal["", "matt", "satin", "gloss"] = ""  # empty: not said, counts as matt
    color_as: str = ""  # how its color was told: "10YR 5/4", "Lab 52 12 24", "photo, 12 Mar 2027"
    color_within: float = 0.0  # ΔE by which its color may be off; 0: not said
    learned: LearnedWaste | None = None  # how `loss` was taken from own jobs; None, or another share: typed, or shipped
    laid_beyond: LearnedWaste | None = None  # of units laid piece by piece: what a crew uses beyond the units laid


Three = tuple[float, float, float]  # low, likely, high


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What closed jobs of the firm's own made of a task's hours, as the owner took it, and what these were before.

    It speaks of the hours it names: once somebody types others, those stand on their own.
    """

    hours: Three
    setup: Three
    before_hours: Three
    before_setup: Three
    before_jobs: int = 0  # `own_jobs` before
    job_ids: tuple[str, ...] = ()
    job_numbers: tuple[int, ...] = ()
    weight: float = 0.0  # of the jobs in the rate: 0 as before, 1 the jobs alone
    setup_weight: float = 0.0
    spread: float = 0.0  # how far the jobs differ from one another, as a share
    on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Labor that is done per unit: person-hours low, likely, high; set-up per place it is done."""

    key: str
    title: str
    unit: str  # formula text of the unit: "foot**2", "foot", "foot**3", "each", "hour"
    hours: tuple[float, float, float]
    setup: tuple[float, float, float] = (0.0, 0.0, 0.0)
    learned_on: str = ""  # the size of one place that the hours come from, with its unit: "200*foot**2"
    own_jobs: int = 0  # closed jobs of the firm's own that the hours come from
    crew: str = "crew"  # labor class that does it
    slows: tuple[str, ...] = ()  # site factors that apply: access, haul, slope, soil, heat
    source: str = ""
    learned: Learned | None = None  # how the hours were taken from the firm's own jobs; None: typed, or as shipped


@dataclass(frozen=True, slots=True, kw_only=True)
class LaborClass:
    """People by what they do: base wage per paid hour, and what an hour costs beyond it.

    Where a `year` is filled in, it stands in for `burden` and `billable`.
    """

    key: str
    title: str
    wage: Decimal
    burden: Mapping[str, Decimal] = field(default_factory=dict)  # item → share of the wage
    billable: Decimal = Decimal(1)  # billable over paid hours
    own: bool = False  # the owner's own hours
    year: PayYear | None = None  # item by item; None: `burden` and `billable` count


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A rule of the checks: its value, unit and where it comes from. The firm may change a value and say why."""

    id: str
    title: str
    value: float
    unit: str = ""
    severity: str = "warn"
    source: str = ""
    edition: str = ""
    region: str = ""
    reviewed: str = ""
    reason: str = ""  # why the firm changed it


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmPage:
    """Terms or notices: pasted text or an uploaded PDF (by hash), and who reviewed them when."""

    title: str
    text: str = ""
    file: str = ""
    reviewed_by: str = ""
    reviewed_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """What slows work in a month, and by how much: hours of tasks that name it are multiplied."""

    cause: Literal["heat", "frost", "wet"]
    factor: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Firm:
    """The firm's name and rules. Shares are fractions (0.18 = 18%)."""

    name: str = ""
    owner: str = ""
    license: str = ""
    street: str = ""
    town: str = ""
    state: str = ""
    postal_code: str = ""
    phone: str = ""
    email: str = ""
    mark: str = ""  # hash of the picture
    currency: str = "USD"
    time_zone: str = "America/New_York"
    system: Literal["feet", "metric"] = "feet"
    paper: Literal["letter", "a4"] = "letter"
    language: Literal["en", "es"] = "en"
    crew_day_hours: Decimal = Decimal(9)
    crew_size: int = 3
    rate_third: Literal["likely", "high"] = "high"  # a new firm prices at the high third until it has its own hours
    warranty_reserve: Decimal = Decimal("0.015")
    warranty_by_group: Mapping[str, Decimal] = field(
        default_factory=dict
    )  # kind of work → its own share of direct cost
    contingency: Decimal = Decimal("0.05")
    contingency_by_class: Mapping[str, Decimal] = field(default_factory=dict)  # where a class has its own share
    overhead: Mapping[str, Decimal] = field(default_factory=dict)  # cost class → share of its direct cost
    overhead_per_hour: Decimal = Decimal(0)  # per labor hour, currency
    overhead_items: tuple[OverheadItem, ...] = ()  # the worksheet from which those rates may be taken
    overhead_method: Literal["class", "hour", "both"] = "class"
    year: YearAhead | None = None
    margin: Decimal = Decimal("0.15")  # profit over price
    tax_mode: Literal["consumer", "retailer", "none"] = "consumer"
    tax_rate: Decimal = Decimal(0)
    tax_words: str = ""  # how the firm explains its tax rule, and who told it so
    tax_by_class: Mapping[str, str] = field(default_factory=dict)  # class of cost → "ours", "client" or "exempt", said
    tax_place: str = ""  # where the rate holds
    tax_on: date | None = None  # the day it was asked
    card_rule: Literal["", "absorbed", "passed on", "not taken"] = ""  # empty: nothing is said of cards
    card_fee: Decimal = Decimal(0)  # what a payment by card costs, as a share of it
    early_pay: Decimal = Decimal(0)  # what comes off a payment made early, as a share of it
    early_pay_days: int = 10
    late_charge: Decimal = Decimal(0)  # a month, as a share of what is unpaid
    late_after_days: int = 30
    invoice_days: int = 14  # until an invoice is due
    first_invoice: int = 1  # the number that invoices begin with
    invoice_words: str = ""  # how to pay, printed on every invoice: payable to whom, where to send it
    retainage: Decimal = Decimal(0)  # held back from each payment until the last one, as a share of it
    pay_checked: str = ""  # who said that these rules are allowed, and when; never leaves the firm
    region: str = ""  # the place whose rules and notices the firm works by
    round_to_cents: int = 100  # the price is rounded to whole dollars by default
    design_fee_cents: int = 0
    design_words: str = ""
    design_revisions: int = 2
    design_credit: bool = True
    drawings_owner: str = ""
    deposit_share: Decimal = Decimal("0.10")
    standard_exclusions: tuple[str, ...] = ()
    terms: FirmPage | None = None
    notices: tuple[FirmPage, ...] = ()
    unseen_days: int = 90  # a device of ours not seen for so long is paired anew
    closed_jobs: int = 0
    order_straight: Decimal = Decimal("0.05")  # beyond the area, of units laid straight. Common practice, no source
    crew_day: CrewDay | None = None  # what a paid day goes to; None: all of it is worked, and nobody is paid overtime
    seasons: Mapping[str, Season] = field(
        default_factory=dict
    )  # month ("1" to "12") → what slows work that begins then
    crew: tuple[CrewMember, ...] = ()  # who builds, and in which language they read
    calendar: WorkCalendar | None = None  # when it works; None: `crew_day` says how many days a week, one crew
    editions: tuple[Adopted, ...] = ()  # of printed tables, from which day each is used
    order_diagonal: Decimal = Decimal("0.10")  # on the diagonal, along curves and in mixed sizes. Common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What an estimate stands on, by value. Mappings go by key (prices by material key, rules by id)."""

    firm: Firm = field(default_factory=Firm)
    assemblies: Mapping[str, Assembly] = field(default_factory=dict)
    materials: Mapping[str, Material] = field(default_factory=dict)
    tasks: Mapping[str, Task] = field(default_factory=dict)
    prices: Mapping[str, Price] = field(default_factory=dict)
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)
    labor_classes: Mapping[str, LaborClass] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)
    reminders: Mapping[str, Reminder] = field(default_factory=dict)
    subcontractors: Mapping[str, Subcontractor] = field(default_factory=dict)
    plants: Mapping[str, Plant] = field(default_factory=dict)
    plant_sizes: Mapping[str, PlantSize] = field(default_factory=dict)
