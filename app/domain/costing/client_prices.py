"""What the client is shown: the contract sum and its parts, each rounded to whole money and adding up to the cent.

A phase whose price is a range stands outside the contract sum: its cells are in no zone's price. Within each phase the
cells of the whole job are shared among the zones built in it, by the zones' own prices (not where the price is shown by
line: there they stand apart); where a phase has no zone they stand under `job`.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from app.domain.basis import CostClass
from app.domain.costing.estimate import Estimate
from app.domain.costing.lines import ALLOWANCE, WHOLE_JOB
from app.domain.job import Firmness, Job, PriceShown
from app.domain.money import share


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A price as printed [cents]: firm, or a band, never both."""

    firm: int | None = None
    low: int | None = None
    high: int | None = None

    @property
    def saved(self) -> "Amount | None":
        """What it saves, where it makes the whole cheaper; else None."""
        if self.firm is not None:
            return Amount(firm=-self.firm) if self.firm < 0 else None
        if self.low is None or self.high is None or self.low >= 0:
            return None
        return Amount(low=-self.high, high=-self.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientPrices:
    """Prices [cents]. `phases` holds every phase, those outside the contract sum too; `works` go by work id."""

    firm: bool
    known: bool  # whether everything has a price; until then nothing is told
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

    @property
    def together(self) -> Amount:
        """The contract sum; nothing while something has no price."""
        if not self.known:
            return Amount()
        return Amount(firm=self.contract) if self.firm else Amount(low=self.low, high=self.high)

    def amount(self, cents: int | None) -> Amount | None:
        """A part as printed; nothing where it is not in the price, or while something has no price."""
        if cents is None or not self.known:
            return None
        if self.firm:
            return Amount(firm=cents)
        low, high = sorted(self.band(cents))
        return Amount(low=low, high=high)


def _tens(cents: float) -> int:
    return round(cents / 1000) * 1000


def client_prices(job: Job, worked: Estimate) -> ClientPrices:
    """The client's prices of an estimate."""
    outside = {str(phase.id) for phase in job.phases if phase.firmness is Firmness.RANGE}
    cells = worked.price_by_zone_and_phase
    zones: dict[str, int] = defaultdict(int)
    for phase in sorted({phase for _, phase in cells} - outside):
        own = {zone: cents for (zone, of_phase), cents in cells.items() if of_phase == phase}
        for zone, cents in (own if job.head.price_shown is PriceShown.LINE else _spread(own)).items():
            zones[zone] += cents
    contract = sum(zones.values())
    scale = contract / worked.price_cents if worked.price_cents else 0.0
    even = _in_whole_money(zones)
    inside = {phase: cents for phase, cents in worked.price_by_phase.items() if phase not in outside}
    return ClientPrices(
        firm=worked.firm_price_cents is not None,
        known=not worked.unpriced,
        contract=contract,
        low=_tens(worked.range.low * scale),
        high=_tens(worked.range.high * scale),
        zones=even,
        phases={**worked.price_by_phase, **_in_whole_money(inside)},
        works=_works(worked, even, outside),
        whole=worked.price_cents,
    )


def tax_in(job: Job, worked: Estimate) -> int:
    """What of the contract sum is sales tax that the client pays [cents]: of phases in the contract alone."""
    outside = {str(phase.id) for phase in job.phases if phase.firmness is Firmness.RANGE}
    shares = worked.build_up.step("sales tax").shares
    return sum(cents for line, cents in zip(worked.lines, shares, strict=True) if line.phase not in outside)


def _in_whole_money(parts: Mapping[str, int]) -> Mapping[str, int]:
    """Parts in whole money that add up to the same sum; odd cents of the sum stay with the largest part."""
    if not parts or any(cents < 0 for cents in parts.values()):
        return dict(parts)
    names = sorted(parts)
    units, odd = divmod(sum(parts.values()), 100)
    even = [unit * 100 for unit in share(units, [parts[name] for name in names])]
    even[max(range(len(names)), key=lambda at: even[at])] += odd
    return dict(zip(names, even, strict=True))


def _spread(own: Mapping[str, int]) -> Mapping[str, int]:
    """One phase's prices with the whole job's share spread over its zones."""
    zones = sorted(zone for zone in own if zone != WHOLE_JOB and own[zone] > 0)
    if not zones:
        return own
    parts = share(own.get(WHOLE_JOB, 0), [own[zone] for zone in zones])
    spread = {zone: own[zone] + part for zone, part in zip(zones, parts, strict=True)}
    return {**{zone: cents for zone, cents in own.items() if zone != WHOLE_JOB}, **spread}


def _works(worked: Estimate, zones: Mapping[str, int], outside: set[str]) -> Mapping[str, int]:
    """Each work's part of its zone's price, so that works and allowances of a zone add up to it."""
    own: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    aside: dict[str, int] = defaultdict(int)
    for line, cents in zip(worked.lines, worked.selling, strict=True):
        if line.phase in outside:
            continue
        if line.kind == ALLOWANCE:
            aside[line.zone] += line.cents
        elif line.work_id:
            own[line.zone][line.work_id] += cents
    works: dict[str, int] = {}
    for zone, by_work in own.items():
        left = zones.get(zone, 0) - aside[zone]
        names = sorted(by_work)
        units, odd = divmod(max(left, 0), 100)
        parts = [unit * 100 for unit in share(units, [max(0, by_work[name]) for name in names])]
        parts[0] += odd
        works |= dict(zip(names, parts, strict=True))
    return works


def set_aside_by_work(worked: Estimate) -> Mapping[str, int]:
    """What a work's price holds as allowances of the book [cents], by work id; the job's own allowances left out."""
    held: dict[str, int] = {}
    for line, cents in zip(worked.lines, worked.selling, strict=True):
        if line.kind == "material" and line.cost_class is CostClass.ALLOWANCE:
            held[line.work_id] = held.get(line.work_id, 0) + cents
    return held
