"""Orders of suppliers: what is still to be ordered, what was sent and came, what was billed for it. Pure."""

from app.domain.ordering.bills import Billed, Difference, billed_against
from app.domain.ordering.needed import NeededLine, NeededList, needed, no_longer_needed
from app.domain.ordering.sending import Terms, at_price, drafted
from app.domain.ordering.standing import LineState, OrderStanding, OrderState, StandingLine, standings

__all__ = [
    "Billed",
    "Difference",
    "LineState",
    "NeededLine",
    "NeededList",
    "OrderStanding",
    "OrderState",
    "StandingLine",
    "Terms",
    "at_price",
    "billed_against",
    "drafted",
    "needed",
    "no_longer_needed",
    "standings",
]
