"""What a signed change order asks to be billed: with the payments it moved, or by itself with the next draw."""

from datetime import date

from app.domain.billing.contract import ChangeToBill
from app.domain.contract.change_order import ChangeOrder


def changes_of_order(made: ChangeOrder, key: str, signed_on: date) -> tuple[ChangeToBill, ...]:
    """The amounts [cents] of a signed change order by the payment they go with; they add up to what it added.

    A payment of its own goes with the next draw. The client's tax in it follows the share of the whole change.
    """
    moved = [(at, one) for at, one in enumerate(made.payments) if one.cents != (one.was_cents or 0)]
    rows, tax_left, left = [], made.tax_cents, made.by_cents
    for at, one in moved:
        cents = one.cents - (one.was_cents or 0)
        tax = round(tax_left * cents / left) if left else 0
        tax_left, left = tax_left - tax, left - cents
        rows.append(
            ChangeToBill(
                key=f"{key}:{at}",
                title=f"Change order {made.number}",
                day=signed_on,
                cents=cents,
                tax_cents=tax,
                paid_with=f"{one.event} {one.phase}".strip() if one.was_cents is not None else "",
            )
        )
    return tuple(rows)
