"""Offers that are open no more: taken back by the firm, declined by the client. The pages stay, with day and reason."""

from dataclasses import replace
from uuid import UUID

from app.db.repositories import revisions
from app.db.repositories.revisions import Revision
from app.domain.errors import Refused
from app.services.jobs import Order
from app.services.office import Office
from app.services.revision_entries import on_record
from app.services.revisions import read

CLOSING = {"withdrawn": ("withdraw", "taken back"), "declined": ("decline", "declined")}  # kind of entry, in words


def withdraw(office: Office, revision_id: str, order: Order) -> Revision:
    """Take an offer back; what is signed cannot be.

    Raises: Refused.
    """
    one = read(office, revision_id)
    if one.state != "offered" or any(signer.signed_at for signer in one.signers):
        raise Refused("Somebody has signed this, or it is no longer open. It cannot be taken back.")
    return close(office, one, "withdrawn", "", order)


def close(office: Office, one: Revision, state: str, why: str, order: Order) -> Revision:
    """An open offer is open no more: since now, and why. Raises: Refused where it is not open (any more)."""
    now, (kind, said) = office.clock().isoformat(), CLOSING[state]
    with office.database.write() as connection:
        fresh = revisions.read_revision(connection, office.firm_id, one.id)
        if fresh is None or fresh.state != "offered":
            raise Refused(f"This {one.kind} is not open any more. Look at the list again.")
        revisions.set_state(connection, one.id, state, now, why)
        what = f"{one.kind.capitalize()} {one.number} {said}"
        on_record(office, connection, kind, order, UUID(one.job_id), what, {"revision": one.id, "why": why})
    return replace(one, state=state, closed_at=now, closed_why=why)
