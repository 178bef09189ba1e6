"""What came of an order, and what was billed for it: deliveries with a picture, pallets out and back, bills."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from app.db.files import FileStore
from app.domain.change import Edit
from app.domain.errors import BadValue
from app.domain.job import BilledLine, CameLine, Delivery, PalletsBack, Photo, SupplierBill, SupplyOrder
from app.domain.ordering import OrderStanding
from app.domain.ordering.bills import bill_total
from app.domain.ordering.standing import HAIR
from app.domain.units import format_money
from app.services import jobs
from app.services.changes import Applied
from app.services.jobs import Order, made
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.supply_events import add, line_of, order_there, own_of, refuse_to_come
from app.worker import run_in_worker


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """What came: the day, line by line, pallets, pictures of the job that show it, words."""

    day: date
    lines: tuple[CameLine, ...]
    pallets: int = 0
    photo_ids: tuple[UUID, ...] = ()
    words: str = ""


async def deliver(
    office: Office, view: Sheet, order_id: UUID, came: Came, picture: bytes, order: Order
) -> Applied | None:
    """Write down what came, whole, short or broken, with a picture. Raises: BadValue, Refused."""
    if jobs.is_saved(office, order.change_id):
        return None
    found = order_there(view, order_id)
    lines = tuple(line for line in came.lines if line.came > HAIR or line.broken > HAIR)
    _refuse_delivery(view, found, came, lines)
    edits: list[Edit] = []
    photos = tuple(one.id for one in view.job.photos if one.id in came.photo_ids)
    if picture:
        photo = await _picture(office, found.order, came, picture, order)
        edits.append(made("photo", photo))
        photos = (*photos, photo.id)
    new = Delivery(
        order_id=order_id,
        day=came.day,
        lines=lines,
        pallets=came.pallets,
        photo_ids=photos,
        words=came.words,
        **own_of(office, order, "delivery"),
    )
    edits.append(made("delivery", new))
    what = f"Order {found.order.number}: delivery"
    return jobs.save(office, view.job.head.id, tuple(edits), replace(order, what=what))


async def _picture(office: Office, one: SupplyOrder, came: Came, picture: bytes, order: Order) -> Photo:
    clean = await run_in_worker("picture", picture)
    return Photo(
        id=uuid5(order.change_id, "photo"),
        file=FileStore(office.settings.files).keep(clean),
        caption=f"Delivery of order {one.number}",
        when="delivery",
        taken=came.day,
    )


def _refuse_delivery(view: Sheet, found: OrderStanding, came: Came, lines: Iterable[CameLine]) -> None:
    refuse_to_come(view, came.day)
    if found.order.sent_on and came.day < found.order.sent_on:
        raise BadValue("That is before it was sent. Type the day on which it came.", field="day")
    places = {line.sent.material: at for at, line in enumerate(found.lines)}
    counted = tuple(lines)
    if not counted:
        raise BadValue("Nothing is counted. Type what came, line by line.", field="came-0")
    for one in counted:
        line = line_of(found, one.material)
        if line.waits:
            raise BadValue(
                f"{line.substitute.title if line.substitute else ''} in place of {line.sent.title} is not approved by "
                "the client, so it is not ordered. Have it approved, or send it back.",
                field=f"came-{places[one.material]}",
            )
        if one.broken > one.came + HAIR:
            raise BadValue("More is broken than came. Look at both figures.", field=f"broken-{places[one.material]}")


def pallets_back(
    office: Office, view: Sheet, order_id: UUID, values: Mapping[str, Any], order: Order
) -> Applied | None:
    """Pallets went back. Raises: BadValue for more than are here."""
    if jobs.is_saved(office, order.change_id):
        return None
    found, count = order_there(view, order_id), values["count"]
    refuse_to_come(view, values["day"])
    here = found.pallets_in - found.pallets_back
    if count > here:
        raise BadValue(f"{count} were typed; {here} of this order are here.", field="count")
    new = PalletsBack(
        order_id=order_id,
        day=values["day"],
        count=count,
        words=values.get("words") or "",
        **own_of(office, order, "pallets_back"),
    )
    what = f"Order {found.order.number}: {count} pallets back"
    return add(office, view, "pallets_back", new, replace(order, what=what))


def bill(
    office: Office, view: Sheet, order_id: UUID, values: Mapping[str, Any], lines: tuple[BilledLine, ...], order: Order
) -> Applied | None:
    """A bill came: what it asks for, line by line; of a credit, what it gives back, below zero.

    Its printed total, where typed, must be theirs together.
    """
    if jobs.is_saved(office, order.change_id):
        return None
    found = order_there(view, order_id)
    refuse_to_come(view, values["day"])
    beside = ("delivery_cents", "charges_cents", "deposits_cents", "paid_ahead_cents", "tax_cents")
    sums: dict[str, Any] = {name: values.get(name) or 0 for name in beside}
    new = SupplierBill(
        order_id=order_id,
        day=values["day"],
        number=values.get("number") or "",
        lines=tuple(one for one in lines if one.cents or abs(one.amount) > HAIR),
        words=values.get("words") or "",
        **sums,
        **own_of(office, order, "supplier_bill"),
    )
    _refuse_bill(new, values.get("total_cents"), view.basis.firm.currency)
    called = "Credit" if bill_total(new) < 0 else "Bill"
    what = f"{called} {new.number} on order {found.order.number}"[:120]
    return add(office, view, "supplier_bill", new, replace(order, what=what))


def _refuse_bill(new: SupplierBill, total: int | None, currency: str) -> None:
    if not new.lines and not bill_total(new):
        raise BadValue("Nothing is billed. Type what the bill asks for, line by line.", field="billed-0")
    if any(one.amount * one.cents < 0 for one in new.lines):
        raise BadValue("A credit takes back both: type the amount and its money with a minus.")
    whole = bill_total(new)
    if total is not None and total != whole:
        sums = format_money(whole, currency, always_cents=True), format_money(total, currency, always_cents=True)
        raise BadValue(
            f"The lines add up to {sums[0]}, and {sums[1]} was typed as the bill's total. Look at both.",
            field="total_cents",
        )
