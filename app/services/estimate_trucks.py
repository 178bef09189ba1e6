"""What trucks carry to and from a lot, in words: in place, loose, tons, loads by volume and by weight."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.documents.formats import Formats
from app.domain.basis import Basis, CostClass
from app.domain.takeoff.hauling import SOIL_ROLE, ground_of
from app.domain.takeoff.hiring import idle_words
from app.domain.takeoff.purchase import Purchase
from app.services.sheets import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class TruckRow:
    """What is carried of one material for one phase; a text is empty where it is not known."""

    title: str
    phase: str
    away: bool
    in_place: str
    placed: str  # soil: what it would fill, compacted again
    loose: str
    tons: str
    by_volume: str
    by_weight: str
    loads: int
    shared: int  # loads that it shares with others; 0 where it comes by itself
    figure: str
    tipping: str


def purchase_note(one: Purchase, basis: Basis, fmt: Formats) -> str:
    """What else is to be known of a purchase: idle days, a small order, loads that are shared, pallets that go back."""
    told = [idle_words(one.hire)] if one.hire else []
    if one.small_cents or one.fee_cents:
        told.append(f"small order, {fmt.money(one.small_cents + one.fee_cents)}")
    if one.filled_up:
        told.append("filled up: a small order would cost more")
    if one.order and one.order.truck:
        others = [basis.materials[key].title for key in one.order.truck.materials if key != one.material]
        told.append(f"on one truck with {', '.join(others)}")
    if one.pallets:
        out, back = fmt.money(one.pallets.paid_cents), fmt.money(one.pallets.back_cents)
        told.append(f"pallet deposit {out} out, {back} back")
    return "; ".join(filter(None, told))


def truck_rows(view: Sheet, fmt: Formats, phases: Mapping[str, str]) -> Sequence[TruckRow]:
    """Every purchase that comes or goes by the load, what leaves the lot first."""
    basis, ground = view.basis, ground_of(view.job.site.soil, view.basis.rules)
    rows = []
    for one in view.estimate.purchases:
        on, material = one.on_trucks, basis.materials.get(one.material)
        if on is None or material is None or not on.loads:
            continue
        dug = material.role == SOIL_ROLE and on.in_place is not None
        rows.append(
            TruckRow(
                title=material.title,
                phase=phases.get(one.phase, ""),
                away=one.cost_class is CostClass.HAULING,
                in_place=fmt.volume(on.in_place),
                placed=fmt.volume((on.in_place or 0.0) * ground.shrink) if dug else "",
                loose=fmt.volume(on.loose),
                tons=fmt.weight(on.weight),
                by_volume=str(on.by_volume or ""),
                by_weight=str(on.by_weight or ""),
                loads=on.loads,
                shared=one.order.truck.loads if one.order and one.order.truck else 0,
                figure=f"loads:{one.material}:{one.phase}",
                tipping=fmt.money(one.tip_cents) if one.tip_cents else "",
            )
        )
    return sorted(rows, key=lambda row: (not row.away, row.phase, row.title))
