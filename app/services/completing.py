"""Completion signed on the screen: offered as bytes, signed and locked as a proposal is, kept with the hand-over."""

from dataclasses import dataclass, replace
from uuid import UUID, uuid5

from app.db.repositories.revisions import CONTRACTOR, Revision
from app.domain.codec import to_plain
from app.domain.errors import Refused
from app.domain.handover.handing_over import handed_over_of
from app.services import jobs, revisions
from app.services.closing_papers import completion_act, completion_pdf
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.revisions import COMPLETION, Offer
from app.services.sheets import Sheet, sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Completions:
    """The completion papers of a job: the one that is open to be signed, and the newest signed one."""

    open: Revision | None
    signed: Revision | None


def completions(office: Office, job_id: UUID) -> Completions:
    """What of the hand-over was offered to be signed on a screen."""
    held = [one for one in revisions.of_job(office, job_id) if one.kind == COMPLETION]
    return Completions(
        open=next((one for one in held if one.state == "offered"), None),
        signed=next((one for one in held if one.state == "signed"), None),
    )


async def offer_completion(office: Office, view: Sheet, order: Order, *, contractor: str = "") -> Revision:
    """Offer the paper of the hand-over to be signed. Raises: Refused before the yard is handed over."""
    over = handed_over_of(view.job)
    if over is None:
        raise Refused("Hand the yard over first: the paper says on which day it was.")
    act = completion_act(office, view)
    offer = Offer(
        kind=COMPLETION,
        pdf=completion_pdf(office, view, by_hand=False),
        price_cents=None,
        holds_until=None,
        signers=act.signers,
        results={"handed_over": to_plain(over), "open": [one.what for one in act.open_items]},
        contractor=contractor,
    )
    return await revisions.issue(office, view, offer, order)


def note_signed(office: Office, one: Revision, order: Order) -> None:
    """Write beside the hand-over who of the client signed its paper, once everybody did."""
    if one.kind != COMPLETION or one.state != "signed":
        return
    view = sheet(office, UUID(one.job_id))
    over = handed_over_of(view.job)
    if over is None or over.client:
        return
    names = " and ".join(signer.name for signer in one.signers if signer.role != CONTRACTOR)
    edit = changed("handed_over", over.id, view.version("handed_over", over.id), {"client": names})
    own = replace(order, change_id=uuid5(order.change_id, "completion"), follows=None)
    jobs.save(office, view.job.head.id, (edit,), replace(own, what=f"Completion signed by {names}"[:120]))
