"""The show sheet of a finished job: pictures and a rounded price band, by the client's recorded permission only."""

from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from app.db.files import FileStore
from app.documents.pages import document
from app.documents.pdf import PdfOrder
from app.domain.errors import BadValue, NotFound, Refused
from app.domain.handover.papers import before_and_after, permission_of, price_band, refuse_permission
from app.domain.job import Photo, ShowPermission
from app.domain.letterhead import letterhead
from app.services import jobs
from app.services.changes import Applied
from app.services.contracts import contract_of
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.proposals import mark_address
from app.services.sheets import Sheet

PNG = b"\x89PNG\r\n\x1a\n"
LEAST_REASON = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowSheet:
    """What of a job may be shown, and what of it is shown. `band` [cents]; None where the price is not to be shown."""

    permission: ShowPermission | None
    withdrawn: tuple[ShowPermission, ...]
    before: tuple[Photo, ...]
    after: tuple[Photo, ...]
    band: tuple[int, int] | None
    town: str
    photos: tuple[Photo, ...]  # to choose among


def show_sheet(office: Office, view: Sheet) -> ShowSheet:
    """The show sheet of a job as it stands."""
    job = view.job
    one = permission_of(job)
    contract = contract_of(office, view) if one and one.with_price else None
    before, after = before_and_after(job, one) if one else ((), ())
    return ShowSheet(
        permission=one,
        withdrawn=tuple(it for it in job.show_permissions if it.withdrawn_on),
        before=tuple(before),
        after=tuple(after),
        band=price_band(contract.total_cents) if contract else None,
        town=(job.head.town or job.client.town) if one and one.with_town else "",
        photos=tuple(it for it in job.photos if it.when not in ("receipt", "sample")),
    )


def permit(office: Office, view: Sheet, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Record the client's permission: who, when, what exactly. Raises: Refused, BadValue beside what is missing."""
    if jobs.is_saved(office, order.change_id):
        return None
    new = ShowPermission(
        id=uuid5(order.change_id, "permission"),
        day=values["day"],
        given_by=values.get("given_by") or "",
        words=values.get("words") or "",
        photo_ids=tuple(values.get("photo_ids") or ()),
        with_price=bool(values.get("with_price")),
        with_town=bool(values.get("with_town")),
        said_by=office.who(),
        said_at=office.clock(),
    )
    refuse_permission(view.job, new, view.today)
    if new.with_price and contract_of(office, view) is None:
        raise BadValue("Nothing is signed, so there is no price to show.", field="with_price")
    edits = (made("show_permission", new),)
    return jobs.save(office, view.job.head.id, edits, replace(order, what="Permission to show"))


def withdraw(office: Office, view: Sheet, permission_id: UUID, why: str, order: Order) -> Applied | None:
    """The client takes the permission back: from now on nothing of the yard is shown. Raises: NotFound, BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = next((it for it in view.job.show_permissions if it.id == permission_id), None)
    if one is None:
        raise NotFound("This permission is not there (any more).")
    if one.withdrawn_on:
        raise Refused("This permission was withdrawn already.")
    if len(why.strip()) < LEAST_REASON:
        raise BadValue("Say in a few words who withdrew it.", field="why")
    fields = {"withdrawn_on": view.today, "withdrawn_why": why.strip()}
    edit = changed("show_permission", one.id, view.version("show_permission", one.id), fields)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what="Permission to show withdrawn"))


def show_pdf(office: Office, view: Sheet) -> PdfOrder:
    """The show sheet on paper. Raises: Refused without a permission that stands."""
    shown = show_sheet(office, view)
    if shown.permission is None:
        raise Refused("The client has given no permission that stands. Nothing of this yard is shown.")
    firm, store = office.firm(), FileStore(office.settings.files)
    act = letterhead(view.job, firm, number=0, made_on=view.today)
    pictures = [[(_address(store.read(one.file)), one.caption) for one in held] for held in (shown.before, shown.after)]
    values = {
        "firm_name": act.firm_name,
        "firm_lines": act.firm_lines,
        "mark": mark_address(office, act.mark),
        "shown": shown,
        "before": pictures[0],
        "after": pictures[1],
    }
    return PdfOrder(
        html=document(office.settings.templates, "show_sheet", firm, values),
        paper=firm.paper,
        title=shown.permission.words,
        language=firm.language,
        identifier=f"show-{shown.permission.id}",
        source_date=office.clock().replace(hour=12, minute=0, second=0, microsecond=0),
    )


def _address(content: bytes) -> str:
    kind = "image/png" if content.startswith(PNG) else "image/jpeg"
    return f"data:{kind};base64,{b64encode(content).decode()}"
