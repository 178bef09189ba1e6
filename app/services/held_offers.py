"""An open offer holds its prices: while only ticks differ, what is ticked now is priced as it was offered."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

import msgspec

from app.db.repositories.revisions import Revision
from app.domain.choices import choices
from app.domain.codec import to_plain
from app.domain.costing.estimate import estimate
from app.domain.job import Job
from app.domain.job.choosing import ChosenSet, set_now, with_set
from app.domain.keeping import KeptByInputs
from app.domain.later import Printed, taken_in
from app.domain.proposal import Proposal
from app.interchange.job_file import read_job_file
from app.services import revisions
from app.services.office import Office
from app.services.revisions import PROPOSAL
from app.services.sheets import Sheet, kept

KEPT = 8  # proposals as printed


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A sheet at the prices an offer holds, the offer, and what the same costs at today's prices [cents]."""

    view: Sheet
    printed: Printed
    today_cents: int


def printed_rows(offer: Proposal) -> list[dict[str, Any]]:
    """The prices of options as they are printed, to be kept beside an offer."""
    rows = [(one, one.price.firm) for one in offer.choices.options if one.price]
    return [to_plain({"id": one.option_id, "title": one.title, "cents": cents}) for one, cents in rows]


def printed_of(office: Office, one: Revision) -> Printed | None:
    """A proposal as it was printed; None where it held no firm price."""
    memory: KeptByInputs[Printed | None] = office.database.memory.setdefault("printed", KeptByInputs(KEPT, each=1))
    return memory.get_or_make(one.id, (one.files["job"], one.holds_until), lambda: _printed(office, one))


def job_of(office: Office, one: Revision) -> Job:
    """The job as a revision kept it."""
    memory: KeptByInputs[Job] = office.database.memory.setdefault("kept jobs", KeptByInputs(KEPT, each=1))
    return memory.get_or_make(
        one.id, (one.files["job"],), lambda: read_job_file(revisions.hand_out(office, one.id, "job")).job
    )


def _printed(office: Office, one: Revision) -> Printed | None:
    if one.price_cents is None or one.holds_until is None:
        return None
    held = read_job_file(revisions.hand_out(office, one.id, "job"))
    rows = results_of(office, one).get("options")
    if rows is None:  # offered by a release that did not keep them: they follow from what it kept
        offered = choices(held.job, held.basis, estimate(held.job, held.basis))
        prices = {row.option_id: row.price.firm for row in offered.options if row.price}
    else:
        prices = {UUID(row["id"]): row["cents"] for row in rows}
    return Printed(
        number=one.number,
        contract_cents=one.price_cents,
        prices={key: cents for key, cents in prices.items() if cents is not None},
        holds_until=one.holds_until,
        job=held.job,
        basis=held.basis,
    )


def results_of(office: Office, one: Revision) -> Mapping[str, Any]:
    """The results that were kept with a revision; none where it kept none."""
    if "results" not in one.files:
        return {}
    found: Mapping[str, Any] = msgspec.json.decode(revisions.hand_out(office, one.id, "results"))
    return found


def held_now(office: Office, view: Sheet) -> Held | None:
    """The sheet at the prices of the open offer; None where there is none, or today's prices come to the same.

    An offer holds for what was offered: for a job that, ticked as it was offered, costs at its prices what it did.
    """
    known = revisions.of_job(office, view.job.head.id)
    zone = view.job.head.time_zone
    offered = (one for one in known if one.kind == PROPOSAL and one.state == "offered")
    one = next((one for one in offered if not revisions.has_run_out(office, one, zone)), None)
    if one is None or not view.job.options:
        return None
    return kept(office, ("held", view.job.head.id, one.id), view.opened, lambda: _held(office, view, one))


def _held(office: Office, view: Sheet, one: Revision) -> Held | None:
    printed = printed_of(office, one)
    if printed is None:
        return None
    worked = estimate(view.job, printed.basis)
    as_offered = estimate(_ticked_as(view.job, printed.job), printed.basis)
    was = estimate(printed.job, printed.basis)
    if worked.price_cents == view.estimate.price_cents or as_offered.price_cents != was.price_cents:
        return None
    at_held = replace(view, opened=replace(view.opened, basis=printed.basis), estimate=worked)
    return Held(view=at_held, printed=printed, today_cents=view.estimate.price_cents)


def _ticked_as(job: Job, offered: Job) -> Job:
    """A job with the options ticked that were ticked in another."""
    return with_set(job, ChosenSet(left_out=set_now(job).left_out, options=taken_in(offered)))
