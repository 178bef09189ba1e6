"""How the firm is paid: a fee for cards, a discount for paying early, a charge for paying late; in words.

Each is the firm's own rule, printed only where it is set, beside the payments and never inside them: the contract sum
stays what it is. Some states and the card networks forbid or limit a fee for cards, and states limit charges for paying
late: the firm asks, and says whom.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from app.domain.basis import Firm
from app.domain.costing.payments import Due
from app.domain.findings import Finding, Severity
from app.domain.money import cents
from app.domain.units import format_money, format_share

MONTHS = 12


def card_fee_cents(amount_cents: int, firm: Firm) -> int:
    """What paying an amount by card adds to it, or costs the firm where it takes the fee on itself [cents].

    >>> card_fee_cents(1_000_00, Firm(card_fee=Decimal("0.029")))
    2900
    """
    return cents(Decimal(amount_cents) * firm.card_fee / 100)


def early_discount_cents(amount_cents: int, firm: Firm) -> int:
    """What comes off an amount that is paid early [cents]."""
    return cents(Decimal(amount_cents) * firm.early_pay / 100)


def card_fees_cents(payments: Iterable[Due], firm: Firm) -> int:
    """The fees of all payments, each rounded as it is paid [cents]."""
    return sum(card_fee_cents(one.left, firm) for one in payments)


def a_year(firm: Firm) -> Decimal:
    """The charge for paying late as a share a year: what it must be told as beside the monthly one."""
    return firm.late_charge * MONTHS


def pay_words(firm: Firm, payments: Sequence[Due]) -> tuple[str, ...]:
    """The firm's rules in words for the client; none where it has none."""
    return tuple(one for one in (_card(firm, payments), _early(firm), late_words(firm), _retainage(firm)) if one)


def _card(firm: Firm, payments: Sequence[Due]) -> str:
    if firm.card_rule == "not taken":
        return "Cards are not taken."
    if firm.card_rule == "absorbed":
        return "A card may be used; nothing is added for it."
    if firm.card_rule != "passed on" or not firm.card_fee:
        return ""
    told = f"A payment made by card has {_exact(firm.card_fee)} added for the card"
    together = format_money(card_fees_cents(payments, firm), firm.currency)
    return f"{told}: {together} if all of them are. By check or transfer nothing is added." if payments else f"{told}."


def _early(firm: Firm) -> str:
    if not firm.early_pay:
        return ""
    days = "1 day" if firm.early_pay_days == 1 else f"{firm.early_pay_days} days"
    return f"{_exact(firm.early_pay)} comes off a payment that is paid within {days} of its invoice."


def late_words(firm: Firm) -> str:
    """The charge for paying late in words; nothing where there is none."""
    if not firm.late_charge:
        return ""
    month, year = _exact(firm.late_charge), _exact(a_year(firm))
    days = firm.late_after_days
    told = f"What is unpaid {days} days after it is due bears {month} a month ({year} a year)"
    return f"{told}, stated apart from the price."


def _retainage(firm: Firm) -> str:
    if not firm.retainage:
        return ""
    return f"{_exact(firm.retainage)} of each payment is held back and due with the last one, when all is done."


def _exact(share: Decimal) -> str:
    """A share as it was typed, to 1/10,000 of a percent: what is printed is what is asked for."""
    return format_share(share, 4)


def pay_points(firm: Firm) -> tuple[Finding, ...]:
    """An open point where a rule that states limit is set, and nobody is named who was asked."""
    limited = [
        name
        for name, on in (("a fee for cards", firm.card_rule == "passed on"), ("a late charge", firm.late_charge > 0))
        if on
    ]
    if not limited or firm.pay_checked:
        return ()
    return (
        Finding(
            rule="pay-rules-unchecked",
            severity=Severity.WARN,
            where="firm",
            what=f"The proposal states {' and '.join(limited)}, and nobody is named who said your state allows it.",
            measured=", ".join(limited),
            remedy="Ask your state's consumer office, your bank or your accountant, and write down whom and when.",
        ),
    )
