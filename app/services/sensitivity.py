"""What drives the price of a job, as its page shows it: worked out in the worker, kept while the estimate stands."""

from dataclasses import dataclass

from app.documents import charts
from app.documents.formats import Formats
from app.domain.costing.estimate import Estimate, estimate
from app.domain.costing.explain import explain
from app.domain.costing.sensitivity import LESS, MORE, Driver, Swing, changed, drivers
from app.domain.errors import NotFound
from app.domain.keeping import BoundedByIdentity
from app.domain.takeoff.trace import Trace
from app.interchange.what_if import swings_of, what_if_payload
from app.services.office import Office
from app.services.sheets import Sheet
from app.worker import run_in_worker
from app.worker.running import Progress

SECONDS = 30.0
KEPT = 40
ENDS = {"less": LESS, "more": MORE}


@dataclass(frozen=True, slots=True, kw_only=True)
class DriversView:
    """The swings where they are worked out, else None."""

    swings: tuple[Swing, ...] | None
    chart: str


def drivers_view(office: Office, view: Sheet) -> DriversView:
    """What is known of the drivers of a job."""
    found = _kept(office).get(view.estimate)
    return DriversView(swings=found, chart=_chart(view, found) if found else "")


async def work_out(office: Office, view: Sheet, told: Progress | None = None) -> tuple[Swing, ...]:
    """Change every driver in the worker; what was worked out for this estimate is not worked out again."""
    known = _kept(office).get(view.estimate)
    if known is not None:
        return known
    payload = what_if_payload(view.job, view.basis)
    found = swings_of(await run_in_worker("what if", payload, deadline=SECONDS, progress=told))
    _kept(office).keep(view.estimate, found)
    return found


def explain_driver(_office: Office, view: Sheet, rest: str) -> Trace:
    """What one step does: `KEY:less` or `KEY:more`, both prices opened. Raises: NotFound."""
    key, _, end = rest.rpartition(":")
    driver = next((one for one in drivers(view.job, view.basis, view.estimate) if one.key == key), None)
    if driver is None or end not in ENDS:
        raise NotFound("This driver is not part of the job (any more). Open the page again.")
    return _difference(view, driver, ENDS[end])


def _difference(view: Sheet, driver: Driver, sign: int) -> Trace:
    job, basis = changed(view.job, view.basis, driver.key, sign)
    other = estimate(job, basis)
    unit = view.basis.firm.currency
    steps = (explain(job, basis, "price", other), explain(view.job, view.basis, "price", view.estimate))
    return Trace(
        label=f"{driver.title}: {driver.words(sign)}",
        expression="price with it − price as it is",
        filled="the whole estimate again, nothing else changed",
        result=(other.price_cents - view.estimate.price_cents) / 100,
        unit=unit,
        steps=steps,
    )


def _chart(view: Sheet, swings: tuple[Swing, ...]) -> str:
    fmt = Formats(view.basis.firm.system, view.basis.firm.currency)
    rows = [
        charts.Swing(
            f"{one.driver.title}",
            float(one.less_cents),
            float(one.more_cents),
            f"{one.driver.less} {signed(fmt, one.less_cents)}",
            f"{one.driver.more} {signed(fmt, one.more_cents)}",
        )
        for one in swings
    ]
    said = "; ".join(f"{row.label}: {row.low_words}, {row.high_words}" for row in rows)
    return charts.tornado_svg(rows, charts.Words("What each driver does to the price", said))


def signed(fmt: Formats, cents: int) -> str:
    """Money with its sign, in thousands."""
    return f"{'+' if cents > 0 else ''}{fmt.short(cents)}"


def _kept(office: Office) -> BoundedByIdentity[Estimate, tuple[Swing, ...]]:
    kept: BoundedByIdentity[Estimate, tuple[Swing, ...]] = office.database.memory.setdefault(
        "swings", BoundedByIdentity(KEPT)
    )
    return kept
