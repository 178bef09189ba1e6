"""A yard priced by hand: two zones paved, no labor, 10% overhead on material, 6% tax, 25% margin. All invented.

A square foot at $4.00 costs 4.00 + 0.24 tax + 0.40 overhead = 4.64 and sells for 4.64 ÷ 0.75 = 6.18 2/3.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from uuid import UUID

from app.domain.basis import Assembly, Basis, Firm, Material, Part, Price
from app.domain.contract.difference import Difference, difference
from app.domain.contract.standing import Standing, standing_of
from app.domain.costing.client_prices import client_prices
from app.domain.costing.estimate import estimate
from app.domain.job import (
    Alternative,
    Client,
    Head,
    Job,
    Measured,
    Phase,
    PlaceKind,
    PriceShown,
    Site,
    UnitPrice,
    Work,
    Zone,
)
from app.domain.plan.shapes import rectangle


def key(number: int) -> UUID:
    return UUID(int=number)


A, B, C = key(10), key(20), key(30)
ROCK = key(401)


def zone(at: UUID, letter: str, title: str) -> Zone:
    return Zone(id=at, letter=letter, title=title, chosen_id=UUID(int=at.int + 1), phase_id=key(51))


def way(at: UUID, width: float, depth: float) -> Alternative:
    outline = rectangle(width, depth, at=(at.int * 100, 0))
    return Alternative(id=UUID(int=at.int + 1), zone_id=at, outline=outline, measured=Measured.TAPED)


def paved(at: UUID, assembly: str = "paved") -> Work:
    place = UUID(int=at.int + 1)
    return Work(id=UUID(int=at.int + 5), place=PlaceKind.ALTERNATIVE, place_id=place, assembly=assembly)


def assembly(key: str, material: str) -> Assembly:
    return Assembly(key=key, title=key.title(), parts=(Part(role="finish", amount="area", material=material),))


def material(key: str) -> Material:
    return Material(key=key, title=key.title(), role="finish", buy="foot**2", finish=True)


FIRM = Firm(
    overhead={"material": Decimal("0.10")},
    warranty_reserve=Decimal(0),
    contingency=Decimal(0),
    margin=Decimal("0.25"),
    tax_rate=Decimal("0.06"),
    tax_place="Alder Ferry",
    tax_on=date(2027, 2, 1),
    round_to_cents=1,
)
BASIS = Basis(
    firm=FIRM,
    assemblies={"paved": assembly("paved", "brick")},
    materials={"brick": material("brick")},
    prices={"brick": Price(material="brick", unit_price=Decimal(4))},
)
# what the book has today, beside what was signed: slate, priced last week
TODAY = replace(
    BASIS,
    assemblies={**BASIS.assemblies, "slated": assembly("slated", "slate")},
    materials={**BASIS.materials, "slate": material("slate")},
    prices={**BASIS.prices, "slate": Price(material="slate", unit_price=Decimal(10), priced_on=date(2027, 6, 1))},
)
JOB = Job(
    head=Head(id=key(1), client_id=key(2), title="Quince Row", price_shown=PriceShown.ZONE),
    client=Client(id=key(2), name="Odalys Brandt"),
    site=Site(id=key(3), access_width=4.0, seen_on=date(2027, 3, 1)),
    zones=(zone(A, "A", "Terrace"), zone(B, "B", "Path")),
    alternatives=(way(A, 10, 10), way(B, 5, 10)),
    phases=(Phase(id=key(51), number=1, start=date(2027, 5, 3), done=date(2027, 7, 2)),),
    works=(paved(A), paved(B)),
    unit_prices=(UnitPrice(id=ROCK, title="Rock", unit="cubic yard", cents=145_01),),
)


def doubled(basis: Basis) -> Basis:
    """Every price twice as high, and everything the firm puts on it."""
    prices = {key: replace(one, unit_price=one.unit_price * 2) for key, one in basis.prices.items()}
    labor = {key: replace(one, wage=one.wage * 2) for key, one in basis.labor_classes.items()}
    firm = replace(basis.firm, overhead={key: share * 2 for key, share in basis.firm.overhead.items()})
    return replace(basis, prices=prices, labor_classes=labor, firm=firm)


def signed(job: Job = JOB, basis: Basis = BASIS) -> Standing:
    return standing_of(job, basis, client_prices(job, estimate(job, basis)).contract)


def with_way(job: Job, at: UUID, width: float, depth: float) -> Job:
    return replace(job, alternatives=tuple(way(at, width, depth) if w.zone_id == at else w for w in job.alternatives))


def without_zone(job: Job, at: UUID) -> Job:
    return replace(job, zones=tuple(replace(z, left_out=True) if z.id == at else z for z in job.zones))


def with_slate(job: Job = JOB) -> Job:
    """A third zone, 10 sq ft of slate."""
    return replace(
        job,
        zones=(*job.zones, zone(C, "C", "Step")),
        alternatives=(*job.alternatives, way(C, 2, 5)),
        works=(*job.works, paved(C, "slated")),
    )


def against(standing: Standing, job: Job, today: Basis = TODAY, **more: bool) -> Difference:
    return difference(standing, job, doubled(today), **more)
