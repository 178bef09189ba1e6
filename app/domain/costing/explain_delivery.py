"""Where delivery and charges of an order come from: loads of its own or shared, small orders, pallets that go back."""

from collections.abc import Iterator

from app.domain.basis import Basis, Price
from app.domain.costing.explain_words import unit_text, whole_money
from app.domain.takeoff.purchase import Purchase
from app.domain.takeoff.trace import Trace, number_text

Part = tuple[str, str]  # in words, and with the numbers put in


def charged(one: Purchase, price: Price) -> Iterator[Part]:
    """What is paid beside the goods: delivery, charges for small orders, pallets that do not come back."""
    if one.delivery_cents:
        yield _delivery(one, price)
    if one.small_cents:
        yield "charge for a small order", whole_money(one.small_cents)
    if one.fee_cents:
        yield "its part of the charge for an order worth little", whole_money(one.fee_cents)
    if one.pallets and one.pallets.lost:
        yield "pallets that do not come back", f"{one.pallets.lost} × {whole_money(one.pallets.deposit_cents)}"


def charges_explained(one: Purchase, price: Price, basis: Basis) -> Iterator[Trace]:
    """What those charges rest on."""
    currency = basis.firm.currency
    if one.order and one.order.truck:
        yield _shared_loads(one, basis)
    if one.small_cents:
        yield Trace(
            label="Small order",
            expression="ordered, below what is a small order; filling it up would cost more",
            filled=f"{number_text(one.bought)} < {price.small_below:g} {unit_text(one.unit, price.small_below)}",
            result=one.small_cents / 100,
            unit=currency,
            source="price book",
        )
    if one.order and one.fee_cents:
        yield _order_fee(one, currency)
    if one.pallets:
        pallets = one.pallets
        out, back = whole_money(pallets.paid_cents), whole_money(pallets.back_cents)
        yield Trace(
            label="Pallet deposits",
            expression="paid out for the pallets − paid back when they come back",
            filled=f"{out} − {back}",
            result=pallets.kept_cents / 100,
            unit=currency,
            source=f"{pallets.come} pallets come, {pallets.come - pallets.lost} go back; price book",
        )


def _delivery(one: Purchase, price: Price) -> Part:
    if one.order and one.order.truck:
        return "its part of shared loads", whole_money(one.delivery_cents)
    loads = f"{max(1, one.loads)} × {whole_money(price.delivery_cents)}"
    if not price.pickup_cents:
        return "loads × delivery", loads
    return "loads × delivery + pick-up", f"{loads} + {whole_money(price.pickup_cents)}"


def _shared_loads(one: Purchase, basis: Basis) -> Trace:
    assert one.order is not None
    assert one.order.truck is not None
    truck = one.order.truck
    titles = ", ".join(basis.materials[key].title for key in truck.materials)
    parts = " + ".join(number_text(part) for part in truck.parts)
    return Trace(
        label="Shared loads",
        expression="what each fills of a load, summed and rounded up × the dearest delivery of them",
        filled=f"{parts} → {truck.loads} × {whole_money(truck.each_cents)}",
        result=truck.cents / 100,
        unit=basis.firm.currency,
        source=f"on one truck: {titles}",
    )


def _order_fee(one: Purchase, currency: str) -> Trace:
    order = one.order
    assert order is not None
    lacks = f"{whole_money(order.least_cents)} − {whole_money(order.worth_cents)}"
    return Trace(
        label="Order worth little",
        expression="the supplier's charge, or what lacks to the least order where that is less; shared by worth",
        filled=f"{whole_money(order.fee_cents)}, or {lacks} → {whole_money(order.fee_charged_cents)}",
        result=order.fee_charged_cents / 100,
        unit=currency,
        source="price book",
    )
