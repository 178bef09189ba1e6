"""Calls after hand-over over all jobs, by recipe, cause, who built it, and batch."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.db.repositories import looking_back as rows
from app.db.repositories import sold_and_spent as sums
from app.db.repositories.receivables import things_of_firm
from app.domain.errors import NotFound
from app.domain.job import CAUSES, WarrantyCall
from app.domain.looking_back.callbacks import CallSum, JobCall, cost_of, explain_calls, summed
from app.domain.takeoff.trace import Trace
from app.interchange.cells_out import csv_table
from app.services.office import Office

NOT_SAID = "not said"
HEAD = (
    "Day",
    "Job",
    "What",
    "Recipe",
    "Cause",
    "Crew",
    "Subcontractor",
    "Batch",
    "Covered",
    "Hours",
    "Cost",
    "Done on",
)
KEYS: Mapping[str, Callable[[WarrantyCall], str]] = {
    "recipe": lambda one: one.assembly,
    "cause": lambda one: one.cause,
    "built": lambda one: one.subcontractor or one.crew,
    "batch": lambda one: one.batch,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Calls:
    """All calls, and their sums by each of `KEYS`."""

    calls: tuple[JobCall, ...]
    by: Mapping[str, tuple[CallSum, ...]]


def known_calls(office: Office) -> Calls:
    """Calls of all jobs; hours cost what an hour of the crew costs in the mean of the job's own bid."""
    with office.database.read() as connection:
        every = things_of_firm(connection, office.firm_id, "warranty_call")
        held = [(job_id, call) for job_id, call in every if not call.question]
        names = rows.job_names(connection, office.firm_id, {job_id for job_id, _ in held})
        bids = sums.signed(connection, office.firm_id) if held else []
    per_hour = {one.job_id: _mean(one.crew_cents, one.crew_hours) for one in bids}
    calls = tuple(
        JobCall(job_id=job_id, job=names[job_id].words, call=call, cents=cost_of(call, per_hour.get(job_id)))
        for job_id, call in held
        if job_id in names
    )
    return Calls(calls=calls, by={by: summed(calls, key, _titles(office, by)) for by, key in KEYS.items()})


def _mean(cents: int, hours: float) -> Decimal | None:
    return (Decimal(cents) / 100 / Decimal(repr(hours))).quantize(Decimal("0.0001")) if hours > 0 else None


def _titles(office: Office, by: str) -> Callable[[str], str]:
    basis = office.basis()
    known: dict[str, str] = {
        "recipe": {key: one.title for key, one in basis.assemblies.items()},
        "cause": dict(CAUSES),
        "built": {key: one.title for key, one in basis.subcontractors.items()},
    }.get(by, {})
    return lambda key: known.get(key, key) or NOT_SAID


def explained_call(office: Office, by: str, key: str) -> Trace:
    """What calls of one kind cost. Raises: NotFound."""
    found = next((one for one in known_calls(office).by.get(by, ()) if one.key == key), None)
    if found is None:
        raise NotFound("This figure is not on the page any more. Open it again.")
    return explain_calls(found, office.firm().currency)


def calls_table(office: Office) -> bytes:
    """Every call, as a table."""
    titles = {by: _titles(office, by) for by in KEYS}

    def cells(one: JobCall) -> list[object]:
        call = one.call
        told = (titles["recipe"](call.assembly), titles["cause"](call.cause), call.crew)
        sub = titles["built"](call.subcontractor) if call.subcontractor else ""
        ends = ("yes" if call.covered else "no", call.hours, one.cents / 100, call.done_on or "")
        return [call.day, one.job, call.what, *told, sub, call.batch, *ends]

    return csv_table(HEAD, (cells(one) for one in known_calls(office).calls))
