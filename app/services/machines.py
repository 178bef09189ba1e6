"""The worksheet of a machine of the firm's own: from what it was bought for to the rate in the price book."""

from dataclasses import dataclass, replace
from decimal import Decimal

from app.domain.basis import Material, Price
from app.domain.costing.explain_machine import explain_machine
from app.domain.costing.owned_machine import MachineCost, machine_cost, unit_rate
from app.domain.errors import BadValue, NotFound
from app.domain.machine import OwnedMachine
from app.domain.takeoff.hiring import terms_of
from app.domain.takeoff.trace import Trace
from app.services import book, jobs
from app.services.book import Own
from app.services.jobs import Order
from app.services.office import Office
from app.services.prices import is_let, today_of

NO_HIRE = {"hour_cents": 0, "half_day_cents": 0, "day_cents": 0, "week_cents": 0, "month_cents": 0, "pickup_cents": 0}


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineSheet:
    """A machine's worksheet as the page shows it; until it is `saved` it is a beginning and prices nothing."""

    key: str
    material: Material
    machine: OwnedMachine
    worked: MachineCost | None  # None: something is still to be typed
    rate: Decimal | None  # of the unit it is priced by
    price: Price | None
    saved: bool
    own: Own


def machine_sheet(office: Office, key: str) -> MachineSheet:
    """Read a machine's worksheet. Raises: NotFound."""
    material, price = _machine(office, key), office.basis().prices.get(key)
    saved = price.owned if price else None
    machine = saved or OwnedMachine()
    worked = _worked(machine)
    return MachineSheet(
        key=key,
        material=material,
        machine=machine,
        worked=worked,
        rate=_rate(office, material, machine) if worked else None,
        price=price,
        saved=saved is not None,
        own=book.own(office, "price"),
    )


def save_machine(office: Office, key: str, version: int, machine: OwnedMachine, order: Order) -> None:
    """Keep a worksheet and price the machine by it: its rates of hire go, and its fuel is in the rate.

    Raises: NotFound, Stale, BadValue with the field that is wrong.
    """
    material = _machine(office, key)
    rate = _rate(office, material, machine)
    fuel = {"fuel": "in the rate", "fuel_cents": 0} if machine.fuel_gallons else {}
    fields = {"owned": machine, "unit_price": rate, "priced_on": today_of(office), **NO_HIRE, **fuel}
    before = office.basis().prices.get(key, Price(material=key, unit_price=Decimal(0)))
    edit = book.edit_of(office, "price", key, version, fields, new=before)
    jobs.save(office, None, (edit,), replace(order, what=f"Our own: {material.title}"[:60]))


def explained_machine(office: Office, key: str, figure: str) -> Trace:
    """How a figure of a machine's worksheet came about. Raises: NotFound."""
    sheet = machine_sheet(office, key)
    found = explain_machine(sheet.machine, office.firm().currency, figure) if sheet.worked else None
    if found is None:
        raise NotFound("This figure is not on the worksheet any more. Open the worksheet again.")
    return found


def _rate(office: Office, material: Material, machine: OwnedMachine) -> Decimal:
    return unit_rate(machine, material.buy, terms_of(office.basis().rules).day_hours)


def _worked(machine: OwnedMachine) -> MachineCost | None:
    try:
        return machine_cost(machine)
    except BadValue:
        return None


def _machine(office: Office, key: str) -> Material:
    material = office.basis().materials.get(key)
    if material is None or not is_let(material):
        raise NotFound("The price book has no machine of this name that is priced by the hour or the day.")
    return material
