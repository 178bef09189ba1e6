"""What a finish does to the price of a job: each that could be chosen everywhere, against what lies there now."""

from dataclasses import dataclass, replace

from app.domain.costing.estimate import Estimate, estimate
from app.domain.errors import NotFound
from app.domain.job import Job
from app.domain.takeoff.trace import Trace
from app.services.office import Office
from app.services.palette import palette, uses
from app.services.sheets import Sheet, kept

GONE = "This finish is not part of the job (any more). Open the palette again."


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishPrice:
    """What the price moves by [cents] with a material in all places of its role; `known`: whether all has a price."""

    material: str
    by_cents: int
    known: bool


def finish_prices(office: Office, view: Sheet, role: str) -> tuple[FinishPrice, ...]:
    """Each finish that could be chosen for a role, in the order of the palette. Raises: NotFound."""
    card = next((one for one in palette(view) if one.role == role), None)
    if card is None:
        raise NotFound(GONE)
    return tuple(_price(view, one.material.key, _with(office, view, role, one.material.key)) for one in card.options)


def explain_finish(office: Office, view: Sheet, rest: str) -> Trace:
    """How such a difference adds up: `ROLE:MATERIAL`. Raises: NotFound."""
    role, _, key = rest.partition(":")
    known = next((one for one in palette(view) if one.role == role), None)
    option = next((one.material for one in known.options if one.material.key == key), None) if known else None
    if option is None:
        raise NotFound(GONE)
    now, then, unit = view.estimate.price_cents, _with(office, view, role, key).price_cents, view.basis.firm.currency
    steps = tuple(
        Trace(label=label, expression="sum of the steps", filled="", result=cents / 100, unit=unit)
        for label, cents in ((f"Price with {option.title} everywhere", then), ("Price as it is", now))
    )
    told = "price of the job with this finish in all its places − price as it is"
    return Trace(label="Difference", expression=told, filled="", result=(then - now) / 100, unit=unit, steps=steps)


def _price(view: Sheet, key: str, other: Estimate) -> FinishPrice:
    known = key not in other.materials_unpriced
    return FinishPrice(material=key, by_cents=other.price_cents - view.estimate.price_cents, known=known)


def _with(office: Office, view: Sheet, role: str, key: str) -> Estimate:
    def work() -> Estimate:
        return estimate(_chosen(view, role, key), view.basis, view.today)

    return kept(office, ("finish", view.job.head.id, role, key), view.opened, work)


def _chosen(view: Sheet, role: str, key: str) -> Job:
    """The job with a material in every work that has the role, as a choice for everywhere leaves it."""
    holds = {use.work.id for use in uses(view.job, view.basis) if use.role == role}
    works = tuple(
        replace(one, finishes={**one.finishes, role: key}) if one.id in holds else one for one in view.job.works
    )
    return replace(view.job, works=works)
