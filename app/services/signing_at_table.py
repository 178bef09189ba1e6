"""Signing at the table: what is signed is what was ticked when it was offered."""

from collections.abc import Mapping
from uuid import UUID

from app.db.repositories.revisions import Revision
from app.domain.errors import Refused
from app.domain.job import Job
from app.interchange.job_file import read_job_file
from app.services import revisions
from app.services.agreed import agreed_of, signed_at
from app.services.completing import note_signed
from app.services.consenting import NOT_YET, still_to_consent
from app.services.jobs import Order
from app.services.later_options import later
from app.services.office import Office
from app.services.revisions import CHANGE, CHANGE_ORDER, PROPOSAL, Act
from app.services.sheets import Sheet

TICKED_SINCE = "Something was ticked or unticked after these pages were offered. Offer them again, then sign."
MOVED_SINCE = "Another change was signed after these pages were offered, so they add to another sum. Offer them again."


def ticked_since(office: Office, view: Sheet, one: Revision) -> bool:
    """Whether options of the job are ticked otherwise than in an offer that is still open, or the contract moved."""
    if one.kind in (CHANGE, CHANGE_ORDER) and one.state == "offered" and _signed_since(office, one):
        return True
    if one.kind not in (PROPOSAL, CHANGE) or one.state != "offered" or not view.job.options:
        return False
    offered = read_job_file(revisions.files_of(office).read(one.files["job"])).job
    if one.kind == CHANGE:
        found = later(office, view)
        return found is None or _ticked(offered) != _ticked(found.changed)
    return _ticked(offered) != _ticked(view.job)


def _signed_since(office: Office, one: Revision) -> bool:
    """Whether the contract moved after a change to it was offered: it is measured on what no longer stands."""
    agreed = agreed_of(office, UUID(one.job_id))
    return agreed is None or signed_at(agreed.newest) > one.issued_at


def _ticked(job: Job) -> Mapping[UUID, bool]:
    return {option.id: option.taken for option in job.options}


async def sign_as_ticked(office: Office, view: Sheet, revision_id: str, act: Act, order: Order) -> Revision:
    """Sign an offer whose ticks are those of the job. Raises: Refused where they are not, and as `revisions.sign`."""
    one = revisions.read(office, revision_id)
    if ticked_since(office, view, one):
        raise Refused(MOVED_SINCE if one.kind != PROPOSAL and _signed_since(office, one) else TICKED_SINCE)
    if act.name in still_to_consent(one) and not act.on_paper:
        raise Refused(NOT_YET, field="name")
    signed = await revisions.sign(office, view, revision_id, act, order)
    note_signed(office, signed, order)
    return signed
