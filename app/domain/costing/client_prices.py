"""What the client is shown: the contract sum and its parts, the whole job's cells shared among the zones they serve.

A phase whose price is a range stands outside the contract sum: its cells are in no zone's price. Within each phase the
cells of the whole job are shared among the zones built in it, by the zones' own prices; where a phase has no zone they
stand under `job`. Every table adds up to the contract sum to the cent.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.costing.estimate import WHOLE_JOB, Estimate
from app.domain.job import Firmness, Job
from app.domain.money import share


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientPrices:
    """Prices [cents]. `phases` holds every phase, those outside the contract sum too."""

    firm: bool
    contract: int
    low: int
    high: int
    zones: Mapping[str, int]
    phases: Mapping[str, int]
    works: Mapping[str, int]
    whole: int  # the price of everything, outside phases included

    def band(self, cents: int) -> tuple[int, int]:
        """A part as a band, as wide in proportion as the whole's, to whole ten dollars."""
        if not self.contract:
            return cents, cents
        return _tens(cents * self.low / self.contract), _tens(cents * self.high / self.contract)


def _tens(cents: float) -> int:
    return round(cents / 1000) * 1000


def client_prices(job: Job, worked: Estimate) -> ClientPrices:
    """The client's prices of an estimate."""
    outside = {str(phase.id) for phase in job.phases if phase.firmness is Firmness.RANGE}
    cells = worked.price_by_zone_and_phase
    zones: dict[str, int] = defaultdict(int)
    for phase in sorted({phase for _, phase in cells}):
        own = {zone: cents for (zone, of_phase), cents in cells.items() if of_phase == phase}
        if phase not in outside:
            for zone, cents in _spread(own).items():
                zones[zone] += cents
    contract = sum(zones.values())
    whole = worked.price_cents
    scale = contract / whole if whole else 0.0
    works: dict[str, int] = defaultdict(int)
    for line, cents in zip(worked.lines, worked.selling, strict=True):
        if line.phase not in outside:
            works[line.work_id] += cents
    return ClientPrices(
        firm=worked.firm_price_cents is not None,
        contract=contract,
        low=_tens(worked.range.low * scale),
        high=_tens(worked.range.high * scale),
        zones=dict(zones),
        phases=dict(worked.price_by_phase),
        works=dict(works),
        whole=whole,
    )


def _spread(own: Mapping[str, int]) -> Mapping[str, int]:
    """One phase's prices with the whole job's share spread over its zones."""
    zones = sorted(zone for zone in own if zone != WHOLE_JOB and own[zone] > 0)
    if not zones:
        return own
    parts = share(own.get(WHOLE_JOB, 0), [own[zone] for zone in zones])
    spread = {zone: own[zone] + part for zone, part in zip(zones, parts, strict=True)}
    return {**{zone: cents for zone, cents in own.items() if zone != WHOLE_JOB}, **spread}
