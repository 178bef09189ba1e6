"""Hand-over and closing of a job: each one change, with what stood open written down."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import uuid5

from app.documents.formats import Formats
from app.domain.change import Edit
from app.domain.errors import NotFound, Refused
from app.domain.handover.handing_over import (
    MoneyStanding,
    Point,
    closing_of,
    handed_over_of,
    open_at_closing,
    refuse_closing,
    refuse_day,
    refuse_handing_over,
)
from app.domain.job import Closing, HandedOver, ReachedMilestone, Stage
from app.services import jobs
from app.services.billed import JobMoney, job_money
from app.services.changes import Applied
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.own_photo import with_photo
from app.services.sheets import Sheet
from app.services.signed_tests import YardTests, yard_tests


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """How far a job is on its way from built to closed."""

    tests: YardTests
    money: JobMoney
    handed_over: HandedOver | None
    closed: Closing | None
    open: tuple[Point, ...]

    @property
    def last_draw(self) -> Any:
        """The milestones that no invoice has and nobody marked as reached: the hand-over reaches the last one."""
        rows = [row for row in self.money.milestones if not row.standing and not row.reached]
        return rows[0] if len(rows) == 1 else None


def after(office: Office, view: Sheet) -> After:
    """How a job stands after it was built."""
    tests, money = yard_tests(office, view), job_money(office, view)
    standing = MoneyStanding(
        signed=money.contract is not None, to_bill_cents=money.left_cents, open_cents=money.account.open_cents
    )
    return After(
        tests=tests,
        money=money,
        handed_over=handed_over_of(view.job),
        closed=closing_of(view.job),
        open=open_at_closing(view.job, tests.rows, standing, tests.letters),
    )


def hand_over(office: Office, view: Sheet, values: Mapping[str, Any], order: Order) -> Applied | None:
    """The yard goes over to the client; warranty runs from that day. With `last_draw` the last payment is reached, too.

    Raises: Refused while a test is not signed, or it is handed over; BadValue for the day.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    standing = after(office, view)
    if standing.handed_over:
        raise Refused("The yard is handed over already.")
    refuse_handing_over(standing.tests.rows, standing.tests.letters)
    day = values["day"]
    refuse_day(day, view.today)
    new = HandedOver(
        id=uuid5(order.change_id, "hand-over"),
        day=day,
        by=values.get("by") or "",
        words=values.get("words") or "",
        said_by=office.who(),
        said_at=office.clock(),
    )
    edits = [made("handed_over", new)]
    if values.get("last_draw") and standing.last_draw:
        reached = ReachedMilestone(
            id=uuid5(order.change_id, "reached"),
            milestone=standing.last_draw.milestone.key,
            day=day,
            said_by=office.who(),
            said_at=office.clock(),
        )
        edits.append(made("reached_milestone", reached))
    return jobs.save(office, view.job.head.id, tuple(edits), replace(order, what="Handed over"))


async def signed_by(office: Office, view: Sheet, client: str, picture: bytes, order: Order) -> Applied | None:
    """Who of the client signed the paper of the hand-over, with a picture of it. Raises: Refused, BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    over = handed_over_of(view.job)
    if over is None:
        raise Refused("The yard is not handed over yet. Hand it over first, then keep the signed paper.")
    photo, edits = await with_photo(
        office, picture, order, caption=f"Completion signed by {client}", when="after", day=view.today
    )
    fields = {"client": client, **({"photo_id": photo} if photo else {})}
    edits = (*edits, changed("handed_over", over.id, view.version("handed_over", over.id), fields))
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Completion signed by {client}"[:120]))


def take_back(office: Office, view: Sheet, order: Order) -> Applied | None:
    """It was not handed over after all. Raises: NotFound; Refused once it is closed, or a call was taken."""
    if jobs.is_saved(office, order.change_id):
        return None
    over = handed_over_of(view.job)
    if over is None:
        raise NotFound("The yard is not handed over.")
    if closing_of(view.job):
        raise Refused("The job is closed. Open it again first.")
    if view.job.warranty_calls:
        raise Refused("Warranty calls were taken since the hand-over. Their day stands by it.")
    edits = tuple(edit for one in view.job.handed_over for edit in jobs.removal(view.opened, "handed_over", one.id))
    return jobs.save(office, view.job.head.id, edits, replace(order, what="Not handed over"))


def close(office: Office, view: Sheet, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Close a job; what stands open is written down with the reason. Raises: Refused, BadValue beside `reason`."""
    if jobs.is_saved(office, order.change_id):
        return None
    standing = after(office, view)
    if standing.closed:
        raise Refused("The job is closed already.")
    reason = (values.get("reason") or "").strip()
    refuse_closing(view.job, standing.open, reason)
    fmt = Formats(view.basis.firm.system, view.basis.firm.currency)
    new = Closing(
        id=uuid5(order.change_id, "closing"),
        day=view.today,
        by=values.get("by") or office.firm().owner,
        open=tuple(f"{one.words}: {fmt.exact(one.cents)}" if one.cents else one.words for one in standing.open),
        reason=reason,
        said_by=office.who(),
        said_at=office.clock(),
    )
    edits = (made("closing", new), _stage(view, Stage.DONE))
    return jobs.save(office, view.job.head.id, edits, replace(order, what="Job closed"))


def open_again(office: Office, view: Sheet, order: Order) -> Applied | None:
    """Open a closed job again. Raises: NotFound where it is not closed."""
    if jobs.is_saved(office, order.change_id):
        return None
    if closing_of(view.job) is None:
        raise NotFound("The job is not closed.")
    gone = tuple(edit for one in view.job.closings for edit in jobs.removal(view.opened, "closing", one.id))
    edits = (*gone, _stage(view, Stage.BUILDING))
    return jobs.save(office, view.job.head.id, edits, replace(order, what="Job opened again"))


def _stage(view: Sheet, stage: Stage) -> Edit:
    return changed("job", view.job.head.id, view.version("job", view.job.head.id), {"stage": stage})
