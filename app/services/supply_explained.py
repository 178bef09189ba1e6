"""Where each figure of an order comes from.

`draft:ORDER:WHAT` of one that is prepared, `line:ORDER:WHAT` of one that was sent: WHAT is a material, or `@delivery`,
`@charges`, `@deposit`, `@total`. `bill:ORDER:AT:COLUMN` of its bills: AT is the place of a line, `@` and the place of a
row beside the lines, or `tax`, `total`, `difference` alone.
"""

from collections.abc import Sequence
from typing import TypeVar

from app.domain.errors import NotFound
from app.domain.job import SentLine
from app.domain.ordering import Billed, Difference, OrderStanding
from app.domain.ordering.bills import bill_total
from app.domain.takeoff.trace import Trace
from app.domain.units import format_number, format_price
from app.services.office import Office
from app.services.sheets import Sheet
from app.services.supply import Supply, supply

T = TypeVar("T")
GONE = "This figure is not part of an order any more. Open the orders again."
WORDS = {
    "@delivery": ("Delivery", "loads × price of a load, or the estimate's own where all of it is ordered"),
    "@charges": ("Charges", "what the supplier charges for a small order or one worth little, and for tipping"),
    "@deposit": ("Deposit", "goods of special orders × the share their supplier asks for ahead"),
}


class _Told:
    """The figures of one job's orders."""

    def __init__(self, found: Supply, currency: str) -> None:
        self.found, self.currency = found, currency

    def plain(self, label: str, expression: str, cents: int, steps: Sequence[Trace] = ()) -> Trace:
        """One amount of money."""
        return Trace(
            label=label, expression=expression, filled="", result=cents / 100, unit=self.currency, steps=tuple(steps)
        )

    def goods(self, one: SentLine) -> Trace:
        """A line: its amount at the price it was sent at."""
        hired = not one.unit_price
        filled = "" if hired else f"{format_number(one.amount)} × {format_price(one.unit_price, self.currency)}"
        told = "the cheapest mix of periods" if hired else "amount ordered × unit price as sent"
        return Trace(
            label=one.title, expression=told, filled=filled, result=one.cents / 100, unit=self.currency, source=""
        )

    def of_order(self, lines: Sequence[SentLine], beside: dict[str, int], what: str) -> Trace:
        """A figure of an order by its name."""
        if what == "@total":
            steps = [self.goods(one) for one in lines]
            steps += [self.plain(*WORDS[name], beside[name]) for name in ("@delivery", "@charges") if beside[name]]
            total = sum(one.cents for one in lines) + beside["@delivery"] + beside["@charges"]
            return self.plain("All of it", "goods + delivery + charges", total, steps)
        if what in beside:
            return self.plain(*WORDS[what], beside[what])
        line = next((one for one in lines if one.material == what), None)
        if line is None:
            raise NotFound(GONE)
        return self.goods(line)

    def of_bill(self, billed: Billed, standing: OrderStanding, at: str, column: str) -> Trace:
        """A figure of the bills of an order."""
        if at == "total":
            rows = [self.plain(f"Bill {one.number}", "", bill_total(one)) for one in self.found.bills(standing.order)]
            return self.plain("All bills", "sum of the bills", billed.total_cents, rows)
        if at == "tax":
            return self.plain("Sales tax", "as the bills say; nothing is held against it", billed.tax_cents)
        if at == "difference":
            rows = [self.plain(one.title, "billed − due", one.cents) for one in billed.lines if one.cents]
            rows += [
                self.plain(title, "billed − due", asked - due) for title, asked, due in billed.beside if asked != due
            ]
            return self.plain("Difference", "billed − due, line by line", billed.difference_cents, rows)
        if at.startswith("@"):
            title, asked, due = _at(billed.beside, at[1:])
            return self._column(title, asked, due, column, "as agreed with the order, or by the pallets that are here")
        row = _at(billed.lines, at)
        if column == "difference":
            return self._parts(row)
        return self._column(row.title, row.billed_cents, row.due_cents, column, "what came whole × price as sent")

    def _column(self, title: str, asked: int, due: int, column: str, why: str) -> Trace:
        if column == "billed":
            return self.plain(title, "as the bills say", asked)
        if column == "due":
            return self.plain(title, why, due)
        rows = [self.plain("Billed", "as the bills say", asked), self.plain("Due", why, -due)]
        return self.plain(title, "billed − due", asked - due, rows)

    def _parts(self, row: Difference) -> Trace:
        rows = (
            self.plain("By another price", "billed − amount billed × price as sent", row.price_cents),
            self.plain("By another amount", "amount billed × price as sent − due", row.amount_cents),
        )
        return self.plain(row.title, "billed − due", row.cents, rows)


def _at(rows: Sequence[T], place: str) -> T:
    if not place.isdecimal() or int(place) >= len(rows):
        raise NotFound(GONE)
    return rows[int(place)]


def explain_supply(office: Office, view: Sheet, figure: str) -> Trace:
    """A figure of an order. Raises: NotFound."""
    what, _, rest = figure.partition(":")
    order_id, _, name = rest.partition(":")
    found = supply(office, view)
    standing, told = found.order(order_id), _Told(found, view.basis.firm.currency)
    one = standing.order
    if what == "draft" and (draft := found.draft(one)):
        beside = {"@delivery": draft.delivery_cents, "@charges": draft.charges_cents, "@deposit": draft.deposit_cents}
        return told.of_order(draft.lines, beside, name)
    if what == "line":
        beside = {"@delivery": one.delivery_cents, "@charges": one.charges_cents, "@deposit": one.deposit_cents}
        return told.of_order(one.lines, beside, name)
    billed = found.billed(standing) if what == "bill" else None
    if billed is None:
        raise NotFound(GONE)
    at, _, column = name.partition(":")
    return told.of_bill(billed, standing, at, column)
