"""What was signed waits: nothing is ordered and no crew starts before the client can no longer cancel.

The owner may go on with name and reason (a client's own handwritten waiver in an emergency, for example). That is a
settlement of the job, made, recorded and taken back like any other; it holds for the days it was written for.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from app.db.repositories.revisions import Revision
from app.domain.contract.cancelling import Cancelling
from app.domain.errors import NotFound
from app.domain.findings import Finding, Severity, Stop
from app.domain.job import Settlement
from app.services import jobs, revisions
from app.services.changes import Applied
from app.services.checks import Going, refuse_unsaid, settled_by
from app.services.jobs import Order, made
from app.services.notices import window_of
from app.services.office import Office
from app.services.revisions import CHANGE, CHANGE_ORDER, PROPOSAL
from app.services.sheets import Sheet, sheet

SOURCE = "16 CFR 429: three business days; Saturdays count, Sundays and federal holidays do not"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A signed paper that the client may still cancel, and who goes on all the same, if anybody."""

    revision_id: str
    kind: str
    number: int
    window: Cancelling
    key: str  # what a settlement of it names
    gone_on: Settlement | None = None

    @property
    def waits(self) -> bool:
        """Whether orders and crews wait for it."""
        return self.gone_on is None


def holds(office: Office, view: Sheet) -> tuple[Hold, ...]:
    """What may still be cancelled today at the site, the newest first."""
    zone = view.job.head.time_zone
    today = revisions.today_at(office, zone)
    decided = {one.finding: one for one in view.job.settlements}
    found = []
    for one in revisions.of_job(office, view.job.head.id):
        if one.kind in (PROPOSAL, CHANGE, CHANGE_ORDER) and one.state == "signed":
            window = window_of(one.signers, zone, view.basis)
            if window and window.runs(today):
                found.append(_hold(one, window, decided))
    return tuple(found)


def waiting(found: Sequence[Hold]) -> tuple[Hold, ...]:
    """Those that orders and crews wait for."""
    return tuple(one for one in found if one.waits)


def free_on(found: Sequence[Hold]) -> date | None:
    """The first day on which the crew may begin; None where nothing waits."""
    return max((one.window.free_on for one in waiting(found)), default=None)


def not_before(found: Sequence[Hold]) -> str:
    """What a paper printed before the days are over says; empty where nothing waits."""
    held, free = waiting(found), free_on(found)
    if free is None:
        return ""
    what = " and ".join(f"{one.kind} {one.number}" for one in held)
    return f"Not to be sent before {free:%B} {free.day}, {free.year}: until then the client may cancel {what}"


def go_on(office: Office, job_id: UUID, revision_id: str, going: Going, order: Order) -> Applied:
    """Order and start before the days are over, with name and reason.

    Raises: BadValue without a name or reason, NotFound when nothing waits for it (any more).
    """
    refuse_unsaid(going, "why it need not wait")
    held = next((one for one in waiting(holds(office, sheet(office, job_id))) if one.revision_id == revision_id), None)
    if held is None:
        raise NotFound("Nothing waits for this (any more). Look at Build again.")
    one = settled_by(office, held.key, going)
    what = f"Goes on before the days to cancel {held.kind} {held.number} are over"
    return jobs.save(office, job_id, (made("settlement", one),), replace(order, what=what))


def wait_again(office: Office, job_id: UUID, settlement_id: UUID, order: Order) -> Applied:
    """Take a going-on back: orders and crews wait. Raises: NotFound."""
    opened = jobs.open_job(office, job_id)
    edits = jobs.removal(opened, "settlement", settlement_id)
    return jobs.save(office, job_id, edits, replace(order, what="Orders and crews wait again"))


def _hold(one: Revision, window: Cancelling, decided: dict[str, Settlement]) -> Hold:
    finding = Finding(
        rule="days-to-cancel",
        severity=Severity.STOP,
        where=f"revision:{one.id}",
        what="",
        measured=window.signed.isoformat(),
        limit=window.last.isoformat(),
        stop=Stop.MONEY,
    )
    return Hold(
        revision_id=one.id,
        kind=one.kind,
        number=one.number,
        window=window,
        key=finding.key,
        gone_on=decided.get(finding.key),
    )
