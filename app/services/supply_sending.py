"""Orders until they are sent: prepared by list, with day, spot and batch; then fixed as sent. Samples before that."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from app.domain.errors import BadValue, NotFound, Refused
from app.domain.job import ApprovedSample, SupplyOrder
from app.domain.ordering.points import sample_point
from app.domain.ordering.sending import Drafted
from app.domain.ordering.spots import spots
from app.services import jobs
from app.services.changes import Applied
from app.services.checks import Going, refuse_unsaid, settled_by
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.supply import Supply, key_of, may_send, supply

STILL_OPEN = ("deliver_on", "spot", "spot_id", "spot_x", "spot_y")
WISHES = ("send_by", *STILL_OPEN, "batch", "price_until", "words")


def prepare(office: Office, view: Sheet, key: str, order: Order) -> Applied | None:
    """Make the order of a list: numbered in its job, to be given day and spot. Raises: NotFound, Refused."""
    if jobs.is_saved(office, order.change_id):
        return None
    found = supply(office, view)
    one = found.needed_of(key)
    if not one.can_be_ordered:
        raise Refused("Nobody sells this yet. Say who does in the price book, then order.")
    new = SupplyOrder(
        id=uuid5(order.change_id, "order"),
        number=max((it.number for it in view.job.supply_orders), default=0) + 1,
        kind=one.of.kind.value,
        supplier=one.of.supplier,
        supplier_title=one.of.supplier_title,
        phase=one.of.phase_id,
        phase_title=one.of.phase_title,
        send_by=one.of.order_by,
        deliver_on=one.of.start,
    )
    if key_of(new) in found.prepared:
        raise Refused("An order of this list is prepared already. Send it, or take it out first.")
    draft = found.draft(new)
    if draft is None or not draft.lines:
        raise Refused("Nothing of this list is to order.")
    new = replace(new, price_until=draft.held_until)
    what = f"Order {new.number} prepared: {new.supplier_title}"[:120]
    return jobs.save(office, view.job.head.id, (made("supply_order", new),), replace(order, what=what))


def plan(office: Office, view: Sheet, order_id: UUID, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Say by when it is sent, for which day, to which spot, of which batch, how long its price holds.

    Raises: NotFound, BadValue, Stale.
    """
    one = _there(view, order_id)
    wishes = {name: values[name] for name in WISHES if name in values}
    if one.lines:  # what was sent holds; day and spot may still be agreed on
        wishes = {
            name: value
            for name, value in wishes.items()
            if name in ("deliver_on", "spot", "spot_id", "spot_x", "spot_y")
        }
    if (wishes.get("spot_x") is None) != (wishes.get("spot_y") is None):
        raise BadValue(
            "A point has two lengths: right of the datum, and up from it. Type both, or none.", field="spot_y"
        )
    if wishes.get("spot_id") and str(wishes["spot_id"]) not in {key for key, _, _ in spots(view.job)}:
        raise BadValue("Choose a place of the plan from the list.", field="spot_id")
    edit = changed("supply_order", one.id, view.opened.version_read(order, "supply_order", one.id), wishes)
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=f"Order {one.number}: day and spot"))


def send(
    office: Office, view: Sheet, order_id: UUID, materials: tuple[str, ...] | None, on: date | None, order: Order
) -> Applied | None:
    """Fix what is ordered: lines with amounts, packs and the price of the day. It was sent by whoever says so.

    Raises: NotFound, Refused where it must wait, BadValue.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    one, found = _there(view, order_id), supply(office, view)
    day = on or view.today
    draft = found.draft(one, materials)
    _refuse(found, one, draft, day)
    assert draft is not None
    fields = {
        "lines": draft.lines,
        "delivery_cents": draft.delivery_cents,
        "charges_cents": draft.charges_cents,
        "deposit_cents": draft.deposit_cents,
        "price_until": one.price_until or draft.held_until,
        "sent_on": day,
        "sent_by": office.who(),
    }
    edit = changed("supply_order", one.id, view.version("supply_order", one.id), fields)
    what = f"Order {one.number} sent: {one.supplier_title}"[:120]
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=what))


def _refuse(found: Supply, one: SupplyOrder, draft: Drafted | None, day: date) -> None:
    if one.sent_on:
        raise Refused(f"Order {one.number} was sent already. What more is needed goes into another order.")
    if one.called_off_on:
        raise Refused(f"Order {one.number} is called off. Prepare another.")
    if held := may_send(found):
        raise Refused(held)
    if draft is None or not draft.lines:
        raise BadValue("No line is ticked. Tick what is ordered.", field="materials")
    if draft.unpriced:
        raise Refused(f"{draft.unpriced[0]} has no price. Type it in the price book, then send the order.")
    if day > found.today:
        raise BadValue(f"{day:%B} {day.day} has not been yet. Type the day on which it was sent.", field="sent_on")
    if missing := found.samples(draft):
        raise Refused(f"{missing[0].what} {missing[0].remedy}")


def remove(office: Office, view: Sheet, order_id: UUID, order: Order) -> Applied | None:
    """Take out an order that was prepared and not sent. Raises: NotFound, Refused."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = _there(view, order_id)
    if one.sent_on:
        raise Refused(f"Order {one.number} was sent. Call it off with the reason instead.")
    edits = jobs.removal(view.opened, "supply_order", one.id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"Order {one.number} taken out"))


def approve_sample(
    office: Office, view: Sheet, material: str, values: Mapping[str, Any], order: Order
) -> Applied | None:
    """Write down that the client put their name on a physical sample. Raises: BadValue, NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    title = _title(office, view, material)
    if values["day"] > view.today:
        raise BadValue("That day has not been yet. Type the day on which the sample was signed.", field="day")
    photo = values.get("photo_id")
    if photo and all(one.id != photo for one in view.job.photos):
        raise BadValue("Choose a picture of this job.", field="photo_id")
    new = ApprovedSample(
        id=uuid5(order.change_id, "sample"),
        material=material,
        name=values["name"],
        day=values["day"],
        words=values.get("words") or "",
        photo_id=photo,
        said_by=office.who(),
        said_at=office.clock(),
    )
    what = f"Sample approved: {title}"[:120]
    return jobs.save(office, view.job.head.id, (made("approved_sample", new),), replace(order, what=what))


def go_on_without_sample(office: Office, view: Sheet, material: str, going: Going, order: Order) -> Applied | None:
    """Order what is special without the client's name on a sample, with name and reason. Raises: BadValue, NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    title = _title(office, view, material)
    refuse_unsaid(going, "why no sample was signed")
    one = settled_by(office, sample_point(material, title).key, going, uuid5(order.change_id, "sample"))
    what = f"Goes on without a sample: {title}"[:120]
    return jobs.save(office, view.job.head.id, (made("settlement", one),), replace(order, what=what))


def _title(office: Office, view: Sheet, material: str) -> str:
    lists = supply(office, view).lists
    found = next((row.line.title for one in lists for row in one.lines if row.line.material == material), None)
    if found is None:
        raise NotFound("This material is on no order list (any more).")
    return found


def _there(view: Sheet, order_id: UUID) -> SupplyOrder:
    found = next((one for one in view.job.supply_orders if one.id == order_id), None)
    if found is None:
        raise NotFound("This order is not there (any more). Open the orders again.")
    return found
