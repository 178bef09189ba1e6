"""What is pointed out about the colors of a job, as the palette sheet shows it; ours alone."""

from app.domain.basis import Basis
from app.domain.errors import NotFound
from app.domain.palette.advice import Advice, advice
from app.domain.palette.instead import Instead, price_instead
from app.domain.palette.mending import explain_mend
from app.domain.palette.tiles import Tile, tiles_of
from app.domain.takeoff.trace import Trace
from app.services.estimate_view import STEP_TITLES
from app.services.office import Office
from app.services.sheets import Sheet, kept

GONE = "This is not pointed out any more. Open the palette again."


def advice_of(office: Office, view: Sheet) -> Advice:
    """The advice on a job; kept while the job and its basis stand."""
    name = ("palette", view.job.head.id)
    return kept(office, name, view.opened, lambda: advice(view.job, view.basis, view.estimate))


def tiles_on(office: Office, view: Sheet) -> tuple[Tile, ...]:
    """The swatches of a job as they will lie; kept while the job and its basis stand."""
    return kept(office, ("tiles", view.job.head.id), view.opened, lambda: tiles_of(view.job, view.basis))


def explain_difference(office: Office, view: Sheet, figure: str) -> Trace:
    """`FROM:TO`: what one material in place of another costs more or less. Raises: NotFound."""
    now, _, then = figure.partition(":")
    members = {one.key: one for one in advice_of(office, view).members}
    if not {now, then} <= view.basis.materials.keys() or now not in members:
        raise NotFound(GONE)
    material = explain_mend(members[now], then, view.basis)
    priced = price_instead(view.job, view.basis, view.estimate, now, then)
    if material is None or priced is None:
        raise NotFound(GONE)
    return explain_instead(priced, material, view.basis)


def explain_instead(found: Instead, material: Trace, basis: Basis) -> Trace:
    """What another material adds to the price: both prices, what each step of them adds, and the material by itself."""
    unit = basis.firm.currency
    prices = tuple(
        Trace(label=label, expression="sum of the steps of a full estimate", filled="", result=cents / 100, unit=unit)
        for label, cents in (("Price with it", found.then_cents), ("Price as it is", found.now_cents))
    )
    steps = tuple(
        Trace(
            label=STEP_TITLES.get(name, name), expression="with it − as it is", filled="", result=cents / 100, unit=unit
        )
        for name, cents in found.steps.items()
        if cents
    )
    told = "price of the job with it wherever the other lies − price as it is"
    source = "its own waste, packs, deliveries and labor, and all that is put on them"
    return Trace(
        label="Difference",
        expression=told,
        filled="",
        result=found.cents / 100,
        unit=unit,
        source=source,
        steps=(*prices, *steps, material),
    )
