"""Who is awaited on a revision, what is put on record about it, and the stage of its job."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from app.db.repositories import counters, record
from app.db.repositories.revisions import CONTRACTOR, Revision, Signer
from app.domain.change import Change
from app.domain.codec import to_plain
from app.domain.job import Stage
from app.services import changes
from app.services.jobs import Order, changed
from app.services.office import Office
from app.services.sheets import Sheet


def awaited(clients: Sequence[str], contractor: str, agreed: Sequence[Revision]) -> tuple[Signer, ...]:
    """Who signs: the clients, then whoever signs for the firm, under a name of their own.

    What changes an agreement is signed for the firm by whom the newest of `agreed` was, if by anybody.
    """
    signed = (signer for one in agreed if one.state == "signed" for signer in one.signers)
    name = contractor or next((signer.name for signer in signed if signer.role == CONTRACTOR), "")
    theirs = tuple(Signer(name=client) for client in clients)
    if not name:
        return theirs
    return (*theirs, Signer(name=f"{name}, contractor" if name in clients else name, role=CONTRACTOR))


def on_record(
    office: Office, connection: Any, kind: str, order: Order, job_id: UUID, what: str, body: Mapping[str, Any]
) -> None:
    """Add an entry that is no change of a thing: its body says which bytes."""
    entry = Change(id=order.change_id, job_id=job_id, edits=(), who=office.who(), when=office.clock(), what=what)
    record.append(connection, firm_id=office.firm_id, kind=kind, change=entry, answer=to_plain(dict(body)))
    counters.raise_counter(connection, f"job:{job_id}")


def move_stage(office: Office, connection: Any, job_id: UUID, view: Sheet, stage: Stage, now: datetime) -> None:
    """Move a job to a stage, as a change of its own."""
    edit = changed("job", job_id, view.version("job", job_id), {"stage": stage})
    what = f"Stage: {stage.value}"
    change = Change(id=uuid4(), job_id=job_id, edits=(edit,), who=office.who(), when=now, what=what)
    changes.apply_within(connection, office.firm_id, change)
