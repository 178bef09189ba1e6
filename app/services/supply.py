"""The orders of a job as the pages show them: what is still to order, what was sent, what came, what is open."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from app.domain.errors import BadValue, NotFound
from app.domain.findings import Finding
from app.domain.job import Job, LoggedReceipt, PaidOut, SupplierBill, SupplyOrder
from app.domain.ordering import (
    Billed,
    NeededList,
    OrderStanding,
    Terms,
    billed_against,
    drafted,
    needed,
    no_longer_needed,
    standings,
)
from app.domain.ordering.likely import Likely, likely_same
from app.domain.ordering.needed import on_order
from app.domain.ordering.points import Days, order_points, samples_missing
from app.domain.ordering.sending import Drafted
from app.domain.ordering.spending import OrderSpent, may_be_told_in, spent_on_orders, tellers
from app.domain.ordering.spots import Spot, spot_of
from app.domain.orders import OrderList, ordered_purchases
from app.domain.takeoff.purchase import Purchase
from app.domain.units import format_money
from app.interchange.order_sheets import Said
from app.services.build import BuildSheet, build_sheet, list_key
from app.services.office import Office
from app.services.scheduling import schedule_of
from app.services.sheets import Sheet, kept
from app.services.waiting import waiting

GONE = "This order is not there (any more). Open the orders again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """All orders of a job. `extra` is what is on order that nothing needs any more."""

    build: BuildSheet
    lists: tuple[NeededList, ...]
    orders: tuple[OrderStanding, ...]
    extra: tuple[tuple[OrderStanding, str, float], ...]
    points: tuple[Finding, ...]
    terms: Terms
    today: date
    job: Job  # as it is now, with what is written down

    @property
    def prepared(self) -> Mapping[str, OrderStanding]:
        """The order that is prepared and not sent, by the key of its list."""
        return {key_of(one.order): one for one in self.orders if not one.order.sent_on and not one.order.called_off_on}

    def list_of(self, order: SupplyOrder) -> NeededList | None:
        """What is still to order of the list an order is for."""
        return next((one for one in self.lists if of_list(order, one.of)), None)

    def orders_of(self, one: OrderList) -> tuple[OrderStanding, ...]:
        """The orders of a list."""
        return tuple(standing for standing in self.orders if of_list(standing.order, one))

    @property
    def of_no_list(self) -> tuple[OrderStanding, ...]:
        """Orders whose list is not there any more: another supplier, or nothing is needed."""
        return tuple(one for one in self.orders if self.list_of(one.order) is None)

    def order(self, order_id: UUID | str) -> OrderStanding:
        """One order. Raises: NotFound."""
        found = next((one for one in self.orders if str(one.order.id) == str(order_id)), None)
        if found is None:
            raise NotFound(GONE)
        return found

    def needed_of(self, key: str) -> NeededList:
        """A list by its key. Raises: NotFound."""
        found = next((one for one in self.lists if list_key(one.of) == key), None)
        if found is None:
            raise NotFound("There is no such order list (any more). Open the orders again.")
        return found

    def draft(self, order: SupplyOrder, materials: tuple[str, ...] | None = None) -> Drafted | None:
        """The order as it would be sent now; None where nothing is to order of its list."""
        one = self.list_of(order)
        return drafted(one, materials, self.terms) if one else None

    def samples(self, draft: Drafted) -> tuple[Finding, ...]:
        """Stops of a draft: special orders without the client's name on a sample, and without a reason."""
        special = {line.material: line.title for line in draft.lines if line.special}
        settled = [one.finding for one in self.job.settlements]
        return samples_missing(special, self.job.approved_samples, settled)

    def bills(self, order: SupplyOrder) -> tuple[SupplierBill, ...]:
        """The bills of an order, the oldest first."""
        mine = (one for one in self.job.supplier_bills if one.order_id == order.id)
        return tuple(sorted(mine, key=lambda one: (one.day, str(one.said_at or ""), str(one.id))))

    def billed(self, standing: OrderStanding) -> Billed | None:
        """The bills of an order against it; None without any."""
        return billed_against(standing, self.job.supplier_bills) if self.bills(standing.order) else None

    def spent(self, bill: SupplierBill) -> OrderSpent:
        """What a bill made the job spend, and where the same money is written down, too."""
        job = self.job
        every = spent_on_orders(job.supply_orders, job.supplier_bills, job.logged_receipts, job.paid_out)
        return next(one for one in every if one.bill == str(bill.id))

    @property
    def likely(self) -> Mapping[str, Likely]:
        """By the id of a bill, the receipt or payment that is likely the same money though its cents differ."""
        return likely_of(self.job)

    def likely_words(self, one: Likely) -> str:
        """What is likely the same money as a bill, and by how much they differ."""
        by = format_money(abs(one.by), self.terms.today.firm.currency, always_cents=True)
        why = f": {one.why}" if one.why else ""
        side = "more" if one.by > 0 else "less"
        told = self.told_words(one.told)
        return f"{told[0].upper()}{told[1:]} may be the same money. The bill asks for {by} {side}{why}."

    def may_be_told_in(self, bill: SupplierBill) -> tuple[tuple[str, str], ...]:
        """The receipts and payments that may be the same money as a bill, in words."""
        told = tellers(self.job.logged_receipts, self.job.paid_out)
        return tuple((str(one.id), self.told_words(one)) for one in may_be_told_in(bill, told))

    @staticmethod
    def told_words(one: LoggedReceipt | PaidOut) -> str:
        """A receipt or payment in words, without its amount."""
        day = f"{one.day:%b} {one.day.day}"
        if isinstance(one, LoggedReceipt):
            return f"the receipt of {day}{', ' + one.merchant if one.merchant else ''}"
        return f"what was paid on {day}{' to ' + one.to if one.to else ''}"

    def spot(self, order: SupplyOrder) -> Spot:
        """Where an order is put down."""
        return spot_of(self.job, order)

    def said_of(self, one: OrderList) -> Said:
        """What a table says of a list: when it may be sent, and the day and spot of its newest order."""
        held = waiting(self.build.holds)
        free = max(hold.window.free_on for hold in held) if held else None
        orders = [it.order for it in self.orders_of(one) if not it.order.called_off_on]
        if not orders:
            return Said(not_before=free)
        return Said(not_before=free, deliver_on=orders[-1].deliver_on, spot=self.spot(orders[-1]).told)

    @property
    def waits(self) -> str:
        """Why nothing may be sent yet; empty where it may."""
        return self.build.not_before


