"""A job's prices beside those of the firm's signed jobs, by kind of work: read in the worker, once a signed copy."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.db.repositories import revisions as rows
from app.db.repositories.revisions import Revision
from app.documents import charts
from app.documents.formats import Formats
from app.domain.costing.compared import sold_of
from app.domain.costing.past import Beside, PastJob, Worth, beside, worths
from app.domain.errors import NotFound
from app.domain.keeping import BoundedCache
from app.domain.moments import day_at
from app.domain.takeoff.trace import Trace
from app.interchange.past_in import past_of, past_payload
from app.services.office import Office
from app.services.revisions import files_of
from app.services.sheets import Sheet
from app.worker import run_in_worker
from app.worker.running import Progress

SECONDS = 60.0
MOST = 60  # signed jobs looked at, the newest
KEPT = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class PastView:
    """This job's kinds of work beside past ones; `waiting` signed jobs are still to be read."""

    rows: Sequence[Beside]
    jobs: int
    waiting: int
    chart: str


def past_view(office: Office, view: Sheet) -> PastView:
    """What is known of past jobs, and how many signed ones have yet to be read."""
    signed = signed_jobs(office, view)
    known = _kept(office)
    past = [job for one in signed if (job := known.get(one.id)) is not None]
    found = beside(worths(view.job, sold_of(view.estimate)), past)
    return PastView(rows=found, jobs=len(past), waiting=len(signed) - len(past), chart=_chart(view, found))


async def read_past(office: Office, view: Sheet, told: Progress | None = None) -> None:
    """Read in the worker what signed jobs are not known yet."""
    known = _kept(office)
    unread = [one for one in signed_jobs(office, view) if known.get(one.id) is None]
    if not unread:
        return
    store, zone = files_of(office), office.firm().time_zone
    payload = past_payload(
        [(one.id, _day(one, zone), store.read(one.files["job"]), store.read(one.files["results"])) for one in unread]
    )
    for job in past_of(await run_in_worker("past jobs", payload, deadline=SECONDS, progress=told)):
        known.keep(job.id, job)


def signed_jobs(office: Office, view: Sheet) -> list[Revision]:
    """The newest signed proposal of every other job of the firm, the newest first."""
    with office.database.read() as connection:
        signed = rows.signed_proposals(connection, office.firm_id)
    newest: dict[str, Revision] = {}
    for one in signed:
        if one.job_id != str(view.job.head.id):
            newest.setdefault(one.job_id, one)
    return list(newest.values())[:MOST]


def explain_past(office: Office, view: Sheet, rest: str) -> Trace:
    """What a kind of work sells for here and sold for before: `KIND`. Raises: NotFound."""
    found = next((one for one in past_view(office, view).rows if one.own.kind == rest), None)
    if found is None:
        raise NotFound("This kind of work is not in the job (any more). Open the page again.")
    unit = view.basis.firm.currency
    steps = tuple(_worth(worth, f"{job.title}, {job.day}", unit) for job, worth in found.past)
    own = _worth(found.own, f"{found.own.title}: this job", unit)
    return Trace(
        label=own.label, expression=own.expression, filled=own.filled, result=own.result, unit=own.unit, steps=steps
    )


def _worth(one: Worth, label: str, unit: str) -> Trace:
    return Trace(
        label=label,
        expression="what it sells for / area" if one.unit == "sq ft" else "what it sells for / length",
        filled=f"{one.cents / 100:,.2f} / {one.amount:,.1f} {one.unit}",
        result=one.per_unit / 100,
        unit=f"{unit} a {one.unit}",
    )


def _day(one: Revision, zone: str) -> str:
    signed = max((signer.signed_at for signer in one.signers if signer.signed_at), default=one.issued_at)
    return day_at(signed, zone).isoformat()


def _chart(view: Sheet, found: Sequence[Beside]) -> str:
    told = [one for one in found if not one.too_few]
    if not told:
        return ""
    fmt = Formats(view.basis.firm.system, view.basis.firm.currency)
    drawn = [
        charts.Dots(
            one.own.title,
            tuple(float(value) for value in one.values),
            float(one.own.per_unit),
            f"here {fmt.money(one.own.per_unit)} a {one.own.unit}",
        )
        for one in told
    ]
    said = "; ".join(
        f"{one.own.title}: here {fmt.money(one.own.per_unit)}, before {fmt.money(one.values[0])} to "
        f"{fmt.money(one.values[-1])} a {one.own.unit}"
        for one in told
    )
    return charts.dots_svg(drawn, charts.Words("This job beside past ones", said))


def _kept(office: Office) -> BoundedCache[str, PastJob]:
    kept: BoundedCache[str, PastJob] = office.database.memory.setdefault("past jobs", BoundedCache(KEPT))
    return kept
