"""What drives the price: groups and common causes of the range by how much of its width each makes, the most first."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.basis import Basis
from app.domain.costing.chances import RISKS
from app.domain.costing.estimate import Estimate
from app.domain.costing.uncertain import FIXED, HAULING, LABOR, MARKET, MEASURES, OWN_HOURS, SUBS, WEATHER

LEAST = 0.0005  # a share of the width below this moves nothing


@dataclass(frozen=True, slots=True)
class Mover:
    """One thing that moves the price: its part of what makes the band wide (a share of the variance).

    `down_cents` and `up_cents` [of the price] are how far it can carry it alone, at its ends.
    """

    name: str
    title: str
    down_cents: int
    up_cents: int
    remedy: str
    part: float
    where: str  # place key of where it is narrowed, or the name of a sheet

    @property
    def figure(self) -> str:
        """The name by which it is explained."""
        return f"mover:{self.name}"


def movers(worked: Estimate, basis: Basis, parts: Mapping[str, float] | None = None) -> tuple[Mover, ...]:
    """What drives the price, the most first; what cannot move is left out. `parts`: as drawn, else in closed form."""
    shares = worked.inputs.distribution.parts if parts is None else parts
    scale = worked.scale
    ends = _ends(worked)
    found = [
        Mover(
            name,
            title_of(name, basis),
            round(down * scale),
            round(up * scale),
            _REMEDY[name.partition(":")[0]],
            shares.get(name, 0.0),
            _WHERE.get(name, "prices"),
        )
        for name, (down, up) in ends.items()
    ]
    moving = [one for one in found if one.part >= LEAST and one.up_cents > one.down_cents]
    return tuple(sorted(moving, key=lambda one: (-one.part, one.name)))


def _ends(worked: Estimate) -> Mapping[str, tuple[float, float]]:
    """How far each group and each common cause can carry direct cost alone, down and up [cents]."""
    inputs = worked.inputs
    ends = {name: (one.low - one.likely, one.high - one.likely) for name, one in inputs.groups.items() if name != FIXED}
    borne = inputs.loaded
    for cause in inputs.common:
        ends[cause.name] = (borne[cause.name] * cause.spread.low, borne[cause.name] * cause.spread.high)
    if inputs.chances:  # none of it happens, or all of it at its dearest
        mean = sum(one.mean for one in inputs.chances)
        ends[RISKS] = (-mean, sum(one.high for one in inputs.chances) - mean)
    return ends


def title_of(name: str, basis: Basis) -> str:
    """A group or a common cause in words."""
    if name in _TITLE:
        return _TITLE[name]
    supplier = basis.suppliers.get(name.partition(":")[2])
    return f"Prices of {supplier.title}" if supplier else "Prices without a supplier"


_TITLE: Mapping[str, str] = {
    LABOR: "How fast the work goes",
    OWN_HOURS: "How many of your own hours it takes",
    HAULING: "What hauling costs",
    SUBS: "What subcontractors ask",
    MEASURES: "How well the yard was measured",
    WEATHER: "The weather of the season",
    MARKET: "Prices rising everywhere",
    FIXED: "What does not move",
    RISKS: "What may happen, or not",
}
_REMEDY: Mapping[str, str] = {
    LABOR: "Hours of finished jobs narrow it.",
    OWN_HOURS: "Hours of finished jobs narrow it.",
    "supplier": "A quote with a day until which it holds narrows it.",
    HAULING: "A quote by the load narrows it.",
    SUBS: "A written quote narrows it.",
    MEASURES: "Tape what is still a sketch.",
    WEATHER: "Start in the dry months, or agree on who pays for rain days.",
    MARKET: "Buy early, or say how long the price holds.",
    RISKS: "Find out before: ask, dig a test hole; or agree who carries it.",
}
_WHERE: Mapping[str, str] = {
    LABOR: "firm",
    OWN_HOURS: "firm",
    MEASURES: "plan",
    WEATHER: "phases",
    MARKET: "proposal",
    RISKS: "price",
}