def likely_of(job: Job) -> Mapping[str, Likely]:
    """What is likely the same money as a bill of a job, by the bill's id; both count until somebody joins them."""
    spent = spent_on_orders(job.supply_orders, job.supplier_bills, job.logged_receipts, job.paid_out)
    return likely_same(job.supply_orders, job.supplier_bills, tellers(job.logged_receipts, job.paid_out), spent)


def key_of(order: SupplyOrder) -> str:
    """What an order is of: phase, kind of list and supplier."""
    return f"{order.phase}|{order.kind}|{order.supplier}"


def of_list(order: SupplyOrder, one: OrderList) -> bool:
    """Whether an order is of this list."""
    return key_of(order) == f"{one.phase_id}|{one.kind.value}|{one.supplier}"


def supply(office: Office, view: Sheet) -> Supply:
    """The orders of a job as it stands today at the site."""
    build = build_sheet(office, view)
    stands, orders = build.stands, standings(view.job)
    lists = needed(build.orders, orders, build.planned if stands.apart else None)
    terms = Terms(bought=_bought(office, view, build), basis=stands.basis, today=view.basis)
    return Supply(
        build=build,
        lists=lists,
        orders=orders,
        extra=no_longer_needed(build.orders, orders),
        points=order_points(lists, orders, _days(office, view, build)) if stands.signed else (),
        terms=terms,
        today=view.today,
        job=view.job,
    )


def _bought(office: Office, view: Sheet, build: BuildSheet) -> Mapping[tuple[str, str], Purchase]:
    stands = build.stands

    def gathered() -> Mapping[tuple[str, str], Purchase]:
        return {(one.material, one.phase): one for one in ordered_purchases(stands.job, stands.basis)[1]}

    signed = stands.signed.id if stands.signed else ""
    found: Mapping[tuple[str, str], Purchase] = kept(
        office, ("purchases", view.job.head.id, signed), view.opened, gathered
    )
    return found


def _days(office: Office, view: Sheet, build: BuildSheet) -> Days:
    """Today, and the day on which the schedule first wants a material of a phase."""
    starts = {str(one.id): one.start for one in build.stands.job.phases if one.start}
    try:
        laid = schedule_of(office, view)
    except BadValue:
        laid = None  # activities wait for one another: the schedule says so
    wanted: dict[tuple[str, str], date] = {}
    for row in laid.activities if laid and not laid.assumed_start else ():
        for material in row.planned.materials:
            place = (material, row.planned.phase)
            wanted[place] = min(row.start, wanted.get(place, row.start))
    return Days(today=view.today, wanted=wanted, starts=starts)


def may_send(found: Supply) -> str:
    """Why nothing can be sent at all: nothing signed, or the client may still cancel. Empty where it can."""
    if found.build.stands.signed is None:
        return "Nothing is signed yet. Order from a signed proposal only."
    if waiting(found.build.holds):
        return f"{found.waits}. Go on with the reason on Build, or wait."
    return ""


def points_of(office: Office, view: Sheet) -> tuple[Finding, ...]:
    """What is open about the orders of a job that has any: for the pages that only say so."""
    return supply(office, view).points if view.job.supply_orders else ()


def on_order_now(view: Sheet) -> frozenset[str]:
    """Materials that are on order in any phase."""
    return frozenset(material for material, _ in on_order(standings(view.job))[0])
