"""One material bought for one phase, and the order it comes with."""

from dataclasses import dataclass

from app.domain.basis import CostClass
from app.domain.takeoff.hauling import Carried
from app.domain.takeoff.hiring import Hire
from app.domain.takeoff.packs import Pallets


@dataclass(frozen=True, slots=True, kw_only=True)
class Truck:
    """Loads that materials of one kind of load share: how much of loads each fills, whole loads, what they cost."""

    load: str
    materials: tuple[str, ...]
    parts: tuple[float, ...]
    loads: int
    each_cents: int

    @property
    def cents(self) -> int:
        """What the loads cost."""
        return self.loads * self.each_cents


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """What one supplier sells for one phase: what it is worth, what is charged where that is little [cents]."""

    worth_cents: int
    least_cents: int
    fee_cents: int
    fee_charged_cents: int  # the fee, or what lacks to the least where that is less
    truck: Truck | None = None  # that this material shares with others


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """One material bought for one phase.

    `wanted` [bought units] is what is needed with losses and what is kept; `bought` is whole packs of it, or what the
    `hire` covers. `amounts` and `parts` go by requirement: what it wants, and its cents with delivery and fuel shared
    like the rest; they add up to `wanted` and to `total_cents`. Without a price both are 0 and `priced` is False.
    """

    material: str
    phase: str
    cost_class: CostClass
    supplier: str
    unit: str
    wanted: float
    bought: float
    packs: int
    pack_name: str
    loads: int
    cents: int
    delivery_cents: int
    priced: bool
    requirements: tuple[int, ...]  # places in the list of requirements
    amounts: tuple[float, ...]
    parts: tuple[int, ...]
    hire: Hire | None = None  # of what is let by the period
    fuel_cents: int = 0  # fuel of ours that it burns at work
    on_trucks: Carried | None = None  # of what comes or goes by the load
    tip_cents: int = 0  # what the place that takes it charges
    small_cents: int = 0  # the charge for a small order of it
    filled_up: bool = False  # more is ordered than is wanted, because a small order costs more
    pallets: Pallets | None = None  # that are paid for and go back
    fee_cents: int = 0  # its share of what the supplier charges for an order worth little
    order: Ordered | None = None  # what it comes with, where the supplier's terms make one order of several materials

    @property
    def total_cents(self) -> int:
        """What it costs delivered, fueled and tipped, with all charges and the pallets that do not come back."""
        lost = self.pallets.kept_cents if self.pallets else 0
        charged = self.small_cents + self.fee_cents + lost
        return self.cents + self.delivery_cents + self.fuel_cents + self.tip_cents + charged
