"""A job of three zones in two phases, small enough to be worked by hand: all names and prices are invented."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import UUID

from app.domain.basis import (
    Assembly,
    Basis,
    CostClass,
    Firm,
    LaborClass,
    Material,
    Parameter,
    Part,
    Price,
    Supplier,
    Task,
    TaskUse,
)
from app.domain.job import (
    Allowance,
    Alternative,
    Client,
    Head,
    Job,
    Measured,
    Phase,
    PlaceKind,
    Site,
    Work,
    Zone,
)
from app.domain.plan.shapes import rectangle


def key(number: int) -> UUID:
    return UUID(int=number)


TERRACE, PATH, BED = key(10), key(20), key(30)
FIRST, SECOND = key(51), key(52)


def zone(at: UUID, letter: str, title: str, phase: UUID) -> Zone:
    return Zone(id=at, letter=letter, title=title, phase_id=phase, chosen_id=UUID(int=at.int + 1))


def outline(at: UUID, width: float, depth: float, x: float) -> Alternative:
    return Alternative(
        id=UUID(int=at.int + 1), zone_id=at, outline=rectangle(width, depth, at=(x, 0)), measured=Measured.TAPED
    )


def work(number: int, assembly: str, at: UUID | None = None) -> Work:
    place = PlaceKind.ALTERNATIVE if at else PlaceKind.JOB
    return Work(id=key(number), place=place, place_id=UUID(int=at.int + 1) if at else None, assembly=assembly)


JOB = Job(
    head=Head(id=key(1), client_id=key(2), title="Quince Row"),
    client=Client(id=key(2), name="Odalys Brandt"),
    site=Site(id=key(3), access_width=4.0, seen_on=date(2027, 3, 1)),
    zones=(
        zone(TERRACE, "A", "Terrace", FIRST),
        zone(PATH, "B", "Path", FIRST),
        zone(BED, "C", "Bed", SECOND),
    ),
    alternatives=(outline(TERRACE, 20, 15, 0), outline(PATH, 4, 25, 100), outline(BED, 10, 12, 200)),
    phases=(Phase(id=FIRST, number=1), Phase(id=SECOND, number=2)),
    works=(
        work(101, "paved", TERRACE),
        work(102, "paved", PATH),
        work(103, "bed", BED),
        work(104, "supervision"),
        work(105, "permit"),
    ),
    allowances=(Allowance(id=key(201), title="Fire bowl", cents=250_000, zone_id=TERRACE),),
)
ASSEMBLIES = (
    Assembly(
        key="paved",
        title="Paved",
        parameters={"base": Parameter(label="Base", value="6*inch")},
        parts=(
            Part(role="base stone", amount="area * base", material="stone"),
            Part(role="finish", amount="area / coverage_of('finish')", material="paver"),
        ),
        tasks=(TaskUse(task="lay", amount="area"),),
    ),
    Assembly(
        key="bed",
        title="Bed",
        parts=(Part(role="mulch", amount="area * 3*inch", material="mulch"),),
        tasks=(TaskUse(task="spread", amount="area"),),
    ),
    Assembly(
        key="supervision",
        title="Supervision",
        measures="job",
        tasks=(TaskUse(task="supervise", amount="crew_days * 1.5*hour"),),
    ),
    Assembly(
        key="permit",
        title="Permit",
        measures="job",
        parts=(Part(role="permit", amount="1", material="permit"),),
    ),
)
MATERIALS = (
    Material(key="stone", title="Crushed stone", role="base stone", buy="ton", placed_density="140*lb/foot**3", loss=0.08, load="16*ton"),
    Material(key="paver", title="Paver", role="finish", buy="each", coverage="0.375*foot**2", loss=0.05),
    Material(key="mulch", title="Bark mulch", role="mulch", buy="yard**3"),
    Material(key="permit", title="Permit", role="permit", buy="each", cost_class=CostClass.FEE),
)  # fmt: skip
TASKS = (
    Task(key="lay", title="Lay", unit="foot**2", hours=(0.05, 0.07, 0.10), setup=(1, 2, 3), slows=("access",)),
    Task(key="spread", title="Spread mulch", unit="foot**2", hours=(0.02, 0.03, 0.04), setup=(0.5, 1, 1.5)),
    Task(key="supervise", title="Supervise", unit="hour", hours=(1, 1, 1), crew="owner"),
)
PRICES = (
    Price(material="stone", unit_price=Decimal("32.50"), supplier="quarry", delivery_cents=9_500, low=-0.05, high=0.1),
    Price(material="paver", unit_price=Decimal("1.875"), supplier="yard", pack=120, pack_name="pallet", delivery_cents=12_000, high=0.08),
    Price(material="mulch", unit_price=Decimal("46.25"), supplier="yard", least=3, low=-0.02, high=0.05),
    Price(material="permit", unit_price=Decimal(150)),
)  # fmt: skip
FIRM = Firm(
    rate_third="likely",
    overhead={"material": Decimal("0.10"), "labor": Decimal("0.20")},
    overhead_per_hour=Decimal(3),
    tax_rate=Decimal("0.07"),
    tax_place="Alder Ferry",
    tax_on=date(2027, 2, 1),
)
BASIS = Basis(
    firm=FIRM,
    assemblies={one.key: one for one in ASSEMBLIES},
    materials={one.key: one for one in MATERIALS},
    tasks={one.key: one for one in TASKS},
    prices={one.material: one for one in PRICES},
    suppliers={one: Supplier(key=one, title=one.title()) for one in ("quarry", "yard")},
    labor_classes={
        "crew": LaborClass(key="crew", title="Crew", wage=Decimal(24), burden={"all": Decimal("0.25")}, billable=Decimal("0.8")),
        "owner": LaborClass(key="owner", title="Owner", wage=Decimal(45), burden={"all": Decimal("0.10")}, billable=Decimal("0.66"), own=True),
    },
)  # fmt: skip


def firm_with(**more) -> Basis:
    return replace(BASIS, firm=replace(FIRM, **more))


def without(kind: str, *keys: str) -> Basis:
    return replace(BASIS, **{kind: {k: v for k, v in getattr(BASIS, kind).items() if k not in keys}})
