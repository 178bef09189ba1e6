"""What is paid for only in whole steps: crew days, deliveries, days of hire, charges for small orders.

A small edit that adds or takes away such a step moves the price by all of it: that is said beside the edit.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from app.domain.basis import Basis
from app.domain.costing.estimate import Estimate

Kind = Literal["crew days", "loads", "hire hours", "small order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeSteps:
    """The price [cents] and how many of each step are in it, by kind and phase or material (days, loads, hours)."""

    price_cents: int
    count: Mapping[tuple[Kind, str], float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One kind of step that an edit adds or takes away: how many there were and are; `of` is a phase or material."""

    kind: Kind
    of: str
    before: float
    after: float

    @property
    def by(self) -> float:
        """How many more, below 0 for fewer."""
        return self.after - self.before


@dataclass(frozen=True, slots=True, kw_only=True)
class Stepped:
    """What an edit moved the price by [cents], with the steps in it."""

    by_cents: int
    steps: tuple[Step, ...]


def whole_steps(worked: Estimate) -> WholeSteps:
    """The steps of an estimate."""
    count: dict[tuple[Kind, str], float] = {}
    for kind, of, many in _counted(worked):
        count[kind, of] = count.get((kind, of), 0) + many
    return WholeSteps(price_cents=worked.price_cents, count=count)


def _counted(worked: Estimate) -> Iterator[tuple[Kind, str, float]]:
    for phase in worked.crew_days:
        yield "crew days", phase.phase, phase.days
    for one in worked.purchases:
        if one.delivery_cents or one.on_trucks:
            yield "loads", one.material, one.loads
        if one.hire:
            yield "hire hours", one.material, one.hire.covers
        if one.small_cents:
            yield "small order", one.material, 1


def steps_moved(before: WholeSteps, after: WholeSteps) -> Stepped | None:
    """The steps an edit added or took away, crew days first; None where it did neither, or moved no price."""
    keys = dict.fromkeys((*before.count, *after.count))
    steps = [
        Step(kind=kind, of=of, before=before.count.get((kind, of), 0), after=after.count.get((kind, of), 0))
        for kind, of in keys
    ]
    moved = tuple(sorted((one for one in steps if one.by), key=lambda one: one.kind != "crew days"))
    by = after.price_cents - before.price_cents
    return Stepped(by_cents=by, steps=moved) if moved and by else None


def step_of_what(step: Step, basis: Basis, phases: Mapping[str, str]) -> str:
    """What a step is of, in words: a phase by its number and title, a material by its name."""
    if step.kind == "crew days":
        return phases.get(step.of, "")
    known = basis.materials.get(step.of)
    return known.title if known else step.of
