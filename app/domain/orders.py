"""What is ordered: purchases by phase and supplier, in whole packs and loads, and the day each must be ordered by.

No money stands in an order list: it can be read out to a supplier as it is.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from app.domain.basis import Basis, CostClass, Material, Supplier
from app.domain.costing.estimate import days_of
from app.domain.costing.quoted import deals
from app.domain.job import Job, Phase
from app.domain.takeoff.buying import bought_amount
from app.domain.takeoff.hauling import Carried
from app.domain.takeoff.hiring import Hire
from app.domain.takeoff.purchase import Purchase, Truck
from app.domain.takeoff.purchases import purchases
from app.domain.takeoff.requirements import Requirement, requirements


class OrderKind(StrEnum):
    """What sort of list a line stands on, in the order they are read."""

    MATERIALS = "materials"
    RENT = "rent"
    OWN = "own machines"  # nothing is ordered of them: they are to be free and brought
    SUBCONTRACT = "subcontract"
    HAULING = "hauling"
    FEES = "fees"
    TO_CHOOSE = "to choose"  # money is set aside; what is bought is not chosen yet


KIND_OF: Mapping[CostClass, OrderKind] = {
    CostClass.MATERIAL: OrderKind.MATERIALS,
    CostClass.EQUIPMENT: OrderKind.RENT,
    CostClass.SUBCONTRACT: OrderKind.SUBCONTRACT,
    CostClass.HAULING: OrderKind.HAULING,
    CostClass.FEE: OrderKind.FEES,
    CostClass.ALLOWANCE: OrderKind.TO_CHOOSE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One material of one list.

    `wanted`, `bought` and `kept` are in the unit it is bought by: what is needed with losses, whole packs of it, and
    what of it is left with the client. `order_by` is None until the phase has a start.
    """

    material: str
    title: str
    unit: str
    wanted: float
    bought: float
    kept: float
    packs: int
    pack_name: str
    loads: int
    one_batch: bool
    lead_days: int
    order_by: date | None
    zones: tuple[str, ...]  # letters of the zones it is for; empty for the whole job
    carried: Carried | None = None  # what its trucks carry
    truck: Truck | None = None  # whose loads it shares with others of this list
    together: tuple[str, ...] = ()  # what else is on that truck
    pallets_back: int = 0  # pallets that are paid for and go back
    hire: Hire | None = None  # of a machine that is let by the period
    note: str = ""  # the price book's own note: for us, never on paper that leaves the firm


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderList:
    """What is ordered of one supplier for one phase. An empty supplier: nobody sells it yet."""

    kind: OrderKind
    supplier: str
    supplier_title: str
    phone: str
    phase_id: str
    phase_number: int
    phase_title: str
    start: date | None
    lines: tuple[OrderLine, ...]

    @property
    def order_by(self) -> date | None:
        """The first day by which something on it must be ordered."""
        days = [line.order_by for line in self.lines if line.order_by]
        return min(days) if days else None

    @property
    def loads(self) -> int:
        """Truckloads in all; what shares a truck is counted once."""
        shared = {line.truck.load: line.truck.loads for line in self.lines if line.truck}
        return sum(line.loads for line in self.lines if not line.truck) + sum(shared.values())


@dataclass(frozen=True, slots=True)
class _For:
    """What is looked up once for all lines."""

    job: Job
    basis: Basis
    needed: Sequence[Requirement]
    phases: Mapping[str, Phase]


def order(job: Job, basis: Basis) -> tuple[OrderList, ...]:
    """Everything a job buys, rents, hires and hauls: a list for each phase, kind and supplier, in that order.

    The amounts are the estimate's own purchases: summed over the phase before rounding up. What has no phase stands
    under phase number 0.
    """
    needed, bought = ordered_purchases(job, basis)
    known = _For(job, basis, needed, {str(phase.id): phase for phase in job.phases})
    groups: dict[tuple[str, OrderKind, str], list[Purchase]] = {}
    for one in bought:
        price = basis.prices.get(one.material)
        own = bool(price and price.owned)
        kind = OrderKind.OWN if own else KIND_OF.get(one.cost_class, OrderKind.MATERIALS)
        groups.setdefault((one.phase, kind, "" if own else one.supplier), []).append(one)
    return tuple(sorted((_list(key, held, known) for key, held in groups.items()), key=_place))


