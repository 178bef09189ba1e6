"""What moves the price: the groups of the range by how far each can carry it, the widest first."""

from dataclasses import dataclass

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate
from app.domain.costing.uncertain import FIXED, LABOR

MEASURES = "measures"


@dataclass(frozen=True, slots=True)
class Mover:
    """One thing that moves the price: how far down and up it can carry it alone [cents of the price], at the ends."""

    name: str
    title: str
    down_cents: int
    up_cents: int
    remedy: str


def movers(worked: Estimate, basis: Basis) -> tuple[Mover, ...]:
    """The groups of the range with what each can do to the price, the widest first; what cannot move is left out."""
    inputs = worked.inputs
    likely = worked.range.likely
    direct = worked.build_up.step("direct").cents
    fixed = worked.build_up.fixed_cents
    scale = (likely - fixed) / direct if direct else 0.0
    found = [
        Mover(
            name,
            _title(name, basis),
            round((spread.low - spread.likely) * scale),
            round((spread.high - spread.likely) * scale),
            _REMEDY.get(name.partition(":")[0], ""),
        )
        for name, spread in inputs.groups.items()
        if name != FIXED
    ]
    off = round(sum(share * inputs.groups[name].likely for name, share in inputs.measured.items()) * scale)
    found.append(Mover(MEASURES, "How well the yard was measured", -off, off, _REMEDY[MEASURES]))
    moving = [one for one in found if one.up_cents - one.down_cents > 0]
    return tuple(sorted(moving, key=lambda one: (one.down_cents - one.up_cents, one.name)))


def _title(name: str, basis: Basis) -> str:
    kind, _, key = name.partition(":")
    if kind == LABOR:
        return "How fast the work goes"
    supplier = basis.suppliers.get(key)
    return f"Prices of {supplier.title}" if supplier else "Prices without a supplier"


_REMEDY = {
    LABOR: "Hours of finished jobs narrow it.",
    "supplier": "A quote with a day until which it holds narrows it.",
    MEASURES: "Tape what is still a sketch.",
}
