"""What trucks carry to and from a lot, in words: in place, loose, tons, loads by volume and by weight."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.documents.formats import Formats
from app.domain.basis import CostClass
from app.domain.takeoff.hauling import SOIL_ROLE, ground_of
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
    figure: str
    tipping: str


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
                figure=f"loads:{one.material}:{one.phase}",
                tipping=fmt.money(one.tip_cents) if one.tip_cents else "",
            )
        )
    return sorted(rows, key=lambda row: (not row.away, row.phase, row.title))