def ordered_purchases(job: Job, basis: Basis) -> tuple[Sequence[Requirement], Sequence[Purchase]]:
    """What is needed and what is bought for it: the estimate's own purchases, less what subcontractors are paid for."""
    ours = needed_by_us(job, basis)
    bought, _ = purchases(ours, basis, job.site.soil)
    return ours, bought


def needed_by_us(job: Job, basis: Basis) -> Sequence[Requirement]:
    """What the estimate needs, less what subcontractors are paid for."""
    needed, _ = requirements(job, basis, crew_days=days_of(job, basis))
    quoted = deals(job)
    return quoted.ours(needed) if quoted else needed


def _list(key: tuple[str, OrderKind, str], bought: Iterable[Purchase], known: _For) -> OrderList:
    phase_id, kind, supplier_key = key
    phase = known.phases.get(phase_id)
    named = known.basis.firm.name if kind is OrderKind.OWN else supplier_key
    supplier = known.basis.suppliers.get(supplier_key, Supplier(key=supplier_key, title=named))
    lines = [_line(one, phase, known) for one in bought]
    return OrderList(
        kind=kind,
        supplier=supplier_key,
        supplier_title=supplier.title,
        phone=supplier.phone,
        phase_id=phase_id,
        phase_number=phase.number if phase else 0,
        phase_title=phase.title if phase else "",
        start=phase.start if phase else None,
        lines=tuple(sorted(lines, key=lambda line: (line.title, line.material))),
    )


def _line(one: Purchase, phase: Phase | None, known: _For) -> OrderLine:
    material = known.basis.materials[one.material]
    price = known.basis.prices.get(one.material)
    needed = [known.needed[place] for place in one.requirements]
    lead = _lead_days(material, needed, known.basis)
    own = bool(price and price.owned)  # nothing to order, so no day to order it by
    truck = one.order.truck if one.order else None
    others = truck.materials if truck else ()
    return OrderLine(
        material=one.material,
        title=material.title,
        unit=one.unit,
        wanted=one.wanted,
        bought=one.bought,
        kept=sum(bought_amount(material, part.amount, part.dimension) * part.keep for part in needed),
        packs=one.packs,
        pack_name=one.pack_name,
        loads=one.loads,
        one_batch=bool(price and price.batch),
        lead_days=lead,
        order_by=phase.start - timedelta(days=lead) if phase and phase.start and not own else None,
        zones=_letters(needed, known.job),
        carried=one.on_trucks,
        truck=truck,
        together=tuple(known.basis.materials[key].title for key in others if key != one.material),
        pallets_back=one.pallets.come - one.pallets.lost if one.pallets else 0,
        hire=one.hire,
        note=price.note if price else "",
    )


def _lead_days(material: Material, needed: Iterable[Requirement], basis: Basis) -> int:
    """The material's own lead; for hired trades and what is not chosen, the longest of the works that want it."""
    if material.cost_class not in (CostClass.SUBCONTRACT, CostClass.ALLOWANCE):
        return material.lead_days
    leads = [basis.assemblies[one.assembly].build.lead_days for one in needed if one.assembly in basis.assemblies]
    return max((material.lead_days, *leads))


def _letters(needed: Iterable[Requirement], job: Job) -> tuple[str, ...]:
    zones = {one.zone for one in needed}
    return tuple(zone.letter or zone.title for zone in job.zones if str(zone.id) in zones)


def _place(one: OrderList) -> tuple[int, str, int, bool, str, str]:
    kind = list(OrderKind).index(one.kind)
    return one.phase_number, one.phase_id, kind, not one.supplier, one.supplier_title, one.supplier
