"""What a supplier says to an order that was sent: confirmed, backordered, replaced by the client's word, called off."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from app.domain.errors import BadValue, NotFound, Refused
from app.domain.job import JOB_THINGS, Backorder, Substitute, SupplyOrder
from app.domain.ordering import OrderStanding, StandingLine, standings
from app.domain.ordering.standing import HAIR
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, changed, made
from app.services.office import Office
from app.services.sheets import Sheet

DAYS_BACK = 730
TAKEN_OUT: Mapping[str, str] = {
    "backorder": "Backorder",
    "substitute": "Substitute",
    "delivery": "Delivery",
    "pallets_back": "Pallets back",
    "supplier_bill": "Bill",
}


def order_there(view: Sheet, order_id: UUID) -> OrderStanding:
    """An order that was sent and stands. Raises: NotFound, Refused."""
    found = next((one for one in standings(view.job) if one.order.id == order_id), None)
    if found is None:
        raise NotFound("This order is not there (any more). Open the orders again.")
    if not found.order.sent_on:
        raise Refused(f"Order {found.order.number} is not sent yet.")
    if found.order.called_off_on:
        raise Refused(f"Order {found.order.number} is called off.")
    return found


def refuse_to_come(view: Sheet, day: date, field: str = "day") -> None:
    """Refuse a day that has not been, or lies far back. Raises: BadValue."""
    if day > view.today:
        raise BadValue(f"{day:%B} {day.day} has not been yet. Type the day on which it was so.", field=field)
    if (view.today - day).days > DAYS_BACK:
        raise BadValue(f"{day:%B} {day.day}, {day.year} lies more than two years back.", field=field)


def _set(office: Office, view: Sheet, one: SupplyOrder, fields: Mapping[str, Any], order: Order) -> Applied:
    version = view.opened.version_read(order, "supply_order", one.id)
    return jobs.save(office, view.job.head.id, (changed("supply_order", one.id, version, fields),), order)


def add(office: Office, view: Sheet, kind: str, new: Any, order: Order) -> Applied:
    """Write a thing down."""
    return jobs.save(office, view.job.head.id, (made(kind, new),), order)


def line_of(found: OrderStanding, material: str) -> StandingLine:
    """A line of an order. Raises: BadValue."""
    line = found.line(material)
    if line is None:
        raise BadValue("Choose a line of this order.", field="material")
    return line


def own_of(office: Office, order: Order, kind: str) -> dict[str, Any]:
    """Id and hand of what is written down."""
    return {"id": uuid5(order.change_id, kind), "said_by": office.who(), "said_at": office.clock()}


def confirm(office: Office, view: Sheet, order_id: UUID, values: Mapping[str, Any], order: Order) -> Applied:
    """The supplier confirmed it: its number, and the day it is promised for."""
    one = order_there(view, order_id).order
    refuse_to_come(view, values["confirmed_on"], "confirmed_on")
    fields = {name: values.get(name) or "" for name in ("confirmation",)}
    fields |= {"confirmed_on": values["confirmed_on"], "promised_on": values.get("promised_on")}
    fields["confirmed_by"] = office.who()
    return _set(office, view, one, fields, replace(order, what=f"Order {one.number} confirmed"))


def pay_deposit(office: Office, view: Sheet, order_id: UUID, values: Mapping[str, Any], order: Order) -> Applied:
    """The deposit of a special order was paid."""
    one = order_there(view, order_id).order
    refuse_to_come(view, values["deposit_on"], "deposit_on")
    if (values.get("deposit_cents") or 0) <= 0:
        raise BadValue("The amount is nothing. Type what was paid ahead.", field="deposit_cents")
    fields = {"deposit_cents": values["deposit_cents"], "deposit_on": values["deposit_on"], "deposit_by": office.who()}
    return _set(office, view, one, fields, replace(order, what=f"Deposit on order {one.number}"))


def call_off(office: Office, view: Sheet, order_id: UUID, why: str, order: Order) -> Applied:
    """Call an order off, with the reason. Raises: Refused where something of it came."""
    found = order_there(view, order_id)
    if any(line.came > HAIR for line in found.lines):
        raise Refused("Something of it came already. Take the lines that are to come off the order instead.")
    if len(why.strip()) < 3:
        raise BadValue("The reason is missing: say why it is called off.", field="called_off_why")
    fields = {"called_off_on": view.today, "called_off_by": office.who(), "called_off_why": why.strip()}
    what = f"Order {found.order.number} called off"
    return _set(office, view, found.order, fields, replace(order, what=what))


def backorder(office: Office, view: Sheet, order_id: UUID, values: Mapping[str, Any], order: Order) -> Applied | None:
    """A line does not come with the rest: the day it is expected, or it is taken off."""
    if jobs.is_saved(office, order.change_id):
        return None
    found, material = order_there(view, order_id), values["material"]
    line = line_of(found, material)
    if not line.to_come:
        raise BadValue(f"All of {line.sent.title} is here, or off the order.", field="material")
    if not values.get("off") and values.get("expected_on") is None:
        raise BadValue("Type the day it is expected, or tick that it is taken off.", field="expected_on")
    new = Backorder(
        order_id=order_id,
        material=material,
        expected_on=None if values.get("off") else values["expected_on"],
        off=bool(values.get("off")),
        words=values.get("words") or "",
        **own_of(office, order, "backorder"),
    )
    said = "taken off" if new.off else "backordered"
    what = f"Order {found.order.number}: {line.sent.title} {said}"[:120]
    return add(office, view, "backorder", new, replace(order, what=what))


def propose(office: Office, view: Sheet, order_id: UUID, values: Mapping[str, Any], order: Order) -> Applied | None:
    """Something else in place of a line. It is on order once the client approved it."""
    if jobs.is_saved(office, order.change_id):
        return None
    found, material = order_there(view, order_id), values["material"]
    line = line_of(found, material)
    if not line.to_come:
        raise BadValue(f"All of {line.sent.title} is here, or off the order.", field="material")
    if line.waits:
        raise Refused(f"A substitute for {line.sent.title} waits for the client already.")
    new = Substitute(
        order_id=order_id,
        material=material,
        title=values["title"],
        unit_price=values.get("unit_price"),
        words=values.get("words") or "",
        **own_of(office, order, "substitute"),
    )
    what = f"Order {found.order.number}: {new.title} proposed"[:120]
    return add(office, view, "substitute", new, replace(order, what=what))


def decide(
    office: Office, view: Sheet, substitute_id: UUID, name: str, day: date, order: Order, *, yes: bool
) -> Applied | None:
    """The client approved a substitute by name, or declined it. Raises: NotFound, Refused, BadValue."""
    if jobs.is_saved(office, order.change_id):
        return None
    one = next((it for it in view.job.substitutes if it.id == substitute_id), None)
    if one is None:
        raise NotFound("This substitute is not there (any more). Open the orders again.")
    order_there(view, one.order_id)
    refuse_to_come(view, day)
    if one.approved_on or one.declined_on:
        raise Refused("It is decided already. Undo that, or propose another.")
    if yes and len(name.strip()) < 2:
        raise BadValue("The client's name is missing: type who approved it.", field="name")
    fields = {"approved_by": name.strip(), "approved_on": day} if yes else {"declined_on": day}
    edit = changed("substitute", one.id, view.version("substitute", one.id), fields)
    what = f"Substitute {'approved' if yes else 'declined'}: {one.title}"[:120]
    return jobs.save(office, view.job.head.id, (edit,), replace(order, what=what))


def take_out(office: Office, view: Sheet, kind: str, thing_id: UUID, order: Order) -> Applied | None:
    """Take out what was written by mistake, a delivery with the picture that came with it. Raises: NotFound."""
    if jobs.is_saved(office, order.change_id):
        return None
    there = getattr(view.job, JOB_THINGS[kind][1]) if kind in TAKEN_OUT else ()
    if all(one.id != thing_id for one in there):
        raise NotFound("This is not there (any more). Open the orders again.")
    edits = jobs.removal(view.opened, kind, thing_id)
    return jobs.save(office, view.job.head.id, edits, replace(order, what=f"{TAKEN_OUT[kind]} taken out"))
